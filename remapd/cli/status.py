"""How the running daemon is, in plain sentences."""

import argparse
import json

from remapd.cli.daemon_name import add_name, running_daemon


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare `--name` and `--json`."""
    add_name(parser)
    parser.add_argument("--json", action="store_true", help="as data, for programs")


def run(args: argparse.Namespace) -> int:
    """Ask and print."""
    with running_daemon(args.name) as daemon:
        status = daemon.ask("status")["status"]
    if args.json:
        print(json.dumps(status, indent=2, ensure_ascii=False))
    else:
        from remapd.daemon.report import sentences

        print("\n".join(sentences(status)))
    return 0

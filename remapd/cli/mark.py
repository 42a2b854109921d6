"""Put a remark into what the daemon remembers, to be found again in a recording."""

import argparse

from remapd.cli.daemon_name import add_name, running_daemon


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the remark and `--name`."""
    parser.add_argument("text", metavar="TEXT", help='such as "that press did nothing"')
    add_name(parser)


def run(args: argparse.Namespace) -> int:
    """Hand it over."""
    with running_daemon(args.name) as daemon:
        daemon.ask("mark", text=args.text)
    print("Marked. `remapd record --last 2m -o FILE` saves the last two minutes.")
    return 0

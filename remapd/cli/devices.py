"""What is plugged in, in plain words; what each thing sends as it is pressed; a bench for switches.

With nothing said it lists, and on a terminal goes on to show what is pressed until Ctrl-C.
"""

from __future__ import annotations

import argparse
import json
import math
import sys
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Final

from remapd.cli.failure import CommandFailed

if TYPE_CHECKING:
    from remapd.kernel.hotplug import NodeDescription

USAGE: Final = 2
_LONGEST_S: Final = 3600.0
_MOST_PRESSES: Final = 1000


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what is shown and how."""
    parser.add_argument(
        "device",
        nargs="?",
        metavar="DEVICE",
        help="only this one: its node (event5), or its name or a part of it",
    )
    parser.add_argument(
        "--live",
        action=argparse.BooleanOptionalAction,
        default=None,
        help="show what is pressed and moved until Ctrl-C (on a terminal: after the list)",
    )
    parser.add_argument("--plain", action="store_true", help="one sentence a line, no picture")
    parser.add_argument("--json", action="store_true", help="as data, for programs")
    parser.add_argument(
        "--all", action="store_true", help="also what nobody can press, such as a lid"
    )
    parser.add_argument(
        "--for",
        dest="seconds",
        type=seconds,
        metavar="TIME",
        help="end the live view after this time, such as 30s",
    )
    parser.add_argument(
        "--bench", action="store_true", help="test one switch: press it to a beat; needs DEVICE"
    )
    parser.add_argument(
        "--presses",
        type=presses,
        default=100,
        metavar="N",
        help="for --bench: how many presses (default: %(default)s)",
    )
    parser.add_argument(
        "--every",
        type=seconds,
        default=1.5,
        metavar="TIME",
        help="for --bench: the time from beat to beat (default: 1.5s)",
    )


def seconds(word: str) -> float:
    """A time as it is typed, in seconds: `30s`, `1.5s`, `800ms`; for argparse."""
    number, unit = (word[:-2], 0.001) if word.endswith("ms") else (word.removesuffix("s"), 1.0)
    try:
        length = float(number) * unit if number != word else math.nan
    except ValueError:
        length = math.nan
    if not 0.1 <= length <= _LONGEST_S:
        raise argparse.ArgumentTypeError(f"{word!r} is no time; write it as 30s or 800ms")
    return length


def presses(word: str) -> int:
    """A number of presses; for argparse."""
    if not word.isdecimal() or not 1 <= int(word) <= _MOST_PRESSES:
        raise argparse.ArgumentTypeError(f"{word!r} is no number from 1 to {_MOST_PRESSES}")
    return int(word)


def run(args: argparse.Namespace) -> int:
    """List, show, or bench."""
    from remapd.cli.devices_listing import is_worth_showing
    from remapd.kernel.hotplug import list_nodes

    nodes = list_nodes()
    if args.device is not None:
        chosen = matching(args.device, nodes)
        wanted: Callable[[NodeDescription], bool] = is_one_of(args.device, chosen)
    else:
        wanted = (lambda _node: True) if args.all else is_worth_showing
    if args.bench:
        return run_bench(args, nodes)
    live = args.live if args.live is not None else sys.stdout.isatty() and not args.json
    if not (live and args.json):
        list_them(wanted, as_json=args.json, briefly=live)
    if live:
        show_live(args, wanted)
    return 0


def list_them(wanted: Callable[[NodeDescription], bool], *, as_json: bool, briefly: bool) -> None:
    """Print what is plugged in."""
    from remapd.cli import devices_listing as listing

    everything = listing.gather()
    chosen = [each for each in everything if wanted(each.node)]
    if as_json:
        found = [listing.data(each, everything) for each in chosen]
        print(json.dumps(found, indent=2, ensure_ascii=False))
        return
    pads = [each for each in everything if each.is_pad and each not in chosen]
    for each in [*chosen, *pads]:
        print("\n".join(listing.sentences(each, everything)), end="\n\n")
    if not chosen:
        print("Nothing is plugged in that could be pressed or moved.\n")
    notes = listing.footnotes(chosen)
    print("\n".join(notes), end="\n\n" if notes and briefly else "\n" if notes else "")


def show_live(args: argparse.Namespace, wanted: Callable[[NodeDescription], bool]) -> None:
    """Show what is pressed, in the manner that was asked for or that the terminal allows."""
    from remapd.cli import devices_live as view

    end_us = view.ends_at_us(args.seconds)
    if args.json:
        view.tell_json(sys.stdout, wanted, end_us)
    elif args.plain or view.is_plain_wanted():
        view.tell_sentences(sys.stdout, wanted, end_us)
    else:
        view.show_picture(sys.stdout, wanted, end_us)


def run_bench(args: argparse.Namespace, nodes: Sequence[NodeDescription]) -> int:
    """Test one switch."""
    from remapd.cli.devices_bench import bench
    from remapd.kernel.errors import KernelError

    if args.device is None:
        print("remapd devices: say which device is on the bench: --bench DEVICE", file=sys.stderr)
        return USAGE
    found = [node for node in matching(args.device, nodes) if node.keys]
    if len(found) != 1:
        names = ", ".join(f"{node.path} “{node.name}”" for node in found) or "none of them"
        raise CommandFailed(f"one device with a switch is wanted, `{args.device}` is: {names}")
    try:
        return bench(found[0].path, args.presses, int(args.every * 1e6), as_json=args.json)
    except KernelError as error:
        raise CommandFailed(str(error)) from error


def is_one_of(word: str, chosen: Sequence[NodeDescription]) -> Callable[[NodeDescription], bool]:
    """Whether a node is meant, also one that is plugged in again, and at another node then."""
    paths = {node.path for node in chosen}
    by_node = any(word in {path, path.rpartition("/")[2]} for path in paths)
    names = set() if by_node else {node.name for node in chosen}
    return lambda node: node.path in paths or node.name in names


def matching(word: str, nodes: Sequence[NodeDescription]) -> list[NodeDescription]:
    """The nodes that a person means by a word.

    Raises:
        CommandFailed: none; the text names what is there.
    """
    exact = [node for node in nodes if word in {node.path, node.path.rpartition("/")[2], node.name}]
    found = exact or [node for node in nodes if word.casefold() in node.name.casefold()]
    if not found:
        names = ", ".join(f"“{node.name}”" for node in nodes) or "nothing"
        raise CommandFailed(f"no device is called `{word}`; plugged in: {names}")
    return found

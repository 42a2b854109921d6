"""The service: put it on this system, see what is there, take all of it away again."""

from __future__ import annotations

import argparse
import os
import shlex
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from remapd.cli.failure import CommandFailed

if TYPE_CHECKING:
    from remapd.upkeep.installation import Installation
    from remapd.upkeep.steps import Step
    from remapd.upkeep.system import System


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare `install`, `show`, `remove` and `completion`."""
    what = parser.add_subparsers(dest="what", required=True, metavar="WHAT")
    install = what.add_parser(
        "install", help="put the service on this system, or bring it up to date"
    )
    install.add_argument(
        "layout",
        nargs="?",
        type=Path,
        metavar="LAYOUT",
        help="the layout to play with; it is copied to /etc/remapd/layouts",
    )
    install.add_argument(
        "--caregiver",
        action="append",
        default=None,
        metavar="USER",
        help="who may change layouts and pause (again for more; default: whoever calls sudo)",
    )
    install.add_argument(
        "--no-hiding", action="store_true", help="leave the player's devices visible to games"
    )
    install.add_argument(
        "--hide-desktop",
        action="store_true",
        help="hide also keyboards and mice for which the layout says `exclusive: true`",
    )
    show = what.add_parser("show", help="what of it is on this system")
    remove = what.add_parser("remove", help="take it away; layouts stay")
    remove.add_argument("--everything", action="store_true", help="layouts, user and group as well")
    for part in (install, remove):
        part.add_argument("--yes", action="store_true", help="do not ask")
    for part in (install, show, remove):
        part.add_argument(
            "--root",
            type=Path,
            default=Path("/"),
            metavar="DIR",
            help="work on a system in this folder instead of the running one",
        )
    shell = what.add_parser("completion", help="print the completion file of a shell")
    shell.add_argument("shell", choices=["bash", "zsh", "fish"], help="which shell")


def run(args: argparse.Namespace) -> int:
    """Do what was named."""
    from remapd.upkeep.system import System, UpkeepFailed

    if args.what == "completion":
        from remapd.cli.completion import completion

        print(completion(args.shell), end="")
        return 0
    system = System(args.root)
    if not system.root.is_dir():
        raise CommandFailed(f"{args.root} is no folder")
    try:
        return {"install": install, "show": show, "remove": remove}[args.what](args, system)
    except UpkeepFailed as error:
        raise CommandFailed(str(error)) from error


def install(args: argparse.Namespace, system: System) -> int:
    """Say what is to be done, ask once, do it."""
    from remapd.cli.completion import SHELLS, completion
    from remapd.cli.manual import manual_pages
    from remapd.compiling import environment
    from remapd.kernel.hotplug import list_nodes
    from remapd.upkeep.installation import Installation

    if environment.is_being_made(Path(sys.prefix)):
        print(
            "waiting for the compiled form, which is being made (a minute or two) ...", flush=True
        )
        environment.wait_while_being_made(Path(sys.prefix))
    caregivers = args.caregiver if args.caregiver is not None else callers(system)
    installation = Installation(
        system,
        args.layout,
        caregivers,
        hide=not args.no_hiding,
        hide_desktop=args.hide_desktop,
        nodes=list_nodes() if system.is_live else (),
        completions={shell: completion(shell) for shell in SHELLS},
        manual=manual_pages(),
    )
    refuse_the_only_ones(installation, sure=args.yes)
    return carry_out("install", installation.steps(), args, system, remarks=installation.remarks())


def remove(args: argparse.Namespace, system: System) -> int:
    """The same, backwards."""
    from remapd.upkeep.installation import LAYOUTS
    from remapd.upkeep.removal import removal_steps

    kept = [f"Layouts in {LAYOUTS} stay; `--everything` removes them too."]
    remarks = [] if args.everything or not system.path(LAYOUTS).exists() else kept
    return carry_out(
        "remove", removal_steps(system, everything=args.everything), args, system, remarks=remarks
    )


def show(args: argparse.Namespace, system: System) -> int:
    """What is there, without touching it; exit code 0 where all of it is, 1 where not."""
    del args
    from remapd.upkeep.state import state_lines

    lines, whole = state_lines(system)
    print("\n".join(lines))
    return 0 if whole else 1


def carry_out(
    verb: str,
    steps: Sequence[Step],
    args: argparse.Namespace,
    system: System,
    *,
    remarks: Sequence[str],
) -> int:
    """Print the steps that are not done, ask, and do them one by one.

    Raises:
        CommandFailed: not allowed, not wanted, or a step failed; those before it stay done.
    """
    from remapd.upkeep.program import typed_command
    from remapd.upkeep.steps import pending

    to_do = pending(steps)
    if not to_do:
        print(f"Nothing to {verb}: all is as it should be.")
        return 0
    where = "" if system.is_live else f" in {system.root}"
    print(f"`remapd service {verb}` will{where}:")
    for number, step in enumerate(to_do, 1):
        print(f"{number:>3}. {step.says}")
    for remark in remarks:
        print(f"  - {remark}")
    if os.geteuid() != 0:
        words = shlex.join(["service", *sys.argv[2:]])
        raise CommandFailed(f"only root may do that; type: sudo {typed_command()} {words}")
    if not args.yes and not is_wanted():
        raise CommandFailed("nothing was changed")
    for number, step in enumerate(to_do, 1):
        try:
            # one before it may have done it too: with a user its group goes
            if step.follows_changes or not step.is_done():
                step.do()
        except OSError as error:
            raise CommandFailed(
                f"step {number} failed: {error}; what came before it is done, and the same command "
                "goes on from there"
            ) from error
        print(f"{number:>3}. done", flush=True)
    print(f"Done. `remapd service show{root_words(system)}` shows what is there.")
    return 0


def is_wanted() -> bool:
    """Whether the person at the terminal says yes.

    Raises:
        CommandFailed: there is nobody to ask.
    """
    if not sys.stdin.isatty():
        raise CommandFailed("there is nobody to ask here; add --yes")
    try:
        answer = input("Go on? [y/N] ")
    except EOFError:
        return False
    return answer.strip().casefold() in {"y", "yes"}


def callers(system: System) -> list[str]:
    """The user who called sudo, where there is one."""
    name = os.environ.get("SUDO_USER", "")
    return [name] if system.is_live and name and name != "root" else []


def refuse_the_only_ones(installation: Installation, *, sure: bool) -> None:
    """Never leave a desktop without its only keyboard or pointer unasked.

    Raises:
        CommandFailed: one would be hidden, and `sure` is not said.
    """
    names = ", ".join(f"“{name}”" for name in installation.hiding.only_ones)
    if names and not sure:
        raise CommandFailed(
            f"{names} is the only keyboard or pointer that is plugged in: hidden, it would be dead "
            "outside play. Plug in another, leave --hide-desktop out, or add --yes if you are sure"
        )


def root_words(system: System) -> str:
    """`--root DIR` as it has to be typed again."""
    return "" if system.is_live else f" --root {shlex.quote(str(system.root))}"

"""Start, pause, how to play, or what is wrong, from the desktop's menu: no terminal, no typing.

What came of it is told by a notification where the desktop has them, else as a page in the
browser; so are the player's guide and what is wrong, always.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from remapd.cli.daemon_name import add_name
from remapd.cli.failure import CommandFailed

if TYPE_CHECKING:
    from remapd.engine.layout import Layout

#: A service that was just started answers within this time, on a slow machine.
_START_LIMIT_S: Final = 10.0
_ASK_AGAIN_S: Final = 0.1


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what is to be done."""
    parser.add_argument(
        "what",
        choices=["start", "pause", "guide", "health"],
        help="start or go on; pause; how to play, with the card in use; what is wrong",
    )
    add_name(parser)


def run(args: argparse.Namespace) -> int:
    """Do it, and show what came of it; exit code 1 where it could not be done."""
    name: str = args.name
    does = {"start": start, "pause": pause, "guide": guide, "health": health}
    return does[args.what](name)


def start(name: str) -> int:
    """Go on after a pause, or start the service, the system's or this user's own."""
    status = ask(name, "resume")
    if status is None:
        for words in (["systemctl", "start", "remapd"], ["systemctl", "--user", "start", "remapd"]):
            if shutil.which(words[0]) and subprocess.run(words, check=False).returncode == 0:
                break
        deadline = time.monotonic() + _START_LIMIT_S
        while (status := ask(name, "resume")) is None and time.monotonic() < deadline:
            time.sleep(_ASK_AGAIN_S)
    if status is None:
        show_page(name, "remapd could not be started")
        return 1
    tell(f"Playing: {status['layout']['title']}")
    return 0


def pause(name: str) -> int:
    """Give every device back for a while."""
    if ask(name, "pause") is None:
        show_page(name, "remapd could not be paused")
        return 1
    tell("Paused. Every device is given back; Start goes on.")
    return 0


def guide(name: str) -> int:
    """Show how to start, pause and get unstuck, with the card of what is played."""
    from remapd.show.player_guide import player_page

    text = player_page(layout_in_force(name))
    open_page("how-to-play.html", text, "docs/guide-player.md has the same")
    return 0


def layout_in_force(name: str) -> Layout | None:
    """What the running daemon plays, where its file can be read."""
    from remapd.language import load

    status = ask(name, "status")
    path = None if status is None else status["layout"].get("path")
    if path is None:
        return None
    try:
        return load(Path(path)).layout
    except OSError:
        return None


def health(name: str) -> int:
    """Show what is wrong."""
    show_page(name, "")
    return 0


def ask(name: str, request: str) -> dict[str, Any] | None:
    """Asks the running daemon to do something; how it is then, or None where that failed."""
    from remapd.daemon.client import DaemonClient, Denied, NotRunning, Refused

    try:
        with DaemonClient(name) as client:
            client.ask(request)
            status: dict[str, Any] = client.ask("status")["status"]
            return status
    except (NotRunning, Refused, Denied):
        return None


def tell(sentence: str) -> None:
    """One sentence to whoever sits at the screen."""
    if shutil.which("notify-send"):
        words = ["notify-send", "--app-name=remapd", "--icon=input-gaming", "remapd", sentence]
        if subprocess.run(words, check=False, stderr=subprocess.DEVNULL).returncode == 0:
            return
    print(sentence)


def show_page(name: str, heading: str) -> None:
    """Opens the page about what is wrong.

    Raises:
        CommandFailed: there is nothing that opens pages; the text is what the page would say.
    """
    from remapd.cli.health import examine
    from remapd.upkeep.findings import lines, summary
    from remapd.upkeep.page import page

    findings = examine(name, None)
    told = "\n".join([heading, *lines(findings), summary(findings)]).strip()
    open_page("what-is-wrong.html", page(findings, heading), f"it says:\n{told}")


def open_page(file_name: str, text: str, otherwise: str) -> None:
    """Shows a page in the browser.

    Raises:
        CommandFailed: there is nothing that opens pages; `otherwise` says what else there is.
    """
    file = page_folder() / file_name
    file.write_text(text, encoding="utf-8")
    opener = shutil.which("xdg-open")
    if opener is None or subprocess.run([opener, str(file)], check=False).returncode != 0:
        raise CommandFailed(f"no program opens {file}; {otherwise}")


def page_folder() -> Path:
    """Where pages are written: a folder of this user's own, seen by browsers in a sandbox too."""
    cache = os.environ.get("XDG_CACHE_HOME", "") or str(Path.home() / ".cache")
    folder = Path(cache) / "remapd"
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:  # a home that is full or not this user's own: the page is needed all the more
        folder = Path(tempfile.mkdtemp(prefix="remapd-"))
    return folder

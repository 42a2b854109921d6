"""What is hard to show, for every screen, page and cue: no daemon, a daemon of somebody else, a
tiny terminal, forty controls, markup in names, and titles that run from the right.

Cards of such layouts: tests/unit/show/test_card_pages.py. Layouts at random: tests/property.
"""

from __future__ import annotations

import importlib
import json
import os
import pkgutil
import shutil
import socket
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

import remapd.cli
import remapd.daemon
import remapd.show
from remapd.cli.main import main
from remapd.show.live.page_server import PageServer
from tests.support.browser import Browser, program
from tests.support.hard_layouts import MARKED, forty
from tests.support.markup import parsed
from tests.support.recordings import Take
from tests.support.stand_in_daemon import WAIT_S, StandInDaemon, until
from tests.support.watching import Watching

CHECKOUT = Path(__file__).parents[2]
NOBODY = 65534
#: The title as it is after YAML's quotes.
TITLE = "משחק הדיג של הנמל <b>&\"'</b>"

each_screen = pytest.mark.parametrize(
    "words", [[], ["--plain"], ["--json"], ["--page"]], ids=["picture", "plain", "json", "page"]
)
needs_browser = pytest.mark.skipif(
    program() is None,
    reason="NO BROWSER HERE, so the page was not looked at: apt install chromium",
)


@pytest.fixture
def at_end() -> Iterator[ExitStack]:
    with ExitStack() as stack:
        yield stack


def daemon_of(folder: Path, text: str, at_end: ExitStack) -> StandInDaemon:
    layout = folder / "hard.yaml"
    layout.write_text(text)
    return at_end.enter_context(StandInDaemon(folder, layout))


def watching(daemon: StandInDaemon, at_end: ExitStack, *words: str, **how: object) -> Watching:
    started = Watching(daemon, *words, **how)  # type: ignore[arg-type]
    at_end.callback(started.close)
    return started


# ---------------------------------------------------------------- no daemon
@each_screen
def test_without_a_daemon_every_screen_says_how_to_start_one(
    words: list[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("RUNTIME_DIRECTORY", str(tmp_path))

    assert main(["watch", *words]) == 1

    said = capsys.readouterr()
    assert said.out == ""
    assert said.err == "remapd: no daemon `main` is running; start one with: remapd run LAYOUT\n"


@pytest.mark.parametrize("command", ["card", "report"])
def test_cards_and_reports_need_no_daemon(
    command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("RUNTIME_DIRECTORY", str(tmp_path / "nobody-is-here"))
    source = {"card": "layouts/one-switch.yaml", "report": "tests/corpus/harbour.jsonl"}[command]

    assert main([command, str(CHECKOUT / source), "-o", str(tmp_path / "made.html")]) == 0
    assert (tmp_path / "made.html").exists()


# ---------------------------------------------------------------- somebody else's daemon
REFUSAL = "only the daemon's own user and root may ask"
of_somebody = [["watch", "--plain"], ["watch", "--json"], ["watch", "--page"], ["cues"]]


@pytest.mark.parametrize("words", of_somebody, ids=" ".join)
def test_what_a_daemon_of_somebody_else_answers_is_told(
    words: list[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("RUNTIME_DIRECTORY", str(tmp_path))
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path))
    with socket.socket(socket.AF_UNIX) as server:
        server.bind(str(tmp_path / "main.sock"))
        server.listen()

        def refuse() -> None:
            link, _ = server.accept()
            link.sendall(json.dumps({"ok": False, "error": REFUSAL}).encode() + b"\n")
            link.close()

        refusing = threading.Thread(target=refuse)
        refusing.start()
        code = main(words)
        refusing.join()

    assert code == 1
    assert capsys.readouterr().err.splitlines()[-1].startswith(f"remapd: {REFUSAL}; ")


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that everybody may enter, as those of pytest are not."""
    folder = Path(tempfile.mkdtemp(prefix="remapd-shown-"))
    folder.chmod(0o755)
    yield folder
    shutil.rmtree(folder)


def as_nobody(folder: Path, words: list[str]) -> tuple[int, str]:
    """A command of remapd as a user with no rights: its exit code, and all that it says.

    In a copy of this process, for the Python that runs the tests may lie where only root can read.
    """
    for package in (remapd.cli, remapd.daemon, remapd.show):
        for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            importlib.import_module(module.name)
    PageServer(
        "127.0.0.1", 0
    ).close()  # Python imports what reads the page's files at the first use
    own = folder / "own"
    own.mkdir()
    os.chown(own, NOBODY, NOBODY)
    said = own / "said"
    child = os.fork()
    if child == 0:  # from here on nothing of the test's own may run
        code = 99
        try:
            os.environ.update(
                RUNTIME_DIRECTORY=str(folder), XDG_RUNTIME_DIR=str(own), HOME=str(own)
            )
            os.chdir("/")
            os.setgroups([])
            os.setgid(NOBODY)
            os.setuid(NOBODY)
            with said.open("w") as sys.stdout:
                sys.stderr = sys.stdout
                code = main(words)
        finally:
            os._exit(code)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    return code, said.read_text()


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can become somebody else")
@pytest.mark.parametrize("mode", [0o600, 0o666], ids=["closed socket", "open socket"])
@pytest.mark.parametrize("words", of_somebody, ids=" ".join)
def test_another_user_is_told_whose_daemon_it_is_and_sees_nothing(
    words: list[str], mode: int, open_folder: Path, at_end: ExitStack
) -> None:
    """A real user of another number, at the socket of a real control server."""
    daemon = daemon_of(open_folder, forty(), at_end)
    (open_folder / "main.sock").chmod(mode)

    code, said = as_nobody(open_folder, words)

    assert code == 1, said
    assert (REFUSAL if mode == 0o666 else "no daemon `main` of yours is running") in said
    assert len(said.splitlines()) == 1, said
    assert "Forty buttons" not in said
    assert daemon.ask("status")["status"]["clients"] == 1  # ours alone


# ---------------------------------------------------------------- a tiny terminal
@pytest.mark.parametrize("size", [(1, 1), (20, 5), (79, 24), (80, 23)], ids=str)
def test_a_terminal_of_any_size_gets_whole_sentences(
    size: tuple[int, int], tmp_path: Path, at_end: ExitStack
) -> None:
    daemon = daemon_of(tmp_path, forty(), at_end)
    told = watching(daemon, at_end, size=size)

    told.read_until("the picture needs 80 and 24: plain sentences instead.")
    daemon.press("key-39")
    told.read_until("layer quay is on")
    assert "\x1b[?1049h" not in told.text


def test_in_a_tiny_terminal_the_page_still_tells_its_whole_address(
    tmp_path: Path, at_end: ExitStack
) -> None:
    told = watching(daemon_of(tmp_path, MARKED, at_end), at_end, "--page", size=(10, 2))

    told.read_until("Ctrl-C ends it.")
    address = told.text.split("The page: ")[1].splitlines()[0]
    assert len(address) > 40


# ---------------------------------------------------------------- forty controls
def test_forty_controls_in_a_terminal_those_in_use_in_sight(
    tmp_path: Path, at_end: ExitStack
) -> None:
    daemon = daemon_of(tmp_path, forty(), at_end)
    told = watching(daemon, at_end, size=(80, 24))
    told.read_until("more controls, at rest")

    daemon.press("key-33")

    told.read_until("key-33: pressed")
    told.read_until("◆")
    assert "Traceback" not in told.text


@needs_browser
@pytest.mark.parametrize("width", [320, 1180])
def test_forty_controls_on_a_page_all_in_reach(
    width: int, tmp_path: Path, at_end: ExitStack
) -> None:
    """WCAG 2.2, 1.4.10: no way sideways at 320 CSS pixels."""
    daemon = daemon_of(tmp_path, forty(), at_end)
    told = watching(daemon, at_end, "--page")
    told.read_until("Ctrl-C ends it.")
    page = at_end.enter_context(Browser()).open(
        told.text.split("The page: ")[1].splitlines()[0], width, 820
    )
    page.until("document.querySelectorAll('#hands li').length === 40")
    places = """JSON.stringify([...document.querySelectorAll('.tiles li')].map(
        (tile) => tile.getBoundingClientRect().toJSON()))"""
    before = page.run(places)
    if width > 1000:  # beside each other: what became of a press is to be seen with it
        assert page.run("document.getElementById('told-name').getBoundingClientRect().top") < 820
    daemon.press("key-22")
    daemon.press("key-1")
    page.until("document.querySelectorAll('#hands li.lit').length === 2")
    assert page.run(places) == before, "what is pressed moves what is not"

    assert page.run("document.documentElement.scrollWidth") <= width
    overflowing = """[...document.querySelectorAll('.tiles li')].filter(
        (tile) => tile.scrollWidth > tile.clientWidth).length"""
    assert page.run(overflowing) == 0
    assert page.complaints() == []


def test_forty_controls_in_a_report_a_lane_and_a_row_for_each(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    take = Take(forty(), text=forty())
    for number in range(1, 41):
        take.tap(f"key-{number}", number * 500, 200)
    take.end(25_000)
    (tmp_path / "many.jsonl").write_bytes(take.data)

    assert main(["report", str(tmp_path / "many.jsonl"), "-o", "-"]) == 0

    root = parsed(capsys.readouterr().out)
    lanes = [each.text or "" for each in root.iter() if each.tag.endswith("text")]
    rows = [each.findtext("th") for each in root.iter("tr")]
    for number in range(1, 41):
        assert lanes.count(f"key {number}") == 1
        assert f"key {number} (player)" in rows
    assert "spyglass (right stick press)" in lanes  # the longest, whole


# ---------------------------------------------------------------- markup, and from the right
@pytest.mark.parametrize("words", [["--plain"], ["--json"]], ids=" ".join)
def test_titles_are_told_as_they_are_written(
    words: list[str], tmp_path: Path, at_end: ExitStack
) -> None:
    daemon = daemon_of(tmp_path, MARKED, at_end)
    told = watching(daemon, at_end, *words)
    told.read_until("knees")

    daemon.press("right-knee")

    told.read_until("'break' & ")
    assert (json.dumps(TITLE, ensure_ascii=False)[1:-1] if "--json" in words else TITLE) in (
        told.text
    )


def test_a_title_from_the_right_leaves_the_picture_in_its_columns(
    tmp_path: Path, at_end: ExitStack
) -> None:
    told = watching(daemon_of(tmp_path, MARKED, at_end), at_end, size=(80, 24))

    told.read_until("what the hands do")
    assert TITLE in told.text


@needs_browser
def test_on_the_page_markup_is_text(tmp_path: Path, at_end: ExitStack) -> None:
    daemon = daemon_of(tmp_path, MARKED, at_end)
    told = watching(daemon, at_end, "--page")
    told.read_until("Ctrl-C ends it.")
    page = at_end.enter_context(Browser()).open(
        told.text.split("The page: ")[1].splitlines()[0], 1180, 820
    )
    page.until("document.querySelectorAll('#hands li').length === 2")
    daemon.press("right-knee")
    page.until("document.body.innerText.includes(\"'break' & \")")

    assert page.run("document.getElementById('title').textContent") == TITLE
    assert page.run("getComputedStyle(document.getElementById('title')).direction") == "rtl"
    assert page.run("document.querySelectorAll('main b, main i, main u, h1 b').length") == 0
    assert page.complaints() == []


def test_in_a_report_markup_is_text_and_a_title_stands_as_it_runs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    take = Take(MARKED, text=MARKED)
    take.tap("left-knee", 100, 200)
    take.writer.mark(500_000, "<script>alert('&\"')</script>")
    take.end(1000)
    path = tmp_path / '<i>&"session".jsonl'
    path.write_bytes(take.data)

    assert main(["report", str(path), "-o", "-"]) == 0

    root = parsed(capsys.readouterr().out)
    (title,) = root.iter("h1")
    assert (title.text, title.attrib["dir"]) == (TITLE, "auto")
    assert not [each.tag for each in root.iter() if each.tag in {"b", "i", "u", "script"}]
    assert "<script>alert('&\"')</script>" in [each.text for each in root.iter("bdi")]


def test_a_cue_says_markup_as_it_is_and_notifies_it_escaped(
    tmp_path: Path, at_end: ExitStack
) -> None:
    """Desktop Notifications Specification 1.2: a body may be read as markup."""
    daemon = daemon_of(tmp_path, MARKED, at_end)
    calls = tmp_path / "calls"
    programs = tmp_path / "bin"
    programs.mkdir()
    notifier = programs / "notify-send"
    notifier.write_text(f'#!/bin/sh\nfor last; do :; done\nprintf "%s\\n" "$last" >> {calls}\n')
    notifier.chmod(0o755)
    companion = subprocess.Popen(
        [sys.executable, "-m", "remapd", "cues", "--print"],
        env=daemon.environment | {"PATH": str(programs), "XDG_RUNTIME_DIR": str(tmp_path)},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )

    def end() -> None:
        companion.terminate()
        companion.wait(WAIT_S)
        assert companion.stdout is not None
        companion.stdout.close()

    at_end.callback(end)
    assert companion.stdout is not None
    assert companion.stdout.readline() == f"The cues of “{TITLE}” are played from now on.\n"

    daemon.tap("right-knee")
    said = companion.stdout.readline()
    assert "says “<i>I need a 'break' & \"more\"</i>”" in said
    daemon.tap("left-knee", 1.0)
    assert companion.stdout.readline() == "net: says “<u>הרשת & net</u>”\n"
    assert until(calls.exists)
    assert until(calls.read_text) == "&lt;i&gt;I need a 'break' &amp; \"more\"&lt;/i&gt;\n"

"""`remapd fit` in a terminal, as far as it goes without devices: plans, and breaking off."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from remapd.language import load
from remapd.language.packing import pack
from tests.support.speech_server import SpeechServerStandIn
from tests.support.typed import Typed

Start = Callable[..., Typed]


@pytest.fixture
def at_terminal(tmp_path: Path) -> Iterator[Start]:
    started: list[Typed] = []

    def start(*words: str, **environment: str) -> Typed:
        started.append(Typed(*words, folder=tmp_path, **environment))
        return started[-1]

    yield start
    for each in started:
        each.close()


def piped(
    folder: Path, *words: str, typed: str = "", **environment: str
) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "remapd", "fit", *words],
        input=typed,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
        cwd=folder,
        env={
            "PATH": "/usr/bin:/bin",
            "XDG_STATE_HOME": str(folder / "state"),
            "RUNTIME_DIRECTORY": str(folder),
            "PYTHONPATH": str(Path(__file__).parents[2]),
        }
        | environment,
    )


def plan_to_the_game(fit: Typed) -> None:
    fit.answer_unprompted("hold that switch for a second now.")
    fit.answer("What shall the layout be called?", "Gull on pax\x7fper")
    fit.answer("Who plays?", "1")
    fit.answer("What is the player called?", "Robin")
    fit.answer("Which movement can Robin make?", "left knee")
    fit.answer("What could left knee do?", "1")
    fit.answer("without strain?", "no")
    fit.answer("How sure is it?", "1")
    fit.until("a key that stands in for left-knee")
    fit.until("Backspace goes back.")


def test_a_plan_is_made_and_tried_in_the_terminal(at_terminal: Start, tmp_path: Path) -> None:
    fit = at_terminal("fit", "--plan")
    plan_to_the_game(fit)
    fit.press("f")
    fit.answer("Is there another movement", "no, that")
    fit.answer("What kind of game is it?", "turns")
    fit.answer("Is that what the game needs?")
    fit.answer("Which one?", "1")
    fit.answer("Take this one?")
    fit.until("Enter ends trying")
    fit.press("f")
    fit.until("left-knee pressed")
    fit.press("\r")
    fit.until("left knee: big soft-touch button or pillow switch")
    fit.answer("Where shall it be written?", "gull.yaml")
    assert fit.ends() == 0

    loaded = load(tmp_path / "gull.yaml")
    assert loaded.layout is not None
    assert loaded.layout.title == "Gull on paper"
    assert "big soft-touch button" in (tmp_path / "gull.borrow.txt").read_text()
    assert json.loads((tmp_path / "gull.plan.json").read_text())["title"] == "Gull on paper"
    assert not list((tmp_path / "state").rglob("plan*.json"))


def test_ctrl_c_loses_nothing_and_the_next_start_goes_on(at_terminal: Start) -> None:
    fit = at_terminal("fit", "--plan")
    plan_to_the_game(fit)
    fit.interrupt()
    fit.until("All answers are kept. To go on another time:")
    assert fit.ends() == 130

    fit = at_terminal("fit", "--plan")
    fit.answer_unprompted("hold that switch for a second now.")
    fit.until("“Gull on paper” (left knee) was broken off")
    fit.answer("Go on with it?")
    fit.until("a key that stands in for left-knee")
    assert "What shall the layout be called?" not in fit.text


def test_plain_has_no_marks_and_cuts_no_lines(tmp_path: Path) -> None:
    done = piped(tmp_path, "--plan", "--plain", typed="\nGull\nstop\n")

    assert done.returncode == 0
    assert "Part 1 of 5: who plays what.\n" in done.stdout
    assert "---" not in done.stdout
    assert "\x1b" not in done.stdout
    assert max(len(line) for line in done.stdout.splitlines()) > 100
    assert done.stderr == ""


def test_where_input_ends_the_answers_are_kept(tmp_path: Path) -> None:
    done = piped(tmp_path, "--plan", typed="\nGull\n1")

    assert done.returncode == 130
    assert "All answers are kept." in done.stdout
    (kept,) = (tmp_path / "state").rglob("plan.json")
    assert json.loads(kept.read_text())["answers"] == [["title", "Gull"], ["people", "one"]]


@pytest.mark.parametrize(
    "content", ["", "{}", '{"remapd-fit": 99, "day": "", "answers": []}', '{"remapd-fit": 1, "day"']
)
def test_a_broken_memory_is_no_hindrance(tmp_path: Path, content: str) -> None:
    memory = tmp_path / "state" / "remapd" / "fit" / "plan.json"
    memory.parent.mkdir(parents=True)
    memory.write_text(content)

    done = piped(tmp_path, "--plan", typed="\nstop\n")
    assert done.returncode == 0
    assert "was broken off" not in done.stdout
    assert done.stderr == ""


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("no.plan.json",), 1, "no.plan.json cannot be read"),
        (("broken.plan.json",), 1, "make the plan anew with --plan"),
        (("--from", "no.remapd-pack.txt"), 1, "cannot be read"),
        (("--from", "broken.plan.json"), 1, "is no pack"),
        (("--plan", "--from", "x"), 2, "not allowed with"),
    ],
)
def test_what_cannot_be_gone_on_with_is_told_in_one_line(
    tmp_path: Path, words: tuple[str, ...], code: int, said: str
) -> None:
    (tmp_path / "broken.plan.json").write_text('{"remapd-fitting": 1, "title": ')
    done = piped(tmp_path, *words)

    assert done.returncode == code
    assert said in done.stderr
    assert "Traceback" not in done.stderr


LAYOUT = """\
remapd: 1
title: Gull
devices:
  box:
    find: {name: "No such box", port: "usb-1"} # in the left socket
    controls: {knee: {button: BTN_0}}
layers:
  sail: {knee: south}
"""


def test_a_layout_that_is_there_is_kept_and_only_its_devices_are_asked_for(tmp_path: Path) -> None:
    (tmp_path / "gull.yaml").write_text(LAYOUT)

    done = piped(tmp_path, "gull.yaml", typed="\n\nlater\n")
    assert done.returncode == 0, done.stderr
    assert "gull.yaml is a layout already." in done.stdout
    assert "Which one is box? It has knee." in done.stdout
    assert done.stdout.endswith("box stays as it was.\nEverything stays as it is.\n")
    assert (tmp_path / "gull.yaml").read_text() == LAYOUT


def test_a_pack_is_unpacked_with_what_can_come_later(tmp_path: Path) -> None:
    (tmp_path / "gull.yaml").write_text(LAYOUT)
    content = pack(tmp_path / "gull.yaml", card="", today="2026-01-02", file_name="gull").content
    (tmp_path / "gull.remapd-pack.txt").write_bytes(content)

    done = piped(tmp_path, "--from", "gull.remapd-pack.txt", "there", typed="\nlater\n\nno\n")
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "there" / "gull.yaml").read_text() == LAYOUT


def test_everything_is_said_aloud_where_that_is_wanted(tmp_path: Path) -> None:
    path = tmp_path / "speech" / "speechd.sock"
    server = SpeechServerStandIn(path)
    try:
        done = piped(
            tmp_path, "--plan", "--aloud", typed="\nstop\n", SPEECHD_ADDRESS=f"unix_socket:{path}"
        )
    finally:
        server.close()

    assert done.returncode == 0
    assert "What shall the layout be called? The game and who plays it, say." in server.received
    assert "SET self PRIORITY message" in server.received


def test_where_nothing_can_be_said_aloud_it_is_written_once(tmp_path: Path) -> None:
    address = f"unix_socket:{tmp_path}/none"
    done = piped(tmp_path, "--plan", "--aloud", typed="\nstop\n", SPEECHD_ADDRESS=address)

    assert done.returncode == 0
    assert done.stdout.count("Nothing can be said aloud") == 1

"""`remapd fit` in a terminal, as far as it goes without devices: plans, and breaking off."""

from __future__ import annotations

import json
import os
import resource
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

    def start(*words: str) -> Typed:
        started.append(Typed(*words, folder=tmp_path))
        return started[-1]

    yield start
    for each in started:
        each.close()


def piped(
    folder: Path, *words: str, typed: str = "", largest_file: int | None = None, **environment: str
) -> subprocess.CompletedProcess[str]:
    """With `largest_file` no file can get longer, in bytes: a full disk, as far as we see it."""

    def limit() -> None:
        if largest_file is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (largest_file, largest_file))

    return subprocess.run(
        [sys.executable, "-m", "remapd", "fit", *words],
        input=typed,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
        cwd=folder,
        preexec_fn=limit,
        env={
            "PATH": "/usr/bin:/bin",
            "XDG_STATE_HOME": str(folder / "state"),
            "RUNTIME_DIRECTORY": str(folder),
            "PYTHONPATH": str(Path(__file__).parents[2]),
            # else Python would keep half of what it compiles where files cannot get longer
            "PYTHONDONTWRITEBYTECODE": "1",
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
    fit.answer("Is that right?")
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


#: A plan from its beginning up to where it is written.
TO_THE_FILE = "\nGull\n1\nRobin\nleft knee\n1\nno\n1\nf\nno, that\n\n1\n\n1\n\n\n"


def test_a_full_disk_is_told_another_path_can_be_given_and_nothing_is_lost(tmp_path: Path) -> None:
    full = piped(tmp_path, "--plan", typed=f"{TO_THE_FILE}a.yaml\nb.yaml\n", largest_file=1800)

    said = " ".join(full.stdout.split())
    assert full.returncode == 130, full.stderr
    for name in ("a.yaml", "b.yaml"):
        assert f"That could not be done: {name} cannot be written: File too large." in said
    assert full.stdout.count("Where shall it be written?") == 3
    assert "All answers are kept." in said
    assert [each.name for each in tmp_path.iterdir()] == ["state"]

    later = piped(tmp_path, "--plan", typed="\n\nc.yaml\n")
    assert later.returncode == 0, later.stdout
    assert load(tmp_path / "c.yaml").layout is not None


def test_where_answers_cannot_be_kept_it_is_told_once_and_goes_on(tmp_path: Path) -> None:
    some = piped(tmp_path, "--plan", typed="\nGull\n1\nRobin\nleft knee\n", largest_file=150)
    said = " ".join(some.stdout.split())
    assert said.count("The answers cannot be kept in") == 1
    assert "The last answers could not be kept, but those before them are." in said
    assert some.returncode == 130

    (tmp_path / "blocked").write_text("")
    none = piped(tmp_path, "--plan", typed="\nGull\n1\n", XDG_STATE_HOME=str(tmp_path / "blocked"))
    said = " ".join(none.stdout.split())
    assert "Not a directory" in said
    assert "Nothing was answered yet that could be gone on with." in said
    assert none.stderr == ""


def test_what_would_be_written_over_is_named_and_kept_beside(tmp_path: Path) -> None:
    (tmp_path / "gull.trials.yaml").write_text("trials: []\n")

    done = piped(tmp_path, "--plan", typed=f"{TO_THE_FILE}\nyes\n")
    assert done.returncode == 0, done.stdout
    assert "gull.trials.yaml is there already." in done.stdout
    assert (tmp_path / "gull.trials.yaml.before").read_text() == "trials: []\n"
    assert (tmp_path / "gull.trials.yaml").read_text() != "trials: []\n"

    again = piped(tmp_path, "--plan", typed=f"{TO_THE_FILE}\nno\nother.yaml\n")
    said = " ".join(again.stdout.split())
    assert "gull.yaml, gull.trials.yaml, gull.borrow.txt and gull.plan.json are there" in said
    assert (tmp_path / "other.yaml").exists()


#: What is typed for a path, and what is said of it.
BAD_PATHS = (
    ("x", "a layout's name ends in .yaml"),
    (".", "a layout's name ends in .yaml"),
    ("x.trials.yaml", "that is the name of trials, not of a layout"),
    ("folder.yaml", "there is a folder called folder.yaml"),
    ("pipe.yaml", "what is called pipe.yaml is no file to write a layout into"),
    ("file/x.yaml", "the folder file cannot be written by this user"),
    ("~nobody-here/x.yaml", "there is nobody whose home ~nobody-here could be"),
    (f"{'a' * 300}.yaml", "no file can have that path (File name too long)"),
    ("/proc/x.yaml", "the folder /proc cannot be written"),
)


def test_a_path_that_will_not_do_is_told_and_asked_again(tmp_path: Path) -> None:
    (tmp_path / "folder.yaml").mkdir()
    (tmp_path / "file").write_text("")
    os.mkfifo(tmp_path / "pipe.yaml")
    typed = "".join(f"{path}\n" for path, _ in BAD_PATHS)

    done = piped(tmp_path, "--plan", typed=f"{TO_THE_FILE}{typed}good.yaml\n")
    assert done.returncode == 0, done.stderr
    rest = " ".join(done.stdout.split()).casefold()
    for path, said in BAD_PATHS:
        _, found, rest = rest.partition(said.casefold())
        assert found, f"of {path} was not said: {said}\n{done.stdout}"
    assert load(tmp_path / "good.yaml").layout is not None


def test_ctrl_d_ends_it_where_a_key_is_to_be_pressed(at_terminal: Start) -> None:
    fit = at_terminal("fit", "--plan")
    plan_to_the_game(fit)
    fit.press("\x04")

    fit.until("All answers are kept.")
    assert fit.ends() == 130


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

    (tmp_path / "file").write_text("")
    bad = f"file\n~nobody-here\n{'a' * 300}\n"
    done = piped(tmp_path, "--from", "gull.remapd-pack.txt", "there", typed=f"\nlater\n{bad}\nno\n")
    assert done.returncode == 0, done.stderr
    for said in ("a file called file;", "nobody whose home ~nobody-here", "File name too long"):
        assert said in done.stdout
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

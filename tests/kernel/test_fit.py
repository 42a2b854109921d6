"""A whole fitting: real devices, a real terminal, and then the layout is played with."""

from __future__ import annotations

import math
import os
import re
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from evdev import UInput, ecodes

from remapd.daemon.client import DaemonClient, NotRunning
from tests.support.daemon import (
    BOX,
    KEYBOARD,
    STICK,
    Game,
    grabbed_by_someone,
    press,
    release,
    until,
)
from tests.support.source_devices import send
from tests.support.typed import Typed

CHECKOUT = Path(__file__).parents[2]
Plug = Callable[..., UInput]


@pytest.fixture
def at_terminal(tmp_path: Path) -> Iterator[Callable[..., Typed]]:
    started: list[Typed] = []

    def start(*words: str, **environment: str) -> Typed:
        started.append(Typed(*words, folder=tmp_path, **environment))
        return started[-1]

    yield start
    for number, each in enumerate(started):
        each.close()
        if results := os.environ.get("REMAPD_VM_RESULTS"):
            Path(results, f"{tmp_path.name}-{number}.txt").write_text(each.text)


def hold_until(fit: Typed, device: UInput, code: int, words: str) -> None:
    """Presses and holds until it is heard, as a person does who is asked to."""
    press(device, code)
    fit.until(words)
    release(device, code)


def press_five_times(fit: Typed, device: UInput, code: int) -> None:
    fit.until("Now press it five times")
    for number in range(1, 6):
        press(device, code)
        time.sleep(0.15)
        release(device, code)
        fit.until(f"{number} of 5")
        time.sleep(0.4)  # a pause between two presses, as is asked for: less would come double


def push_all_round(device: UInput, radius: int) -> None:
    for step in range(41):
        far = radius * min(1, step / 8, (40 - step) / 8)
        angle = step / 40 * 2 * math.tau
        send(
            device,
            (ecodes.EV_ABS, ecodes.ABS_X, round(far * math.cos(angle))),
            (ecodes.EV_ABS, ecodes.ABS_Y, round(far * math.sin(angle))),
        )
        time.sleep(0.02)


def show_controls(fit: Typed, left: UInput, right: UInput, stick: UInput) -> None:
    fit.until("press the first switch")
    hold_until(fit, left, ecodes.BTN_0, "always plug each into the same one")
    fit.answer("What shall we call it?", "left knee")
    press_five_times(fit, left, ecodes.BTN_0)
    fit.answer("without strain?", "yes")
    fit.answer("How sure is it?", "1")

    fit.until("The next one")
    hold_until(fit, right, ecodes.BTN_0, "(at usb-2/input0)")
    fit.answer("What shall we call it?", "right knee")
    press_five_times(fit, right, ecodes.BTN_0)
    fit.answer("without strain?", "no")
    fit.answer("How sure is it?", "2")

    fit.until("The next one")
    push_all_round(stick, 60)
    fit.until("That is a stick on Gull small stick")
    fit.answer("What shall we call it?", "chin")
    fit.until("Now push it all round")
    push_all_round(stick, 60)
    fit.answer("without strain?", "yes")
    fit.answer("How sure is it?", "1")


def test_two_boxes_and_a_stick_are_fitted_and_played_with(
    plug: Plug, at_terminal: Callable[..., Typed], tmp_path: Path
) -> None:
    left = plug(BOX, "Gull switch box", phys="usb-1/input0", vendor=0x1209, product=0x7001)
    right = plug(BOX, "Gull switch box", phys="usb-2/input0", vendor=0x1209, product=0x7001)
    stick = plug(STICK, "Gull small stick")
    began = time.monotonic()
    fit = at_terminal("fit")
    fit.answer_unprompted("hold that switch for a second now.")
    fit.answer("What shall the layout be called?", "Gull with two knees")
    fit.answer("Who plays?", "1")
    fit.answer("What is the player called?")

    show_controls(fit, left, right, stick)
    fit.answer_unprompted("Or type `done`", "done")
    fit.answer("Is that right?")
    fit.answer("at the same time", "no")
    fit.answer("What kind of game is it?", "1")
    fit.answer("Is that what the game needs?")
    fit.answer("Which one?", "1")
    fit.answer("Take this one?")
    fit.answer("Is that how it shall be shown?")
    fit.answer("Where shall it be written?", "gull.yaml")
    session_s = time.monotonic() - began
    print(f"the whole session took {session_s:.0f} s")
    fit.answer("Start it now?")

    fit.until("It plays from now on.")
    with playing(tmp_path) as game:
        press(left, ecodes.BTN_0)
        release(left, ecodes.BTN_0)
        game.until(lambda view: "south" in {seen.name for seen in view.changes})
        game.until_neutral()
        send(stick, (ecodes.EV_ABS, ecodes.ABS_X, 60))
        game.until(lambda view: view.axes["left-stick.x"] == 32767)
    fit.interrupt()
    assert fit.ends() in {0, 130}

    text = (tmp_path / "gull.yaml").read_text()
    assert 'port: "usb-1/input0"' in text
    assert "acceptance-delay: 70ms" in text
    assert "reach: 50%" in text
    said = without_ends(fit.text)
    for part in session_in_docs():
        assert part in said, f"docs/fit.md shows another session:\n{part}\n---\n{said}"


def session_in_docs() -> list[str]:
    """What the page shows of this session, cut where it leaves something out.

    What is proposed may be worded in another way any day, so that the page shows it as it once was.
    """
    page = (CHECKOUT / "docs/fit.md").read_text()
    (shown,) = re.findall(r"```text session\n(.*?)```", page, re.DOTALL)
    fixed, _, _ = without_ends(shown).partition("Part 4 of 5")
    parts = re.split(r"^ *…\n", fixed, flags=re.MULTILINE)
    return [part.strip("\n") for part in parts]


def without_ends(text: str) -> str:
    """Without spaces at the ends of lines."""
    return re.sub(r" +$", "", text, flags=re.MULTILINE)


@contextmanager
def playing(folder: Path) -> Iterator[Game]:
    """The pad of the daemon that has its socket in this folder, as a game opens it."""
    os.environ["RUNTIME_DIRECTORY"] = str(folder)

    def answer() -> str | None:
        try:
            with DaemonClient("main") as client:
                status = client.ask("status")["status"]
        except NotRunning:
            return None
        is_ready = status["pad"] and all(d["state"] == "taken" for d in status["devices"])
        return str(status["pad"]["node"]) if is_ready else None

    game = Game(until(answer) or "")
    try:
        yield game
    finally:
        game.close()


def test_one_switch_answers_and_a_box_that_acts_as_a_keyboard_is_told_from_a_keyboard(
    plug: Plug, at_terminal: Callable[..., Typed]
) -> None:
    box = plug(KEYBOARD, "Fit key box")
    family = plug(KEYBOARD, "Fit desk keyboard")
    fit = at_terminal("fit")
    fit.until("hold that switch for a second now")
    hold_until(fit, box, ecodes.KEY_ENTER, "> My layout?")

    def take(words: str) -> None:
        fit.until(f"> {words}?")
        time.sleep(0.4)  # a press right after the last would be its bounce
        press(box, ecodes.KEY_ENTER)
        time.sleep(0.2)
        release(box, ecodes.KEY_ENTER)
        fit.until(f"Taken: {words}.")

    time.sleep(0.5)
    press(box, ecodes.KEY_ENTER)
    time.sleep(0.2)
    release(box, ecodes.KEY_ENTER)
    fit.until("Taken: My layout.")
    take("one player alone")
    press(family, ecodes.KEY_Q)  # what a family's keyboard sends answers nothing, and goes not back
    release(family, ecodes.KEY_Q)
    take("the player")

    fit.until("press the first switch")
    hold_until(fit, family, ecodes.KEY_SPACE, "looks like a keyboard to the computer")
    take("the keyboard that somebody types on: leave it alone")
    fit.until("Fit desk keyboard is left alone from now on.")
    fit.until("press the first switch")
    press(family, ecodes.KEY_SPACE)
    release(family, ecodes.KEY_SPACE)
    hold_until(fit, box, ecodes.KEY_ENTER, "Fit key box looks like a keyboard")
    assert not grabbed_by_someone(box)
    take("a switch box that acts as a keyboard")
    until(lambda: grabbed_by_someone(box))
    assert not grabbed_by_someone(family)

    fit.interrupt()
    fit.until("All answers are kept.")
    assert fit.ends() == 130
    assert not grabbed_by_someone(box)

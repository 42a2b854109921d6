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
from evdev import AbsInfo, UInput, ecodes

from remapd.cli import fit_from, fit_plan  # noqa: F401 - a fork finds them imported
from remapd.daemon.client import DaemonClient, NotRunning
from remapd.fitting.setup import FoundControl, FoundDevice, Person, Setup, to_json
from remapd.language.packing import pack
from tests.support.daemon import (
    BALL,
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

    def start(*words: str, forked: bool = True) -> Typed:
        started.append(Typed(*words, folder=tmp_path, forked=forked))
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


def tap_until(fit: Typed, device: UInput, code: int, words: str) -> None:
    """Presses shortly, and waits for what is made of it."""
    press(device, code)
    release(device, code)
    fit.until(words)


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
    fit = at_terminal("fit", forked=False)
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


ELSEWHERE = """\
remapd: 1
title: Gull elsewhere
devices:
  left-box:
    find: {name: "Gull moving box", port: "there-1/*"} # the red sticker
    controls: {left-knee: {button: BTN_0}}
  right-box:
    find: {name: "Gull moving box", port: "there-2/*"}
    controls: {right-knee: {button: BTN_0}}
layers:
  sail: {left-knee: south, right-knee: east}
"""


def find_lines(path: Path) -> list[str]:
    return [line.strip() for line in path.read_text().splitlines() if "find:" in line]


def test_a_layout_of_another_machine_and_a_plug_that_moves_meanwhile(
    plug: Plug, at_terminal: Callable[..., Typed], tmp_path: Path
) -> None:
    (tmp_path / "gull.yaml").write_text(ELSEWHERE)
    packed = pack(tmp_path / "gull.yaml", card="", today="2026-01-02", file_name="gull")
    (tmp_path / "gull.remapd-pack.txt").write_bytes(packed.content)
    first = plug(BOX, "Gull moving box", phys="here-1/input0")
    second = plug(BOX, "Gull moving box", phys="here-2/input0")

    fit = at_terminal("fit", "--from", "gull.remapd-pack.txt", "here")
    fit.answer_unprompted("hold that switch for a second now.")
    fit.until("Which one is left-box? It has left-knee.")
    tap_until(fit, second, ecodes.BTN_0, "left-box is Gull moving box (at here-2/input0) from")
    fit.until("Which one is right-box?")
    tap_until(fit, first, ecodes.BTN_0, "right-box is Gull moving box (at here-1/input0) from")
    fit.answer("Into which folder")
    fit.answer("Start it now?", "no")
    assert fit.ends() == 0
    assert find_lines(tmp_path / "here/gull.yaml") == [
        'find: {name: "Gull moving box", port: "here-2/input0"} # the red sticker',
        'find: {name: "Gull moving box", port: "here-1/input0"}',
    ]

    fit = at_terminal("fit", "here/gull.yaml")
    fit.answer_unprompted("hold that switch for a second now.")
    fit.answer("here/gull.yaml is a layout already. What shall be done?")
    fit.until("Which one is left-box?")
    second.close()
    fit.until("Gull moving box is unplugged.")
    moved = plug(BOX, "Gull moving box", phys="moved/input0")
    fit.until("Gull moving box is plugged in.")
    tap_until(fit, moved, ecodes.BTN_0, "left-box is Gull moving box (at moved/input0) from now")
    fit.answer_unprompted("Which one is right-box?", "later")
    assert fit.ends() == 0
    assert find_lines(tmp_path / "here/gull.yaml") == [
        'find: {name: "Gull moving box", port: "moved/input0"} # the red sticker',
        'find: {name: "Gull moving box", port: "here-1/input0"}',
    ]


PEDAL = {
    ecodes.EV_KEY: [ecodes.BTN_TRIGGER],
    ecodes.EV_ABS: [(ecodes.ABS_Z, AbsInfo(0, 0, 255, 0, 0, 0))],
}


def push_down(pedal: UInput, far: int) -> None:
    for value in (far // 2, far, far // 2, 0):
        send(pedal, (ecodes.EV_ABS, ecodes.ABS_Z, value))
        time.sleep(0.03)


def roll(ball: UInput) -> None:
    for step in range(12):
        send(
            ball,
            (ecodes.EV_REL, ecodes.REL_X, 18 if step % 4 < 2 else -18),
            (ecodes.EV_REL, ecodes.REL_Y, 18 if step % 3 else -18),
        )
        time.sleep(0.02)


def test_a_plan_is_fitted_with_a_real_pedal_and_a_real_ball(
    plug: Plug, at_terminal: Callable[..., Typed], tmp_path: Path
) -> None:
    robin = Person("Robin")
    plan = Setup(
        "Gull on paper",
        (robin,),
        (
            FoundDevice("lever", {"name": "To be had: lever"}, "a lever", "Robin", stand_in=True),
            FoundDevice("ball", {"name": "To be had: ball"}, "a ball", "Robin", stand_in=True),
        ),
        (
            FoundControl("left-foot", "lever", "lever", ("ABS_Z",), movement="left foot"),
            FoundControl("right-arm", "ball", "pointer", ("REL_X", "REL_Y"), movement="right arm"),
        ),
    )
    (tmp_path / "gull.plan.json").write_text(to_json(plan))
    pedal = plug(PEDAL, "Gull pedal")
    ball = plug(BALL, "Gull large ball")

    fit = at_terminal("fit", "gull.plan.json")
    fit.answer_unprompted("hold that switch for a second now.")
    fit.until("left foot: press or move what was borrowed for it.")
    push_down(pedal, 200)
    fit.until("That is a lever, pedal or trigger on Gull pedal")
    fit.until("Twice, then wait.")
    push_down(pedal, 200)
    fit.until("1 of 2")
    pedal.close()  # its plug is pulled in the middle of it
    fit.until("Gull pedal is unplugged.")
    pedal = plug(PEDAL, "Gull pedal")
    fit.until("Gull pedal is plugged in.")
    push_down(pedal, 200)
    fit.until("1 of 2")
    push_down(pedal, 200)
    fit.until("It was pressed to 78 % of its way.")

    fit.until("right arm: press or move what was borrowed for it.")
    roll(ball)
    fit.answer("Gull large ball looks like a mouse to the computer. What is it?", "1")
    fit.until("Now roll it about for four seconds")
    until(lambda: grabbed_by_someone(ball))  # the desktop's arrow stands still meanwhile
    roll(ball)
    fit.until("counts a second: that is a stick pushed fully.")

    fit.answer("Which one?", "1")
    fit.answer("Take this one?")
    fit.answer("Is that how it shall be shown?")
    fit.answer("Where shall it be written?")
    fit.answer("Start it now?", "no")
    assert fit.ends() == 0
    text = (tmp_path / "gull.yaml").read_text()
    assert "left-foot: {lever: ABS_Z, reach: 70%}" in text
    assert re.search(r"right-arm: \{pointer: \[REL_X, REL_Y\], full-speed: \d+/s", text)
    assert "exclusive: true" in text
    assert "place: {left-foot: [1, 2], right-arm: [3, 1]}" in text

"""What was found can be changed, before the ways to lay it out are shown and after."""

from __future__ import annotations

import functools
from typing import Any

import pytest

from remapd.fitting.conversation.interview import Outcome, Places, fitting
from remapd.fitting.conversation.planning import Planned, planning
from remapd.fitting.conversation.questions import Find, Play
from remapd.language import load_text
from tests.support.sitting import TRIED, Sitting, device, heard

PLACES = Places("", lambda _title: "made.yaml", lambda _path: None, lambda _path: ())
BOX = device("Switch box")
STICK = device("Small stick")
PAD = device("Any pad", is_gamepad=True)
KEYBOARD = device("Desk keyboard", acts_as="keyboard", in_words=True)
ALONE = ("Gull", "1", "Robin")
LEFT_KNEE = (heard("BTN_0", on=BOX), "left knee", "yes", "sure")
RIGHT_KNEE = (heard("BTN_1", on=BOX), "right knee", "yes", "sure")
CHIN = (heard("ABS_X", "ABS_Y", kind="stick", on=STICK), "chin", "yes", "sure")
TO_THE_FILE = ("1", "", "1", "yes", "", "")


def sitting(*steps: Any) -> Sitting[Outcome]:
    made: Sitting[Outcome] = Sitting(functools.partial(fitting, PLACES))
    made.give(*steps)
    return made


def layout_of(made: Sitting[Outcome]) -> str:
    """The layout that came of it, which loads."""
    outcome = made.dialogue.result
    assert outcome is not None, made.text
    assert load_text(outcome.layout).layout is not None
    return outcome.layout


def test_all_that_was_found_is_shown_and_enter_goes_on() -> None:
    made = sitting(*ALONE, *LEFT_KNEE, *CHIN, "done")

    assert (
        "All that was found:\n"
        "  - left-knee: a switch or button on Switch box\n"
        "  - chin: a stick on Small stick\n"
        "Is that right?\n" in made.text
    )
    made.give("", "no", *TO_THE_FILE)
    layout_of(made)


def test_a_control_is_taken_out_and_its_device_with_the_last_one() -> None:
    made = sitting(*ALONE, *LEFT_KNEE, *RIGHT_KNEE, *CHIN, "done")
    made.give("remove", "chin", "remove", "left-knee", "", *TO_THE_FILE[:-1])

    layout = layout_of(made)
    assert "chin" not in layout
    assert "Small stick" not in layout
    assert "left-knee" not in layout
    assert "right-knee: {button: BTN_1}" in layout


def test_what_was_taken_out_can_be_found_again_under_the_same_name() -> None:
    made = sitting(*ALONE, *LEFT_KNEE, *RIGHT_KNEE, "done", "remove", "left-knee")
    made.give("more", *LEFT_KNEE, "done", "", "no", *TO_THE_FILE)

    assert "left-knee: {button: BTN_0}" in layout_of(made)


def test_without_anything_left_something_has_to_be_found() -> None:
    made = sitting(*ALONE, *LEFT_KNEE, "done", "remove")

    assert "nothing that Robin could play with" in made.text
    question = made.dialogue.question
    assert isinstance(question, Find)
    assert question.options == ()
    made.give(*RIGHT_KNEE, "done", "", *TO_THE_FILE[:-1])
    assert "right-knee" in layout_of(made)


def test_a_control_is_called_something_else_and_a_name_that_is_taken_is_refused() -> None:
    made = sitting(*ALONE, *LEFT_KNEE, *RIGHT_KNEE, "done", "rename", "right-knee", "left knee")
    assert "`left-knee` is there already" in made.text

    made.give("chin", "", "no", *TO_THE_FILE)
    layout = layout_of(made)
    assert "chin: {button: BTN_1}" in layout
    assert "right-knee" not in layout


def test_a_device_makes_room_for_the_new_name() -> None:
    made = sitting(*ALONE, *LEFT_KNEE, "done", "rename", "switch box", "", *TO_THE_FILE[:-1])

    layout = layout_of(made)
    assert "switch-box: {button: BTN_0}" in layout
    assert "  switch-box-box:\n" in layout


def test_a_control_is_tried_again_and_all_that_was_said_of_it_is_asked_anew() -> None:
    made = sitting(*ALONE, heard("BTN_0", on=BOX), "left knee", "no", "trembles", *RIGHT_KNEE)
    made.give("done")
    assert "left-knee: a switch or button on Switch box, release-delay 70ms, " in made.text
    made.give("retry", "left-knee", "yes", "brushed", "", "no", *TO_THE_FILE)

    layout = layout_of(made)
    assert "left-knee: {button: BTN_0, acceptance-delay: 80ms}" in layout
    assert "release-delay" not in layout.partition("devices:")[2]


def test_a_try_that_is_skipped_the_second_time_keeps_what_the_first_has_shown() -> None:
    made = sitting(*ALONE)
    made.dialogue.found(0, heard("ABS_X", "ABS_Y", kind="stick", on=STICK))
    made.dialogue.line(0, "chin")
    made.dialogue.found(0, {**TRIED, "settings": {"reach": "45%"}})
    for line in ("yes", "trembles", "done", "retry", "skip", "yes", "sure", ""):
        made.dialogue.line(0, line)
    made.give(*TO_THE_FILE[:-1])

    layout = layout_of(made)
    assert "chin: {stick: [ABS_X, ABS_Y], reach: 45%" in layout
    assert "steady" not in layout


def test_a_box_that_sends_pulses_stays_one_that_cannot_be_held() -> None:
    pulse = heard("BTN_0", on=BOX, held_us=30_000, released=True)
    made = sitting(*ALONE, pulse, "left knee", "sure", "done")
    made.give("retry", "sure")

    assert made.text.count("not to be held") == 4  # noted and listed, twice


def test_a_keyboard_that_was_left_alone_can_be_played_with_after_all() -> None:
    made = sitting(*ALONE, heard("KEY_ENTER", on=KEYBOARD), "leave", *LEFT_KNEE, "done")
    assert "Desk keyboard, which is left alone, is to be played with" in made.text

    made.give("hear 1", heard("KEY_ENTER", on=KEYBOARD), "box", "head", "yes", "sure", "done", "")
    made.give("no", *TO_THE_FILE)
    assert "head: {button: KEY_ENTER}" in layout_of(made)


def test_a_helpers_gamepad_is_taken_out_and_more_is_asked_of_whom_it_is_for() -> None:
    made = sitting("Gull", "2", "Robin", "Kim", *LEFT_KNEE, "done")
    made.give(heard("BTN_SOUTH", on=PAD), "", "done")
    assert "Any pad, all of it (Kim's)" in made.text
    made.give("remove", "Any pad", "more", "Kim", heard("BTN_SOUTH", on=PAD), "", "done", "")
    made.give(*TO_THE_FILE[:-1])

    assert layout_of(made).count("controls: gamepad") == 1


@pytest.mark.parametrize("changed", ["remove", "rename"])
def test_after_the_ways_were_shown_the_controls_can_still_be_changed(changed: str) -> None:
    made = sitting(*ALONE, *LEFT_KNEE, *RIGHT_KNEE, "done", "", "no", "1", "")
    made.give("controls", changed, "right-knee", *(("chin",) if changed == "rename" else ()), "")
    made.give(*(("no",) if changed == "rename" else ()), "1", "yes", "")
    if changed == "rename":
        made.give("")

    layout = layout_of(made)
    assert "right-knee" not in layout
    assert ("chin: {button: BTN_1}" in layout) == (changed == "rename")


def test_a_plans_keys_follow_what_is_renamed_or_taken_out() -> None:
    made: Sitting[Planned] = Sitting(functools.partial(planning, PLACES))
    made.give("Gull", "1", "Robin", "left knee", "button", "yes", "sure", "f", "more")
    made.give("chin", "stick", "yes", "sure", "no", "i", "k", "j", "l", "done")
    made.give("rename", "chin", "mouth", "remove", "left-knee")
    made.give("more", "chin", "stick", "yes", "sure", "no", "f", "g", "h", "b", "done", "")
    made.give("no", "1", "", "1", "yes")

    question = made.dialogue.question
    assert isinstance(question, Play)
    assert dict(question.keys) == {
        **dict(zip("ikjl", ("mouth.up", "mouth.down", "mouth.left", "mouth.right"), strict=True)),
        **dict(zip("fghb", ("chin.up", "chin.down", "chin.left", "chin.right"), strict=True)),
    }
    loaded = load_text(question.layout)
    assert loaded.layout is not None
    assert len(loaded.layout.devices) == 2


def test_a_movement_that_is_taken_out_of_a_plan_frees_its_code() -> None:
    made: Sitting[Planned] = Sitting(functools.partial(planning, PLACES))
    made.give("Gull", "1", "Robin", "left knee", "button", "yes", "sure", "f", "more")
    made.give("right knee", "button", "yes", "sure", "g", "done", "remove", "left-knee")
    made.give("more", "head", "button", "yes", "sure", "f", "done", "", "no", "1", "", "1", "yes")

    question = made.dialogue.question
    assert isinstance(question, Play)
    assert "right-knee: {button: BTN_1}" in question.layout
    assert "head: {button: BTN_0}" in question.layout

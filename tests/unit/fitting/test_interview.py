"""A whole fitting by script: what is asked, what can be gone back on, and what is written."""

from __future__ import annotations

import functools
import json
from typing import Any

import pytest

from remapd.fitting.conversation.dialogue import Kept, Switch
from remapd.fitting.conversation.interview import Outcome, Places, fitting
from remapd.language import load_text
from remapd.language.trials import load_trials_text
from remapd.recording.trials import run_trial
from tests.support.sitting import TRIED, Sitting, device, heard

PLACES = Places("", lambda _title: "made.yaml", lambda _path: None, lambda _path: ())
BOX = device("Switch box")
STICK = device("Small stick", words="a joystick with 2 axes and 1 button")
PAD = device("Any pad", words="a gamepad with 2 sticks", is_gamepad=True)
KEYBOARD = device(
    "Desk keyboard", words="a keyboard that somebody can type on", acts_as="keyboard", in_words=True
)

ALONE = ("Gull", "1", "Robin")
LEFT_KNEE = (heard("BTN_0", on=BOX), "left knee", "yes", "sure")
RIGHT_KNEE = (heard("BTN_1", on=BOX), "right knee", "yes", "sure")


def sitting(*steps: Any, kept: tuple[Kept, ...] = (), places: Places = PLACES) -> Sitting[Outcome]:
    made = Sitting(functools.partial(fitting, places), kept)
    made.give(*steps)
    return made


def written(made: Sitting[Outcome]) -> Outcome:
    """What came of it; its layout loads, and its trials pass."""
    outcome = made.dialogue.result
    assert outcome is not None, made.text
    loaded = load_text(outcome.layout)
    assert loaded.layout is not None
    assert not loaded.diagnostics
    trials = load_trials_text(outcome.trials, loaded.layout).trials
    assert trials
    assert all(run_trial(loaded.layout, trial).passed for trial in trials)
    return outcome


def test_two_knees_and_a_stick_become_a_layout_that_plays() -> None:
    made = sitting(
        *ALONE,
        *LEFT_KNEE,
        *RIGHT_KNEE,
        heard("ABS_X", "ABS_Y", kind="stick", on=STICK),
        "chin",
        "yes",
        "sure",
        "done",
        "",
        "no",
        "1",
        "",
        "1",
        "yes",
        "",
        "",
    )

    outcome = written(made)
    assert outcome.path == "made.yaml"
    assert "left-knee: {button: BTN_0}" in outcome.layout
    assert "chin: {stick: [ABS_X, ABS_Y]}" in outcome.layout
    assert "Everything that the game needs is within reach" in made.text


def test_one_switch_alone_is_enough_for_a_whole_game() -> None:
    made = sitting(*ALONE, *LEFT_KNEE, "done", "", "5", "", "1", "yes", "")

    assert "scan:" in written(made).layout


def test_a_box_that_acts_as_a_keyboard_is_taken_in_words_and_the_familys_is_left() -> None:
    made = sitting(*ALONE, heard("KEY_ENTER", on=KEYBOARD), "leave")
    assert "Desk keyboard is left alone from now on." in made.text
    question = made.dialogue.question
    assert getattr(question, "leave", None) == {KEYBOARD["key"]}

    made = sitting(*ALONE, heard("KEY_ENTER", on=KEYBOARD), "box", "left knee", "yes", "sure")
    made.give("done", "", "5", "", "1", "yes", "")
    assert "exclusive: true" in written(made).layout


def test_the_keyboard_that_is_typed_on_is_left_unless_somebody_says_else() -> None:
    made = sitting(*ALONE, heard("KEY_F", on=KEYBOARD, typed_with=True), "")

    assert "is left alone" in made.text


def test_two_boxes_of_one_kind_are_told_apart_and_it_is_said_how() -> None:
    because = "another of the same name is plugged in and only the sockets tell them apart"
    boxes = [
        device("Twin box", port=port, find={"name": "Twin box", "port": port}, because=because)
        for port in ("usb-1", "usb-2")
    ]
    made = sitting(
        *ALONE,
        heard("BTN_0", on=boxes[0]),
        "left knee",
        "yes",
        "sure",
        heard("BTN_0", on=boxes[1]),
        "right knee",
        "yes",
        "sure",
        "done",
        "",
        "no",
        "1",
        "",
        "1",
        "yes",
        "",
        "",
    )

    assert "only the sockets tell them apart" in made.text
    assert "coloured sticker" in made.text
    layout = written(made).layout
    assert 'port: "usb-1"' in layout
    assert 'port: "usb-2"' in layout


def test_two_people_are_told_apart_by_what_they_are_called() -> None:
    made = sitting("Gull", "2", "Robin", "robin", "Kim")

    assert "The player is called that already; another word for the helper, please." in made.text
    assert "Let Robin press the first switch" in made.text


def test_a_helper_brings_a_whole_gamepad() -> None:
    made = sitting(
        "Gull", "2", "Robin", "Kim", *LEFT_KNEE, "done", heard("BTN_SOUTH", on=PAD), "", "done", ""
    )
    made.give("1", "", "1", "yes", "")

    layout = written(made).layout
    assert "person: helper" in layout
    assert "controls: gamepad" in layout


def test_a_control_that_is_pressed_again_may_say_that_this_is_all() -> None:
    made = sitting(*ALONE, *LEFT_KNEE, heard("BTN_0", on=BOX), "done", "", "5", "", "1", "yes", "")

    assert "That is left-knee, which is known already." in made.text
    written(made)


def test_a_lone_axis_is_asked_about() -> None:
    alone = heard("ABS_Y", kind="lever", on=STICK, pair=["ABS_X", "ABS_Y"])
    made = sitting(*ALONE, alone, "stick", "chin", "yes", "sure", "done")

    assert "On Small stick one axis moved, ABS_Y." in made.text
    assert "chin: a stick on Small stick" in made.text


def test_breath_is_told_by_its_ends_and_a_device_of_that_name_makes_room() -> None:
    sensor = device("Breath", words="a device with 2 axes")
    made = sitting(*ALONE)
    made.dialogue.found(0, heard("ABS_Y", kind="lever", on=sensor, pair=["ABS_X", "ABS_Y"]))
    made.dialogue.line(0, "lever")
    made.dialogue.line(0, "breath")
    made.dialogue.found(0, {**TRIED, "settings": {"rests-at": "middle"}, "first_way": "high"})
    made.give("no", "sure", "done", "", "5", "", "1", "yes", "")

    layout = written(made).layout
    assert '  breath-box:\n    find: {name: "Breath"}' in layout
    assert "breath: {lever: ABS_Y, rests-at: middle, ends: [sip, puff]" in layout


def test_a_name_that_is_taken_or_cannot_be_written_is_asked_again() -> None:
    made = sitting(*ALONE, *LEFT_KNEE, heard("BTN_1", on=BOX), "left knee", "???", "south")

    assert "`left-knee` is there already" in made.text
    assert made.text.count("What shall we call it?") == 2
    made.give("right knee", "yes", "sure")
    assert "right-knee" in made.text


def test_what_the_game_needs_can_be_changed() -> None:
    made = sitting(*ALONE, *LEFT_KNEE, *RIGHT_KNEE, "done", "", "no", "1")
    made.give("rename", "act", "cast net", "add", "horn", "east", "tapped", "remove", "pause")
    made.give("first", "horn", "good")

    assert "  horn  (east)\n  move  (left-stick)\n  cast-net  (south" in made.text
    made.give("1", "yes", "", "")
    assert "needs: [horn, move, cast-net]" in written(made).layout


def test_from_the_proposals_one_goes_back_to_the_game_or_to_more_controls() -> None:
    made = sitting(*ALONE, *LEFT_KNEE, "done", "", "1", "")
    made.give("controls", "more", *RIGHT_KNEE, "done", "", "no")
    assert made.text.count("Part 4 of 5") == 2
    made.give("game", "5", "", "1", "yes", "", "")

    layout = written(made).layout
    assert "right-knee" in layout
    assert "end-turn" in layout


def test_a_file_that_is_there_is_not_written_over_unasked() -> None:
    places = Places(
        "", lambda _t: "made.yaml", lambda _p: None, lambda path: (path,) * (path == "made.yaml")
    )
    made = sitting(*ALONE, *LEFT_KNEE, "done", "", "1", "", "1", "yes", "", "no", places=places)

    assert "made.yaml is there already" in made.text
    made.give("other.yaml")
    assert written(made).path == "other.yaml"


@pytest.mark.parametrize("answered", range(1, 22))
def test_broken_off_anywhere_it_goes_on_to_the_same_layout(answered: int) -> None:
    steps = (*ALONE, *LEFT_KNEE, *RIGHT_KNEE, "done", "", "no", "1", "", "1", "yes", "", "")
    whole = sitting(*steps)
    kept = json.loads(json.dumps([[k.question, k.answer] for k in whole.dialogue.kept]))
    assert len(kept) >= 21

    later = sitting(kept=tuple(Kept(*each) for each in kept[:answered]))
    assert [each.question for each in later.dialogue.kept] == [q for q, _ in kept[:answered]]
    # and from there by the rest of the same answers
    again = sitting(kept=tuple(Kept(*each) for each in kept))
    assert written(again) == written(whole)


def test_going_back_all_the_way_and_forward_again_gives_the_same() -> None:
    steps = (*ALONE, *LEFT_KNEE, "done", "", "1", "", "1", "yes")
    made = sitting(*steps)
    count = len(made.dialogue.kept)
    for _ in range(count):
        made.dialogue.line(0, "back")
    assert made.dialogue.kept == []

    made.give(*steps, "")
    assert written(made) == written(sitting(*steps, ""))


def test_one_switch_fits_itself() -> None:
    """The person who will play answers everything with the one switch there is."""
    switch = Switch(BOX["key"], 0x100)
    made: Sitting[Outcome] = Sitting(functools.partial(fitting, PLACES), switch=switch)
    made.choose(switch, "My layout")
    made.choose(switch, "one player alone")
    made.choose(switch, "the player")
    made.give(heard("BTN_0", on=BOX))
    made.choose(switch, "chin")
    made.give(TRIED)
    made.choose(switch, "yes")
    made.choose(switch, "nearly always")
    made.give(heard("BTN_0", on=BOX))
    made.choose(switch, "no, that is all")
    made.choose(switch, "yes, go on")
    made.choose(switch, "Turns and menus")
    made.choose(switch, "yes, go on")
    made.choose(switch, "way 1")
    made.choose(switch, "yes")
    made.choose(switch, "made.yaml")

    assert "chin: {button: BTN_0}" in written(made).layout

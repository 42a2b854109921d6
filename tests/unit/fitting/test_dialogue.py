"""A dialogue keeps every answer: it goes back, goes on another day, one switch is enough."""

from __future__ import annotations

import json

import pytest

from remapd.fitting.conversation.dialogue import Kept, Switch
from remapd.fitting.conversation.questions import Choose, Find, Interview, Option, Say, Write
from remapd.fitting.conversation.stepping import BACK_US, PACE_US
from tests.support.sitting import Sitting, heard

SWITCH = Switch("a box", 0x100)
OTHER = Switch("a box", 0x101)


def interview() -> Interview[list[str]]:
    colour = yield Choose(
        "wind", "Which wind?", (Option("west", "from the west"), Option("calm", "none")), "calm"
    )
    yield Say(f"The wind is {colour}.")
    boat = yield Write(
        "boat",
        "Which boat?",
        ("Gull", "Tern"),
        lambda words: "no boat is called that" if words == "Brick" else None,
    )
    found = yield Find("switch", "Press it.", (Option("done", "that is all"),))
    return [colour, boat, found if isinstance(found, str) else found["codes"][0]]


def sitting(*steps: str, switch: Switch | None = None) -> Sitting[list[str]]:
    made = Sitting(interview, switch=switch)
    made.give(*steps)
    return made


@pytest.mark.parametrize("typed", ["1", "west", "from the w", "WEST"])
def test_an_answer_is_chosen_by_its_number_or_by_any_of_its_words(typed: str) -> None:
    assert sitting(typed, "Gull", "done").dialogue.result == ["west", "Gull", "done"]


def test_enter_takes_the_usual_answer_and_only_where_there_is_one() -> None:
    made = sitting("", "")

    assert "Please type some words or the number of a suggestion." in made.text
    made.give("2", "", "done")
    assert made.dialogue.result == ["calm", "Tern", "done"]


def test_what_is_no_answer_is_said_and_asked_again() -> None:
    made = sitting("7", "sideways")
    assert made.text.count("Please type a number from 1 to 2") == 2

    made.give("1", "Brick")
    assert "No boat is called that." in made.text
    made.give("Gull", "what now")
    assert "Please type `done`; `help` tells more." in made.text


def test_every_question_can_be_gone_back_to() -> None:
    made = sitting("1", "Gull")
    made.give("back", "back")
    assert isinstance(made.dialogue.question, Choose)
    assert made.dialogue.kept == []

    made.give("back")
    assert "This is the first question." in made.text
    made.give("2", "Tern", "done")
    assert made.dialogue.result == ["calm", "Tern", "done"]


def test_what_was_said_before_is_not_said_again_after_going_back() -> None:
    made = sitting("1", "Gull")
    made.text = ""
    made.give("back")

    assert made.text == ("> back\nBack.\nThe wind is west.\nWhich boat?\n  1. Gull\n  2. Tern\n")


def test_a_word_in_quotes_is_an_answer_and_no_command() -> None:
    assert sitting("1", '"back"', "done").dialogue.result == ["west", "back", "done"]


def test_stopping_keeps_all_answers_and_another_day_goes_on_with_them() -> None:
    made = sitting("1", "Tern", "stop")
    assert made.dialogue.stopped
    written = json.dumps([[each.question, each.answer] for each in made.dialogue.kept])

    later = Sitting(interview, [Kept(*each) for each in json.loads(written)])
    assert later.text == "Press it.\n  Or type `done`: that is all.\n"
    later.give(heard("BTN_1"))
    assert later.dialogue.result == ["west", "Tern", "BTN_1"]


@pytest.mark.parametrize(
    "kept",
    [
        [Kept("wind", "west"), Kept("another question", "Tern")],
        [Kept("wind", "west"), Kept("boat", "Tern"), Kept("switch", ["not", "a", "control"])],
        [Kept("wind", "west"), Kept("boat", "Tern"), Kept("switch", None)],
    ],
)
def test_kept_answers_that_do_not_fit_are_asked_again(kept: list[Kept]) -> None:
    made = Sitting(interview, kept)

    assert not made.dialogue.ended
    assert made.dialogue.kept == kept[: len(made.dialogue.kept)]
    assert len(made.dialogue.kept) == (1 if kept[1].question != "boat" else 2)


def test_help_tells_what_can_be_typed_and_asks_again() -> None:
    made = sitting("help")

    assert "`back` goes back one question" in made.text
    assert made.text.count("Which wind?") == 2


# ------------------------------------------------------------------ one switch


def test_one_switch_answers_everything() -> None:
    made = Sitting(interview, switch=SWITCH)
    made.choose(SWITCH, "from the west")
    made.choose(SWITCH, "Tern")
    made.give(heard("BTN_0"))

    assert made.dialogue.result == ["west", "Tern", "BTN_0"]


def test_the_answers_are_named_at_a_pace_and_wait_when_nobody_presses() -> None:
    made = Sitting(interview, switch=SWITCH)
    assert made.text.endswith("> from the west?\n")
    made.wait(PACE_US * 3 // 2 + 1)
    assert made.text.endswith("> none?\n")
    made.wait(PACE_US * 100)

    assert made.text.count("> none?\n") == 3
    assert made.text.endswith("Press the switch to hear the answers again.\n")
    made.press(SWITCH)
    assert made.text.endswith("> from the west?\n")
    assert made.dialogue.kept == []


def test_holding_the_switch_goes_back_and_so_does_another_switch() -> None:
    made = Sitting(interview, switch=SWITCH)
    made.choose(SWITCH, "none")
    made.wait(500_000)
    made.press(SWITCH, BACK_US + 1)
    assert made.dialogue.kept == []

    made.choose(SWITCH, "none")
    made.press(OTHER)
    assert made.dialogue.kept == []
    made.choose(SWITCH, "from the west")
    made.choose(SWITCH, "go back")
    assert made.dialogue.kept == []


def test_a_bounce_right_after_a_press_takes_nothing() -> None:
    made = Sitting(interview, switch=SWITCH)
    made.press(SWITCH)
    made.wait(20_000)
    made.press(SWITCH, 5_000)

    assert [each.answer for each in made.dialogue.kept] == ["west"]


def test_more_time_can_be_asked_for() -> None:
    made = Sitting(interview, switch=SWITCH)
    made.choose(SWITCH, "more time for each")

    assert made.dialogue.pace_us == PACE_US * 3 // 2
    assert "Each answer now stands for 4.5 seconds." in made.text


def test_typed_answers_count_beside_the_switch_and_can_take_over() -> None:
    made = Sitting(interview, switch=SWITCH)
    made.give("1", "keyboard")
    made.press(SWITCH)
    made.wait(PACE_US * 10)

    assert [each.answer for each in made.dialogue.kept] == ["west"]
    assert made.text.endswith("  1. Gull\n  2. Tern\n")


def test_without_a_switch_that_answers_presses_answer_nothing() -> None:
    made = Sitting(interview)
    made.press(SWITCH)
    made.wait(PACE_US * 10)

    assert made.dialogue.kept == []

"""A plan from movements alone ends in what to borrow, and goes on with the real things."""

from __future__ import annotations

import functools

from remapd.fitting.conversation.dialogue import Kept
from remapd.fitting.conversation.equipping import equipping
from remapd.fitting.conversation.interview import Outcome, Places
from remapd.fitting.conversation.planning import Planned, planning
from remapd.fitting.conversation.questions import Play
from remapd.fitting.setup import from_json, to_json
from remapd.fitting.trying_out import TAP_US, TryOut
from remapd.language import load_text
from tests.support.sitting import Sitting, device, heard

PLACES = Places("", lambda _title: "made.yaml", lambda _path: None, lambda _path: ())
KNEE = ("left knee", "button", "yes", "sure", "f")
CHIN = ("chin", "stick", "yes", "sure", "yes", "i", "k", "j", "l")


def planned(*, kept: tuple[Kept, ...] = ()) -> Sitting[Planned]:
    made: Sitting[Planned] = Sitting(functools.partial(planning, PLACES), kept)
    made.give("Gull on paper", "1", "Robin", *KNEE, "more", *CHIN, "done", "")
    made.give("no", "1", "", "1", "y")
    return made


def finished() -> Planned:
    made = planned()
    made.dialogue.played(0)
    made.give("")
    assert made.dialogue.result is not None
    return made.dialogue.result


def test_a_plan_is_tried_and_ends_in_what_to_borrow() -> None:
    made = planned()
    question = made.dialogue.question
    assert isinstance(question, Play)
    assert question.keys == (
        ("f", "left-knee"),
        ("i", "chin.up"),
        ("k", "chin.down"),
        ("j", "chin.left"),
        ("l", "chin.right"),
    )
    plan = finished()

    assert "1. left knee: " in plan.borrow
    assert "2. chin: mini joystick" in plan.borrow
    assert load_text(plan.outcome.layout).layout is not None
    assert all(each.stand_in for each in plan.outcome.setup.devices)


def test_a_key_stands_for_one_thing_and_backspace_goes_back() -> None:
    made: Sitting[Planned] = Sitting(functools.partial(planning, PLACES))
    made.give("Gull", "1", "Robin", *KNEE, "more", *CHIN[:5], "f")
    assert "That key stands for something already. Another one, please." in made.text

    made.give("i", "\x7f")
    assert "Back." in made.text
    made.give("I", "k", "j", "l", "done", "")
    assert "at the same time" in made.text


def test_what_was_borrowed_takes_the_place_of_the_keys_and_the_rest_stays() -> None:
    setup = from_json(to_json(finished().outcome.setup))
    made: Sitting[Outcome] = Sitting(functools.partial(equipping, setup, PLACES))
    box = device("Real box")
    made.give(heard("BTN_3", on=box), heard("BTN_3", on=box))
    assert "That stands for another movement already." in made.text
    made.give("later", "1", "yes", "", "")

    outcome = made.dialogue.result
    assert outcome is not None
    assert 'find: {name: "Real box"}' in outcome.layout
    assert "left-knee: {button: BTN_3}" in outcome.layout
    assert outcome.setup.game == setup.game
    assert [each.stand_in for each in outcome.setup.devices] == [True, False]


LAYOUT = """
remapd: 1
title: Trying
base: sail
devices:
  box: {find: {name: Box}, controls: {left: {button: BTN_0}, right: {button: BTN_1}}}
  stick: {find: {name: Stick}, controls: {chin: {stick: [ABS_X, ABS_Y]}}}
layers:
  sail: {left: south, right: {layer: net, how: toggle}, chin: left-stick}
  net: {left: {short: east, long: west, after: 800ms}}
"""


def trying(**keys: str) -> TryOut:
    layout = load_text(LAYOUT).layout
    assert layout is not None
    return TryOut(layout, keys, 0)


def test_a_typed_key_is_a_short_press_and_what_comes_of_it_is_told() -> None:
    made = trying(f="left", g="right", i="chin.up")

    assert made.letter(1_000_000, "f") == ["left pressed: south is pressed."]
    assert made.advance(3_000_000) == []
    assert made.letter(4_000_000, "g") == ["right pressed: layer net is on."]
    assert made.letter(5_000_000, "i") == ["chin moves: left-stick goes up."]
    assert made.letter(6_000_000, "x") == ["left-stick is centred."]


def test_a_key_whose_release_is_known_can_be_a_long_press() -> None:
    made = trying(f="left", g="right")
    made.letter(1_000_000, "g")
    made.letter(2_000_000, "f", is_held=True)
    told = made.advance(2_000_000 + 4 * TAP_US)

    assert any("west is pressed" in each for each in told)
    made.let_go(4_000_000, "f")
    assert made.due_us is None

"""What is proposed is what a therapist would think of first."""

from __future__ import annotations

from dataclasses import replace

import pytest

from remapd.fitting.doings import Call, Do, Latched, Layered, Listed, Nothing, ShortLong, Stick
from remapd.fitting.draft import SPARE
from remapd.fitting.games import GAME_KINDS
from remapd.fitting.plans import BASE, Proposal
from remapd.fitting.proposals import propose
from remapd.fitting.setup import Setup
from remapd.fitting.writing import layout_text
from tests.support.fitting_setups import BOTH, BOX, FITTED, PAD, switch


def fitted(name: str, kind: str) -> list[Proposal]:
    return propose(FITTED[f"{name}, {kind}"])


def base_of(proposal: Proposal) -> dict[str, object]:
    return dict(proposal.plan.layer(BASE).bindings)


def test_one_switch_chooses_from_a_list_and_a_short_press_does_what_hurries() -> None:
    best = fitted("one switch", "platform")[0]
    cheek = base_of(best)["cheek"]
    assert isinstance(cheek, ShortLong)
    assert isinstance(cheek.long, Listed)
    assert best.costs[1].verb == "jump"
    assert best.costs[1].actions == 1


def test_one_switch_that_cannot_be_held_is_never_asked_for_a_long_press() -> None:
    for proposal in fitted("one switch that cannot be held", "platform"):
        assert isinstance(base_of(proposal)["cheek"], Listed)


def test_what_goes_on_while_something_else_is_done_goes_on_by_itself() -> None:
    """Walking while jumping, where the body cannot do two things at once."""
    best = fitted("foot stick and a switch", "platform")[0]
    base = base_of(best)
    assert isinstance(base["foot.left"], Latched)
    assert base["other-foot"] == Do("jump")
    assert not best.at_once
    assert not best.apart


def test_whoever_can_do_two_things_at_once_walks_as_long_as_the_control_is_pressed() -> None:
    best = fitted("five switches", "platform")[0]
    assert base_of(best)["left-hand"] == Do("walk.left")
    assert base_of(best)["right-hand"] == Do("walk.right")
    assert ("jump", "walk") in best.at_once


def test_a_breath_is_never_held() -> None:
    for kind in GAME_KINDS:
        for proposal in fitted("sip and puff", kind):
            assert not any(isinstance(doing, ShortLong) for _, _, doing in proposal.plan.doings())


def test_a_deed_goes_to_the_switch_that_cannot_be_held_and_leaves_the_other_to_a_pause() -> None:
    setup = FITTED["trackball and two knees, move-and-one-deed"]
    ball, left, right = setup.controls
    best = propose(replace(setup, controls=(ball, left, replace(right, can_hold=False))))[0]
    assert base_of(best)["right-knee"] == Do("act")
    assert base_of(best)["left-knee"] == ShortLong(Nothing(), Do("pause"))

    brushed = replace(right, can_hold=False, settings={"acceptance-delay": "70ms"})
    best = propose(replace(setup, controls=(ball, left, brushed)))[0]
    assert base_of(best)["left-knee"] == ShortLong(Do("act"), Do("pause"))


def test_a_stick_that_cannot_be_kept_pushed_is_kicked() -> None:
    best = fitted("foot stick that cannot be kept pushed", "move-and-one-deed")[0]
    assert best.plan.key == "kicks"
    for _, word, doing in best.plan.doings():
        assert "." in word, "it is never taken whole"
        assert not (isinstance(doing, Do) and doing.word.startswith("move."))


def test_a_stick_is_swapped_until_it_is_swapped_back_and_rare_things_take_one_press() -> None:
    best = fitted("trackball and two knees", "first-person")[0]
    key = base_of(best)["right-knee"]
    assert key == ShortLong(Layered("now-look", "toggle"), Layered("more", "next"))
    assert best.plan.layer("now-look").bindings["roll"] == Stick("look", centred=True)


@pytest.mark.parametrize("verbs", [{"walk", "look", "act"}, {"walk", "look"}])
def test_a_game_of_two_sticks_needs_one_key_and_no_further_layer(verbs: set[str]) -> None:
    setup = FITTED["trackball and two knees, first-person"]
    game = setup.game
    for verb in game.verbs:
        if verb.name not in verbs:
            game = game.without(verb.name)
    best = propose(replace(setup, game=game))[0]
    left_over = Do("act") if "act" in verbs else Call(SPARE)
    assert base_of(best)["left-knee"] == left_over
    assert base_of(best)["right-knee"] == Layered("now-look", "toggle")
    assert [layer.name for layer in best.plan.layers] == [BASE, "now-look"]


def test_pedals_give_speed_by_degrees() -> None:
    found = fitted("pedals and chin", "driving")
    assert any(base_of(each).get("right-pedal") == Stick("drive") for each in found)


def test_left_is_on_the_left_and_what_has_no_side_opens_the_layer() -> None:
    setup = FITTED["three switches, driving"]
    chin, left, right = (setup.controls[number] for number in (2, 0, 1))
    for controls in (setup.controls, (chin, right, left), (right, left, chin)):
        found = propose(replace(setup, controls=controls))
        layered = next(each for each in found if each.plan.key == "round")
        assert base_of(layered)["left-hand"] == Do("steer.left")
        assert base_of(layered)["right-hand"] == Do("steer.right")


def test_the_helper_takes_what_is_left_over_and_steps_back_where_both_can() -> None:
    best = fitted("two switches and a helper's pad", "driving")[0]
    assert best.plan.key == "shared"
    assert {cost.verb: cost.by for cost in best.costs}["steer"] == "either"
    assert {cost.verb: cost.by for cost in best.costs}["drive"] == "helper"
    assert "player-first" in best.plan.merge["steer"]
    assert not best.apart, "of two people each does one thing"


def test_a_helper_with_one_switch_takes_over_what_the_player_goes_far_for() -> None:
    setup = FITTED["foot stick, platform"]
    setup = replace(
        setup,
        people=BOTH,
        devices=(*setup.devices, replace(BOX, person="Bo")),
        controls=(*setup.controls, switch("bos-switch", 0)),
    )
    best = propose(setup)[0]
    assert base_of(best)["foot.up"] == Do("jump")
    assert base_of(best)["bos-switch"] == Do("act")
    assert best.costs[2].by == "either"


def test_the_players_own_ways_are_counted_where_a_helper_is_quicker() -> None:
    by_hand = next(
        each
        for each in fitted("two switches and a helper's pad", "move-and-one-deed")
        if each.plan.key == "list-by-hand"
    )
    move = by_hand.costs[0]
    assert (move.by, move.most_actions) == ("either", 5)


@pytest.mark.parametrize("name", FITTED)
def test_nobody_pauses_the_game_unmeant(name: str) -> None:
    """In the best proposal a pause takes a long press, two acts, or the helper."""
    pause = next(cost for cost in propose(FITTED[name])[0].costs if cost.verb == "pause")
    assert pause.by == "helper" or pause.actions > 1 or pause.how.startswith("hold "), pause.how


def test_what_hurries_keeps_off_what_does_not_always_come_or_is_said() -> None:
    for kind in GAME_KINDS:
        setup = FITTED[f"three switches and a small stick, {kind}"]
        hasty = {verb.name for verb in setup.game.verbs if verb.in_haste}
        for number, proposal in enumerate(propose(setup)):
            doing = base_of(proposal).get("left-elbow")
            if isinstance(doing, Do) and doing.word in hasty:
                assert number > 0
                assert any("left-elbow" in each for each in proposal.advice)


def test_a_layer_that_is_held_comes_last_and_only_for_a_body_that_can() -> None:
    able = replace(FITTED["five switches, driving"], two_at_once=True)
    unable = replace(able, two_at_once=False)
    assert not any("held" in each.plan.key for each in propose(unable))
    keys = ["held" in each.plan.key for each in propose(able)]
    assert keys == sorted(keys)


def test_with_nothing_to_press_nothing_is_proposed() -> None:
    assert propose(Setup("nothing", game=GAME_KINDS["platform"])) == []
    assert propose(Setup("a helper alone", devices=(PAD,))) == []


def test_the_written_layout_speaks_to_a_family() -> None:
    setup = FITTED["foot stick and a switch, first-person"]
    text = layout_text(setup, propose(setup)[0])
    assert max(map(len, text.splitlines())) <= 100
    for said in (
        "# Who plays     Ada. Movements: right foot; left foot.",
        "# Plug in       The joystick; a switch box.",
        "# How it plays",
        "# Change first",
        "# Take care",
        "therapist",
        "other-foot: {button: BTN_0} # left foot",
        "cues:",
        "place: {",
    ):
        assert said in text

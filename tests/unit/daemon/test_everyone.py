"""Who is the player, found out from what the pads send."""

from __future__ import annotations

from remapd.codes import EV_KEY, KEYS
from remapd.daemon.everyone import CLAIM_US, PADS, SWAP_US, WhoIsWho, layout_text
from remapd.engine.layout import Layout
from remapd.language import load_text

SOUTH, EAST = KEYS["BTN_SOUTH"], KEYS["BTN_EAST"]
SELECT, START = KEYS["BTN_SELECT"], KEYS["BTN_START"]


def down(*codes: int) -> list[tuple[int, int, int]]:
    return [(EV_KEY, code, 1) for code in codes]


def up(*codes: int) -> list[tuple[int, int, int]]:
    return [(EV_KEY, code, 0) for code in codes]


def two_pads() -> WhoIsWho:
    who = WhoIsWho()
    who.plug(0, ())
    who.plug(1, ())
    return who


def claimed(pad: int) -> WhoIsWho:
    who = two_pads()
    who.feed(0, pad, down(SOUTH))
    assert who.advance(CLAIM_US, [0, 1]) == "claimed"
    assert who.feed(CLAIM_US + 1, pad, up(SOUTH))
    return who


def layout() -> Layout:
    loaded = load_text(layout_text([0, 1, *[1] * (PADS - 2)]))
    assert loaded.diagnostics == []
    assert loaded.layout is not None
    return loaded.layout


def test_the_layout_is_one_that_the_language_takes() -> None:
    devices = layout().devices
    assert [device.person for device in devices] == [0, 1, 1, 1, 1, 1, 1, 1]
    assert all(device.gamepad and device.optional and device.exclusive for device in devices)


def test_until_somebody_is_known_all_are_players() -> None:
    assert two_pads().persons() == [0] * PADS


def test_who_holds_a_button_for_a_second_first_is_the_player() -> None:
    who = two_pads()
    who.feed(0, 0, down(SOUTH))
    who.feed(400_000, 1, down(EAST))
    who.feed(900_000, 0, up(SOUTH))
    assert who.due_us == 400_000 + CLAIM_US
    assert who.advance(who.due_us - 1, [0, 1]) == ""
    assert who.advance(who.due_us, [0, 1]) == "claimed"
    assert who.chosen == 1


def test_the_decision_takes_effect_when_the_button_is_let_go() -> None:
    who = two_pads()
    who.feed(0, 1, down(EAST))
    who.advance(CLAIM_US, [0, 1])
    assert who.persons() == [0] * PADS
    assert not who.feed(CLAIM_US + 1, 1, down(SOUTH))
    assert not who.feed(CLAIM_US + 2, 1, up(EAST))
    assert who.feed(CLAIM_US + 3, 1, up(SOUTH))
    assert who.persons() == [1, 0, 1, 1, 1, 1, 1, 1]


def test_a_later_hold_changes_nothing() -> None:
    who = claimed(1)
    who.feed(10_000_000, 0, down(SOUTH))
    assert who.due_us is None


def test_select_and_start_for_two_seconds_change_places() -> None:
    who = claimed(0)
    who.feed(10_000_000, 1, down(SELECT))
    who.feed(10_500_000, 1, down(START))
    assert who.due_us == 10_500_000 + SWAP_US
    assert who.advance(who.due_us, [0, 1]) == "swapped"
    assert who.feed(13_000_000, 1, up(SELECT, START))
    assert who.player == 1
    assert who.decide_swap([0, 1])
    assert who.take_effect()
    assert who.player == 0


def test_with_one_pad_there_is_nobody_to_change_places_with() -> None:
    assert not claimed(0).decide_swap([0])


def test_three_take_turns() -> None:
    who = claimed(0)
    turns = []
    for _ in range(4):
        who.decide_swap([0, 3, 5])
        who.take_effect()
        turns.append(who.player)
    assert turns == [3, 5, 0, 3]


def test_a_pad_that_is_unplugged_while_it_holds_has_decided() -> None:
    who = two_pads()
    who.feed(0, 1, down(SOUTH))
    who.advance(CLAIM_US, [0, 1])
    assert who.unplug(1)
    assert who.player == 1


def test_what_was_held_at_the_plug_claims_nothing() -> None:
    who = WhoIsWho()
    who.plug(0, [SOUTH])
    assert who.due_us is None
    assert who.known() == {0}

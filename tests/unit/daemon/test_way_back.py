"""Escape, or both outer mouse buttons, held for five seconds."""

from __future__ import annotations

import pytest

from remapd.codes import EV_ABS, EV_KEY, KEYS
from remapd.daemon.way_back import HOLD_US, WayBack

ESC, LEFT, RIGHT, MIDDLE = (
    KEYS[name] for name in ("KEY_ESC", "BTN_LEFT", "BTN_RIGHT", "BTN_MIDDLE")
)


def key(code: int, value: int) -> tuple[int, int, int]:
    return EV_KEY, code, value


@pytest.mark.parametrize("codes", [[ESC], [LEFT, RIGHT]])
def test_it_is_due_five_seconds_after_the_last_of_them_is_down(codes: list[int]) -> None:
    way_back = WayBack(0, ())
    for number, code in enumerate(codes):
        way_back.feed(1000 * number, [key(code, 1)])
    assert (
        way_back.due_us == 1000 * (len(codes) - 1) + HOLD_US == 5_000_000 + 1000 * (len(codes) - 1)
    )


def test_letting_go_begins_anew() -> None:
    way_back = WayBack(0, ())
    way_back.feed(0, [key(ESC, 1)])
    way_back.feed(4_999_999, [key(ESC, 0)])
    assert way_back.due_us is None
    way_back.feed(5_000_000, [key(ESC, 1)])
    assert way_back.due_us == 10_000_000


def test_other_keys_and_one_button_alone_are_nothing() -> None:
    way_back = WayBack(0, [KEYS["KEY_A"], MIDDLE])
    way_back.feed(0, [key(LEFT, 1), key(KEYS["KEY_A"], 1), (EV_ABS, ESC, 1)])
    assert way_back.due_us is None


def test_other_keys_meanwhile_do_not_put_it_off() -> None:
    way_back = WayBack(0, ())
    way_back.feed(0, [key(ESC, 1)])
    way_back.feed(1_000_000, [key(KEYS["KEY_A"], 1)])
    way_back.feed(2_000_000, [key(LEFT, 1), key(RIGHT, 1)])
    way_back.feed(3_000_000, [key(RIGHT, 0)])
    assert way_back.due_us == HOLD_US


def test_what_is_held_when_the_device_is_taken_counts() -> None:
    assert WayBack(7, [ESC]).due_us == 7 + HOLD_US

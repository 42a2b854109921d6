"""What a person pressed or moved is made out from frames alone."""

from __future__ import annotations

from types import MappingProxyType

import pytest

from remapd.codes import AXES, EV_ABS, EV_KEY, EV_REL, KEYS, RELS
from remapd.engine.matching import LETTER_KEYS
from remapd.engine.source import AxisRange, Source
from remapd.fitting.hearing import HOLD_US, Ear, Heard, is_for_listening

MS = 1_000
BTN_0, BTN_1, ENTER, D = KEYS["BTN_0"], KEYS["BTN_1"], KEYS["KEY_ENTER"], KEYS["KEY_D"]
X, Y, Z, RZ, HAT_X, HAT_Y = (
    AXES[name] for name in ("ABS_X", "ABS_Y", "ABS_Z", "ABS_RZ", "ABS_HAT0X", "ABS_HAT0Y")
)
BYTE = AxisRange(0, 255)

BOX = Source(1, "Switch box", keys=frozenset((BTN_0, BTN_1)))
KEYBOARD = Source(2, "Keyboard", keys=frozenset((*LETTER_KEYS, ENTER)))
BALL = Source(3, "Ball", keys=frozenset((KEYS["BTN_LEFT"],)), rels=frozenset((0, 1)))


def stick(*axes: int, span: AxisRange = BYTE) -> Source:
    return Source(
        4, "Stick", keys=frozenset((KEYS["BTN_TRIGGER"],)),
        axes=MappingProxyType(dict.fromkeys(axes, span)),
    )  # fmt: skip


def key(code: int, value: int) -> list[tuple[int, int, int]]:
    return [(EV_KEY, code, value)]


def moved(axis: int, value: int) -> list[tuple[int, int, int]]:
    return [(EV_ABS, axis, value)]


def until_heard(ear: Ear, most_us: int = 10_000_000) -> Heard | None:
    due_us = ear.due_us
    while due_us is not None and due_us <= most_us:
        heard = ear.advance(due_us)
        if heard is not None:
            return heard
        if ear.due_us == due_us:
            return None
        due_us = ear.due_us
    return None


def test_a_switch_is_heard_while_it_is_held_so_that_nobody_holds_for_long() -> None:
    ear = Ear(BOX, (), {})
    assert ear.feed(0, key(BTN_1, 1)) is None

    assert ear.advance(HOLD_US - 1) is None
    assert ear.advance(HOLD_US) == Heard("button", (BTN_1,), HOLD_US, released=False)


def test_a_short_press_is_heard_with_its_length() -> None:
    ear = Ear(BOX, (), {})
    ear.feed(0, key(BTN_0, 1))

    assert ear.feed(90 * MS, key(BTN_0, 0)) == Heard("button", (BTN_0,), 90 * MS, released=True)


def test_what_was_held_before_the_question_is_no_answer() -> None:
    ear = Ear(BOX, (BTN_0,), {})
    assert ear.feed(0, key(BTN_0, 0)) is None
    assert until_heard(ear) is None

    ear.feed(1, key(BTN_0, 1))
    assert ear.feed(2 * MS, key(BTN_0, 0)) is not None


def test_somebody_who_types_a_word_presses_no_switch() -> None:
    ear = Ear(KEYBOARD, (), {})
    for number, code in enumerate((D, KEYS["KEY_O"], KEYS["KEY_N"], KEYS["KEY_E"], ENTER)):
        assert ear.feed(number * 150 * MS, key(code, 1)) is None
        assert ear.feed(number * 150 * MS + 80 * MS, key(code, 0)) is None

    assert until_heard(ear) is None


def test_a_box_that_sends_one_key_like_a_keyboard_is_heard() -> None:
    ear = Ear(KEYBOARD, (), {})
    ear.feed(0, key(ENTER, 1))
    assert ear.feed(100 * MS, key(ENTER, 0)) is None

    assert until_heard(ear) == Heard("button", (ENTER,), 100 * MS, released=True)


def test_the_keyboard_that_answers_are_typed_on_is_heard_only_when_a_key_is_held() -> None:
    ear = Ear(KEYBOARD, (), {}, only_held=True)
    ear.feed(0, key(D, 1))
    ear.feed(90 * MS, key(D, 0))
    assert until_heard(ear) is None

    ear.feed(2_000 * MS, key(D, 1))
    assert until_heard(ear) == Heard("button", (D,), HOLD_US, released=False)


def test_a_stick_is_heard_when_its_second_axis_follows() -> None:
    ear = Ear(stick(X, Y), (), {X: 128, Y: 128})
    assert ear.feed(0, moved(X, 250)) is None

    assert ear.feed(50 * MS, moved(Y, 200)) == Heard("stick", (X, Y))


def test_jitter_is_no_stick() -> None:
    ear = Ear(stick(X, Y), (), {X: 128, Y: 128})
    for number in range(200):
        assert ear.feed(number * 8 * MS, moved((X, Y)[number % 2], 128 + number % 25)) is None

    assert until_heard(ear) is None


def test_a_stick_that_was_pushed_one_way_only_may_be_a_lever() -> None:
    ear = Ear(stick(X, Y), (), {X: 128, Y: 128})
    ear.feed(0, moved(Y, 20))
    ear.feed(400 * MS, moved(Y, 128))

    assert until_heard(ear) == Heard("lever", (Y,), pair=(X, Y))


def test_a_pedal_is_a_lever_without_a_doubt() -> None:
    ear = Ear(stick(Z), (), {Z: 0})
    ear.feed(0, moved(Z, 240))
    ear.feed(400 * MS, moved(Z, 3))

    assert until_heard(ear) == Heard("lever", (Z,))


def test_two_pedals_are_not_the_second_stick_of_a_pad() -> None:
    pedals = Ear(stick(Z, RZ), (), {Z: 0, RZ: 0})
    pedals.feed(0, moved(Z, 240))
    assert pedals.feed(9 * MS, moved(RZ, 200)) is None

    second_stick = Ear(stick(Z, RZ), (), {Z: 128, RZ: 128})
    second_stick.feed(0, moved(Z, 240))
    assert second_stick.feed(9 * MS, moved(RZ, 200)) == Heard("stick", (Z, RZ))


def test_a_trigger_that_is_a_button_too_is_taken_by_its_way() -> None:
    ear = Ear(stick(Z), (), {Z: 0})
    ear.feed(0, [*moved(Z, 255), *key(KEYS["BTN_TRIGGER"], 1)])

    heard = ear.feed(200 * MS, [*key(KEYS["BTN_TRIGGER"], 0), *moved(Z, 0)])
    assert heard == Heard("lever", (Z,))


def test_a_hat_is_heard_at_its_first_push() -> None:
    ear = Ear(stick(HAT_X, HAT_Y, span=AxisRange(-1, 1)), (), {HAT_X: 0, HAT_Y: 0})

    assert ear.feed(0, moved(HAT_X, -1)) == Heard("stick", (HAT_X, HAT_Y))


def test_a_ball_is_heard_when_it_rolls_and_not_when_a_click_shakes_it() -> None:
    ear = Ear(BALL, (), {})
    click = [(EV_KEY, KEYS["BTN_LEFT"], 1), (EV_REL, RELS["REL_X"], 3)]
    assert ear.feed(0, click) is None
    heard = ear.feed(80 * MS, key(KEYS["BTN_LEFT"], 0))
    assert heard is not None
    assert heard.kind == "button"

    ear = Ear(BALL, (), {})
    rolls = [ear.feed(n * 10 * MS, [(EV_REL, RELS["REL_Y"], -9)]) for n in range(9)]
    assert rolls[-1] == Heard("pointer", (RELS["REL_X"], RELS["REL_Y"]))


@pytest.mark.parametrize("codes", [("BTN_TOUCH", "BTN_TOOL_FINGER"), ("KEY_POWER",)])
def test_a_touchpad_and_the_computers_own_button_are_not_listened_to(
    codes: tuple[str, ...],
) -> None:
    source = Source(9, "Not for play", keys=frozenset(KEYS[code] for code in codes))

    assert not is_for_listening(source)
    assert is_for_listening(BOX)

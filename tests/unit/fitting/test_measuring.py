"""A control used as in play gives the settings that it asks for, each with its reason."""

from __future__ import annotations

import math

import pytest

from remapd.codes import AXES, EV_ABS, EV_KEY, EV_REL
from remapd.engine.source import AxisRange
from remapd.fitting.measuring import SwitchMeasure, acceptance_for, pulse_note
from remapd.fitting.measuring_moves import LeverMeasure, RollMeasure, StickMeasure

MS = 1_000
X, Y, Z = AXES["ABS_X"], AXES["ABS_Y"], AXES["ABS_Z"]
CODE = 0x100


def pressed(measure: SwitchMeasure, *edges_ms: float) -> None:
    for number, ms in enumerate(edges_ms):
        measure.feed(int(ms * MS), [(EV_KEY, CODE, 1 - number % 2)])


def test_a_clean_switch_needs_no_setting() -> None:
    measure = SwitchMeasure(CODE)
    for press in range(5):
        assert not measure.done
        pressed(measure, press * 1500, press * 1500 + 250)
    measure.advance(6_250 * MS)
    assert not measure.done  # its last chatter is waited for
    measure.advance(6_650 * MS)

    assert measure.done
    assert measure.progress == "5 of 5"
    assert measure.result().settings == {}
    assert measure.result().presses_us == (250 * MS,) * 5


def test_a_chattering_switch_gets_a_debounce_and_is_counted_once() -> None:
    measure = SwitchMeasure(CODE, presses=2)
    pressed(measure, 0, 3, 9, 11, 20, 400)
    assert measure.came == 1
    pressed(measure, 2000, 2300)
    measure.advance(3_000 * MS)

    assert measure.done
    assert measure.result().settings["debounce"] == "30ms"
    assert "chattered" in measure.result().notes[0]


def test_presses_that_come_double_get_a_repeat_guard() -> None:
    measure = SwitchMeasure(CODE, presses=3)
    pressed(measure, 0, 200, 400, 600, 2000, 2200)
    measure.advance(3_000 * MS)

    assert measure.result().settings == {"repeat-guard": "300ms"}


@pytest.mark.parametrize(
    ("presses_ms", "expected"),
    [((300, 400), "80ms"), ((90, 400), "40ms"), ((30,), None), ((), "80ms")],
)
def test_an_acceptance_delay_never_swallows_a_press_that_was_meant(
    presses_ms: tuple[int, ...], expected: str | None
) -> None:
    assert acceptance_for(ms * MS for ms in presses_ms) == expected


def test_a_switch_that_was_to_be_held_and_sent_a_pulse_is_told() -> None:
    assert pulse_note(40 * MS, released=True)[0].startswith("It was pressed for 40.0 ms only.")
    assert pulse_note(900 * MS, released=True) == ()
    assert pulse_note(1_000 * MS, released=False) == ()


def all_round(
    measure: StickMeasure, *, centre: tuple[int, int] = (128, 128), radius: float = 127, us: int = 0
) -> None:
    for step in range(101):
        angle = min(max(step - 10, 0), 80) / 80 * math.tau
        far = radius * min(1, step / 10, (100 - step) / 10)
        x = round(centre[0] + far * math.cos(angle))
        y = round(centre[1] + far * math.sin(angle))
        measure.feed(us + step * 30 * MS, [(EV_ABS, X, x), (EV_ABS, Y, y)])
    measure.advance(us + 3_000 * MS + 1_600 * MS)


def stick_measure(x: int = 128, y: int = 128) -> StickMeasure:
    span = AxisRange(0, 256)
    return StickMeasure((X, Y), {X: span, Y: span}, {X: x, Y: y})


def test_a_stick_that_goes_all_the_way_needs_no_setting() -> None:
    measure = stick_measure()
    all_round(measure, radius=128)

    assert measure.done
    assert measure.result().settings == {}
    assert not measure.result().small_range


def test_a_small_movement_counts_as_the_whole() -> None:
    measure = stick_measure()
    all_round(measure, radius=64)

    assert measure.result().settings == {"reach": "45%"}
    assert measure.result().small_range


def test_a_movement_that_is_small_to_one_side_is_fitted_there_alone() -> None:
    measure = stick_measure()
    for number, (x, y) in enumerate(((256, 128), (128, 256), (60, 128), (128, 0), (128, 128))):
        measure.feed(number * 500 * MS, [(EV_ABS, X, x), (EV_ABS, Y, y)])
    measure.advance(5_000 * MS)

    assert measure.done
    assert measure.result().settings == {"reach": "{left: 45%}"}


def test_a_stick_that_does_not_rest_in_its_middle_gets_a_centre() -> None:
    measure = stick_measure(x=148)
    all_round(measure, centre=(148, 128), radius=108)

    assert measure.result().settings["centre"] == "[16%, 0%]"


def test_a_stick_is_not_done_before_it_was_everywhere_and_let_go() -> None:
    measure = stick_measure()
    measure.feed(0, [(EV_ABS, X, 256)])
    measure.feed(500 * MS, [(EV_ABS, X, 128)])
    measure.advance(60_000 * MS)
    assert not measure.done
    assert measure.progress == "still to come: left, up, down"

    all_round(measure, us=60_000 * MS)
    assert measure.done


def test_a_hat_has_no_reach() -> None:
    span = AxisRange(-1, 1)
    measure = StickMeasure((X, Y), {X: span, Y: span}, {X: 0, Y: 0})
    for number, (x, y) in enumerate(((1, 0), (0, 1), (-1, 0), (0, -1), (0, 0))):
        measure.feed(number * 500 * MS, [(EV_ABS, X, x), (EV_ABS, Y, y)])
    measure.advance(9_000 * MS)

    assert measure.done
    assert measure.result().settings == {}


@pytest.mark.parametrize(
    ("rest", "end", "expected"),
    [
        (0, 250, {}),
        (0, 128, {"reach": "45%"}),
        (255, 4, {"rests-at": "high"}),
        (128, 10, {"rests-at": "middle"}),
    ],
)
def test_a_lever_shows_where_it_rests_and_how_far_it_goes(
    rest: int, end: int, expected: dict[str, str]
) -> None:
    measure = LeverMeasure(Z, AxisRange(0, 255), rest)
    for use in range(2):
        assert not measure.done
        measure.feed(use * 2_000 * MS, [(EV_ABS, Z, end)])
        measure.feed(use * 2_000 * MS + 500 * MS, [(EV_ABS, Z, rest)])
    measure.advance(5_000 * MS)

    assert measure.done
    assert measure.result().settings == expected
    assert measure.result().first_way == ("high" if end > rest else "low")


def test_a_ball_gets_the_speed_that_the_hand_gives_it() -> None:
    measure = RollMeasure((0, 1))
    for step in range(400):
        measure.feed(step * 10 * MS, [(EV_REL, step // 50 % 2, 4 if step % 3 else 2)])
    measure.advance(4_100 * MS)

    assert measure.done
    speed = int(measure.result().settings["full-speed"].removesuffix("/s"))
    assert speed == pytest.approx(350, abs=50)

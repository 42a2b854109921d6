"""Raw events read back as what hands do: for every kind of control, what was done comes out."""

from __future__ import annotations

import pytest

from remapd.engine import Layout
from remapd.recording.driver import ControlDriver, DeviceEvents
from remapd.show.hands_seen import HandChange, HandsSeen
from tests.support.layouts import load_or_fail

LAYOUT = """\
remapd: 1
devices:
  board:
    find: {name: "Board"}
    controls:
      knob: {button: BTN_0}
      rest: {button: BTN_1, inverted: true}
      tiller: {stick: [ABS_X, ABS_Y]}
      pedal: {lever: ABS_Z, rests-at: high}
      breath: {lever: ABS_RX, rests-at: middle, ends: [sip, puff]}
      ball: {pointer: [REL_X, REL_Y], full-speed: 1000/s, window: 50ms}
layers:
  play: {knob: south}
"""


class Board:
    def __init__(self) -> None:
        self.layout: Layout = load_or_fail(LAYOUT)
        self.driver = ControlDriver(self.layout)
        self.seen = HandsSeen(self.layout)
        self.seen.plug(0, self.driver.stand_in(0).source)

    def number(self, name: str) -> int:
        return [control.name for control in self.layout.controls].index(name)

    def feed(self, us: int, what: DeviceEvents) -> list[HandChange]:
        return self.seen.feed(us, *what)


@pytest.fixture
def board() -> Board:
    return Board()


def test_a_button_is_pressed_and_let_go(board: Board) -> None:
    knob = board.number("knob")

    assert board.feed(5, board.driver.press("knob")) == [HandChange(5, knob, 1.0)]
    assert board.feed(6, board.driver.press("knob")) == []
    assert board.feed(7, board.driver.release("knob")) == [HandChange(7, knob, 0.0)]


def test_an_inverted_button_is_pressed_by_letting_go(board: Board) -> None:
    assert board.feed(5, board.driver.press("rest"))[0].x == 1.0


def test_a_stick_is_told_in_shares_of_its_way(board: Board) -> None:
    tiller = board.number("tiller")

    assert board.feed(5, board.driver.move("tiller", 0.5, -0.25)) == [
        HandChange(5, tiller, 0.5, -0.25)
    ]
    assert board.feed(9, board.driver.rest("tiller")) == [HandChange(9, tiller, 0.0)]


def test_levers_are_told_from_where_they_rest(board: Board) -> None:
    assert board.feed(5, board.driver.move("pedal", 0.25))[0].x == pytest.approx(0.25)
    assert board.feed(6, board.driver.move("breath", -0.5))[0].x == pytest.approx(-0.5)


def test_a_ball_is_told_by_its_speed_and_lies_still_after_a_moment(board: Board) -> None:
    ball = board.number("ball")

    assert board.feed(0, board.driver.count("ball", 25, 0)) == [HandChange(0, ball, 0.5)]
    assert board.feed(10_000, board.driver.count("ball", 0, -10)) == [
        HandChange(10_000, ball, 0.5, -0.2)
    ]
    assert board.feed(60_000, board.driver.count("ball", 5, 0)) == [HandChange(60_000, ball, 0.1)]
    assert board.seen.next_due_us == 210_000
    assert list(board.seen.settle(209_999)) == []
    assert list(board.seen.settle(210_000)) == [HandChange(210_000, ball, 0.0)]
    assert board.seen.next_due_us is None

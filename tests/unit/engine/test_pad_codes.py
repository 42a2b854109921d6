"""What each pad control is sent as, against the standards that say where it stands.

Sources: W3C Gamepad, "standard gamepad" (https://www.w3.org/TR/gamepad/#remapping): 17 buttons and
4 axes by index and place; the kernel's Documentation/input/gamepad.rst: which code stands for which
place; linux/input-event-codes.h through python-evdev: the numbers.
"""

from decimal import ROUND_HALF_UP, Decimal

import pytest
from evdev import ecodes
from hypothesis import given
from hypothesis import strategies as st

from remapd.engine import pad_controls
from remapd.engine.pad_controls import BUTTON_COUNT, NORTH, TARGET_NAMES, WEST
from tests.support.pad_play import PadPlay

SHORTEST_US = 34_000

#: By the index of the W3C's list: its words, and what the Linux specification has in that place.
STANDARD_BUTTONS = [
    ("bottom button in right cluster", "south", (ecodes.EV_KEY, ecodes.BTN_SOUTH, 1)),
    ("right button in right cluster", "east", (ecodes.EV_KEY, ecodes.BTN_EAST, 1)),
    ("left button in right cluster", "west", (ecodes.EV_KEY, ecodes.BTN_WEST, 1)),
    ("top button in right cluster", "north", (ecodes.EV_KEY, ecodes.BTN_NORTH, 1)),
    ("top left front button", "left-shoulder", (ecodes.EV_KEY, ecodes.BTN_TL, 1)),
    ("top right front button", "right-shoulder", (ecodes.EV_KEY, ecodes.BTN_TR, 1)),
    ("bottom left front button", "left-trigger", (ecodes.EV_ABS, ecodes.ABS_Z, 255)),
    ("bottom right front button", "right-trigger", (ecodes.EV_ABS, ecodes.ABS_RZ, 255)),
    ("left button in centre cluster", "select", (ecodes.EV_KEY, ecodes.BTN_SELECT, 1)),
    ("right button in centre cluster", "start", (ecodes.EV_KEY, ecodes.BTN_START, 1)),
    ("left stick pressed", "left-stick-press", (ecodes.EV_KEY, ecodes.BTN_THUMBL, 1)),
    ("right stick pressed", "right-stick-press", (ecodes.EV_KEY, ecodes.BTN_THUMBR, 1)),
    ("top button in left cluster", "dpad-up", (ecodes.EV_ABS, ecodes.ABS_HAT0Y, -1)),
    ("bottom button in left cluster", "dpad-down", (ecodes.EV_ABS, ecodes.ABS_HAT0Y, 1)),
    ("left button in left cluster", "dpad-left", (ecodes.EV_ABS, ecodes.ABS_HAT0X, -1)),
    ("right button in left cluster", "dpad-right", (ecodes.EV_ABS, ecodes.ABS_HAT0X, 1)),
    ("centre button in centre cluster", "mode", (ecodes.EV_KEY, ecodes.BTN_MODE, 1)),
]

#: The W3C's axes: index, which stick and axis; "negative left / positive right", "negative up /
#: positive down", as the Linux specification has it.
STANDARD_AXES = [
    ("horizontal axis for left stick", 0, (1.0, 0.0), ecodes.ABS_X),
    ("vertical axis for left stick", 0, (0.0, 1.0), ecodes.ABS_Y),
    ("horizontal axis for right stick", 1, (1.0, 0.0), ecodes.ABS_RX),
    ("vertical axis for right stick", 1, (0.0, 1.0), ecodes.ABS_RY),
]

SYN = [ecodes.EV_SYN, ecodes.SYN_REPORT, 0]


def test_each_of_the_standard_buttons_is_a_target() -> None:
    assert {name for _, name, _ in STANDARD_BUTTONS} == set(TARGET_NAMES[:BUTTON_COUNT])
    assert len(STANDARD_BUTTONS) == BUTTON_COUNT


@pytest.mark.parametrize(("place", "name", "event"), STANDARD_BUTTONS)
def test_as_specified_a_button_is_sent_by_its_place(
    place: str, name: str, event: tuple[int, int, int]
) -> None:
    play = PadPlay(SHORTEST_US, faces_as_specified=True)

    pressed = play.at(0, (TARGET_NAMES.index(name), True))
    released = play.at(100_000, (TARGET_NAMES.index(name), False))

    assert pressed is not None
    assert [*event, *SYN] == pressed.events
    assert released is not None
    assert [event[0], event[1], 0, *SYN] == released.events


@pytest.mark.parametrize(("place", "name", "event"), STANDARD_BUTTONS)
def test_by_default_only_west_and_north_differ(
    place: str, name: str, event: tuple[int, int, int]
) -> None:
    """Most drivers, and the game libraries' reading of an unknown pad, exchange these two."""
    exchanged = {"west": ecodes.BTN_NORTH, "north": ecodes.BTN_WEST}
    play = PadPlay(SHORTEST_US)

    pressed = play.at(0, (TARGET_NAMES.index(name), True))

    assert pressed is not None
    assert [event[0], exchanged.get(name, event[1]), event[2], *SYN] == pressed.events


@pytest.mark.parametrize(("which", "stick", "point", "code"), STANDARD_AXES)
@pytest.mark.parametrize("sign", [1, -1])
def test_stick_axes(
    which: str, stick: int, point: tuple[float, float], code: int, sign: int
) -> None:
    play = PadPlay(SHORTEST_US)

    play.pad.want_stick(stick, sign * point[0], sign * point[1])
    frame = play.frame(0)

    assert frame is not None
    assert [ecodes.EV_ABS, code, sign * 32767, *SYN] == frame.events


def test_targets_in_pad_order_have_their_names() -> None:
    for number, name in enumerate(TARGET_NAMES[:BUTTON_COUNT]):
        assert getattr(pad_controls, name.upper().replace("-", "_")) == number


@given(share=st.floats(-1.5, 1.5))
def test_a_stick_value_is_rounded_halves_away_from_zero_and_stays_in_range(share: float) -> None:
    """Reference: ROUND_HALF_UP of the decimal module (General Decimal Arithmetic), away from 0."""
    exact = Decimal(share * 32767).to_integral_value(rounding=ROUND_HALF_UP)
    expected = max(-32767, min(32767, int(exact)))
    play = PadPlay(SHORTEST_US)

    play.pad.want_stick(0, share, 0.0)
    play.frame(0)

    assert expected == play.game.axes["left-stick.x"]


@pytest.mark.parametrize(
    ("value", "expected"),
    [(0.5, 1), (-0.5, -1), (0.4999, 0), (-0.4999, 0), (1.5, 2), (-2.5, -3)],
)
def test_halves_go_away_from_zero(value: float, expected: int) -> None:
    play = PadPlay(SHORTEST_US)

    play.pad.want_stick(1, 0.0, value / 32767)
    play.frame(0)

    assert expected == play.game.axes["right-stick.y"]


def test_changed_faces_count_when_neither_of_them_is_pressed() -> None:
    """What was pressed by one code is released by it; the new one serves from the next press."""
    play = PadPlay(SHORTEST_US)
    play.at(0, (WEST, True))
    play.pad.faces_as_specified = True

    held = play.at(50_000, (NORTH, True))
    released = play.at(100_000, (WEST, False), (NORTH, False))
    anew = play.at(200_000, (WEST, True))

    assert held is not None
    assert [ecodes.EV_KEY, ecodes.BTN_WEST, 1, *SYN] == held.events
    assert released is not None
    assert [
        *(ecodes.EV_KEY, ecodes.BTN_NORTH, 0),
        *(ecodes.EV_KEY, ecodes.BTN_WEST, 0),
        *SYN,
    ] == released.events
    assert anew is not None
    assert [ecodes.EV_KEY, ecodes.BTN_WEST, 1, *SYN] == anew.events


def test_after_changed_faces_a_key_still_keeps_its_gap() -> None:
    """The gap is the key's: north's key was west's a moment ago."""
    play = PadPlay(SHORTEST_US)
    play.at(0, (WEST, True))
    play.pad.faces_as_specified = True
    play.at(50_000, (WEST, False), undelayed=True)

    at_once = play.at(60_000, (NORTH, True))
    play.until(200_000)

    assert at_once is None
    assert [ecodes.EV_KEY, ecodes.BTN_NORTH, 1, *SYN] == play.frames[-1].events
    assert play.frames[-1].us == 50_000 + SHORTEST_US

"""The code table against its sources: the kernel's header and python-evdev's own table."""

from __future__ import annotations

from pathlib import Path

import pytest
from evdev import ecodes

from remapd import codes
from tests.generate_codes import generate, parse

TABLE = {**codes.KEYS, **codes.RELS, **codes.AXES}
HEADER = Path("/usr/include/linux/input-event-codes.h")


def test_every_number_agrees_with_evdev() -> None:
    """Source: evdev.ecodes, which is compiled from the header of the machine it is built on."""
    theirs = {name: getattr(ecodes, name) for name in TABLE if hasattr(ecodes, name)}
    assert theirs == {name: TABLE[name] for name in theirs}
    assert len(theirs) > 600


def test_no_code_of_linux_6_1_is_left_out() -> None:
    """evdev may be built from a newer header: only codes beyond ours may be missing here."""
    missing = {
        name: getattr(ecodes, name)
        for name in vars(ecodes)
        if name.startswith(("KEY_", "BTN_", "REL_", "ABS_"))
        and name not in TABLE
        and not name.endswith(("_MAX", "_CNT"))
        and name != "KEY_MIN_INTERESTING"
    }
    assert [name for name, number in missing.items() if number in codes.KEY_NAMES] == []


@pytest.mark.parametrize(
    ("event_type", "code", "name"),
    [
        (codes.EV_KEY, 0x130, "BTN_SOUTH"),
        (codes.EV_KEY, 0x133, "BTN_NORTH"),
        (codes.EV_KEY, 0x134, "BTN_WEST"),
        (codes.EV_KEY, 0x100, "BTN_0"),
        (codes.EV_KEY, 0x110, "BTN_LEFT"),
        (codes.EV_KEY, 0x120, "BTN_TRIGGER"),
        (codes.EV_KEY, 57, "KEY_SPACE"),
        (codes.EV_REL, 1, "REL_Y"),
        (codes.EV_ABS, 0x10, "ABS_HAT0X"),
    ],
)
def test_the_name_that_is_written(event_type: int, code: int, name: str) -> None:
    """Source: Documentation/input/gamepad.rst for the words, the header for the numbers."""
    assert codes.code_name(event_type, code) == name
    assert codes.code_number(name) == (event_type, code)


def test_aliases_are_understood() -> None:
    assert codes.code_number("BTN_A") == codes.code_number("BTN_GAMEPAD") == (codes.EV_KEY, 0x130)
    assert codes.code_number("BTN_X") == (codes.EV_KEY, 0x133)


def test_every_code_can_be_written_and_read_back_even_unnamed_ones() -> None:
    for event_type, count in ((codes.EV_KEY, 0x300), (codes.EV_REL, 0x10), (codes.EV_ABS, 0x40)):
        for code in range(count):
            assert codes.code_number(codes.code_name(event_type, code)) == (event_type, code)


@pytest.mark.parametrize("name", ["", "BTN_SUOTH", "KEY_0x130", "KEY_0x300", "KEY_0x", "KEY_0xzz"])
def test_what_is_no_code_is_refused(name: str) -> None:
    with pytest.raises(KeyError):
        codes.code_number(name)


def test_the_file_is_what_the_generator_writes() -> None:
    """Only where this machine's header is the one that the table names."""
    if not HEADER.exists():
        pytest.skip(f"{HEADER} is not installed")
    header = HEADER.read_text(encoding="utf-8")
    numbers, _ = parse(header)
    if not {name for name in TABLE if not name.startswith(("EV_", "SYN_"))} >= {
        name for name in numbers if not name.startswith(("EV_", "SYN_"))
    }:
        pytest.skip("this machine's header is newer than the table")
    committed = Path(codes.__file__).read_text(encoding="utf-8")
    assert committed == generate(header, "Linux 6.1")

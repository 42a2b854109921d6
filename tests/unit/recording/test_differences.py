"""What another layout would change, as times and pad controls."""

from __future__ import annotations

from remapd.engine import Layout
from remapd.recording.differences import Difference, differences
from remapd.recording.player import Player
from tests.support.layouts import HARBOUR, TWO_KNEES, load_or_fail
from tests.support.recordings import Take


def compared(take: Take, first: str, second: str) -> list[Difference]:
    def player(text: str) -> Player:
        layout: Layout = load_or_fail(text)
        return Player(take.reader(), layout)

    return list(differences(player(first), player(second)))


def test_the_same_layout_makes_no_difference() -> None:
    take = Take(HARBOUR)
    take.tap("left-knee", 0, 200)
    take.count("roll", 20, 5, 300)
    take.end(1000)

    assert compared(take, HARBOUR, HARBOUR) == []


def test_a_press_that_only_the_second_accepts() -> None:
    take = Take(HARBOUR)
    take.tap("left-knee", 0, 60)
    take.end(1000)

    shorter = HARBOUR.replace("acceptance-delay: 80ms", "acceptance-delay: 40ms")
    assert compared(take, HARBOUR, shorter) == [
        Difference(60_000, 120_000, "south", "-", "pressed", 1.0)
    ]


def test_another_button_is_two_differences_in_pad_order_to_the_end_of_the_recording() -> None:
    take = Take(TWO_KNEES)
    take.press("left-knee", 10)
    take.end(500)

    assert compared(take, TWO_KNEES, TWO_KNEES.replace("left-knee: south", "left-knee: north")) == [
        Difference(10_000, 500_000, "south", "pressed", "-", 1.0),
        Difference(10_000, 500_000, "north", "-", "pressed", 1.0),
    ]


def test_sticks_differ_by_how_far_they_are_apart_at_most() -> None:
    gentler = HARBOUR.replace("full-speed: 600/s", "full-speed: 1200/s", 1)
    take = Take(HARBOUR)
    take.count("roll", 9, 0, 0)
    take.count("roll", 9, 0, 10)
    take.end(500)
    (only,) = compared(take, HARBOUR, gentler)

    assert (only.from_us, only.until_us, only.control) == (0, 70_000, "left-stick")
    assert (only.first, only.second) == ("[25%, 0%]", "[13%, 0%]")
    assert round(only.most, 2) == 0.25


def test_less_than_a_percent_of_a_stick_is_no_difference() -> None:
    take = Take(HARBOUR)
    take.count("roll", 9, 0, 0)
    take.end(500)

    assert (
        compared(take, HARBOUR, HARBOUR.replace("full-speed: 600/s", "full-speed: 605/s", 1)) == []
    )


def test_triggers_differ_by_their_values() -> None:
    take = Take(HARBOUR)
    take.move("helper-pad.left-trigger", 0.55, 0.0, 0)
    take.move("helper-pad.left-trigger", 0.0, 0.0, 100)
    take.end(200)
    other = HARBOUR.replace("helper-pad: same", "helper-pad: same\n    left-trigger: nothing")
    (only,) = compared(take, HARBOUR, other)

    assert (only.control, only.first, only.second) == ("left-trigger", "50%", "0%")
    assert (only.from_us, only.until_us) == (0, 100_000)

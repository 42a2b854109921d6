"""What a daemon's messages are in plain sentences."""

from __future__ import annotations

from remapd.show.live.sentences import LiveTeller
from tests.unit.show.live_messages import (
    Message,
    decision,
    layer,
    layout,
    notice,
    pad,
    press,
    stick,
)


def told(*batches: list[Message]) -> list[str]:
    teller = LiveTeller()
    teller.tell([layout()])
    return [sentence for batch in batches for sentence in teller.tell(batch)]


def test_a_press_and_what_comes_of_it_are_one_sentence() -> None:
    batch = [
        press("left-knee", 1),
        pad("south", 1),
        decision("left-knee", "pressed: hoist (found in layer sail)", 1),
    ]

    assert told(batch) == ["left-knee pressed: hoist: hoist (south) is pressed."]


def test_a_press_that_waits_is_told_and_then_what_became_of_it() -> None:
    why = "ignored: released after 52 ms, acceptance-delay is 80 ms"

    assert told(
        [press("left-knee", 1)],
        [press("left-knee", 52_000, pressed=False), decision("left-knee", why, 52_000)],
    ) == ["left-knee is down.", f"left-knee {why}."]


def test_layers_and_what_stays_on() -> None:
    assert told(
        [layer("layer-on", "net", 1, ["sail", "net"])],
        [notice("latch-on", "latch hoist", 2)],
        [notice("overruled", "left-stick", 3, "helper")],
        [notice("say", "I need a break", 4)],
        [notice("refused", "left-knee", 5)],
    ) == [
        "layer net is on.",
        "latch hoist is on.",
        "the helper's left-stick waits, the player comes first.",
        "it says “I need a break”.",
    ]


def test_a_turbo_is_told_once_and_counted_when_it_is_over() -> None:
    teller = LiveTeller()
    teller.tell([layout()])
    sentences = []
    for number in range(10):
        us = number * 125_000
        sentences += teller.tell([pad("south", us)])
        sentences += teller.tell([pad("south", us + 60_000, "release")])
        sentences += teller.quiet(us + 60_000)

    assert sentences == [
        "hoist (south) is pressed.",
        "hoist (south) is let go.",
        "hoist (south) repeats.",
    ]
    assert teller.quiet(3_000_000) == ["hoist (south) was pressed 10 times."]
    assert teller.quiet(4_000_000) == []


def test_a_stick_is_told_when_its_way_changes_but_not_all_the_time() -> None:
    moves = [[stick("left-stick", ms * 1000, 30000, ms * 9)] for ms in range(0, 600, 33)]

    assert told(*moves, [stick("left-stick", 700_000, 0, 0)]) == [
        "steer (left-stick) goes right.",
        "steer (left-stick) is centred.",
    ]


def test_a_refused_layout_is_told_with_every_line() -> None:
    event = {
        "event": "layout",
        "us": 1,
        "path": "/home/bo/harbour.yaml",
        "applied": False,
        "summary": "one error",
        "problems": "/home/bo/harbour.yaml:5:3: error: unknown\n  5 | naem\n    | ^^^^",
    }

    assert told([event]) == [
        "harbour.yaml was refused, what was in force before stays: one error.",
        "harbour.yaml:5:3: error: unknown.",
        "  5 | naem.",
        "    | ^^^^",
    ]

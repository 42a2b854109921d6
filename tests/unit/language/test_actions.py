"""Every action of section 4, as written, to the engine's data."""

import pytest

from remapd.engine import actions as a
from remapd.engine.pad_controls import (
    DPAD_DOWN,
    DPAD_UP,
    EAST,
    HELPER,
    LEFT_SHOULDER,
    PLAYER,
    RIGHT_TRIGGER,
    SLOT_HORIZONTAL,
    SLOT_LEFT_STICK,
    SLOT_RIGHT_STICK,
    SLOT_VERTICAL,
    SOUTH,
    TARGET_NAMES,
)
from tests.unit.language.built import RIGHT, SIP, action_of

SAIL, NET, CHART = 0, 1, 2  # the base first, the others in the order of the file
UP, VEER = 17, 20


@pytest.mark.parametrize(("name", "number"), [(n, i) for i, n in enumerate(TARGET_NAMES)])
def test_every_pad_control_can_be_pressed(name: str, number: int) -> None:
    assert action_of(name) == a.Press((number,), label=name)


@pytest.mark.parametrize(
    ("written", "built"),
    [
        ("hoist", a.Press((SOUTH,), label="hoist")),
        ("veer", a.Press((VEER,), label="veer")),
        ("steer.up", a.Press((UP,), label="steer.up")),
        ("dpad.down", a.Press((DPAD_DOWN,), label="dpad.down")),
        ("walk.up", a.Press((DPAD_UP,), label="walk.up")),
        (
            "{together: [left-shoulder, hoist, south]}",
            a.Press((SOUTH, LEFT_SHOULDER), label="left-shoulder + hoist + south"),
        ),
        ("nothing", a.Nothing(label="nothing")),
        ("{layer: net}", a.HoldLayer(NET, label="layer net")),
        ("{layer: net, how: hold}", a.HoldLayer(NET, label="layer net")),
        ("{layer: chart, how: toggle}", a.ToggleLayer(CHART, label="layer chart (toggle)")),
        ("{layer: net, how: next}", a.NextLayer(NET, 20_000_000, label="layer net (next)")),
        (
            "{layer: net, how: next, give-up: 5s}",
            a.NextLayer(NET, 5_000_000, label="layer net (next)"),
        ),
        (
            "{cycle: [sail, net, chart]}",
            a.Cycle((SAIL, NET, CHART), 0, label="cycle sail, net, chart"),
        ),
        (
            "{cycle: [chart, net], back-after: 10s}",
            a.Cycle((CHART, NET), 10_000_000, label="cycle chart, net"),
        ),
        ("{turbo: south}", a.Turbo((SOUTH,), 125_000, 62_500, label="turbo south")),
        (
            "{turbo: pace, rate: 3/s, duty: 10%, how: toggle, at-most: 2s}",
            a.Turbo(
                (RIGHT_TRIGGER,), 333_333, 33_333, True, 2_000_000, label="turbo pace (toggle)"
            ),
        ),
        (
            "{turbo: {together: [east, south]}, rate: 100/s, duty: 99%}",
            a.Turbo((SOUTH, EAST), 10_000, 9_900, label="turbo east + south"),
        ),
        ("{latch: hoist}", a.Latch((SOUTH,), 0, label="latch hoist")),
        ("{latch: hoist, at-most: 90s}", a.Latch((SOUTH,), 90_000_000, label="latch hoist")),
        ("{pulse: east}", a.Pulse((EAST,), 150_000, label="pulse east")),
        ("{pulse: east, length: 1s}", a.Pulse((EAST,), 1_000_000, label="pulse east")),
        (
            "{short: south, long: {layer: net, how: toggle}}",
            a.ShortLong(
                a.Press((SOUTH,), label="south"),
                a.ToggleLayer(NET, label="layer net (toggle)"),
                800_000,
                label="short south, long layer net (toggle)",
            ),
        ),
        (
            "{twice: east, once: south, within: 300ms}",
            a.OnceTwice(
                a.Press((SOUTH,), label="south"),
                a.Press((EAST,), label="east"),
                300_000,
                label="once south, twice east",
            ),
        ),
        (
            "{on-release: south}",
            a.OnRelease(a.Press((SOUTH,), label="south"), label="on release south"),
        ),
        (
            "{steps: [south, {wait: 80ms}, {together: [east, south]}], how: hold}",
            a.Steps(
                (
                    a.Press((SOUTH,), label="south"),
                    a.Wait(80_000, label="wait 80ms"),
                    a.Press((SOUTH, EAST), label="east + south"),
                ),
                True,
                label="steps south, wait 80ms, east + south",
            ),
        ),
        (
            "{push: steer, toward: up}",
            a.Push(0, 0.0, -1.0, 0, label="push steer up"),
        ),
        (
            "{push: right-stick, toward: left, amount: 60%, ramp: 200ms, how: toggle}",
            a.Push(1, -0.6, 0.0, 200_000, True, label="push right-stick left (toggle)"),
        ),
        ("{keep: left-stick}", a.Keep(0, 0, label="keep left-stick")),
        ("{keep: right-stick, at-most: 3s}", a.Keep(1, 3_000_000, label="keep right-stick")),
        (
            "{scan: [south, east]}",
            a.Scan(
                (a.Press((SOUTH,), label="south"), a.Press((EAST,), label="east")),
                1_000_000,
                2_000_000,
                3,
                label="scan south, east",
            ),
        ),
        (
            "{scan: [south, nothing], every: 1.5s, rounds: 2}",
            a.Scan(
                (a.Press((SOUTH,), label="south"), a.Nothing(label="nothing")),
                1_500_000,
                3_000_000,
                2,
                label="scan south, nothing",
            ),
        ),
        (
            "{scan: [south, east], pick: breath}",
            a.Scan(
                (a.Press((SOUTH,), label="south"), a.Press((EAST,), label="east")),
                pick=SIP,
                label="scan south, east",
            ),
        ),
        (
            "{lead: helper, for: [steer, dpad, hoist, right-stick]}",
            a.Lead(
                HELPER,
                frozenset(
                    {SLOT_LEFT_STICK, SLOT_RIGHT_STICK, SLOT_VERTICAL, SLOT_HORIZONTAL, SOUTH}
                ),
                label="lead helper for steer, dpad, hoist, right-stick",
            ),
        ),
        ("{lead: player, how: toggle}", a.Lead(PLAYER, toggle=True, label="lead player (toggle)")),
        ("{tuning: tired}", a.UseTuning(0, label="tuning tired")),
        ("{tuning: tired, how: toggle}", a.UseTuning(0, True, label="tuning tired (toggle)")),
        ("{rest: 2s}", a.TakeRest(2_000_000, label="rest 2s")),
        ('{say: "I need a break"}', a.Say("I need a break", label='say "I need a break"')),
        ("{layout: other.yaml}", a.ChangeLayout("other.yaml", label="layout other.yaml")),
        ("{release: everything}", a.ReleaseEverything(label="release everything")),
    ],
)
def test_an_action_as_written(written: str, built: a.Action) -> None:
    assert action_of(written) == built


def test_a_scan_by_hand_names_the_button_that_picks() -> None:
    scan = action_of("{scan: [south, east], pick: right}")

    assert isinstance(scan, a.Scan)
    assert scan.pick == RIGHT


def test_a_turbo_is_down_for_a_microsecond_at_least_and_up_as_well() -> None:
    fast = action_of("{turbo: south, rate: 100/s, duty: 1%}")

    assert isinstance(fast, a.Turbo)
    assert (fast.period_us, fast.on_us) == (10_000, 100)


def test_no_negative_zero_reaches_the_pad() -> None:
    push = action_of("{push: left-stick, toward: right}")

    assert isinstance(push, a.Push)
    assert str(push.y) == "0.0"

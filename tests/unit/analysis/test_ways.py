"""The shortest way to a pad control, in words: one test for each thing that an action can ask."""

from __future__ import annotations

import pytest

from remapd.analysis.check import check
from remapd.analysis.reach.goals import RIGHT_STICK_BY_DEGREES
from remapd.analysis.reach.proof import Who
from remapd.engine.pad_controls import EAST, LEFT_TRIGGER, NORTH, SOUTH, START, WEST
from tests.support.checked import checked, way
from tests.support.layouts import HARBOUR, load_or_fail

LEFT_STICK_UP, RIGHT_STICK_RIGHT = 17, 24

STICK = """\
      roll: {stick: [ABS_X, ABS_Y]}
      knee: {button: BTN_0}
      cheek: {button: BTN_1}
"""


@pytest.mark.parametrize(
    ("layers", "words", "actions", "at_once"),
    [
        ("  base: {a: south}", "press a", 1, 1),
        ("  base: {a: {short: east, long: south, after: 900ms}}", "hold a for 0.9 s", 1, 1),
        ("  base: {a: {short: south, long: east, after: 900ms}}", "press a", 1, 1),
        ("  base: {a: {once: east, twice: south}}", "press a twice", 2, 1),
        (
            "  base: {a: {short: {once: east, twice: south}, long: west}}",
            "press a twice",
            2,
            1,
        ),
        (
            "  base: {a: {once: east, twice: {short: west, long: south, after: 1s}}}",
            "press a twice, the second time for 1 s",
            2,
            1,
        ),
        ("  base: {a + b: south}", "press a and b together", 2, 2),
        ("  base: {a: {on-release: south}}", "press a", 1, 1),
        ("  base: {a: {steps: [east, south]}}", "press a", 1, 1),
        ("  base: {a: {latch: south}}", "press a", 1, 1),
        ("  base: {a: {turbo: south, how: toggle}}", "press a", 1, 1),
        ("  base: {a: {together: [south, east]}}", "press a", 1, 1),
        ("  base: {a: {layer: net}}\n  net: {b: south}", "hold a and press b", 2, 2),
        (
            "  base: {a: {layer: net, how: toggle}}\n  net: {b: south}",
            "press a, then press b",
            2,
            1,
        ),
        ("  base: {a: {layer: net, how: next}}\n  net: {b: south}", "press a, then press b", 2, 1),
        (
            "  base: {a: {cycle: [base, net, chart]}}\n  net: {b: east}\n  chart: {b: south}",
            "press a 2 times, then press b",
            3,
            1,
        ),
        (
            "  base: {a: {scan: [east, south]}}",
            "press a, then press a when south is offered",
            2,
            1,
        ),
        (
            "  base: {a: {scan: [east, west, south], pick: b}}",
            "press a 3 times, then press b when south is offered",
            4,
            1,
        ),
        (
            "  base: {a: {short: east, long: {layer: net}, after: 1s}}\n  net: {b: south}",
            "hold a for 1 s, stay on it and press b",
            2,
            2,
        ),
        (
            "  base: {a: {rest: 2s}, b: {steps: [{rest: 1s}, south]}, c: south}",
            "press c",
            1,
            1,
        ),
        (
            # What stands only in a layer that is on while held, and is needed after it.
            "  base: {a: {layer: net}}\n  net: {b: {layer: chart, how: toggle}}\n"
            "  chart: {a: south}",
            "hold a and press b, then let go, then press a",
            3,
            2,
        ),
    ],
)
def test_the_shortest_way_to_south(layers: str, words: str, actions: int, at_once: int) -> None:
    report = checked(layers)
    best = report.proof.best(SOUTH)
    assert best is not None
    assert way(report, SOUTH) == words
    assert (best.way.actions, best.way.at_once) == (actions, at_once)


def test_a_way_with_two_at_once_is_shown_only_where_none_is_one_at_a_time() -> None:
    report = checked(
        "  base: {a: {layer: net}, b: {layer: chart, how: toggle}}\n"
        "  net: {c: south}\n  chart: {c: east, b: {layer: net, how: toggle}}"
    )
    south = report.proof.best(SOUTH)
    assert south is not None
    assert south.single is not None
    assert south.double is not None
    assert report.words.way(south.way) == "press b 2 times, then press c"
    assert report.words.way(south.double) == "hold a and press c"


def test_sticks_levers_and_ends_are_spoken_of_by_their_names() -> None:
    report = checked(
        "  base: {roll: left-stick, knee: {layer: chart, how: next}, cheek: east}\n"
        "  chart: {roll: right-stick}",
        controls=STICK,
    )
    assert way(report, LEFT_STICK_UP) == "roll up"
    assert way(report, RIGHT_STICK_RIGHT) == "press knee, then roll right"
    assert way(report, RIGHT_STICK_BY_DEGREES) == "press knee, then move roll"
    flipped = checked(
        "  base: {roll: {send: right-stick, flip: [x]}, knee: nothing}", controls=STICK
    )
    assert way(flipped, RIGHT_STICK_RIGHT) == "roll left"
    levers = checked(
        "  base: {breath.sip: south, pedal: left-trigger, other: east}",
        controls=(
            "      breath: {lever: ABS_Y, rests-at: middle, ends: [sip, puff]}\n"
            "      pedal: {lever: ABS_X}\n      other: {button: BTN_0, inverted: true}\n"
        ),
    )
    assert way(levers, SOUTH) == "breath sip"
    assert way(levers, LEFT_TRIGGER) == "press pedal"
    assert way(levers, EAST) == "let go of other"


def test_two_people_are_named() -> None:
    report = checked(
        "  base: {a: nothing, h: {layer: net, how: toggle}, g: west}\n  net: {a: south, b: west}",
        devices="  pad:\n    person: helper\n    find: {name: Pad}\n    controls:\n"
        "      h: {button: BTN_0}\n      g: {button: BTN_1}\n",
        before="merge: {west: both}\n",
    )
    assert way(report, SOUTH) == "helper: press h, then player: press a"
    assert way(report, WEST) == "helper: press h, then player: hold b, and helper: press g"
    both = report.proof.best(WEST)
    assert both is not None
    assert both.way.at_once == 1


def test_a_direction_that_puts_a_layer_on_moves_the_stick_there_at_once() -> None:
    report = checked(
        "  base: {roll.up: {layer: net, how: toggle}, knee: east}\n  net: {roll: left-stick}",
        controls=STICK,
    )
    best = report.proof.best(LEFT_STICK_UP)
    assert best is not None
    assert best.way.actions == 1
    down = report.proof.best(LEFT_STICK_UP + 1)
    assert down is not None
    assert down.way.actions == 2
    centred = checked(
        "  base: {roll.up: {layer: net, how: toggle}}\n"
        "  net: {roll: {send: left-stick, change: centred}}",
        controls=STICK,
    )
    best = centred.proof.best(LEFT_STICK_UP)
    assert best is not None
    assert best.way.actions == 2


def test_a_layer_that_gives_up_before_any_press_can_count() -> None:
    layers = "  base: {a: {layer: net, how: next, give-up: %s}}\n  net: {b: south}"
    controls = "      a: {button: BTN_0}\n      b: {button: BTN_1, acceptance-delay: 400ms}\n"
    # Two presses of `a` lock it, which still is a way.
    too_soon = way(checked(layers % "600ms", controls=controls), SOUTH)
    assert too_soon == "press a 2 times, then press b"
    assert way(checked(layers % "800ms", controls=controls), SOUTH) == "press a, then press b"


def test_a_third_press_ends_a_layer_that_two_have_locked() -> None:
    """XKB StickyKeys: two presses in a row lock, one more unlocks."""
    report = checked(
        "  base: {a: {layer: net, how: next, give-up: 60s}, c: {steps: [{layer: net, how: next}, "
        "{layer: net, how: next}]}}\n  net: {b: {layer: chart}}\n  chart: {c: south}"
    )
    search = report.proof.search(Who.PLAYER, 1)
    assert search is not None
    stacks = {node.situation.stack: node.situation.nexts for node in search.nodes}
    assert set(stacks) == {(), (1,)}
    assert search.complete
    locked = [n for n in search.nodes if any(each.locked for each in n.situation.nexts)]
    assert len(locked) == 1
    start_again = [search.nodes[number].situation.stack for number in locked[0].successors]
    assert () in start_again


def test_the_second_press_of_two_has_to_find_its_action_too() -> None:
    """The first press uses up a layer that is on for one press; two in a row lock it first."""
    report = checked("  base: {a: {layer: net, how: next}}\n  net: {b: {once: east, twice: south}}")
    assert way(report, EAST) == "press a, then press b"
    assert way(report, SOUTH) == "press a 2 times, then press b twice"


def test_a_lead_decides_who_counts() -> None:
    report = checked(
        "  base: {a: south, h: south, g: {lead: helper, for: [south], how: toggle}}",
        devices=(
            "  pad:\n    person: helper\n    find: {name: Pad}\n    controls:\n"
            "      h: {button: BTN_0}\n      g: {button: BTN_1}\n"
        ),
        before="merge: {south: player-only}\n",
    )
    player, helper = report.proof.reached(SOUTH)
    assert (player.who, helper.who) == (Who.PLAYER, Who.HELPER)
    assert report.words.way(helper.way) == "press g, then press h"
    search = report.proof.search(Who.TOGETHER, 1)
    assert search is not None
    led = next(node for node in search.nodes if node.situation.leads)
    assert led.offers == {SOUTH}


def test_a_row_of_steps_ends_where_it_releases_everything() -> None:
    report = checked(
        "  base: {a: {steps: [{release: everything}, {wait: 100ms}, {layer: net, how: toggle}]}}\n"
        "  net: {b: south}"
    )
    assert report.proof.best(SOUTH) is None


def test_two_short_presses_do_not_meet() -> None:
    """Two pulses of two people are no way to what counts only while both press."""
    devices = (
        "  pad:\n    person: helper\n    find: {name: Pad}\n    controls:\n"
        "      h: {button: BTN_0}\n"
    )
    merge = "merge: {south: both}\n"
    pulses = checked(
        "  base: {a: {pulse: south}, h: {pulse: south}}", devices=devices, before=merge
    )
    assert pulses.proof.best(SOUTH) is None
    one_holds = checked("  base: {a: {pulse: south}, h: south}", devices=devices, before=merge)
    assert way(one_holds, SOUTH) == "helper: hold h, and player: press a"


def test_the_language_pages_example() -> None:
    report = check(load_or_fail(HARBOUR))
    assert way(report, RIGHT_STICK_RIGHT) == "right-stick right"
    assert way(report, START) == "press right-knee, then press left-knee"
    assert way(report, NORTH) == "press north"
    assert report.can_play

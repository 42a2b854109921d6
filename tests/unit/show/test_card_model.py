"""What a card says of a layout: layers and the ways to them, who holds what, places, pausing."""

from __future__ import annotations

import pytest

from remapd.show.card_model import Card, card_of, sentence
from remapd.show.card_pages import pages_of
from remapd.show.card_text import as_text
from tests.support.card_pages import texts
from tests.support.layouts import HARBOUR, load_or_fail

HEAD = """\
remapd: 1
title: Three switches
base: sail
verbs: {hoist: south, steer: left-stick}
devices:
  box:
    find: {name: "Switch box"}
    controls:
      one: {button: BTN_0}
      two: {button: BTN_1}
      three: {button: BTN_2}
"""


def card(layers: str, more: str = "") -> Card:
    return card_of(load_or_fail(f"{HEAD}layers:\n{layers}{more}"))


def lines(made: Card, layer: str, control: str) -> list[str]:
    panel = next(panel for panel in made.panels if panel.name == layer)
    cell = next(cell for cell in panel.cells.values() if cell.name == control)
    return [sentence(each.line).replace("\u00a0", " ") for each in cell.lines]


@pytest.mark.parametrize(
    ("action", "said"),
    [
        ("hoist", ["hoist (south)"]),
        ("east", ["east"]),
        ("steer.left", ["steer left (left stick left)"]),
        ("dpad-up", ["dpad up"]),
        ("{together: [left-shoulder, hoist]}", ["left shoulder + hoist (left shoulder + south)"]),
        ("{short: hoist, long: north}", ["short press: hoist (south)", "hold 0.8 s: north"]),
        ("{once: hoist, twice: north}", ["press once: hoist (south)", "press twice: north"]),
        ("{on-release: hoist}", ["letting go: hoist (south)"]),
        ("{turbo: hoist, rate: 4/s}", ["hoist (south), again and again, 4 a second"]),
        (
            "{latch: hoist, at-most: 8s}",
            ["hoist (south), stays pressed until pressed again, 8 s at most"],
        ),
        ("{pulse: hoist, length: 400ms}", ["hoist (south), for 0.4 s"]),
        (
            "{push: steer, toward: up, amount: 50%, ramp: 200ms, how: toggle}",
            ["steer up (left stick up), 50% of the way, within 0.2 s, stays until pressed again"],
        ),
        ("{keep: steer}", ["keep steer (left stick), stays as it is until pressed again"]),
        ("{rest: 2s}", ["rest, hold for 2 s to go on"]),
        ('{say: "I need a break"}', ["“I need a break”, says it"]),
        ("{layout: other.yaml}", ["other.yaml, changes to that layout"]),
        ("{release: everything}", ["all off, ends what goes on by itself"]),
        ("nothing", ["nothing"]),
        (
            "{scan: [hoist, {layer: net}], every: 1s}",
            [
                "list, one at a time, 1 s each; press for the one announced: "
                "1. hoist (south); 2. layer net, while held"
            ],
        ),
        (
            "{steps: [hoist, {wait: 80ms}, north]}",
            ["hoist, then wait 0.08 s, then north, one after the other"],
        ),
    ],
)
def test_actions_are_said_in_few_words(action: str, said: list[str]) -> None:
    assert (
        lines(card(f"  sail:\n    one: {action}\n  net:\n    two: east\n"), "sail", "one") == said
    )


def order(made: Card, layer: str) -> tuple[str, str]:
    found = next(panel.order for panel in made.panels if panel.name == layer)
    return found.get_there.replace("\u00a0", " "), found.get_away.replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("binding", "there", "away"),
    [
        ("one: {layer: net}", "press one", "let go"),
        ("one: {layer: net, how: toggle}", "press one", "the same again"),
        (
            "one: {layer: net, how: next, give-up: 6s}",
            "press one",
            "by itself after one press, or after 6 s without one; "
            "twice there, it stays on until a third time",
        ),
        (
            "one: {cycle: [sail, net], back-after: 9s}",
            "press one",
            "the same again leads back, or by itself after 9 s",
        ),
        (
            "one: {short: hoist, long: {layer: net, how: toggle}, after: 1s}",
            "hold one for 1 s",
            "the same again",
        ),
        ("one + two: {layer: net, how: toggle}", "press one and two together", "the same again"),
        (
            "one: {scan: [hoist, {layer: net, how: toggle}]}",
            "choose it in the list of one",
            "the same again",
        ),
    ],
)
def test_the_way_to_a_layer_and_back(binding: str, there: str, away: str) -> None:
    made = card(f"  sail:\n    {binding}\n  net:\n    three: north\n")

    assert order(made, "net") == (there, away)


def test_a_layer_behind_a_layer_is_told_from_there_and_stands_on_both() -> None:
    made = card(
        "  sail:\n    one: {layer: net, how: toggle}\n    three: east\n"
        "  net:\n    two: {layer: deep, how: toggle}\n    three: west\n  deep:\n    one: hoist\n"
    )

    assert order(made, "deep") == ("in net: press two", "the same again")
    cells = {cell.name: cell for cell in made.panels[2].cells.values()}
    assert [each.from_layer for each in cells["one"].lines] == [None]
    assert [each.from_layer for each in cells["three"].lines] == [1]
    assert cells["three"].lines[0].line.what == "west"


def test_a_layer_that_cannot_be_left_or_reached_says_so() -> None:
    made = card(
        "  sail:\n    one: {layer: trap, how: toggle}\n"
        "  trap:\n    one: hoist\n  lost:\n    two: hoist\n"
    )

    assert order(made, "trap") == ("press one", "nothing on the controls ends it")
    assert order(made, "lost") == ("nothing leads here", "")


def test_a_gamepad_that_does_what_it_is_takes_one_line_with_what_it_does_otherwise() -> None:
    text = HARBOUR.replace(
        "    helper-pad: same\n", "    helper-pad: same\n    helper-pad.north: nothing\n"
    )
    made = card_of(load_or_fail(text))

    (device,) = made.panels[0].devices
    assert (device.name, device.person, device.others) == ("helper pad", 1, ("north: nothing",))
    assert {cell.name for cell in made.panels[0].cells.values()} == {
        "roll",
        "left knee",
        "right knee",
    }
    assert dict(made.people) == {
        "player": ("roll", "left knee", "right knee"),
        "helper": ("helper pad",),
    }


def test_a_stick_that_a_layer_does_not_name_is_passed_through_whole() -> None:
    made = card_of(load_or_fail(HARBOUR))
    net = next(panel for panel in made.panels if panel.name == "net")

    passed = {cell.name: [each.from_layer for each in cell.lines] for cell in net.cells.values()}
    assert passed == {"roll": [0], "left knee": [0, 0], "right knee": [None]}


def test_a_gamepad_told_in_a_few_words_is_told_in_every_layer_and_where_from() -> None:
    pad = "  pad: {person: helper, find: {shape: gamepad}, controls: gamepad}\nlayers:\n"
    made = card_of(
        load_or_fail(
            f"{HEAD}{pad}"
            "  sail: {one: {layer: net, how: toggle}, pad: same}\n"
            "  net: {pad.south: west, two: {layer: deck, how: toggle}}\n"
            "  deck: {three: east}\n"
            "  more: {three: north}\n"
        )
    )
    told = [line for line in as_text(made).splitlines() if line.startswith("  - pad (helper)")]

    assert told == [
        "  - pad (helper): each control does what its name says, but: south: hoist",
        "  - pad (helper): south: west; the rest as in sail",
        "  - pad (helper): south: west [as in net]; the rest as in sail",
        "  - pad (helper): as in sail",
    ]
    drawn = [each.text for page in pages_of(made) for each in texts(page)]
    assert drawn.count("each control does what its name says") == 1
    assert drawn.count("the rest as in sail") == 2
    assert drawn.count("south: west [as in net]") == 1


def test_places_give_columns_and_rows_and_faults_are_told() -> None:
    places = "place: {one: [1, 1], two: [4, 1], three: [4, 1], four: [1, 2]}\n"
    made = card("  sail:\n    one: hoist\n    two: east\n    three: west\n", places)

    assert [[number for _, number in row] for row in made.grid.rows] == [[0, 1], [2]]
    (left, width), (second, _) = made.grid.columns
    assert left == 0.0
    assert second > width  # the columns between are there as a gap
    assert made.notices == (
        "place: `three` is where `two` is; placed for you",
        "place: `four` is left out: there is no such control",
    )
    wrong = card("  sail:\n    one: hoist\n", "place: {one: [1, up]}\n")
    assert wrong.notices == ("place: `one` is not [column, row] as in [2, 1]; placed for you",)


def test_without_places_controls_stand_device_by_device_and_a_gamepad_as_it_is() -> None:
    text = HARBOUR.replace("    helper-pad: same\n", "").replace(
        "  chart:\n",
        "  chart:\n    south: east\n    north: west\n    dpad: right-stick\n"
        "    select: mode\n    start: south\n",
    )
    made = card_of(load_or_fail(text))

    names = [[made.panels[0].cells[number].name for _, number in row] for row in made.grid.rows]
    assert names[0] == ["roll"]
    assert names[1] == ["left knee", "right knee"]
    assert names[2:] == [["select", "start"], ["north"], ["dpad"], ["south"]]


def test_ways_to_pause_name_the_player_s_own_first() -> None:
    made = card(
        "  sail:\n    one: {short: hoist, long: {rest: 2s}}\n    two: {release: everything}\n"
    )

    assert [pause.replace("\u00a0", " ") for pause in made.pauses] == [
        "Rest: choose rest with one. Nothing counts then, until one is held for 2 s.",
        "All off: two.",
        "At the computer: remapd in the menu, Pause; or type “remapd pause”, “remapd resume”.",
        "Or pull out a plug: all that it held down is let go.",
    ]
    ball = card_of(load_or_fail(HARBOUR))
    assert ball.pauses[0] == "Mouse or ball back: hold both its outer buttons for 5 s."


def test_the_whole_of_a_small_card_in_words() -> None:
    made = card("  sail:\n    one: hoist\n    two: {layer: net}\n  net:\n    one: steer.up\n")

    assert (
        as_text(made)
        == """\
Three switches

Who holds what
  - player: one, two

Layer sail
  Always on, under the others.
  - one: hoist (south)
  - two: layer net, while held

Layer net
  To get there: press two. To get back: let go.
  - one: steer up (left stick up)
  - two: layer net, while held [from sail]

To pause
  Rest before it tires. Stop at pain, tingling or numbness.
  - At the computer: remapd in the menu, Pause; or type “remapd pause”, “remapd
    resume”.
  - Or pull out a plug: all that it held down is let go.
"""
    )


def test_a_layer_that_stays_is_heard_by_its_name_unless_the_layout_says_otherwise() -> None:
    layers = (
        "  sail:\n    one: {layer: cast-off, how: toggle}\n    two: {layer: net}\n"
        "  cast-off:\n    two: hoist\n  net:\n    one: hoist\n"
    )
    told = {
        "": {"cast off": "cast off"},
        "cues: {cast-off: {loudness: 10%}}\n": {"cast off": "cast off"},
        "cues: {cast-off: {say: 'Now {name}'}}\n": {"cast off": "Now cast off"},
        "cues: {cast-off: {tone: high}}\n": {},
        "cues: {cast-off: {rumble: box}}\n": {},
        "cues: {cast-off: nothing}\n": {},
        "cues: {layer-on: nothing}\n": {},
        "cues: {layer-on: {say: 'Layer {name}'}}\n": {"cast off": "Layer cast off"},
        "cues: {net: {say: 'Net'}}\n": {"cast off": "cast off", "net": "Net"},
    }

    for cues, wanted in told.items():
        made = card(layers + cues)
        assert {each.name: each.hears for each in made.panels if each.hears} == wanted, cues

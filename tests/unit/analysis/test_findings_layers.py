"""What the check says about layers, what outlasts them, and lines in them that never count."""

from __future__ import annotations

import pytest

from tests.support.checked import Weight, checked, found, one

HELPER_PAD = (
    "  pad:\n    person: helper\n    find: {name: Pad}\n    controls:\n      h: {button: BTN_0}\n"
)


def test_a_layer_that_nothing_puts_on() -> None:
    report = checked("  base: {a: south}\n  net: {b: east}")
    finding = one(report, "layer-never-on")
    assert "nothing puts it on" in finding.message
    assert finding.places == (("layer", "net"),)


def test_a_layer_that_is_put_on_only_from_one_that_is_never_on() -> None:
    report = checked("  base: {a: south}\n  net: {b: {layer: chart}}\n  chart: {c: east}")
    messages = [each.message for each in found(report, "layer-never-on")]
    assert any("only from `net`" in each for each in messages)


def test_a_layer_that_is_put_on_by_a_press_that_cannot_happen() -> None:
    controls = "      a: {button: BTN_0, longest: 500ms}\n      b: {button: BTN_1}\n"
    report = checked(
        "  base: {a: {short: south, long: {layer: net, how: toggle}, after: 1s}}\n  net: {b: east}",
        controls=controls,
    )
    assert "can never be pressed so" in one(report, "layer-never-on").message
    assert found(report, "long-never")


def test_a_layer_that_cannot_be_left_because_it_binds_its_own_exit_anew() -> None:
    report = checked("  base: {a: south, b: {layer: net, how: toggle}}\n  net: {b: east}")
    finding = one(report, "layer-stays-on")
    assert "b would put it off, but there b does something else" in finding.message
    assert finding.places[0] == ("binding", "net", "b")
    assert finding.remedies


@pytest.mark.parametrize(
    "layers",
    [
        "  base: {a: south, b: {layer: net, how: toggle}}\n  net: {a: east}",
        "  base: {b: {layer: net, how: toggle}}\n  net: {b: {layer: net, how: toggle}}",
        "  base: {b: {layer: net, how: toggle}}\n  net: {b: {release: everything}}",
        "  base: {b: {layer: net, how: next}}\n  net: {b: east}",
        "  base: {b: {layer: net}}\n  net: {a: east}",
        "  base: {b: {cycle: [base, net]}}\n  net: {a: east}",
        "  base: {b: {cycle: [base, net], back-after: 9s}}\n  net: {b: east}",
        "  base: {b: {layer: net, how: toggle}}\n  net: {b: {scan: [east, {release: everything}]}}",
        "  base: {b: {layer: net, how: toggle}}\n"
        "  net: {b: {short: east, long: {layer: net, how: toggle}}}",
    ],
)
def test_layers_that_can_be_left(layers: str) -> None:
    report = checked(layers)
    assert not found(report, "layer-stays-on")
    assert not found(report, "layer-never-on")
    assert not found(report, "layer-hard-to-leave")


def test_a_layer_that_only_the_helper_can_put_off() -> None:
    report = checked(
        "  base: {b: {layer: net, how: toggle}, h: {release: everything}}\n  net: {b: east}",
        devices=HELPER_PAD,
    )
    finding = one(report, "layer-hard-to-leave")
    assert "only the helper can put it off" in finding.message


def test_a_layer_that_is_left_only_with_two_at_once() -> None:
    report = checked(
        "  base: {b: {layer: net, how: toggle}}\n  net: {b: east, a + c: {layer: net, how: toggle}}"
    )
    assert "one control at a time" in one(report, "layer-hard-to-leave").message


@pytest.mark.parametrize(
    ("action", "what"),
    [
        ("{latch: south}", "latch of south"),
        ("{turbo: south, rate: 3/s, how: toggle}", "turbo of south"),
        ("{push: left-stick, toward: up, how: toggle}", "push of left-stick"),
        ("{keep: left-stick}", "keep of left-stick"),
    ],
)
def test_what_only_its_own_layer_can_end(action: str, what: str) -> None:
    report = checked(f"  base: {{a: {{layer: net, how: toggle}}}}\n  net: {{b: {action}}}")
    finding = one(report, "outlasts-its-layer")
    assert what in finding.message
    assert finding.places[0] == ("binding", "net", "b")
    with_a_way = checked(
        f"  base: {{a: {{layer: net, how: toggle}}, c: {{release: everything}}}}\n"
        f"  net: {{b: {action}}}"
    )
    assert not found(with_a_way, "outlasts-its-layer")
    assert not found(checked(f"  base: {{b: {action}}}"), "outlasts-its-layer")


def test_a_limit_or_the_same_in_another_layer_ends_it_too() -> None:
    for base, net in (
        ("", "{latch: south, at-most: 9s}"),
        ("", "{turbo: south, rate: 3/s, how: toggle, at-most: 9s}"),
        (", c: {latch: south}", "{latch: south}"),
        (", c: {keep: left-stick}", "{keep: left-stick}"),
    ):
        report = checked(f"  base: {{a: {{layer: net, how: toggle}}{base}}}\n  net: {{b: {net}}}")
        assert not found(report, "outlasts-its-layer")
    other = checked(
        "  base: {a: {layer: net, how: toggle}, c: {latch: east}}\n  net: {b: {latch: south}}"
    )
    assert found(other, "outlasts-its-layer")


def test_a_control_that_does_nothing_anywhere() -> None:
    report = checked("  base: {a: south, b: nothing}")
    assert [each.places[0] for each in found(report, "control-unused")] == [
        ("control", "b"),
        ("control", "c"),
    ]
    scan = checked("  base: {a: {scan: [south, west], pick: c}, b: east}")
    assert not found(scan, "control-unused")


def test_a_line_that_a_layer_above_always_hides() -> None:
    report = checked(
        "  base: {a: {layer: net, how: toggle}}\n"
        "  net: {a: {layer: chart, how: toggle}, b: south}\n  chart: {b: east, c: west}"
    )
    assert not found(report, "line-never-counts")
    hidden = checked(
        "  base: {a: {steps: [{layer: net, how: toggle}, {layer: chart, how: toggle}]}}\n"
        "  net: {b: south}\n  chart: {b: east}"
    )
    assert "`b` in `net` never counts" in one(hidden, "line-never-counts").message
    chord = checked(
        "  base: {a: {steps: [{layer: net, how: toggle}, {layer: chart, how: toggle}]}}\n"
        "  net: {b + c: south}\n  chart: {b: east}"
    )
    finding = one(chord, "line-never-counts")
    assert finding.places == (("chord", "net", "b + c"),)


def test_a_whole_stick_that_a_layer_above_always_hides() -> None:
    report = checked(
        "  base: {a: {steps: [{layer: net, how: toggle}, {layer: chart, how: toggle}]}}\n"
        "  net: {roll: left-stick}\n  chart: {roll: right-stick}",
        controls="      a: {button: BTN_0}\n      roll: {stick: [ABS_X, ABS_Y]}\n",
    )
    assert "`roll` in `net`" in one(report, "line-never-counts").message


def test_opposites_pressed_together_give_neither() -> None:
    report = checked(
        "  base: {a: {together: [dpad.left, dpad.right]}, b: {together: [south, east]}}"
    )
    assert "give" in one(report, "opposites-together").message
    assert report.proof.best(15) is None


def test_a_chord_of_two_opposite_directions() -> None:
    stick = "      roll: {stick: [ABS_X, ABS_Y]}\n"
    report = checked("  base: {roll.left + roll.right: south}", controls=stick)
    assert found(report, "chord-impossible")
    assert report.proof.best(0) is None
    diagonal = checked("  base: {roll.left + roll.up: south}", controls=stick)
    assert not found(diagonal, "chord-impossible")
    assert diagonal.proof.best(0) is not None
    four = checked(
        "  base: {roll.left + roll.up: south}",
        controls="      roll: {stick: [ABS_X, ABS_Y], ways: 4}\n",
    )
    assert found(four, "chord-impossible")


def test_a_toggled_layer_without_a_cue_en_301_549_5_6() -> None:
    """EN 301 549, 5.6: the state of a toggle is to be seen, and heard or felt."""
    layers = "  base: {a: {layer: net, how: toggle}}\n  net: {b: south}"
    silenced = one(checked(layers, before="cues: {net: nothing}\n"), "no-cue")
    assert silenced.weight is Weight.WARNING
    assert "5.6" in silenced.source
    assert found(checked(layers, before="cues: {layer-on: nothing}\n"), "no-cue")
    default = one(checked(layers), "default-cue")
    assert default.weight is Weight.NOTE
    assert "`net`" in default.message
    for cues in ("{net: {say: Net}}", "{net: {say: Net}, layer-on: nothing}"):
        own = checked(layers, before=f"cues: {cues}\n")
        assert not found(own, "no-cue")
        assert not found(own, "default-cue")


def test_cues_of_layers_that_are_on_in_other_ways() -> None:
    following = "  base: {a: {layer: net, how: next}}\n  net: {b: south}"
    assert not found(checked(following), "default-cue")
    assert found(checked(following, before="cues: {net: nothing}\n"), "no-cue")
    assert found(checked("  base: {a: {cycle: [base, net]}}\n  net: {b: south}"), "default-cue")
    held = "  base: {a: {layer: net}}\n  net: {b: south}"
    assert not found(checked(held), "default-cue")
    assert not found(checked(held, before="cues: {net: nothing}\n"), "no-cue")

"""What the check says about what the game needs."""

from __future__ import annotations

from tests.support.checked import Weight, checked, found, one

HELPER_PAD = (
    "  pad:\n    person: helper\n    find: {name: Pad}\n    controls:\n"
    "      h: {button: BTN_0}\n      g: {button: BTN_1}\n"
)


def test_a_need_that_nothing_reaches_is_an_error_with_a_way_out() -> None:
    report = checked("  base: {a: south}", before="verbs: {hoist: east}\nneeds: [south, hoist]\n")
    finding = one(report, "need-out-of-reach")
    assert finding.weight is Weight.ERROR
    assert "`hoist`" in finding.message
    assert finding.places == (("need", "hoist"),)
    assert any("`b`, `c`" in remedy for remedy in finding.remedies)
    assert not report.can_play
    assert not found(checked("  base: {a: south}", before="needs: [south]\n"), "need-out-of-reach")


def test_without_a_free_control_the_way_out_is_a_second_deed_or_a_layer() -> None:
    report = checked("  base: {a: south, b: west, c: north}", before="needs: [east]\n")
    assert any("how: next" in each for each in one(report, "need-out-of-reach").remedies)


def test_a_need_in_a_layer_that_is_never_on() -> None:
    report = checked("  base: {a: south}\n  net: {b: east}", before="needs: [east]\n")
    assert any("`net`" in each for each in one(report, "need-out-of-reach").remedies)


def test_only_the_missing_directions_of_a_stick_are_named() -> None:
    report = checked(
        "  base: {a: left-stick.left, b: left-stick.right, c: left-stick.up}",
        before="verbs: {steer: left-stick}\nneeds: [steer]\n",
    )
    message = one(report, "need-out-of-reach").message
    assert "`steer.down`" in message
    assert "steer.left" not in message


def test_a_merge_rule_can_put_a_need_out_of_reach() -> None:
    report = checked(
        "  base: {a: south, h: east, b: west, g: west}",
        devices=HELPER_PAD,
        before="needs: [south, east, west]\nmerge: {south: helper-only, east: player-only, "
        "west: both}\n",
    )
    south, east = found(report, "need-out-of-reach")
    assert any("only the helper may" in each for each in south.remedies)
    assert any("only the player may" in each for each in east.remedies)


def test_a_need_that_takes_two_at_once_en_301_549_5_9() -> None:
    """EN 301 549, 5.9: at least one mode of operation without simultaneous actions."""
    report = checked("  base: {a: {layer: net}}\n  net: {b: south}", before="needs: [south]\n")
    finding = one(report, "two-at-once")
    assert "hold a and press b" in finding.message
    assert "5.9" in finding.source
    assert report.can_play
    for how in ("next", "toggle"):
        single = checked(
            f"  base: {{a: {{layer: net, how: {how}}}}}\n  net: {{b: south}}",
            before="needs: [south]\n",
        )
        assert not found(single, "two-at-once")
    assert found(checked("  base: {a + b: south}", before="needs: [south]\n"), "two-at-once")


def test_what_only_the_helper_reaches_is_a_note() -> None:
    report = checked(
        "  base: {a: south, h: east, b: west, g: west}",
        devices=HELPER_PAD,
        before="needs: [south, east, west]\nmerge: {west: both}\n",
    )
    alone, together = found(report, "not-by-the-player")
    assert "helper alone: `east`." in alone.message
    assert "together: `west`." in together.message
    assert alone.weight is Weight.NOTE
    assert report.can_play


def test_a_stick_that_is_only_pushed_fully() -> None:
    layers = (
        "  base: {a: {push: left-stick, toward: up}, b: {push: left-stick, toward: down}, "
        "c: {scan: [left-stick.left, left-stick.right]}}"
    )
    assert found(checked(layers, before="needs: [left-stick]\n"), "only-full-pushes")
    assert not found(checked(layers, before="needs: [left-stick.up]\n"), "only-full-pushes")


def test_a_need_that_is_lost_on_the_way_is_an_error() -> None:
    """Once `net` is on, nothing puts it off, and `a` does something else in it."""
    report = checked(
        "  base: {a: south, b: {layer: net, how: toggle}}\n  net: {a: east, b: west}",
        before="needs: [south, east]\n",
    )
    finding = one(report, "need-lost")
    assert finding.weight is Weight.ERROR
    assert "`south`" in finding.message
    assert "press b" in finding.message
    assert not report.can_play
    way_back = checked(
        "  base: {a: south, b: {layer: net, how: toggle}}\n  net: {a: east}",
        before="needs: [south, east]\n",
    )
    assert not found(way_back, "need-lost")
    assert way_back.can_play


def test_a_layer_that_goes_off_by_itself_loses_nothing() -> None:
    report = checked(
        "  base: {a: south, b: {layer: net, how: next}, c: {cycle: [base, chart], back-after: 5s}}"
        "\n  net: {a: east, b: nothing, c: nothing}\n  chart: {a: west, b: nothing, c: nothing}",
        before="needs: [south, east, west]\n",
    )
    assert report.can_play


def test_what_the_helper_can_put_right_is_a_warning() -> None:
    report = checked(
        "  base: {a: south, b: {layer: net, how: toggle}, h: {release: everything}, g: east}\n"
        "  net: {a: east, b: west}",
        devices=HELPER_PAD,
        before="needs: [south, east]\n",
    )
    finding = one(report, "need-lost")
    assert finding.weight is Weight.WARNING
    assert "without the helper" in finding.message


def test_a_rest_that_cannot_end_loses_everything() -> None:
    controls = "      a: {button: BTN_0, longest: 1s}\n      b: {button: BTN_1}\n"
    report = checked(
        "  base: {a: {rest: 2s}, b: south}", controls=controls, before="needs: [south]\n"
    )
    assert one(report, "need-lost").weight is Weight.ERROR
    assert found(report, "rest-never-ends")
    fine = checked(
        "  base: {a: {rest: 900ms}, b: south}", controls=controls, before="needs: [south]\n"
    )
    assert fine.can_play
    assert not found(fine, "rest-never-ends")

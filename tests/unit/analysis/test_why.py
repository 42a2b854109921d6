"""What became of each press, why, and which one value would have changed that."""

from __future__ import annotations

import pytest

from remapd.analysis.why.comparison import compare, told, told_of_motion
from remapd.engine.layout import Layout
from tests.support.checked import layout_text
from tests.support.logged import Logged

BOX = "      a: {button: BTN_0%s}\n      b: {button: BTN_1}\n      c: {button: BTN_2}\n"
STICK = "      roll: {stick: [ABS_X, ABS_Y]%s}\n      a: {button: BTN_0}\n"
HELPER_PAD = (
    "  pad:\n    person: helper\n    find: {name: Pad}\n    controls:\n      h: {button: BTN_0}\n"
)


def box(layers: str, settings: str = "", **more: str) -> str:
    return layout_text(layers, controls=BOX % settings, **more)


def stick(layers: str, settings: str = "") -> str:
    return layout_text(layers, controls=STICK % settings)


def test_a_touch_that_is_too_short() -> None:
    text = box("  base: {a: south}", ", acceptance-delay: 80ms")
    entry = Logged(text).tap("a", at=100, length=52).entries(1000)[0]
    assert entry.text == (
        "touched for 52 ms and ignored: a touch counts from 80 ms on (`acceptance-delay`)"
    )
    assert entry.suggestion is not None
    assert entry.suggestion.change.setting == "acceptance-delay: 50ms"
    assert entry.suggestion.change.where == "a"


def test_a_press_that_comes_again_too_soon() -> None:
    text = box("  base: {a: south}", ", repeat-guard: 300ms")
    play = Logged(text).tap("a", at=100, length=100).tap("a", at=380, length=100)
    first, second = play.entries(1000)
    assert first.text == "pressed: south (layer base)"
    assert first.suggestion is None
    assert "came again 180 ms after the last press" in second.text
    assert second.suggestion is not None
    assert second.suggestion.change.setting == "repeat-guard: 180ms"


def test_chatter() -> None:
    play = Logged(box("  base: {a: south}")).tap("a", at=100, length=50).tap("a", at=155, length=4)
    entry = play.entries(1000)[1]
    assert "taken for chatter of the contact" in entry.text
    assert entry.suggestion is not None
    assert entry.suggestion.change.setting == "debounce: 4ms"


@pytest.mark.parametrize(
    ("length", "text", "setting"),
    [
        (100, "held for 0.1 s, a short press: south", None),
        (760, "held for 0.76 s, a short press: south", "after: 750ms"),
        (900, "held for 0.9 s, a long press: east", "after: 950ms"),
        (2000, "held for 2 s, a long press: east", None),
    ],
)
def test_short_and_long(length: int, text: str, setting: str | None) -> None:
    layout = box("  base: {a: {short: south, long: east, after: 800ms}}")
    entry = Logged(layout).tap("a", at=100, length=length).entries(4000)[0]
    assert text in entry.text
    change = None if entry.suggestion is None else entry.suggestion.change.setting
    assert change == setting


def test_twice_in_time_and_not() -> None:
    layout = box("  base: {a: {once: south, twice: east, within: 400ms}}")
    play = Logged(layout).tap("a", at=0, length=50).tap("a", at=300, length=50)
    play.tap("a", at=2000, length=50).tap("a", at=2560, length=50)
    first, second, third, fourth = play.entries(5000)
    assert first.text == "pressed for the first time of two, for east"
    assert first.suggestion is None
    assert second.text == "pressed for the second time within 0.4 s: east"
    assert third.text == "pressed once: south (no second press within 0.4 s)"
    assert third.suggestion is not None
    assert third.suggestion.change.setting == "within: 600ms"
    assert fourth.suggestion is None


def test_a_chord_and_two_that_come_too_far_apart() -> None:
    layout = box("  base: {a: south, b: east, a + b: start}")
    play = Logged(layout).press("a", 100).press("b", 200).release("a", 400).release("b", 500)
    play.press("a", 1000).press("b", 1230).release("a", 1500).release("b", 1600)
    first, second, third, fourth = play.entries(3000)
    assert first.text == "pressed together with b: start"
    assert second.text == "pressed together with a: start"
    assert third.text == "pressed: south (layer base)"
    assert third.suggestion is not None
    assert third.suggestion.change.setting == "chord-window: 240ms"
    assert fourth.text == "pressed: east (layer base)"
    tapped = Logged(layout).tap("a", at=100, length=50).entries(1000)[0]
    assert "let go before a partner for a chord came" in tapped.text


def test_the_wait_for_a_partner_is_no_part_of_a_long_press() -> None:
    action = "{short: south, long: west, after: 400ms}"
    layout = box(f"  base: {{a: {action}, b: east, a + b: start}}")
    waited = Logged(layout).tap("a", at=100, length=500).entries(2000)[0]
    assert waited.text.startswith("held for 0.3 s, a short press: south")
    assert (
        Logged(layout)
        .tap("a", 100, 650)
        .entries(2000)[0]
        .text.startswith("held for 0.45 s, a long")
    )


def test_a_touch_begins_where_the_hand_began_it() -> None:
    text = box("  base: {a: south}", ", acceptance-delay: 80ms, release-delay: 100ms")
    play = Logged(text).tap("a", at=100, length=52).tap("a", at=1000, length=200)
    play.entries(3000)
    assert [press.begun_us for press in play.log.presses] == [100_000, 1_000_000]
    assert [press.accepted_us for press in play.log.presses] == [None, 1_080_000]


def test_lists_rests_and_layers_that_say_nothing() -> None:
    layout = box("  base: {a: {scan: [south, east]}, b: {rest: 1s}, c: nothing}")
    play = Logged(layout).tap("a", at=0, length=50).tap("a", at=500, length=50)
    play.tap("c", at=1000, length=50).tap("b", at=1500, length=50).tap("a", at=2000, length=50)
    texts = [entry.text for entry in play.entries(3000)]
    assert texts[1] == "took south, which the list offered"
    assert texts[2] == "pressed, but blocked in the layer base (`nothing`)"
    assert texts[4] == "pressed while everything rests, when nothing counts"
    other = Logged(box("  base: {a: {layer: net, how: toggle}}\n  net: {b: south}"))
    other.tap("b", at=0, length=50).tap("a", at=300, length=50).tap("c", at=600, length=50)
    silent = [entry.text for entry in other.entries(2000)]
    assert silent[0] == "pressed, but no layer that was on gives it anything to do (base)"
    assert silent[2].endswith("(net, base)")


def test_merge_rules_that_leave_a_press_out() -> None:
    layout = box(
        "  base: {a: south, b: west, h: east}",
        devices=HELPER_PAD,
        before="merge: {south: helper-only, east: player-only, west: both}\n",
    )
    play = Logged(layout).tap("a", 0, 50).tap("h", 500, 50).tap("b", 900, 50)
    player, helper, both = (entry.text for entry in play.entries(2000))
    assert player.endswith("; but south is for the helper alone (helper-only)")
    assert helper.endswith("; but east is for the player alone (player-only)")
    assert both.endswith("; west counts only while the helper presses it too")


def test_a_lean_that_is_no_press() -> None:
    layout = stick("  base: {roll.left: south}")
    play = Logged(layout).move("roll", -0.47, 0.0, 100).move("roll", 0.0, 0.0, 400)
    entry = play.entries(1000)[0]
    # (0.47 - 0.1) / 0.9 is 41 % behind the dead zone.
    assert entry.text == (
        "moved 41% of the way left, not enough for a press: that is 50% (`press-at`)"
    )
    assert entry.suggestion is not None
    assert entry.suggestion.change.setting == "press-at: 41%"
    other_way = Logged(layout).move("roll", 0.47, 0.0, 100).move("roll", 0.0, 0.0, 400)
    entry = other_way.entries(1000)[0]
    assert "which does nothing in the layers that were on" in entry.text
    assert entry.suggestion is None
    pressed = Logged(layout).move("roll", -0.9, 0.0, 100).move("roll", 0.0, 0.0, 400)
    assert [entry.text for entry in pressed.entries(1000)] == ["pressed: south (layer base)"]


def test_a_movement_inside_the_dead_zone() -> None:
    layout = stick("  base: {roll: left-stick}", ", dead-zone: 20%")
    play = Logged(layout).move("roll", 0.0, 0.17, 100).move("roll", 0.0, 0.0, 400)
    entry = play.entries(1000)[0]
    assert "moved 17% of its way, all of it inside the dead zone of 20%" in entry.text
    assert entry.suggestion is not None
    assert entry.suggestion.change.setting == "dead-zone: 16%"
    trembling = Logged(layout).move("roll", 0.0, 0.05, 100).move("roll", 0.0, 0.0, 400)
    assert trembling.entries(1000) == []


def test_a_stick_that_never_gets_far() -> None:
    layout = stick("  base: {roll: left-stick}")
    play = Logged(layout).move("roll", 0.0, 0.6, 100).move("roll", 0.0, 0.0, 400)
    play.move("roll", 0.5, 0.0, 600).move("roll", 0.0, 0.0, 900)
    (entry,) = play.entries(2000)
    assert "the farthest in the whole recording" in entry.text
    assert entry.suggestion is not None
    assert entry.suggestion.change.setting == "reach: 60%"
    far = Logged(layout).move("roll", 0.0, 0.95, 100).move("roll", 0.0, 0.0, 400)
    assert far.entries(2000) == []


# ---------------------------------------------------------------------- trying a value out


def play_with(layout: Layout) -> Logged:
    """Three touches of 40, 60 and 200 ms, and one long press of 0.76 s."""
    play = Logged(layout)
    play.tap("a", 100, 40).tap("a", 1000, 60).tap("a", 2000, 200).tap("a", 4000, 860)
    play.log.advance(6_000_000)
    return play


def test_what_a_value_gains_loses_and_changes() -> None:
    text = box("  base: {a: {short: south, long: east, after: 800ms}}", ", acceptance-delay: 100ms")
    before = play_with(Logged(text).layout)
    entries = before.entries(6000)
    by_setting = {
        entry.suggestion.change.setting: entry.suggestion.change
        for entry in entries
        if entry.suggestion is not None
    }
    shorter = by_setting["acceptance-delay: 40ms"]
    after = play_with(shorter.apply(before.layout))
    words = told(compare(before.log.presses, after.log.presses))
    assert words == (
        "over the whole recording it gains 2 presses (a: south (2)), loses none, "
        "changes 1 press (a: east instead of south)"
    )
    longer = by_setting["after: 750ms"]
    after = play_with(longer.apply(before.layout))
    words = told(compare(before.log.presses, after.log.presses))
    assert words == (
        "over the whole recording it gains none, loses none, "
        "changes 1 press (a: east instead of south)"
    )
    back = compare(after.log.presses, before.log.presses)
    assert back.changed == {("a", "east", "south"): 1}
    lost = compare(play_with(shorter.apply(before.layout)).log.presses, before.log.presses)
    assert lost.lost == {("a", "south"): 2}


def test_a_change_is_made_in_one_place_only() -> None:
    action = "{short: south, long: east, after: 500ms}"
    text = box(f"  base: {{a: {action}, b: {action}}}\n  net: {{b: {action}}}")
    play = Logged(text).tap("b", 0, 450)
    suggestion = play.entries(1000)[0].suggestion
    assert suggestion is not None
    changed = suggestion.change.apply(play.layout)
    base, was = changed.layers[0], play.layout.layers[0]
    assert base.bindings[1] != was.bindings[1]
    assert base.bindings[0] == was.bindings[0]
    assert changed.layers[1] == play.layout.layers[1]
    # A layout of the same recording that has something else there is left as it is.
    other = Logged(box("  base: {a: south, b: {short: south, long: east, after: 900ms}}")).layout
    assert suggestion.change.apply(other) == other


def test_what_a_value_does_for_a_stick() -> None:
    layout = Logged(stick("  base: {roll: left-stick}", ", dead-zone: 20%")).layout

    def moved(with_layout: Layout) -> Logged:
        play = Logged(with_layout)
        for at in (0, 1000, 2000):
            play.move("roll", 0.0, 0.17, at + 100).move("roll", 0.0, 0.0, at + 400)
        return play.move("roll", 1.0, 0.0, 3500).move("roll", 0.0, 0.0, 3800)

    before = moved(layout)
    suggestion = before.entries(5000)[0].suggestion
    assert suggestion is not None
    after = moved(suggestion.change.apply(layout))
    assert told_of_motion("roll", before.log.leans, after.log.leans) == (
        "over the whole recording roll moves the pad 4 times instead of once"
    )

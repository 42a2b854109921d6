"""Which devices of a layout are hidden from games, and by what rules."""

from __future__ import annotations

import re
from dataclasses import replace
from fnmatch import fnmatchcase

from hypothesis import given
from hypothesis import strategies as st

from remapd.codes import KEYS
from remapd.engine.layout import Layout
from remapd.engine.matching import LETTER_KEYS
from remapd.kernel.hotplug import NodeDescription
from remapd.kernel.pad import PAD_PORT
from remapd.language import load_text
from remapd.upkeep.hiding import plan_hiding, rules_text

BOX = NodeDescription(
    path="/dev/input/event5",
    name="Switch box",
    vendor=0x1209,
    product=0x2001,
    version=1,
    bus=3,
    port="usb-1/input0",
    serial="B1",
    keys=frozenset((KEYS["BTN_0"], KEYS["BTN_SOUTH"])),
    rels=frozenset(),
    axes=frozenset(),
)
KEYBOARD = replace(BOX, path="/dev/input/event6", name="Desk keyboard", keys=LETTER_KEYS)
BALL = replace(
    BOX,
    path="/dev/input/event7",
    name="Large ball",
    keys=frozenset((KEYS["BTN_LEFT"],)),
    rels=frozenset((0, 1)),
)


def layout(find: str, more: str = "", controls: str = "{a: {button: BTN_0}}") -> Layout:
    text = f"remapd: 1\ntitle: t\ndevices:\n  thing:\n    find: {find}\n{more}"
    loaded = load_text(f"{text}    controls: {controls}\nlayers:\n  play: {{}}\n")
    assert loaded.layout is not None, [each.message for each in loaded.errors]
    return loaded.layout


def test_a_plugged_in_device_is_hidden_by_name_and_numbers_and_its_raw_node_too() -> None:
    hiding = plan_hiding(layout('{name: "Switch*"}'), [BOX, KEYBOARD])

    (hidden,) = hiding.hidden
    assert (hidden.device, hidden.name, hidden.nodes) == ("thing", "Switch box", (BOX.path,))
    event, raw = hidden.rules
    assert 'ATTRS{name}=="Switch box"' in event
    assert 'ATTRS{id/vendor}=="1209", ATTRS{id/product}=="2001"' in event
    assert 'KERNEL=="event*|js*"' in event
    assert 'ENV{ID_INPUT_JOYSTICK}=""' in event
    assert 'KERNELS=="????:1209:2001.*"' in raw
    for rule in hidden.rules:
        assert 'GROUP="remapd-devices", MODE="0660"' in rule
        assert 'TAG-="uaccess"' in rule


def test_one_of_two_alike_is_told_by_what_the_layout_tells_it_by() -> None:
    other = replace(BOX, path="/dev/input/event9", serial="B2", port="usb-2/input0")

    (hidden,) = plan_hiding(layout('{name: "Switch box", serial: "B2"}'), [BOX, other]).hidden

    assert hidden.nodes == (other.path,)
    assert 'ATTRS{uniq}=="B2"' in hidden.rules[0]
    assert "phys" not in hidden.rules[0]


def test_what_is_not_plugged_in_is_hidden_by_what_the_layout_looks_for() -> None:
    wanted = layout('{name: "Left | right*", vendor: 0x1209}')

    (hidden,) = plan_hiding(wanted, []).hidden

    assert 'ATTRS{name}=="Left [|] right*", ATTRS{id/vendor}=="1209"' in hidden.rules[0]
    assert hidden.nodes == ()


def test_a_ball_that_is_plugged_in_later_stays_the_desktops_too() -> None:
    """udev says what it is once it is there (60-input-id.rules of systemd, man udev)."""
    ball = layout(
        "{name: Large ball}", "    exclusive: true\n", "{roll: {pointer: [REL_X, REL_Y]}}"
    )

    (hidden,) = plan_hiding(ball, []).hidden
    assert hidden.unless_desktops
    assert 'ENV{ID_INPUT_KEYBOARD}!="1", ENV{ID_INPUT_MOUSE}!="1", ENV{' in hidden.rules[0]
    (hidden,) = plan_hiding(ball, [], also_desktop=True).hidden
    assert not hidden.unless_desktops
    assert "ID_INPUT_MOUSE" not in hidden.rules[0]
    (hidden,) = plan_hiding(layout("{name: Switch box}"), [BOX]).hidden
    assert not hidden.unless_desktops


def test_a_layout_that_says_too_little_hides_nothing_of_what_is_not_plugged_in() -> None:
    hiding = plan_hiding(layout("{shape: gamepad}", controls="gamepad"), [])

    assert hiding.hidden == ()
    assert "not plugged in" in hiding.left[0].because
    assert rules_text(hiding, "x") is None


def test_what_the_layout_shares_is_left_visible() -> None:
    hiding = plan_hiding(layout('{name: "Switch box"}', "    exclusive: false\n"), [BOX])

    assert hiding.hidden == ()
    assert "exclusive: false" in hiding.left[0].because


def test_keyboards_and_mice_stay_the_desktops() -> None:
    ball = layout(
        "{name: Large ball}", "    exclusive: true\n", "{roll: {pointer: [REL_X, REL_Y]}}"
    )
    hiding = plan_hiding(ball, [BALL, KEYBOARD])

    assert hiding.hidden == ()
    assert "only while remapd plays" in hiding.left[0].because


def test_hidden_on_demand_the_only_pointer_is_named() -> None:
    ball = layout(
        "{name: Large ball}", "    exclusive: true\n", "{roll: {pointer: [REL_X, REL_Y]}}"
    )
    mouse = replace(BALL, path="/dev/input/event8", name="Mouse")

    alone = plan_hiding(ball, [BALL, KEYBOARD], also_desktop=True)
    assert [each.name for each in alone.hidden] == ["Large ball"]
    assert alone.only_ones == ("Large ball",)
    assert plan_hiding(ball, [BALL, mouse], also_desktop=True).only_ones == ()


def test_a_pad_that_remapd_makes_is_never_hidden() -> None:
    pad = replace(BOX, port=PAD_PORT)

    assert plan_hiding(layout("{shape: gamepad}", controls="gamepad"), [pad]).hidden == ()


@given(st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=30))
def test_any_name_gives_one_rule_that_matches_it(name: str) -> None:
    node = replace(BOX, name=name)
    text = rules_text(plan_hiding(layout("{vendor: 0x1209, product: 0x2001}"), [node]), name)

    assert text is not None
    rules = [line for line in text.splitlines() if line and not line.startswith("#")]
    assert len(rules) == 4  # ACTION, event, hidraw, LABEL
    assert all(line.startswith(("ACTION", "SUBSYSTEM", "LABEL")) for line in rules)
    found = re.search(r'ATTRS\{name\}=="([^"]*)"', rules[1])
    assert found is not None
    assert fnmatchcase(name, found[1])

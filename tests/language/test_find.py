"""The layout language, section 2, `find`: which node is which device of the layout."""

from __future__ import annotations

from types import MappingProxyType

import pytest

from remapd.codes import AXES, KEYS, RELS
from remapd.engine import AxisRange, Engine, Layout, Source
from tests.support.layouts import load_or_fail

LETTERS = frozenset(KEYS[f"KEY_{letter}"] for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ")


def node(number: int, **changes: object) -> Source:
    """A switch box, unless the changes say else."""
    fields: dict[str, object] = {
        "id": number,
        "name": "Switch box",
        "vendor": 0x1209,
        "product": 0x2001,
        "port": f"usb-{number}",
        "serial": "B17",
        "keys": frozenset((KEYS["BTN_0"], KEYS["BTN_1"])),
    }
    return Source(**{**fields, **changes})  # type: ignore[arg-type]


def finding(devices: str) -> Layout:
    """A layout of these devices."""
    return load_or_fail(f"remapd: 1\ntitle: Finding\ndevices:\n{devices}layers:\n  play: {{}}\n")


def taken(devices: str, *nodes: Source) -> dict[int, str]:
    """Which device each node was taken as, by its id, when plugged in in this order."""
    layout = finding(devices)
    engine = Engine(layout)
    for source in nodes:
        engine.plug(0, source, (), dict.fromkeys(source.axes, 0))
    return {number: layout.devices[device].name for number, device in engine.taken.items()}


def box(find: str, controls: str = "one: {button: BTN_0}", name: str = "box") -> str:
    """A device of a layout, as text."""
    return f"  {name}:\n    find: {{{find}}}\n    controls: {{{controls}}}\n"


@pytest.mark.parametrize(
    ("find", "fits"),
    [
        ('name: "Switch box"', True),
        ('name: "Switch*"', True),
        ('name: "switch box"', False),
        ('name: "Switch"', False),
        ('name: "S?itch [a-c]ox"', True),
        ('port: "usb-1"', True),
        ('port: "usb-2"', False),
        ('serial: "B*"', True),
        ('serial: "C*"', False),
        ("vendor: 0x1209", True),
        ("vendor: 0x120a", False),
        ("product: 0x2001", True),
        ("product: 0x2002", False),
        ('name: "Switch*", vendor: 0x1209, product: 0x2001, serial: "B17"', True),
        ('name: "Switch*", vendor: 0x1209, product: 0x2001, serial: "B18"', False),
    ],
)
def test_all_given_keys_must_match(find: str, fits: bool) -> None:
    """Section 2, find: "All given keys must match"; patterns are shell-style, ids exact."""
    assert taken(box(find), node(1)) == ({1: "box"} if fits else {})


@pytest.mark.parametrize(
    ("shape", "keys", "rels", "fits"),
    [
        ("gamepad", {"BTN_SOUTH"}, set(), True),
        ("gamepad", {"BTN_EAST"}, set(), False),
        ("pointer", {"BTN_LEFT"}, {"REL_X", "REL_Y"}, True),
        ("pointer", {"BTN_LEFT"}, {"REL_X"}, False),
        ("pointer", set(), {"REL_X", "REL_Y"}, False),
    ],
)
def test_shapes(shape: str, keys: set[str], rels: set[str], fits: bool) -> None:
    """Section 2, find: gamepad has BTN_SOUTH; pointer has REL_X, REL_Y and BTN_LEFT."""
    source = node(
        1,
        keys=frozenset(KEYS[name] for name in (*keys, "BTN_0")),
        rels=frozenset(RELS[name] for name in rels),
    )

    assert taken(box(f"shape: {shape}"), source) == ({1: "box"} if fits else {})


def test_keyboard_has_all_letters() -> None:
    """Section 2, find: "`keyboard` (has all of KEY_A to KEY_Z)"."""
    device = box("shape: keyboard", "one: {button: KEY_A}")

    assert taken(device, node(1, keys=LETTERS)) == {1: "box"}
    assert taken(device, node(1, keys=LETTERS - {KEYS["KEY_Q"]})) == {}


@pytest.mark.parametrize(
    ("controls", "fits"),
    [
        ("one: {button: BTN_1}", True),
        ("one: {button: BTN_2}", False),
        ("one: {button: BTN_0}, roll: {pointer: [REL_X, REL_Y]}", False),
        ("one: {button: BTN_0}, wand: {stick: [ABS_X, ABS_Y]}", True),
        ("one: {button: BTN_0}, wand: {stick: [ABS_X, ABS_RY]}", False),
        ("pedal: {lever: ABS_Z}", False),
    ],
)
def test_node_that_lacks_a_named_code_never_matches(controls: str, fits: bool) -> None:
    """Section 2, find: "A node that lacks a code which `controls` names never matches"."""
    axes = {AXES["ABS_X"]: AxisRange(-1, 1), AXES["ABS_Y"]: AxisRange(-1, 1)}
    source = node(1, axes=MappingProxyType(axes))

    assert taken(box('name: "Switch*"', controls), source) == ({1: "box"} if fits else {})


def test_node_is_taken_once_by_the_first_device_that_it_fits() -> None:
    """Section 2, find: "a node is taken once, by the first device in the file that it fits"."""
    devices = box('name: "Switch*"', name="first") + box(
        "vendor: 0x1209", "two: {button: BTN_1}", name="second"
    )

    assert taken(devices, node(1)) == {1: "first"}
    assert taken(devices, node(1), node(2)) == {1: "first", 2: "second"}


def test_device_takes_one_node_only() -> None:
    """Section 2: a device is one input device."""
    assert taken(box('name: "Switch*"'), node(1), node(2)) == {1: "box"}


@pytest.mark.parametrize("order", [(1, 2, 3), (3, 2, 1), (2, 3, 1)])
def test_nth_picks_in_the_order_of_the_ports(order: tuple[int, ...]) -> None:
    """Section 2, find: "`nth`, from 1, picks among devices that match alike", by `port`."""
    devices = (
        box('name: "Switch*", nth: 2', name="second")
        + box('name: "Switch*", nth: 1', "two: {button: BTN_0}", name="first")
        + box('name: "Switch*", nth: 3', "three: {button: BTN_0}", name="third")
    )

    assert taken(devices, *map(node, order)) == {1: "first", 2: "second", 3: "third"}


def test_device_of_the_layout_that_is_missing_leaves_the_others() -> None:
    """Section 2: each device is found by itself."""
    devices = box('name: "Pedals"', name="pedals") + box(
        'name: "Switch*"', "two: {button: BTN_1}", name="switches"
    )

    assert taken(devices, node(1)) == {1: "switches"}


def test_node_that_comes_back_with_another_id_is_taken_again() -> None:
    """Section 8, unplug: "taken again by `find`"; the kernel gives it a new node."""
    engine = Engine(finding(box('name: "Switch*"')))
    engine.plug(0, node(1), (), {})
    engine.unplug(1000, 1)
    gone = dict(engine.taken)
    engine.plug(2000, node(9, port="usb-7"), (), {})

    assert gone == {}
    assert dict(engine.taken) == {9: 0}


def test_spare_node_takes_the_place_of_one_that_goes() -> None:
    """Section 2 and 8: a device is whatever node fits it."""
    engine = Engine(finding(box('name: "Switch*"')))
    engine.plug(0, node(1), (), {})
    engine.plug(0, node(2), (), {})
    engine.unplug(1000, 1)

    assert dict(engine.taken) == {2: 0}

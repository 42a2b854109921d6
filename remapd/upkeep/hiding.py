"""udev rules that hide claimed devices from games, made from a layout and what is plugged in.

A device that remapd takes for itself is silent for everyone else, but still listed: games show it
as a dead first controller. And some read /dev/hidraw*, which taking does not silence. So its
nodes are closed to all but the service, and it is no longer called a joystick. Their group is one
that nobody is in: those who may change layouts run games too.

Keyboards and mice are left as they are: no game takes them for a controller, they are taken only
while remapd plays, and afterwards the player wants the pointer back.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from remapd.engine.layout import Device, Find, Layout
from remapd.engine.matching import fits, has_codes, is_keyboard, is_pointer
from remapd.engine.source import AxisRange, Source
from remapd.kernel.hotplug import NodeDescription, is_remapd_pad

_HEAD: Final = """\
# /etc/udev/rules.d/72-remapd-claimed.rules: devices that remapd takes, hidden from games.
# Written by `remapd service install` from the layout {layout}.
# The number stands between 70, where udev marks devices for whoever sits at the screen, and 73,
# where it hands them out. `remapd service remove` takes all of it back.
ACTION=="remove", GOTO="remapd_end"
"""
#: What is done to a node: not a joystick for games, not looked at by the desktop, not handed out to
#: whoever sits at the screen, and open to the service's group alone (js nodes are open to all
#: before).
_CLOSED: Final = (
    'ENV{ID_INPUT_JOYSTICK}="", ENV{LIBINPUT_IGNORE_DEVICE}="1", TAG-="uaccess", '
    'OWNER="root", GROUP="remapd-devices", MODE="0660"'
)
#: What a mouse, a ball or a keyboard is to udev itself, once it is plugged in.
_NOT_THE_DESKTOPS: Final = 'ENV{ID_INPUT_KEYBOARD}!="1", ENV{ID_INPUT_MOUSE}!="1"'
_BLOCK_TITLE: Final = re.compile(r"^# ([a-z][a-z0-9-]*: .+)$", re.MULTILINE)
_TAIL: Final = 'LABEL="remapd_end"\n'


@dataclass(frozen=True, slots=True)
class Hidden:
    """One block of rules. `nodes` are the plugged-in nodes that it is about.

    `unless_desktops`: a keyboard or mouse that is plugged in later stays as it is.
    """

    device: str  #: as the layout calls it
    name: str  #: of the device, or the pattern that is looked for
    rules: tuple[str, ...]
    nodes: tuple[str, ...] = ()
    unless_desktops: bool = False


@dataclass(frozen=True, slots=True)
class Left:
    """A device of the layout that is not hidden, and why, to stand after its name."""

    device: str
    because: str


@dataclass(frozen=True, slots=True)
class Hiding:
    """What becomes of the devices of a layout."""

    hidden: tuple[Hidden, ...]
    left: tuple[Left, ...]
    #: Names of keyboards or pointers that would be hidden though no other is plugged in.
    only_ones: tuple[str, ...] = ()


def plan_hiding(
    layout: Layout, nodes: Sequence[NodeDescription], *, also_desktop: bool = False
) -> Hiding:
    """What to hide, of the devices that the layout takes for remapd alone.

    `also_desktop` hides keyboards and pointers too, where the layout says `exclusive: true` in
    words: for a ball or a keyboard that shall never be the desktop's.
    """
    hidden: list[Hidden] = []
    left: list[Left] = []
    only_ones: list[str] = []
    for device in layout.devices:
        if not device.exclusive:
            left.append(Left(device.name, "the layout shares it (`exclusive: false`)"))
            continue
        here = [node for node in nodes if is_it(device, node)]
        desktop = [node for node in here if _is_for_desktop(node)]
        if here and len(desktop) == len(here) and not (also_desktop and device.exclusive_in_words):
            left.append(
                Left(device.name, "it is a keyboard or mouse, taken only while remapd plays")
            )
            continue
        if also_desktop:
            only_ones += [node.name for node in desktop if _is_the_only_one(node, nodes)]
        else:
            here = [node for node in here if not _is_for_desktop(node)]
        if here:
            hidden += [
                Hidden(device.name, node.name, _rules_for_node(device.find, node), (node.path,))
                for node in here
            ]
        else:
            all_of_it = also_desktop and device.exclusive_in_words
            rules = _rules_for_find(device.find, "" if all_of_it else f", {_NOT_THE_DESKTOPS}")
            name = device.find.name or "a device not plugged in"
            if rules is not None:
                hidden.append(Hidden(device.name, name, rules, unless_desktops=not all_of_it))
                continue
            left.append(
                Left(device.name, "it is not plugged in, and the layout names no name or maker")
            )
    return Hiding(_without_doubles(hidden), tuple(left), tuple(only_ones))


def rules_text(hiding: Hiding, layout_name: str) -> str | None:
    """The rules file, None where there is nothing to hide."""
    if not hiding.hidden:
        return None
    blocks = [_HEAD.format(layout=" ".join(layout_name.split()))]
    for each in hiding.hidden:
        blocks.append(f"\n# {each.device}: {' '.join(each.name.split())}\n")
        blocks += [f"{rule}\n" for rule in each.rules]
    return "".join([*blocks, "\n", _TAIL])


def hidden_names(text: str) -> list[str]:
    """What a rules file hides, as `device: name`, in its order."""
    return _BLOCK_TITLE.findall(text)


def is_it(device: Device, node: NodeDescription) -> bool:
    """Whether this node may be this device of a layout."""
    source = _as_source(node)
    return not is_remapd_pad(node) and fits(device.find, source) and has_codes(device, source)


def _as_source(node: NodeDescription) -> Source:
    """A source whose axes have no ranges: to match it, they need none."""
    return Source(
        0,
        node.name,
        node.vendor,
        node.product,
        node.version,
        node.bus,
        node.port,
        node.serial,
        node.keys,
        node.rels,
        {axis: AxisRange(0, 0) for axis in node.axes},
    )


def _is_for_desktop(node: NodeDescription) -> bool:
    source = _as_source(node)
    return is_keyboard(source) or is_pointer(source)


def _is_the_only_one(node: NodeDescription, nodes: Iterable[NodeDescription]) -> bool:
    """Whether no other keyboard, or no other pointer, is plugged in."""
    sort = is_keyboard if is_keyboard(_as_source(node)) else is_pointer
    return not any(other != node and sort(_as_source(other)) for other in nodes)


def _rules_for_node(find: Find, node: NodeDescription) -> tuple[str, ...]:
    """As narrow as the layout's own `find`, with the name and numbers that the device has."""
    attributes = [("name", _exactly(node.name))]
    if node.vendor or node.product:
        attributes += [("id/vendor", f"{node.vendor:04x}"), ("id/product", f"{node.product:04x}")]
    if find.serial is not None and node.serial:
        attributes.append(("uniq", _exactly(node.serial)))
    if find.port is not None and node.port:
        attributes.append(("phys", _exactly(node.port)))
    return _rules(attributes, (node.vendor, node.product))


def _rules_for_find(find: Find, unless: str) -> tuple[str, ...] | None:
    """For a device that is not plugged in: what the layout looks for, if that says enough.

    `unless`: what else must hold of it, for only then can it be seen what it is.
    """
    attributes = [
        (attribute, _as_udev_pattern(wanted))
        for attribute, wanted in (("name", find.name), ("uniq", find.serial), ("phys", find.port))
        if wanted is not None and wanted.strip("*")
    ]
    if find.vendor is not None:
        attributes.append(("id/vendor", f"{find.vendor:04x}"))
    if find.product is not None:
        attributes.append(("id/product", f"{find.product:04x}"))
    if not attributes or find.shape in {"keyboard", "pointer"}:
        return None
    return _rules(attributes, (find.vendor or 0, find.product or 0), unless)


def _rules(
    attributes: Sequence[tuple[str, str]], numbers: tuple[int, int], unless: str = ""
) -> tuple[str, ...]:
    # all of a rule's ATTRS must be those of one and the same parent: the input device
    matches = ", ".join(f'ATTRS{{{name}}}=="{value}"' for name, value in attributes)
    rules = [f'SUBSYSTEM=="input", KERNEL=="event*|js*", {matches}{unless}, {_CLOSED}']
    vendor, product = numbers
    if vendor or product:
        # the HID device's own name is BUS:VENDOR:PRODUCT.NUMBER, over every sort of cable or radio
        hid = f"????:{vendor:04X}:{product:04X}.*"
        rules.append(
            f'SUBSYSTEM=="hidraw", KERNELS=="{hid}", TAG-="uaccess", '
            'OWNER="root", GROUP="remapd-devices", MODE="0660"'
        )
    return tuple(rules)


def _exactly(text: str) -> str:
    """A udev pattern that matches this text; letters that cannot be written match any one."""
    return "".join(f"[{letter}]" if letter in "*?[|" else _plain(letter) for letter in text)


def _as_udev_pattern(pattern: str) -> str:
    """A layout's shell pattern for udev, in which `|` stands between alternatives."""
    return "".join("[|]" if letter == "|" else _plain(letter) for letter in pattern)


def _plain(letter: str) -> str:
    return "?" if letter in '"\\$%' or not letter.isprintable() else letter


def _without_doubles(hidden: Iterable[Hidden]) -> tuple[Hidden, ...]:
    """Of several nodes or devices with the same rules only the first, with all their nodes."""
    kept: dict[tuple[str, ...], Hidden] = {}
    for each in hidden:
        before = kept.get(each.rules)
        if before is None:
            kept[each.rules] = each
        else:
            nodes = tuple(dict.fromkeys((*before.nodes, *each.nodes)))
            kept[each.rules] = replace(before, nodes=nodes)
    return tuple(kept.values())

"""What `remapd devices` tells of a switch box with three switches, without one plugged in.

The sentences are the command's own, of a device that is described here as the kernel would.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from remapd.analysis.device_kinds import in_words
from remapd.analysis.input_seen import InputSeen
from remapd.cli.devices_listing import Listed, layout_lines, sentences
from remapd.codes import EV_KEY, KEYS
from remapd.engine.source import Source
from remapd.kernel.hotplug import NodeDescription

_SWITCHES: Final = tuple(KEYS[name] for name in ("BTN_0", "BTN_1", "BTN_2"))
_NODE: Final = NodeDescription(
    path="/dev/input/event6",
    name="Switch box",
    vendor=0x1209,
    product=0x2002,
    version=0x111,
    bus=3,
    port="usb-0000:00:14.0-2/input0",
    serial="",
    keys=frozenset(_SWITCHES),
    rels=frozenset(),
    axes=frozenset(),
)


def told() -> list[str]:
    """The list, a press of each switch, and the lines for a layout."""
    source = Source(
        0, _NODE.name, _NODE.vendor, _NODE.product, _NODE.version, _NODE.bus, _NODE.port,
        keys=_NODE.keys,
    )  # fmt: skip
    listed = Listed(_NODE, source, {}, None, None, [], all_holders_known=True, taken_alone=False)
    seen = InputSeen({}, frozenset(), {})
    return [
        *sentences(listed, [listed]),
        "",
        f"{source.name}: {in_words(source)}, at {_NODE.path}.",
        *(f"{source.name}: {each}" for each in _presses(seen)),
        "",
        "For a layout:",
        f"  # {source.name}",
        *(f"  {line}" for line in layout_lines(listed, [listed], seen.pressed)),
    ]


def _presses(seen: InputSeen) -> Iterator[str]:
    for number, switch in enumerate(_SWITCHES):
        at_us = 1_000_000 * (number + 1)
        yield from seen.feed(at_us, [(EV_KEY, switch, 1)])
        yield from seen.feed(at_us + 240_000, [(EV_KEY, switch, 0)])


if __name__ == "__main__":
    print("\n".join(told()))

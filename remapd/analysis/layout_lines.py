"""Lines to paste into a layout for a device that is plugged in: its `find:` and its `controls:`.

`find:` is as short as it can be and still pick this device among those that are plugged in; it
prefers what belongs to the device (its name, its serial number) over where it is plugged in.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Protocol

from remapd.analysis.device_kinds import HasCodes, Kind, buttons_of, kind_of, plain_axes
from remapd.codes import AXES, EV_ABS, EV_KEY, EV_REL, RELS, code_name
from remapd.engine.source import AxisRange


class Plugged(HasCodes, Protocol):
    """A `Source`, or a node that is not open."""

    @property
    def name(self) -> str: ...  # noqa: D102
    @property
    def vendor(self) -> int: ...  # noqa: D102
    @property
    def product(self) -> int: ...  # noqa: D102
    @property
    def port(self) -> str: ...  # noqa: D102
    @property
    def serial(self) -> str: ...  # noqa: D102


@dataclass(frozen=True, slots=True)
class FindLine:
    """How a layout finds a device.

    Attributes:
        criteria: What `find` holds: patterns and numbers as a layout means them, without quotes.
        because: In words how it tells the device from others; empty where nothing has to.
    """

    criteria: tuple[tuple[str, str], ...]
    because: str = ""

    @property
    def text(self) -> str:
        """The line."""
        words = [
            f"{key}: {value if key in _NUMBERS else json.dumps(value, ensure_ascii=False)}"
            for key, value in self.criteria
        ]
        return f"find: {{{', '.join(words)}}}"


_NUMBERS: Final = frozenset(("vendor", "product"))


#: A layout is easier to change with few names in it; more are listed as they are pressed.
_MOST_NAMED: Final = 16
_STICKS: Final = (
    ("stick", "ABS_X", "ABS_Y"),
    ("second-stick", "ABS_RX", "ABS_RY"),
    ("hat", "ABS_HAT0X", "ABS_HAT0Y"),
    ("second-hat", "ABS_HAT1X", "ABS_HAT1Y"),
    ("third-hat", "ABS_HAT2X", "ABS_HAT2Y"),
    ("fourth-hat", "ABS_HAT3X", "ABS_HAT3Y"),
)


def find_line(device: Plugged, others: Iterable[Plugged]) -> FindLine:
    """The `find:` line of `device`; `others` is what is plugged in beside it."""
    name = ("name", pattern(device.name))
    alike = [
        other for other in others if other.name == device.name and _can_stand_in(other, device)
    ]
    if not alike:
        return FindLine((name,))
    if device.serial and all(other.serial != device.serial for other in alike):
        return FindLine(
            (name, ("serial", pattern(device.serial))),
            "another of the same name is plugged in; the serial number tells them apart",
        )
    numbers = (device.vendor, device.product)
    if all((other.vendor, other.product) != numbers for other in alike):
        return FindLine(
            (name, ("vendor", f"0x{numbers[0]:04x}"), ("product", f"0x{numbers[1]:04x}")),
            "another of the same name is plugged in; the maker's numbers tell them apart",
        )
    if device.port and all(other.port != device.port for other in alike):
        return FindLine(
            (name, ("port", pattern(device.port))),
            "another of the same name is plugged in and only the sockets tell them apart: "
            "always plug each into the same one",
        )
    return FindLine(
        (name,),
        "another that is wholly alike is plugged in: nothing tells the two apart for certain",
    )


def _can_stand_in(other: HasCodes, device: HasCodes) -> bool:
    """Whether a layout that names controls of `device` could be content with `other`."""
    if kind_of(device) is Kind.GAMEPAD:
        return kind_of(other) is Kind.GAMEPAD
    # a person may name only one of the controls
    return bool(
        other.keys & device.keys
        or other.rels & device.rels
        or plain_axes(other) & plain_axes(device)
    )


def pattern(text: str) -> str:
    """A pattern for a layout that matches exactly this text, without quotes."""
    return "".join(f"[{letter}]" if letter in "*?[" else letter for letter in text)


def control_lines(
    device: HasCodes, resting: Mapping[int, int] | None = None, pressed: Sequence[int] = ()
) -> list[str]:
    """The lines from `controls:` on, with names that a person changes into better ones.

    `resting` are the axes' present values; `pressed` the keys that were seen pressed, which are
    named first, in that order. Of many keys only those that were seen are named.
    """
    if kind_of(device) is Kind.GAMEPAD:
        return ["controls: gamepad"]
    lines = [*_pointer_lines(device), *_axis_lines(device, resting or {})]
    buttons = buttons_of(device)
    known = [code for code in pressed if code in device.keys]
    if len(buttons) <= _MOST_NAMED:
        known += [code for code in buttons if code not in known]
    lines += [
        f"switch-{number}: {{button: {code_name(EV_KEY, code)}}}"
        for number, code in enumerate(known, 1)
    ]
    return ["controls:", *(f"  {line}" for line in lines)] if lines else []


def _pointer_lines(device: HasCodes) -> list[str]:
    if not {RELS["REL_X"], RELS["REL_Y"]} <= device.rels:
        return []
    return ["roll: {pointer: [REL_X, REL_Y], full-speed: 600/s}"]


def _axis_lines(device: HasCodes, resting: Mapping[int, int]) -> list[str]:
    lines = []
    left = set(plain_axes(device))
    for name, x, y in _STICKS:
        pair = {AXES[x], AXES[y]}
        if pair <= left:
            lines.append(f"{name}: {{stick: [{x}, {y}]}}")
            left -= pair
    for number, axis in enumerate(sorted(left), 1):
        words = f"lever: {code_name(EV_ABS, axis)}{_rests_at(device, axis, resting)}"
        lines.append(f"lever-{number}: {{{words}}}")
    return lines


def _rests_at(device: HasCodes, axis: int, resting: Mapping[int, int]) -> str:
    """`, rests-at: ...` where the axis stands in its middle or at its upper end."""
    axes: Collection[int] | Mapping[int, AxisRange] = device.axes
    if axis not in resting or not isinstance(axes, Mapping):
        return ""
    span = axes[axis]
    length = span.maximum - span.minimum
    if length <= 0:
        return ""
    share = (resting[axis] - span.minimum) / length
    if share > 0.75:
        return ", rests-at: high"
    return ", rests-at: middle" if share > 0.25 else ""


def codes_in_words(device: HasCodes) -> list[str]:
    """What it can send, by names; stretches of many keys in a row are shortened."""
    words = [code_name(EV_REL, code) for code in sorted(device.rels)]
    words += [code_name(EV_ABS, code) for code in sorted(plain_axes(device))]
    return words + _stretches(sorted(device.keys))


def _stretches(codes: Sequence[int]) -> list[str]:
    words: list[str] = []
    start = 0
    for end in range(1, len(codes) + 1):
        if end < len(codes) and codes[end] == codes[end - 1] + 1:
            continue
        stretch = [code_name(EV_KEY, code) for code in codes[start:end]]
        if len(stretch) > 3:
            stretch = [f"{stretch[0]} to {stretch[-1]}"]
        words += stretch
        start = end
    return words

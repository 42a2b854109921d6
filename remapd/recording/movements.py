"""What each control of a layout did in a recording: presses, places, counts, before conditioning.

The way back of `driver`: there a press of a named control becomes raw events, here raw events
become presses of named controls.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from remapd.codes import EV_ABS, EV_KEY, EV_REL
from remapd.engine.layout import (
    ButtonControl,
    Control,
    Layout,
    LeverControl,
    PointerControl,
    StickControl,
)
from remapd.engine.settings import Rest
from remapd.engine.source import AxisRange
from remapd.recording.lines import Event, RecordedDevice

_AUTOREPEAT: Final = 2
_D_PAD: Final = ((1, -1), (1, 1), (0, -1), (0, 1))  # up, down, left, right: which axis, which way


@dataclass(slots=True)
class Track:
    """One control from a plug-in to the end of the recording, or to the device's unplugging.

    `presses` are (us, pressed) of a button, alternating and beginning with a press; `places` are
    (us, x, y) of a stick or lever in shares of its way, y down; `counts` are (us, dx, dy).
    `until_us` is None until the device is unplugged.
    """

    control: Control
    presses: list[tuple[int, bool]] = field(default_factory=list)
    places: list[tuple[int, float, float]] = field(default_factory=list)
    counts: list[tuple[int, int, int]] = field(default_factory=list)
    until_us: int | None = None


class Movements:
    """Follows the devices that a layout has taken; `tracks` is what their controls did.

    Call `plug` when a device is there, `frame` with what it sends, `unplug` when it is gone.
    """

    def __init__(self, layout: Layout) -> None:
        self.tracks: list[Track] = []
        self._layout = layout
        self._nodes: dict[int, _Node] = {}

    def plug(self, us: int, number: int, device: RecordedDevice) -> None:
        """The layout's device `number` is this node from now on."""
        node = _Node(self._layout, number, device)
        self._nodes[device.source.id] = node
        self.tracks += node.tracks
        node.begin(us)

    def frame(self, us: int, source_id: int, events: list[Event]) -> None:
        """What a node sent; nothing where the layout has not taken it."""
        node = self._nodes.get(source_id)
        if node is not None:
            node.frame(us, events)

    def unplug(self, us: int, source_id: int) -> None:
        """A node is gone."""
        node = self._nodes.pop(source_id, None)
        for track in [] if node is None else node.tracks:
            track.until_us = us


class _Node:
    """The controls of one node, with the raw values that they were last given."""

    def __init__(self, layout: Layout, number: int, device: RecordedDevice) -> None:
        controls = [layout.controls[index] for index in layout.devices[number].controls]
        self._readers: list[_Reader] = []
        for control in controls:
            match control:
                case ButtonControl():
                    self._readers.append(_ButtonReader(control, device))
                case PointerControl():
                    self._readers.append(_PointerReader(control))
                case _:
                    self._readers.append(_PlaceReader(control, device))
        self.tracks = [reader.track for reader in self._readers]

    def begin(self, us: int) -> None:
        for reader in self._readers:
            reader.end_frame(us)

    def frame(self, us: int, events: list[Event]) -> None:
        for reader in self._readers:
            for event in events:
                reader.event(*event, us)
            reader.end_frame(us)


class _Reader:
    """One control on one node."""

    def __init__(self, control: Control) -> None:
        self.track = Track(control)

    def event(self, event_type: int, code: int, value: int, us: int) -> None:
        raise NotImplementedError

    def end_frame(self, us: int) -> None:
        """All of a frame has been told."""


class _ButtonReader(_Reader):
    def __init__(self, control: ButtonControl, device: RecordedDevice) -> None:
        super().__init__(control)
        self._code = control.code
        self._inverted = control.inverted
        self._pressed = (control.code in device.held) != control.inverted
        #: What is held when the device comes acts only after a fresh press.
        self._waits = self._pressed

    def event(self, event_type: int, code: int, value: int, us: int) -> None:
        if event_type != EV_KEY or code != self._code or value == _AUTOREPEAT:
            return
        pressed = bool(value) != self._inverted
        if pressed != self._pressed:
            self._pressed = pressed
            if self._waits:
                self._waits = False
            else:
                self.track.presses.append((us, pressed))


class _PointerReader(_Reader):
    def __init__(self, control: PointerControl) -> None:
        super().__init__(control)
        self._codes = (control.x, control.y)
        self._counts = [0, 0]

    def event(self, event_type: int, code: int, value: int, us: int) -> None:
        del us  # counts and places are taken at the end of a frame
        if event_type == EV_REL and code in self._codes:
            self._counts[self._codes.index(code)] += value

    def end_frame(self, us: int) -> None:
        dx, dy = self._counts
        if dx or dy:
            self.track.counts.append((us, dx, dy))
            self._counts = [0, 0]


class _PlaceReader(_Reader):
    """A stick or a lever, on axes or on keys."""

    def __init__(self, control: StickControl | LeverControl, device: RecordedDevice) -> None:
        super().__init__(control)
        axes = device.source.axes
        self._spans: dict[int, tuple[int, AxisRange]] = {}
        self._keys: dict[int, tuple[int, int]] = {}
        self._rests_at = Rest.MIDDLE
        codes: tuple[int, ...]
        if isinstance(control, StickControl):
            codes = next((pair for pair in control.axes if set(pair) <= set(axes)), ())
            keys = () if codes or control.keys is None else control.keys
            self._keys = dict(zip(keys, _D_PAD, strict=False))
        else:
            codes = tuple(code for code in control.axes if code in axes)[:1]
            self._rests_at = control.settings.rests_at
            if not codes and control.key is not None:
                self._keys = {control.key: (0, 1)}
        self._spans = {code: (which, axes[code]) for which, code in enumerate(codes)}
        self._down = {code for code in self._keys if code in device.held}
        self._place = [0.0, 0.0]
        for code in codes:
            self._set(code, device.axes.get(code))
        if self._keys:
            self._set_keys()

    def event(self, event_type: int, code: int, value: int, us: int) -> None:
        del us  # counts and places are taken at the end of a frame
        if event_type == EV_ABS and code in self._spans:
            self._set(code, value)
        elif event_type == EV_KEY and code in self._keys and value != _AUTOREPEAT:
            (self._down.add if value else self._down.discard)(code)
            self._set_keys()

    def end_frame(self, us: int) -> None:
        x, y = self._place
        places = self.track.places
        if not places or places[-1][1:] != (x, y):
            places.append((us, x, y))

    def _set(self, code: int, value: int | None) -> None:
        which, span = self._spans[code]
        if value is not None:
            self._place[which] = _share(span, self._rests_at, value)

    def _set_keys(self) -> None:
        for axis in (0, 1):
            ways = [
                way for code, (of, way) in self._keys.items() if of == axis and code in self._down
            ]
            self._place[axis] = float(sum(ways))


def _share(span: AxisRange, rests_at: Rest, value: int) -> float:
    """How far from rest (or from the middle) a raw value is; the way back of `from_rest`."""
    whole = span.maximum - span.minimum
    if not whole:
        return 0.0
    match rests_at:
        case Rest.LOW:
            share = (value - span.minimum) / whole
        case Rest.HIGH:
            share = (span.maximum - value) / whole
        case Rest.MIDDLE:
            share = (2 * value - span.minimum - span.maximum) / whole
    return max(-1.0, min(1.0, share))

"""Devices that a layout knows by their port, and that are at another one: a press tells which.

Two boxes alike are told apart by the port that they are plugged into. When a plug has moved, the
box could be found by its name, but a wrong guess would give the player's hands each other's work.
So nothing is guessed, not even where one box is missing and one is there: whoever is at hand is
asked to press something on the missing one, and the box that sends something is it. That holds
until it is plugged in where the layout says, or the layout says another port.
"""

from __future__ import annotations

import dataclasses
import threading
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase
from typing import Final, cast

from remapd.codes import EV_ABS, EV_KEY, EV_REL
from remapd.daemon.journal import INFORMATION, NOTICE, WARNING, Journal
from remapd.daemon.loop import Loop
from remapd.engine.layout import Device
from remapd.engine.machine import Engine
from remapd.engine.matching import fits, has_codes
from remapd.engine.source import Source
from remapd.kernel.errors import KernelError
from remapd.kernel.hotplug import NodeDescription
from remapd.kernel.source import SourceDevice
from remapd.language.find_words import set_line
from remapd.remembered import MovedPlug

#: An axis that went so far of its range was moved by a hand. Less: a stick that a bumped table
#: shakes would do; more: a player of small movements could not.
_FAR_SHARE: Final = 0.3
#: So many counts of a ball were a hand's, and no jitter.
_FAR_COUNTS: Final = 40


@dataclass(slots=True)
class _Heard:
    """One box that may be the missing one, while it is listened to."""

    node: NodeDescription
    device: SourceDevice
    axes: dict[int, int]
    counts: int = 0


class MovedPlugs:
    """What has moved, and the one that is asked for at the moment.

    `confirmed` is called when a press has told; `tell` with the missing device's name and the
    sentence that asks for it; `save` with all that is to be remembered.
    """

    def __init__(
        self,
        loop: Loop,
        engine: Engine,
        journal: Journal,
        known: Mapping[str, MovedPlug],
        confirmed: Callable[[], None],
    ) -> None:
        self._loop = loop
        self._engine = engine
        self._journal = journal
        #: By device: the port that the layout says, and where a press has shown it to be.
        self.known = dict(known)
        self._confirmed = confirmed
        self.tell: Callable[[str, str], None] = _ignore
        self.save: Callable[[Mapping[str, MovedPlug]], None] = _ignore_all
        #: The device that is asked for.
        self.asked: Device | None = None
        self._heard: dict[str, _Heard] = {}
        self._said: set[tuple[str, str]] = set()

    # ---------------------------------------------------------------- what is known
    def confirmed_as(self, node: Source | NodeDescription) -> str:
        """The device that this node is although the layout says another port; mostly none."""
        for device in self._engine.layout.devices if self.known else ():
            plug = self.known.get(device.name)
            if (
                plug is not None
                and (plug.said, plug.is_at) == (device.find.port, node.port)
                and _is_elsewhere(device, node)
            ):
                return device.name
        return ""

    def forget_returned(self, nodes: Iterable[NodeDescription], untaken: Sequence[Device]) -> None:
        """A plug that is where the layout says again has moved no more."""
        there = [cast("Source", node) for node in nodes]
        for device in untaken if self.known else ():
            if device.name in self.known and any(
                fits(device.find, node) and has_codes(device, node) for node in there
            ):
                self._forget(device.name)
                self._journal.say(
                    NOTICE, "device", f"`{device.name}` is at its port again ({device.find.port})"
                )

    def follow_layout(self) -> None:
        """There is another layout: what it says of a port counts more than what was known."""
        self.stop()
        for device in self._engine.layout.devices:
            plug = self.known.get(device.name)
            if plug is not None and plug.said != device.find.port:
                self._forget(device.name)

    def _forget(self, device: str) -> None:
        del self.known[device]
        self.save(self.known)

    # ---------------------------------------------------------------- asking
    def candidates(self, device: Device, nodes: Iterable[NodeDescription]) -> list[NodeDescription]:
        """Which of these nodes, that no device of the layout fits, may be the missing one."""
        if device.find.port is None:
            return []
        return [node for node in nodes if _is_elsewhere(device, node)]

    def look(self, missing: Sequence[Device], free: Iterable[NodeDescription]) -> None:
        """Asks for the first missing device that may be at another port; ends what is over."""
        nodes = list(free)
        asked = None
        found: list[NodeDescription] = []
        for device in missing:
            found = self.candidates(device, nodes)
            if found:
                asked = device
                break
        if asked is None:
            self.stop()
            return
        if self.asked is not None and self.asked.name != asked.name:
            self.stop()
        self.asked = asked
        here = {node.path for node in found}
        for path in [path for path in self._heard if path not in here]:
            self._listen_no_more(path)
        for node in found:
            if node.path not in self._heard:
                self._listen(node)
        sentence = asking(asked, found)
        if (asked.name, sentence) not in self._said:
            self._said.add((asked.name, sentence))
            self._journal.say(WARNING, "device", sentence)
            self.tell(asked.name, sentence)

    def settle(self, missing: Iterable[Device]) -> None:
        """Others may be taken than before: one that is no longer missing is not asked for."""
        if self.asked is not None and self.asked.name not in {device.name for device in missing}:
            self.stop()

    def stop(self) -> None:
        """Nobody is asked any more."""
        self.asked = None
        self._said.clear()
        for path in list(self._heard):
            self._listen_no_more(path)

    def vanished(self, path: str) -> None:
        """A node is gone."""
        if path in self._heard:
            self._listen_no_more(path)

    def _listen(self, node: NodeDescription) -> None:
        try:
            device = SourceDevice(node.path)
        except KernelError as error:
            self._journal.say(
                WARNING,
                "kernel",
                f"{node.name}: {error}",
                now_us=self._loop.now(),
                topic=f"moved {node.path}",
            )
            return
        heard = self._heard[node.path] = _Heard(node, device, device.axes())

        def read(mask: int) -> None:
            del mask
            self._read(heard)

        self._loop.add(device.fileno(), read)

    def _listen_no_more(self, path: str) -> None:
        heard = self._heard.pop(path)
        self._loop.remove(heard.device.fileno())
        # aside, since the kernel takes longer to close a device than a press may wait
        threading.Thread(target=heard.device.close, name="closing").start()

    def _read(self, heard: _Heard) -> None:
        frames = heard.device.read_frames()
        if frames is None:
            self._listen_no_more(heard.node.path)
            return
        asked = self.asked
        if asked is None or heard.node.path not in self._heard:
            return
        for _, events in frames:
            if any(_is_act(asked, heard, event) for event in events):
                self._take(asked, heard.node)
                return

    def _take(self, device: Device, node: NodeDescription) -> None:
        self.stop()
        self.known[device.name] = MovedPlug(str(device.find.port), node.port)
        self.save(self.known)
        self._journal.say(
            INFORMATION,
            "device",
            f"`{device.name}` is the one at port {node.port}, as a press has shown; if it stays "
            f"there: {set_line(device.name, node.port)}",
        )
        self._confirmed()


def asking(device: Device, found: Sequence[NodeDescription]) -> str:
    """The sentence that asks for a press."""
    return f"`{device.name}` {whereabouts(device, found)}: {act_on(device)} {device.name}"


def whereabouts(device: Device, found: Sequence[NodeDescription]) -> str:
    """Where it was, and where one like it is."""
    ports = [node.port or "(none)" for node in found]
    where = f"port {ports[0]}" if len(ports) == 1 else f"the ports {' and '.join(ports)}"
    what = "a box of that name is" if len(ports) == 1 else "boxes of that name are"
    if device.find.name is None:
        what = "one like it is" if len(ports) == 1 else "some like it are"
    return f"was at port {device.find.port}; {what} at {where}"


def act_on(device: Device) -> str:
    """What a hand can do on it."""
    return "press a switch on" if device.keys or device.gamepad else "move"


def _is_elsewhere(device: Device, node: Source | NodeDescription) -> bool:
    """Whether this node is the device in all but its port."""
    find = device.find
    source = cast("Source", node)
    return (
        find.port is not None
        and find.nth is None
        and not fnmatchcase(node.port, find.port)
        and fits(dataclasses.replace(find, port=None), source)
        and has_codes(device, source)
    )


def _is_act(device: Device, heard: _Heard, event: tuple[int, int, int]) -> bool:
    """Whether a hand has done something on it that the layout has a use for."""
    event_type, code, value = event
    if event_type == EV_KEY:
        return value == 1 and (device.gamepad or code in device.keys)
    if event_type == EV_ABS and (device.gamepad or code in device.axes):
        span = heard.device.source.axes.get(code)
        rest = heard.axes.setdefault(code, value)
        return span is not None and abs(value - rest) > _FAR_SHARE * (span.maximum - span.minimum)
    if event_type == EV_REL and code in device.rels:
        heard.counts += abs(value)
        return heard.counts >= _FAR_COUNTS
    return False


def _ignore(device: str, sentence: str) -> None:
    del device, sentence


def _ignore_all(known: Mapping[str, MovedPlug]) -> None:
    del known

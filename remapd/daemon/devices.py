"""Which devices are ours at this moment, and what stands in the way of the others.

The engine says which node is which device of the layout. This part sees to it that every node that
may be one is open and read, that those taken for remapd alone are grabbed (never while something on
them is pressed, which would stay pressed for everyone else), and that one which is not allowed yet,
or in another program's hands, is tried again.
"""

from __future__ import annotations

import dataclasses
import threading
from collections.abc import Callable, Mapping
from typing import cast

from remapd.daemon.identities import Identities
from remapd.daemon.journal import INFORMATION, NOTICE, WARNING, Journal
from remapd.daemon.loop import Events, Loop, OpenedDevice
from remapd.daemon.memory import Memory
from remapd.daemon.moved_plugs import MovedPlugs
from remapd.daemon.node_words import can_be_pressed_or_moved, what_is_there
from remapd.daemon.opening import Opening
from remapd.daemon.taking import all_of, is_taken_alone, nobody_asks
from remapd.daemon.waiting import PATIENCE_US, WaitingList
from remapd.daemon.way_back import WaysBack
from remapd.daemon.wire import state_fields
from remapd.engine.layout import Device
from remapd.engine.machine import Engine
from remapd.engine.matching import fits, has_codes, is_keyboard, is_pointer, match
from remapd.engine.source import Source
from remapd.kernel.errors import KernelError, SourceBusy, SourceGone
from remapd.kernel.hotplug import (
    HotplugWatch,
    NodeChange,
    NodeDescription,
    describe_node,
    is_remapd_pad,
    list_nodes,
)
from remapd.kernel.source import SourceDevice
from remapd.language.find_words import found_by
from remapd.remembered import MovedPlug


class Devices:
    """All event nodes, by path.

    `on_way_back` is called with a device's name when the way back from it was asked for.
    """

    def __init__(
        self,
        loop: Loop,
        engine: Engine,
        journal: Journal,
        memory: Memory,
        on_way_back: Callable[[str], None],
        moved: Mapping[str, MovedPlug] | None = None,
    ) -> None:
        self._loop = loop
        self._engine = engine
        self._journal = journal
        self._memory = memory
        self._hotplug = HotplugWatch()
        self.opened: dict[str, OpenedDevice] = {}
        #: Every node that is there and no pad of remapd's.
        self._known: dict[str, NodeDescription] = {}
        #: Nodes that no device of the layout fits: what a person may have meant instead.
        self.others: dict[str, NodeDescription] = {}
        self.by_id: dict[int, OpenedDevice] = {}
        #: Asked for by whoever wants to see the frames of a device that was taken.
        self.on_frame_of: Callable[[OpenedDevice, int], Callable[[int, Events], None] | None]
        self.on_frame_of = nobody_asks
        #: Called when what is taken may have changed.
        self.on_change: Callable[[], None] = lambda: None
        self.waiting = WaitingList(loop, journal, self._consider)
        self.plugs = MovedPlugs(loop, engine, journal, moved or {}, self._consider_all)
        self._opening = Opening(loop, self._can_be_opened)
        self._ways_back = WaysBack(loop, on_way_back)
        self._identities = Identities()
        self._missing_alarm = loop.alarm(self._tell_missing)
        self._told_missing: frozenset[str] = frozenset()
        self._paused = False
        loop.lost = self._lost

    # ---------------------------------------------------------------- from outside
    def begin(self) -> None:
        """Takes what the layout wants of what is plugged in; from now on plugs are seen."""
        self._loop.add(self._hotplug.fileno(), self._node_changed)
        self.look_around()

    def look_around(self) -> None:
        """Considers every node that is there."""
        self._known = {node.path: node for node in list_nodes() if not is_remapd_pad(node)}
        self.plugs.forget_returned(self._known.values(), self.missing(optional=True))
        self._consider_all()

    def _consider_all(self) -> None:
        for node in list(self._known.values()):
            if node.path not in self.opened:
                self._consider(node)
        self._missing_alarm.set(self._loop.now() + PATIENCE_US)

    def follow_layout(self) -> None:
        """The engine has another layout: takes and gives back accordingly."""
        self._told_missing = frozenset()
        self.plugs.follow_layout()
        for opened in list(self.opened.values()):
            was = opened.source.confirmed_as
            if was != self.plugs.confirmed_as(opened.source) or not self._is_wanted(opened.source):
                self._close(opened)
        for path, waiting in list(self.waiting.nodes.items()):
            if not self._is_wanted(waiting.description):
                self.waiting.forget(path)
        self._tell_state_again()
        self._settle()
        if not self._paused:
            self._consider_all()

    def _tell_state_again(self) -> None:
        """The engine forgets the state of nodes that a layout does not take; they may be spare."""
        for opened in self.opened.values():
            if opened.id not in self._engine.taken:
                us = self._loop.at(self._loop.now())
                device = opened.device
                self._engine.plug(us, opened.source, device.held(), device.axes())

    def pause(self) -> None:
        """Gives every device back; the engine is paused already and knows no device any more."""
        self._paused = True
        for opened in list(self.opened.values()):
            self._drop(opened, aside=False)  # given back is given back
        self.waiting.clear()
        self.plugs.stop()
        self.others.clear()
        self._missing_alarm.set(None)
        self.on_change()

    def resume(self) -> None:
        """Takes them again."""
        self._paused = False
        self.look_around()

    def missing(self, *, optional: bool = False) -> list[Device]:
        """The devices of the layout that no node was taken for; optional ones only if wanted."""
        taken = set(self._engine.taken.values())
        return [
            device
            for index, device in enumerate(self._engine.layout.devices)
            if index not in taken and (optional or not device.optional)
        ]

    def taken_index(self, opened: OpenedDevice) -> int | None:
        """The device of the layout that took this node."""
        return self._engine.taken.get(opened.id)

    def waits_to_be_alone(self, opened: OpenedDevice) -> bool:
        """Whether it is to be ours alone, and is not yet, because something on it is pressed."""
        index = self.taken_index(opened)
        return (
            index is not None
            and not opened.device.grabbed
            and is_taken_alone(self._engine.layout.devices[index], opened.source)
        )

    def fits_node(self, device: Device, node: Source | NodeDescription) -> bool:
        """Whether this node may be this device; a description lacks only its axes' ranges."""
        confirmed_as = self.plugs.confirmed_as(node)
        if confirmed_as:
            return confirmed_as == device.name
        source = cast("Source", node)
        return fits(device.find, source) and has_codes(device, source)

    # ---------------------------------------------------------------- nodes come and go
    def _node_changed(self, mask: int) -> None:
        del mask
        for event in self._hotplug.read():
            if self._paused:  # all is looked at anew when it is over
                continue
            path = event.path
            if event.change is NodeChange.VANISHED:
                self._known.pop(path, None)
                self.others.pop(path, None)
                self.waiting.forget(path)
                self.plugs.vanished(path)
                if path in self.opened:
                    self._lost(self.opened[path])
            elif event.change is NodeChange.APPEARED or path in self.waiting.nodes:
                self._look_at(path)
            elif path in self.others:  # it may be allowed now, and be the one that is asked for
                self._missing_alarm.set(self._loop.now())

    def _look_at(self, path: str) -> None:
        """A node that has appeared, or whose permissions have changed."""
        node = describe_node(path)
        if node is not None and path not in self.opened and not is_remapd_pad(node):
            self._known[path] = node
            self.plugs.forget_returned([node], self.missing(optional=True))
            if self._is_wanted(node) and self.waiting.opened(path) is None:
                self._opening.begin(path)
            else:
                self._consider(node)
            self._missing_alarm.set(self._loop.now() + PATIENCE_US)

    def _can_be_opened(self, path: str) -> None:
        """Opening it holds nobody up any more; it may be gone, taken or unwanted by now."""
        node = self._known.get(path)
        if node is not None and path not in self.opened and not self._paused:
            self._consider(node)

    def _consider(self, description: NodeDescription) -> None:
        """A node that is there and not taken: takes it if the layout wants it."""
        if not self._is_wanted(description):
            if can_be_pressed_or_moved(description):
                self.others[description.path] = description
            return
        self.others.pop(description.path, None)
        device = self.waiting.opened(description.path)
        try:
            if device is None:
                in_use = self.by_id.keys() | self.waiting.ids()
                confirmed_as = self.plugs.confirmed_as(description)
                source_id = self._identities.id_for(description, in_use, confirmed_as)
                device = SourceDevice(description.path, source_id)
                device.source = dataclasses.replace(device.source, confirmed_as=confirmed_as)
            self._admit(description, device)
        except SourceGone:
            self.waiting.forget(description.path)
            if device is not None:
                device.close()
        except KernelError as error:
            self.waiting.add(description, error, device)
            self.on_change()

    def _admit(self, description: NodeDescription, device: SourceDevice) -> None:
        """Plugs an opened device in. Raises SourceBusy where it is another program's now."""
        source = device.source
        plugged = [opened.source for opened in self.opened.values()]
        index = match(self._engine.layout, [*plugged, source], self._engine.taken).get(source.id)
        if index is not None and is_taken_alone(self._engine.layout.devices[index], source):
            # before the engine hears of it: of two alike, the one that can be had shall be taken
            device.try_grab()
        self._drain(device)
        self.waiting.admitted(description.path)
        opened = OpenedDevice(device)
        self.opened[description.path] = opened
        self.by_id[opened.id] = opened
        us = self._loop.at(self._loop.now())
        held, axes = device.held(), device.axes()
        self._engine.plug(us, source, held, axes)
        self._memory.note(us, {"plugged": state_fields(source, held, axes)})
        self._loop.add_source(opened)
        self._settle()

    @staticmethod
    def _drain(device: SourceDevice) -> None:
        """What waits to be read is in `held` and `axes` already, or will be by this."""
        while device.read_frames():
            pass

    def _lost(self, opened: OpenedDevice) -> None:
        """A device was unplugged."""
        if opened.path not in self.opened:
            return
        index = self.taken_index(opened)
        self._close(opened)
        self._settle()
        if index is not None:
            self._journal.say(
                NOTICE,
                "device",
                f"{self._called(index)} ({opened.source.name}) was unplugged; what it held is "
                "released, and it is taken again when it comes back",
                now_us=self._loop.now(),
                topic=f"unplugged {opened.path}",
            )
        self._loop.flush()

    def _close(self, opened: OpenedDevice) -> None:
        us = self._loop.at(self._loop.now())
        self._engine.unplug(us, opened.id)
        self._memory.note(us, {"unplugged": opened.id})
        self._drop(opened, aside=True)

    def _drop(self, opened: OpenedDevice, *, aside: bool) -> None:
        """Closes it; `aside` in a thread, since the kernel takes longer than a press may wait."""
        self._loop.remove_source(opened)
        self.opened.pop(opened.path, None)
        self.by_id.pop(opened.id, None)
        self._ways_back.forget(opened.id)
        self._loop.figures.losses += opened.device.drops
        if aside:
            threading.Thread(target=opened.device.close, name="closing").start()
        else:
            opened.device.close()

    # ---------------------------------------------------------------- taking and giving back
    def _settle(self) -> None:
        """Grabs what is taken alone and not grabbed, gives back what is no longer taken."""
        again = True
        while again:
            again = False
            for opened in list(self.opened.values()):
                index = self.taken_index(opened)
                alone = index is not None and is_taken_alone(
                    self._engine.layout.devices[index], opened.source
                )
                if not alone and opened.device.grabbed:
                    opened.device.ungrab()
                if alone and not self._grab(opened):
                    again = True  # another node may be taken in its place
                    break
                self._hook(opened, index, alone=alone)
        self.plugs.settle(self.missing(optional=True))
        self.on_change()

    def _grab(self, opened: OpenedDevice) -> bool:
        """Grabs it now or as soon as nothing on it is pressed; False: it cannot be had."""
        try:
            opened.device.try_grab()
        except SourceGone:
            return True  # the next read finds it out
        except SourceBusy as error:
            us = self._loop.at(self._loop.now())
            self._engine.unplug(us, opened.id)
            self._memory.note(us, {"unplugged": opened.id})
            self._loop.remove_source(opened)
            del self.opened[opened.path], self.by_id[opened.id]
            self._ways_back.forget(opened.id)
            node = self._known.get(opened.path)
            if node is None:
                opened.device.close()
            else:
                self.waiting.add(node, error, opened.device)
            return False
        return True

    def _hook(self, opened: OpenedDevice, index: int | None, *, alone: bool) -> None:
        """Sets what is to be done after each frame of the device, mostly nothing."""
        wanted = self.on_frame_of(opened, index) if index is not None else None
        hooks = [] if wanted is None else [wanted]
        if alone and (is_keyboard(opened.source) or is_pointer(opened.source)):
            hooks.append(self._ways_back.hook(opened))
        else:
            self._ways_back.forget(opened.id)
        if alone and not opened.device.grabbed:

            def grab_when_let_go(us: int, events: Events) -> None:
                del us, events
                if self._grab(opened) and not opened.device.grabbed:
                    return
                self._settle()

            hooks.append(grab_when_let_go)
        opened.on_frame = all_of(hooks)

    # ---------------------------------------------------------------- telling people
    def _tell_missing(self, now_us: int) -> None:
        """Says once which devices of the layout nothing matches, and what is there."""
        del now_us
        missing = self.missing()
        there = [node.name for node in self.others.values()]
        there += [waiting.description.name for waiting in self.waiting.nodes.values()]
        there += [o.source.name for o in self.opened.values() if self.taken_index(o) is None]
        names = frozenset(device.name for device in missing)
        if names and names != self._told_missing:
            for device in missing:
                if self.plugs.candidates(device, self.others.values()):
                    continue  # it is asked for
                self._journal.say(
                    WARNING,
                    "layout",
                    f"no device fits `{device.name}` ({found_by(device)}); {what_is_there(there)}; "
                    "it is taken as soon as it is plugged in",
                )
        self._told_missing = names
        self.plugs.look(self.missing(optional=True), self.others.values())

    def tell_taken(self) -> None:
        """One line for each device that is taken."""
        for opened in self.opened.values():
            index = self.taken_index(opened)
            if index is not None:
                self._journal.say(
                    INFORMATION, "device", f"{self._called(index)} is “{opened.source.name}”"
                )

    def _called(self, index: int) -> str:
        return f"`{self._engine.layout.devices[index].name}`"

    # ---------------------------------------------------------------- what a node is
    def _is_wanted(self, node: Source | NodeDescription) -> bool:
        """Whether some device of the layout fits."""
        return any(self.fits_node(device, node) for device in self._engine.layout.devices)

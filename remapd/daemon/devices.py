"""Which devices are ours at this moment, and what stands in the way of the others.

The engine says which node is which device of the layout. This part sees to it that every node that
may be one is open and read, that those taken for remapd alone are grabbed (never while something on
them is pressed, which would stay pressed for everyone else), and that one which is not allowed yet,
or in another program's hands, is tried again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import Enum
from typing import Final, cast

from remapd.codes import KEYS
from remapd.daemon.journal import INFORMATION, NOTICE, WARNING, Journal
from remapd.daemon.loop import Alarm, Events, Loop, OpenedDevice
from remapd.daemon.memory import Memory
from remapd.daemon.way_back import WayBack
from remapd.daemon.wire import state_fields
from remapd.engine.layout import Device
from remapd.engine.machine import Engine
from remapd.engine.matching import fits, has_codes, is_keyboard, is_pointer, match
from remapd.engine.source import Source
from remapd.kernel.errors import KernelError, SourceBusy, SourceDenied, SourceGone
from remapd.kernel.hotplug import (
    HotplugWatch,
    NodeChange,
    NodeDescription,
    describe_node,
    is_remapd_pad,
    list_nodes,
)
from remapd.kernel.source import SourceDevice

#: udev gives a new node its permissions within 120 ms; after this something else is the matter.
PATIENCE_US: Final = 2_000_000
#: How often a device in another program's hands, or one that is not allowed, is tried again.
_RETRY_US: Final = 1_000_000
_POWER_KEYS: Final = frozenset(KEYS[name] for name in ("KEY_POWER", "KEY_SLEEP", "KEY_WAKEUP"))


class Trouble(Enum):
    """Why a device that is wanted is not read; the values are words of the control socket."""

    DENIED = "denied"
    BUSY = "busy"
    UNREADABLE = "unreadable"


@dataclass(slots=True)
class Waiting:
    """A node that the layout wants and does not have; `device` is open where another holds it."""

    description: NodeDescription
    trouble: Trouble
    error: KernelError
    since_us: int
    said: bool = False
    device: SourceDevice | None = None


class Devices:
    """All event nodes, by path. `on_frame_of` gives a hook for a device that is taken, or None."""

    def __init__(self, loop: Loop, engine: Engine, journal: Journal, memory: Memory) -> None:
        self._loop = loop
        self._engine = engine
        self._journal = journal
        self._memory = memory
        self._hotplug = HotplugWatch()
        self.opened: dict[str, OpenedDevice] = {}
        self.waiting: dict[str, Waiting] = {}
        #: Nodes that no device of the layout fits: what a person may have meant instead.
        self.others: dict[str, NodeDescription] = {}
        self.by_id: dict[int, OpenedDevice] = {}
        #: Asked for by whoever wants to see the frames of a device that was taken.
        self.on_frame_of: Callable[[OpenedDevice, int], Callable[[int, Events], None] | None]
        self.on_frame_of = lambda _opened, _index: None
        #: Called when the way back from a keyboard or mouse was asked for.
        self.on_way_back: Callable[[str], None] = lambda _name: None
        #: Called when what is taken may have changed.
        self.on_change: Callable[[], None] = lambda: None
        self._watched: dict[int, WayBack] = {}
        self._way_back_alarm = loop.alarm(self._look_at_way_back)
        self._retry_alarm = loop.alarm(self._retry)
        self._identities: dict[tuple[object, ...], list[int]] = {}
        self._next_id = 0
        self._missing_alarm: Alarm = loop.alarm(self._tell_missing)
        self._told_missing: frozenset[str] = frozenset()
        self._paused = False
        loop.lost = self._lost

    # ---------------------------------------------------------------- from outside
    def begin(self) -> None:
        """Takes what the layout wants of what is plugged in; from now on plugs are seen."""
        self._loop.add(self._hotplug.fileno(), self._node_changed)
        self.look_around()

    def look_around(self) -> None:
        """Considers every node that is there and not known."""
        for description in list_nodes():
            if description.path not in self.opened and description.path not in self.waiting:
                self._consider(description)
        self._missing_alarm.set(self._loop.now() + PATIENCE_US)

    def follow_layout(self) -> None:
        """The engine has another layout: takes and gives back accordingly."""
        self._told_missing = frozenset()
        for opened in list(self.opened.values()):
            if not self._is_wanted(opened.source):
                self._close(opened)
        for path, waiting in list(self.waiting.items()):
            if not self._is_wanted(waiting.description):
                self._forget_waiting(path)
        self._tell_state_again()
        self._settle()
        if not self._paused:
            self.look_around()

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
            self._drop(opened)
        for path in list(self.waiting):
            self._forget_waiting(path)
        self.others.clear()
        for alarm in (self._retry_alarm, self._missing_alarm, self._way_back_alarm):
            alarm.set(None)
        self.on_change()

    def resume(self) -> None:
        """Takes them again."""
        self._paused = False
        self.look_around()

    def missing(self) -> list[Device]:
        """The devices of the layout that no node was taken for and that are not optional."""
        taken = set(self._engine.taken.values())
        return [
            device
            for index, device in enumerate(self._engine.layout.devices)
            if index not in taken and not device.optional
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
            and _is_taken_alone(self._engine.layout.devices[index], opened.source)
        )

    @staticmethod
    def fits_node(device: Device, node: Source | NodeDescription) -> bool:
        """Whether this node may be this device; a description lacks only its axes' ranges."""
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
                self.others.pop(path, None)
                self._forget_waiting(path)
                if path in self.opened:
                    self._lost(self.opened[path])
            elif event.change is NodeChange.APPEARED or path in self.waiting:
                if path in self.opened:
                    continue
                description = describe_node(path)
                if description is not None:
                    self._consider(description)
                    self._missing_alarm.set(self._loop.now() + PATIENCE_US)

    def _consider(self, description: NodeDescription) -> None:
        """A node that is there and not open."""
        if is_remapd_pad(description):
            return
        if not self._is_wanted(description):
            if _can_be_pressed_or_moved(description):
                self.others[description.path] = description
            return
        self.others.pop(description.path, None)
        before = self.waiting.get(description.path)
        device = before.device if before is not None else None
        try:
            if device is None:
                device = SourceDevice(description.path, self._id_for(description))
            self._admit(description, device)
        except SourceGone:
            self._forget_waiting(description.path)
            if device is not None:
                device.close()
        except KernelError as error:
            self._wait_for(description, error, device)

    def _admit(self, description: NodeDescription, device: SourceDevice) -> None:
        """Plugs an opened device in. Raises SourceBusy where it is another program's now."""
        source = device.source
        plugged = [opened.source for opened in self.opened.values()]
        index = match(self._engine.layout, [*plugged, source], self._engine.taken).get(source.id)
        if index is not None and _is_taken_alone(self._engine.layout.devices[index], source):
            # before the engine hears of it: of two alike, the one that can be had shall be taken
            device.try_grab()
        self._drain(device)
        self.waiting.pop(description.path, None)
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
        self._drop(opened)

    def _drop(self, opened: OpenedDevice) -> None:
        self._loop.remove_source(opened)
        self.opened.pop(opened.path, None)
        self.by_id.pop(opened.id, None)
        self._watched.pop(opened.id, None)
        self._loop.figures.losses += opened.device.drops
        opened.device.close()

    # ---------------------------------------------------------------- taking and giving back
    def _settle(self) -> None:
        """Grabs what is taken alone and not grabbed, gives back what is no longer taken."""
        again = True
        while again:
            again = False
            for opened in list(self.opened.values()):
                index = self.taken_index(opened)
                alone = index is not None and _is_taken_alone(
                    self._engine.layout.devices[index], opened.source
                )
                if not alone and opened.device.grabbed:
                    opened.device.ungrab()
                if alone and not self._grab(opened):
                    again = True  # another node may be taken in its place
                    break
                self._hook(opened, index, alone=alone)
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
            self._watched.pop(opened.id, None)
            description = describe_node(opened.path)
            if description is None:
                opened.device.close()
            else:
                self._wait_for(description, error, opened.device)
            return False
        return True

    def _hook(self, opened: OpenedDevice, index: int | None, *, alone: bool) -> None:
        """Sets what is to be done after each frame of the device, mostly nothing."""
        wanted = self.on_frame_of(opened, index) if index is not None else None
        hooks = [] if wanted is None else [wanted]
        if alone and (is_keyboard(opened.source) or is_pointer(opened.source)):
            if opened.id not in self._watched:
                self._watched[opened.id] = WayBack(self._loop.now(), opened.device.held())
                self._set_way_back_alarm()
            watched = self._watched[opened.id]

            def watch(us: int, events: Events) -> None:
                before_us = watched.due_us
                watched.feed(us, events)
                if watched.due_us != before_us:
                    self._set_way_back_alarm()

            hooks.append(watch)
        else:
            self._watched.pop(opened.id, None)
        if alone and not opened.device.grabbed:

            def grab_when_let_go(us: int, events: Events) -> None:
                del us, events
                if self._grab(opened) and not opened.device.grabbed:
                    return
                self._settle()

            hooks.append(grab_when_let_go)
        opened.on_frame = _all_of(hooks)

    def _set_way_back_alarm(self) -> None:
        due = [watched.due_us for watched in self._watched.values() if watched.due_us is not None]
        self._way_back_alarm.set(min(due, default=None))

    def _look_at_way_back(self, now_us: int) -> None:
        for source_id, watched in self._watched.items():
            if watched.due_us is not None and watched.due_us <= now_us:
                self.on_way_back(self.by_id[source_id].source.name)
                return
        self._set_way_back_alarm()

    # ---------------------------------------------------------------- what cannot be had yet
    def _wait_for(
        self, description: NodeDescription, error: KernelError, device: SourceDevice | None
    ) -> None:
        path = description.path
        now_us = self._loop.now()
        trouble = Trouble.UNREADABLE
        if isinstance(error, SourceBusy):
            trouble = Trouble.BUSY
        elif isinstance(error, SourceDenied):
            trouble = Trouble.DENIED
        before = self.waiting.get(path)
        if before is None or before.trouble is not trouble:
            before = Waiting(description, trouble, error, now_us)
            self.waiting[path] = before
            self.on_change()
        before.device = device
        if not before.said and (
            trouble is not Trouble.DENIED or now_us - before.since_us >= PATIENCE_US
        ):
            before.said = True
            side = "device" if trouble is Trouble.BUSY else "kernel"
            self._journal.say(WARNING, side, f"{description.name}: {error}")
        self._retry_alarm.set(now_us + _RETRY_US)

    def _forget_waiting(self, path: str) -> None:
        waiting = self.waiting.pop(path, None)
        if waiting is not None:
            if waiting.device is not None:
                waiting.device.close()
            self.on_change()

    def _retry(self, now_us: int) -> None:
        del now_us
        for path, waiting in list(self.waiting.items()):
            if describe_node(path) is None:
                self._forget_waiting(path)
            else:
                self._consider(waiting.description)

    # ---------------------------------------------------------------- telling people
    def _tell_missing(self, now_us: int) -> None:
        """Says once which devices of the layout nothing matches, and what is there."""
        del now_us
        missing = self.missing()
        names = frozenset(device.name for device in missing)
        if names and names != self._told_missing:
            for device in missing:
                self._journal.say(
                    WARNING,
                    "layout",
                    f"no device fits `{device.name}` ({found_by(device)}); {self.what_is_there()}; "
                    "it is taken as soon as it is plugged in",
                )
        self._told_missing = names

    def what_is_there(self) -> str:
        """The devices that are plugged in and not taken, in words."""
        names = [description.name for description in self.others.values()]
        names += [waiting.description.name for waiting in self.waiting.values()]
        names += [o.source.name for o in self.opened.values() if self.taken_index(o) is None]
        if not names:
            return "nothing else is plugged in"
        return "plugged in beside it: " + ", ".join(f"“{name}”" for name in sorted(set(names)))

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

    def _id_for(self, description: NodeDescription) -> int:
        """An id that no plugged device has; the same for a device that comes back."""
        key = (
            description.name,
            description.vendor,
            description.product,
            description.version,
            description.port,
            description.serial,
            description.keys,
            description.axes,
        )
        ids = self._identities.setdefault(key, [])
        in_use = set(self.by_id) | {
            waiting.device.source.id
            for waiting in self.waiting.values()
            if waiting.device is not None
        }
        for known in ids:
            if known not in in_use:
                return known
        ids.append(self._next_id)
        self._next_id += 1
        return ids[-1]


def _is_taken_alone(device: Device, source: Source) -> bool:
    """Whether nobody else shall see what the device sends.

    A keyboard or a mouse only where the layout says so in words: it may be the only one.
    """
    if not device.exclusive:
        return False
    return device.exclusive_in_words or not (is_keyboard(source) or is_pointer(source))


def _can_be_pressed_or_moved(node: NodeDescription) -> bool:
    """Not so: the speaker, and the machine's own power button."""
    return bool(node.rels or node.axes or node.keys - _POWER_KEYS)


def found_by(device: Device) -> str:
    """What the layout looks for, in words."""
    find = device.find
    parts = [
        f"{key} “{value}”"
        for key, value in (("name", find.name), ("port", find.port), ("serial", find.serial))
        if value is not None
    ]
    parts += [
        f"{key} 0x{value:04x}"
        for key, value in (("vendor", find.vendor), ("product", find.product))
        if value is not None
    ]
    if find.shape is not None:
        parts.append(f"any {find.shape}")
    if find.nth is not None:
        parts.append(f"number {find.nth} of them")
    return ", ".join(parts) if parts else "any device with its controls"


def _all_of(
    hooks: Iterable[Callable[[int, Events], None]],
) -> Callable[[int, Events], None] | None:
    calls = list(hooks)
    if not calls:
        return None
    if len(calls) == 1:
        return calls[0]

    def call_all(us: int, events: Events) -> None:
        for call in calls:
            call(us, events)

    return call_all

"""Which event nodes there are, and when they come, go, or become readable.

Listing takes /sys/class/input, which is world-readable and opens no device: closing an opened one
can take the kernel milliseconds. Changes come from inotify on /dev/input rather than from udev's
netlink socket, which a hardened service has no access to.
"""

from __future__ import annotations

import ctypes
import enum
import os
import re
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Protocol

from remapd.kernel.effects import FF_RUMBLE
from remapd.kernel.pad import PAD_PORT, REMAPD_IDENTITY

DEVICE_DIRECTORY: Final = Path("/dev/input")
SYSTEM_DIRECTORY: Final = Path("/sys/class/input")

_EVENT_NODE: Final = re.compile(r"event\d+")


@dataclass(frozen=True, slots=True)
class NodeDescription:
    """What sysfs tells of an event node without opening it; the fields are those of `Source`.

    `axes` holds the axes' numbers only: their ranges are known once the node is open.
    """

    path: str
    name: str
    vendor: int
    product: int
    version: int
    bus: int
    port: str
    serial: str
    keys: frozenset[int]
    rels: frozenset[int]
    axes: frozenset[int]
    can_rumble: bool = False


class HasIdentity(Protocol):
    """A `Source` or a `NodeDescription`."""

    @property
    def port(self) -> str: ...  # noqa: D102
    @property
    def vendor(self) -> int: ...  # noqa: D102
    @property
    def product(self) -> int: ...  # noqa: D102


def is_remapd_pad(source: HasIdentity) -> bool:
    """Whether this is a virtual gamepad of this or another remapd: never to be taken as a source.

    They are known by the port, which remapd sets on all of them, whatever identity a layout gives.
    """
    return source.port == PAD_PORT or (source.vendor, source.product) == (
        REMAPD_IDENTITY.vendor,
        REMAPD_IDENTITY.product,
    )


def list_nodes(
    system_directory: Path = SYSTEM_DIRECTORY, device_directory: Path = DEVICE_DIRECTORY
) -> list[NodeDescription]:
    """All event nodes in the order of their numbers; none where there is no such directory.

    A node that vanishes while it is read is left out.
    """
    nodes = []
    for name in _event_nodes(system_directory):
        description = describe_node(str(device_directory / name), system_directory)
        if description is not None:
            nodes.append(description)
    return nodes


def describe_node(path: str, system_directory: Path = SYSTEM_DIRECTORY) -> NodeDescription | None:
    """The description of the event node `path` (`/dev/input/event3`), None where there is none."""
    device = system_directory / Path(path).name / "device"
    try:
        return NodeDescription(
            path=path,
            name=_read(device / "name"),
            vendor=int(_read(device / "id/vendor"), 16),
            product=int(_read(device / "id/product"), 16),
            version=int(_read(device / "id/version"), 16),
            bus=int(_read(device / "id/bustype"), 16),
            port=_read(device / "phys"),
            serial=_read(device / "uniq"),
            keys=_read_bitmap(device / "capabilities/key"),
            rels=_read_bitmap(device / "capabilities/rel"),
            axes=_read_bitmap(device / "capabilities/abs"),
            can_rumble=FF_RUMBLE in _read_bitmap(device / "capabilities/ff"),
        )
    except OSError:
        return None


class NodeChange(enum.Enum):
    """What happened to an event node."""

    APPEARED = "appeared"
    VANISHED = "vanished"
    #: Its owner, group or mode was set; one that could not be opened may open now.
    PERMISSION_CHANGED = "permission changed"


@dataclass(frozen=True, slots=True)
class NodeEvent:
    """One change of one event node, `path` being `/dev/input/eventN`."""

    change: NodeChange
    path: str


# sys/inotify.h
_IN_ATTRIB: Final = 0x4
_IN_MOVED_FROM: Final = 0x40
_IN_MOVED_TO: Final = 0x80
_IN_CREATE: Final = 0x100
_IN_DELETE: Final = 0x200
_IN_DELETE_SELF: Final = 0x400
_IN_MOVE_SELF: Final = 0x800
_IN_Q_OVERFLOW: Final = 0x4000
_IN_IGNORED: Final = 0x8000
_IN_ONLYDIR: Final = 0x1000000
_NODES_MASK: Final = (
    _IN_ATTRIB | _IN_MOVED_FROM | _IN_MOVED_TO | _IN_CREATE | _IN_DELETE
    | _IN_DELETE_SELF | _IN_MOVE_SELF | _IN_ONLYDIR
)  # fmt: skip
_PARENT_MASK: Final = _IN_CREATE | _IN_MOVED_TO | _IN_ONLYDIR
_RECORD: Final = struct.Struct("iIII")  # watch, mask, cookie, bytes of the name that follows
_READ_BYTES: Final = 16384

_libc: Final = ctypes.CDLL(None, use_errno=True)


class HotplugWatch:
    """Tells of event nodes that come and go; give it to a poll as it is.

    Nodes that are there at construction are not told of: make the watch first, then list. A node
    may then be both listed and told of as appeared, which a caller that keeps them by path bears.
    The directory may be missing, be removed, and come back.
    """

    def __init__(self, device_directory: Path = DEVICE_DIRECTORY) -> None:
        """`device_directory`'s parent must exist. Raises OSError when inotify is exhausted."""
        self._directory = device_directory
        self._fd: int = _libc.inotify_init1(os.O_NONBLOCK | os.O_CLOEXEC)
        if self._fd < 0:
            raise OSError(ctypes.get_errno(), "inotify_init1")
        self._watch: int | None = None
        self._parent_watch: int | None = None
        self._known: dict[str, int] = {}
        self._look()
        self._known = self._present()

    def fileno(self) -> int:
        """The descriptor to poll for reading, -1 after `close`."""
        return self._fd

    def read(self) -> list[NodeEvent]:
        """What has happened since the last call, in its order. Never waits."""
        events: list[NodeEvent] = []
        try:
            data = os.read(self._fd, _READ_BYTES)
        except BlockingIOError:
            return events
        for watch, mask, name in _records(data):
            if mask & _IN_Q_OVERFLOW:
                events += self._catch_up()
            elif watch == self._watch:
                if mask & (_IN_DELETE_SELF | _IN_MOVE_SELF | _IN_IGNORED):
                    self._forget_directory()
                    events += self._catch_up()
                elif _EVENT_NODE.fullmatch(name):
                    events += self._node_events(mask, name)
            elif watch == self._parent_watch and name == self._directory.name:
                events += self._catch_up()
        return events

    def close(self) -> None:
        """Gives the descriptor back; a second call does nothing."""
        if self._fd >= 0:
            os.close(self._fd)
            self._fd = -1

    def _node_events(self, mask: int, name: str) -> Iterator[NodeEvent]:
        path = str(self._directory / name)
        if mask & (_IN_CREATE | _IN_MOVED_TO):
            if name in self._known:  # a catch-up has told of it already, or of one before it
                inode = self._inode(name)
                if inode == self._known[name]:
                    return
                yield NodeEvent(NodeChange.VANISHED, path)
            self._known[name] = self._inode(name)
            yield NodeEvent(NodeChange.APPEARED, path)
        elif mask & (_IN_DELETE | _IN_MOVED_FROM):
            if self._known.pop(name, None) is not None:
                yield NodeEvent(NodeChange.VANISHED, path)
        elif mask & _IN_ATTRIB and name in self._known:
            yield NodeEvent(NodeChange.PERMISSION_CHANGED, path)

    def _catch_up(self) -> Iterator[NodeEvent]:
        """The difference between what was told and what is there, where events are missing."""
        self._look()
        present = self._present()
        for name, inode in list(self._known.items()):
            if present.get(name) != inode:
                yield NodeEvent(NodeChange.VANISHED, str(self._directory / name))
        for name, inode in present.items():
            if self._known.get(name) != inode:
                yield NodeEvent(NodeChange.APPEARED, str(self._directory / name))
        self._known = present

    def _look(self) -> None:
        """Watches the directory, or its parent until there is one."""
        if self._watch is None:
            self._watch = self._add(self._directory, _NODES_MASK)
            if self._watch is None and self._parent_watch is None:
                self._parent_watch = self._add(self._directory.parent, _PARENT_MASK)
                self._watch = self._add(self._directory, _NODES_MASK)  # it may have come just now
        if self._watch is not None and self._parent_watch is not None:
            _libc.inotify_rm_watch(self._fd, self._parent_watch)
            self._parent_watch = None

    def _forget_directory(self) -> None:
        if self._watch is not None:
            _libc.inotify_rm_watch(self._fd, self._watch)  # fails where the kernel has done it
            self._watch = None

    def _add(self, directory: Path, mask: int) -> int | None:
        watch: int = _libc.inotify_add_watch(self._fd, os.fsencode(directory), mask)
        return None if watch < 0 else watch

    def _present(self) -> dict[str, int]:
        return {name: self._inode(name) for name in _event_nodes(self._directory)}

    def _inode(self, name: str) -> int:
        """Tells a node from another that took its number after it; -1 where it is gone again."""
        try:
            return (self._directory / name).stat().st_ino
        except OSError:
            return -1


def _event_nodes(directory: Path) -> list[str]:
    try:
        names = [entry.name for entry in directory.iterdir()]
    except OSError:
        return []
    return sorted(filter(_EVENT_NODE.fullmatch, names), key=lambda name: int(name[5:]))


def _records(data: bytes) -> Iterator[tuple[int, int, str]]:
    position = 0
    while position < len(data):
        watch, mask, _, length = _RECORD.unpack_from(data, position)
        position += _RECORD.size
        yield watch, mask, os.fsdecode(data[position : position + length].rstrip(b"\0"))
        position += length


def _read(path: Path) -> str:
    """One attribute; the kernel ends it with a newline."""
    return path.read_bytes().decode(errors="replace").removesuffix("\n")


def _read_bitmap(path: Path) -> frozenset[int]:
    """Words of a C long each in hexadecimal, the highest first, their leading zeros left out."""
    bits_per_word = struct.calcsize("L") * 8
    bitmap = 0
    for word in _read(path).split():
        bitmap = bitmap << bits_per_word | int(word, 16)
    return frozenset(bit for bit in range(bitmap.bit_length()) if bitmap >> bit & 1)

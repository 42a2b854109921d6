"""Which programs hold an event node open, and whether one of them has it for itself alone.

The kernel has no call for the first: the open files of every process are looked through, as far as
this user may. For the second there is only the attempt: a device that is taken cannot be taken.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from remapd.kernel.errors import KernelError, SourceBusy
from remapd.kernel.source import SourceDevice

_PROCESSES: Final = Path("/proc")


@dataclass(frozen=True, slots=True, order=True)
class Holder:
    """A process that has the node open; `program` is the name that the kernel knows it by."""

    process: int
    program: str


@dataclass(frozen=True, slots=True)
class Holders:
    """Who holds what. `complete` is false where processes of others could not be looked into."""

    by_path: dict[str, list[Holder]] = field(default_factory=dict)
    complete: bool = True

    def of(self, path: str) -> list[Holder]:
        """The holders of one node, in the order of their process numbers."""
        return self.by_path.get(path, [])


def find_holders(
    paths: Iterable[str], processes: Path = _PROCESSES, *, but: int | None = None
) -> Holders:
    """The holders of these nodes; `but` is a process to leave out (our own unless given).

    A process that ends meanwhile counts as one that holds nothing.
    """
    wanted = set(paths)
    left_out = os.getpid() if but is None else but
    holders: dict[str, list[Holder]] = {}
    complete = True
    numbers = sorted(int(entry.name) for entry in processes.iterdir() if entry.name.isdigit())
    for number in numbers:
        if number == left_out:
            continue
        try:
            descriptors = list((processes / str(number) / "fd").iterdir())
        except PermissionError:
            complete = False
            continue
        except OSError:
            continue
        for path in wanted & {_target(descriptor) for descriptor in descriptors}:
            holders.setdefault(path, []).append(Holder(number, program_name(number, processes)))
    return Holders(holders, complete)


def program_name(process: int, processes: Path = _PROCESSES) -> str:
    """The name of a process's program, `process N` where it has ended."""
    try:
        return (processes / str(process) / "comm").read_text(errors="replace").rstrip("\n")
    except OSError:
        return f"process {process}"


def is_taken_alone(path: str) -> bool | None:
    """Whether some program has this node for itself alone; None where that cannot be told.

    It is taken for a moment and given back. So as to leave no button stuck for anyone, that is
    not done while something on it is pressed.
    """
    try:
        device = SourceDevice(path)
    except KernelError:
        return None
    try:
        return False if device.try_grab() else None
    except SourceBusy:
        return True
    except KernelError:
        return None
    finally:
        device.close()


def _target(descriptor: Path) -> str:
    try:
        return str(descriptor.readlink())
    except OSError:
        return ""

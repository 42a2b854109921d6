"""The battery of an input device, where the kernel tells of one.

It is in /sys/class/power_supply, and hangs on the same piece of hardware as the event node.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

from remapd.kernel.hotplug import SYSTEM_DIRECTORY

SUPPLY_DIRECTORY: Final = Path("/sys/class/power_supply")

#: For devices that tell a level in words only (linux/power_supply.h), in percent.
_LEVELS: Final = {"Critical": 5, "Low": 15, "Normal": 55, "High": 80, "Full": 100}


@dataclass(frozen=True, slots=True)
class Battery:
    """`percent` is None where it is not known; `status` is the kernel's word in small letters."""

    percent: int | None
    status: str  #: charging, discharging, not charging, full or unknown

    def in_words(self) -> str:
        """As in `battery 40 %, discharging`."""
        level = "battery level unknown" if self.percent is None else f"battery {self.percent} %"
        return level if self.status in {"", "unknown"} else f"{level}, {self.status}"


def battery_of(
    path: str,
    system_directory: Path = SYSTEM_DIRECTORY,
    supply_directory: Path = SUPPLY_DIRECTORY,
) -> Battery | None:
    """The battery of the device behind the event node `path`, None where none is known."""
    try:
        node = (system_directory / Path(path).name / "device").resolve(strict=True)
        supplies = sorted(supply_directory.iterdir())
    except OSError:
        return None
    for supply in supplies:
        try:
            hardware = (supply / "device").resolve(strict=True)
        except OSError:
            continue  # such as the computer's own
        if node.is_relative_to(hardware) and _read(supply / "type") == "Battery":
            return Battery(_percent(supply), _read(supply / "status").lower())
    return None


def _percent(supply: Path) -> int | None:
    capacity = _read(supply / "capacity")
    if capacity.isdecimal():
        return min(int(capacity), 100)
    return _LEVELS.get(_read(supply / "capacity_level"))


def _read(path: Path) -> str:
    try:
        return path.read_text(errors="replace").strip()
    except OSError:  # a device that sleeps does not answer
        return ""

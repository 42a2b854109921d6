"""The files that come with remapd for the operating system: units, rules, the menu entry."""

from __future__ import annotations

import sys
from pathlib import Path

import remapd
from remapd.upkeep.system import UpkeepFailed

_CHECKOUT = Path(remapd.__file__).resolve().parent.parent


def folder() -> Path:
    """Where they are: beside the package in a checkout, else where pip has put them.

    Raises UpkeepFailed where they are not.
    """
    for place in (_CHECKOUT / "systemd", Path(sys.prefix, "share/remapd/systemd")):
        if (place / "remapd.service").is_file():
            return place
    raise UpkeepFailed(
        f"the unit files did not come with this installation in {sys.prefix}; install remapd again"
    )


def shipped(name: str) -> str:
    """The text of one file."""
    return (folder() / name).read_text()

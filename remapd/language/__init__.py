"""From a layout file to a checked, built, immutable layout; every error with its place.

    bytes -> characters -> YAML nodes -> values by the schema -> names -> the built layout
    reading   characters   yaml_subset   evaluate               names    build, build_*

`schema` says in one place what a layout may hold; `messages` all that can be said about one. Faults
are gathered on the way (`reporter`), so that all of a file are shown at once.

What is named here is imported when it is first asked for: the daemon reads no layout itself.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from remapd.engine.on_demand import on_demand

if TYPE_CHECKING:
    from remapd.language.loading import Loaded, load, load_text
    from remapd.language.rendering import render

__all__ = ["Loaded", "load", "load_text", "render"]

_HOMES: Final = {
    "Loaded": "loading",
    "load": "loading",
    "load_text": "loading",
    "render": "rendering",
}

__getattr__ = on_demand(__name__, _HOMES)

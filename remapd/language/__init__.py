"""From a layout file to a checked, built, immutable layout; every error with its place.

    bytes -> characters -> YAML nodes -> values by the schema -> names -> the built layout
    reading   characters   yaml_subset   evaluate               names    build, build_*

`schema` says in one place what a layout may hold; `messages` all that can be said about one. Faults
are gathered on the way (`reporter`), so that all of a file are shown at once.
"""

from remapd.language.load import Loaded, load, load_text
from remapd.language.render import render

__all__ = ["Loaded", "load", "load_text", "render"]

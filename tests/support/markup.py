"""Our own markup, read back by a parser that refuses what is not well-formed."""

from __future__ import annotations

from xml.etree import ElementTree
from xml.etree.ElementTree import Element


def parsed(text: str) -> Element:
    """The root element of an XML text, or of an HTML file of ours, which is written as XML."""
    return ElementTree.fromstring(text.removeprefix("<!DOCTYPE html>\n"))  # noqa: S314 - our own

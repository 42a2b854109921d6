"""Devices as plain data, for the memory and the control socket, and back again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any

from remapd.engine.source import AxisRange, Source


def state_fields(source: Source, held: Iterable[int], axes: Mapping[int, int]) -> dict[str, Any]:
    """A device whole: what it is, and its state."""
    return {
        "id": source.id,
        "name": source.name,
        "vendor": source.vendor,
        "product": source.product,
        "version": source.version,
        "bus": source.bus,
        "port": source.port,
        "serial": source.serial,
        "confirmed_as": source.confirmed_as,
        "keys": sorted(source.keys),
        "rels": sorted(source.rels),
        "ranges": [
            [code, span.minimum, span.maximum, span.fuzz, span.flat, span.resolution]
            for code, span in sorted(source.axes.items())
        ],
        "held": sorted(held),
        "axes": [[code, value] for code, value in sorted(axes.items())],
    }


def source_of(fields: Mapping[str, Any]) -> Source:
    """The description in such data."""
    return Source(
        id=fields["id"],
        name=fields["name"],
        vendor=fields["vendor"],
        product=fields["product"],
        version=fields["version"],
        bus=fields["bus"],
        port=fields["port"],
        serial=fields["serial"],
        confirmed_as=fields.get("confirmed_as", ""),
        keys=frozenset(fields["keys"]),
        rels=frozenset(fields["rels"]),
        axes=MappingProxyType({code: AxisRange(*span) for code, *span in fields["ranges"]}),
    )


def state_of(fields: Mapping[str, Any]) -> tuple[frozenset[int], dict[int, int]]:
    """The held keys and the axes' values in such data."""
    return frozenset(fields["held"]), dict(fields["axes"])

"""Layouts through the pipe: whole on the other side, however the bytes are cut, in small pieces."""

from __future__ import annotations

from types import MappingProxyType

import pytest

from remapd.daemon.reading import Reading, Unpacker, pack
from remapd.engine.layout import Layout
from remapd.language import load_text
from tests.support.layouts import HARBOUR

#: The input loop takes one piece at a time. Unpacking so much takes half a millisecond, and
#: `tests/bench` measures it, as it does the exchange of layouts.
PIECE_LIMIT_BYTES = 8192


def big_layout(layers: int, buttons: int) -> Layout:
    """A layout with layers × buttons bindings."""
    codes = [f"BTN_TRIGGER_HAPPY{number}" for number in range(1, 41)]
    codes += [f"KEY_{letter}" for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"]
    lines = ["remapd: 1", "title: Big", "base: layer-0", "devices:"]
    for start in range(0, buttons, len(codes)):
        lines += [f"  box-{start}:", f"    find: {{name: box {start}}}", "    controls:"]
        count = min(len(codes), buttons - start)
        lines += [f"      c{start + n}: {{button: {codes[n]}}}" for n in range(count)]
    lines += ["layers:"]
    for layer in range(layers):
        lines.append(f"  layer-{layer}:")
        lines += [f"    c{n}: {{turbo: south, rate: 8/s}}" for n in range(buttons)]
    loaded = load_text("\n".join(lines))
    assert loaded.layout is not None, loaded.diagnostics[:1]
    return loaded.layout


def unpack(data: bytes, cut: int) -> list[Reading]:
    """The readings in `data`, given in reads of at most `cut` bytes."""
    unpacker = Unpacker()
    readings = []
    while data:
        size = min(unpacker.wanted, cut)
        reading = unpacker.take(data[:size])
        data = data[size:]
        if reading is not None:
            readings.append(reading)
    return readings


@pytest.mark.parametrize("cut", [1, 7, 1 << 20])
def test_readings_come_out_as_they_went_in(cut: int) -> None:
    loaded = load_text(HARBOUR)
    assert loaded.layout is not None
    sent = [
        Reading("a.yaml", 3, loaded.layout, texts={"a.yaml": HARBOUR}, text=HARBOUR),
        Reading("b.yaml", 0, None, "b.yaml:1:1: error", "error"),
        Reading("c.yaml", 4, big_layout(3, 150)),
    ]
    came = unpack(b"".join(map(pack, sent)), cut)
    assert came == sent
    assert came[0].layout is not None
    assert isinstance(came[0].layout.layers[0].bindings, MappingProxyType)


@pytest.mark.parametrize(("layers", "buttons"), [(50, 20), (5, 200), (1, 1000)])
def test_no_piece_of_a_thousand_bindings_is_large(layers: int, buttons: int) -> None:
    data = pack(Reading("big.yaml", 1, big_layout(layers, buttons)))

    sizes = piece_sizes(data)

    assert len(sizes) > 1000 // 64
    assert max(sizes) <= PIECE_LIMIT_BYTES


def piece_sizes(data: bytes) -> list[int]:
    """What is asked for at a time, lengths and pieces."""
    unpacker = Unpacker()
    sizes = []
    while data:
        size = unpacker.wanted
        sizes.append(size)
        unpacker.take(data[:size])
        data = data[size:]
    return sizes

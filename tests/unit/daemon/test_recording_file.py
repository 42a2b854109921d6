"""What the daemon sends of a recording, as the file that it becomes."""

from __future__ import annotations

import dataclasses
import io
from typing import Any

from remapd.codes import EV_KEY, KEYS
from remapd.daemon.recording_file import RecordingFile
from remapd.daemon.wire import source_of, state_fields, state_of
from remapd.engine.matching import LETTER_KEYS
from remapd.engine.source import AxisRange, Source
from remapd.recording.lines import (
    EndLine,
    FrameLine,
    LayoutLine,
    MarkLine,
    PausedLine,
    PluggedLine,
    ReleaseLine,
    UnpluggedLine,
)
from remapd.recording.reader import RecordingReader

BOX = Source(
    id=2,
    name="Knee box",
    vendor=0x1209,
    product=1,
    version=3,
    bus=6,
    port="dock-1",
    serial="B1",
    keys=frozenset({KEYS["BTN_0"]}),
    rels=frozenset({0}),
    axes={0: AxisRange(-5, 5, 1, 2, 3)},
)
BOARD = Source(id=7, name="Keys", keys=LETTER_KEYS | {KEYS["KEY_SPACE"], KEYS["KEY_ENTER"]})
ONE_KEY = """remapd: 1
title: x
devices:
  keys: {find: {name: Keys}, controls: {hoist: {button: KEY_SPACE}}}
layers:
  sail: {hoist: south}
"""


def begin(*devices: dict[str, Any], text: str = "remapd: 1", us: int = 1000) -> dict[str, Any]:
    state = {"devices": list(devices), "paused": False, "layout": "/x.yaml", "text": text}
    return {"event": "recording", "us": us, "state": state}


def frames(*items: tuple[int, int, Any]) -> dict[str, Any]:
    return {"event": "recording-frames", "items": list(items)}


def written(
    *messages: dict[str, Any], keep_keys: bool = False
) -> tuple[RecordingReader, list[Any]]:
    stream = io.BytesIO()
    file = RecordingFile(stream, keep_keys=keep_keys)
    ended = [file.take(message) for message in messages]
    assert ended == [False] * (len(messages) - 1) + [True]
    stream.seek(0)
    reader = RecordingReader(stream, "x")
    return reader, list(reader)


def test_a_device_survives_the_way() -> None:
    fields = state_fields(BOX, {288}, {0: -3})
    assert source_of(fields) == BOX
    assert state_of(fields) == (frozenset({288}), {0: -3})


def test_what_a_press_has_shown_a_box_to_be_is_recorded() -> None:
    moved = dataclasses.replace(BOX, confirmed_as="left-box")
    end = {"event": "recording-end", "us": 2000}
    reader, _ = written(begin(state_fields(moved, (), {})), end)
    plain, _ = written(begin(state_fields(BOX, (), {})), end)
    assert reader.devices[0].source.confirmed_as == "left-box"
    assert plain.devices[0].source.confirmed_as == ""


def test_everything_that_happens_has_its_line() -> None:
    box = state_fields(BOX, (), {0: 1})
    reader, lines = written(
        begin(box),
        frames((1500, 2, [[EV_KEY, KEYS["BTN_0"], 1]]), (1600, -1, {"mark": "look"})),
        frames(
            (1700, -1, {"unplugged": 2}),
            (1800, -1, {"plugged": box}),
            (1900, -1, {"paused": True}),
            (2000, -1, {"paused": False}),
            (2100, -1, {"plugged": state_fields(BOARD, (), {})}),
            (2200, -1, {"release": "everything"}),
            (2300, -1, {"layout": "/y.yaml", "text": "remapd: 1 # y"}),
        ),
        {"event": "recording-end", "us": 2400},
    )
    assert [device.source for device in reader.devices] == [BOX]
    assert [(type(line), line.us) for line in lines] == [
        (LayoutLine, 0),
        (FrameLine, 500),
        (MarkLine, 600),
        (UnpluggedLine, 700),
        (PluggedLine, 800),
        (PausedLine, 900),
        (PausedLine, 1000),
        (PluggedLine, 1100),
        (ReleaseLine, 1200),
        (LayoutLine, 1300),
        (EndLine, 1400),
    ]
    assert [line.described for line in lines if isinstance(line, PluggedLine)] == [False, True]


def test_nothing_remembered_is_nothing_written() -> None:
    stream = io.BytesIO()
    file = RecordingFile(stream)
    assert file.take({"event": "recording-end", "us": 5})
    assert not file.begun
    assert stream.getvalue() == b""


def typed(text: str, *, keep_keys: bool = False) -> list[int]:
    presses = [
        (2000 + n, 7, [[EV_KEY, code, 1]])
        for n, code in enumerate((KEYS["KEY_S"], KEYS["KEY_SPACE"], KEYS["KEY_E"]))
    ]
    _, lines = written(
        begin(state_fields(BOARD, {KEYS["KEY_A"]}, {}), text=text),
        frames(*presses),
        {"event": "recording-end", "us": 9000},
        keep_keys=keep_keys,
    )
    return [code for line in lines if isinstance(line, FrameLine) for _, code, _ in line.events]


def test_what_is_typed_is_masked_and_what_the_layout_uses_is_kept() -> None:
    mask = KEYS["KEY_UNKNOWN"]
    assert typed(ONE_KEY) == [mask, KEYS["KEY_SPACE"], mask]


def test_it_is_kept_where_that_is_asked_for() -> None:
    assert typed(ONE_KEY, keep_keys=True) == [KEYS["KEY_S"], KEYS["KEY_SPACE"], KEYS["KEY_E"]]

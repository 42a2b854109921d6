"""Recordings as written: exact bytes, times that never fall, one line handed on at a time."""

from __future__ import annotations

import io
from types import MappingProxyType

from remapd.engine.source import AxisRange, Source
from remapd.recording.lines import FrameLine, LayoutLine, PluggedLine, RecordedDevice, UnpluggedLine
from remapd.recording.reader import RecordingReader
from remapd.recording.writer import RecordingWriter

KNEES = RecordedDevice(
    Source(3, "Switch box", 0x1209, 0x2001, 1, 3, "usb-1", "B7", keys=frozenset({0x101, 0x100})),
    held=frozenset({0x100}),
)
STICK = RecordedDevice(
    Source(4, "Stick «1»", axes=MappingProxyType({0: AxisRange(0, 255, 1, 15, 2)})),
    axes=MappingProxyType({0: 131}),
)


class Flushes(io.BytesIO):
    def __init__(self) -> None:
        super().__init__()
        self.sizes: list[int] = []

    def flush(self) -> None:
        self.sizes.append(self.tell())


def test_the_bytes_of_each_line() -> None:
    stream = io.BytesIO()
    writer = RecordingWriter(stream, [KNEES, STICK], start_us=1_000_000)
    writer.layout(1_000_000, "harbour.yaml", "title: Fähre\n")
    writer.frame(1_120_000, 3, [(1, 0x100, 1), (4, 4, 7)])
    writer.frame(1_120_001, 3, [(4, 4, 7)])
    writer.unplugged(1_130_000, 3)
    writer.plugged(1_140_000, RecordedDevice(KNEES.source))
    writer.paused(1_150_000, paused=True)
    writer.paused(1_150_000, paused=False)
    writer.release_everything(1_160_000)
    writer.mark(1_170_000, "that press did nothing")
    writer.end(1_180_000)

    assert stream.getvalue().decode().splitlines() == [
        '{"remapd-recording": 1, "devices": [{"id": 3, "name": "Switch box", "vendor": 4617, '
        '"product": 8193, "version": 1, "bus": 3, "port": "usb-1", "serial": "B7", "codes": '
        '{"EV_KEY": ["BTN_0", "BTN_1"]}, "held": ["BTN_0"], "axes": {}}, {"id": 4, "name": '
        '"Stick «1»", "vendor": 0, "product": 0, "version": 0, "bus": 0, "port": "", "serial": "", '
        '"codes": {"EV_ABS": {"ABS_X": [0, 255, 1, 15, 2]}}, "held": [], "axes": {"ABS_X": 131}}]}',
        '{"us": 0, "layout": "harbour.yaml", "text": "title: Fähre\\n"}',
        '{"us": 120000, "device": 3, "events": [["EV_KEY", "BTN_0", 1]]}',
        '{"us": 130000, "device": 3, "plugged": false}',
        '{"us": 140000, "device": 3, "plugged": true, "held": [], "axes": {}}',
        '{"us": 150000, "paused": true}',
        '{"us": 150000, "paused": false}',
        '{"us": 160000, "release": "everything"}',
        '{"us": 170000, "mark": "that press did nothing"}',
        '{"us": 180000, "end": true}',
    ]


def test_what_is_written_is_read_back() -> None:
    stream = io.BytesIO()
    writer = RecordingWriter(stream, [KNEES])
    writer.layout(0, "a.yaml", "remapd: 1\n# ü\n")
    writer.plugged(5, STICK, described=True)
    writer.flat_frame(7, 4, [3, 0, -4, 0, 0, 0])
    writer.unplugged(9, 3)
    read = RecordingReader(io.BytesIO(stream.getvalue()), "a.jsonl")

    assert read.devices == (KNEES,)
    assert list(read) == [
        LayoutLine(0, "a.yaml", "remapd: 1\n# ü\n"),
        PluggedLine(5, STICK, described=True),
        FrameLine(7, 4, [(3, 0, -4)]),
        UnpluggedLine(9, 3),
    ]


def test_time_never_falls() -> None:
    stream = io.BytesIO()
    writer = RecordingWriter(stream, [KNEES], start_us=100)
    writer.mark(90, "before the start")
    writer.frame(500, 3, [(1, 0x100, 1)])
    writer.frame(499, 3, [(1, 0x100, 0)])

    lines = list(RecordingReader(io.BytesIO(stream.getvalue()), "a.jsonl"))
    assert [line.us for line in lines] == [0, 400, 400]


def test_each_line_is_handed_on_at_once_unless_it_need_not_be() -> None:
    stream = Flushes()
    writer = RecordingWriter(stream, [KNEES])
    writer.frame(1, 3, [(1, 0x100, 1)])
    sizes = stream.sizes[:]

    assert len(sizes) == 2
    assert sizes[-1] == len(stream.getvalue())

    quiet = Flushes()
    RecordingWriter(quiet, [KNEES], flush=False).frame(1, 3, [(1, 0x100, 1)])
    assert quiet.sizes == []

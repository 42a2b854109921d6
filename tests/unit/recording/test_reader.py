"""Recordings read back: what they say, and what is said about those that cannot be read."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.recording.json_lines import CHUNK_BYTES, LONGEST_LINE_BYTES
from remapd.recording.lines import (
    EndLine,
    FrameLine,
    LayoutLine,
    Line,
    MarkLine,
    OtherLine,
    PausedLine,
    PluggedLine,
    RecordedDevice,
    RecordingError,
    ReleaseLine,
    UnpluggedLine,
)
from remapd.recording.reader import RecordingReader, open_recording
from remapd.recording.writer import header_text, line_text

SWITCHES = {
    "id": 0,
    "name": "Switch box",
    "vendor": 0x1209,
    "product": 0x2001,
    "port": "usb-1/input0",
    "serial": "B7",
    "codes": {"EV_KEY": ["BTN_0", "BTN_1"]},
    "held": ["BTN_1"],
}
STICK = {
    "id": 1,
    "name": "Stick",
    "codes": {"EV_ABS": {"ABS_X": [0, 255, 1, 15, 0], "ABS_Y": [0, 255, 1, 15, 0]}},
    "axes": {"ABS_X": 131},
}
HEADER: dict[str, Any] = {"remapd-recording": 1, "devices": [SWITCHES, STICK]}
PRESS = {"us": 120_000, "device": 0, "events": [["EV_KEY", "BTN_0", 1]]}


def reader(*lines: object, tail: bytes = b"") -> RecordingReader:
    """A recording of these lines: JSON values, or bytes as they are."""
    whole = [line if isinstance(line, bytes) else json.dumps(line).encode() for line in lines]
    return RecordingReader(io.BytesIO(b"".join(line + b"\n" for line in whole) + tail), "a.jsonl")


def lines_of(*lines: object, tail: bytes = b"") -> list[Line]:
    return list(reader(*lines, tail=tail))


def error_of(*lines: object, tail: bytes = b"") -> RecordingError:
    with pytest.raises(RecordingError) as caught:
        lines_of(*lines, tail=tail)
    return caught.value


# -------------------------------------------------------------------- what it says
def test_first_line_describes_devices_and_their_state() -> None:
    switches, stick = reader(HEADER).devices

    assert switches.source.name == "Switch box"
    assert (switches.source.vendor, switches.source.product) == (0x1209, 0x2001)
    assert (switches.source.port, switches.source.serial) == ("usb-1/input0", "B7")
    assert switches.source.keys == {0x100, 0x101}
    assert switches.held == {0x101}
    assert stick.source.axes[0].maximum == 255
    assert stick.source.axes[0].flat == 15
    assert stick.axes == {0: 131}


def test_every_kind_of_line() -> None:
    read = reader(
        HEADER,
        {"us": 0, "layout": "harbour.yaml", "text": "remapd: 1\n"},
        PRESS,
        {"us": 120_000, "device": 1, "events": [["EV_ABS", "ABS_X", -3], ["EV_ABS", "ABS_Y", 9]]},
        {"us": 130_000, "device": 0, "plugged": False},
        {"us": 140_000, "device": 0, "plugged": True, "held": ["BTN_0"]},
        {"us": 150_000, "paused": True},
        {"us": 160_000, "paused": False},
        {"us": 160_000, "device": 1, "plugged": True, "axes": {"ABS_Y": 4}},
        {"us": 170_000, "release": "everything"},
        {"us": 180_000, "mark": "that press did nothing"},
        {"us": 190_000, "end": True},
    )
    switches, stick = (device.source for device in read.devices)
    kinds = list(read)

    assert kinds[:3] == [
        LayoutLine(0, "harbour.yaml", "remapd: 1\n"),
        FrameLine(120_000, 0, [(1, 0x100, 1)]),
        FrameLine(120_000, 1, [(3, 0, -3), (3, 1, 9)]),
    ]
    assert kinds[3] == UnpluggedLine(130_000, 0)
    assert isinstance(kinds[4], PluggedLine)
    assert kinds[4].device == RecordedDevice(switches, frozenset({0x100}))
    assert kinds[5:7] == [PausedLine(150_000, True), PausedLine(160_000, False)]
    assert isinstance(kinds[7], PluggedLine)
    assert (kinds[7].device.source, dict(kinds[7].device.axes)) == (stick, {1: 4})
    assert kinds[8:] == [
        ReleaseLine(170_000),
        MarkLine(180_000, "that press did nothing"),
        EndLine(190_000),
    ]
    assert read.warnings == []
    assert read.line_number == 12


def test_a_device_that_comes_later_describes_itself() -> None:
    late = {"us": 5, "device": 7, "plugged": True, "name": "Pedal", "codes": {"EV_KEY": ["KEY_A"]}}
    frame = {"us": 6, "device": 7, "events": [["EV_KEY", "KEY_A", 1]]}
    plugged, press = lines_of(HEADER, late, frame)

    assert isinstance(plugged, PluggedLine)
    assert plugged.described
    assert plugged.device.source.name == "Pedal"
    assert press == FrameLine(6, 7, [(1, 30, 1)])


def test_unknown_keys_are_passed_over_and_other_names_of_a_code_are_known() -> None:
    header = {**HEADER, "made-by": "x", "devices": [{**SWITCHES, "colour": 3}, STICK]}
    (press,) = lines_of(header, {**PRESS, "events": [["EV_KEY", "BTN_MISC", 1]], "note": []})

    # BTN_MISC and BTN_0 are one number in linux/input-event-codes.h
    assert press == FrameLine(120_000, 0, [(1, 0x100, 1)])


def test_a_line_of_another_version_only_moves_time() -> None:
    read = reader(HEADER, {"us": 7, "weather": "fog"})

    assert list(read) == [OtherLine(7)]
    assert "a.jsonl:2" in read.warnings[0]


def test_blank_lines_and_carriage_returns_are_forgiven() -> None:
    assert len(lines_of(HEADER, b"", json.dumps(PRESS).encode() + b"\r", b"")) == 1


def test_a_byte_order_mark_before_the_first_letter_is_passed_over() -> None:
    """RFC 8259, section 8.1: a reader "MAY ignore the presence of a byte order mark"."""
    marked = b"\xef\xbb\xbf" + json.dumps(HEADER).encode()

    assert lines_of(marked, PRESS) == lines_of(HEADER, PRESS)


def test_half_a_surrogate_pair_becomes_a_character_that_can_be_written() -> None:
    (mark,) = lines_of(HEADER, b'{"us": 1, "mark": "a\\ud800b"}')

    assert isinstance(mark, MarkLine)
    assert mark.text.encode()


# -------------------------------------------------------------------- the end of the file
@pytest.mark.parametrize("tail", [b'{"us": 130000, "dev', b'{"us": 1, "mark": "\xc3', b"\0\0\0\0"])
def test_a_cut_off_last_line_is_left_out_with_a_warning(tail: bytes) -> None:
    read = reader(HEADER, PRESS, tail=tail)

    assert len(list(read)) == 1
    assert read.warnings == [
        "a.jsonl:3: the last line is cut off; read up to the line before",
    ]


def test_a_last_line_that_lacks_only_its_newline_is_whole() -> None:
    assert len(lines_of(HEADER, tail=json.dumps(PRESS).encode())) == 1


def test_a_last_line_of_null_is_no_cut_off_line() -> None:
    assert error_of(HEADER, b"null").line == 2


# -------------------------------------------------------------------- errors
@pytest.mark.parametrize(
    ("line", "what"),
    [
        (b"{", "not JSON"),
        (b"\xff\xfe", "not UTF-8"),
        (b"[" * 100_000, "too many brackets"),
        (b'{"us": ' + b"9" * 5000 + b"}", "too long"),
        (b"{} {}", "not JSON"),
        (b"[1]", "not a group"),
        ({"device": 0}, "no time"),
        ({"us": -1, "end": True}, "-1"),
        ({"us": 1.5, "end": True}, "1.5"),
        ({"us": True, "end": True}, "true"),
        ({"us": "1", "end": True}, '"1"'),
        ({"us": 1 << 63, "end": True}, "`us`"),
        ({"us": 366 * 86_400_000_000 + 1, "end": True}, "no recording lasts longer than a year"),
        ({"us": 1, "device": 3, "events": []}, "no device 3"),
        ({"us": 1, "device": None, "events": []}, "no device null"),
        ({"us": 1, "device": True, "events": []}, "no device true"),
        ({"us": 1, "device": 0, "events": {"a": 1}}, "not a list"),
        ({"us": 1, "device": 0, "events": ["abc"]}, "not an event"),
        ({"us": 1, "device": 0, "events": [["EV_KEY", "BTN_0"]]}, "not an event"),
        ({"us": 1, "device": 0, "events": [["EV_KEY", "BTN_SAIL", 1]]}, "BTN_SAIL"),
        ({"us": 1, "device": 0, "events": [["EV_SAIL", "BTN_0", 1]]}, "EV_SAIL"),
        ({"us": 1, "device": 0, "events": [["EV_ABS", "BTN_0", 1]]}, "not a code of EV_ABS"),
        ({"us": 1, "device": 0, "events": [["EV_KEY", ["BTN_0"], 1]]}, "not a code"),
        ({"us": 1, "device": 0, "events": [["EV_KEY", "BTN_2", 1]]}, "has no BTN_2"),
        ({"us": 1, "device": 0, "events": [["EV_KEY", "BTN_0", 1.0]]}, "1.0"),
        ({"us": 1, "device": 0, "events": [["EV_KEY", "BTN_0", 1 << 31]]}, "2147483648"),
        ({"us": 1, "device": 0, "plugged": True}, "there already"),
        ({"us": 1, "device": 9, "plugged": True}, "no device 9"),
        ({"us": 1, "device": 0, "plugged": "no"}, "true or false"),
        ({"us": 1, "layout": "a.yaml"}, "`text` is missing"),
        ({"us": 1, "layout": "a.yaml", "text": 3}, "not a text"),
        ({"us": 1, "paused": 1}, "true or false"),
        ({"us": 1, "release": "me"}, "release"),
        ({"us": 1, "mark": None}, "not a text"),
        ({"us": 1, "end": False}, "end"),
    ],
)
def test_a_bad_line_is_named_with_its_number(line: object, what: str) -> None:
    error = error_of(HEADER, {"us": 0, "mark": "so far so good"}, line)

    assert error.line == 3
    assert what in error.what
    assert str(error).startswith("a.jsonl:3: ")
    assert error.remedy


def test_time_that_falls_is_an_error() -> None:
    error = error_of(HEADER, PRESS, {"us": 119_999, "end": True})

    assert (error.line, "time falls" in error.what) == (3, True)


def test_frames_of_an_unplugged_or_paused_device_are_an_error() -> None:
    gone = {"us": 1, "device": 0, "plugged": False}

    assert "not plugged in" in error_of(HEADER, gone, PRESS).what
    assert "not plugged in" in error_of(HEADER, gone, gone).what
    assert "not plugged in" in error_of(HEADER, {"us": 1, "paused": True}, PRESS).what


def test_lines_after_the_end_are_an_error() -> None:
    assert error_of(HEADER, {"us": 1, "end": True}, {"us": 2, "mark": "x"}).line == 3


@pytest.mark.parametrize(
    ("first", "what"),
    [
        (b"", "empty"),
        (b"remapd: 1\n", "not JSON"),
        (b"\x7fELF\x02\x01\x01\n", "not JSON"),
        (b"\x89PNG\r\n", "UTF-8"),
        (b'{"version": 1}\n', "not a recording"),
        (b"[]\n", "not a recording"),
        (b'{"remapd-recording": 2}\n', "version 2"),
        (b'{"remapd-recording": true}\n', "version true"),
        (b'{"remapd-recording": 1}\n', "`devices`"),
        (b'{"remapd-recording": 1, "devices": [', "cut off"),
        (b'{"remapd-recording": 1, "devices": [3]}\n', "`devices`"),
        (b'{"remapd-recording": 1, "devices": [{"name": "x"}]}\n', "`id` is missing"),
        (b'{"remapd-recording": 1, "devices": [{"id": 0}]}\n', "`codes`"),
        (b'{"remapd-recording": 1, "devices": [{"id": 0, "codes": {}}]}\n', "`name` is missing"),
    ],
)
def test_a_file_that_is_no_recording(first: bytes, what: str) -> None:
    with pytest.raises(RecordingError) as caught:
        RecordingReader(io.BytesIO(first), "a.jsonl")

    assert what in caught.value.what
    assert caught.value.line in (None, 1)


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"id": 1}, "two devices"),
        ({"vendor": 70_000}, "vendor"),
        ({"port": 3}, "`port`"),
        ({"codes": {"EV_KEY": ["BTN_SAIL"]}}, "BTN_SAIL"),
        ({"codes": {"EV_KEY": "BTN_0"}}, "EV_KEY"),
        ({"codes": {"EV_REL": ["BTN_0"]}}, "not a code of EV_REL"),
        ({"codes": {"EV_ABS": ["ABS_X"]}}, "EV_ABS"),
        ({"codes": {"EV_ABS": {"ABS_X": [0, 1]}}}, "ABS_X"),
        ({"held": ["BTN_7"]}, "BTN_7"),
        ({"held": [["BTN_0"]]}, "held"),
        ({"held": "BTN_0"}, "held"),
        ({"axes": {"ABS_X": 0}}, "ABS_X"),
        ({"axes": []}, "axes"),
    ],
)
def test_a_bad_description_of_a_device(change: dict[str, object], what: str) -> None:
    error = error_of({**HEADER, "devices": [STICK, {**SWITCHES, **change}]})

    assert (error.line, what in error.what) == (1, True)


def test_a_huge_line_is_given_up_early() -> None:
    stream = io.BytesIO(b"0" * (LONGEST_LINE_BYTES + 8 * CHUNK_BYTES))
    with pytest.raises(RecordingError, match="longer than any line") as caught:
        RecordingReader(stream, "zeros")

    assert caught.value.line == 1
    assert stream.tell() <= LONGEST_LINE_BYTES + CHUNK_BYTES


def test_lines_that_cross_chunks_are_whole() -> None:
    mark = {"us": 1, "mark": "x" * (CHUNK_BYTES * 2 + 17)}

    assert lines_of(HEADER, mark, PRESS)[1] == FrameLine(120_000, 0, [(1, 0x100, 1)])


def test_files_that_cannot_be_opened(tmp_path: Path) -> None:
    with pytest.raises(RecordingError, match="no such file"):
        open_recording(tmp_path / "none.jsonl")
    with pytest.raises(RecordingError, match="folder"):
        open_recording(tmp_path)
    with pytest.raises(RecordingError, match="cannot be opened"):
        open_recording(Path("a\0b"))
    (tmp_path / "a.jsonl").write_text(json.dumps(HEADER))
    with open_recording(tmp_path / "a.jsonl") as read:
        assert list(read) == []


# -------------------------------------------------------------------- laws
def outcome(data: bytes) -> tuple[list[str], int] | int:
    """The recording printed again and how many lines it has, or the line of the error."""
    try:
        read = RecordingReader(io.BytesIO(data), "any")
        printed = [header_text(read.devices), *map(line_text, read)]
    except RecordingError as error:
        line = error.line or 0
    else:
        return printed, read.line_number
    assert 0 <= line <= data.count(b"\n") + 1
    return line


SNIPPETS = st.sampled_from(
    [
        *(json.dumps(value).encode() for value in (HEADER, PRESS, SWITCHES, STICK)),
        *(
            json.dumps({"us": us, key: value}).encode()
            for us in (0, 120_000, 10**30)
            for key, value in (("paused", True), ("end", True), ("mark", "x"), ("plugged", 1))
        ),
        b"\n",
        b"{",
        b"}",
        b"[",
        b"]",
        b'"',
        b"null",
        b"\0",
        b"\xff",
        b"1e999",
        b"NaN",
    ]
)
MESSES = st.lists(SNIPPETS | st.binary(max_size=20), max_size=12).map(b"".join)


@given(MESSES | st.binary(max_size=200))
def test_any_bytes_give_a_recording_or_an_error_with_a_line(data: bytes) -> None:
    outcome(data)


@given(MESSES)
def test_any_bytes_after_a_good_first_line(data: bytes) -> None:
    outcome(json.dumps(HEADER).encode() + b"\n" + data)


@given(st.data())
def test_a_good_recording_with_one_byte_changed(data: st.DataObject) -> None:
    whole = b"".join(json.dumps(line).encode() + b"\n" for line in (HEADER, PRESS, PRESS))
    place = data.draw(st.integers(0, len(whole) - 1))
    outcome(whole[:place] + bytes([data.draw(st.integers(0, 255))]) + whole[place + 1 :])


EVENTS = st.one_of(
    st.tuples(st.just("EV_KEY"), st.sampled_from(["BTN_0", "BTN_1"]), st.integers(0, 2)),
    st.tuples(
        st.just("EV_ABS"), st.sampled_from(["ABS_X"]), st.integers(-(1 << 31), (1 << 31) - 1)
    ),
).map(list)
BOTH = {**SWITCHES, "codes": {**SWITCHES["codes"], **STICK["codes"]}}  # type: ignore[dict-item]
LINES = st.one_of(
    st.fixed_dictionaries({"device": st.just(0), "events": st.lists(EVENTS)}),
    st.fixed_dictionaries({"mark": st.text()}),
    st.fixed_dictionaries({"layout": st.text(), "text": st.text()}),
    st.just({"release": "everything"}),
)


@given(st.lists(st.tuples(st.integers(0, 10**7), LINES)))
def test_printing_what_was_read_is_stable(lines: list[tuple[int, dict[str, object]]]) -> None:
    us = 0
    texts = [json.dumps({"remapd-recording": 1, "devices": [BOTH]})]
    for step, fields in lines:
        us += step
        texts.append(json.dumps({"us": us, **fields}))

    first = outcome("\n".join(texts).encode())
    assert isinstance(first, tuple)
    second = outcome("\n".join(first[0]).encode())
    assert second == first

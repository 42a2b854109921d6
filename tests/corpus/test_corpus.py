"""Recordings from a real kernel: replays give the same bytes as ever, and trials can be drafted."""

from __future__ import annotations

import io
from itertools import pairwise
from pathlib import Path

import pytest

from remapd.cli.layout_file import layout_of_text
from remapd.codes import EV_ABS, EV_KEY
from remapd.language.trials import load_trials_text
from remapd.recording.draft import draft_trial
from remapd.recording.draft_text import draft_text
from remapd.recording.excerpt import Excerpt
from remapd.recording.lines import (
    FrameLine,
    LayoutLine,
    Line,
    MarkLine,
    PluggedLine,
    RecordedDevice,
    UnpluggedLine,
)
from remapd.recording.player import Player
from remapd.recording.reader import RecordingReader, open_recording
from remapd.recording.trials import run_trial
from remapd.recording.writer import header_text, line_text
from tests.corpus.golden import RECORDINGS, made
from tests.corpus.scenarios import SCENARIOS

#: All sessions together: small enough to be read, and to stay in the repository for ever.
MOST_BYTES = 400_000

each_recording = pytest.mark.parametrize("recording", RECORDINGS, ids=lambda path: path.stem)


def read(recording: Path) -> tuple[tuple[RecordedDevice, ...], list[Line]]:
    with open_recording(recording) as reader:
        lines = list(reader)
        assert reader.warnings == []
        return reader.devices, lines


def test_there_is_a_recording_of_every_session_and_none_besides() -> None:
    assert {path.stem for path in RECORDINGS} == {scenario.name for scenario in SCENARIOS}
    assert sum(path.stat().st_size for path in RECORDINGS) < MOST_BYTES


@each_recording
def test_the_replay_is_the_same_byte_for_byte(recording: Path) -> None:
    for path, content in made(recording).items():
        assert path.read_bytes() == content, (
            f"{path.name} differs; `python -m tests.corpus.golden --update` writes it anew"
        )


@each_recording
def test_it_is_written_again_as_it_was_read(recording: Path) -> None:
    devices, lines = read(recording)
    texts = [header_text(devices), *map(line_text, lines)]
    assert "\n".join(texts) + "\n" == recording.read_text()


@each_recording
def test_time_cut_in_any_place_makes_no_difference(recording: Path) -> None:
    """Lines that say nothing, between all others, are moments at which the engine is asked."""
    whole = recording.read_text().splitlines()
    with open_recording(recording) as reader:
        lines = list(reader)
    cut = [whole[0]]
    for text, line in zip(whole[1:], lines, strict=True):
        cut += [text] if text is whole[-1] else [text, f'{{"us": {line.us}, "nothing": 0}}']
    stream = io.BytesIO("\n".join(cut).encode())
    with_cuts = list(Player(RecordingReader(stream, "cut"), load_layout=layout_of_text))
    with open_recording(recording) as reader:
        assert with_cuts == list(Player(reader, load_layout=layout_of_text))


@each_recording
def test_a_trial_can_be_drafted_from_it(recording: Path) -> None:
    with open_recording(recording) as reader:
        excerpt = Excerpt(reader)
        assert excerpt.layout is not None
        layout = layout_of_text(excerpt.layout.path, excerpt.layout.text)
        draft = draft_trial(excerpt, layout, recording.stem, own=True)
    text = draft_text(draft, layout, recording.name, "the layout that it holds")
    loaded = load_trials_text(text, layout)
    assert not loaded.diagnostics
    assert all(run_trial(layout, trial).passed for trial in loaded.trials)
    assert not any("not what it pressed" in note for note in draft.notes)


# ------------------------------------------------------- that each session holds what it is for


def lines_of(name: str) -> list[Line]:
    return read(next(path for path in RECORDINGS if path.stem == name))[1]


def buttons(lines: list[Line], code: int) -> list[tuple[int, int]]:
    """(us, value) of each change of a key."""
    return [
        (line.us, value)
        for line in lines
        if isinstance(line, FrameLine)
        for event_type, event_code, value in line.events
        if (event_type, event_code) == (EV_KEY, code)
    ]


def test_the_tremor_shakes_and_comes_from_a_joystick_of_the_hid_class() -> None:
    (device,), lines = read(next(path for path in RECORDINGS if path.stem == "tremor"))
    span = device.source.axes[0]
    assert (span.minimum, span.maximum, span.flat) == (0, 255, 15)  # hid-input's flat for joysticks
    xs = [
        value
        for line in lines
        if isinstance(line, FrameLine)
        for event_type, code, value in line.events
        if (event_type, code) == (EV_ABS, 0)
    ]
    turns = sum((b - a) * (c - b) < 0 for a, b, c in zip(xs, xs[1:], xs[2:], strict=False))
    assert turns > 20


def test_the_chatter_bounces_within_a_few_milliseconds() -> None:
    times = [us for us, _ in buttons(lines_of("chatter"), 0x100)]
    assert sum(later - us < 15_000 for us, later in pairwise(times)) >= 10


def test_the_spasm_lasts() -> None:
    first, second = buttons(lines_of("spasm"), 0x100)[:2]
    assert second[0] - first[0] > 1_900_000


def test_the_plug_comes_out_and_is_back_with_a_switch_held() -> None:
    lines = lines_of("unplugged")
    assert any(isinstance(line, UnpluggedLine) for line in lines)
    (plugged,) = [line for line in lines if isinstance(line, PluggedLine)]
    assert plugged.device.held == {0x100}
    assert plugged.device.source.serial == "K-17"


def test_events_were_lost_and_their_difference_is_one_frame() -> None:
    """Of two hundred places the kernel kept the last; what was pressed meanwhile comes first."""
    frames = [line for line in lines_of("lost-events") if isinstance(line, FrameLine)]
    (difference,) = [
        number
        for number, line in enumerate(frames)
        if line.events[:2] == [(EV_KEY, 0x120, 0), (EV_KEY, 0x121, 1)]
    ]
    following = frames[difference + 1]
    assert following.us - frames[difference].us < 10_000
    assert {event_type for event_type, _, _ in following.events} == {EV_ABS}
    assert len(frames) < 100


def test_two_people_send_at_once() -> None:
    devices, lines = read(next(path for path in RECORDINGS if path.stem == "two-people"))
    senders = [line.device for line in lines if isinstance(line, FrameLine)]
    assert len(set(senders)) == len(devices) == 2
    assert sum(a != b for a, b in pairwise(senders)) >= 8


def test_the_layout_is_saved_in_mid_puff() -> None:
    lines = lines_of("breath")
    layouts = [line for line in lines if isinstance(line, LayoutLine)]
    assert len(layouts) == 2
    assert layouts[1].us > 0
    assert "Breath after a reload" in layouts[1].text
    assert any(isinstance(line, MarkLine) for line in lines)

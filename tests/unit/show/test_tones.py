"""The tones: quiet, and never sudden."""

from __future__ import annotations

import io
import itertools
import wave

import pytest

from remapd.language.schema_cues import TONES
from remapd.show.cues.cue import LOUDNESS
from remapd.show.cues.tones import FADE_S, NOTES, RATE, tone_samples, tone_wav


def test_every_tone_of_the_language_can_be_played() -> None:
    assert set(NOTES) == set(TONES)


@pytest.mark.parametrize("tone", TONES)
def test_a_tone_swells_for_50_ms_or_more(tone: str) -> None:
    samples = tone_samples(tone, LOUDNESS)
    peak = max(map(abs, samples))

    reached_s = next(n for n, each in enumerate(samples) if abs(each) > 0.9 * peak) / RATE
    quarter_s = next(n for n, each in enumerate(samples) if abs(each) > 0.25 * peak) / RATE

    assert FADE_S >= 0.05
    assert reached_s >= 0.04
    assert quarter_s >= 0.015
    steps = [abs(b - a) for a, b in itertools.pairwise(samples)]
    assert max(steps[:240]) < max(steps) / 2, "it begins with a corner"
    assert abs(samples[-1]) < 0.001


@pytest.mark.parametrize("loudness", [0.01, 0.2, 1.0])
def test_its_peak_is_its_loudness(loudness: float) -> None:
    assert max(tone_samples("high", loudness)) == pytest.approx(loudness, rel=0.02)


@pytest.mark.parametrize("tone", TONES)
def test_the_file_can_be_read_by_the_standard_library(tone: str) -> None:
    with wave.open(io.BytesIO(tone_wav(tone, LOUDNESS))) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE)
        assert 0.15 < file.getnframes() / RATE < 0.6


def test_no_two_tones_are_alike() -> None:
    assert len({tuple(tone_samples(tone, 0.1)) for tone in TONES}) == len(TONES)

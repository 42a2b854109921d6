"""Soft tones as WAV files: sine waves that swell and fade, so that nobody is startled.

A sound that comes within a few milliseconds can set off a startle, and with some people a spasm;
these take 60 ms to swell, are quiet, and lie between 400 and 900 Hz, which most people hear best
even where age has taken the high ones (common practice, no source).
"""

from __future__ import annotations

import io
import math
import struct
import wave
from typing import Final

RATE: Final = 24_000  #: samples a second
FADE_S: Final = 0.06  #: how long a note takes to swell, and again to fade
NOTE_S: Final = 0.18
_PAUSE_S: Final = 0.05

#: Hertz of each note, one after the other.
NOTES: Final = {
    "low": (440.0,),
    "high": (880.0,),
    "rising": (523.25, 783.99),
    "falling": (783.99, 523.25),
    "twice": (587.33, 587.33),
}


def tone_samples(tone: str, loudness: float) -> list[float]:
    """The tone from -1 to 1; `loudness` is the share of that which its peaks reach."""
    samples: list[float] = []
    for number, frequency in enumerate(NOTES[tone]):
        if number:
            samples += [0.0] * round(_PAUSE_S * RATE)
        samples += _note(frequency, loudness)
    return samples


def _note(frequency: float, loudness: float) -> list[float]:
    count, fade = round(NOTE_S * RATE), round(FADE_S * RATE)
    return [
        loudness
        * _swell(min(n, count - 1 - n) / fade)
        * math.sin(2 * math.pi * frequency * n / RATE)
        for n in range(count)
    ]


def _swell(share: float) -> float:
    """From 0 to 1 along half a cosine, which begins and ends without a corner."""
    return 1.0 if share >= 1.0 else (1 - math.cos(math.pi * share)) / 2


def tone_wav(tone: str, loudness: float) -> bytes:
    """The tone as a WAV file, 16 bits, one channel, with a moment of silence around it."""
    samples = [0.0] * round(0.01 * RATE) + tone_samples(tone, loudness) + [0.0] * (RATE // 50)
    file = io.BytesIO()
    with wave.open(file, "wb") as written:
        written.setnchannels(1)
        written.setsampwidth(2)
        written.setframerate(RATE)
        values = (round(32767 * each) for each in samples)
        written.writeframes(struct.pack(f"<{len(samples)}h", *values))
    return file.getvalue()

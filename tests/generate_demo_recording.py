"""Makes the recorded session of `remapd demo`: `python -m tests.generate_demo_recording`.

A scripted hand plays the shipped layout for the trackball; what its devices would have sent is the
recording. It is made anew when that layout changes, and a test says when that was forgotten.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from remapd.language import load
from remapd.recording.driver import ControlDriver
from remapd.recording.hands import Hands
from remapd.recording.lines import RecordedDevice
from remapd.recording.writer import RecordingWriter
from remapd.show.demo_recording import DEMO_FILE
from remapd.trial import Input, InputKind

CHECKOUT: Final = Path(__file__).resolve().parents[1]
LAYOUT: Final = "layouts/trackball-and-knees.yaml"
END_US: Final = 27_000_000
#: A hand's push on the ball changes so often (common practice, no source).
STROKE_US: Final = 120_000


def press(name: str, at_ms: int, for_ms: int) -> Input:
    """A switch pressed and let go."""
    return Input(at_ms * 1000, InputKind.PRESS, name, for_us=for_ms * 1000)


def rolled(at_ms: int, for_ms: int, x: float, y: float) -> Iterator[Input]:
    """The ball rolled that way, at shares of full speed: slow, quick, slow, and never quite even.

    The strokes are whole: speeds are such that each ends on a full count of the ball.
    """
    strokes = for_ms * 1000 // STROKE_US
    for number in range(strokes):
        swell = math.sin(math.pi * (number + 0.5) / strokes) ** 0.6
        sway = 1.0 + 0.06 * math.sin(2.1 * number)
        yield Input(
            at_ms * 1000 + number * STROKE_US,
            InputKind.TURN,
            "roll",
            (x * swell * sway, y * swell * sway),
            STROKE_US,
        )


def script() -> list[Input]:
    """What the hands do, in 27 seconds."""
    return [
        # The ball steers. The left knee trembles against its switch, then hoists the sail.
        *rolled(900, 2200, 1.0, 0.0),
        press("left-knee", 4000, 45),
        press("left-knee", 5300, 280),
        # For one move the ball looks round instead.
        press("right-knee", 7000, 180),
        *rolled(7900, 1600, -0.7, -0.8),
        # The left knee held opens the net, and one press of the right knee casts again and again.
        press("left-knee", 10600, 1300),
        press("right-knee", 12900, 160),
        # The ball steers meanwhile. The helper, who wants another way, counts when it lies still.
        *rolled(13900, 2600, -0.9, 0.25),
        Input(15_000_000, InputKind.MOVE, "left-stick", (0.8, 0.0), 3_700_000),
        press("right-knee", 17800, 160),
        press("left-knee", 19700, 1200),
        # The other layer again, kept this time: a short press blows the horn, a long one the menu.
        press("right-knee", 21900, 160),
        press("right-knee", 22600, 160),
        press("left-knee", 23400, 260),
        press("left-knee", 24600, 1100),
        press("right-knee", 26200, 160),
    ]


def recording() -> bytes:
    """The whole recording, which is the same at each run."""
    path = CHECKOUT / LAYOUT
    loaded = load(path)
    assert loaded.layout is not None, f"{LAYOUT} has errors"
    driver = ControlDriver(loaded.layout)
    devices = [RecordedDevice(each.source, each.held, each.axes) for each in driver.stand_ins]
    stream = io.BytesIO()
    writer = RecordingWriter(stream, devices)
    writer.layout(0, LAYOUT, loaded.self_contained_text)
    for frame in Hands(driver, script()).frames:
        writer.frame(frame.us, driver.stand_in(frame.device).source.id, frame.events)
    writer.end(END_US)
    return stream.getvalue()


if __name__ == "__main__":
    (CHECKOUT / "remapd" / "show" / "data" / DEMO_FILE).write_bytes(recording())

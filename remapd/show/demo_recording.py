"""The recorded session that comes with remapd."""

from __future__ import annotations

import io
from importlib.resources import files
from typing import Final

from remapd.recording.reader import RecordingReader

DEMO_FILE: Final = "harbour-demo.jsonl"


def open_demo() -> RecordingReader:
    """The recording, to be read once; raises RecordingError where it is damaged."""
    content = (files("remapd.show") / "data" / DEMO_FILE).read_bytes()
    return RecordingReader(io.BytesIO(content), DEMO_FILE)

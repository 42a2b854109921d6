"""What the recordings of the corpus give when they are replayed: written anew, or only made.

    python -m tests.corpus.golden            # says what differs from what is written
    python -m tests.corpus.golden --update   # writes it; read the difference before you commit it

Beside each NAME.jsonl are NAME.pad.jsonl, which `remapd replay` writes, and NAME.trace, which it
prints with --explain, both with the layout that the recording holds.
"""

from __future__ import annotations

import contextlib
import io
import sys
import tempfile
from pathlib import Path

from remapd.cli.replay import replay

FOLDER = Path(__file__).resolve().parent
RECORDINGS = sorted(path for path in FOLDER.glob("*.jsonl") if ".pad." not in path.name)


def made(recording: Path) -> dict[Path, bytes]:
    """The replay's output by the file that it belongs in."""
    printed = io.StringIO()
    with tempfile.TemporaryDirectory() as folder, contextlib.redirect_stdout(printed):
        pad = Path(folder) / "pad.jsonl"
        replay(None, recording, pad, explain=True)
        output = pad.read_bytes()
    return {
        recording.with_suffix(".pad.jsonl"): output,
        recording.with_suffix(".trace"): printed.getvalue().encode(),
    }


def main() -> int:
    """Compares, or with --update writes."""
    update = sys.argv[1:] == ["--update"]
    differing = 0
    for recording in RECORDINGS:
        for path, content in made(recording).items():
            if path.exists() and path.read_bytes() == content:
                continue
            differing += 1
            print(f"{'written' if update else 'differs'}: {path.name}")
            if update:
                path.write_bytes(content)
    return 1 if differing and not update else 0


if __name__ == "__main__":
    sys.exit(main())

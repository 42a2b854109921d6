"""Writes the manual pages of every command and of the layout file into docs/man/.

    python -m tests.generate_man_pages

`man -l docs/man/remapd-run.1` shows one. They are made of the commands' own arguments.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

from remapd.cli.manual import manual_pages

FOLDER: Final = Path(__file__).resolve().parent.parent / "docs" / "man"

if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    pages = manual_pages()
    for old in set(FOLDER.iterdir()) - {FOLDER / name for name in pages}:
        old.unlink()
    for name, text in pages.items():
        (FOLDER / name).write_text(text, encoding="utf-8")

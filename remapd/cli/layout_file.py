"""Layouts for commands: the built layout, or its errors on standard error and the command's end."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NoReturn

from remapd.cli.failure import CommandFailed
from remapd.diagnostics import Diagnostic
from remapd.engine.layout import Layout
from remapd.language import load, load_text, render


def layout_of_file(path: Path) -> Layout:
    """The layout of a file.

    Raises:
        CommandFailed: it has errors; all of them have been printed.
    """
    loaded = load(path)
    if loaded.layout is None:
        fail_with(loaded.errors, str(path))
    return loaded.layout


def layout_and_text(path: Path) -> tuple[Layout, str]:
    """The layout of a file, and one text that means the same; raises CommandFailed likewise."""
    loaded = load(path)
    if loaded.layout is None:
        fail_with(loaded.errors, str(path))
    return loaded.layout, loaded.self_contained_text


def layout_of_text(name: str, text: str) -> Layout:
    """The layout of a text that a recording holds; raises CommandFailed likewise."""
    loaded = load_text(text, name)
    if loaded.layout is None:
        fail_with(loaded.errors, f"the recorded layout {name}")
    return loaded.layout


def fail_with(errors: Sequence[Diagnostic], where: str) -> NoReturn:
    """Print errors of a file, and raise CommandFailed with their number."""
    for error in errors:
        print(render(error), file=sys.stderr)
    count = "an error" if len(errors) == 1 else f"{len(errors)} errors"
    raise CommandFailed(f"{where} has {count}; mend it and try again")

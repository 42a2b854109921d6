"""Layouts for commands: the built layout, or its errors on standard error and the command's end."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NoReturn

from remapd.cli.failure import CommandFailed
from remapd.cli.told import readable_lines
from remapd.diagnostics import Diagnostic
from remapd.engine.layout import Layout
from remapd.language import load, load_text, render

_TRIALS = ".trials.yaml"


def layouts_named(paths: Sequence[Path]) -> list[Path]:
    """The layouts that a person means: `layouts/*.yaml` names the trials beside them too.

    A trials file stands for its layout; each layout comes once, in the order given.
    """
    layouts = [
        path.with_name(path.name.removesuffix(_TRIALS) + ".yaml")
        if path.name.endswith(_TRIALS)
        else path
        for path in paths
    ]
    return list(dict.fromkeys(layouts))


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
        print(readable_lines(render(error)), file=sys.stderr)
    count = "an error" if len(errors) == 1 else f"{len(errors)} errors"
    raise CommandFailed(f"{where} has {count}; mend it and try again")

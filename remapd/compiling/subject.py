"""Which modules are compiled, and which files the result depends on."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import Final

#: Of the engine everything but plain data, which is read from a layout once or passed between
#: processes: nothing to be gained.
_ENGINE_AS_IT_IS: Final = frozenset(
    ("__init__", "actions", "button_table", "layout", "notices", "settings", "source")
)
_ENGINE: Final = "remapd.engine."
_BEYOND_ENGINE: Final = (
    "remapd.daemon.figures",
    "remapd.daemon.loop",
    "remapd.daemon.way_back",
    "remapd.kernel.frames",
    "remapd.kernel.pad",
    "remapd.kernel.source",
)


def is_compiled(name: str) -> bool:
    """Whether a module of this name belongs to those that are compiled."""
    if name.startswith(_ENGINE):
        return name.removeprefix(_ENGINE) not in _ENGINE_AS_IT_IS
    return name in _BEYOND_ENGINE


def compiled_files(root: Path) -> list[str]:
    """The source files that are compiled, as paths below `root`, where the package lies."""
    engine = (f"{_ENGINE}{path.stem}" for path in root.glob("remapd/engine/*.py"))
    names = sorted([*filter(is_compiled, engine), *_BEYOND_ENGINE])
    return [f"{name.replace('.', '/')}.py" for name in names]


def sources(root: Path) -> list[str]:
    """Every file of ours that the machine code depends on, as paths below `root`.

    More than what is compiled: the compiler writes constants and types of imported modules into
    the code that uses them.
    """
    found: set[Path] = set()
    waiting = [root / file for file in (*compiled_files(root), *_HOW)]
    while waiting:
        path = waiting.pop()
        if path not in found:
            found.add(path)
            for name in _imported(path):
                waiting += _files_of(root, name)
    return sorted(str(path.relative_to(root)) for path in found)


#: What decides how it is made.
_HOW: Final = ("remapd/compiling/compiler.py", "remapd/compiling/subject.py")


def _imported(path: Path) -> Iterator[str]:
    """The names that a file imports, anywhere in it; of `from a import b` also `a.b`."""
    for node in ast.walk(ast.parse(path.read_bytes())):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module is not None:
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def _files_of(root: Path, name: str) -> Iterator[Path]:
    """The files that are imported for a dotted name: its packages and itself."""
    path = root
    for part in name.split("."):
        path /= part
        for file in (path / "__init__.py", path.with_name(f"{part}.py")):
            if file.is_file() and file.is_relative_to(root / "remapd"):
                yield file

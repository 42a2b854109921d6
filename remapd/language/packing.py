"""Makes a pack: a layout, all that it needs, and words for whoever finds the file in two years."""

from __future__ import annotations

import hashlib
import os
import textwrap
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from remapd import __version__
from remapd.engine.actions import ChangeLayout, parts_of
from remapd.engine.layout import Layout
from remapd.language.loading import Loaded, load
from remapd.language.pack import (
    LARGEST_BYTES,
    PACK_VERSION,
    ExpectedDevice,
    PackBroken,
    Part,
    PartKind,
    expected_devices,
    is_safe_name,
    parse_pack,
)
from remapd.language.plain_file import bytes_of
from remapd.language.schema import LANGUAGE_VERSION
from remapd.language.shelf import meant_by
from remapd.language.trials import trials_path

_WIDTH: Final = 78
_WORDS: Final = """\
This is a whole set-up for one player of games: what is plugged in, and what each switch and \
movement does in the game. remapd, a free program for Linux, plays with it. It is a plain text \
that can be read in any editor. Do not change it in here: marked lines say where each file begins \
and how long it is. What each control does is told first, then come the files.

Where remapd is installed, in a terminal, in the folder where this file lies:

    remapd fit --from {file}
        asks which device is which on that machine, and keeps all the rest

    remapd unpack {file}
        only writes the files out, as they were

{devices}

Take care: another chair, table or cushion is another fit. Try it with the player before the \
first game; stop at pain, tingling or numbness; keep cords away from necks and wheels. The player \
decides first, then the therapists, each for their part.
"""


@dataclass(slots=True)
class _Collected:
    """The files of a pack by their real paths, before they have names in it."""

    kinds: dict[str, PartKind] = field(default_factory=dict)
    contents: dict[str, bytes] = field(default_factory=dict)
    #: What could not be packed with it, in words.
    left_out: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Packed:
    """A pack that was made: its text, the names of the files in it, and what is not in it."""

    content: bytes
    names: tuple[str, ...]
    left_out: tuple[str, ...]


def pack(layout_path: Path, *, card: str, today: str, file_name: str) -> Packed:
    """A pack of a layout.

    Args:
        layout_path: the layout file, which must have no errors.
        card: what each control does, in words; empty for none.
        today: the date that it bears, as in `2026-11-27`.
        file_name: the name that the pack will have, for the words in it.

    Raises:
        PackBroken: it cannot be packed; why, and what to do.
    """
    loaded = load(layout_path)
    if loaded.layout is None:
        raise PackBroken(f"{layout_path} has errors; `remapd check {layout_path}` tells them")
    collected = _Collected()
    _collect(collected, layout_path, loaded, PartKind.LAYOUT)
    names = _names(list(collected.contents))
    parts = [
        Part(names[path], collected.kinds[path], content)
        for path, content in collected.contents.items()
    ]
    if card:
        name = f"{layout_path.stem}.card.txt"
        parts.insert(0, Part(name, PartKind.CARD, card.encode()))
    devices = expected_devices(loaded, loaded.layout)
    head = _head(loaded.layout, devices, today, file_name)
    content = _written(head, parts)
    if len(content) > LARGEST_BYTES:
        raise PackBroken(f"{layout_path} with all that it names is too large for a pack")
    _try_out(content, layout_path)
    return Packed(content, tuple(part.name for part in parts), tuple(collected.left_out))


def _collect(collected: _Collected, path: Path, loaded: Loaded, kind: PartKind) -> None:
    """A layout, what it includes, its trials, and the layouts that it changes to."""
    real = _absolute(path)
    collected.kinds[real] = kind
    for file in loaded.files:
        absolute = _absolute(file)
        collected.kinds.setdefault(absolute, PartKind.INCLUDED)
        if absolute not in collected.contents:
            collected.contents[absolute] = _bytes_of(file)
    beside = trials_path(path)
    if beside.is_file():
        absolute = _absolute(beside)
        collected.kinds[absolute] = PartKind.TRIALS
        collected.contents[absolute] = _bytes_of(beside)
    if loaded.layout is None:
        return
    for written in dict.fromkeys(_changes_to(loaded.layout)):
        if Path(written).is_absolute():
            collected.left_out.append(
                f"`{written}`: named by its whole path, which leads nowhere else"
            )
            continue
        target = meant_by(path, written)
        absolute = _absolute(target)
        if absolute in collected.contents:
            continue
        other = load(target)
        if other.layout is None:
            collected.left_out.append(f"`{written}`, which {path.name} changes to: {_why(other)}")
        else:
            _collect(collected, target, other, PartKind.OTHER_LAYOUT)


def _try_out(content: bytes, layout_path: Path) -> None:
    """What was packed can be played from elsewhere: nothing in it is named by its whole path."""
    try:
        loaded = parse_pack(content, "the pack").load()
    except PackBroken as error:
        raise PackBroken(
            f"{layout_path} cannot be carried elsewhere: a file that it includes is named by its "
            "whole path, beginning with /; write `include:` with the way from the layout's folder"
        ) from error
    if loaded.layout is None:
        raise PackBroken(
            f"{layout_path} cannot be carried elsewhere: {_why(loaded)}; it was changed just now, "
            "or means something else in another folder"
        )


def _changes_to(layout: Layout) -> Iterator[str]:
    for layer in layout.layers:
        for action in (*layer.bindings.values(), *(chord.action for chord in layer.chords)):
            for part in parts_of(action):
                if isinstance(part, ChangeLayout):
                    yield part.path


def _why(loaded: Loaded) -> str:
    return loaded.errors[0].message if loaded.errors else "it cannot be read"


def _absolute(path: Path) -> str:
    """Links are left as they are: what a file includes is looked for from where it is named."""
    return os.path.normpath(path.absolute())


def _bytes_of(path: Path) -> bytes:
    try:
        return bytes_of(path)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or error
        raise PackBroken(
            f"{path} cannot be read: {why}; check its name, and who may read it"
        ) from error


def _names(paths: list[str]) -> dict[str, str]:
    """A name for each file, from the innermost folder that holds them all."""
    base = os.path.commonpath([str(Path(path).parent) for path in paths])
    names = {path: os.path.relpath(path, base) for path in paths}
    for path, name in names.items():
        if not is_safe_name(name):
            raise PackBroken(f"{path} cannot be packed under this name; rename the file")
    return names


def _head(layout: Layout, devices: tuple[ExpectedDevice, ...], today: str, file_name: str) -> str:
    lines = [
        f"remapd-pack: {PACK_VERSION}",
        f"title: {' '.join(layout.title.split())}",
        f"packed: {today}",
        f"made-with: remapd {__version__}",
        f"language: {LANGUAGE_VERSION}",
        "",
    ]
    words = _WORDS.format(file=file_name, devices=_devices_in_words(devices))
    for paragraph in words.splitlines():
        indent = " " * (len(paragraph) - len(paragraph.lstrip()))
        lines += textwrap.wrap(
            paragraph,
            _WIDTH,
            subsequent_indent=indent + "    " * bool(indent),
            break_on_hyphens=False,
            break_long_words=False,
        ) or [""]
    return "\n".join(lines) + "\n\n"


def _devices_in_words(devices: tuple[ExpectedDevice, ...]) -> str:
    lines = ["It is played with:", ""]
    for device in devices:
        whose = "" if device.person == "player" else f", the {device.person}'s"
        need = ", if it is there" if device.optional else ""
        has = "every control of it" if device.is_gamepad else ", ".join(device.controls)
        lines.append(f"    {device.name}{whose}{need}: {device.looks_for}; {has}")
    return "\n".join(lines)


def _written(head: str, parts: list[Part]) -> bytes:
    content = head.encode("utf-8", "replace")  # a file's name may be bytes that are no UTF-8
    for part in parts:
        digest = hashlib.sha256(part.content).hexdigest()
        mark = (
            f"==== {part.kind.value} {part.name}, {len(part.content)} bytes, sha256 {digest} ====\n"
        )
        content += mark.encode() + part.content + b"\n"
    return (
        content
        + f"==== end, sha256 of all above {hashlib.sha256(content).hexdigest()} ====\n".encode()
    )

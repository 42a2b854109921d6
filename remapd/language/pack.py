"""A pack: a player's whole set-up as one text file, to carry to another machine, and its reader.

For people it begins with what it is and what to do with it; then come the files as they were:

    remapd-pack: 1
    title: Forearm trackball and knee switches
    packed: 2026-11-27
    made-with: remapd 0.1.0
    language: 1

    …what it is, in words…

    ==== layout harbour.yaml, 812 bytes, sha256 9f86d0… ====
    …exactly so many bytes, and a line end…
    ==== end, sha256 of all above 60303a… ====

The names are relative, and what a file includes is found from where it lies, as before.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import Final

from remapd.engine.layout import Find, Layout
from remapd.engine.pad_controls import PERSON_NAMES
from remapd.language.find_words import found_by
from remapd.language.loading import Loaded, load
from remapd.language.plain_file import NotPlainError, bytes_of
from remapd.language.schema import LANGUAGE_VERSION

PACK_VERSION: Final = 1
#: No set-up of one player is as large (a layout has 256 KiB at most); more is something else.
LARGEST_BYTES: Final = 8 << 20
_MOST_PARTS: Final = 100
_LONGEST_NAME: Final = 200

_FIRST_LINE: Final = b"remapd-pack: "
_PART: Final = re.compile(
    rb"==== ([a-z ]+) ([^\n]+), (\d{1,8}) bytes, sha256 ([0-9a-f]{64}) ====\n"
)
_END: Final = re.compile(rb"==== end, sha256 of all above ([0-9a-f]{64}) ====\s*\Z")
_ANY_MARK: Final = re.compile(rb"^==== ", re.MULTILINE)


class PackBroken(Exception):
    """It is no pack, or not whole, or must not be unpacked; what is wrong, and the way out."""


class PartKind(Enum):
    """What a file of a pack is; the values are the words in it."""

    CARD = "card"  #: what each control does, in words
    LAYOUT = "layout"  #: the one that was packed
    INCLUDED = "included"  #: devices that a layout includes
    TRIALS = "trials"
    OTHER_LAYOUT = "other layout"  #: one that a control changes to


@dataclass(frozen=True, slots=True)
class Part:
    """One file; `name` is a relative path with `/`, `content` its very bytes."""

    name: str
    kind: PartKind
    content: bytes


@dataclass(frozen=True, slots=True)
class ExpectedDevice:
    """A device that the layout looks for; `part` is the file that describes it."""

    name: str
    person: str
    optional: bool
    find: Find
    looks_for: str
    controls: tuple[str, ...]
    is_gamepad: bool  #: it has every control of a standard gamepad (`controls: gamepad`)
    part: str


@dataclass(frozen=True, slots=True)
class Pack:
    """What a pack holds; every checksum in it has been compared."""

    title: str
    packed_on: str
    made_with: str
    language: int
    parts: tuple[Part, ...]

    @property
    def layout(self) -> Part:
        """The layout that was packed."""
        return next(each for each in self.parts if each.kind is PartKind.LAYOUT)

    @property
    def trials(self) -> Part | None:
        """The trials of that layout."""
        return self.part(re.sub(r"\.[^./]*$", "", self.layout.name) + ".trials.yaml")

    @property
    def card(self) -> str:
        """What each control does, in words; empty where it was not packed."""
        cards = [each.content for each in self.parts if each.kind is PartKind.CARD]
        return cards[0].decode("utf-8", "replace") if cards else ""

    def part(self, name: str) -> Part | None:
        """The file of that name."""
        return next((each for each in self.parts if each.name == name), None)

    def load(self, changed: Mapping[str, bytes] | None = None) -> Loaded:
        """The layout with what it includes, out of the pack alone: nothing else is read.

        `changed` are other contents for files of it, by their names. It may have errors, where
        another version of remapd made it.

        Raises:
            PackBroken: it includes a file that is not in the pack.
        """
        packed = _Packed(self, changed or {})
        loaded = load(Path(self.layout.name), packed)
        foreign = [str(path) for path in loaded.files if not packed.has(path)]
        if foreign:
            raise PackBroken(
                f"{self.layout.name} in the pack includes {foreign[0]}, which is not packed with "
                "it; pack it once more where it comes from"
            )
        return loaded

    def expected(self) -> tuple[ExpectedDevice, ...]:
        """The devices that it is played with; none where the layout has errors."""
        loaded = self.load()
        if loaded.layout is None:
            return ()
        return expected_devices(loaded, loaded.layout)


def expected_devices(loaded: Loaded, layout: Layout) -> tuple[ExpectedDevice, ...]:
    """What a layout expects to be plugged in, in the order of its files."""
    return tuple(
        ExpectedDevice(
            device.name,
            PERSON_NAMES[device.person],
            device.optional,
            device.find,
            found_by(device),
            tuple(layout.controls[number].name for number in device.controls),
            device.gamepad,
            os.path.normpath(loaded.places["device", device.name].file),
        )
        for device in layout.devices
    )


def read_pack(path: Path) -> Pack:
    """The pack in a file. Raises PackBroken."""
    try:
        content = bytes_of(path, LARGEST_BYTES)
    except NotPlainError as error:
        raise PackBroken(f"{error}; name the file that `remapd pack` made") from error
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or error
        raise PackBroken(
            f"{path} cannot be read: {why}; check its name, and who may read it"
        ) from error
    return parse_pack(content, str(path))


def parse_pack(content: bytes, name: str) -> Pack:
    """The pack in these bytes; `name` is what errors call it. Raises PackBroken."""
    if not content.startswith(_FIRST_LINE):
        raise PackBroken(
            f"{name} is no pack: its first line is not `remapd-pack: {PACK_VERSION}`; a pack is "
            "what `remapd pack LAYOUT` writes"
        )
    if len(content) > LARGEST_BYTES:
        raise PackBroken(f"{name} is larger than any pack ({LARGEST_BYTES >> 20} MiB)")
    version = content[len(_FIRST_LINE) :].split(b"\n", 1)[0].strip()
    if version != b"%d" % PACK_VERSION:
        said = version[:20].decode("utf-8", "replace")
        raise PackBroken(
            f"{name} is a pack of version {said}, and this remapd knows version {PACK_VERSION}; "
            "update remapd"
        )
    if content.split(b"\n", 1)[0].endswith(b"\r"):
        raise PackBroken(
            f"{name} was changed on its way: its line ends are those of another system. Copy the "
            "file itself (on a stick, or as an attachment) and not its text"
        )
    head_end, parts = _parts(content, name)
    fields = _fields(content[:head_end])
    layouts = [each for each in parts if each.kind is PartKind.LAYOUT]
    if len(layouts) != 1:
        raise PackBroken(f"{name} holds {len(layouts)} layouts to begin with, where one belongs")
    language = fields.get("language", "")
    return Pack(
        fields.get("title", ""),
        fields.get("packed", ""),
        fields.get("made-with", ""),
        int(language) if language.isascii() and language.isdigit() else LANGUAGE_VERSION,
        tuple(parts),
    )


def unpack(
    pack: Pack,
    folder: Path,
    *,
    changed: Mapping[str, bytes] | None = None,
    replace: bool = False,
) -> list[Path]:
    """Writes all files but the card below `folder`, which is made; the first path is the layout's.

    Without `replace` nothing is written where one of them is there already; on a full disk nothing
    either, and what is there stays.

    Raises:
        PackBroken: a file is there, or cannot be written.
    """
    contents = {each.name: each.content for each in pack.parts if each.kind is not PartKind.CARD}
    contents |= changed or {}
    layout = pack.layout.name
    names = [layout, *(name for name in contents if name != layout)]
    paths = [folder / name for name in names]
    there = [path for path in paths if os.path.lexists(path)]
    if there and not replace:
        raise PackBroken(
            f"{there[0]} is there already, and nothing is written over; name another folder, or "
            "say --replace"
        )
    written: list[Path] = []
    try:
        for name, path in zip(names, paths, strict=True):
            path.parent.mkdir(parents=True, exist_ok=True)
            beside = path.with_name(f".{path.name}-{os.getpid()}")
            descriptor = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, 0o644)
            written.append(beside)
            with os.fdopen(descriptor, "wb") as file:
                file.write(contents[name])
        for beside, path in zip(written, paths, strict=True):
            beside.replace(path)
    except OSError as error:
        raise PackBroken(f"{path} cannot be written: {error.strerror or error}") from error
    finally:
        for beside in written:
            beside.unlink(missing_ok=True)
    return paths


def is_safe_name(name: str) -> bool:
    """Whether a file of this name lies below the folder that it is unpacked into."""
    steps = name.split("/")
    return (
        0 < len(name) <= _LONGEST_NAME
        and name.isprintable()
        and "\\" not in name
        and all(step not in {"", ".", ".."} for step in steps)
    )


class _Packed(Mapping[Path, bytes]):
    """The contents of a pack by path, and nothing for every other: the disk is not asked."""

    def __init__(self, pack: Pack, changed: Mapping[str, bytes]) -> None:
        self._contents = {each.name: each.content for each in pack.parts} | dict(changed)

    def has(self, path: Path) -> bool:
        return os.path.normpath(path) in self._contents

    def __contains__(self, path: object) -> bool:
        return isinstance(path, Path)

    def __getitem__(self, path: Path) -> bytes:
        return self._contents.get(os.path.normpath(path), b"")

    def __iter__(self) -> Iterator[Path]:
        return map(Path, self._contents)

    def __len__(self) -> int:
        return len(self._contents)


def _fields(head: bytes) -> dict[str, str]:
    """The `name: value` lines at the top."""
    found = {}
    for line in head.decode("utf-8", "replace").splitlines():
        key, colon, value = line.partition(": ")
        if not colon:
            break
        found[key] = value.strip()
    return found


def _parts(content: bytes, name: str) -> tuple[int, list[Part]]:
    """All files, and where the words before them end."""
    first = _ANY_MARK.search(content)
    if first is None:
        raise PackBroken(f"{name} is cut off: it ends before its first file. {_AGAIN}")
    position = first.start()
    parts: list[Part] = []
    while True:
        end = _END.match(content, position)
        if end is not None:
            break
        mark = _PART.match(content, position)
        if mark is None:
            after = f"after {parts[-1].name}" if parts else "at its first file"
            rest = content[position:]
            cut = b"\n" not in rest
            what = f"is cut off {after}" if cut else f"is damaged {after}"
            raise PackBroken(f"{name} {what}. {_AGAIN}")
        part = _part(content, mark, name)
        if any(each.name == part.name for each in parts) or len(parts) >= _MOST_PARTS:
            raise PackBroken(f"{name} is damaged: it names {part.name} twice, or too many files")
        parts.append(part)
        position = mark.end() + len(part.content) + 1
    if hashlib.sha256(content[:position]).hexdigest() != end[1].decode():
        raise PackBroken(
            f"{name} was changed after it was packed (its checksum does not agree). Change the "
            f"files after unpacking, not the pack. {_AGAIN}"
        )
    return first.start(), parts


_AGAIN: Final = "Copy it again from where it comes from, or pack once more."


def _part(content: bytes, mark: re.Match[bytes], name: str) -> Part:
    kind_word, written, size, digest = mark.groups()
    called = written.decode("utf-8", "replace")
    try:
        kind = PartKind(kind_word.decode())
    except ValueError:
        raise PackBroken(
            f"{name} holds “{called}”, of a kind that this remapd does not know; update remapd"
        ) from None
    if not is_safe_name(called):
        raise PackBroken(
            f"{name} must not be unpacked: it names a file outside its folder ({called[:80]!r}). "
            "`remapd pack` does not write such a file; ask whoever gave it to you"
        )
    body = content[mark.end() : mark.end() + int(size)]
    if len(body) < int(size) or content[mark.end() + int(size) :][:1] != b"\n":
        is_short = len(content) < mark.end() + int(size) + 1
        raise PackBroken(f"{name} is {'cut off' if is_short else 'damaged'} in {called}. {_AGAIN}")
    if hashlib.sha256(body).hexdigest() != digest.decode():
        raise PackBroken(
            f"{called} in {name} was changed after it was packed (its checksum does not agree). "
            f"{_AGAIN}"
        )
    return Part(called, kind, body)

"""The way in: a layout file to a built layout and all that is wrong with it. Never raises."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from remapd.diagnostics import Diagnostic, Span
from remapd.engine.layout import Layout
from remapd.language.build import build
from remapd.language.frozen import frozen
from remapd.language.nodes import MappingNode
from remapd.language.reading import Reader, Reading
from remapd.language.reporter import Reporter
from remapd.language.self_contained import self_contained


@dataclass(frozen=True, slots=True)
class Loaded:
    """What became of a layout file."""

    #: None where the file has an error.
    layout: Layout | None
    #: Errors and warnings, file by file, from top to bottom.
    diagnostics: list[Diagnostic] = field(default_factory=list)
    #: Every file that was read, or looked for in vain: what to watch.
    files: tuple[Path, ...] = ()
    #: The texts read, by the names that places bear.
    texts: Mapping[str, str] = field(default_factory=lambda: frozen({}))
    #: One text that means the same with no other file: includes are written out in it.
    self_contained_text: str = ""
    #: Where things stand: ("device", name), ("control", name), ("layer", name), ("tuning", name),
    #: ("verb", name), ("need", word), ("merge", key), ("binding", layer, control, direction or
    #: device), ("chord", layer, "one + other" with its members in alphabetical order).
    places: Mapping[tuple[str, ...], Span] = field(default_factory=lambda: frozen({}))

    @property
    def errors(self) -> list[Diagnostic]:
        """Only what keeps the file from being used."""
        return [each for each in self.diagnostics if each.is_error]


def load(path: Path, instead: Mapping[Path, bytes] | None = None) -> Loaded:
    """Reads, checks and builds a layout file. Never raises, whatever the file holds.

    `instead` are contents to be taken for those of files, by the paths that `Loaded.files` bears:
    what the layout would be if they were written so.
    """
    reporter = Reporter()
    return _loaded(Reader(reporter, instead or {}).file(path), path.stem, reporter)


def load_text(text: str | bytes, name: str = "layout") -> Loaded:
    """The same for a text without a file; `name` is what places in it bear.

    What it includes is looked for beside a file of that name.
    """
    content = text.encode("utf-8", "surrogatepass") if isinstance(text, str) else text
    reporter = Reporter()
    return _loaded(Reader(reporter).text(content, name), Path(name).stem, reporter)


def _loaded(reading: Reading, stem: str, reporter: Reporter) -> Loaded:
    built = None
    if reading.fields is not None:
        built = build(reading.fields, reading.devices, reading.incomplete, stem, reporter)
    layout = built.layout if built is not None and not reporter.has_errors else None
    texts = {name: source.text for name, source in reporter.texts.items()}
    own = texts.get(reading.names[0], "") if reading.names else ""
    if isinstance(reading.root, MappingNode) and len(reading.names) > 1:
        own = self_contained(reading.root, reading.devices, own)
    return Loaded(
        layout,
        reporter.in_order(reading.names),
        tuple(dict.fromkeys(reading.files)),
        frozen(texts),
        own,
        frozen(built.places if built is not None else {}),
    )

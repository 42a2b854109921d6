"""Draw a layout as a card for the wall, or say it in words, or fill in the hand-over sheet."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path

from remapd.cli.failure import CommandFailed
from remapd.cli.layout_file import layout_of_file
from remapd.cli.written_file import is_page, keep_inputs, keep_others, write_whole

_FORMATS = ("html", "svg", "pdf", "text")
_SUFFIXES = {".html": "html", ".htm": "html", ".svg": "svg", ".pdf": "pdf", ".txt": "text"}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the layout, the paper, and the form of the card."""
    parser.add_argument("layout", type=Path, metavar="LAYOUT", help="the layout file")
    parser.add_argument(
        "-o",
        "--output",
        type=Path,
        metavar="FILE",
        help="write it there; `-` prints it (default: NAME-card.html here; text is printed)",
    )
    parser.add_argument(
        "--paper", choices=("a4", "letter"), default="a4", help="the paper (default: a4)"
    )
    parser.add_argument(
        "--format",
        choices=_FORMATS,
        help="svg: a file a page; text: the same in words (default: by the name of FILE, or html)",
    )
    parser.add_argument(
        "--sheet",
        action="store_true",
        help="in place of the card the hand-over sheet, with what the layout knows filled in; HTML "
        "(default: NAME-sheet.html here)",
    )
    parser.set_defaults(wrong_usage=parser.error)


def run(args: argparse.Namespace) -> int:
    """Make the card and say where it is."""
    form = args.format or _form_by_name(args)
    keep_inputs(args.output, args.layout)
    layout = layout_of_file(args.layout)
    if args.sheet:
        from remapd.show.hand_over import sheet_of

        if form != "html":
            args.wrong_usage("--sheet is HTML; leave --format out, and end FILE in .html")
        output = args.output or Path(f"{args.layout.stem}-sheet.html")
        return _give(output, [sheet_of(layout, args.layout).encode()], is_page)

    from remapd.show.card_model import card_of

    card = card_of(layout)
    for notice in card.notices:
        print(f"remapd: note: {args.layout}: {notice}", file=sys.stderr)
    if form == "text":
        from remapd.show.card_text import as_text

        words = as_text(card).encode()
        first = words.partition(b"\n")[0]
        return _give(args.output, [words], lambda head: head.partition(b"\n")[0] == first)

    from remapd.show.card_html import as_html
    from remapd.show.card_pages import pages_of
    from remapd.show.card_svg import page_file

    pages = pages_of(card, args.paper)
    output = args.output or Path(f"{args.layout.stem}-card.{form}")
    if form == "html":
        return _give(output, [as_html(card, pages, args.paper).encode()], is_page)
    files = [page_file(card, page, n, len(pages)) for n, page in enumerate(pages, 1)]
    if form == "svg":
        if len(files) > 1 and output == Path("-"):
            raise CommandFailed(
                f"this card has {len(files)} pages, and an SVG file holds one; name a file"
            )
        return _give(output, [file.encode() for file in files], _is_drawing)

    from remapd.show.card_pdf import PdfUnavailableError, as_pdf

    try:
        return _give(output, [as_pdf(files)], lambda head: head.startswith(b"%PDF"))
    except PdfUnavailableError as error:
        raise CommandFailed(str(error)) from error


def _form_by_name(args: argparse.Namespace) -> str:
    if args.output is None or args.output == Path("-"):
        return "html"
    suffix = args.output.suffix.lower()
    if suffix not in _SUFFIXES:
        args.wrong_usage(
            f"the form cannot be told from `{args.output.name}`; end it in .html, .svg, .pdf or "
            ".txt, or say --format"
        )
    return _SUFFIXES[suffix]


def _is_drawing(head: bytes) -> bool:
    return b"<svg" in head


def _give(output: Path | None, files: list[bytes], is_its_kind: Callable[[bytes], bool]) -> int:
    """Write the files, numbered where there are several, or print the one that there is.

    What is there already is replaced where it is a file of its kind, which an old card is.
    """
    if output is None or output == Path("-"):
        sys.stdout.buffer.write(files[0])
        sys.stdout.buffer.flush()
        return 0
    paths = [output]
    if len(files) > 1:
        paths = [output.with_stem(f"{output.stem}-{number}") for number in range(1, len(files) + 1)]
    for path in paths:
        keep_others(path, is_its_kind, "a card of this form")
    for path, content in zip(paths, files, strict=True):
        write_whole(path, content)
        print(f"written: {path}")
    return 0

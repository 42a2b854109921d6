"""The pages of a card as one PDF, by CairoSVG, which need not be installed."""

from __future__ import annotations

import importlib
import unicodedata
from collections.abc import Sequence
from io import BytesIO
from typing import Any, Final

_POINTS_A_MILLIMETRE: Final = 72 / 25.4
#: Classes of letters that have to be joined or turned round to be read, which Cairo's own text
#: does not do.
_FROM_RIGHT: Final = frozenset({"R", "AL", "AN"})


class PdfUnavailableError(Exception):
    """PDF cannot be written here; the text says why, and what to do instead."""


def as_pdf(pages: Sequence[str]) -> bytes:
    """A PDF of these SVG files, one a page.

    Raises:
        PdfUnavailableError: the library is missing, or the letters are beyond it.
    """
    cairo, surface = _libraries()
    if any(unicodedata.bidirectional(letter) in _FROM_RIGHT for page in pages for letter in page):
        raise PdfUnavailableError(
            "the PDF writer cannot set words that run from the right; make --format html and "
            "print that to PDF in a browser"
        )
    stream = BytesIO()
    document = cairo.PDFSurface(stream, 1, 1)

    class Sheet(surface.PDFSurface):  # type: ignore[misc, name-defined]
        """A page of the one document, where the library makes a document for each."""

        def _create_surface(self, width: float, height: float) -> tuple[Any, float, float]:
            document.set_size(width, height)
            return document, width, height

    tree = importlib.import_module("cairosvg.parser").Tree
    for page in pages:
        Sheet(tree(bytestring=page.encode()), None, 96)
        document.show_page()
    document.finish()
    return stream.getvalue()


def _libraries() -> tuple[Any, Any]:
    try:
        return importlib.import_module("cairocffi"), importlib.import_module("cairosvg.surface")
    except ModuleNotFoundError as error:
        raise PdfUnavailableError(
            f"PDF needs the Python package `{error.name}`; install it with: "
            "pip install 'remapd[pdf]', or make --format html and print that in a browser"
        ) from error
    except OSError as error:  # the package is there, the library that it calls is not
        raise PdfUnavailableError(
            "PDF needs the library libcairo2 (on Debian: apt install libcairo2), "
            "or make --format html and print that in a browser"
        ) from error

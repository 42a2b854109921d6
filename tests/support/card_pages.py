"""Drawn pages of a card as a person sees them: what stands where, and what runs into what."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from remapd.show.card_marks import Box, Text
from remapd.show.card_pages import MARGIN, Page

#: Above and below the baseline, in em: the reach of most letters.
_ABOVE, _BELOW = 0.74, 0.2
#: Less than this is a matter of rounding, in millimetres.
_NOTICEABLE = 0.05


@dataclass(frozen=True)
class Area:
    """The room that a text takes."""

    left: float
    top: float
    right: float
    bottom: float
    text: str

    def overlaps(self, other: Area) -> bool:
        """Whether both stand in one place."""
        across = min(self.right, other.right) - max(self.left, other.left)
        along = min(self.bottom, other.bottom) - max(self.top, other.top)
        return across > _NOTICEABLE and along > _NOTICEABLE


def texts(page: Page) -> list[Text]:
    """All texts of a page."""
    return [mark for mark in page.marks.marks if isinstance(mark, Text)]


def areas(page: Page) -> list[Area]:
    """The room that each text takes."""
    return [
        Area(
            each.left,
            each.y - _ABOVE * each.size,
            each.right,
            each.y + _BELOW * each.size,
            each.text,
        )
        for each in texts(page)
        if each.text
    ]


def outside(page: Page) -> list[Area]:
    """Texts that reach beyond what a printer prints."""
    return [
        each
        for each in areas(page)
        if each.left < MARGIN - _NOTICEABLE
        or each.right > page.width - MARGIN + _NOTICEABLE
        or each.top < MARGIN - _NOTICEABLE
        or each.bottom > page.height - MARGIN + _NOTICEABLE
    ]


def collisions(page: Page) -> Iterator[tuple[Area, Area]]:
    """Texts that stand over each other."""
    found = sorted(areas(page), key=lambda each: each.top)
    for number, first in enumerate(found):
        for second in found[number + 1 :]:
            if second.top >= first.bottom:
                break
            if first.overlaps(second):
                yield first, second


def across_frames(page: Page) -> Iterator[tuple[Area, Box]]:
    """Texts that cross a side of a frame or a tag in which they begin."""
    boxes = [mark for mark in page.marks.marks if isinstance(mark, Box) and mark.height > 1.0]
    for area in areas(page):
        for box in boxes:
            begins = box.x <= area.left <= box.x + box.width
            within = box.y <= (area.top + area.bottom) / 2 <= box.y + box.height
            if begins and within and area.right > box.x + box.width + _NOTICEABLE:
                yield area, box


def words(page: Page) -> set[str]:
    """Every word on a page."""
    return {word for each in texts(page) for word in each.text.split()}

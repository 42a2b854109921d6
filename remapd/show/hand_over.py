"""The hand-over sheet, filled in as far as the layout knows: the rest is for a pen.

`data/hand-over-sheet.html` is made of docs/hand-over-sheet.md. Its fields are found by their words.
"""

from __future__ import annotations

from collections.abc import Iterator
from importlib import resources
from pathlib import Path
from typing import Final

from remapd.engine.layout import Device, Layout
from remapd.engine.pad_controls import HELPER
from remapd.show.card_words import spoken
from remapd.show.markup import Markup, joined, plain, tag

_EMPTY_ROW: Final = f"<tr>{'<td></td>' * 4}</tr>"
#: So many controls have a row each; of a device with more the whole has one.
_MOST_ROWS: Final = 8


def sheet_of(layout: Layout, path: Path) -> str:
    """The whole sheet as HTML."""
    data = resources.files("remapd.show").joinpath("data/hand-over-sheet.html")
    page = data.read_text(encoding="utf-8")
    helpers = [spoken(each.name) for each in layout.devices if each.person == HELPER]
    answers = {
        "This set-up is for the game": layout.notes or layout.title,
        "Who plays along, and who has the last word": f"with: {', '.join(helpers)}; last word: "
        if helpers
        else "",
        "Layout (file)": f"{path.name}: {layout.title}",
    }
    for label, answer in answers.items():
        field = f'<th scope="row">{label}</th><td>'
        page = page.replace(f"{field}</td>", f"{field}{plain(answer)}</td>", 1)
    rows = list(_rows(layout))
    empty = page.count(_EMPTY_ROW)
    rows += [Markup(_EMPTY_ROW)] * (empty - len(rows))
    before, _, rest = page.partition(_EMPTY_ROW)
    return before + joined(rows) + rest.replace(_EMPTY_ROW, "")


def _rows(layout: Layout) -> Iterator[Markup]:
    """What the player moves, on which device, and where that goes."""
    for device in layout.devices:
        names = [spoken(layout.controls[number].name) for number in device.controls]
        if device.gamepad or len(names) > _MOST_ROWS:
            names = [spoken(device.name)]
        for name in names:
            who = f"{name} (helper)" if device.person == HELPER else name
            yield tag(
                "tr",
                *(tag("td", plain(cell)) for cell in (who, _looks_like(device), _goes(device), "")),
            )


def _looks_like(device: Device) -> str:
    """What kind of thing it is, by what the layout looks for."""
    find = device.find
    if find.name is not None:
        return find.name.rstrip("*").strip()
    return f"any {find.shape}" if find.shape is not None else spoken(device.name)


def _goes(device: Device) -> str:
    """Which one it is where there are several alike."""
    if device.find.serial is not None:
        return f"serial number {device.find.serial}"
    return device.find.port or ""

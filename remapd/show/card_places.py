"""Where each control stands on a card: as the layout's `place` says, or by itself."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, TypeVar

from remapd.engine.layout import Layout

T = TypeVar("T")

#: Where the controls of a whole gamepad stand, as the Linux gamepad specification has them.
PAD_PLACES: Final[Mapping[str, tuple[int, int]]] = {
    "left-trigger": (1, 1),
    "right-trigger": (7, 1),
    "left-shoulder": (1, 2),
    "select": (3, 2),
    "mode": (4, 2),
    "start": (5, 2),
    "right-shoulder": (7, 2),
    "dpad": (2, 4),
    "dpad-up": (2, 3),
    "dpad-left": (1, 4),
    "dpad-right": (3, 4),
    "dpad-down": (2, 5),
    "north": (6, 3),
    "west": (5, 4),
    "east": (7, 4),
    "south": (6, 5),
    "left-stick": (2, 6),
    "left-stick-press": (3, 6),
    "right-stick": (6, 6),
    "right-stick-press": (7, 6),
}
#: A column that nothing stands in is so much narrower than one with controls.
_GAP: Final = 0.2
_WIDEST_GAP: Final = 0.5


@dataclass(frozen=True, slots=True)
class Grid:
    """Controls in columns and rows.

    `columns` are (left, width) in shares of the whole width; `rows` hold (column, control) each.
    """

    columns: tuple[tuple[float, float], ...]
    rows: tuple[tuple[tuple[int, int], ...], ...]

    def divided(self, across: int, along: int) -> Sequence[Grid]:
        """It in so many pieces beside and below each other, those without a control left out."""
        pieces = []
        for rows in _shared_out(self.rows, along):
            for kept in _shared_out(range(len(self.columns)), across):
                held = [[(n, control) for n, control in row if n in kept] for row in rows]
                if any(held):
                    pieces.append(self._piece(kept, [row for row in held if row]))
        return pieces

    def _piece(self, kept: Sequence[int], rows: Sequence[Sequence[tuple[int, int]]]) -> Grid:
        """Some columns of it, as far from each other as they were."""
        used = [n for n in kept if any(n == number for row in rows for number, _ in row)]
        first, last = self.columns[used[0]], self.columns[used[-1]]
        whole = last[0] + last[1] - first[0]
        return Grid(
            tuple(
                ((left - first[0]) / whole, share / whole)
                for left, share in (self.columns[number] for number in used)
            ),
            tuple(tuple((used.index(n), control) for n, control in row) for row in rows),
        )


def _shared_out(items: Sequence[T], count: int) -> Sequence[Sequence[T]]:
    """Items in so many groups, or fewer, of nearly one size."""
    each = -(-len(items) // count)
    return [items[at : at + each] for at in range(0, len(items), each)]


def arrange(layout: Layout, shown: Sequence[int]) -> tuple[Grid, list[str]]:
    """The grid of the controls that are shown, and notes on places that cannot be used."""
    places, notes = _written_places(layout, shown)
    if not places:
        places = _places_by_device(layout, shown)
    first_free = max((row for _, row in places.values()), default=0.0) + 1
    left_over = [number for number in shown if number not in places]
    across = max(len({column for column, _ in places.values()}), 3)
    first_column = min((column for column, _ in places.values()), default=1.0)
    for count, number in enumerate(left_over):
        places[number] = (first_column + count % across, first_free + count // across)
    return _grid(places), notes


def _written_places(
    layout: Layout, shown: Sequence[int]
) -> tuple[dict[int, tuple[float, float]], list[str]]:
    by_name: dict[str, int | None] = {}
    for number, control in enumerate(layout.controls):
        device = layout.devices[control.device].name
        short = control.name.removeprefix(f"{device}.")
        by_name[short] = None if short in by_name else number
        by_name[f"{device}.{short}"] = number
    places: dict[int, tuple[float, float]] = {}
    taken: dict[tuple[float, float], str] = {}
    notes = []
    for name, written in layout.place.items():
        found = by_name.get(name)
        place = _place(written)
        if found is None:
            why = "several devices have it" if name in by_name else "there is no such control"
            notes.append(f"place: `{name}` is left out: {why}")
        elif place is None:
            notes.append(f"place: `{name}` is not [column, row] as in [2, 1]; placed for you")
        elif place in taken:
            notes.append(f"place: `{name}` is where `{taken[place]}` is; placed for you")
        else:
            taken[place] = name
            if found in shown:
                places[found] = place
    return places, notes


def _place(written: object) -> tuple[float, float] | None:
    if not isinstance(written, list | tuple) or len(written) != 2:
        return None
    numbers = []
    for each in written:
        if isinstance(each, bool) or not isinstance(each, int | float) or not math.isfinite(each):
            return None
        numbers.append(float(each))
    return numbers[0], numbers[1]


def _places_by_device(layout: Layout, shown: Sequence[int]) -> dict[int, tuple[float, float]]:
    """Device below device: a gamepad as it is laid out, others in rows."""
    places: dict[int, tuple[float, float]] = {}
    row = 1.0
    for index, device in enumerate(layout.devices):
        numbers = [number for number in shown if layout.controls[number].device == index]
        if not numbers:
            continue
        if device.gamepad and len(numbers) > 4:
            own = {
                n: PAD_PLACES[layout.controls[n].name.removeprefix(f"{device.name}.")]
                for n in numbers
            }
            places.update({n: (float(x), row + y) for n, (x, y) in own.items()})
            row += max(y for _, y in own.values()) + 1
            continue
        across = _across(len(numbers))
        for count, number in enumerate(numbers):
            places[number] = (1.0 + count % across, row + count // across)
        row += math.ceil(len(numbers) / across)
    return places


def _across(count: int) -> int:
    """In how many columns so many controls stand best."""
    if count <= 4:
        return count
    return min(8, math.ceil(math.sqrt(count * 1.5)))


def _grid(places: Mapping[int, tuple[float, float]]) -> Grid:
    xs = sorted({x for x, _ in places.values()})
    ys = sorted({y for _, y in places.values()})
    starts: list[float] = []
    at = 0.0
    for before, x in zip([None, *xs], xs, strict=False):
        if before is not None:
            at += 1.0 + min(_WIDEST_GAP, _GAP * max(0.0, x - before - 1.0))
        starts.append(at)
    whole = at + 1.0
    columns = tuple((start / whole, 1.0 / whole) for start in starts)
    rows = tuple(
        tuple(sorted((xs.index(x), number) for number, (x, y) in places.items() if y == row))
        for row in ys
    )
    return Grid(columns, rows)

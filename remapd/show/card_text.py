"""A card in words: the same as the picture, for those who hear it or cannot print it."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

from remapd.show.card_model import Card, Cell, Panel, WholeDevice, person_name, sentence
from remapd.show.card_ways import ways_of

WIDTH = 80
CAUTION = "Rest before it tires. Stop at pain, tingling or numbness."


@dataclass(frozen=True, slots=True)
class Section:
    """A heading, what stands below it, and a list."""

    heading: str
    text: str = ""
    items: tuple[str, ...] = ()


def sections(card: Card) -> list[Section]:
    """The whole card, the title and notes left out."""
    found = [
        Section(
            "Who holds what",
            items=tuple(f"{name}: {', '.join(held)}" for name, held in card.people),
        )
    ]
    if card.rules:
        found.append(Section("When both play", items=card.rules))
    found += [panel_section(card, panel) for panel in card.panels]
    ways = tuple(ways_of(card.layout))
    if ways:
        found.append(Section("How to do each thing, one step after the other", items=ways))
    found.append(Section("To pause", CAUTION, card.pauses))
    return found


def panel_section(card: Card, panel: Panel) -> Section:
    """One layer in words."""
    order = panel.order
    text = f"To get there: {order.get_there}." if order.get_there else ""
    if order.number == 0:
        text = f"{order.get_there[:1].upper()}{order.get_there[1:]}." if order.get_there else ""
    if order.get_away:
        text += f" To get back: {order.get_away}."
    if panel.hears:
        text += f" One hears “{panel.hears}”."
    in_order = [number for row in card.grid.rows for _, number in row]
    items = [_cell_words(card, panel.cells[number]) for number in in_order]
    items += [_cell_words(card, chord, " together") for chord in panel.chords]
    items += [_device_words(card, panel, device) for device in panel.devices]
    return Section(f"Layer {panel.name}", text.strip(), tuple(items))


def _cell_words(card: Card, cell: Cell, more: str = "") -> str:
    holder = f" ({person_name(cell.person)})" if card.is_for_two else ""
    lines = []
    for each in cell.lines:
        came = "" if each.from_layer is None else f" [from {card.layer_name(each.from_layer)}]"
        lines.append(sentence(each.line) + came)
    return f"{cell.name}{more}{holder}: {'; '.join(lines) or 'nothing'}"


def _device_words(card: Card, panel: Panel, device: WholeDevice) -> str:
    holder = f" ({person_name(device.person)})" if card.is_for_two else ""
    told = "; ".join(device.others)
    if not panel.order.number:
        but = f", but: {told}" if told else ""
        return f"{device.name}{holder}: {device.in_words('')}{but}"
    rest = device.in_words(card.layer_name(0))
    return f"{device.name}{holder}: {told}; {rest}" if told else f"{device.name}{holder}: {rest}"


def as_text(card: Card) -> str:
    """The card as plain text."""
    lines = [*_wrapped(card.title), *_wrapped(card.notes)]
    for section in sections(card):
        lines += ["", section.heading, *_wrapped(section.text, "  ")]
        for item in section.items:
            lines += _wrapped(item, "    ", "  - ")
    return "\n".join(lines).replace("\u00a0", " ").rstrip() + "\n"


def _wrapped(text: str, indent: str = "", first: str | None = None) -> list[str]:
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=indent if first is None else first,
        subsequent_indent=indent,
        break_on_hyphens=False,
    )

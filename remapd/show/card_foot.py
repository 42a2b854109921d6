"""The foot of a card's page: the way to pause, who plays, the pad, and what the signs mean."""

from __future__ import annotations

from typing import Final

from remapd.show.card_marks import BLACK, GREY, WHITE, Block, Box, Text, labelled, paragraph
from remapd.show.card_model import Card
from remapd.show.card_pad import pad_block
from remapd.show.card_text import CAUTION
from remapd.show.text_width import width

#: The size of what is read from near, in millimetres.
_NEAR: Final = 3.7
_SIGNS: Final = 3.2
#: Between what is told at the left and the pad at the right.
_BETWEEN: Final = 8.0
#: The pad takes so much of the width at the most.
_PADS_SHARE: Final = 0.56


def foot(card: Card, room: float) -> Block:
    """The way to pause at the left, the pad at the right, and what the signs mean below."""
    told = _pause_words(card, room - _PADS_SHARE * room - _BETWEEN)
    pad = pad_block(card.pad, _PADS_SHARE * room, told.height)
    told = _pause_words(card, room - pad.width - _BETWEEN if pad.height else room)
    legend = _legend(card)
    block = Block(room, 2.6, [Box(0.0, 0.0, room, 0.3, BLACK)])
    block.put(told, 0.0, block.height)
    block.put(pad, room - pad.width, block.height)
    below = told.height + 2.0 + legend.height
    if legend.width <= told.width and below <= pad.height:
        block.put(legend, 0.0, block.height + pad.height - legend.height)
        block.height += pad.height
    else:
        block.height += max(told.height, pad.height)
        block.put_below(legend, gap=2.0)
    return block


def _pause_words(card: Card, room: float) -> Block:
    block = Block(room)
    block.put_below(paragraph("To pause", 5.6, room, bold=True))
    for text in card.pauses:
        label, _, rest = text.partition(": ")
        block.put_below(labelled(f"{label}:", rest, _NEAR, room), gap=0.8)
    block.put_below(paragraph(CAUTION, _NEAR, room, bold=True), gap=1.4)
    for count, (person, held) in enumerate(card.people):
        block.put_below(
            labelled(f"{person.capitalize()}:", ", ".join(held), _NEAR, room),
            gap=0.3 if count else 1.6,
        )
    for rule in card.rules:
        label, _, rest = rule.partition(": ")
        block.put_below(labelled(f"{label}:", rest, _NEAR, room), gap=0.3)
    return block


def _legend(card: Card) -> Block:
    """What the signs mean, as far as they stand on the card."""
    high = 1.3 * _SIGNS
    block = Block(0.0)
    if len(card.panels) > 1:
        sample = width("word", _SIGNS, bold=True) + 1.6
        word = Block(sample, high, [Box(0.0, 0.0, sample, high, BLACK)])
        word.marks.append(Text(0.8, 0.95 * _SIGNS, "word", _SIGNS, True, WHITE))
        _explain(block, word, "another layer")
        dashed = Box(0.0, 0.1, 8.0, 1.2 * _SIGNS, "none", 0.25, "0.9 0.9")
        _explain(block, Block(8.0, high, [dashed]), "passed through from the layer below")
    if card.is_for_two:
        outer = Box(0.0, 0.0, 8.0, high, "none", 0.4)
        inner = Box(0.7, 0.7, 6.6, high - 1.4, "none", 0.25)
        _explain(block, Block(8.0, high, [outer, inner]), "held by the helper")
    return block


def _explain(block: Block, sign: Block, text: str) -> None:
    """A sign and what it means, beside those that are there."""
    x = block.width + (6.0 if block.width else 0.0)
    block.put(sign, x, 0.0)
    x += sign.width + 1.2
    block.marks.append(Text(x, 0.95 * _SIGNS, text, _SIGNS, ink=GREY))
    block.width = x + width(text, _SIGNS)
    block.height = sign.height

"""Plans in which one or two switches choose from a list that is gone through."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final, NamedTuple

from remapd.fitting.body import Body, Slot, word_of
from remapd.fitting.doings import Doing, Layered, Listed, ShortLong, Stick
from remapd.fitting.draft import Draft
from remapd.fitting.games import Use
from remapd.fitting.plans import BASE, Plan
from remapd.fitting.sticks import give_sticks, swap_name
from remapd.fitting.wants import Want, button_wants, given, ways_of

#: So long a list may be before it is parted: each item has to be waited for, or passed by.
_LONGEST_LIST: Final = 6
#: Of a list in parts, the first is filled up to so many, the ways to the others among them.
_FIRST_LIST: Final = 5

_DEEDS: Final = "deeds-list"
#: The items of a list, with the name that it has where it is one of several.
Part = tuple[str, list[Doing]]


class _Switches(NamedTuple):
    """What works a list.

    Attributes:
        key: Which way of working it this is.
        opens: The switch that opens it, and goes on or takes.
        takes: The switch that takes; None: the one that opens, in time.
        short: Whether a short press of the one that opens does a deed, and a long one opens.
    """

    key: str
    opens: Slot
    takes: Slot | None = None
    short: bool = False


def listed_plans(body: Body) -> Iterator[Plan]:
    """A list that moves on in time, one that is moved by hand, and one behind a long press."""
    for switches in _ways_of_working(body):
        listing = _Listing(body, switches)
        plan = listing.plan()
        if plan is not None:
            yield plan


def _ways_of_working(body: Body) -> Iterator[_Switches]:
    pedals = {word_of(pedal, body.setup) for pedal, _ in give_sticks(body).pedals}
    slots = [slot for slot in body.sure_slots if slot.word not in pedals]
    if len(slots) > 1:
        yield _Switches("list-by-hand", slots[1], slots[0])
    if slots:
        # The surest is for the deed that cannot wait, where there is another one for the list.
        yield _Switches("list-in-time", slots[-1])
    if slots and slots[0].can_hold:
        yield _Switches("deed-or-list", slots[0], short=True)


class _Listing:
    """One list, or several of which the first leads to the others."""

    def __init__(self, body: Body, switches: _Switches) -> None:
        self._setup = body.setup
        self._switches = switches
        self._draft = Draft(body.setup)
        self._sticks = give_sticks(body)
        pedals = {word_of(pedal, body.setup) for pedal, _ in self._sticks.pedals}
        self._others = [
            slot
            for slot in body.slots
            if slot.word not in pedals and slot not in (switches.opens, switches.takes)
        ]
        carried = self._sticks.carried
        buttons = [want for want in button_wants(self._setup.game) if want.verb.name not in carried]
        directions = [want for verb in self._sticks.left for want in ways_of(verb)]
        self._wants = [*directions, *buttons]
        self._first: Want | None = None

    def plan(self) -> Plan | None:
        """The plan; None where there is nothing to put into a list."""
        opens, takes = self._switches.opens, self._switches.takes
        self._give_sticks()
        if takes is not None or self._switches.short:
            self._first = self._take_out_first()
            if self._first is None and self._switches.short:
                return None
        for slot in self._others:
            want = self._take_out_first()
            if want is not None:
                self._draft.give(BASE, slot, want)
        if takes is not None and self._first is not None:
            self._draft.give(BASE, takes, self._first)
        parts = self._parts(takes or opens)
        if sum(len(items) for _, items in parts) < 2:
            return None
        self._bind(parts)
        return self._draft.plan(self._switches.key, *self._words())

    def _give_sticks(self) -> None:
        swapped = {word_of(stick, self._setup) for stick, _ in self._sticks.swaps}
        for word, (_, verb) in self._sticks.whole.items():
            self._draft.bind(BASE, word, Stick(verb.name, centred=word in swapped))
        for pedal, verb in self._sticks.pedals:
            self._draft.bind(BASE, word_of(pedal, self._setup), Stick(verb.name))
        for stick, verb in self._sticks.swaps:
            name = swap_name(verb)
            self._draft.bind(name, word_of(stick, self._setup), Stick(verb.name, centred=True))
            self._draft.said[name] = verb.name
            self._draft.told[name] = "Until it is taken from the list again."

    def _take_out_first(self) -> Want | None:
        """The first thing that a press of its own is good for, in haste before others."""
        fit = [want for want in self._wants if not want.way and not want.verb.deliberate]
        fit.sort(key=lambda want: (not want.verb.in_haste, want.verb.use is not Use.TAPPED))
        if not fit:
            return None
        self._wants.remove(fit[0])
        return fit[0]

    def _parts(self, taking: Slot) -> list[Part]:
        """The items by what they are about: a list for each stick's verb, one for the deeds."""
        order = {verb.name: n for n, verb in enumerate(self._setup.game.verbs)}
        self._wants.sort(key=lambda want: (want.verb.deliberate, order[want.verb.name]))
        deeds: list[Doing] = [Layered(swap_name(verb), "toggle") for _, verb in self._sticks.swaps]
        parts: dict[str, list[Doing]] = {}
        for want in self._wants:
            # An item is all that can be pressed while it lasts.
            doing = given(self._setup, want, can_hold=taking.can_hold, alone=True)
            if want.way:
                parts.setdefault(f"{want.verb.name}-list", []).append(doing)
            else:
                deeds.append(doing)
        return [*parts.items(), *([(_DEEDS, deeds)] if deeds else [])]

    def _bind(self, parts: list[Part]) -> None:
        """One list; or the first part, and behind it the ways to lists of the others."""
        lists: dict[str, list[Doing]] = {}
        if sum(len(items) for _, items in parts) <= _LONGEST_LIST:
            lists[BASE] = [item for _, items in parts for item in items]
        else:
            parts = _levelled(parts)
            openers = [Layered(name, "toggle") for name, _ in parts[1:]]
            lists[BASE] = [*parts[0][1], *openers]
            for (name, items), opener in zip(parts[1:], openers, strict=True):
                lists[name] = [*items, replace(opener, is_back=True)]
                self._draft.said[name] = name
                self._draft.told[name] = "A list of its own, until its last item leads back."
        self._draft.told[BASE] = "Always there."
        for layer, items in lists.items():
            takes = self._switches.takes
            listed: Doing = Listed(tuple(items), None if takes is None else takes.word)
            if self._first is not None and self._switches.short:
                # Let go at once, so a short press must not have to be held.
                listed = ShortLong(given(self._setup, self._first, can_hold=False), listed)
            self._draft.bind(layer, self._switches.opens.word, listed)

    def _words(self) -> tuple[str, str]:
        """The plan in one sentence, and how it is played."""
        opens, takes = self._switches.opens.told, self._switches.takes
        first = self._first.told if self._first is not None else ""
        if takes is not None:
            told = (
                f"{opens} goes through a list, item by item; {takes.told} takes what was announced."
            )
            at_once = f" Outside the list {takes.told} means {first}." if first else ""
            return told, f"{told}{at_once} Nothing moves on by itself, so nothing hurries."
        if self._switches.short:
            told = (
                f"A short press of {opens} means {first}; a long one opens a list of the rest, "
                "which moves on by itself."
            )
            return told, f"{told} While it runs, a press takes what was announced."
        told = f"{opens} opens a list that moves on by itself, and takes what was announced."
        return told, f"{told} Twice round, and the list closes."


def _levelled(parts: list[Part]) -> list[Part]:
    """Parts of which none is too long, the first filled up from the last where it is short."""
    first, last = parts[0], parts[-1]
    if len(parts) == 1:
        half = (len(first[1]) + 1) // 2
        return [(first[0], first[1][:half]), ("more-list", first[1][half:])]
    room = _FIRST_LIST - len(first[1]) - (len(parts) - 1)
    moved = max(0, min(room, len(last[1]) - 2))
    parts = [(first[0], [*first[1], *last[1][:moved]]), *parts[1:-1], (last[0], last[1][moved:])]
    if len(parts[-1][1]) > _LONGEST_LIST:
        name, items = parts.pop()
        half = (len(items) + 1) // 2
        parts += [(name, items[:half]), ("more-list", items[half:])]
    return parts

"""Plans in which every control does one thing at a time, in one layer or in several."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from remapd.fitting.body import KICKS, Body, Slot, word_of
from remapd.fitting.doings import Do, Doing, Layered, Nothing, Round, ShortLong, Stick
from remapd.fitting.draft import Draft
from remapd.fitting.games import Use, Verb
from remapd.fitting.handing import handed, keys_last
from remapd.fitting.plans import BASE, Plan
from remapd.fitting.sticks import give_sticks, spoken_stick, swap_name
from remapd.fitting.wants import Want, button_wants, ways_of

MORE, FURTHER, BEYOND = "more", "further", "beyond"
#: So many layers one key goes round through at the most: nobody keeps more of them in mind.
_MOST_LAYERS: Final = 4
_COUNTED: Final = ("no press", "one press", "two presses", "three presses")


#: The ways of opening layers: none; one control; one for each layer; one behind the deed of a
#: control, by a long press; one that goes round through all of them.
_KEYS: Final[Mapping[str, tuple[str, ...]]] = {
    "none": ("",),
    "one": ("next", "toggle", "hold"),
    "each": ("next", "toggle", "hold"),
    "behind": ("next", "toggle"),
    "round": ("",),
}


def layered_plans(body: Body) -> Iterator[Plan]:
    """Every plan of this kind that has a place for all that the game needs."""
    if not body.slots and not body.sticks:
        return
    for keys, hows in _KEYS.items():
        for how in hows:
            layering = _Layering(body, keys, how)
            if layering.made():
                yield layering.plan()


class _Layering:
    """One way of laying out the layers."""

    def __init__(self, body: Body, keys: str, how: str) -> None:
        self._body = body
        self._setup = body.setup
        self._keys = keys
        self._how = how
        self._draft = Draft(body.setup)
        self._sticks = give_sticks(body)
        self._kicked: set[str] = set()
        pressed = {word_of(pedal, body.setup) for pedal, _ in self._sticks.pedals}
        self._slots = [slot for slot in body.slots if slot.word not in pressed]
        self._groups: list[tuple[Want, ...]] = [(want,) for want in button_wants(self._setup.game)]
        self._groups = [g for g in self._groups if g[0].verb.name not in self._sticks.carried]
        directions = [ways_of(verb) for verb in self._sticks.left]
        self._groups = self._in_order(directions)
        self._key_slots: list[Slot] = []
        self._opened_by: dict[str, str] = {}
        self._pause_by_key: Want | None = None

    def _in_order(self, directions: list[tuple[Want, ...]]) -> list[tuple[Want, ...]]:
        """Directions first where they and a deed fit beside a key; else after what is in haste."""
        room = len(self._slots) - 1
        hasty = [group for group in self._groups if group[0].verb.in_haste]
        calm = [group for group in self._groups if group not in hasty]
        if directions and room >= len(directions[0]):
            return [directions[0], *hasty, *directions[1:], *calm]
        return [*hasty, *directions, *calm]

    # ------------------------------------------------------------------ making

    def made(self) -> bool:
        """Whether everything found a place."""
        swaps = len(self._sticks.swaps)
        wants = sum(len(group) for group in self._groups)
        overflows = wants > len(self._slots)
        if self._keys == "none":
            plain = [group for group in self._groups if not group[0].verb.deliberate]
            fits = sum(len(group) for group in plain) <= len(self._slots)
            return not swaps and fits and self._direct()
        if not swaps and not overflows and not self._pause_must_go():
            return False  # without a key it is simpler
        openers = swaps + 1
        if self._keys == "round":
            count = 1
        elif self._keys == "behind":
            count = 1
            if swaps:
                return False
        elif self._keys == "one":
            count = 1
            if openers > 2 or (openers == 2 and self._how == "hold"):
                return False
        else:
            count = openers
            if openers < 2:
                return False
        keys = self._choose_keys(count)
        if keys is None:
            return False
        self._key_slots = keys
        if self._keys != "behind":
            self._slots = [slot for slot in self._slots if slot not in keys]
        return self._filled()

    def _pause_must_go(self) -> bool:
        """Whether something that should be guarded would stand on a switch of its own, bare."""
        return any(group[0].verb.deliberate for group in self._groups) and not any(
            slot.can_hold for slot in self._slots
        )

    def _choose_keys(self, count: int) -> list[Slot] | None:
        """The last of the sure controls: the very first are for what cannot wait."""
        sure = [slot for slot in self._slots if slot.reliable] or list(self._slots)
        if len(sure) < count:
            return None
        keys = keys_last(sure, ways_needed=bool(self._sticks.left))[-count:]
        if self._how == "hold" and not (
            self._setup.two_at_once and all(slot.can_hold for slot in keys)
        ):
            return None
        two_on_one = self._keys == "one" and len(self._sticks.swaps) == 1
        if (two_on_one or self._keys == "behind") and not keys[0].can_hold:
            return None
        return keys

    def _direct(self) -> bool:
        """All in one layer; what should be guarded takes a long press."""
        self._give_sticks()
        guarded = [group[0] for group in self._groups if group[0].verb.deliberate]
        plain = [group for group in self._groups if not group[0].verb.deliberate]
        if self._fill(BASE, self._slots, plain, deliberate=False):
            return False
        free = [slot for slot in self._slots if slot.word not in self._draft.layers[BASE]]
        for want in guarded:
            spare = next((each for each in free if each.can_hold), None)
            if spare is not None:
                free.remove(spare)
                self._draft.bind(BASE, spare.word, ShortLong(Nothing(), Do(want.word)))
                self._opened_by[want.word] = spare.told
            elif self._behind_a_tap(BASE, self._slots, want, free):
                continue
            elif plain or not free:
                return False
            else:
                self._draft.give(BASE, free.pop(0), want)
        return True

    def _behind_a_tap(
        self, layer: str, slots: list[Slot], want: Want, free: list[Slot] | None = None
    ) -> bool:
        """Puts something behind a long press of what is tapped; whether there is such a control.

        A short press then does its deed when it is let go, so what cannot wait comes last. Where
        a sure control is free that cannot be held, the deed goes there, and is as quick as before;
        not to one that is touched by accident, as an acceptance delay tells.
        """
        tapped = {verb.name: verb for verb in self._setup.game.verbs if verb.use is Use.TAPPED}
        bindings = self._draft.layers.get(layer, {})
        fit = [
            (tapped[doing.word].in_haste, -number, slot, doing)
            for number, slot in enumerate(slots)
            if slot.can_hold
            and isinstance(doing := bindings.get(slot.word), Do)
            and doing.word in tapped
            and not tapped[doing.word].deliberate
        ]
        if not fit:
            return False
        _, _, slot, doing = min(fit, key=lambda each: each[:2])
        short: Doing = doing
        if free and free[0].reliable and "acceptance-delay" not in free[0].control.settings:
            self._draft.bind(layer, free.pop(0).word, doing)
            short = Nothing()
        self._draft.bind(layer, slot.word, ShortLong(short, Do(want.word)))
        self._opened_by[want.word] = slot.told
        return True

    def _give_sticks(self) -> None:
        for word, (_, verb) in self._sticks.whole.items():
            self._draft.bind(BASE, word, Stick(verb.name))
        for pedal, verb in self._sticks.pedals:
            self._draft.bind(BASE, word_of(pedal, self._setup), Stick(verb.name))

    def _filled(self) -> bool:
        """The base, then one layer after the other."""
        self._give_sticks()
        groups: list[tuple[Want, ...]] = list(self._groups)
        groups = self._fill(BASE, self._slots, groups, deliberate=False)
        if self._keys == "one" and not self._sticks.swaps and self._how != "hold":
            groups = self._pause_on_key(groups)
        for stick, verb in self._sticks.swaps:
            name = swap_name(verb)
            word = word_of(stick, self._setup)
            self._draft.bind(name, word, Stick(verb.name, centred=True))
            self._draft.said[name] = verb.name
        layers = [MORE, FURTHER, BEYOND] if self._keys == "round" else [MORE]
        opened = [swap_name(verb) for _, verb in self._sticks.swaps]
        for name in layers:
            if not groups:
                break
            before = groups
            groups = self._fill(name, self._in_layer(), groups, deliberate=True)
            given = [group for group in before if group not in groups]
            if len(given) == 1 and given[0][0].way:  # all of it is one stick's: named after it
                self._draft.layers[swap_name(given[0][0].verb)] = self._draft.layers.pop(name)
                opened.append(swap_name(given[0][0].verb))
                self._draft.said[opened[-1]] = given[0][0].verb.name
            else:
                opened.append(name)
                self._draft.said[name] = name
        last = opened[-1] if opened else BASE
        for group in list(groups):
            if group[0].verb.deliberate and self._behind_a_tap(last, self._in_layer(), group[0]):
                groups.remove(group)
        if groups or not opened:
            return False
        if self._keys == "each" and len(opened) != len(self._key_slots):
            return False  # one of the keys would have nothing to open
        self._centre()
        for number, name in enumerate(opened):
            slot = self._key_slots[number if self._keys == "each" else 0]
            self._opened_by[name] = slot.told
        return self._open(opened)

    def _in_layer(self) -> list[Slot]:
        """What can be pressed in a layer: the same switches, and kicks of the sticks."""
        whole = [stick for stick, _ in self._sticks.whole.values()]
        return [*self._slots, *(slot for stick in whole for slot in self._body.directions(stick))]

    def _fill(
        self, layer: str, slots: list[Slot], groups: list[tuple[Want, ...]], *, deliberate: bool
    ) -> list[tuple[Want, ...]]:
        """Gives slots what is wanted, group by group while they fit; what is left."""
        free = list(slots)
        left: list[tuple[Want, ...]] = []
        for group in groups:
            if len(group) > len(free) or (group[0].verb.deliberate and not deliberate):
                left.append(group)
                continue
            for slot, want in handed(free, group):
                self._draft.give(layer, slot, want, alone=layer != BASE)
                if slot.way in KICKS:
                    self._kicked.add(slot.word.rpartition(".")[0])
        return left

    def _pause_on_key(self, groups: list[tuple[Want, ...]]) -> list[tuple[Want, ...]]:
        """What should be hard to do unmeant, as the long press of the key."""
        guarded = [group for group in groups if group[0].verb.deliberate]
        if len(guarded) == 1 and self._key_slots[0].can_hold and len(groups) > 1:
            self._pause_by_key = guarded[0][0]
            return [group for group in groups if group not in guarded]
        return groups

    def _centre(self) -> None:
        """A stick that means something else in a layer begins from rest after each change."""
        changed = {word_of(stick, self._setup) for stick, _ in self._sticks.swaps} | self._kicked
        for word, (_, verb) in self._sticks.whole.items():
            if word in changed:
                self._draft.bind(BASE, word, Stick(verb.name, centred=True))

    # ------------------------------------------------------------------ keys

    def _open(self, opened: list[str]) -> bool:
        """Binds the keys that open the layers."""
        keys = self._key_slots
        if self._keys == "round":
            if len(opened) + 1 > _MOST_LAYERS or len(opened) < 2:
                return False
            self._draft.bind(BASE, keys[0].word, Round((BASE, *opened)))
        elif self._keys == "each":
            for slot, name in zip(keys, opened, strict=True):
                self._draft.bind(BASE, slot.word, Layered(name, self._how_of(name)))
        elif len(opened) == 1:
            opening: Doing = Layered(opened[0], self._how_of(opened[0]))
            if self._keys == "behind":
                deed = self._draft.layers[BASE].get(keys[0].word)
                tapped = {v.name for v in self._setup.game.verbs if v.use is Use.TAPPED}
                if not isinstance(deed, Do) or deed.word not in tapped:
                    return False
                opening = ShortLong(deed, opening)
            if self._pause_by_key is not None:
                opening = ShortLong(opening, Do(self._pause_by_key.word))
            self._draft.bind(BASE, keys[0].word, opening)
        else:
            first, second = (Layered(name, self._how_of(name)) for name in opened)
            self._draft.bind(BASE, keys[0].word, ShortLong(first, second))
        return True

    def _how_of(self, layer: str) -> str:
        """A stick is swapped for as long as it is wanted; all others as this plan has it."""
        if layer in {MORE, FURTHER, BEYOND} or self._how == "hold":
            return self._how
        return "toggle"

    # ------------------------------------------------------------------ words

    def plan(self) -> Plan:
        """The plan, once it is made."""
        names = [slot.told for slot in self._key_slots]
        swaps = [verb for _, verb in self._sticks.swaps]
        told, plays = _words(
            self._keys, self._how, names, swaps, spoken_stick(self._sticks, self._setup)
        )
        key = {
            "none": "direct",
            "round": "round",
        }.get(
            self._keys, {"next": "once", "toggle": "toggled", "hold": "held"}[self._how or "next"]
        )
        if self._keys in {"each", "behind"}:
            key += "-two-keys" if self._keys == "each" else "-behind-a-deed"
        for verb in self._setup.game.verbs:
            if verb.name in self._opened_by:
                plays += f" A long press of {self._opened_by[verb.name]} means {verb.name}."
        self._tell_layers()
        return self._draft.plan(key, told, plays)

    def _tell_layers(self) -> None:
        self._draft.told[BASE] = "Always there."
        for place, name in enumerate(self._draft.layers):
            if name == BASE:
                continue
            opener = self._opened_by[name]
            if self._keys == "round":
                self._draft.told[name] = f"After {_COUNTED[place]} of {opener}."
            else:
                self._draft.told[name] = {
                    "next": "For one press or one kick, then it closes by itself.",
                    "toggle": f"Until {opener} is pressed again.",
                    "hold": f"As long as {opener} is held.",
                }[self._how_of(name)]


def _words(keys: str, how: str, names: list[str], swaps: list[Verb], stick: str) -> tuple[str, str]:
    """The plan in one sentence, and how it is played."""
    if keys == "none":
        told = "Each control means the same at all times."
        return told, told
    key = " and ".join(names)
    if keys == "round":
        told = f"{key} goes on from layer to layer; in each, the other controls do something else."
        return told, f"{told} The name of the layer is said, and the last one leads back."
    if keys == "behind":
        key = f"a long press of {key}"
    what, more = {
        "next": (
            "opens a second meaning of the other controls for one press",
            "Without a press it closes by itself after a while; opened twice running it stays "
            "open, and a third time closes it.",
        ),
        "toggle": (
            "changes over to a second meaning of the other controls, and back again",
            "What is on is said.",
        ),
        "hold": ("gives the other controls a second meaning while it is held", ""),
    }[how]
    swap = " and ".join(verb.name for verb in swaps)
    if not swaps:
        told = f"{key} {what}."
    elif keys == "each":
        told = f"{names[0]} changes {stick} over to {swap} and back; {names[-1]} {what}."
    else:
        told = f"A short press of {key} changes {stick} over to {swap} and back; a long one {what}."
    return told, f"{told} {more}".strip()

"""What games ask for: five kinds of game, each as verbs in plain words, to be changed freely.

The order of verbs is their order of importance: what is needed most comes first. How often and how
fast something is needed differs from game to game; what stands here is common practice, no source.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, replace
from enum import Enum
from typing import Final

from remapd.language.names import NAME, RESERVED, is_pad_control

#: Longer names make the layout, the card and the screens hard to read.
LONGEST_NAME: Final = 40


class Use(Enum):
    """How a game uses a verb."""

    TAPPED = "tapped"  #: a short press does it
    HELD = "held"  #: it lasts as long as it is pressed
    REPEATED = "repeated"  #: many short presses, one after the other
    STEERED = "steered"  #: a stick, pushed one way or another; on the d-pad a step at a time


#: What may stand behind a verb of the use STEERED.
STICKS = ("left-stick", "right-stick", "dpad")
#: The ways that a stick can be needed.
WAYS = ("up", "down", "left", "right")


@dataclass(frozen=True, slots=True)
class Verb:
    """One thing that the player does in the game.

    Attributes:
        name: The game's own word for it, as layouts write names: `cast-net`.
        pad: The pad control that does it; a stick for STEERED.
        use: How the game uses it.
        ways: Of a stick, the ways that the game needs; empty for anything else.
        by_degrees: Whether a little of it must differ from all of it.
        in_haste: Whether the game does not wait for it.
        deliberate: Whether it should be hard to do unmeant: a menu, leaving, a pause.
        along_with: Verbs that are to go on while this one is done.
    """

    name: str
    pad: str
    use: Use = Use.TAPPED
    ways: tuple[str, ...] = ()
    by_degrees: bool = False
    in_haste: bool = False
    deliberate: bool = False
    along_with: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class GameNeeds:
    """What one game asks for, the most important first.

    Attributes:
        kind: Which kind of game it began as: a key of GAME_KINDS.
        title: What the kind is called in a list: `Platform game`.
        told: One sentence of what such a game is like.
        verbs: What the player does in it.
    """

    kind: str
    title: str
    told: str
    verbs: tuple[Verb, ...]

    def verb(self, name: str) -> Verb:
        """The verb of that name.

        Raises:
            KeyError: there is none.
        """
        for verb in self.verbs:
            if verb.name == name:
                return verb
        raise KeyError(name)

    def with_verb(self, verb: Verb, before: str | None = None) -> GameNeeds:
        """These needs and one more verb, the last or before another.

        Raises:
            ValueError: its name or its pad control will not do; the text says why and what would.
        """
        fault = name_fault(verb.name, tuple(each.name for each in self.verbs))
        if fault is None and (verb.pad in STICKS) != (verb.use is Use.STEERED):
            fault = f"{verb.pad} is no stick" if verb.use is Use.STEERED else "a stick is steered"
        if fault is None and not is_pad_control(verb.pad):
            fault = f"the pad has no {verb.pad}"
        taken = next((each for each in self.verbs if each.pad == verb.pad), None)
        if fault is None and taken is not None:
            fault = f"{verb.pad} is {taken.name} already; choose another, or remove {taken.name}"
        if fault is not None:
            raise ValueError(fault)
        names = [each.name for each in self.verbs]
        place = len(names) if before is None else names.index(before)
        return replace(self, verbs=(*self.verbs[:place], verb, *self.verbs[place:]))

    def without(self, name: str) -> GameNeeds:
        """These needs without one verb, nowhere."""
        return replace(
            self,
            verbs=tuple(
                replace(each, along_with=tuple(n for n in each.along_with if n != name))
                for each in self.verbs
                if each.name != name
            ),
        )

    def renamed(self, old: str, new: str) -> GameNeeds:
        """These needs with another word for one verb.

        Raises:
            ValueError: the new word will not do; the text says why and what would.
        """
        others = tuple(each.name for each in self.verbs if each.name != old)
        fault = name_fault(new, others)
        if fault is not None:
            raise ValueError(fault)

        def word(name: str) -> str:
            return new if name == old else name

        return replace(
            self,
            verbs=tuple(
                replace(
                    each,
                    name=word(each.name),
                    along_with=tuple(word(name) for name in each.along_with),
                )
                for each in self.verbs
            ),
        )


def name_fault(name: str, taken: tuple[str, ...] = ()) -> str | None:
    """What is wrong with a name for a verb, device, control or layer; None: nothing."""
    if not name:
        return (
            "a name has the letters a to z, and may have 0 to 9 and the hyphen behind the first; "
            "please write it with those, as in left knee"
        )
    if len(name) > LONGEST_NAME:
        return "that is too long for a name; two or three words will do"
    if not NAME.fullmatch(name):
        return (
            f"`{name}` cannot be written in a layout: a to z, 0 to 9 and the hyphen, "
            "a letter first, as in cast-net"
        )
    if name in RESERVED or is_pad_control(name):
        return f"`{name}` is a word of the layouts themselves; another one, please"
    if name in taken:
        return f"`{name}` is there already; another one, please"
    return None


def name_from(words: str) -> str:
    """What somebody typed, as layouts write names: `Left knee!` becomes `left-knee`.

    A letter with a mark on it goes without: `Main gauché` becomes `main-gauche`.
    """
    letters = unicodedata.normalize("NFKD", words.casefold())
    plain = (each for each in letters if not unicodedata.combining(each))
    kept = "".join(each if each.isascii() and each.isalnum() else " " for each in plain)
    return "-".join(kept.split()).lstrip("0123456789-")


def _steered(name: str, stick: str, *ways: str) -> Verb:
    return Verb(name, stick, Use.STEERED, ways or WAYS)


_PAUSE = Verb("pause", "start", deliberate=True)

_MOVE_AND_ONE_DEED = GameNeeds(
    "move-and-one-deed",
    "Move, and do one thing",
    "Somebody or something moves about, and one button does the one thing there is to do.",
    (
        _steered("move", "left-stick"),
        Verb("act", "south", in_haste=True),
        _PAUSE,
    ),
)
_PLATFORM = GameNeeds(
    "platform",
    "Run and jump, seen from the side",
    "A figure walks left and right, and jumps while it walks.",
    (
        _steered("walk", "left-stick", "left", "right"),
        Verb("jump", "south", in_haste=True, along_with=("walk",)),
        Verb("act", "west", in_haste=True),
        Verb("run", "right-trigger", Use.HELD, along_with=("walk",)),
        _PAUSE,
    ),
)
_DRIVING = GameNeeds(
    "driving",
    "Driving",
    "Something is steered left and right while it is given speed and slowed down.",
    (
        replace(_steered("steer", "left-stick", "left", "right"), by_degrees=True, in_haste=True),
        Verb(
            "drive",
            "right-trigger",
            Use.HELD,
            by_degrees=True,
            in_haste=True,
            along_with=("steer",),
        ),
        Verb("brake", "left-trigger", Use.HELD, in_haste=True),
        Verb("boost", "south"),
        Verb("look-back", "right-stick-press"),
        _PAUSE,
    ),
)
_FIRST_PERSON = GameNeeds(
    "first-person",
    "Seen through the figure's own eyes",
    "One stick walks, the other looks round, and buttons do things.",
    (
        _steered("walk", "left-stick"),
        replace(_steered("look", "right-stick"), by_degrees=True),
        Verb("act", "right-trigger", in_haste=True),
        Verb("use", "west"),
        Verb("jump", "south", along_with=("walk",)),
        Verb("aim", "left-trigger", Use.HELD, along_with=("look",)),
        Verb("crouch", "east"),
        Verb("next-tool", "north"),
        _PAUSE,
    ),
)
_TURN_BASED = GameNeeds(
    "turn-based",
    "Turns and menus",
    "The game waits: something is chosen from a list or a board, then taken or left.",
    (
        _steered("choose", "dpad"),
        Verb("take", "south"),
        Verb("go-back", "east"),
        Verb("tell-more", "north"),
        Verb("end-turn", "right-shoulder"),
        _PAUSE,
    ),
)

#: The kinds of game by their keys, in the order in which they are offered.
GAME_KINDS: dict[str, GameNeeds] = {
    game.kind: game
    for game in (_MOVE_AND_ONE_DEED, _PLATFORM, _DRIVING, _FIRST_PERSON, _TURN_BASED)
}

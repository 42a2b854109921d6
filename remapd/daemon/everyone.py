"""Playing with no layout file: every gamepad that is plugged in, now or later, is one pad together.

Until somebody is known to be the player all pads count alike. Whoever first holds a button for a
second is the player, and the others are helpers; select and start held together for two seconds on
any pad make the player a helper and the helper the player.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from remapd.codes import EV_KEY, KEYS
from remapd.engine.pad_controls import HELPER, PERSON_NAMES, PLAYER

#: How many gamepads can play together.
PADS: Final = 8
CLAIM_US: Final = 1_000_000
SWAP_US: Final = 2_000_000
NAME: Final = "every gamepad"

_SELECT_AND_START: Final = frozenset({KEYS["BTN_SELECT"], KEYS["BTN_START"]})


def layout_text(persons: Iterable[int]) -> str:
    """The layout as a file would have it: a gamepad for each of `persons` (0 player, 1 helper)."""
    pads = [(f"pad-{number}", PERSON_NAMES[person]) for number, person in enumerate(persons, 1)]
    lines = ["remapd: 1", "title: Every gamepad together", "devices:"]
    for name, person in pads:
        lines += [
            f"  {name}:",
            f"    person: {person}",
            "    optional: true",
            "    find: {shape: gamepad}",
            "    controls: gamepad",
        ]
    lines += ["layers:", "  play:"]
    lines += [f"    {name}: same" for name, _ in pads]
    return "\n".join(lines) + "\n"


class WhoIsWho:
    """Who the player is, found out from what the pads send. Pads are the layout's device indices.

    A decision is announced as soon as it is made, and takes effect when the button is let go: so
    that nothing which is held changes its meaning, or has to be pressed again.
    """

    def __init__(self) -> None:
        #: The player's pad, or None: nobody is known yet, and all are players.
        self.player: int | None = None
        self._held: dict[int, set[int]] = {}
        #: By pad: what its hold asks for, and when it will have lasted long enough.
        self._claims: dict[int, tuple[bool, int]] = {}
        self._settled: int | None = None  #: the pad whose hold has decided, until it is let go
        self._next_player: int | None = None

    @property
    def due_us(self) -> int | None:
        """When `advance` has something to decide, or None."""
        return min((due for _, due in self._claims.values()), default=None)

    def persons(self) -> list[int]:
        """The person of each pad."""
        if self.player is None:
            return [PLAYER] * PADS
        return [PLAYER if pad == self.player else HELPER for pad in range(PADS)]

    def plug(self, pad: int, held: Iterable[int]) -> None:
        """A pad is there; what is held on it claims nothing before another button is pressed."""
        self._held.setdefault(pad, set(held))

    def known(self) -> set[int]:
        """The pads that were plugged in and not unplugged."""
        return set(self._held)

    def unplug(self, pad: int) -> bool:
        """A pad has gone; whether a decision takes effect by that."""
        self._held.pop(pad, None)
        self._claims.pop(pad, None)
        return self._let_go(pad)

    def feed(self, us: int, pad: int, events: Iterable[tuple[int, int, int]]) -> bool:
        """One frame of a pad; whether the persons are others from now on."""
        held = self._held.setdefault(pad, set())
        changed = False
        for event_type, code, value in events:
            if event_type == EV_KEY:
                changed = True
                (held.add if value else held.discard)(code)
        if not changed:
            return False
        if not held:
            self._claims.pop(pad, None)
            return self._let_go(pad)
        if self._settled is None:
            self._judge(us, pad, held)
        return False

    def advance(self, us: int, pads: Iterable[int]) -> str:
        """Decides what is due; what to tell people: `claimed`, `swapped`, or nothing.

        `pads` are those that are plugged in.
        """
        for pad, (is_swap, due_us) in list(self._claims.items()):
            if due_us > us:
                continue
            del self._claims[pad]
            if is_swap:
                if self.decide_swap(pads):
                    self._settled = pad
                    return "swapped"
            elif self.player is None and self._next_player is None:
                self._next_player = pad
                self._settled = pad
                return "claimed"
        return ""

    def decide_swap(self, pads: Iterable[int]) -> bool:
        """The next pad that is plugged in becomes the player's; False where there is no other."""
        others = sorted(pads)
        now = self.player if self.player is not None else (others[0] if others else None)
        later = [pad for pad in others if now is not None and pad > now]
        following = [*later, *(pad for pad in others if pad != now)]
        if not following:
            return False
        self._next_player = following[0]
        return True

    @property
    def chosen(self) -> int | None:
        """The player's pad once the decision that is made takes effect."""
        return self._next_player if self._next_player is not None else self.player

    def take_effect(self) -> bool:
        """The decision takes effect now; whether there was one."""
        if self._next_player is None:
            return False
        self.player, self._next_player = self._next_player, None
        self._settled = None
        self._claims.clear()
        return True

    def _judge(self, us: int, pad: int, held: set[int]) -> None:
        is_swap = held >= _SELECT_AND_START
        if not is_swap and self.player is not None:
            self._claims.pop(pad, None)
        elif self._claims.get(pad, (None, 0))[0] is not is_swap:
            self._claims[pad] = (is_swap, us + (SWAP_US if is_swap else CLAIM_US))

    def _let_go(self, pad: int) -> bool:
        return self._settled == pad and self.take_effect()

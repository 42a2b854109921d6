"""Which keyboard the answers are typed on: the one whose keys agree with the lines that come."""

from __future__ import annotations

from typing import Final

from remapd.codes import KEYS

_ENDS_A_LINE: Final = frozenset((KEYS["KEY_ENTER"], KEYS["KEY_KPENTER"]))
#: Of each keyboard the last presses are remembered; more than the longest line has letters.
_MOST: Final = 400
#: So many different keys within this time are pressed by somebody who types; a box has a few
#: switches, seldom used so quickly one after the other (common practice, no source).
_KEYS: Final = 4
_WITHIN_US: Final = 3_000_000


class Typists:
    """Told of presses and of typed lines; `keys` are the keyboards that lines came from.

    A switch box that acts as a keyboard sends one key now and then, so it is taken for one only if
    somebody spells a word with it and ends the line on it.
    """

    def __init__(self) -> None:
        self.keys: set[str] = set()
        self._presses: dict[str, list[int]] = {}
        self._lately: dict[str, list[tuple[int, int]]] = {}

    def press(self, key: str, code: int) -> None:
        """A key of the keyboard `key` (see Identity) was pressed."""
        presses = self._presses.setdefault(key, [])
        presses.append(code)
        del presses[:-_MOST]

    def is_typed_on(self, us: int, key: str, code: int) -> bool:
        """Whether so many different keys come on a keyboard that these are no switches.

        Told of each press, also where somebody said that it is a box.
        """
        lately = [each for each in self._lately.get(key, []) if us - each[0] < _WITHIN_US]
        self._lately[key] = [*lately, (us, code)]
        return len({pressed for _, pressed in self._lately[key]}) >= _KEYS

    def line(self, text: str) -> None:
        """A line came; whoever has just pressed as many keys, Enter the last, typed it."""
        wanted = len(text.strip()) + 1
        for key, presses in self._presses.items():
            if wanted >= 2 and len(presses) >= wanted and presses[-1] in _ENDS_A_LINE:
                self.keys.add(key)
        self._presses.clear()

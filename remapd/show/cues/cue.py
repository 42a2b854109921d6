"""One cue, ready to be played."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum
from typing import Final

#: How loud a tone is unless the layout says otherwise; a share of the loudest.
LOUDNESS: Final = 0.2
#: The same of a rumble: enough to be felt by a hand that holds the device, and no start.
STRENGTH: Final = 0.3


class Weight(Enum):
    """What happens to words that are still being spoken; the values are SSIP's priorities.

    Speech Synthesis Interface Protocol, http://ssip.info, “Message priority model”.
    """

    TEXT = "text"  #: the newest is spoken, and stops the one before
    MESSAGE = "message"  #: waits for its turn, and is not lost
    IMPORTANT = "important"  #: is spoken at once, and waits for nothing


@dataclass(frozen=True, slots=True)
class Cue:
    """What is played: any of a tone, words, a notification, a short rumble.

    `loudness` is of the tone, `strength` of the rumble on the device that it names; 0 to 1.
    """

    event: str
    name: str
    tone: str | None = None
    say: str | None = None
    notify: str | None = None
    loudness: float = LOUDNESS
    weight: Weight = Weight.TEXT
    rumble: str | None = None
    strength: float = STRENGTH


_KINDS: Final = ("layer", "latch", "turbo", "push", "keep", "pulse", "scan", "tuning", "lead")
_MANNER: Final = re.compile(r" \((?:toggle|next)\)")
_SAID: Final = re.compile(r'say "(.*)"', re.DOTALL)


def spoken_name(label: str) -> str:
    """What something is called aloud: `latch cast-net` is “cast net”."""
    said = _SAID.fullmatch(label)
    if said:
        return said[1]
    text = _MANNER.sub("", label)
    first, _, rest = text.partition(" ")
    if rest and first in _KINDS:
        text = rest
    return text.replace("-", " ")

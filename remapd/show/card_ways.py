"""The shortest way to each thing that a game needs, in words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from remapd.analysis.reach.proof import Proof, Who
from remapd.analysis.reach.words import Words
from remapd.engine.layout import Layout
from remapd.show.card_words import ActionWords

_WITHIN_NAMES: Final = re.compile(r"(?<=[a-z0-9])[-.](?=[a-z])")


def ways_of(layout: Layout) -> Iterator[str]:
    """A sentence for each need of the layout (`needs`), in the order of the file.

    What nothing reaches is left out here: to find that is the job of `remapd check`.
    """
    proof = Proof(layout)
    words = Words(proof.model)
    names = ActionWords(layout)
    for need in proof.needs:
        whole = need.by_degrees
        is_moved = whole is not None and proof.best(whole) is not None
        for goal in [whole] if is_moved and whole is not None else need.goals:
            best = proof.best(goal)
            if best is None:
                continue
            word = need.word if is_moved or len(need.goals) == 1 else words.goal(goal)
            said, own = names.pad_control(word)
            behind = f" ({own})" if own else ""
            who = "the helper: " if best.who is Who.HELPER else ""
            yield f"{said}{behind}: {who}{_as_spoken(words.way(best.way))}"


def _as_spoken(way: str) -> str:
    """A way with its names as people say them: `steer left` for `steer.left`."""
    return _WITHIN_NAMES.sub(" ", way.replace(" (toggle)", ""))

"""Findings about presses that repeat by themselves: too fast for games, the pad, or some eyes."""

from __future__ import annotations

from collections.abc import Iterator

from remapd.analysis.findings.finding import Finding, Weight, places_of
from remapd.analysis.reach.model import bound_actions
from remapd.analysis.reach.proof import Proof
from remapd.analysis.reach.words import milliseconds
from remapd.engine.actions import Turbo, parts_of

#: Two looks of a game at the pad for each press and two for each gap, at 60 looks a second: then
#: one of 30 a second sees them too (common practice, no source).
MOST_SEEN_A_SECOND = 15
_SHORTEST_SEEN_US = 1_000_000 // MOST_SEEN_A_SECOND
#: "Web pages do not contain anything that flashes more than three times in any one second period."
MOST_FLASHES_A_SECOND = 3
FLASHES = "WCAG 2.2, 2.3.1 (three flashes); EN 301 549, 4.2.9 (photosensitive seizure triggers)"


def check_turbo(proof: Proof) -> Iterator[Finding]:
    """Every turbo of the layout, and one note about flashes for all of them."""
    flashing: list[str] = []
    first_places: tuple[tuple[str, ...], ...] = ()
    for bound in bound_actions(proof.layout):
        for part in parts_of(bound.action):
            if isinstance(part, Turbo):
                places = places_of(proof.layout, bound)
                yield from _rates(proof, part, places)
                if part.period_us < 1_000_000 // MOST_FLASHES_A_SECOND:
                    flashing.append(part.label)
                    first_places = first_places or places
    if flashing:
        names = ", ".join(dict.fromkeys(flashing))
        yield Finding(
            "turbo-may-flash",
            Weight.NOTE,
            f"faster than {MOST_FLASHES_A_SECOND} presses a second: {names}. Where a press makes "
            "the screen flash, so many flashes can set off a seizure",
            (f"for such a press stay at `rate: {MOST_FLASHES_A_SECOND}/s` or below",),
            first_places,
            FLASHES,
        )


def _rates(proof: Proof, turbo: Turbo, places: tuple[tuple[str, ...], ...]) -> Iterator[Finding]:
    rate = f"{1_000_000 / turbo.period_us:.3g}/s"
    shortest_us = proof.layout.shortest_press_us
    if turbo.period_us < 2 * shortest_us:
        shown = 1_000_000 / (2 * shortest_us)
        yield Finding(
            "turbo-not-shown",
            Weight.WARNING,
            f"{turbo.label} at {rate} cannot be shown: with a `shortest-press` of "
            f"{milliseconds(shortest_us)} the pad gives {shown:.3g} presses a second at the most",
            (f"make its rate {int(shown)}/s or less",),
            places,
        )
    elif turbo.period_us < _SHORTEST_SEEN_US:
        yield Finding(
            "turbo-too-fast",
            Weight.WARNING,
            f"{turbo.label} at {rate} is faster than games see: at 60 looks a second they can be "
            f"sure of {MOST_SEEN_A_SECOND} presses a second",
            (f"make its rate {MOST_SEEN_A_SECOND}/s or less",),
            places,
            "common practice, no source",
        )
    elif min(turbo.on_us, turbo.period_us - turbo.on_us) < shortest_us:
        yield Finding(
            "turbo-duty-changed",
            Weight.NOTE,
            f"{turbo.label} is not shown with its `duty`: each press and each gap lasts at least "
            f"the `shortest-press` of {milliseconds(shortest_us)}",
            ("bring `duty` nearer to 50%, or make the rate lower",),
            places,
        )

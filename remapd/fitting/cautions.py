"""What to take care of, by what is moved and what it is moved on.

The cautions are the usual ones of the field (common practice, no source), but for: flashes, WCAG
2.2, 2.3.1; skin under what presses on it, at least twice a day, the pressure injury guideline of
NPUAP, EPUAP and PPPIA, 2014. They defer to those who are licensed to decide, and to local rules.
"""

from __future__ import annotations

from collections.abc import Iterator

from remapd.fitting.body import can_hold
from remapd.fitting.doings import Repeated
from remapd.fitting.plans import Plan
from remapd.fitting.setup import Setup

_BREATH = ("sip", "puff", "breath", "blow")
_HEAD = ("head", "cheek", "chin", "temple", "brow", "eye", "mouth", "lip", "tongue", "neck", "jaw")
_FOOT = ("foot", "toe", "heel", "ankle", "sole")


def cautions(setup: Setup, plan: Plan) -> str:
    """The paragraph for the layout's notes."""
    return " ".join(_sentences(setup, plan))


def _sentences(setup: Setup, plan: Plan) -> Iterator[str]:
    words = " ".join(
        f"{each.movement} {each.name} {each.settings.get('ends', '')}".lower()
        for each in setup.controls
    )
    if len(setup.players_controls) == 1:
        yield "One movement does all the work here: play short and rest often."
    yield "Rest before it tires; stop at pain, tingling or numbness."
    if any(part in words for part in _BREATH):
        yield (
            "Small breaths from the mouth, never a held one; stop if dizzy or short of breath. "
            "Whoever has trouble with lungs, heart or swallowing asks the physician first. One "
            "tube for one person, cleaned as its maker says."
        )
    if any(part in words for part in _HEAD):
        yield (
            "Nothing near the face that a spasm could drive it into, no cord near the neck, and "
            "the call bell stays free."
        )
    if any(part in words for part in _FOOT):
        yield "Heel supported; look at heel and toes afterwards."
    yield "Look at the skin under each switch, twice a day where feeling is less."
    if not all(can_hold(each) for each in setup.players_controls):
        yield "What would be a strain to hold goes on by itself here, and ends by itself."
    if any(isinstance(doing, Repeated) for _, _, doing in plan.doings()):
        yield (
            "Presses that repeat stay at 3 a second: quicker flashes of a screen can set off a "
            "seizure."
        )
    if setup.helpers_devices:
        yield "Agree on who may take over, and how the player says stop."
    yield (
        "Keep cords clear of wheels and neck. Positions, mounts and straps are for the therapist "
        "to decide; the rules of the house come first."
    )

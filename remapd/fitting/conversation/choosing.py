"""The layouts that are proposed, what each costs, and the choice between them."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Final

from remapd.fitting.conversation.questions import Choose, Interview, Option, Say
from remapd.fitting.plans import Proposal
from remapd.fitting.proposals import propose
from remapd.fitting.setup import Setup, from_json, to_json

GAME: Final = "game"
CONTROLS: Final = "controls"


@lru_cache(maxsize=8)
def _proposals_for(setup: str) -> tuple[Proposal, ...]:
    """Kept, because going back runs an interview again and the proofs take their time."""
    return tuple(propose(from_json(setup)))


def ask_proposal(
    setup: Setup, round_name: str, show_check: Callable[[Proposal], str]
) -> Interview[Proposal | str]:
    """The proposal that was chosen, or GAME or CONTROLS where something is to change before.

    `show_check` gives the check of a proposal as text.
    """
    proposals = _proposals_for(to_json(setup))
    if not proposals:
        yield Say("With these controls nothing can be proposed for this game.")
        what = yield Choose(
            f"none{round_name}",
            "What shall be changed?",
            (
                Option(GAME, "what the game needs"),
                Option(CONTROLS, "the controls: find more, or change what was found"),
            ),
        )
        return str(what)
    if len(proposals) == 1:
        yield Say("One way fits:")
    else:
        yield Say(f"{len(proposals)} ways fit, the best first:")
    for number, proposal in enumerate(proposals, 1):
        yield Say("\n".join(_summary(number, proposal)), as_is=True)
    times = 0
    while True:
        times += 1
        options = [
            Option(str(number), f"way {number}, {_acts(proposal.total)} in all")
            for number, proposal in enumerate(proposals, 1)
        ]
        chosen = yield Choose(
            f"proposal{round_name}-{times}",
            "Which one? It is shown in full first, and can be changed later by hand.",
            (*options, *_OTHERWISE),
            "1",
            "The figures count what the body does: each press, each push. Fewer is easier. "
            "What the game wants often and at once matters more than what it wants now and then.",
        )
        if chosen in {GAME, CONTROLS}:
            return str(chosen)
        proposal = proposals[int(chosen) - 1]
        for paragraph in _in_full(proposal):
            yield Say(paragraph)
        yield Say(show_check(proposal), as_is=True)
        good = yield Choose(
            f"take{round_name}-{times}",
            "Take this one?",
            (Option("yes", "yes"), Option("other", "no, show the others again")),
            "yes",
        )
        if good == "yes":
            return proposal
        for number, each in enumerate(proposals, 1):
            yield Say("\n".join(_summary(number, each)), as_is=True)


_OTHERWISE: Final = (
    Option(GAME, "none: change what the game needs"),
    Option(CONTROLS, "none: find more controls, or change what was found"),
)


def _summary(number: int, proposal: Proposal) -> list[str]:
    lines = ["", f"  Way {number}. {proposal.told}"]
    width = max(len(cost.verb) for cost in proposal.costs)
    lines += [
        f"    {cost.verb:<{width}}  {_cost(cost.by, cost.actions, cost.most_actions)}"
        for cost in proposal.costs
    ]
    total = f"    All of it once: {_acts(proposal.total)}"
    if proposal.needs_two_at_once:
        total += "; some of it takes two controls at the same time"
    lines.append(f"{total}.")
    return lines


def _cost(by: str, actions: int, most: int) -> str:
    if by == "nobody":
        return "NOT REACHED"
    acts = _acts(actions) if most == actions else f"{actions} to {_acts(most)}"
    return acts if by == "player" else f"{acts}, by {_WHO.get(by, by)}"


_WHO: Final = {"helper": "the helper", "together": "both together", "either": "either of them"}


def _acts(count: int) -> str:
    return "1 act" if count == 1 else f"{count} acts"


def _in_full(proposal: Proposal) -> list[str]:
    return [proposal.plan.plays, *proposal.advice]

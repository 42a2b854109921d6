"""Layouts proposed for a body and a game, with what each costs; the best first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from remapd.analysis.check import Report, check
from remapd.fitting.body import Body, body_of, helpers_gamepads
from remapd.fitting.compass import compass_plans
from remapd.fitting.doings import Layered, Stick
from remapd.fitting.file_lines import listed
from remapd.fitting.games import Use
from remapd.fitting.layering import layered_plans
from remapd.fitting.listing import listed_plans
from remapd.fitting.plans import Plan, Proposal, VerbCost
from remapd.fitting.setup import Setup
from remapd.fitting.sharing import joined, shared_plans
from remapd.fitting.wants import stick_verbs
from remapd.fitting.weighing import costs_of, hurried_and_unsure, pairs_of, weight
from remapd.fitting.writing import plan_text
from remapd.language import load_text

#: Nobody compares more than this.
MOST: Final = 4
#: What weighs so many times as much as the best is no help in choosing.
_FAR_BEHIND: Final = 2.5


def propose(setup: Setup) -> list[Proposal]:
    """Layouts for this setup, the best first, four at the most; none where nothing can be pressed.

    Those that reach all of the game come first. Layers that have to be held while something else
    is pressed come after all others, and only where the body can hold.
    """
    found: dict[str, Proposal] = {}
    for plan in _plans(setup):
        text = plan_text(setup, plan)
        if text not in found:
            proposal = proposal_of(setup, plan)
            if proposal is not None:
                found[text] = proposal
    weights = {text: weight(setup, each) for text, each in found.items()}
    ranked = sorted(found, key=lambda text: (_is_held(found[text]), weights[text]))
    ranked = [text for text in ranked if not found[text].unreached] or ranked
    best = min(weights.values(), default=0.0)
    near = [text for text in ranked if weights[text] <= _FAR_BEHIND * best]
    # What is held stays behind everything else, twins included.
    return sorted(_unlike([found[text] for text in near]), key=_is_held)[:MOST]


def _plans(setup: Setup) -> Iterator[Plan]:
    body = body_of(setup)
    for stick in body.sticks[len(stick_verbs(setup.game)) :]:
        body = body.without_stick(stick)  # what nothing has to be moved with can be kicked
    yield from shared_plans(body)
    for plan in _players_plans(body):
        yield joined(plan, setup)


def _players_plans(body: Body) -> Iterator[Plan]:
    yield from layered_plans(body)
    if body.pedals:
        yield from layered_plans(replace(body, pedals=()))
        yield from listed_plans(replace(body, pedals=()))
    yield from compass_plans(body)
    yield from listed_plans(body)
    if not body.slots:
        for stick in body.sticks[:1]:
            yield from listed_plans(body.without_stick(stick))


def proposal_of(setup: Setup, plan: Plan) -> Proposal | None:
    """The plan with its costs; None where it would be lost in, or cannot be played at all."""
    report = _checked(setup, plan)
    if any(each.code in _FATAL for each in report.findings):
        return None
    at_once, apart = pairs_of(setup, plan)
    proposal = Proposal(plan, costs_of(setup, report), tuple(apart), tuple(at_once))
    return replace(proposal, advice=tuple(_advice(setup, proposal)))


#: Findings of the check with which a plan is not fit to be proposed.
_FATAL: Final = frozenset((
    "need-lost", "layer-stays-on", "layer-hard-to-leave", "layer-never-on", "line-never-counts",
    "long-never", "short-never", "rest-never-ends", "chord-impossible",
))  # fmt: skip


def _checked(setup: Setup, plan: Plan) -> Report:
    loaded = load_text(plan_text(setup, plan), "proposal.yaml")
    if loaded.layout is None:
        raise ValueError(f"a proposal that is no layout: {loaded.errors[0].message}")
    return check(loaded.layout)


def _is_held(proposal: Proposal) -> bool:
    return any(
        isinstance(doing, Layered) and doing.how == "hold" for _, _, doing in proposal.plan.doings()
    )


def _unlike(ranked: list[Proposal]) -> list[Proposal]:
    """Without those that cost the same as a better one and go about it in the same way."""
    kept: list[Proposal] = []
    twins: list[Proposal] = []
    seen: set[tuple[VerbCost, ...]] = set()
    kinds: set[tuple[str, tuple[VerbCost, ...]]] = set()
    for each in ranked:
        costs = tuple(replace(cost, how="", us=0) for cost in each.costs)
        if (each.plan.key, costs) in kinds:
            continue
        kinds.add((each.plan.key, costs))
        (twins if costs in seen else kept).append(each)
        seen.add(costs)
    return [*kept, *twins]


# ---------------------------------------------------------------------- advice


def _advice(setup: Setup, proposal: Proposal) -> Iterator[str]:
    missing = proposal.unreached
    if missing:
        words = listed(missing)
        if helpers_gamepads(setup):
            yield f"Not reached: {words}."
        else:
            yield (
                f"Not reached: {words}. One more switch would do, or a helper with a gamepad of "
                "their own, who takes what is left over."
            )
    for one, other in proposal.apart:
        yield f"`{one}` and `{other}` come one after the other here, not at the same time."
    for one, other in proposal.at_once:
        yield f"`{one}` during `{other}` takes two controls at the same time."
    whole = {doing.word for _, _, doing in proposal.plan.doings() if isinstance(doing, Stick)}
    for verb in setup.game.verbs:
        is_stick = verb.use is Use.STEERED
        if verb.by_degrees and is_stick and verb.name not in whole and not helpers_gamepads(setup):
            yield f"`{verb.name}` is all or nothing here: no stick moves it by degrees."
    hurried = hurried_and_unsure(setup, proposal.plan)
    for verb_name, control in hurried:
        yield (
            f"`{verb_name}` hurries, and `{control}` does not always come: try it, and give "
            f"`{verb_name}` another control if it is missed."
        )

"""Whatever the body and the game: what is proposed is a sound layout that costs what was said."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import given, settings

from remapd.analysis.check import Report, check
from remapd.analysis.findings.finding import Weight
from remapd.analysis.reach.rows import rows_of_needs
from remapd.fitting.body import body_of, can_hold, word_of
from remapd.fitting.doings import Do, Doing, Latched, Layered, Listed, Repeated, ShortLong
from remapd.fitting.games import Use
from remapd.fitting.plans import Proposal
from remapd.fitting.proposals import MOST, propose
from remapd.fitting.setup import Setup, from_json, to_json
from remapd.fitting.writing import layout_text, trials_text
from remapd.language import load_text, render
from remapd.language.trials import load_trials_text
from remapd.recording.trials import run_trial
from tests.support.fitting_setups import FITTED, setups


@settings(max_examples=25)
@given(setups())
def test_whatever_the_setup_its_proposals_are_sound(setup: Setup) -> None:
    hold_to_the_laws(setup)


@pytest.mark.parametrize("name", FITTED)
def test_the_proposals_for_a_realistic_setup_are_sound_and_whole(name: str) -> None:
    proposals = hold_to_the_laws(FITTED[name])
    assert proposals
    assert all(not each.unreached for each in proposals)
    assert not proposals[0].at_once or FITTED[name].two_at_once


def hold_to_the_laws(setup: Setup) -> list[Proposal]:
    proposals = propose(setup)
    assert len(proposals) <= MOST
    assert [each.plan for each in propose(from_json(to_json(setup)))] == [
        each.plan for each in proposals
    ]
    assert bool(proposals) or not setup.players_controls
    held = [any(_is_held(doing) for _, _, doing in each.plan.doings()) for each in proposals]
    assert held == sorted(held), "a held layer is proposed before one that is not"
    for proposal in proposals:
        text = layout_text(setup, proposal)
        report = report_of(text)
        hold_findings(proposal, report)
        hold_costs(proposal, report)
        hold_the_body(setup, proposal)
        hold_trials(text, trials_text(setup, proposal))
    return proposals


def report_of(text: str) -> Report:
    loaded = load_text(text)
    assert not loaded.diagnostics, "\n".join(render(each) for each in loaded.diagnostics) + text
    assert loaded.layout is not None
    return check(loaded.layout)


def hold_findings(proposal: Proposal, report: Report) -> None:
    assert report.can_play or proposal.unreached
    warnings = {each.code for each in report.findings if each.weight is Weight.WARNING}
    assert warnings <= {"two-at-once"}
    assert bool(warnings) == any(cost.two_at_once for cost in proposal.costs)
    assert "control-unused" not in {each.code for each in report.findings}


def hold_costs(proposal: Proposal, report: Report) -> None:
    """What the proposal says is what the rows of the check say, wherever a verb has one row."""
    rows = rows_of_needs(report.proof, report.words)
    for cost in proposal.costs:
        own = [row for row in rows if row.word.partition(".")[0] == cost.verb]
        assert cost.reached == all(row.best is not None for row in own)
        if len(own) == 1 and own[0].best is not None and cost.by in {own[0].who, "player"}:
            if own[0].best.who.value == cost.by or cost.by == "either":
                assert cost.actions == own[0].best.way.actions
        elif len(own) > 1 and cost.by == "player":
            ways = [row.best.way.actions for row in own if row.best is not None]
            assert (cost.actions, cost.most_actions) == (min(ways), max(ways))


def hold_the_body(setup: Setup, proposal: Proposal) -> None:
    """Nothing asks a movement to be held that cannot be; what is unsure opens no layer."""
    weak = {word_of(each, setup) for each in setup.controls if not can_hold(each)}
    unsure = {word_of(each, setup) for each in setup.players_controls if not each.reliable}
    has_sure = any(
        slot.reliable
        and slot.control not in body_of(setup).pedals
        and slot.control.kind == "button"
        for slot in body_of(setup).slots
    )
    uses = {verb.name: verb for verb in setup.game.verbs}
    if any(_is_held(doing) for _, _, doing in proposal.plan.doings()):
        assert setup.two_at_once
    for word, doing in _pressed(proposal):
        control = word if word in weak | unsure else word.rpartition(".")[0]
        if control in weak:
            assert not isinstance(doing, ShortLong)
            assert not _is_held(doing)
            if isinstance(doing, Do):
                verb = uses[doing.word.partition(".")[0]]
                assert verb.use is Use.TAPPED or verb.pad == "dpad"
            if isinstance(doing, Repeated):
                assert doing.by_itself
        if control in unsure and has_sure and proposal.plan.key != "kicks":
            assert not isinstance(doing, Layered)
        if isinstance(doing, Latched):
            assert doing.at_most


def _pressed(proposal: Proposal) -> Iterator[tuple[str, Doing]]:
    """Every doing with the control that is pressed for it: an item, by the one that takes it."""
    for layer in proposal.plan.layers:
        for word, doing in layer.bindings.items():
            for each in doing.inner():
                if isinstance(each, Listed) and each.take is not None:
                    yield from ((each.take, inner) for item in each.items for inner in item.inner())
                    break
                yield word, each


def hold_trials(text: str, trials: str) -> None:
    layout = load_text(text).layout
    assert layout is not None
    loaded = load_trials_text(trials, layout)
    assert not loaded.diagnostics, "\n".join(render(each) for each in loaded.diagnostics)
    results = [run_trial(layout, trial) for trial in loaded.trials]
    assert len(results) >= len(layout.needs)
    failed = [result.trial.name for result in results if not result.passed]
    assert not failed


def _is_held(doing: object) -> bool:
    return isinstance(doing, Layered) and doing.how == "hold"

"""The notes on top of a layout: who plays, how, what to change first, what to take care of."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from remapd.fitting.body import word_of
from remapd.fitting.cautions import cautions
from remapd.fitting.doings import Layered, Listed, ShortLong
from remapd.fitting.file_lines import comment, listed, numbered, paragraph, safe
from remapd.fitting.games import Use
from remapd.fitting.plans import Plan
from remapd.fitting.setup import Setup

#: Nobody changes more than this at once.
_MOST_CHANGES: Final = 4


def title_of(setup: Setup) -> str:
    """The layout's title: what was given, or what can be said without."""
    return safe(setup.title) or f"{setup.game.title}, {len(setup.players_controls)} controls"


def kind_of_game(setup: Setup) -> str:
    """The kind of game, as it stands within a sentence."""
    title = setup.game.title
    return f"{title[:1].lower()}{title[1:]}"


def notes_of(setup: Setup, plan: Plan) -> Iterator[str]:
    """The notes, as comment lines."""
    yield from comment(title_of(setup).upper())
    yield "#"
    yield from comment(
        "Lines that begin with # are notes for people; remapd passes over them. Elsewhere keep the "
        "spaces at the beginning of each line: they say what belongs to what. A saved change "
        "counts at once."
    )
    yield "#"
    yield from paragraph("Who plays", _who(setup))
    told = "; ".join(device.told for device in setup.devices)
    yield from paragraph("Plug in", f"{told[:1].upper()}{told[1:]}.")
    yield from paragraph("How it plays", plan.plays)
    yield from numbered("Change first", list(_changes(setup, plan))[:_MOST_CHANGES])
    yield from paragraph("Take care", cautions(setup, plan))


def _who(setup: Setup) -> str:
    moved = [each.movement or word_of(each, setup) for each in setup.players_controls]
    player = next((each.name for each in setup.people if not each.helper), "") or "The player"
    text = f"{player}. Movements: {'; '.join(moved)}." if moved else f"{player}."
    helpers = [each.name or "a helper" for each in setup.people if each.helper]
    if helpers and setup.helpers_devices:
        told = listed([device.told for device in setup.helpers_devices])
        text += f" {listed(helpers)} joins in with {told}."
    return text


def _changes(setup: Setup, plan: Plan) -> Iterator[str]:
    """What is most worth changing, the first first."""
    if any(device.stand_in for device in setup.devices):
        yield (
            "The lines `find:` and the codes in capitals, once the real switches are there: keys "
            "stand in for them. `remapd devices` shows what each switch is."
        )
    doings = [doing for _, _, doing in plan.doings()]
    deed = _players_deed(setup, plan)
    if setup.helpers_devices and deed:
        yield (
            "Who may do what: `player-only` under `merge` keeps a deed for the player, as in "
            f"`merge: {{{deed}: player-only}}`."
        )
    if any(isinstance(doing, Listed) and doing.take is None for doing in doings):
        yield (
            "`every`: how long each item of the list waits. Time a few presses from the "
            "announcement to the press, take the mean and divide it by 0.65; 1 s gives about the "
            "1.5 s written here. (The 0.65 rule: Simpson, Koester and LoPresti, Assistive "
            "Technology, 2007.)"
        )
    if any(each.kind == "button" and not each.settings for each in setup.players_controls):
        yield (
            "A switch that is brushed unmeant can wait: `acceptance-delay: 80ms` behind its code. "
            "One that trembles: `release-delay: 80ms`."
        )
    if any(each.kind in {"stick", "pointer"} for each in setup.players_controls):
        yield "`dead-zone`: larger if things drift while the stick is at rest."
    if any(isinstance(doing, ShortLong) for doing in doings):
        yield "`after`: how long a press lasts before it is a long one."
    if any(isinstance(doing, Listed) for doing in doings):
        yield "The order of the list: what is wanted most comes first."
    if any(doing.lasts for doing in doings):
        yield "`at-most`: how long something goes on by itself."
    if any(isinstance(doing, Layered) and doing.how == "next" for doing in doings):
        yield "`give-up`: how long a layer waits for the press that it was opened for."
    yield "The words on the left under `verbs`: call things as the player and the game do."


def _players_deed(setup: Setup, plan: Plan) -> str:
    """The first thing that the player presses for, other than a way of a stick."""
    own = {word_of(each, setup) for each in setup.players_controls}
    deeds = {
        getattr(doing, "word", "")
        for _, control, doing in plan.doings()
        if {control, control.rpartition(".")[0]} & own
    }
    return next(
        (
            verb.name
            for verb in setup.game.verbs
            if verb.use is not Use.STEERED and not verb.deliberate and verb.name in deeds
        ),
        "",
    )

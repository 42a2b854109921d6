"""What the game needs: a kind of game to begin from, and its verbs until they are right."""

from __future__ import annotations

from typing import Final

from remapd.engine.pad_controls import BUTTON_COUNT, TARGET_NAMES
from remapd.fitting.conversation.questions import Choose, Interview, Option, Say, Write
from remapd.fitting.games import (
    GAME_KINDS,
    STICKS,
    WAYS,
    GameNeeds,
    Use,
    Verb,
    name_fault,
    name_from,
)

_USES: Final = {
    Use.TAPPED: "a short press does it",
    Use.HELD: "it lasts as long as it is held",
    Use.REPEATED: "many short presses, one after another",
    Use.STEERED: "a stick that is pushed",
}


def ask_game(round_name: str = "") -> Interview[GameNeeds]:
    """Asks for the kind of game, and lets its verbs be changed until they are right.

    `round_name` tells the questions of a second round from those of the first.
    """
    kinds = list(GAME_KINDS.values())
    kind = yield Choose(
        f"game-kind{round_name}",
        "What kind of game is it? The nearest will do: what it needs can be changed next.",
        tuple(Option(game.kind, f"{game.title}. {game.told}") for game in kinds),
    )
    needs = GAME_KINDS[kind]
    times = 0
    while True:
        times += 1
        number = f"{times}{round_name}"
        yield Say(f"{needs.title}. What the player does in it, the most important first:")
        yield Say("\n".join(f"  {_in_words(verb)}" for verb in needs.verbs), as_is=True)
        what = yield Choose(
            f"game-change-{number}",
            "Is that what the game needs?",
            (
                Option("good", "yes, go on"),
                Option("remove", "something is not needed"),
                Option("rename", "the game has another word for something"),
                Option("add", "something is missing"),
                Option("first", "something else matters most"),
            ),
            "good",
            "Fewer is easier to play. What is not needed costs presses and layers.",
        )
        if what == "good":
            return needs
        needs = yield from _change(needs, what, number)


def _change(needs: GameNeeds, what: str, number: str) -> Interview[GameNeeds]:
    if what == "add":
        return (yield from _add(needs, number))
    if what == "remove" and len(needs.verbs) == 1:
        yield Say("One thing has to be left; rename it, or add another first.")
        return needs
    verb = yield Choose(
        f"game-verb-{number}",
        {
            "remove": "Which of them is not needed?",
            "rename": "Which of them has another word?",
            "first": "What matters most?",
        }[what],
        tuple(Option(verb.name, verb.name) for verb in needs.verbs),
    )
    if what == "remove":
        return needs.without(verb)
    if what == "first":
        moved = needs.verb(verb)
        rest = tuple(each for each in needs.verbs if each.name != verb)
        return GameNeeds(needs.kind, needs.title, needs.told, (moved, *rest))
    others = tuple(each.name for each in needs.verbs if each.name != verb)
    word = yield Write(
        f"game-word-{number}",
        f"What is {verb} called in the game?",
        (),
        lambda words: name_fault(name_from(words), others),
    )
    return needs.renamed(verb, name_from(word))


def _add(needs: GameNeeds, number: str) -> Interview[GameNeeds]:
    names = tuple(verb.name for verb in needs.verbs)
    word = yield Write(
        f"game-word-{number}",
        "What is it called in the game? One or two words, such as cast net.",
        (),
        lambda words: name_fault(name_from(words), names),
    )
    taken = {verb.pad for verb in needs.verbs}
    free = [pad for pad in (*TARGET_NAMES[:BUTTON_COUNT], *STICKS) if pad not in taken]
    free = [pad for pad in free if not (pad.startswith("dpad-") and "dpad" in taken)]
    pad = yield Choose(
        f"game-pad-{number}",
        f"Which part of a gamepad does {word} in the game? Its own settings tell.",
        tuple(Option(each, each) for each in free),
        about="Names say where a part is: south is the lowest of the four buttons on the right.",
    )
    if pad in STICKS:
        verb = Verb(name_from(word), pad, Use.STEERED, WAYS)
    else:
        use = yield Choose(
            f"game-use-{number}",
            f"How is {word} used?",
            tuple(
                Option(use.value, words) for use, words in _USES.items() if use is not Use.STEERED
            ),
        )
        verb = Verb(name_from(word), pad, Use(use))
    try:
        return needs.with_verb(verb)
    except ValueError as fault:
        yield Say(f"{fault}.")
        return needs


def _in_words(verb: Verb) -> str:
    """As in `steer  (left-stick: left, right; not too much at once)`."""
    parts = [verb.pad]
    if verb.ways and len(verb.ways) < len(WAYS):
        parts[0] = f"{verb.pad}, {' and '.join(verb.ways)} only"
    if verb.use is not Use.STEERED and verb.use is not Use.TAPPED:
        parts.append(_USES[verb.use])
    if verb.in_haste:
        parts.append("in haste")
    if verb.deliberate:
        parts.append("not by accident")
    if verb.along_with:
        parts.append(f"together with {' and '.join(verb.along_with)}")
    return f"{verb.name}  ({'; '.join(parts)})"

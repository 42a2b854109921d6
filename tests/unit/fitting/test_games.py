"""Kinds of game, and what a person changes in them."""

from __future__ import annotations

import pytest

from remapd.fitting.games import GAME_KINDS, STICKS, Use, Verb, name_fault, name_from

DRIVING = GAME_KINDS["driving"]


@pytest.mark.parametrize("game", GAME_KINDS.values(), ids=GAME_KINDS)
def test_a_kind_of_game_hangs_together(game: object) -> None:
    game = GAME_KINDS[getattr(game, "kind", "")]
    names = [verb.name for verb in game.verbs]
    for verb in game.verbs:
        assert name_fault(verb.name, tuple(name for name in names if name != verb.name)) is None
        assert (verb.pad in STICKS) == (verb.use is Use.STEERED) == bool(verb.ways)
        assert set(verb.along_with) <= set(names) - {verb.name}
    assert len({verb.pad for verb in game.verbs}) == len(names)
    assert game.verbs[-1].deliberate, "what is wanted seldom and on purpose comes last"


def test_a_verb_is_added_renamed_and_taken_out_with_all_that_speaks_of_it() -> None:
    horn = DRIVING.with_verb(Verb("horn", "north"), before="boost")
    assert [verb.name for verb in horn.verbs][3] == "horn"
    renamed = horn.renamed("steer", "rudder")
    assert renamed.verb("drive").along_with == ("rudder",)
    assert renamed.without("rudder").verb("drive").along_with == ()
    with pytest.raises(KeyError):
        renamed.verb("steer")


@pytest.mark.parametrize(
    ("verb", "said"),
    [
        (Verb("boost", "north"), "there already"),
        (Verb("Horn", "north"), "cannot be written"),
        (Verb("south", "north"), "word of the layouts"),
        (Verb("horn", "south"), "south is boost already"),
        (Verb("horn", "hoot"), "the pad has no hoot"),
        (Verb("horn", "dpad"), "a stick is steered"),
        (Verb("horn", "north", Use.STEERED, ("up",)), "north is no stick"),
    ],
)
def test_what_will_not_do_is_refused_in_words(verb: Verb, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        DRIVING.with_verb(verb)
    if verb.name != "horn":
        with pytest.raises(ValueError, match=said):
            DRIVING.renamed("brake", verb.name)


def test_what_is_typed_becomes_a_name_that_can_be_written() -> None:
    assert name_from("Left knee!") == "left-knee"
    assert name_from("  2 puffs ") == "puffs"
    assert name_from("Größe à côté") == "grosse-a-cote"
    assert name_from("!?") == ""

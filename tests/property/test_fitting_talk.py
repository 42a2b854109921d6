"""Whatever is typed and pressed, in whatever order, a fitting goes on and nothing of it is lost."""

from __future__ import annotations

import functools
import json
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from remapd.fitting.conversation.dialogue import Kept
from remapd.fitting.conversation.interview import Outcome, Places, fitting
from remapd.fitting.conversation.planning import Planned, planning
from remapd.fitting.conversation.questions import Find, Play, Try
from remapd.language import load_text
from tests.support.sitting import TRIED, Sitting, device, heard

PLACES = Places("", lambda _title: "made.yaml", lambda _path: None, lambda _path: ())
BOX = device("Switch box")
HEARD = (
    heard("BTN_0", on=BOX),
    heard("BTN_1", on=BOX, held_us=40_000, released=True),
    heard("ABS_X", "ABS_Y", kind="stick", on=device("Stick")),
    heard("ABS_Y", kind="lever", on=device("Breath"), pair=["ABS_X", "ABS_Y"]),
    heard("REL_X", "REL_Y", kind="pointer", on=device("Ball", acts_as="mouse", in_words=True)),
    heard("KEY_ENTER", on=device("Keys", acts_as="keyboard", in_words=True)),
    heard("BTN_SOUTH", on=device("Pad", is_gamepad=True)),
)
WORDS = (
    "", "1", "2", "3", "5", "99", "yes", "no", "done", "skip", "back", "again", "help", "left knee",
    "breath", "two", "first", "box", "leave", "keys", "whole", "good", "add", "remove", "rename",
    "more", "retry", "hear 1", "move", "game", "controls", "other", "made.yaml", "“back”",
    "æ\x07\u202e", " " * 9, "x" * 500, "\x7f",
)  # fmt: skip

#: A session that comes to its end; what is random begins somewhere in it.
WHOLE: tuple[str | dict[str, Any], ...] = (
    *("Gull", "two", "", "", HEARD[0], "left knee", "yes", "sure", HEARD[2], "chin", "no", "2"),
    *("done", HEARD[6], "whole", "done", "", "yes", "1", "good", "1", "yes", "", ""),
)

STEPS = st.builds(
    lambda known, rest: [*WHOLE[:known], *rest],
    st.integers(0, len(WHOLE)),
    st.lists(st.one_of(st.sampled_from(WORDS), st.sampled_from(HEARD)), max_size=40),
)


def carried(made: Sitting[Any], steps: list[str | dict[str, Any]]) -> None:
    for step in steps:
        if made.dialogue.ended:
            return
        if isinstance(step, str):
            made.dialogue.line(made.now_us, step)
        elif isinstance(made.dialogue.question, Find):
            made.dialogue.found(made.now_us, step)
        if isinstance(made.dialogue.question, Try):
            made.dialogue.found(made.now_us, TRIED)
        if isinstance(made.dialogue.question, Play):
            made.dialogue.played(made.now_us)


@given(STEPS)
@settings(max_examples=60, deadline=None)
def test_a_fitting_goes_on_and_its_answers_lead_to_the_same_place(
    steps: list[str | dict[str, Any]],
) -> None:
    made: Sitting[Outcome] = Sitting(functools.partial(fitting, PLACES))
    carried(made, steps)

    kept = json.loads(json.dumps([[k.question, k.answer] for k in made.dialogue.kept]))
    again: Sitting[Outcome] = Sitting(
        functools.partial(fitting, PLACES), [Kept(*each) for each in kept]
    )
    assert [each.question for each in again.dialogue.kept] == [question for question, _ in kept]
    assert _place(again) == _place(made)
    if made.dialogue.result is not None:
        assert load_text(made.dialogue.result.layout).layout is not None


@given(STEPS)
@settings(max_examples=40, deadline=None)
def test_a_plan_goes_on_too(steps: list[str | dict[str, Any]]) -> None:
    made: Sitting[Planned] = Sitting(functools.partial(planning, PLACES))
    carried(made, steps)

    again: Sitting[Planned] = Sitting(functools.partial(planning, PLACES), made.dialogue.kept)
    assert _place(again) == _place(made)


def _place(made: Sitting[Any]) -> str | None:
    return None if made.dialogue.question is None else made.dialogue.question.id

"""Where controls are on the card is guessed from their names, shown, and can be put right."""

from __future__ import annotations

from remapd.fitting.conversation.placing import ask_places
from remapd.fitting.conversation.questions import Interview
from remapd.fitting.places import places_of
from remapd.fitting.setup import FoundControl, FoundDevice, Person, Setup
from tests.support.sitting import Sitting


def setup(*movements: str) -> Setup:
    return Setup(
        people=(Person("Robin"),),
        devices=(FoundDevice("box", {"name": "Box"}, "Box", "Robin"),),
        controls=tuple(
            FoundControl(words.replace(" ", "-"), "box", codes=(f"BTN_{n}",), movement=words)
            for n, words in enumerate(movements)
        ),
    )


def sitting(setup: Setup, *steps: str) -> Sitting[Setup]:
    def interview() -> Interview[Setup]:
        return (yield from ask_places(setup))

    made = Sitting(interview)
    made.give(*steps)
    return made


def result(made: Sitting[Setup]) -> dict[str, tuple[int, int]]:
    assert made.dialogue.result is not None, made.text
    return places_of(made.dialogue.result)


def test_enter_keeps_what_the_names_tell() -> None:
    made = sitting(setup("left knee", "chin", "right knee"), "")

    assert (
        "From the top down:\n"
        "  - chin in the middle\n"
        "  - left-knee on the left, right-knee on the right\n" in made.text
    )
    assert result(made) == {"left-knee": (1, 2), "chin": (2, 1), "right-knee": (3, 2)}


def test_one_that_is_somewhere_else_is_put_there_and_shown_again() -> None:
    made = sitting(setup("left knee", "right knee"), "move", "left-knee", "mouth", "middle")
    assert made.text.count("From the top down:") == 2
    made.give("")

    assert result(made) == {"left-knee": (2, 1), "right-knee": (3, 2)}


def test_what_no_name_tells_is_asked_for_each() -> None:
    made = sitting(setup("red", "yellow", "chin"))
    assert "Where red, yellow are cannot be told from the name." in made.text
    made.give("say", "6", "1", "6", "3", "")

    assert result(made) == {"red": (1, 2), "yellow": (3, 2), "chin": (2, 1)}


def test_what_no_name_tells_may_stay_untold() -> None:
    assert result(sitting(setup("red", "chin"), "")) == {}


def test_of_a_control_that_is_alone_nothing_is_asked() -> None:
    assert sitting(setup("left knee")).dialogue.ended

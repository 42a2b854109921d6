"""Which keyboard answers are typed on is told by what it sends, and a box is never taken for it."""

from __future__ import annotations

from remapd.codes import KEYS
from remapd.fitting.typists import Typists

ENTER = KEYS["KEY_ENTER"]


def typed(typists: Typists, key: str, words: str) -> None:
    for letter in words:
        typists.press(key, KEYS[f"KEY_{letter.upper()}"])
    typists.press(key, ENTER)


def test_the_keyboard_that_spells_the_line_is_the_one() -> None:
    typists = Typists()
    typed(typists, "desk", "gull")
    typists.line("gull")

    assert typists.keys == {"desk"}


def test_a_box_that_sends_enter_or_less_than_the_line_is_none() -> None:
    typists = Typists()
    typists.press("box", ENTER)
    typists.line("")
    assert typists.keys == set()

    typed(typists, "box", "q")
    typists.line("gull")
    assert typists.keys == set()


def test_over_a_network_no_keyboard_here_is_taken_for_it() -> None:
    typists = Typists()
    typists.line("gull")
    typists.press("box", KEYS["KEY_A"])
    typists.press("box", ENTER)
    typists.line("another line")

    assert typists.keys == set()


def test_somebody_who_types_on_a_box_is_noticed_and_a_few_switches_are_not() -> None:
    typists = Typists()
    switches = [typists.is_typed_on(n * 300_000, "box", (1, 2, 3)[n % 3]) for n in range(30)]
    assert not any(switches)

    assert [typists.is_typed_on(10**9 + n, "desk", n) for n in range(4)] == [False] * 3 + [True]

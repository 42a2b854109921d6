"""Every command that a page shows prints what the page says."""

from __future__ import annotations

import pytest

from tests.docs.console import CHECKOUT, PAGES, agrees, checked


@pytest.mark.parametrize("page", PAGES)
def test_the_commands_of_a_page_print_what_it_shows(page: str) -> None:
    _, wrong = checked((CHECKOUT / page).read_text(encoding="utf-8"))
    assert not wrong, "\n\n".join(wrong) + "\n\n`python -m tests.docs.console --update` mends it"


def test_an_elision_stands_for_any_number_of_lines_and_for_nothing_else() -> None:
    printed = ["one", "two", "three"]
    assert agrees(["one", "…"], printed)
    assert agrees(["one", "…", "three"], printed)
    assert agrees(["one", "two", "…", "three"], printed)
    assert not agrees(["one", "three"], printed)
    assert not agrees(["two", "…"], printed)


def test_beside_a_daemon_only_what_passes_may_differ() -> None:
    printed = ["in force for 3 s at /dev/input/event-none since 10:20:30", "`knees` is there"]
    assert agrees(
        ["in force for 1 min 4 s at /dev/input/event7 since 09:00:01", "…"], printed, loosely=True
    )
    assert not agrees(
        ["in force for 9 s at /dev/input/event7 since 09:00:01", "`ball` is there"],
        printed,
        loosely=True,
    )
    assert not agrees(["in force for 4 s at /dev/input/event7 since 10:20:30", "…"], printed)

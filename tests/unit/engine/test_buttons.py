"""The button machine against a second, plain account of the same five stages, and at its edges."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.engine.buttons import ButtonMachine, Refusal
from remapd.engine.settings import ButtonSettings
from remapd.engine.timers import Timers
from tests.support.one_button import OneButton, Refused, one_button

NEVER_US = 10**12

# ---------------------------------------------------------------- a second account
# Whole lists of times, one stage after another, with no states: [down, up, down, up, ...].


def debounced(changes_us: list[int], debounce_us: int) -> list[int]:
    """Each taken change blocks for T; at T's end the state then present is taken."""
    if not debounce_us:
        return changes_us
    taken: list[int] = []
    index = 0
    quiet_from_us = -NEVER_US
    while index < len(changes_us) or len(taken) % 2 != len(changes_us) % 2:
        # What has changed within T is settled at its end, before a change then.
        while index < len(changes_us) and changes_us[index] < quiet_from_us:
            index += 1
        if index % 2 != len(taken) % 2:
            taken.append(quiet_from_us)
        elif index < len(changes_us):
            taken.append(changes_us[index])
            index += 1
        quiet_from_us = taken[-1] + debounce_us
    return taken


def pressed_and_released(changes_us: list[int], settings: ButtonSettings) -> list[tuple[int, bool]]:
    """Presses and releases that come out, for changes that end with the control up."""
    taken = debounced(changes_us, settings.debounce_us)
    presses: list[list[tuple[int, int]]] = []
    for down_us, up_us in zip(taken[::2], taken[1::2], strict=True):
        if presses and down_us - presses[-1][-1][1] < settings.release_delay_us:
            presses[-1].append((down_us, up_us))
        else:
            presses.append([(down_us, up_us)])
    told: list[tuple[int, bool]] = []
    guard_from_us = -NEVER_US
    for pieces in presses:
        begun_us = pieces[0][0]
        over_us = pieces[-1][1] + settings.release_delay_us
        due_us = begun_us + settings.acceptance_delay_us
        # Accepted when due within a piece, else at the next piece.
        accepted = [max(due_us, down_us) for down_us, up_us in pieces if due_us <= up_us]
        if not accepted or begun_us - guard_from_us < settings.repeat_guard_us:
            continue
        ended_us = over_us
        if settings.longest_us:
            ended_us = min(ended_us, accepted[0] + settings.longest_us)
        told += [(accepted[0], True), (ended_us, False)]
        guard_from_us = over_us
    return told


DELAYS = st.sampled_from([0, 0, 1, 2, 3, 5, 8, 20])
SETTINGS = st.builds(
    ButtonSettings,
    debounce_us=DELAYS,
    release_delay_us=DELAYS,
    acceptance_delay_us=DELAYS,
    repeat_guard_us=DELAYS,
    longest_us=DELAYS,
)
#: Gaps so short that boundaries are met again and again.
CHANGES = st.lists(st.integers(1, 12), max_size=24).map(
    lambda gaps: [sum(gaps[: index + 1]) for index in range(len(gaps) - len(gaps) % 2)]
)


@given(SETTINGS, CHANGES)
def test_two_accounts_of_the_five_stages_agree(
    settings: ButtonSettings, changes_us: list[int]
) -> None:
    button = OneButton(settings)
    button.play(changes_us, NEVER_US)

    assert button.told == pressed_and_released(changes_us, settings)
    assert button.timers.next_due_us is None
    assert not button.machine.pressed


@given(SETTINGS, CHANGES)
def test_presses_and_releases_take_turns_and_time_goes_on(
    settings: ButtonSettings, changes_us: list[int]
) -> None:
    button = OneButton(settings)
    button.play(changes_us, NEVER_US)

    assert [pressed for _, pressed in button.told] == [True, False] * (len(button.told) // 2)
    assert [us for us, _ in button.told] == sorted(us for us, _ in button.told)


@given(SETTINGS, CHANGES)
def test_how_time_is_cut_changes_nothing(settings: ButtonSettings, changes_us: list[int]) -> None:
    whole, cut = OneButton(settings), OneButton(settings)
    whole.play(changes_us, 400)
    for us in range(401):
        cut.advance(us)
        if us in changes_us:
            cut.machine.change(changes_us.index(us) % 2 == 0, us)

    assert cut.told == whole.told
    assert cut.refused == whole.refused


@given(SETTINGS, CHANGES)
def test_every_press_that_begins_is_accepted_or_refused_with_a_reason(
    settings: ButtonSettings, changes_us: list[int]
) -> None:
    button = OneButton(replace(settings, debounce_us=0))
    button.play(changes_us, NEVER_US)
    downs, ups = changes_us[::2], changes_us[1::2]
    begun = sum(
        1
        for index, down_us in enumerate(downs)
        if index == 0 or down_us - ups[index - 1] >= settings.release_delay_us
    )

    assert begun == len(button.told) // 2 + len(button.refused)
    for refused in button.refused:
        assert 0 <= refused.held_us < refused.limit_us


# ---------------------------------------------------------------- what a clean press costs


def test_a_clean_press_sets_no_timer() -> None:
    button = one_button(debounce_us=15_000)
    button.down(0)
    assert button.timers.next_due_us is None
    button.up(100_000)
    assert button.timers.next_due_us is None

    assert button.told == [(0, True), (100_000, False)]


def test_debounce_has_its_place_among_timers_from_where_it_began() -> None:
    """Timers due together fire in the order in which they were set: T was set at the change."""
    timers = Timers()
    order: list[str] = []

    class Listener:
        def button_pressed(self, number: int, us: int) -> None:
            order.append(f"{number} pressed at {us}")

        def button_released(self, number: int, us: int) -> None:
            order.append(f"{number} released at {us}")

        def button_refused(
            self, number: int, us: int, reason: Refusal, held_us: int, limit_us: int
        ) -> None:
            raise AssertionError

    chatters = ButtonMachine(0, ButtonSettings(debounce_us=40), timers, Listener())
    waits = ButtonMachine(1, ButtonSettings(0, acceptance_delay_us=30), timers, Listener())
    chatters.change(True, 0)  # T ends at 40
    waits.change(True, 10)  # accepted at 40
    chatters.change(False, 20)  # only now is a timer needed
    while timer := timers.pop_due(40):
        timer.fire(timer.due_us)

    assert order == ["0 pressed at 0", "0 released at 40", "1 pressed at 40"]


# ---------------------------------------------------------------- at the very microsecond


@pytest.mark.parametrize(("up_us", "accepted"), [(79_999, False), (80_000, True)])
def test_acceptance_delay_to_the_microsecond(up_us: int, accepted: bool) -> None:
    button = one_button(acceptance_delay_us=80_000)
    button.hold(0, up_us)
    button.advance(NEVER_US)

    if accepted:
        assert button.told == [(80_000, True), (80_000, False)]
        assert button.refused == []
    else:
        assert button.told == []
        assert button.refused == [Refused(79_999, Refusal.ACCEPTANCE_DELAY, 79_999, 80_000)]


@pytest.mark.parametrize(("again_us", "bridged"), [(119_999, True), (120_000, False)])
def test_release_delay_to_the_microsecond(again_us: int, bridged: bool) -> None:
    button = one_button(release_delay_us=20_000)
    button.hold(0, 100_000)
    button.hold(again_us, 200_000)
    button.advance(NEVER_US)

    between = [] if bridged else [(120_000, False), (120_000, True)]
    assert button.told == [(0, True), *between, (220_000, False)]


@pytest.mark.parametrize(("again_us", "accepted"), [(399_999, False), (400_000, True)])
def test_repeat_guard_to_the_microsecond(again_us: int, accepted: bool) -> None:
    button = one_button(repeat_guard_us=300_000)
    button.hold(0, 100_000)
    button.hold(again_us, 500_000)

    assert button.told[2:] == ([(again_us, True), (500_000, False)] if accepted else [])
    assert button.refused == (
        [] if accepted else [Refused(again_us, Refusal.REPEAT_GUARD, 299_999, 300_000)]
    )


@pytest.mark.parametrize(("up_us", "told_us"), [(14_999, 15_000), (15_000, 15_000)])
def test_debounce_to_the_microsecond(up_us: int, told_us: int) -> None:
    button = one_button(debounce_us=15_000)
    button.hold(0, up_us)
    # The first began a new T at 15000 by its timer, the second by itself: both end at 30000.
    button.hold(29_999, 31_000)
    button.advance(NEVER_US)

    assert button.told == [(0, True), (told_us, False), (30_000, True), (45_000, False)]


def test_a_press_within_debounce_is_told_as_refused() -> None:
    button = one_button(debounce_us=200_000)
    button.hold(0, 300_000)
    button.hold(350_000, 390_000)  # all of it within the 200 ms after the release
    button.hold(450_000, 600_000)  # and this one not

    assert button.refused == [Refused(390_000, Refusal.DEBOUNCE, 40_000, 200_000)]
    assert button.told[2:] == [(500_000, True)]


def test_a_change_as_debounce_takes_another_falls_into_the_new_time() -> None:
    """The timer comes before a change at its own time: the release is taken, the press waits."""
    button = one_button(debounce_us=15_000)
    button.hold(0, 5_000)
    button.hold(15_000, 50_000)

    assert button.told == [(0, True), (15_000, False), (30_000, True), (50_000, False)]


def test_acceptance_and_bridge_at_the_same_time() -> None:
    button = one_button(acceptance_delay_us=50_000, release_delay_us=20_000)
    button.hold(0, 40_000)
    button.down(50_000)

    assert button.told == [(50_000, True)]


def test_longest_ends_a_press_that_slips() -> None:
    button = one_button(longest_us=50_000, release_delay_us=30_000)
    button.hold(0, 40_000)
    button.advance(60_000)
    button.down(65_000)  # the gap is bridged: still the same press, which is spent
    button.hold(65_000, 100_000)
    button.advance(NEVER_US)

    assert button.told == [(0, True), (50_000, False)]


# ---------------------------------------------------------------- start, drop, tunings


@pytest.mark.parametrize("stages", [{}, {"release_delay_us": 20_000}, {"debounce_us": 15_000}])
def test_held_at_the_start_acts_only_after_a_fresh_press(stages: dict[str, int]) -> None:
    button = one_button(repeat_guard_us=500_000, **stages)
    button.machine.start(True, 0)
    button.up(100_000)
    button.advance(200_000)
    button.down(300_000)

    assert button.told == [(300_000, True)]  # and the release at 100 ms began no guard
    assert button.refused == []


def test_a_slip_while_held_at_the_start_is_no_fresh_press() -> None:
    button = one_button(release_delay_us=50_000)
    button.machine.start(True, 0)
    button.up(100_000)
    button.hold(120_000, 200_000)
    button.advance(NEVER_US)

    assert button.told == []


@given(SETTINGS, CHANGES, st.integers(0, 60), st.booleans())
def test_a_start_forgets_all_that_was(
    settings: ButtonSettings, changes_us: list[int], start_us: int, down: bool
) -> None:
    """After `start` the machine is as a new one that was started so."""
    old, new = OneButton(settings), OneButton(settings)
    old.play([us for us in changes_us if us <= start_us], start_us)
    old.told.clear()
    old.refused.clear()
    for button in (old, new):
        button.machine.start(down, start_us)
        assert button.timers.next_due_us is None
        assert button.told == []
        for index, after_us in enumerate((3, 4, 8, 9, 14, 23, 25, 31)):
            button.advance(start_us + after_us)
            button.machine.change((index % 2 == 0) is not down, start_us + after_us)
        button.advance(NEVER_US)

    assert old.told == new.told
    assert old.refused == new.refused


@pytest.mark.parametrize("at_us", [10_000, 35_000, 75_000])
def test_dropped_device_leaves_no_timer_and_tells_nothing(at_us: int) -> None:
    button = one_button(acceptance_delay_us=30_000, longest_us=40_000, debounce_us=5_000)
    button.down(0)
    button.advance(at_us)
    told = list(button.told)
    button.machine.drop()

    assert button.timers.next_due_us is None
    assert button.told == told
    assert not button.machine.pressed
    assert not button.machine.down


def test_a_press_under_way_keeps_what_it_began_with() -> None:
    button = one_button(acceptance_delay_us=80_000)
    button.down(0)
    button.machine.settings = ButtonSettings(debounce_us=0, acceptance_delay_us=20_000)
    button.advance(50_000)
    assert button.told == []
    button.up(100_000)
    button.hold(200_000, 300_000)

    assert button.told == [(80_000, True), (100_000, False), (220_000, True), (300_000, False)]


def test_a_press_under_way_keeps_its_release_delay_and_its_debounce() -> None:
    button = one_button(release_delay_us=50_000, debounce_us=10_000)
    button.down(0)
    button.machine.settings = ButtonSettings(debounce_us=0)
    button.up(100_000)
    button.down(105_000)  # still chatter, by the 10 ms of this press
    button.up(108_000)
    button.advance(200_000)
    button.hold(300_000, 300_001)

    assert button.told == [(0, True), (150_000, False), (300_000, True), (300_001, False)]


def test_the_guard_is_that_of_the_press_that_begins() -> None:
    button = one_button(repeat_guard_us=0)
    button.hold(0, 100_000)
    button.machine.settings = ButtonSettings(debounce_us=0, repeat_guard_us=300_000)
    button.hold(200_000, 210_000)

    assert button.told == [(0, True), (100_000, False)]


def test_the_listener_may_start_the_machine_anew() -> None:
    """A press whose action is a rest: the button is started in the midst of its own press."""

    class Resting(OneButton):
        def button_pressed(self, number: int, us: int) -> None:
            super().button_pressed(number, us)
            self.machine.start(True, us)

    button = Resting(ButtonSettings(longest_us=50_000))
    button.hold(0, 100_000)
    button.down(200_000)

    assert button.told == [(0, True), (200_000, True)]
    assert button.timers.next_due_us is None


def test_the_same_state_again_is_nothing() -> None:
    button = one_button(debounce_us=15_000)
    button.down(0)
    button.down(5_000)
    button.down(50_000)
    button.up(100_000)
    button.up(105_000)
    button.advance(NEVER_US)

    assert button.told == [(0, True), (100_000, False)]
    assert button.refused == []

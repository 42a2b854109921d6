"""A way that the analysis found, walked on the real engine: hands, devices, virtual time."""

from __future__ import annotations

from remapd.analysis.reach.goals import LEFT_TRIGGER_BY_DEGREES, opposite
from remapd.analysis.reach.hands import PACE_US, handling_of
from remapd.analysis.reach.offers import offered_us
from remapd.analysis.reach.steps import Act, Step, Way
from remapd.engine.actions import Scan, SendStick
from remapd.engine.layout import Control, Layout, PointerControl, StickControl
from remapd.engine.notices import NoticeKind
from remapd.engine.pad_controls import (
    BUTTON_COUNT,
    DPAD,
    DPAD_UP,
    FIRST_DIRECTION,
    LEFT_TRIGGER,
    TARGET_COUNT,
    TARGET_NAMES,
)
from remapd.engine.settings import ButtonSettings, LeverSettings
from tests.support.bench import Bench

_LITTLE_US = 10_000


class TooSlowError(Exception):
    """The play takes a little longer than the search reckons, and something has run out."""


class WayPlay:
    """Walks one way; `reached` is whether the goal was given to the pad by its last step."""

    def __init__(self, layout: Layout, scans: list[Scan], way: Way) -> None:
        self.layout = layout
        self.bench = Bench(layout)
        self._scans = scans
        self._way = way
        self._pointers: dict[int, tuple[float, float, int]] = {}
        self._scan_began_us: dict[int, int] = {}
        self._notices_read = 0
        self.now_us = self.bench.now_us
        self._watch_from = 0
        self._holding_for_both = False
        self._settled_us = 0

    def walk(self) -> bool:
        """Does all steps; whether the goal is reached by the last of them."""
        last = len(self._way.steps) - (2 if self._way.both else 1)
        for number, step in enumerate(self._way.steps):
            if number == last:
                self._watch_from = len(self.bench.changes)
            self._holding_for_both = self._way.both and number == last
            self._do(step, is_last=number >= last)
        self._until(self.now_us + 2_000_000)
        return self._given()

    def walk_into(self) -> tuple[int, ...]:
        """Does all steps of a way into a situation; the layers that are then on above the base."""
        for step in self._way.steps:
            self._do(step, is_last=False)
        self._until(self.now_us + 200_000)
        return tuple(self.bench.engine.active_layers)[1:]

    # ------------------------------------------------------------------ steps
    def _do(self, step: Step, *, is_last: bool) -> None:
        match step.act:
            case Act.WAIT:
                # What a gesture begins while it settles is limited from then on.
                self._until(self.now_us + step.wait_us + self._settled_us + 1_000)
            case Act.LET_GO:
                for button in step.buttons:
                    self._release(button)
                self._settle(step)
            case Act.MOVE:
                self._move(step, is_last=is_last)
            case Act.PICK | Act.PICK_AND_HOLD:
                self._await_item(step)
                self._press(step, is_last=is_last)
            case Act.GO_ON | Act.END_REST | Act.PRESS | Act.HOLD:
                self._ready(step.buttons)
                self._press(step, is_last=is_last)

    def _ready(self, buttons: tuple[int, ...]) -> None:
        handlings = [handling_of(self.layout, button) for button in buttons]
        self._until(self.now_us + max(h.ready_us - h.accepted_after_us for h in handlings) + 1_000)

    def _press(self, step: Step, *, is_last: bool) -> None:
        """Presses as the gesture says; keeps holding where the step does, or it is the last."""
        gesture = step.gesture
        handlings = [handling_of(self.layout, button) for button in step.buttons]
        presses = 1 if gesture is None else gesture.presses
        hold_us = 0 if gesture is None else gesture.hold_us
        for press in range(presses):
            begun_us = self.now_us
            accepted_us = begun_us + max(h.accepted_after_us for h in handlings)
            # Of a chord, the first-named one counts first.
            starts = sorted(
                (accepted_us - h.accepted_after_us + number * 2_000, button)
                for number, (h, button) in enumerate(zip(handlings, step.buttons, strict=True))
            )
            accepted_us += (len(starts) - 1) * 2_000
            for us, button in starts:
                self._until(us)
                self._down(button)
            self._until(accepted_us)
            if press < presses - 1:
                self._until(accepted_us + max(h.down_us for h in handlings) + 1_000)
                for button in step.buttons:
                    self._release(button)
                again_us = max(h.repeat_us - h.down_us - h.accepted_after_us for h in handlings)
                self._until(self.now_us + again_us + 1_000)
        kept = step.act in {Act.HOLD, Act.PICK_AND_HOLD}
        down_us = 0 if kept else max(h.down_us for h in handlings) + 1_000
        self._until(self.now_us + max(step.chord_us + hold_us + 1_000, down_us))
        if is_last and not self._given() and gesture is not None and gesture.during:
            # A press that is held may take its time: a chord's wait, a ramp.
            self._until(self.now_us + self.layout.chord_window_us + _LITTLE_US)
        if kept or self._holding_for_both or (is_last and self._given()):
            return
        for button in step.buttons:
            self._release(button)
        self._settle(step)

    def _settle(self, step: Step) -> None:
        """Until the release counts and all that goes on by itself is over."""
        handlings = [handling_of(self.layout, button) for button in step.buttons]
        settle_us = 0 if step.gesture is None else step.gesture.settle_us
        self._until(self.now_us + max(h.shortest_us for h in handlings) + settle_us + 1_000)
        self._settled_us = settle_us

    def _await_item(self, step: Step) -> None:
        scan = self._scans[step.scan]
        self._ready(step.buttons)
        if scan.pick is not None:
            return
        handling = handling_of(self.layout, step.buttons[0])
        if step.person not in self._scan_began_us:
            raise TooSlowError
        began_us = self._scan_began_us[step.person]
        for turn in range(scan.rounds):
            begins_us, ends_us = offered_us(scan, turn * len(scan.items) + step.item)
            accepted_us = max(
                self.now_us + handling.accepted_after_us,
                began_us + begins_us + (ends_us - begins_us) // 2,
            )
            if accepted_us < began_us + ends_us:
                self._until(accepted_us - handling.accepted_after_us)
                return
        raise TooSlowError

    def _move(self, step: Step, *, is_last: bool) -> None:
        self._until(self.now_us + PACE_US)
        goal = self._way.goal
        by_degrees = is_last and goal >= TARGET_COUNT
        share = half_way(self.layout.controls[step.control]) if by_degrees else 1.0
        if by_degrees and goal < LEFT_TRIGGER_BY_DEGREES:
            goal = FIRST_DIRECTION + 4 * (goal - TARGET_COUNT)  # upward
        self._deflect(step, share, goal if is_last else None)
        is_short = self._holding_for_both or not is_last
        self._until(self.now_us + (_LITTLE_US if is_short else 1_000_000))
        if self._holding_for_both or (is_last and self._given()):
            return
        self._rest(step)

    def _deflect(self, step: Step, share: float, goal: int | None) -> None:
        control = self.layout.controls[step.control]
        if not isinstance(control, StickControl | PointerControl):
            self.bench.move(control.name, share, at=self.now_us / 1000)
            return
        direction = 0
        if goal is not None and isinstance(step.whole, SendStick):
            direction = hand_direction(step.whole, goal)
        name = self.layout.buttons[control.buttons[direction]].name
        x, y = self.bench.driver.deflection_of(name)
        if isinstance(control, PointerControl):
            self._pointers[step.control] = (x * share, y * share, self.now_us)
            self._until(self.now_us)
        else:
            self.bench.move(control.name, x * share, y * share, at=self.now_us / 1000)

    def _rest(self, step: Step) -> None:
        control = self.layout.controls[step.control]
        self._pointers.pop(step.control, None)
        if not isinstance(control, PointerControl):
            device, events = self.bench.driver.rest(control.name)
            self.bench.raw(self.layout.devices[device].name, events, at=self.now_us / 1000)
        is_slow = getattr(control.settings, "steady", None) is not None
        self._until(self.now_us + (1_500_000 if is_slow else 100_000))

    # ------------------------------------------------------------------ hands
    def _down(self, button: int) -> None:
        entry = self.layout.buttons[button]
        if isinstance(self.layout.controls[entry.control], PointerControl):
            x, y = self.bench.driver.deflection_of(entry.name)
            before = self._pointers.get(entry.control, (0.0, 0.0, 0))
            self._pointers[entry.control] = (before[0] + x, before[1] + y, self.now_us)
            self._until(self.now_us)
        else:
            self.bench.press(entry.name, at=self.now_us / 1000)

    def _release(self, button: int) -> None:
        entry = self.layout.buttons[button]
        if isinstance(self.layout.controls[entry.control], PointerControl):
            self._pointers.pop(entry.control, None)
        else:
            self.bench.release(entry.name, at=self.now_us / 1000)

    def _until(self, us: int) -> None:
        """Time goes on; a pointer that is held gets new counts just before the old ones leave."""
        while True:
            due = [(begun, control) for control, (_, _, begun) in self._pointers.items()]
            if not due or min(due)[0] > us:
                break
            begun, number = min(due)
            x, y, _ = self._pointers[number]
            control = self.layout.controls[number]
            assert isinstance(control, PointerControl)
            device, events = self.bench.driver.deflect(control, x, y)
            at_us = max(begun, self.now_us)
            self.bench.raw(self.layout.devices[device].name, events, at=at_us / 1000)
            self.now_us = at_us
            self._pointers[number] = (x, y, at_us + control.settings.window_us - 1)
        if us > self.bench.now_us:
            self.bench.until(us / 1000)
        self.now_us = max(us, self.now_us)
        self._read_notices()

    def _read_notices(self) -> None:
        for notice in self.bench.notices[self._notices_read :]:
            if notice.kind is NoticeKind.SCAN_ITEM and notice.person is not None:
                self._scan_began_us.setdefault(notice.person, notice.us)
            elif notice.kind is NoticeKind.SCAN_END and notice.person is not None:
                self._scan_began_us.pop(notice.person, None)
        self._notices_read = len(self.bench.notices)

    # ------------------------------------------------------------------ the pad
    def _given(self) -> bool:
        return gives(self.bench, self._way.goal, self._watch_from)


def gives(bench: Bench, goal: int, from_change: int) -> bool:
    """Whether the pad's changes from a number on hold a press or motion of the goal."""
    return any(
        goal in goals_of(change.what, change.control, change.value)
        for change in bench.changes[from_change:]
    )


def goals_of(what: str, control: str, value: object) -> set[int]:
    """The goals that one change of the pad shows."""
    if what == "press":
        return {TARGET_NAMES.index(control)}
    if what == "lever" and isinstance(value, int) and value:
        trigger = TARGET_NAMES.index(control)
        degrees = {TARGET_COUNT + 2 + trigger - LEFT_TRIGGER} if 0 < value < 255 else set()
        return {trigger} | degrees
    if what == "move" and isinstance(value, tuple):
        stick = ("left-stick", "right-stick").index(control)
        first = FIRST_DIRECTION + 4 * stick
        x, y = value
        ways = (y < 0, y > 0, x < 0, x > 0)
        goals = {first + n for n, is_so in enumerate(ways) if is_so}
        if (x or y) and max(abs(x), abs(y)) < 32767:
            goals.add(TARGET_COUNT + stick)
        return goals
    return set()


def half_way(control: Control) -> float:
    """The share of a control's whole way, upward, that is half of what counts."""
    settings = control.settings
    if isinstance(settings, ButtonSettings):
        return 1.0
    reach = settings.reach if isinstance(settings, LeverSettings) else settings.reach_up
    return (settings.dead_zone + (1.0 - settings.dead_zone) / 2) * reach


def hand_direction(whole: SendStick, goal: int) -> int:
    """Which way the hand moves for a direction of the pad's stick."""
    first = DPAD_UP if whole.stick == DPAD else FIRST_DIRECTION + 4 * whole.stick
    direction = goal - first
    flips = whole.flip_y if direction < 2 else whole.flip_x
    other = opposite(goal)
    assert other is not None
    return other - first if flips else direction


__all__ = ["BUTTON_COUNT", "WayPlay", "gives", "goals_of", "hand_direction"]

"""What can be done next in a situation: every gesture on every control that anyone can make."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from remapd.analysis.reach.gestures import Gesture
from remapd.analysis.reach.giving import Effect
from remapd.analysis.reach.hands import PACE_US, can_press_together
from remapd.analysis.reach.model import Model
from remapd.analysis.reach.offers import offered_us
from remapd.analysis.reach.situation import Held, ScanOn, Situation, holders, timeless
from remapd.analysis.reach.steps import Act, Step
from remapd.analysis.reach.world import World
from remapd.engine.actions import Action, Press, SendLever, SendStick
from remapd.engine.layout import Chord


class Move(NamedTuple):
    """A step that can be done, what it gives the pad, and where it leads.

    `situation` is None where nothing is different afterwards; `key` is its timeless form.
    """

    step: Step
    us: int
    effects: tuple[Effect, ...]
    situation: Situation | None = None
    key: Situation | None = None


class Moves:
    """The moves of some people, of whom each can do so many things at once."""

    def __init__(self, model: Model, people: frozenset[int], at_once: int) -> None:
        self._model = model
        self._people = people
        self._at_once = at_once
        self._plain: dict[tuple[object, ...], tuple[Effect, ...]] = {}
        self._last = (Situation(), Situation())

    def of(self, situation: Situation) -> Iterator[Move]:
        """Every move, those without an act of the body first."""
        if situation.rest is not None:
            yield from self._end_rest(situation)
            return
        for held in situation.held:
            yield self._let_go(situation, held)
        world = World(self._model, situation)
        limit_us = world.soonest_limit_us()
        if limit_us:
            yield self._wait(situation, limit_us)
        table = self._model.table(situation.stack)
        for button, action in enumerate(table.actions):
            if self._is_free(situation, button):
                scan = world.scan_of(button)
                if scan is not None:
                    yield from self._scan_moves(situation, button, scan)
                elif action is not None:
                    yield from self._presses(situation, (button,), action, limit_us)
        seen: set[int] = set()
        for chords in table.chords.values():
            for chord in chords:
                if id(chord) not in seen:
                    seen.add(id(chord))
                    yield from self._chord_moves(situation, chord, limit_us)
        for control, whole in enumerate(table.wholes):
            if isinstance(whole, SendStick | SendLever):
                yield from self._motions(situation, control, whole, limit_us)

    # ------------------------------------------------------------------ hands

    def _is_free(self, situation: Situation, button: int) -> bool:
        """Whether somebody who takes part can press it now, besides what is held."""
        model = self._model
        person = model.person_of[button]
        if person not in self._people or not model.can_press[button]:
            return False
        if not situation.held:
            return True
        if holders(situation, person) + 1 > self._at_once:
            return False
        return all(
            button != other and can_press_together(model.layout, button, other)
            for held in situation.held
            for other in held.buttons
        )

    def _can_make(self, buttons: tuple[int, ...], gesture: Gesture, chord_us: int = 0) -> bool:
        handlings = [self._model.handling[button] for button in buttons]
        hold_us = gesture.hold_us + chord_us
        if hold_us and not all(each.can_hold(hold_us) for each in handlings):
            return False
        if gesture.below_us and not (
            gesture.hold_us < gesture.below_us
            and any(each.can_end_before(gesture.below_us) for each in handlings)
        ):
            return False
        return gesture.presses == 1 or all(
            each.can_repeat_within(gesture.within_us - chord_us) for each in handlings
        )

    def _chord_us(
        self,
        situation: Situation,
        buttons: tuple[int, ...],
        gesture: Gesture,
        *,
        keep: bool = False,
    ) -> int:
        """How long a press waits for a partner; one that is let go sooner is given a tap."""
        if len(buttons) > 1 or not (gesture.hold_us or keep):
            return 0
        if buttons[0] not in self._model.table(situation.stack).chords:
            return 0
        return self._model.layout.chord_window_us

    def _takes_us(self, buttons: tuple[int, ...], gesture: Gesture) -> int:
        repeat_us = max(self._model.handling[button].repeat_us for button in buttons)
        return gesture.hold_us + (gesture.presses - 1) * repeat_us

    def _ready_us(self, buttons: tuple[int, ...]) -> int:
        return max(self._model.handling[button].ready_us for button in buttons)

    # ------------------------------------------------------------------ without an act

    def _let_go(self, situation: Situation, held: Held) -> Move:
        world = World(self._model, situation)
        world.let_go(held)
        step = Step(Act.LET_GO, held.people[0], held.buttons, held.gesture, actions=0, at_once=0)
        return self._moved(situation, world, step, held.gesture.settle_us)

    def _wait(self, situation: Situation, us: int) -> Move:
        world = World(self._model, situation)
        world.pass_time(us)
        step = Step(Act.WAIT, min(self._people), actions=0, at_once=0, wait_us=us)
        return self._moved(situation, world, step, us)

    def _end_rest(self, situation: Situation) -> Iterator[Move]:
        if situation.rest is None:
            return
        button, hold_us = situation.rest
        handling = self._model.handling[button]
        person = self._model.person_of[button]
        if person not in self._people or not handling.can_hold(hold_us):
            return
        world = World(self._model, situation)
        world.end_rest()
        step = Step(Act.END_REST, person, (button,), Gesture(hold_us=hold_us))
        yield self._moved(situation, world, step, handling.ready_us + hold_us)

    # ------------------------------------------------------------------ presses

    def _presses(
        self, situation: Situation, buttons: tuple[int, ...], action: Action, limit_us: int
    ) -> Iterator[Move]:
        ready_us = self._ready_us(buttons)
        if 0 < limit_us <= ready_us or self._held_too_short(situation, ready_us):
            return
        if isinstance(action, Press) and not _uses_up_next(self._model, situation, buttons[0]):
            yield self._plain_press(situation, buttons, action)
            return
        for gesture in self._model.gestures.of(action):
            chord_us = self._chord_us(situation, buttons, gesture)
            if not self._can_make(buttons, gesture, chord_us):
                continue
            takes_us = ready_us + chord_us + self._takes_us(buttons, gesture)
            if self._held_too_short(situation, takes_us):
                continue
            if gesture.presses > 1 and not self._comes_again(situation, buttons, action):
                continue
            yield self._press(situation, buttons, action, gesture, keep=False)
            chord_us = self._chord_us(situation, buttons, gesture, keep=True)
            if (
                gesture.can_be_kept
                and self._may_keep(situation, buttons)
                and self._can_make(buttons, gesture, chord_us)
            ):
                yield self._press(situation, buttons, action, gesture, keep=True)

    def _held_too_short(self, situation: Situation, us: int) -> bool:
        """Whether something that is held ends by itself before that."""
        return any(0 < held.remaining_us <= us for held in situation.held)

    def _may_keep(self, situation: Situation, buttons: tuple[int, ...]) -> bool:
        """Whether anything else can be done while these are held, by somebody."""
        people = [self._model.person_of[button] for button in buttons]
        return not any(holders(situation, person) for person in people) and any(
            people.count(person) < self._at_once for person in self._people
        )

    def _plain_press(self, situation: Situation, buttons: tuple[int, ...], action: Press) -> Move:
        key = (buttons, id(action), situation.leads, situation.staying)
        effects = self._plain.get(key)
        gesture = self._model.gestures.of(action)[0]
        if effects is None:
            world = World(self._model, situation)
            world.take(buttons[0], gesture)
            effects = self._plain[key] = tuple(world.effects)
        step = self._step(situation, Act.PRESS, buttons, gesture)
        return Move(step, self._ready_us(buttons), effects)

    def _press(
        self,
        situation: Situation,
        buttons: tuple[int, ...],
        action: Action,
        gesture: Gesture,
        *,
        keep: bool,
    ) -> Move:
        world = World(self._model, situation)
        world.pass_time(self._ready_us(buttons))
        for _ in range(gesture.presses - 1):
            self._begin(situation, world, buttons, action)
            world.end_use(buttons)
        self._begin(situation, world, buttons, action)
        chord_us = self._chord_us(situation, buttons, gesture, keep=keep)
        world.pass_time(chord_us)
        world.take(buttons[0], gesture)
        act = Act.HOLD if keep else Act.PRESS
        if keep:
            world.keep_holding(buttons, gesture)
        else:
            world.release(buttons, gesture)
        us = self._ready_us(buttons) + chord_us + self._takes_us(buttons, gesture)
        us += 0 if keep else gesture.settle_us
        step = self._step(situation, act, buttons, gesture)._replace(chord_us=chord_us)
        return self._moved(situation, world, step, us)

    def _begin(
        self, situation: Situation, world: World, buttons: tuple[int, ...], action: Action
    ) -> None:
        """The press counts: it may use up what waits for one."""
        for button in buttons:
            world.lean(button)
        if len(buttons) > 1:
            # The first press finds its own action, and waits for the partner; then the chord comes.
            world.use_next(buttons[0], self._model.table(situation.stack).actions[buttons[0]])
            world.use_next_at_once(buttons[0], buttons[1], action)
        else:
            world.use_next(buttons[0], action)

    def _comes_again(self, situation: Situation, buttons: tuple[int, ...], action: Action) -> bool:
        """Whether a second press finds the action too: the first may have used up its layer."""
        if not situation.nexts:
            return True
        world = World(self._model, situation)
        self._begin(situation, world, buttons, action)
        world.end_use(buttons)
        table = self._model.table(world.stack)
        if len(buttons) == 1:
            return table.actions[buttons[0]] is action
        return any(chord.action is action for chord in table.chords.get(buttons[0], ()))

    def _step(
        self, situation: Situation, act: Act, buttons: tuple[int, ...], gesture: Gesture
    ) -> Step:
        people = [self._model.person_of[button] for button in buttons]
        at_once = max(holders(situation, person) + people.count(person) for person in set(people))
        return Step(
            act,
            people[0],
            buttons,
            gesture,
            actions=gesture.presses * len(buttons),
            at_once=at_once,
        )

    def _chord_moves(self, situation: Situation, chord: Chord, limit_us: int) -> Iterator[Move]:
        buttons = (chord.first, chord.second)
        model = self._model
        if not all(self._is_free(situation, button) for button in buttons):
            return
        first, second = (model.person_of[button] for button in buttons)
        if first == second and holders(situation, first) + 2 > self._at_once:
            return
        world = World(model, situation)
        if any(world.scan_of(button) is not None for button in buttons):
            return
        topmost = next(
            each
            for each in model.table(situation.stack).chords[chord.first]
            if chord.second in (each.first, each.second)
        )
        if topmost is chord and can_press_together(model.layout, *buttons):
            yield from self._presses(situation, buttons, chord.action, limit_us)

    # ------------------------------------------------------------------ whole sticks and levers

    def _motions(
        self, situation: Situation, control: int, whole: SendStick | SendLever, limit_us: int
    ) -> Iterator[Move]:
        layout = self._model.layout
        person = layout.devices[layout.controls[control].device].person
        if person not in self._people or 0 < limit_us <= PACE_US:
            return
        if self._held_too_short(situation, PACE_US):
            return
        count = holders(situation, person)
        if count + 1 > self._at_once or any(
            layout.buttons[button].control == control
            for held in situation.held
            for button in held.buttons
        ):
            return
        world = World(self._model, situation)
        world.pass_time(PACE_US)
        world.move(control, whole)
        step = Step(Act.MOVE, person, control=control, whole=whole, at_once=count + 1)
        yield self._moved(situation, world, step, PACE_US)

    # ------------------------------------------------------------------ lists that offer items

    def _scan_moves(self, situation: Situation, button: int, scan: ScanOn) -> Iterator[Move]:
        action = self._model.scans[scan.scan]
        ready_us = self._ready_us((button,))
        if self._held_too_short(situation, ready_us):
            return
        if action.pick is None:
            for item in range(len(action.items)):
                for turn in range(action.rounds):
                    begins_us, ends_us = offered_us(action, turn * len(action.items) + item)
                    settled_us = begins_us + min(PACE_US, (ends_us - begins_us) // 2)
                    wait_us = max(ready_us, settled_us - scan.elapsed_us)
                    if scan.elapsed_us + wait_us < ends_us:
                        yield from self._picks(situation, button, scan, item, wait_us)
                        break
        elif button == action.pick:
            item = scan.step % len(action.items)
            yield from self._picks(situation, button, scan, item, ready_us)
        else:
            world = World(self._model, situation)
            world.pass_time(ready_us)
            world.go_on(scan)
            step = Step(Act.GO_ON, self._model.person_of[button], (button,), scan=scan.scan)
            step = step._replace(at_once=holders(situation, step.person) + 1)
            yield self._moved(situation, world, step, ready_us)

    def _picks(
        self, situation: Situation, button: int, scan: ScanOn, item: int, wait_us: int
    ) -> Iterator[Move]:
        action = self._model.scans[scan.scan].items[item]
        buttons = (button,)
        for gesture in self._model.gestures.of(action):
            if gesture.presses > 1 or not self._can_make(buttons, gesture):
                continue
            takes_us = wait_us + self._takes_us(buttons, gesture)
            if self._held_too_short(situation, takes_us):
                continue
            for keep in (False, True) if gesture.can_be_kept else (False,):
                if keep and not self._may_keep(situation, buttons):
                    continue
                world = World(self._model, situation)
                world.pass_time(wait_us)
                running = world.scan_of(button)
                if running is None:
                    continue
                world.use_next_at_once(button, button, action)
                world.end_scan(running)
                world.take(button, gesture)
                if keep:
                    world.keep_holding(buttons, gesture)
                else:
                    world.release(buttons, gesture)
                step = self._step(
                    situation, Act.PICK_AND_HOLD if keep else Act.PICK, buttons, gesture
                )._replace(scan=scan.scan, item=item, wait_us=wait_us)
                us = takes_us + (0 if keep else gesture.settle_us)
                yield self._moved(situation, world, step, us)

    # ------------------------------------------------------------------ where it leads

    def _moved(self, before: Situation, world: World, step: Step, us: int) -> Move:
        after = world.freeze()
        key = timeless(after)
        if key == self._key_of(before):
            return Move(step, us, tuple(world.effects))
        return Move(step, us, tuple(world.effects), after, key)

    def _key_of(self, situation: Situation) -> Situation:
        if situation is not self._last[0]:
            self._last = (situation, timeless(situation))
        return self._last[1]


def _uses_up_next(model: Model, situation: Situation, button: int) -> bool:
    person = model.person_of[button]
    return any(each.waiting and each.person == person for each in situation.nexts)

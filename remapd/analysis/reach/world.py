"""A situation that things are done to: the actions of the language, as far as they can be told
apart by what a control does next.

It follows the engine step by step (`performer`, `next_layers`, `cycles`, `choosing`), without time:
`pass_time` lets what is limited in time run out.
"""

from __future__ import annotations

from remapd.analysis.reach.gestures import Gesture, Leaf
from remapd.analysis.reach.giving import Effect, Giving
from remapd.analysis.reach.goals import direction_target
from remapd.analysis.reach.model import Model
from remapd.analysis.reach.offers import scan_ends_us
from remapd.analysis.reach.situation import (
    NOBODY,
    CycleOn,
    Held,
    LeadKey,
    NextOn,
    ScanOn,
    Situation,
    Stay,
    find_next,
)
from remapd.engine.actions import (
    Action,
    Cycle,
    HoldLayer,
    Keep,
    Latch,
    Lead,
    NextLayer,
    Press,
    Pulse,
    Push,
    ReleaseEverything,
    Scan,
    SendLever,
    SendStick,
    TakeRest,
    ToggleLayer,
    Turbo,
)
from remapd.engine.layout import LeverControl
from remapd.engine.pad_controls import (
    DOWN,
    LEFT,
    RIGHT,
    UP,
)
from remapd.engine.presses import uses_next
from remapd.engine.settings import Rest

#: A push that moves so little moves nothing: half a step of the pad's stick.
_LEAST_MOTION = 0.5 / 32767
_FRAME_US = 8_000


class World:
    """One situation in the making."""

    def __init__(self, model: Model, situation: Situation) -> None:
        self._model = model
        self._stack = list(situation.stack)
        self._toggled = set(situation.toggled)
        self._cycles = list(situation.cycles)
        self._nexts = list(situation.nexts)
        self._scans = list(situation.scans)
        self._leads = list(situation.leads)
        self._toggled_leads = [
            lead for lead in situation.leads if not any(lead in h.leads for h in situation.held)
        ]
        self._staying = set(situation.staying)
        self._rest = situation.rest
        self._held = list(situation.held)
        #: What the press that is being done holds.
        self._layers: list[int] = []
        self._next_presses: list[tuple[int, int]] = []
        self._lead_presses: list[LeadKey] = []
        self._giving = Giving(model, self._staying, self._leads)

    def freeze(self) -> Situation:
        """The situation as it is now."""
        return Situation(
            self._model.order(tuple(self._stack)),
            frozenset(self._toggled),
            tuple(sorted(self._cycles)),
            tuple(sorted(self._nexts)),
            tuple(self._scans),
            tuple(self._leads),
            frozenset(self._staying),
            self._rest,
            tuple(self._held),
        )

    @property
    def effects(self) -> list[Effect]:
        """What the pad has been given so far."""
        return self._giving.effects

    @property
    def stack(self) -> tuple[int, ...]:
        """The layers that are on above the base, in a fixed order."""
        return self._model.order(tuple(self._stack))

    # ------------------------------------------------------------------ presses

    def use_next(self, button: int, action: Action | None) -> None:
        """A press of this action begins: it may use up a layer that waits for the next press."""
        if uses_next(action):
            found_in = self._model.table(self.stack).layer_of[button]
            self._use_next(self._model.person_of[button], button, found_in)

    def use_next_at_once(self, owner: int, button: int, action: Action) -> None:
        """The same where no layer gives the button its action: an item of a list, or a chord.

        `owner` is the button whose person it counts for: of a chord the first-named one.
        """
        if uses_next(action):
            self._use_next(self._model.person_of[owner], button, NOBODY)

    def end_use(self, buttons: tuple[int, ...]) -> None:
        """These are let go: what they used up of `next` layers goes off."""
        controls = {self._model.layout.buttons[button].control for button in buttons}
        over = {*buttons, *map(_consumer, controls)}
        self._nexts = [each for each in self._nexts if each.consumer not in over]
        self._settle()

    def lean(self, button: int) -> None:
        """A direction that is pressed moves its stick too, where that is bound whole."""
        entry = self._model.layout.buttons[button]
        whole = self._model.table(self.stack).wholes[entry.control]
        if entry.part is not None and isinstance(whole, SendStick | SendLever):
            person = self._model.person_of[button]
            self._use_next(person, _consumer(entry.control), NOBODY)
            self._give_leaning(person, entry.control, whole, entry.part)

    def take(self, button: int, gesture: Gesture) -> None:
        """A gesture, up to where its last press is held."""
        if gesture.hold_us or gesture.presses > 1:
            repeat_us = self._model.handling[button].repeat_us * (gesture.presses - 1)
            self.pass_time(gesture.hold_us + repeat_us)
        before = self._model.table(self.stack)
        self._perform_all(gesture.during, button)
        if self._model.table(self.stack) is not before:
            self._follow(button)

    def release(self, buttons: tuple[int, ...], gesture: Gesture) -> None:
        """The control is let go: what it held ends, and what comes after is carried out."""
        self._end_press()
        self._perform_all(gesture.after, buttons[0])
        self.end_use(buttons)
        self.pass_time(gesture.settle_us)
        self._perform_all(gesture.later, buttons[0])

    def keep_holding(self, buttons: tuple[int, ...], gesture: Gesture) -> None:
        """The control stays pressed while other things are done."""
        handling = self._model.handling[buttons[0]]
        remaining_us = handling.longest_us and handling.longest_us - gesture.hold_us
        self._held.append(
            Held(
                tuple(self._model.person_of[button] for button in buttons),
                buttons,
                gesture,
                tuple(self._layers),
                tuple(self._next_presses),
                tuple(self._lead_presses),
                remaining_us,
            )
        )
        self._layers, self._next_presses, self._lead_presses = [], [], []

    def let_go(self, held: Held) -> None:
        """What was held is let go."""
        self._held.remove(held)
        self._layers = list(held.layers)
        self._next_presses = list(held.nexts)
        self._lead_presses = list(held.leads)
        self.release(held.buttons, held.gesture)

    def _end_press(self) -> None:
        for lead in self._lead_presses:
            self._leads.remove(lead)
        nexts, self._next_presses = self._next_presses, []
        self._layers, self._lead_presses = [], []
        self._settle()
        for layer, person in nexts:
            self._release_next(layer, person)
        self._settle()

    def _perform_all(self, leaves: tuple[Leaf, ...], button: int) -> None:
        for action, held in leaves:
            if self._rest is None:
                self._perform(action, held, button)

    # ------------------------------------------------------------------ actions

    def _perform(self, action: Action, held: bool, button: int) -> None:
        person = self._model.person_of[button]
        match action:
            case Press():
                self._giving.targets(person, action.targets, held)
            case HoldLayer():
                if held:
                    self._layers.append(action.layer)
            case ToggleLayer():
                self._toggled ^= {action.layer}
            case NextLayer():
                self._press_next(action, person, button)
                if not held:
                    self._settle()
                    self._release_next(action.layer, person)
            case Cycle():
                self._step_cycle(action)
            case Turbo():
                if not action.toggle or self._stays(("turbo", person, id(action)), action.targets):
                    self._giving.targets(person, action.targets, action.toggle)
            case Latch():
                if self._stays(("latch", person, 0), action.targets):
                    self._giving.targets(person, action.targets, True)
            case Pulse():
                self._giving.targets(person, action.targets, False)
            case Push():
                self._push(action, held, person)
            case Keep():
                self._stays(("keep", person, action.stick), ())
            case Scan():
                self._scans = [each for each in self._scans if each.person != person]
                self._scans.append(ScanOn(person, self._model.scan_number(action), button))
            case Lead():
                self._lead((action.person, action.slots), action.toggle, held)
            case TakeRest():
                self._begin_rest(button, action.hold_us)
            case ReleaseEverything():
                self._release_everything()
            case _:  # nothing, a word, a tuning or another layout: no pad control, no layer
                pass
        self._settle()

    def _stays(self, stay: tuple[str, int, int], targets: tuple[int, ...]) -> bool:
        """Begins what stays by itself, or ends it; whether it has begun."""
        kind, person, key = stay
        whole: Stay = (f"{kind} {key}", person, targets)
        if whole in self._staying:
            self._staying.discard(whole)
            return False
        self._staying.add(whole)
        return True

    def _push(self, action: Push, held: bool, person: int) -> None:
        directions = [UP, DOWN, LEFT, RIGHT]
        amounts = (-action.y, action.y, -action.x, action.x)
        targets = tuple(
            direction_target(action.stick, d) for d in directions if amounts[d] > _LEAST_MOTION
        )
        if action.toggle:
            if self._stays(("push", person, id(action)), targets):
                self._giving.targets(person, targets, True)
        elif held or not action.ramp_us or self._model.layout.tap_us > _FRAME_US:
            self._giving.targets(person, targets, held)

    def _lead(self, key: LeadKey, toggle: bool, held: bool) -> None:
        if not toggle:
            if held:
                self._leads.append(key)
                self._lead_presses.append(key)
        elif key in self._toggled_leads:
            self._toggled_leads.remove(key)
            self._leads.remove(key)
        else:
            self._toggled_leads.append(key)
            self._leads.append(key)

    def _step_cycle(self, action: Cycle) -> None:
        layers = action.layers
        now = next((each for each in self._cycles if each.layers == layers), None)
        position = cycle_start(layers) if now is None else now.position
        self._put_cycle(layers, (position + 1) % len(layers), action.back_after_us)

    def _put_cycle(self, layers: tuple[int, ...], position: int, back_after_us: int) -> None:
        self._cycles = [each for each in self._cycles if each.layers != layers]
        if position != cycle_start(layers):
            remaining_us = back_after_us if position else 0
            self._cycles.append(CycleOn(layers, position, remaining_us))
        self._settle()

    def _release_everything(self) -> None:
        self._staying.clear()
        self._scans.clear()
        self._cycles.clear()
        self._nexts.clear()
        self._toggled.clear()

    def _begin_rest(self, button: int, hold_us: int) -> None:
        for held in self._held:
            self._layers.extend(held.layers)
            self._next_presses.extend(held.nexts)
            self._lead_presses.extend(held.leads)
        self._held.clear()
        self._end_press()
        self._release_everything()
        self._rest = (button, hold_us)

    def end_rest(self) -> None:
        """The rest is over."""
        self._rest = None

    # ------------------------------------------------------------------ scans

    def scan_of(self, button: int) -> ScanOn | None:
        """The running list that presses of this button go to."""
        for scan in self._scans:
            if button in (scan.origin, self._model.scans[scan.scan].pick):
                return scan
        return None

    def end_scan(self, scan: ScanOn) -> None:
        """An item is taken, or the list is over."""
        self._scans.remove(scan)

    def go_on(self, scan: ScanOn) -> None:
        """By hand to the next item; past the last item of the last round it is over."""
        action = self._model.scans[scan.scan]
        self._scans.remove(scan)
        if scan.step + 1 < action.rounds * len(action.items):
            self._scans.append(scan._replace(step=scan.step + 1))

    # ------------------------------------------------------------------ next

    def _use_next(self, person: int, consumer: int, found_in: int) -> None:
        """A press uses up what waits; the button that began a wait only by that layer's action."""
        self._nexts = [
            each
            if each.person != person
            or not each.waiting
            or (consumer == each.begun_by and found_in != each.layer)
            else each._replace(used=True)
            if self._is_next_held(each)
            else each._replace(waiting=False, consumer=consumer, begun_by=NOBODY, remaining_us=0)
            for each in self._nexts
        ]

    def _is_next_held(self, each: NextOn) -> bool:
        key = (each.layer, each.person)
        return key in self._next_presses or any(key in held.nexts for held in self._held)

    def _press_next(self, action: NextLayer, person: int, button: int) -> None:
        layer = action.layer
        self._next_presses.append((layer, person))
        now = find_next(self._nexts, layer, person)
        if now is not None:
            self._nexts.remove(now)
            if now.locked:
                return
            if now.waiting and not now.gave_up:
                self._nexts.append(
                    now._replace(waiting=False, locked=True, begun_by=NOBODY, remaining_us=0)
                )
                return
        self._nexts.append(NextOn(layer, person, begun_by=button, remaining_us=action.give_up_us))

    def _release_next(self, layer: int, person: int) -> None:
        if (layer, person) in self._next_presses:
            self._next_presses.remove((layer, person))
        now = find_next(self._nexts, layer, person)
        if now is not None and not self._is_next_held(now) and (now.used or now.gave_up):
            self._nexts.remove(now)

    # ------------------------------------------------------------------ layers and time

    def _settle(self) -> None:
        """The stack follows what has layers on: each keeps its place, new ones go on top."""
        wanted = self._toggled | {each.layer for each in self._nexts} | set(self._layers)
        for cycle in self._cycles:
            wanted.add(cycle.layers[cycle.position])
        for held in self._held:
            wanted.update(held.layers)
        wanted.discard(0)
        if len(wanted) != len(self._stack) or not wanted.issuperset(self._stack):
            self._stack = [layer for layer in self._stack if layer in wanted]
            self._stack += sorted(wanted.difference(self._stack))

    def pass_time(self, us: int) -> None:
        """What is limited in time runs out if it does so within this time."""
        while us > 0 and (self._nexts or self._cycles or self._scans or self._held):
            step_us = min(us, self.soonest_limit_us() or us)
            us -= step_us
            self._run_down(step_us)

    def soonest_limit_us(self) -> int:
        """When the first of what is limited in time runs out; 0: nothing does."""
        return min((left for left in self._limits() if left > 0), default=0)

    def _limits(self) -> list[int]:
        limits = [each.remaining_us for each in self._nexts]
        limits += [each.remaining_us for each in self._cycles]
        limits += [self._scan_left_us(each) for each in self._scans]
        return limits

    def _scan_left_us(self, scan: ScanOn) -> int:
        action = self._model.scans[scan.scan]
        if action.pick is not None:
            return 0
        return scan_ends_us(action) - scan.elapsed_us

    def _run_down(self, us: int) -> None:
        nexts: list[NextOn] = []
        for each in self._nexts:
            if not each.remaining_us or each.remaining_us > us:
                left_us = each.remaining_us and each.remaining_us - us
                nexts.append(each._replace(remaining_us=left_us))
            elif self._is_next_held(each):
                nexts.append(each._replace(remaining_us=0, gave_up=True))
        self._nexts = nexts
        self._scans = [
            each
            if self._model.scans[each.scan].pick is not None
            else each._replace(elapsed_us=each.elapsed_us + us)
            for each in self._scans
            if self._model.scans[each.scan].pick is not None or self._scan_left_us(each) > us
        ]
        self._held = [
            each._replace(remaining_us=each.remaining_us and max(1, each.remaining_us - us))
            for each in self._held
        ]
        for cycle in list(self._cycles):
            if cycle.remaining_us and cycle.remaining_us <= us:
                self._put_cycle(cycle.layers, 0, 0)
            elif cycle.remaining_us:
                self._cycles.remove(cycle)
                self._cycles.append(cycle._replace(remaining_us=cycle.remaining_us - us))
        self._settle()

    # ------------------------------------------------------------------ sticks and levers

    def move(self, control: int, whole: SendStick | SendLever) -> None:
        """A whole stick or lever is moved every way that it goes, from neutral and back."""
        person = self._model.layout.devices[self._model.layout.controls[control].device].person
        self._use_next(person, _consumer(control), NOBODY)
        self._giving.whole(person, whole)
        self._nexts = [each for each in self._nexts if each.consumer != _consumer(control)]
        self._settle()

    def _follow(self, button: int) -> None:
        """A direction that is pressed gives its deflection at once to what its stick now moves."""
        entry = self._model.layout.buttons[button]
        whole = self._model.table(self.stack).wholes[entry.control]
        if entry.part is None or not isinstance(whole, SendStick | SendLever):
            return
        if isinstance(whole, SendLever) or not whole.change_centred:
            self._give_leaning(self._model.person_of[button], entry.control, whole, entry.part)

    def _give_leaning(
        self, person: int, control: int, whole: SendStick | SendLever, part: int
    ) -> None:
        """What a stick or lever gives that leans that way."""
        if isinstance(whole, SendStick):
            self._giving.direction(person, whole, part)
            return
        lever = self._model.layout.controls[control]
        if isinstance(lever, LeverControl) and (
            lever.settings.rests_at is not Rest.MIDDLE or part == 1
        ):
            self._giving.whole(person, whole)


def _consumer(control: int) -> int:
    """A stick or lever that uses a `next` layer, where buttons have their numbers: below NOBODY."""
    return NOBODY - 1 - control


def cycle_start(layers: tuple[int, ...]) -> int:
    """Where a row of layers stands while none of it is on; -1: before the first."""
    return layers.index(0) if 0 in layers else NOBODY

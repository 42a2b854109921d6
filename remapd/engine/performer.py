"""Carries out actions: the one place that knows what is pressed, latched, stacked and led now."""

from __future__ import annotations

from collections.abc import Callable

from remapd.engine.actions import (
    Action,
    ChangeLayout,
    Cycle,
    HoldLayer,
    Keep,
    Latch,
    Lead,
    NextLayer,
    OnceTwice,
    OnRelease,
    Press,
    Pulse,
    Push,
    ReleaseEverything,
    Say,
    Scan,
    ShortLong,
    Steps,
    TakeRest,
    ToggleLayer,
    Turbo,
    UseTuning,
)
from remapd.engine.choosing import OnceTwiceWaiting, ScanRunning, ShortLongRunning
from remapd.engine.cycles import Cycles
from remapd.engine.explain import TOLD
from remapd.engine.lasting import KeepRunning, LatchRunning, PushRunning
from remapd.engine.layout import Layout
from remapd.engine.merge import Merge
from remapd.engine.modes import LeadRunning, TuningRunning, toggle_lead, toggle_tuning
from remapd.engine.next_layers import NextLayers
from remapd.engine.notices import Notice, NoticeKind
from remapd.engine.pad_controls import (
    FIRST_DIRECTION,
    HELPER,
    PLAYER,
    SLOT_COUNT,
)
from remapd.engine.people import Person
from remapd.engine.repeating import PulseRunning, StepsRunning, TurboRunning
from remapd.engine.running import (
    HoldLayerRunning,
    NextLayerRunning,
    OnReleaseRunning,
    Origin,
    PressRunning,
    Running,
    TapRunning,
)
from remapd.engine.stack import Stack
from remapd.engine.timers import Timers


class Performer:
    """The actions' side of the engine, for one layout.

    `rest` and `tunings_changed` are the engine's: they concern its inputs.
    """

    def __init__(
        self,
        layout: Layout,
        timers: Timers,
        merge: Merge,
        notices: list[Notice],
        *,
        rest: Callable[[Origin, TakeRest, int], None],
        tunings_changed: Callable[[], None],
        explain: Callable[[int, str, str], None],
    ) -> None:
        self.layout = layout
        self.timers = timers
        self._merge = merge
        self._notices = notices
        #: Takes a line for the trace: the time, the subject, and what became of it.
        self.explain = explain
        self._rest = rest
        self._tunings_changed = tunings_changed
        self.people = [Person(PLAYER, merge), Person(HELPER, merge)]
        self.stack = Stack(layout, self._layer_changed)
        self.next_layers = NextLayers(self.stack, timers)
        self.cycles = Cycles(self.stack, timers)
        self.origins = tuple(
            Origin(
                layout.devices[layout.controls[b.control].device].person,
                layout.controls[b.control].device,
                number,
                b.name,
            )
            for number, b in enumerate(layout.buttons)
        )
        #: Under way by themselves, in the order in which they began.
        self._lasting: dict[Running, None] = {}
        #: What a binding has under way now, by the identity of its action.
        self.nodes: dict[int, Running] = {}
        self.latches: dict[tuple[int, tuple[int, ...]], LatchRunning] = {}
        self.keeps: dict[tuple[int, int], KeepRunning] = {}
        self.keeps_to_freeze: list[KeepRunning] = []
        self.scans: dict[int, ScanRunning] = {}
        #: What the buttons that are down hold, by button number (a chord stands at both members).
        self.held: dict[int, Running] = {}
        self.toggled_layers: set[int] = set()
        self.toggled_tunings: set[int] = set()
        #: In force, the newest last.
        self.tunings: list[int] = []
        self.toggled_leads: dict[tuple[int, frozenset[int]], Lead] = {}
        self._leads: list[Lead] = []
        self._part_keys = 0
        #: The frame of now shows releases at once (section 7: what is not delayed).
        self.undelayed = False

    def resolve(self, us: int) -> None:
        """The sticks whose parts have changed are joined anew, of each person."""
        for person in self.people:
            if person.dirty:
                person.resolve(us)

    # ------------------------------------------------------------------ doing

    def perform(self, action: Action | None, origin: Origin, us: int) -> Running:
        """Presses an action; what is given back gets the release."""
        match action:
            case Press():
                return PressRunning(self, origin, action, us)
            case HoldLayer():
                return HoldLayerRunning(self, origin, action, us)
            case ToggleLayer():
                self._toggle_layer(action.layer, us)
            case NextLayer():
                return NextLayerRunning(self, origin, action, us)
            case Cycle():
                self.cycles.press(action, us)
            case Turbo():
                return self._turbo(action, origin, us)
            case Latch():
                latched = self.latches.get((origin.person, action.targets))
                if latched is not None:
                    latched.end(us)
                else:
                    LatchRunning(self, origin, action, us)
            case Pulse():
                if id(action) not in self.nodes:
                    PulseRunning(self, origin, action, us)
            case ShortLong():
                return ShortLongRunning(self, origin, action, us)
            case OnceTwice():
                waiting = self.nodes.get(id(action))
                if isinstance(waiting, OnceTwiceWaiting):
                    return waiting.second(us)
                OnceTwiceWaiting(self, origin, action, us)
            case OnRelease():
                return OnReleaseRunning(self, origin, action)
            case Steps():
                if id(action) not in self.nodes:
                    return StepsRunning(self, origin, action, us)
            case Push():
                pushed = self.nodes.get(id(action))
                if pushed is None:
                    return PushRunning(self, origin, action, us)
                pushed.end(us)
            case Keep():
                kept = self.keeps.get((origin.person, action.stick))
                if kept is not None:
                    kept.end(us)
                else:
                    KeepRunning(self, origin, action, us)
            case Scan():
                ScanRunning(self, origin, action, us)
            case Lead():
                if not action.toggle:
                    return LeadRunning(self, origin, action, us)
                toggle_lead(self, origin, action, us)
            case UseTuning():
                if not action.toggle:
                    return TuningRunning(self, origin, action, us)
                toggle_tuning(self, action, us)
            case TakeRest():
                self._rest(origin, action, us)
            case Say():
                self.notice(us, NoticeKind.SAY, action.text, origin.person)
            case ChangeLayout():
                self.notice(us, NoticeKind.LAYOUT, action.path, origin.person)
            case ReleaseEverything():
                self.release_everything(us)
            case _:  # `nothing`, or no action at all
                pass
        return Running(self, origin)

    def tap(self, action: Action, origin: Origin, us: int) -> None:
        """Presses an action for the layout's `tap`."""
        TapRunning(self, origin, action, us)

    def _turbo(self, action: Turbo, origin: Origin, us: int) -> Running:
        running = self.nodes.get(id(action))
        if isinstance(running, TurboRunning):
            running.press_again(us)
            return running
        return TurboRunning(self, origin, action, us)

    def _toggle_layer(self, layer: int, us: int) -> None:
        if layer in self.toggled_layers:
            self.toggled_layers.discard(layer)
            self.stack.remove(layer, us)
        else:
            self.toggled_layers.add(layer)
            self.stack.add(layer, us)

    def _layer_changed(self, layer: int, active: bool, us: int) -> None:
        kind = NoticeKind.LAYER_ON if active else NoticeKind.LAYER_OFF
        self.notice(us, kind, self.layout.layers[layer].name)

    # ------------------------------------------------------------------ what running actions use

    def press(self, person: int, targets: tuple[int, ...], us: int) -> None:
        """Presses the targets for a person."""
        owner = self.people[person]
        for target in targets:
            owner.press(target, us)

    def release(self, person: int, targets: tuple[int, ...], us: int) -> None:
        """Releases them."""
        owner = self.people[person]
        for target in targets:
            owner.release(target, us)

    def add_lasting(self, running: Running) -> None:
        """Something goes on by itself."""
        self._lasting[running] = None

    def drop_lasting(self, running: Running) -> None:
        """It is over."""
        self._lasting.pop(running, None)

    def new_part_key(self) -> int:
        """A key for a stick's part that no control has: controls are 0 and up."""
        self._part_keys -= 1
        return self._part_keys

    def notice(self, us: int, kind: NoticeKind, text: str, person: int | None = None) -> None:
        """Tells people."""
        self._notices.append(Notice(us, kind, text, person))
        words = TOLD.get(kind)
        if words is not None:
            self.explain(us, f"{words[0]} {text}".strip(), words[1])

    def add_lead(self, lead: Lead, us: int) -> None:
        """The newest lead counts where several cover one pad control."""
        self._leads.append(lead)
        self._apply_leads(us)

    def drop_lead(self, lead: Lead, us: int) -> None:
        """One lead is over."""
        self._leads.remove(lead)
        self._apply_leads(us)

    def _apply_leads(self, us: int) -> None:
        for slot in range(SLOT_COUNT):
            leader: int | None = None
            for lead in self._leads:
                if not lead.slots or slot in lead.slots:
                    leader = lead.person
            self._merge.set_lead(slot, leader, us)

    def add_tuning(self, tuning: int, us: int) -> None:
        """A tuning's values come into force, over those of older ones."""
        self.tunings.append(tuning)
        self.notice(us, NoticeKind.TUNING_ON, self.layout.tunings[tuning].name)
        self._tunings_changed()

    def drop_tuning(self, tuning: int, us: int) -> None:
        """They go out of force."""
        self.tunings.remove(tuning)
        self.notice(us, NoticeKind.TUNING_OFF, self.layout.tunings[tuning].name)
        self._tunings_changed()

    def devices_moving(self, person: int, stick: int) -> set[int]:
        """Devices whose controls move a person's stick now."""
        controls = self.layout.controls
        movers = self.people[person].movers(stick)
        devices = {controls[key].device for key in movers if key >= 0}
        first = FIRST_DIRECTION + 4 * stick
        for running in (*self._lasting, *self.held.values()):
            if running.origin.person == person and (
                (isinstance(running, PushRunning) and running.moves == stick)
                or any(first <= t < first + 4 for t in running.pressed_targets())
            ):
                devices.add(running.origin.device)
        return devices

    # ------------------------------------------------------------------ ends from outside

    def release_everything(self, us: int) -> None:
        """Ends all that lasts by itself, of everyone; what a hand still holds stays."""
        self.undelayed = True
        for running in list(self._lasting):
            running.panic(us)
        self.cycles.off(us)
        self.next_layers.off(us)
        for layer in sorted(self.toggled_layers):
            self.stack.remove(layer, us)
        self.toggled_layers.clear()
        self.notice(us, NoticeKind.RELEASED, "everything")

    def end_held(self, us: int) -> None:
        """Ends what hands hold too."""
        self.undelayed = True
        for running in list(self.held.values()):
            running.end(us)
        self.held.clear()

    def end_lasting(self, us: int) -> None:
        """Ends all that lasts, but no layer."""
        self.undelayed = True
        for running in list(self._lasting):
            running.end(us)

    def end_device(self, device: int, us: int) -> None:
        """Ends in one frame all that a device's controls hold or began; toggled layers stay."""
        self.undelayed = True
        buttons = self.layout.buttons
        controls = self.layout.controls
        for number, running in list(self.held.items()):
            if controls[buttons[number].control].device == device:
                # A chord of two devices stands at both members and ends with either.
                running.end(us)
                del self.held[number]
        for lasting in list(self._lasting):
            if lasting.origin.device == device or (
                isinstance(lasting, KeepRunning) and device in lasting.devices
            ):
                lasting.end(us)
        self.next_layers.end_waits_of(device, us)

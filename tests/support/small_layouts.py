"""Small random layouts with times that hands can keep, for what is proved about any layout.

Two buttons and a stick of the player's, one button and a stick of the helper's; up to four layers.
"""

from __future__ import annotations

from random import Random
from types import MappingProxyType

from remapd.codes import AXES, KEYS
from remapd.engine import actions as act
from remapd.engine.layout import (
    DEFAULT_RULES,
    Button,
    ButtonControl,
    Chord,
    Control,
    Device,
    Find,
    Layer,
    Layout,
    Rule,
    RuleKind,
    StickControl,
)
from remapd.engine.pad_controls import HELPER, PLAYER, SLOT_LEFT_STICK
from remapd.engine.settings import ButtonSettings, StickSettings

#: Button numbers: a, b, the player's stick (4 to 7 would be a second one), h, the helper's stick.
BUTTON_NAMES = ("a", "b", "s.up", "s.down", "s.left", "s.right", "h", "t.up", "t.down", "t.left",
                "t.right")  # fmt: skip
CONTROL_OF = (0, 1, 2, 2, 2, 2, 3, 4, 4, 4, 4)
_PART_OF = (None, None, 0, 1, 2, 3, None, 0, 1, 2, 3)
_TARGETS = (0, 0, 1, 2, 6, 13, 14, 17, 18, 19)


class SmallLayouts:
    """Makes one random layout after another."""

    def __init__(self, rng: Random, *, longest: bool = True) -> None:
        """With `longest`, presses of some controls end by themselves."""
        self._rng = rng
        self._longest = longest

    def make(self) -> Layout:
        """One layout."""
        rng = self._rng
        count = rng.choice((1, 2, 3, 3, 4))
        stick = StickSettings(ways=rng.choice((4, 8)), dead_zone=rng.choice((0.1, 0.3)))
        controls: tuple[Control, ...] = (
            ButtonControl("a", 0, KEYS["BTN_0"], 0, settings=self._settings()),
            ButtonControl("b", 0, KEYS["BTN_1"], 1, settings=self._settings()),
            StickControl("s", 0, ((AXES["ABS_X"], AXES["ABS_Y"]),), (2, 3, 4, 5), settings=stick),
            ButtonControl("h", 1, KEYS["BTN_0"], 6, settings=self._settings()),
            StickControl("t", 1, ((AXES["ABS_X"], AXES["ABS_Y"]),), (7, 8, 9, 10)),
        )
        axes = frozenset((AXES["ABS_X"], AXES["ABS_Y"]))
        keys = frozenset((KEYS["BTN_0"], KEYS["BTN_1"]))
        return Layout(
            title="small",
            devices=(
                Device("box", Find(name="Box"), PLAYER, controls=(0, 1, 2), keys=keys, axes=axes),
                Device("pad", Find(name="Pad"), HELPER, controls=(3, 4), keys=keys, axes=axes),
            ),
            controls=controls,
            buttons=tuple(
                Button(name, CONTROL_OF[n], _PART_OF[n]) for n, name in enumerate(BUTTON_NAMES)
            ),
            layers=tuple(self._layer(f"layer-{n}", count) for n in range(count)),
            rules=self._rules(),
        )

    def _settings(self) -> ButtonSettings:
        rng = self._rng
        return ButtonSettings(
            debounce_us=rng.choice((0, 15_000)),
            release_delay_us=rng.choice((0, 0, 60_000)),
            acceptance_delay_us=rng.choice((0, 0, 80_000)),
            repeat_guard_us=rng.choice((0, 0, 200_000, 700_000)),
            longest_us=rng.choice((0, 0, 0, 700_000)) if self._longest else 0,
        )

    def _rules(self) -> tuple[Rule, ...]:
        rng = self._rng
        rules = list(DEFAULT_RULES)
        for slot in rng.sample(range(len(rules)), rng.choice((0, 0, 4, 10))):
            kinds = [RuleKind.BOTH, RuleKind.PLAYER_ONLY, RuleKind.HELPER_ONLY, RuleKind.STRONGER]
            if slot >= SLOT_LEFT_STICK:
                kinds.append(RuleKind.SUM)
            rules[slot] = Rule(rng.choice(kinds))
        return tuple(rules)

    def _layer(self, name: str, count: int) -> Layer:
        rng = self._rng
        bindings: dict[int, act.Action] = {}
        wholes: dict[int, act.Whole] = {}
        for button in (0, 1, 6):
            if rng.random() < 0.75:
                bindings[button] = self.action(count)
        for control, first in ((2, 2), (4, 7)):
            kind = rng.randrange(4)
            if kind == 1:
                wholes[control] = self._whole()
            elif kind == 2:
                for part in rng.sample(range(4), 2):
                    bindings[first + part] = self.action(count)
        chords = []
        if rng.random() < 0.25:
            first, second = rng.choice(((0, 1), (1, 6), (0, 2), (2, 4)))
            chords.append(Chord(first, second, self.action(count)))
        return Layer(name, MappingProxyType(bindings), MappingProxyType(wholes), tuple(chords))

    def _whole(self) -> act.Whole:
        rng = self._rng
        return act.SendStick(
            rng.choice((0, 1, 2)),
            gain=rng.choice((1.0, 0.5)),
            flip_x=rng.random() < 0.3,
            change_centred=rng.random() < 0.5,
        )

    def _targets(self) -> tuple[int, ...]:
        count = self._rng.choice((1, 1, 1, 2))
        return tuple(sorted({self._rng.choice(_TARGETS) for _ in range(count)}))

    def action(self, count: int, depth: int = 2, *, tapped: bool = False) -> act.Action:
        """One action, with others inside it down to a depth; `count` layers exist.

        Where it is tapped, nothing is held: a layer that is on for a tap alone is of no use, and
        what happens by chance in that moment is no way to anything.
        """
        rng = self._rng
        if depth and rng.random() < 0.4:
            return self._nested(count, depth - 1, tapped=tapped)
        layer = rng.randrange(1, count) if count > 1 else 0
        plain: list[act.Action] = [
            act.Press(self._targets()),
            act.Press(self._targets()),
            act.Turbo(self._targets(), toggle=rng.random() < 0.5),
            act.Latch(self._targets()),
            act.Pulse(self._targets()),
            act.Push(rng.choice((0, 1)), 0.0, -1.0, rng.choice((0, 200_000)), rng.random() < 0.3),
            act.Keep(rng.choice((0, 1))),
            act.Lead(rng.choice((0, 1)), frozenset(), tapped or rng.random() < 0.5),
            act.ReleaseEverything(),
            act.Nothing(),
        ]
        if rng.random() < 0.1:
            plain.append(act.TakeRest(1_000_000))
        if layer:
            row = tuple(rng.sample(range(count), rng.randint(2, count)))
            plain += [
                act.ToggleLayer(layer) if tapped else act.HoldLayer(layer),
                act.ToggleLayer(layer) if tapped else act.HoldLayer(layer),
                act.ToggleLayer(layer),
                act.ToggleLayer(layer),
                act.NextLayer(layer, 4_000_000),
                act.NextLayer(layer, 4_000_000),
                act.Cycle(row, rng.choice((0, 4_000_000))),
                act.Cycle(row),
            ]
        return rng.choice(plain)

    def _nested(self, count: int, depth: int, *, tapped: bool) -> act.Action:
        rng = self._rng
        taps = [self.action(count, depth, tapped=True) for _ in range(3)]
        held = self.action(count, depth, tapped=tapped)
        if isinstance(held, act.OnceTwice):
            # Twice within a long press, or within twice: the analysis asks nobody for that.
            held = act.Nothing()
        match rng.randrange(6):
            case 0 | 1:
                return act.ShortLong(taps[0], held, rng.choice((400_000, 800_000)))
            case 2:
                once = taps[0] if not isinstance(taps[0], act.OnceTwice) else act.Nothing()
                return act.OnceTwice(once, held, rng.choice((300_000, 600_000)))
            case 3:
                return act.OnRelease(taps[0])
            case 4:
                steps = (taps[0], act.Wait(100_000), taps[1], taps[2])
                return act.Steps(steps[: rng.choice((1, 3, 4))], hold=rng.random() < 0.3)
            case _:
                items = (held, taps[0], taps[1])[: rng.choice((1, 2, 3))]
                return act.Scan(
                    items,
                    every_us=1_000_000,
                    first_us=2_000_000,
                    rounds=rng.choice((1, 2)),
                    pick=rng.choice((None, None, 1, 6)),
                )

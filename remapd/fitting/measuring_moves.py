"""Sticks, levers and balls tried as in play: how far they go, how fast, and where they rest."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from remapd.codes import EV_ABS, EV_REL
from remapd.engine.source import AxisRange
from remapd.fitting.measuring import Events, Measured

#: A stick or lever that stands still for so long after it was used is at rest.
_STILL_US: Final = 1_500_000
#: In each of the four ways a stick has to get so far before it counts as pushed all round.
_TRIED: Final = 0.12
_NEAR_REST: Final = 0.12
#: So much of what was reached counts as all the way: nobody has to reach their farthest each time.
_EASY: Final = 0.9
#: From here on the whole way is reached, and no setting is needed.
_WHOLE: Final = 0.9
_SMALL: Final = 0.6
#: A rest that is farther from the middle than this gets a `centre`.
_OFF_CENTRE: Final = 0.03
_DEAD_ZONE: Final = 0.10
_ROLLING_US: Final = 4_000_000
_WINDOW_US: Final = 60_000
_FULL_SHARE: Final = 0.9


# ---------------------------------------------------------------------------- a stick


class StickMeasure:
    """A stick that is pushed all round and then let go."""

    def __init__(
        self, codes: tuple[int, int], ranges: Mapping[int, AxisRange], axes: Mapping[int, int]
    ) -> None:
        self._codes = codes
        self._spans = [ranges[code] for code in codes]
        self._values = [axes.get(code, _middle(ranges[code])) for code in codes]
        self._digital = all(span.maximum - span.minimum <= 2 for span in self._spans)
        self._samples: list[tuple[int, float, float]] = []
        self._still_since_us: int | None = None
        self._rests: list[tuple[float, float]] = [self._point()]
        self._now_us = 0

    @property
    def due_us(self) -> int | None:  # noqa: D102
        if self.done or self._still_since_us is None or not self._all_round():
            return None
        return self._still_since_us + _STILL_US

    @property
    def done(self) -> bool:  # noqa: D102
        if not self._all_round() or self._still_since_us is None:
            return False
        return self._is_near_rest() and self._now_us >= self._still_since_us + _STILL_US

    @property
    def progress(self) -> str:  # noqa: D102
        missing = self.missing()
        if not self._samples or len(missing) == 4:
            return ""
        return f"still to come: {', '.join(missing)}" if missing else "all round; now let it go"

    def missing(self) -> tuple[str, ...]:
        """The ways in which it has not been pushed yet."""
        reached = self._reached()
        return tuple(way for way in ("left", "right", "up", "down") if reached[way] < _TRIED)

    def feed(self, us: int, events: Events) -> None:  # noqa: D102
        self.advance(us)
        moved = False
        for event_type, code, value in events:
            if event_type == EV_ABS and code in self._codes:
                self._values[self._codes.index(code)] = value
                moved = True
        if moved:
            before = self._samples[-1][1:] if self._samples else self._rests[0]
            point = self._point()
            self._samples.append((us, *point))
            if math.dist(before, point) > 0.01 or self._still_since_us is None:
                self._still_since_us = us

    def advance(self, us: int) -> None:  # noqa: D102
        self._now_us = max(us, self._now_us)

    def result(self) -> Measured:  # noqa: D102
        if self._digital:
            return Measured()
        settings: dict[str, str] = {}
        notes: list[str] = []
        centre = self._centre()
        if max(map(abs, centre)) > _OFF_CENTRE:
            percents = [_percent(each, 1) for each in centre]
            settings["centre"] = f"[{percents[0]}, {percents[1]}]"
            notes.append("It does not rest in its middle; where it rests counts as the middle.")
        reached = self._reached()
        tried = {way: share for way, share in reached.items() if share >= _TRIED}
        short = {way: share * _EASY for way, share in tried.items() if share < _WHOLE}
        if short:
            reach = {way: max(_down_to_5(share), 10) for way, share in short.items()}
            if len(reach) == 4 and max(reach.values()) - min(reach.values()) <= 10:
                settings["reach"] = f"{min(reach.values())}%"
            else:
                ways = ", ".join(f"{way}: {percent}%" for way, percent in reach.items())
                settings["reach"] = f"{{{ways}}}"
            far = ", ".join(f"{way} {reached[way] * 100:.0f} %" for way in reached)
            notes.append(f"It was pushed so far: {far}. What is easily reached counts as all.")
        missing = self.missing()
        if missing and tried:
            notes.append(f"It was not pushed {_or(missing)}.")
        noise = self._noise()
        if noise * 1.5 > _DEAD_ZONE:
            settings["dead-zone"] = f"{min(_up_to_5(noise * 1.5), 50)}%"
            notes.append("It is restless near its middle: a wider part there counts as nothing.")
        small = bool(tried) and min(tried.values()) < _SMALL
        return Measured(settings, tuple(notes), small_range=small)

    def _point(self) -> tuple[float, float]:
        x, y = (
            (value - _middle(span)) / max((span.maximum - span.minimum) / 2, 0.5)
            for value, span in zip(self._values, self._spans, strict=True)
        )
        return x, y

    def _centre(self) -> tuple[float, float]:
        """Where it rests: what it had before, and has after, if it was let go there."""
        rests = list(self._rests)
        if self.done and self._samples:
            rests.append(self._samples[-1][1:])
        return (
            sum(x for x, _ in rests) / len(rests),
            sum(y for _, y in rests) / len(rests),
        )

    def _is_near_rest(self) -> bool:
        return math.dist(self._point(), self._rests[0]) < _NEAR_REST

    def _all_round(self) -> bool:
        return not self.missing()

    def _reached(self) -> dict[str, float]:
        """How far it got in each way from its rest, as a share of the way that there is."""
        centre_x, centre_y = self._rests[0]
        xs = [x - centre_x for _, x, _ in self._samples] or [0.0]
        ys = [y - centre_y for _, _, y in self._samples] or [0.0]
        return {
            "left": max(-min(xs), 0.0) / max(1 + centre_x, 0.1),
            "right": max(*xs, 0.0) / max(1 - centre_x, 0.1),
            "up": max(-min(ys), 0.0) / max(1 + centre_y, 0.1),
            "down": max(*ys, 0.0) / max(1 - centre_y, 0.1),
        }

    def _noise(self) -> float:
        """How far it rests from its middle once it has been let go."""
        if not self.done:
            return 0.0
        return math.dist(self._samples[-1][1:], self._centre())


# ---------------------------------------------------------------------------- a lever


class LeverMeasure:
    """A lever, trigger, pedal or breath sensor that is used to its end and let go, twice."""

    def __init__(self, code: int, span: AxisRange, value: int) -> None:
        self._code = code
        self._span = span
        self._rest = value
        self._value = value
        self._lowest = self._highest = value
        self._uses = 0
        self._first_way = ""
        self._away = False
        self._still_since_us: int | None = None
        self._now_us = 0

    @property
    def due_us(self) -> int | None:  # noqa: D102
        if self.done or self._still_since_us is None or self._uses < 2:
            return None
        return self._still_since_us + _STILL_US

    @property
    def done(self) -> bool:  # noqa: D102
        if self._uses < 2 or self._away or self._still_since_us is None:
            return False
        return self._now_us >= self._still_since_us + _STILL_US

    @property
    def progress(self) -> str:  # noqa: D102
        return f"{min(self._uses, 2)} of 2" if self._uses else ""

    def feed(self, us: int, events: Events) -> None:  # noqa: D102
        self.advance(us)
        for event_type, code, value in events:
            if event_type != EV_ABS or code != self._code:
                continue
            self._value = value
            self._lowest = min(self._lowest, value)
            self._highest = max(self._highest, value)
            share = abs(value - self._rest) / max(self._span.maximum - self._span.minimum, 1)
            if share > _TRIED:
                self._away = True
                self._first_way = self._first_way or ("high" if value > self._rest else "low")
            elif share < _TRIED / 2 and self._away:
                self._away = False
                self._uses += 1
            self._still_since_us = us

    def advance(self, us: int) -> None:  # noqa: D102
        self._now_us = max(us, self._now_us)

    def result(self) -> Measured:  # noqa: D102
        span = self._span
        length = max(span.maximum - span.minimum, 1)
        rest = (self._rest - span.minimum) / length
        settings: dict[str, str] = {}
        notes: list[str] = []
        if rest > 0.75:
            settings["rests-at"] = "high"
            way = (self._rest - self._lowest) / max(self._rest - span.minimum, 1)
        elif rest > 0.25:
            settings["rests-at"] = "middle"
            ways = [
                (self._rest - self._lowest) / max(self._rest - span.minimum, 1),
                (self._highest - self._rest) / max(span.maximum - self._rest, 1),
            ]
            used = [each for each in ways if each >= _TRIED]
            way = min(used, default=1.0)
            if len(used) == 1:
                notes.append("It rests in its middle and was used to one side only.")
        else:
            way = (self._highest - self._rest) / max(span.maximum - self._rest, 1)
        if _TRIED <= way < _WHOLE:
            settings["reach"] = f"{max(_down_to_5(way * _EASY), 10)}%"
            notes.append(
                f"It was pressed to {way * 100:.0f} % of its way. What is easily reached counts "
                "as all."
            )
        small = _TRIED <= way < _SMALL
        return Measured(settings, tuple(notes), small, first_way=self._first_way)


# ---------------------------------------------------------------------------- a ball or mouse


class RollMeasure:
    """A trackball or mouse that is rolled about for some seconds as in play."""

    def __init__(self, codes: tuple[int, int]) -> None:
        self._codes = codes
        self._begin_us: int | None = None
        self._now_us = 0
        self._windows: dict[int, list[int]] = {}

    @property
    def due_us(self) -> int | None:  # noqa: D102
        return None if self._begin_us is None or self.done else self._begin_us + _ROLLING_US

    @property
    def done(self) -> bool:  # noqa: D102
        return self._begin_us is not None and self._now_us >= self._begin_us + _ROLLING_US

    @property
    def progress(self) -> str:  # noqa: D102
        return "go on" if self._begin_us is not None and not self.done else ""

    def feed(self, us: int, events: Events) -> None:  # noqa: D102
        self.advance(us)
        for event_type, code, value in events:
            if event_type == EV_REL and code in self._codes:
                self._begin_us = us if self._begin_us is None else self._begin_us
                counts = self._windows.setdefault(us // _WINDOW_US, [0, 0])
                counts[self._codes.index(code)] += value

    def advance(self, us: int) -> None:  # noqa: D102
        self._now_us = max(us, self._now_us)

    def result(self) -> Measured:  # noqa: D102
        speeds = sorted(math.hypot(*counts) * 1e6 / _WINDOW_US for counts in self._windows.values())
        if not speeds:
            return Measured({"full-speed": "600/s"})
        quick = speeds[min(len(speeds) - 1, int(_FULL_SHARE * len(speeds)))]
        full = max(round(quick / 50) * 50, 50)
        return Measured(
            {"full-speed": f"{full}/s"},
            (f"Rolled quickly, it sends {full} counts a second: that is a stick pushed fully.",),
            small_range=full < 300,
        )


def _middle(span: AxisRange) -> float:
    return (span.minimum + span.maximum) / 2


def _percent(share: float, step: int) -> str:
    return f"{round(share * 100 / step) * step}%"


def _down_to_5(share: float) -> int:
    return int(share * 20) * 5


def _up_to_5(share: float) -> int:
    return math.ceil(share * 20) * 5


def _or(words: tuple[str, ...]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"

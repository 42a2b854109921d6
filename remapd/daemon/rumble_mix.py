"""What the effects that are played amount to at a time: pure, told the time in microseconds.

Effects sum, each motor by itself, as in the kernel's own code for pads that can play but one thing
at once (drivers/input/ff-memless.c); so do gain, envelopes, and an upload over an effect that is
being played, which begins it anew.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, NamedTuple

from remapd.kernel.effects import FULL, FULL_PERIODIC, Effect

#: How often the strength is worked out anew while it swells or fades.
STEP_US: Final = 20_000
#: Nothing is played for longer than this after the game's last word. A stop can be lost, because
#: the kernel keeps only 15 words of games for us (drivers/input/misc/uinput.c,
#: UINPUT_BUFFER_SIZE), and a game can hang. Longer than the longest effect that can be named
#: (0x7FFF ms), so that none is cut short that does not wait first; larger would shake a hand for
#: longer than anybody meant.
SILENCE_US: Final = 35_000_000


class Strength(NamedTuple):
    """How strongly each motor turns, 0 to FULL."""

    strong: int
    weak: int

    def scaled(self, share: float) -> Strength:
        """This share of it, 0 to 1."""
        return Strength(round(self.strong * share), round(self.weak * share))

    def __add__(self, other: object) -> Strength:
        """Both together; a motor cannot turn more than fully."""
        if not isinstance(other, Strength):
            return NotImplemented
        return Strength(min(FULL, self.strong + other.strong), min(FULL, self.weak + other.weak))


STILL: Final = Strength(0, 0)


@dataclass(frozen=True, slots=True)
class _Playing:
    begun_us: int
    times: int


class RumbleMix:
    """Effects by number, and which of them are played."""

    def __init__(self) -> None:
        self._effects: dict[int, Effect] = {}
        self._playing: dict[int, _Playing] = {}
        self._gain = FULL
        self._silence_begins_us = 0

    # ---------------------------------------------------------------- what is asked for
    def upload(self, now_us: int, effect: Effect) -> None:
        """A new effect, or another one in the place of that number."""
        self._hear(now_us)
        self._effects[effect.number] = effect
        playing = self._playing.get(effect.number)
        if playing is not None:
            self._playing[effect.number] = _Playing(now_us, playing.times)

    def erase(self, now_us: int, number: int) -> None:
        """The effect is no more, and not played."""
        self._hear(now_us)
        self._effects.pop(number, None)
        self._playing.pop(number, None)

    def play(self, now_us: int, number: int, times: int) -> None:
        """Plays the effect so many times from now on; 0 or less stops it."""
        self._hear(now_us)
        if times > 0 and number in self._effects:
            self._playing[number] = _Playing(now_us, times)
        else:
            self._playing.pop(number, None)

    def stop(self) -> None:
        """Nothing is played any more; the effects stay."""
        self._playing.clear()

    def set_gain(self, now_us: int, gain: int) -> None:
        """How strong everything is, 0 to FULL; beyond that it is as FULL."""
        self._hear(now_us)
        self._gain = max(0, min(FULL, gain))

    def _hear(self, now_us: int) -> None:
        """The game says something: what it left on before is over, if that was long ago."""
        if now_us >= self._silence_begins_us:
            self._playing.clear()
        self._silence_begins_us = now_us + SILENCE_US

    # ---------------------------------------------------------------- what it amounts to
    def strength(self, now_us: int) -> Strength:
        """All that is played, together."""
        if now_us >= self._silence_begins_us:
            return STILL
        total = STILL
        for number, playing in list(self._playing.items()):
            effect = self._effects[number]
            if _is_over(effect, playing, now_us):
                del self._playing[number]
                continue
            played_us = now_us - _last_start_us(effect, playing, now_us)
            if played_us >= 0:
                total += Strength(
                    _level(effect.strong, effect, played_us) * self._gain // FULL,
                    _level(effect.weak, effect, played_us) * self._gain // FULL,
                )
        return total

    def next_change_us(self, now_us: int) -> int | None:
        """When the strength may be another one, without anything being asked for; later than now.

        None: it stays as it is.
        """
        if now_us >= self._silence_begins_us:
            return None
        changes = [
            change_us
            for number, playing in self._playing.items()
            if (change_us := _next_change_us(self._effects[number], playing, now_us)) is not None
        ]
        if self._playing:
            changes.append(self._silence_begins_us)
        return min(changes, default=None)


def _is_over(effect: Effect, playing: _Playing, now_us: int) -> bool:
    round_us = effect.delay_us + effect.length_us
    return effect.length_us > 0 and now_us - playing.begun_us >= playing.times * round_us


def _last_start_us(effect: Effect, playing: _Playing, now_us: int) -> int:
    """When the effect begins in the round that is under way: later than now in its delay."""
    first_us = playing.begun_us + effect.delay_us
    if not effect.length_us:
        return first_us
    round_us = effect.delay_us + effect.length_us
    return first_us + (now_us - playing.begun_us) // round_us * round_us


def _level(value: int, effect: Effect, played_us: int) -> int:
    """What the envelope leaves of a strength, `played_us` after the effect began."""
    envelope = effect.envelope
    left_us = effect.length_us - played_us
    if played_us < envelope.attack_us:
        level, share_us, whole_us = envelope.attack_level, played_us, envelope.attack_us
    elif effect.length_us and left_us < envelope.fade_us:
        level, share_us, whole_us = envelope.fade_level, left_us, envelope.fade_us
    else:
        return value
    from_level = level * FULL // FULL_PERIODIC
    return from_level + (value - from_level) * share_us // whole_us


def _next_change_us(effect: Effect, playing: _Playing, now_us: int) -> int | None:
    if _is_over(effect, playing, now_us):
        return None
    start_us = _last_start_us(effect, playing, now_us)
    if now_us < start_us:
        return start_us
    envelope = effect.envelope
    if now_us < start_us + envelope.attack_us:
        change_us = min(now_us + STEP_US, start_us + envelope.attack_us)
        return min(change_us, start_us + effect.length_us) if effect.length_us else change_us
    if not effect.length_us:
        return None
    end_us = start_us + effect.length_us
    fade_begins_us = end_us - envelope.fade_us
    if now_us < fade_begins_us:
        return fade_begins_us
    return min(now_us + STEP_US, end_us)

"""A source that can rumble: a uinput device whose motors a thread of the test watches."""

from __future__ import annotations

import select
import threading
from collections.abc import Callable
from typing import Any, NamedTuple

from evdev import UInput, ecodes

from tests.support.daemon import until
from tests.support.source_devices import make_device

_LOOK_S = 0.05


class Felt(NamedTuple):
    """How the motors turn, and for how long at the most (ms; 0: for ever)."""

    strong: int
    weak: int
    length_ms: int


STILL = Felt(0, 0, 0)


class ShakingDevice:
    """Plays what is uploaded to it, and keeps all that was felt, one after the other.

    With `answers` cleared it leaves whoever uploads or erases an effect without an answer.
    """

    def __init__(self, codes: dict[int, Any], name: str, **described: Any) -> None:
        self.device: UInput = make_device(
            {**codes, ecodes.EV_FF: [ecodes.FF_RUMBLE]}, name=name, max_effects=4, **described
        )
        self.felt: list[Felt] = []
        #: When the kernel was given each of these, and when it was first asked for each strength:
        #: microseconds of the monotonic clock.
        self.felt_us: list[int] = []
        self.asked_us: list[int] = []
        #: How many effects are on it.
        self.effects: dict[int, Felt] = {}
        self.answers = threading.Event()
        self.answers.set()
        self.is_asked = threading.Event()
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._serve)
        self._thread.start()

    def _serve(self) -> None:
        while not self._ended.is_set():
            if select.select([self.device.fd], [], [], _LOOK_S)[0]:
                for event in self.device.read():
                    self._take(event)

    def _take(self, event: Any) -> None:
        if event.type == ecodes.EV_FF:
            playing = self.effects.get(event.code, STILL) if event.value else STILL
            self.felt_us.append(_us(event))
            self.felt.append(playing)
            return
        self.asked_us.append(_us(event))
        self.is_asked.set()
        while not self.answers.wait(_LOOK_S) and not self._ended.is_set():
            pass
        if event.code == ecodes.UI_FF_UPLOAD:
            upload = self.device.begin_upload(event.value)
            effect = upload.effect
            rumble = effect.u.ff_rumble_effect
            self.effects[effect.id] = Felt(
                rumble.strong_magnitude, rumble.weak_magnitude, effect.ff_replay.length
            )
            upload.retval = 0
            self.device.end_upload(upload)
        else:
            erase = self.device.begin_erase(event.value)
            self.effects.pop(erase.effect_id, None)
            erase.retval = 0
            self.device.end_erase(erase)

    def until_felt(self, reached: Callable[[Felt], Any]) -> Felt:
        """Waits until the motors turn so, and says how."""
        return until(lambda: next(filter(reached, self.felt[-1:]), None)) or STILL

    def until_still(self) -> None:
        """Waits until nothing turns."""
        until(lambda: not self.felt or self.felt[-1] == STILL)

    def close(self) -> None:
        """Unplugs it."""
        self._ended.set()
        self._thread.join()
        self.device.close()


def _us(event: Any) -> int:
    """uinput stamps what it hands on with the monotonic clock (drivers/input/misc/uinput.c)."""
    return int(event.sec) * 1_000_000 + int(event.usec)

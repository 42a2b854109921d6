"""A pad on virtual time, without the rest of the engine: wants go in, a game looks on."""

from __future__ import annotations

from remapd.engine.output import OutputFrame
from remapd.engine.pad import Pad
from remapd.engine.timers import Timers
from tests.support.game_view import GameView


class PadPlay:
    """Plays wants to a pad as the engine does: what is due comes first, then a frame is made."""

    def __init__(self, shortest_press_us: int, *, faces_as_specified: bool = False) -> None:
        self.timers = Timers()
        self.pad = Pad(self.timers, shortest_press_us, faces_as_specified)
        self.game = GameView(faces_as_specified=faces_as_specified)
        self.frames: list[OutputFrame] = []

    def until(self, us: int) -> None:
        """Time passes to `us`; timers fire, and each makes its frame."""
        while (timer := self.timers.pop_due(us)) is not None:
            timer.fire(timer.due_us)
            self.frame(timer.due_us)
        due_us = self.timers.next_due_us
        assert due_us is None or due_us > us

    def frame(self, us: int, *, undelayed: bool = False) -> OutputFrame | None:
        """Has the pad make a frame, and shows it to the game."""
        frame = self.pad.frame(us, undelayed=undelayed)
        if frame is not None:
            assert frame.us == us
            self.frames.append(frame)
            self.game.read(frame)
            assert self.pad.neutral == (not self.game.pressed and not any(self.game.axes.values()))
        return frame

    def at(self, us: int, *wants: tuple[int, bool], undelayed: bool = False) -> OutputFrame | None:
        """One input frame at `us`: (target, pressed) one after another."""
        self.until(us)
        for target, pressed in wants:
            self.pad.want_button(target, pressed)
        return self.frame(us, undelayed=undelayed)

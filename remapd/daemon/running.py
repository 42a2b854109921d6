"""The running daemon: loop, engine, devices, layout and control socket, and what binds them."""

from __future__ import annotations

import gc
import signal
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from remapd import remembered
from remapd.daemon import everyone
from remapd.daemon.control import ControlServer
from remapd.daemon.devices import Devices
from remapd.daemon.figures import Figures
from remapd.daemon.journal import ERROR, INFORMATION, NOTICE, WARNING, Journal
from remapd.daemon.layouts import Layouts
from remapd.daemon.loop import Loop
from remapd.daemon.memory import Memory, State
from remapd.daemon.notify import Notify
from remapd.daemon.pad_of import pad_identity
from remapd.daemon.reading import Reading
from remapd.daemon.recorder import Recorder
from remapd.daemon.requests import Requests
from remapd.daemon.roles import Roles
from remapd.daemon.rumble import Rumble
from remapd.daemon.stream import Stream
from remapd.engine.layout import Layout
from remapd.engine.machine import Engine
from remapd.engine.notices import Notice, NoticeKind
from remapd.kernel.errors import PadLost
from remapd.kernel.pad import Pad

_HOUSEKEEPING_US: Final = 1_000_000
#: With input that never ends, the collector runs at least so often, in housekeepings.
_COLLECT_AFTER: Final = 300
#: Lines of errors or warnings that the journal is given at once.
_LINES_TOLD: Final = 16
#: A game that has not read the last frame when the pad disappears never sees it: it gets this long.
_LAST_FRAME_S: Final = 0.1


@dataclass(frozen=True, slots=True)
class InForce:
    """The layout that is in force. `path` is None where it is in no file."""

    layout: Layout
    path: str | None
    texts: dict[str, str]
    text: str
    since_us: int
    #: From the save of the file to the layout being in force; None for the first one.
    took_us: int | None = None


@dataclass(frozen=True, slots=True)
class Failure:
    """The last attempt to read a layout, which failed."""

    path: str
    summary: str
    problems: str
    us: int


class Daemon:
    """All that runs together: loop, engine, devices, layout, control socket."""

    def __init__(
        self,
        name: str,
        in_force: InForce,
        pad: Pad,
        journal: Journal,
        notify: Notify,
        layouts: Layouts,
    ) -> None:
        self.name = name
        self.pad = pad
        self.journal = journal
        self.notify = notify
        self.engine = Engine(in_force.layout)
        self.figures = Figures()
        self.memory = Memory(self._state)
        self.loop = Loop(self.engine, pad, self.memory, self.figures)
        self.started_us = self.loop.now()
        self.in_force = in_force
        self.layouts = layouts
        self.failure: Failure | None = None
        self.paused_because: str | None = None
        moved = remembered.recall(name).plugs
        self.devices = Devices(self.loop, self.engine, journal, self.memory, self._way_back, moved)
        self.rumble = Rumble(self.loop, pad, self.devices, journal)
        self.roles = Roles(self) if in_force.path is None else None
        self.stream = Stream(self)
        self.recorder = Recorder(self.memory, self.loop)
        self.requests = Requests(self)
        self.control: ControlServer | None = None
        self._housekeeping = self.loop.alarm(self._keep_house)
        self._watchdog = self.loop.alarm(self._feed_watchdog)
        self._turns_seen = 0
        self._warned = ""
        self._uncollected = 0

    # ---------------------------------------------------------------- start and end
    def listen(self, socket_path: Path, group: int | None) -> None:
        """Makes the control socket, for members of `group` (a gid) too. Raises OSError."""
        self.control = ControlServer(socket_path, self.loop, self.requests.answer)
        if group is not None:
            self.control.open_to(group)

    def begin(self) -> None:
        """Takes the devices, and says that all is ready."""
        self.loop.after_turn = self._tell_notices
        self.loop.on_wake = self._woken
        self.devices.on_change = self._devices_changed
        self.devices.plugs.tell = self._plug_moved
        self.devices.plugs.save = lambda plugs: self.layouts.remember_plugs(self.name, plugs)
        self.layouts.serve(self.loop, self._apply, self._reader_lost)
        self.layouts.follow(self.in_force.path)
        self.memory.begin()
        self.rumble.begin()
        self.devices.begin()
        self.loop.flush()
        self.journal.say(
            INFORMATION, "remapd", f"the pad “{self.pad.name}” is there ({self.pad.node})"
        )
        path = self.in_force.path
        if path is not None:
            title = self.in_force.layout.title
            self.journal.say(INFORMATION, "layout", f"{Path(path).name} (“{title}”) is in force")
        self.devices.tell_taken()
        if self.roles is not None:
            self.roles.ask()
        self._housekeeping.set(self.loop.now() + _HOUSEKEEPING_US)
        self._feed_watchdog(self.loop.now())
        self.notify.ready(self.one_line())

    def run(self) -> int:
        """Plays until it is told to end; the exit code."""
        gc.collect()
        gc.freeze()
        gc.disable()
        try:
            self.loop.run()
        except PadLost as error:
            self.journal.say(ERROR, "kernel", str(error))
            return 1
        return 0

    def close(self) -> None:
        """Gives everything back; the pad is neutral before it disappears."""
        self.notify.stopping()
        if self.control is not None:
            self.control.close()
        was_neutral = not self.engine.pad_shown()
        try:
            if not self.engine.paused:
                self.engine.pause(self.loop.at(self.loop.now()))
            self.loop.flush()
        except PadLost:
            was_neutral = True
        self.devices.pause()
        self.loop.close()
        if not was_neutral:
            time.sleep(_LAST_FRAME_S)

    def signalled(self, number: int) -> None:
        """A signal has come, as an event of the loop."""
        if number == signal.SIGHUP.value:
            self.notify.reloading(self.loop.now())
            self.read_again(lambda _reading: self.notify.ready(self.one_line()))
        else:
            self.journal.say(INFORMATION, "remapd", "told to end; every device is given back")
            self.loop.stop()

    # ---------------------------------------------------------------- layouts
    def read_again(self, then: Callable[[Reading], None]) -> None:
        """Reads the present layout anew, changed or not."""
        if self.in_force.path is None:
            then(Reading("", 0, self.in_force.layout))
        else:
            self.layouts.read_again(then)

    def begins_as(self, notes: Sequence[str]) -> None:
        """Tells why it begins with this layout, where that needs telling."""
        for note in notes:
            self.journal.say(NOTICE, "layout", note)

    def begins_instead(self, refused: Reading) -> None:
        """The layout that was chosen last cannot be used: the one that was named is in force."""
        self._refuse(
            refused, ", which was chosen last, cannot be used; the one named at the start is"
        )

    def _reader_lost(self) -> None:
        self.journal.say(
            WARNING,
            "remapd",
            "the part that reads layouts has ended, and is started again; play goes on",
            now_us=self.loop.now(),
            topic="reader",
        )

    def _apply(self, reading: Reading) -> None:
        """What became of a layout: in force from now on, or refused and the old one left."""
        if reading.layout is None:
            self._refuse(reading, " is refused, the one in force stays")
        elif self.roles is None and reading.texts == self.in_force.texts:
            # what is in force already, as after an undo: nobody's press shall be cut short for that
            if self.failure is not None:
                self.journal.say(INFORMATION, "layout", "the file is as it is in force again")
            self.failure = None
        else:
            self._put_in_force(reading, reading.layout)
        self.notify.status(self.one_line())
        self.stream.layout_read(reading, chosen=self.layouts.is_chosen(reading))

    def _refuse(self, reading: Reading, what: str) -> None:
        now_us = self.loop.now()
        self.failure = Failure(reading.path, reading.summary, reading.problems, now_us)
        text = f"{Path(reading.path).name}{what}:\n{_shortened(reading.problems)}"
        self.journal.say(ERROR, "layout", text, now_us=now_us, topic="refused")

    def _put_in_force(self, reading: Reading, layout: Layout) -> None:
        us = self.loop.at(self.loop.now())
        self.engine.swap_layout(us, layout)
        self.loop.flush()
        in_file = reading.path != everyone.NAME
        self.in_force = InForce(
            layout,
            reading.path if in_file else None,
            reading.texts,
            reading.text,
            us,
            reading.saved_ago_us + us - reading.ready_us,
        )
        self.failure = None
        if in_file and self.roles is not None:
            self.roles.end()
            self.roles = None
        self.layouts.follow(self.in_force.path)
        self.memory.note(us, self._layout_note())
        self.devices.follow_layout()
        self.warn(reading.problems)
        if in_file:
            how = "was chosen and is in force" if self.layouts.is_chosen(reading) else "is in force"
            self.journal.say(
                INFORMATION,
                "layout",
                f"{Path(reading.path).name} (“{layout.title}”) {how}",
                now_us=us,
                topic="in force",
            )
        self._mention_identity(layout)

    def warn(self, warnings: str) -> None:
        """Once, and not at every save again."""
        if warnings and warnings != self._warned:
            self.journal.say(WARNING, "layout", _shortened(warnings))
        self._warned = warnings

    def _mention_identity(self, layout: Layout) -> None:
        if pad_identity(layout) != self.pad.identity:
            self.journal.say(
                NOTICE, "layout", "the pad's identity changes at the next start of remapd"
            )

    def _layout_note(self) -> dict[str, str]:
        in_force = self.in_force
        path = in_force.path if in_force.path is not None else everyone.NAME
        return {"layout": path, "text": in_force.text}

    # ---------------------------------------------------------------- pause
    @property
    def paused(self) -> bool:
        """Whether remapping is paused."""
        return self.paused_because is not None

    def pause(self, because: str) -> None:
        """The pad goes neutral and the devices are given back."""
        if self.paused:
            return
        us = self.loop.at(self.loop.now())
        self.paused_because = because
        self.engine.pause(us)
        self.loop.flush()
        self.devices.pause()
        self.memory.note(us, {"paused": True})
        self.journal.say(
            NOTICE, "remapd", f"paused ({because}); `remapd resume` takes the devices again"
        )
        self.stream.pause_changed()
        self.notify.status(self.one_line())

    def resume(self) -> None:
        """Takes the devices again, as if they were just plugged in."""
        if not self.paused:
            return
        us = self.loop.at(self.loop.now())
        self.paused_because = None
        self.engine.resume(us)
        self.memory.note(us, {"paused": False})
        self.devices.resume()
        self.journal.say(NOTICE, "remapd", "resumed")
        self.stream.pause_changed()
        self.notify.status(self.one_line())

    def release_everything(self) -> None:
        """Ends all that lasts by itself, as the action of that name does."""
        us = self.loop.at(self.loop.now())
        self.engine.release_everything(us)
        self.memory.note(us, {"release": "everything"})

    def mark(self, text: str) -> None:
        """Puts a remark into what is remembered and recorded."""
        self.memory.note(self.loop.at(self.loop.now()), {"mark": text})

    def _way_back(self, device_name: str) -> None:
        self.pause(f"asked for on “{device_name}”")

    # ---------------------------------------------------------------- in passing
    def _tell_notices(self) -> None:
        if self.engine.trace:
            self.stream.decisions(self.engine.drain_trace())
        if not self.engine.notices:
            return
        for notice in self.engine.drain_notices():
            self._tell(notice)

    def _tell(self, notice: Notice) -> None:
        if notice.kind is NoticeKind.SAY:
            self.memory.note(self.loop.at(notice.us), {"mark": notice.text})
            self.journal.say(NOTICE, "player", notice.text, now_us=notice.us, topic="say")
        elif notice.kind is NoticeKind.LAYOUT:
            self._change_layout(notice.text)
        elif notice.kind in {NoticeKind.RELEASED, NoticeKind.REST_ON}:
            self.rumble.still()
        self.stream.notice(notice)

    def _change_layout(self, written: str) -> None:
        """An action asks for another layout: a path beside the present one, or a name."""
        beside = self.in_force.path
        path = written if beside is not None else str(Path(written).absolute())
        self.layouts.choose(path, lambda _reading: None, beside=beside)

    def layers(self) -> list[str]:
        """The names of the active layers, the base first, the newest last."""
        return [self.in_force.layout.layers[index].name for index in self.engine.active_layers]

    def _devices_changed(self) -> None:
        if self.roles is not None:
            self.roles.unplugged()
        self.rumble.choose(self.in_force.layout)
        self.stream.devices_changed()

    def _plug_moved(self, device: str, sentence: str) -> None:
        """Somebody is asked to press something on a device that is at another port."""
        self.stream.plug_moved(device, sentence)
        self.stream.devices_changed()

    def _state(self) -> State:
        """How things stand, for the beginning of a recording."""
        return {
            "devices": [
                (opened.source, opened.device.held(), opened.device.axes())
                for opened in self.devices.opened.values()
            ],
            "paused": self.paused,
            **self._layout_note(),
        }

    def one_line(self) -> str:
        """What `systemctl status` shows."""
        what = f"“{self.in_force.layout.title}”"
        if self.paused:
            return f"paused; layout {what}"
        if self.failure is not None:
            return f"playing {what}; refused: {self.failure.summary}"
        return f"playing {what}"

    def _feed_watchdog(self, now_us: int) -> None:
        if self.notify.watchdog_us is not None:
            self.notify.watchdog()
            self._watchdog.set(now_us + self.notify.watchdog_us // 2)

    def _woken(self) -> None:
        self._housekeeping.set(self.loop.now() + _HOUSEKEEPING_US)

    def _keep_house(self, now_us: int) -> None:
        """Once a second while there is input, and once more when it has ended."""
        turns = self.loop.turns_with_input
        idle = turns == self._turns_seen
        self._turns_seen = turns
        self._uncollected += 1
        if idle or self._uncollected >= _COLLECT_AFTER:
            self._uncollected = 0
            gc.collect()
        if idle:
            self.memory.turn_over()
            self.loop.resting = True
        else:
            self._housekeeping.set(now_us + _HOUSEKEEPING_US)


def _shortened(problems: str) -> str:
    """As much as somebody reads who plays; the status and `remapd check` tell all."""
    lines = problems.splitlines()
    if len(lines) <= _LINES_TOLD:
        return problems
    return "\n".join(
        [*lines[:_LINES_TOLD], "…and more: `remapd check` and `remapd status` tell all"]
    )

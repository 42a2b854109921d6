"""The daemon from start to end, in one straight line: `serve`."""

from __future__ import annotations

import signal
import socket
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager

from remapd.daemon.beginning import Beginning
from remapd.daemon.journal import Journal
from remapd.daemon.layout_reader import LayoutReader, ReaderLost
from remapd.daemon.layouts import Layouts
from remapd.daemon.notify import Notify
from remapd.daemon.pad_of import pad_identity, pad_name
from remapd.daemon.places import AlreadyRunning, Place
from remapd.daemon.reading import Reading
from remapd.daemon.running import Daemon, InForce
from remapd.engine.layout import Layout
from remapd.kernel.errors import KernelError
from remapd.kernel.pad import Pad
from remapd.kernel.timer import monotonic_us


class StartFailed(Exception):
    """The daemon cannot start; the text says what is wrong and how to mend it."""


def serve(
    name: str, beginning: Beginning, reader: LayoutReader, ticket: int, group: int | None = None
) -> int:
    """Runs the daemon `name` until it is told to end; the exit code.

    `ticket` is that of the order, given to `reader` already, to read the first layout: that of
    `beginning`, or where it names none the layout for every gamepad. Members of `group` (a gid)
    may ask at the control socket as well. Raises StartFailed.
    """
    with ExitStack() as at_end:
        notify = Notify()
        at_end.callback(notify.close)
        journal = Journal()
        started_with = beginning.started_with
        layouts = Layouts(reader, None if started_with is None else (name, started_with))
        at_end.callback(layouts.close)
        place = _take_place(name)
        at_end.callback(place.release)
        reading, layout, refused = first_reading(reader, ticket, beginning)
        pad = _make_pad(name, layout)
        at_end.callback(pad.close)
        path = None if beginning.path is None else reading.path
        in_force = InForce(layout, path, reading.texts, reading.text, monotonic_us())
        with _told("the kernel lets no more files be watched (fs.inotify.max_user_instances)"):
            daemon = Daemon(name, in_force, pad, journal, notify, layouts)
        at_end.callback(daemon.close)
        daemon.warn(reading.problems)
        if refused is None:
            daemon.begins_as(beginning.notes)
        else:
            daemon.begins_instead(refused)
        with _signals_in(daemon):
            with _told(f"the control socket {place.socket_path} cannot be made"):
                daemon.listen(place.socket_path, group)
            daemon.begin()
            return daemon.run()


@contextmanager
def _told(what: str) -> Iterator[None]:
    """What the system refuses becomes StartFailed, in these words and its own."""
    try:
        yield
    except OSError as error:
        raise StartFailed(f"{what}: {error.strerror or error}") from error


def _take_place(name: str) -> Place:
    try:
        return Place(name)
    except AlreadyRunning as error:
        which = f" (process {error.pid})" if error.pid else ""
        raise StartFailed(
            f"a daemon called `{error.name}` is running already{which}; end it first, or give "
            "this one a name of its own: remapd run --name NAME"
        ) from error
    except OSError as error:
        raise StartFailed(
            f"the control socket's folder {error.filename} cannot be used: {error.strerror}; "
            "set XDG_RUNTIME_DIR to a folder of your own"
        ) from error


def first_reading(
    reader: LayoutReader, ticket: int, beginning: Beginning
) -> tuple[Reading, Layout, Reading | None]:
    """What to begin with; and what was chosen last, where that cannot be used."""
    refused = None if beginning.gone is None else _gone(beginning.gone)
    try:
        reading = reader.wait(ticket)
        if reading.layout is None and beginning.instead is not None:
            refused, reading = reading, reader.wait(reader.use(beginning.instead))
    except ReaderLost:
        raise StartFailed(
            "the part that reads layouts ended before it had read any; its own message is above"
        ) from None
    if reading.layout is None:
        raise StartFailed(f"the layout cannot be used:\n{reading.problems}")
    return reading, reading.layout, refused


def _gone(path: str) -> Reading:
    why = f"{path}: this file is not there any more, or may not be read by the daemon"
    return Reading(path, 0, None, problems=why, summary=why)


def _make_pad(name: str, layout: Layout) -> Pad:
    try:
        return Pad(pad_name(name), pad_identity(layout), has_rumble=True)
    except KernelError as error:
        raise StartFailed(str(error)) from error


@contextmanager
def _signals_in(daemon: Daemon) -> Iterator[None]:
    """While it lasts, signals are events of the loop."""
    wake, woken = socket.socketpair()
    wake.setblocking(False)
    woken.setblocking(False)
    before = {
        number: signal.signal(number, _leave_to_the_loop)
        for number in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP)
    }
    old_fd = signal.set_wakeup_fd(wake.fileno(), warn_on_full_buffer=False)

    def take(mask: int) -> None:
        del mask
        for number in woken.recv(64):
            daemon.signalled(number)

    daemon.loop.add(woken.fileno(), take)
    try:
        yield
    finally:
        signal.set_wakeup_fd(old_fd)
        for number, handler in before.items():
            signal.signal(number, handler)
        wake.close()
        woken.close()


def _leave_to_the_loop(number: int, frame: object) -> None:
    del number, frame

"""The process beside the daemon that watches, reads and checks layouts.

Reading a layout takes longer than a player's press may wait, and a folder on a network may answer
late or never. So none of it is done in the daemon: this process follows the files, and sends what
became of them through a pipe. It ends when the daemon does.

Orders come on standard input, a JSON object a line:

- `{"use": PATH, "ticket": N}` reads a layout; if it is valid (or the first) its files are followed
  from then on. With `"remember"` it is remembered as the one chosen last; with `"beside": LAYOUT`,
  PATH is as that layout writes it;
- `{"again": N}` reads it once more, changed or not, with N as the ticket;
- `{"text": TEXT, "name": NAME, "ticket": N}` reads one that is in no file;
- `{"plugs": {DEVICE: [SAID, IS]}, "daemon": NAME}` remembers plugs that moved.

Readings go to standard output.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import select
import signal
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from remapd import history, remembered
from remapd.daemon.file_signature import signature
from remapd.daemon.reading import Reading, pack
from remapd.language import Loaded, load, load_text, render
from remapd.language.plain_file import bytes_of
from remapd.language.shelf import meant_by
from remapd.remembered import MovedPlug

if TYPE_CHECKING:
    from remapd.daemon.watch import Watch

#: No event for so long: the save is complete. Editors that save by renaming do it within 5 ms.
QUIET_US: Final = 30_000
#: A file that something writes again and again is read at least so often.
_QUIET_AT_MOST_US: Final = 300_000
_SWEEP_US: Final = 1_000_000
#: A change of which there was no event may be half written: nobody says when it is complete.
_SWEEP_QUIET_US: Final = 500_000
#: Some editors empty a file before they write it: that is no error before this time is over.
_EMPTY_PATIENCE_US: Final = 500_000
_EMPTY_RETRY_US: Final = 50_000
#: How often a reading is repeated when the file changed under it.
_MOST_REPEATS: Final = 5
_NICENESS: Final = 5


class LayoutProcess:
    """Follows one layout and answers orders; `out` is the descriptor that readings go to."""

    def __init__(self, out: int) -> None:
        self._out = out
        self._poll = select.poll()
        self._watch: Watch | None = None
        self._path: str | None = None
        self._digest = b""
        self._changed_us: int | None = None  #: when the changes that are not read yet began
        self._due_us: int | None = None
        self._empty_since_us: int | None = None
        self._orders = b""
        self._warned: set[str] = set()

    def run(self, orders: int) -> None:
        """Serves until `orders`, a descriptor, ends."""
        poll = self._poll
        poll.register(orders, select.POLLIN)
        next_sweep_us = _now_us() + _SWEEP_US
        stepped_back = False
        while True:
            wake_us = next_sweep_us if self._due_us is None else min(next_sweep_us, self._due_us)
            timeout_ms = max(0, -(-(wake_us - _now_us()) // 1000))
            ready = {fd for fd, _ in poll.poll(timeout_ms)}
            if orders in ready:
                if not self._take_orders(orders):
                    return
                if not stepped_back:  # for the first layout the daemon's start waits
                    stepped_back = True
                    with contextlib.suppress(OSError):
                        os.nice(_NICENESS)
            watch = self._watch
            if watch is not None and watch.fileno() in ready:
                watch.acknowledge()
                self._change_seen(QUIET_US)
            now_us = _now_us()
            if now_us >= next_sweep_us:
                next_sweep_us = now_us + _SWEEP_US
                if watch is not None and watch.sweep() and self._due_us is None:
                    self._change_seen(_SWEEP_QUIET_US)
            if self._due_us is not None and now_us >= self._due_us:
                self._due_us = None
                self._settle()

    def _take_orders(self, orders: int) -> bool:
        """Carries out what has come; whether there may be more."""
        data = os.read(orders, 65536)
        self._orders += data
        *lines, self._orders = self._orders.split(b"\n")
        for line in lines:
            order = json.loads(line)
            if "use" in order:
                self._use(order["use"], order["ticket"], order.get("beside"), order.get("remember"))
            elif "plugs" in order:
                self._remember_plugs(order["daemon"], order["plugs"])
            elif "text" in order:
                began_us = _now_us()
                loaded = load_text(order["text"], order["name"])
                self._send(loaded, order["name"], order["ticket"], began_us)
            elif self._path is not None:
                self._read(self._path, order["again"])
        return bool(data)

    def _use(self, path: str, ticket: int, beside: str | None, remember: list[str] | None) -> None:
        """Reads another layout; follows it if it is valid, or if there was none before."""
        began_us = _now_us()
        if beside is not None:
            path = str(meant_by(Path(beside), path))
        loaded, digest = _load(path, ())
        self._send(loaded, path, ticket, began_us)
        if loaded.layout is not None or self._path is None:
            self._path = path
            self._follow_files(loaded.files, digest)
        if loaded.layout is not None and remember is not None:
            with self._told("the layout that was chosen is not remembered over a restart"):
                daemon, started_with = remember
                remembered.remember_choice(daemon, started_with, path)

    def _remember_plugs(self, daemon: str, plugs: dict[str, list[str]]) -> None:
        with self._told("the plug that moved is not remembered over a restart"):
            moved = {device: MovedPlug(*ports) for device, ports in plugs.items()}
            remembered.remember_plugs(daemon, moved)

    @contextlib.contextmanager
    def _told(self, what: str) -> Iterator[None]:
        """What cannot be written is told once, and is no reason not to play."""
        try:
            yield
        except OSError as error:
            if what not in self._warned:
                why = f"{error.strerror or error}: {history.own_folder().parent}"
                print(f"remapd: warning: {what} ({why}); play goes on", file=sys.stderr)
            self._warned.add(what)

    def _read(self, path: str, ticket: int) -> None:
        """Reads the followed layout again."""
        began_us = _now_us()
        loaded, digest = _load(path, self._files)
        self._send(loaded, path, ticket, began_us)
        self._follow_files(loaded.files, digest)

    def _follow_files(self, files: Sequence[Path], digest: bytes) -> None:
        """`digest` is that of the contents which were read."""
        if self._watch is None:
            # not before the first layout is on its way, for which the daemon waits at its start
            from remapd.daemon.watch import Watch  # noqa: PLC0415

            self._watch = Watch()
            self._poll.register(self._watch, select.POLLIN)
        self._digest = digest
        self._watch.follow(files)
        if digest_of(files) != digest:  # changed again before the watch was set
            self._change_seen(_SWEEP_QUIET_US)

    @property
    def _files(self) -> Sequence[Path]:
        """What is watched."""
        return () if self._watch is None else self._watch.files

    def _change_seen(self, quiet_us: int) -> None:
        now_us = _now_us()
        if self._changed_us is None:
            self._changed_us = now_us
        self._due_us = min(now_us, self._changed_us + _QUIET_AT_MOST_US) + quiet_us

    def _settle(self) -> None:
        """No more events: reads the layout if the contents of its files differ from the last."""
        if self._path is None or self._watch is None:
            return
        if self._missing_or_empty(Path(self._path)):
            now_us = _now_us()
            if self._empty_since_us is None:
                self._empty_since_us = now_us
            if now_us - self._empty_since_us < _EMPTY_PATIENCE_US:
                self._due_us = now_us + _EMPTY_RETRY_US
                return
        self._empty_since_us = None
        self._changed_us = None
        self._watch.sweep()
        if digest_of(self._watch.files) != self._digest:
            self._read(self._path, 0)

    @staticmethod
    def _missing_or_empty(path: Path) -> bool:
        found = signature(path)
        return found is None or found[3] == 0

    def _send(self, loaded: Loaded, path: str, ticket: int, began_us: int) -> None:
        errors = [diagnostic for diagnostic in loaded.diagnostics if diagnostic.is_error]
        files = [file for file in map(signature, loaded.files) if file is not None]
        saved_ns = max((file[2] for file in files), default=time.time_ns())
        now_us = _now_us()
        reading = Reading(
            path=path,
            ticket=ticket,
            layout=loaded.layout,
            problems="\n".join(map(render, loaded.diagnostics)),
            summary=f"{errors[0].span}: {errors[0].message}" if errors else "",
            text=loaded.self_contained_text,
            texts=dict(loaded.texts),
            saved_ago_us=max(0, time.time_ns() - saved_ns) // 1000,
            reading_us=now_us - began_us,
            ready_us=now_us,
        )
        data = memoryview(pack(reading))
        while data:
            data = data[os.write(self._out, data) :]
        if loaded.layout is not None and loaded.files:
            self._keep_version(loaded)

    def _keep_version(self, loaded: Loaded) -> None:
        """A layout without errors comes into force: how it was can be brought back later."""
        contents = {history.real(name): text.encode() for name, text in loaded.texts.items()}
        with self._told("versions of layouts are not kept"):
            history.remember(loaded.files[0], contents, history.IN_FORCE)


def digest_of(files: Sequence[Path]) -> bytes:
    """Of the contents of the files, in their order; a file that cannot be read counts as such."""
    digest = hashlib.blake2b(digest_size=16)
    for file in files:
        try:
            content = bytes_of(file)
        except (OSError, ValueError):
            digest.update(b"missing")
            continue
        digest.update(b"%d:" % len(content))
        digest.update(content)
    return digest.digest()


def _load(path: str, known_files: Sequence[Path]) -> tuple[Loaded, bytes]:
    """The layout, and the digest of its files' contents as they were before they were read.

    Taken before, the digest errs only to the safe side: a file that changes while it is read
    differs from it afterwards, and is read again.
    """
    files: Sequence[Path] = known_files or (Path(path),)
    for _ in range(_MOST_REPEATS):
        digest = digest_of(files)
        loaded = load(Path(path))
        if list(loaded.files) == list(files):
            break
        files = loaded.files
    return loaded, digest


def _now_us() -> int:
    return time.monotonic_ns() // 1000


def main() -> None:
    """Serves the daemon that started us, until it closes our standard input."""
    for number in (signal.SIGINT, signal.SIGHUP, signal.SIGTERM):
        signal.signal(number, signal.SIG_IGN)  # they are the daemon's: we end after it
    out = os.dup(sys.stdout.fileno())
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # a stray print must not look like a reading
    with contextlib.suppress(BrokenPipeError):
        LayoutProcess(out).run(sys.stdin.fileno())


if __name__ == "__main__":
    main()

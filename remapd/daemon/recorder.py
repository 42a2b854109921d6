"""Recordings from the running daemon: what is remembered, and what comes, sent to whoever asked.

The client makes the file. So a full or slow disk is its trouble and never play's, and the file lies
where the client may write, with the client's rights.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from remapd.daemon.control import Client, Message
from remapd.daemon.loop import Loop
from remapd.daemon.memory import Chunk, Memory, State
from remapd.daemon.wire import state_fields

#: How often what has been recorded is sent on, in microseconds.
_SEND_EVERY_US: Final = 250_000
#: A disk that pauses for a minute loses nothing.
_WAITING_BYTES_MAX: Final = 16 << 20


class Recorder:
    """Sends chunks of the memory to clients, those that are there and those that are made."""

    def __init__(self, memory: Memory, loop: Loop) -> None:
        self._memory = memory
        self._loop = loop
        self._clients: set[Client] = set()
        self._alarm = loop.alarm(self._send)
        memory.listeners.append(self._pass_on)

    def __len__(self) -> int:
        """How many recordings are under way."""
        return len(self._clients)

    def send_last(self, client: Client, last_us: int) -> None:
        """Sends what is remembered of the last `last_us` microseconds, then the end."""
        self._memory.turn_over()
        now_us = self._loop.now()
        client.send_pieces(_messages(self._memory.since(now_us - last_us), now_us))

    def start(self, client: Client) -> None:
        """Sends how things stand, and from now on all that happens, until `stop`."""
        self._memory.turn_over()
        client.send(
            {"event": "recording", "us": self._loop.now(), "state": _told(self._memory.state_now())}
        )
        self._clients.add(client)
        client.waiting_bytes_max = _WAITING_BYTES_MAX
        client.at_close.append(lambda: self._clients.discard(client))
        self._alarm.set(self._loop.now() + _SEND_EVERY_US)

    def stop(self, client: Client) -> bool:
        """Sends the rest and the end; False where this client records nothing."""
        if client not in self._clients:
            return False
        self._memory.turn_over()
        self._clients.discard(client)
        client.send({"event": "recording-end", "us": self._loop.now()})
        return True

    def _send(self, now_us: int) -> None:
        if self._clients:
            self._memory.turn_over()
            self._alarm.set(now_us + _SEND_EVERY_US)

    def _pass_on(self, chunk: Chunk) -> None:
        if self._clients:
            message = _frames(chunk)
            for client in list(self._clients):
                client.send(message)


def _messages(chunks: list[Chunk], now_us: int) -> Iterator[Message]:
    if chunks:
        yield {"event": "recording", "us": chunks[0].from_us, "state": _told(chunks[0].state)}
    for chunk in chunks:
        yield _frames(chunk)
    yield {"event": "recording-end", "us": now_us}


def _told(state: State) -> Message:
    """The state as it is sent: kept, it only refers to what devices are."""
    return {**state, "devices": [state_fields(*device) for device in state["devices"]]}


def _frames(chunk: Chunk) -> dict[str, Any]:
    return {"event": "recording-frames", "items": chunk.items()}

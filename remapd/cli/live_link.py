"""The connection of a live screen to the daemon: it asks, takes in what comes, and comes back."""

from __future__ import annotations

import contextlib
import select
import time
from collections.abc import Callable
from typing import Any, Final

from remapd.cli.failure import CommandFailed
from remapd.daemon.client import DaemonClient, Denied, NotRunning

Message = dict[str, Any]

#: The figures and the state of devices are asked for so often, beside what events bring.
_STATUS_S: Final = 5.0
#: A daemon that ended is looked for so often.
_AGAIN_S: Final = 1.0
#: So many messages are taken in at a time, so that a picture is due in between.
_BATCH: Final = 500


class LiveLink:
    """Messages of the daemon called `name`, across its ends and starts.

    `connect` raises CommandFailed where there is none; afterwards one that ended is waited for.
    """

    def __init__(
        self,
        name: str,
        topics: tuple[str, ...],
        *,
        status_s: float = _STATUS_S,
        is_told_to_end: Callable[[], bool] = lambda: False,
    ) -> None:
        self._is_told_to_end = is_told_to_end
        self._name = name
        self._topics = topics
        self._status_s = status_s
        self._client: DaemonClient | None = None
        self._is_answered = False
        self._next_try_s = 0.0
        self._next_status_s = 0.0

    def connect(self) -> None:
        """The first time; raises what DaemonClient raises, and CommandFailed when refused."""
        client = DaemonClient(self._name)
        try:
            client.send("layout")
            client.send("subscribe", to=list(self._topics))
        except NotRunning:
            refusal = _refusal(client)
            client.close()
            if refusal:
                raise CommandFailed(refusal) from None
            raise
        self._client = client
        self._next_status_s = time.monotonic() + self._status_s

    @property
    def is_connected(self) -> bool:
        """Whether there is a daemon at the other end."""
        return self._client is not None

    def close(self) -> None:
        """Ends it."""
        if self._client is not None:
            self._client.close()
            self._client = None

    @property
    def topics(self) -> tuple[str, ...]:
        """What the daemon is asked to tell of."""
        return self._topics

    @topics.setter
    def topics(self, topics: tuple[str, ...]) -> None:
        if topics != self._topics:
            self._topics = topics
            if self._client is not None:
                with contextlib.suppress(NotRunning):
                    self._client.send("subscribe", to=list(topics))

    def ask(self, request: str, **details: Any) -> None:
        """Sends a request; its answer comes among the messages."""
        if self._client is not None:
            with contextlib.suppress(NotRunning):
                self._client.send(request, **details)

    def messages(self, wait_s: float, wake: Callable[[], int] | None = None) -> list[Message]:
        """What has come, waiting for it so long at most; `wake` is a descriptor that ends a wait.

        Raises CommandFailed where the daemon refuses to answer this user, and KeyboardInterrupt
        where the command was told to end and has not noticed.
        """
        if self._is_told_to_end():
            raise KeyboardInterrupt
        client = self._client
        if client is None:
            return self._again(wait_s)
        if time.monotonic() >= self._next_status_s:
            self._next_status_s = time.monotonic() + self._status_s
            self.ask("status")
        batch: list[Message] = []
        descriptors = [client.fileno()] if wake is None else [client.fileno(), wake()]
        try:
            if not client.waiting():
                ready = select.select(descriptors, [], [], max(0.0, wait_s))[0]
                if client.fileno() not in ready:
                    return []
            while len(batch) < _BATCH:
                batch.append(client.receive())
                if not client.waiting() and not select.select([client.fileno()], [], [], 0)[0]:
                    break
        except NotRunning:
            self.close()
            self._next_try_s = time.monotonic() + _AGAIN_S
        for message in batch:
            if message.get("ok") is False and not self._is_answered:
                raise CommandFailed(_in_words(message))
            self._is_answered |= message.get("ok") is True
        return batch

    def _again(self, wait_s: float) -> list[Message]:
        """Waits, and looks whether a daemon is there again."""
        left_s = self._next_try_s - time.monotonic()
        if left_s > 0:
            time.sleep(min(left_s, max(0.0, wait_s)))
            return []
        self._next_try_s = time.monotonic() + _AGAIN_S
        with contextlib.suppress(NotRunning, Denied):
            self.connect()
        return []


def _refusal(client: DaemonClient) -> str:
    """What a daemon said before it closed the connection; empty for nothing."""
    try:
        message = client.receive()
    except NotRunning:
        return ""
    return _in_words(message) if message.get("ok") is False else ""


def _in_words(message: Message) -> str:
    return f"{message.get('error')}; watch as that user, or with sudo"

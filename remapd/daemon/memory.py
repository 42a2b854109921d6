"""The last two minutes of input, kept so that what just went wrong can be saved after the fact.

On the hot path a frame costs one append. Every so many frames these become a packed chunk, with
the state of every device at its beginning beside it, so that any chunk can begin a recording. What
is kept is bounded in time and in bytes; nothing of it is written anywhere until somebody asks.
"""

from __future__ import annotations

import marshal
import zlib
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

#: What is remembered at least, where it fits.
KEPT_US: Final = 120_000_000
#: The most that the chunks may take together: two minutes of eight sticks at 1000 Hz.
KEPT_BYTES: Final = 24 * 1024 * 1024
#: Frames that make a chunk; packing them takes some 50 µs.
CHUNK_FRAMES: Final = 128

#: A frame is (us, device, events); anything else that happened is (us, -1, what), with names as
#: docs/control-socket.md gives them.
Item = tuple[int, int, Any]
#: How things stand at a chunk's beginning: `devices` (each its description, its held keys and its
#: axes' values), `paused`, `layout` and `text`, as docs/control-socket.md gives them.
State = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Chunk:
    """Some items in their order of time, packed; `state` is how things stood before the first."""

    from_us: int
    to_us: int
    state: State
    packed: bytes

    def items(self) -> list[Item]:
        """The items again."""
        items: list[Item] = marshal.loads(zlib.decompress(self.packed))  # noqa: S302 - our own
        return items


class Memory:
    """Keeps chunks; `state_now` tells the state of things, asked for at each chunk's beginning.

    Append frames to `pending` and call `turn_over` when it holds CHUNK_FRAMES or more, at a moment
    when every frame that was read is in it.
    """

    def __init__(self, state_now: Callable[[], State]) -> None:
        #: How things stand at this moment.
        self.state_now = state_now
        self._state: State = {}
        self.pending: list[Item] = []
        self.chunks: deque[Chunk] = deque()
        self._bytes = 0
        #: Called with each chunk that is closed: a recording that is under way.
        self.listeners: list[Callable[[Chunk], None]] = []

    def begin(self) -> None:
        """Takes the state from which the first chunk starts."""
        self._state = self.state_now()

    def note(self, us: int, what: dict[str, Any]) -> None:
        """Something that happened beside frames: a layout, a plug, a pause, a mark."""
        self.pending.append((us, -1, what))

    def turn_over(self) -> None:
        """Closes the chunk that is under way, and forgets what is too old or too much."""
        pending = self.pending
        if not pending:
            self._state = self.state_now()
            return
        # format 2 of marshal keeps no table of repeated objects: quicker, and the packer does that
        packed = zlib.compress(marshal.dumps(pending, 2), 1)
        chunk = Chunk(pending[0][0], pending[-1][0], self._state, packed)
        pending.clear()
        self._state = self.state_now()
        self.chunks.append(chunk)
        self._bytes += len(packed)
        while self.chunks and (
            self.chunks[0].to_us < chunk.to_us - KEPT_US or self._bytes > KEPT_BYTES
        ):
            self._bytes -= len(self.chunks.popleft().packed)
        for listener in self.listeners:
            listener(chunk)

    def since(self, us: int) -> list[Chunk]:
        """The closed chunks that reach to `us` or later, oldest first."""
        return [chunk for chunk in self.chunks if chunk.to_us >= us]

"""The last two minutes of input, kept so that what just went wrong can be saved after the fact.

On the hot path a frame costs one append, mostly of the very bytes that were read. Every so many
frames these become a packed chunk, with the state of every device at its beginning beside it, so
that any chunk can begin a recording. What is kept is bounded in time and in bytes; nothing of it is
written anywhere until somebody asks.
"""

from __future__ import annotations

import marshal
import zlib
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from remapd.kernel.frames import FrameSplitter, frame_us

#: What is remembered at least, where it fits.
KEPT_US: Final = 120_000_000
#: The most that the chunks may take together: two minutes of eight sticks at 1000 Hz.
KEPT_BYTES: Final = 24 * 1024 * 1024
#: Of these, so much is left uncompressed, the newest: at the pace of most devices all there is, and
#: compressing costs more than everything else that is done here.
LOOSE_BYTES: Final = 4 * 1024 * 1024
#: Frames that make a chunk.
CHUNK_FRAMES: Final = 128

#: A frame is (us, device, events); anything else that happened is (us, -1, what), with names as
#: docs/control-socket.md gives them.
Item = tuple[int, int, Any]
#: How things stand at a chunk's beginning: `devices` (each its description, its held keys and its
#: axes' values), `paused`, `layout` and `text`, as docs/control-socket.md gives them.
State = dict[str, Any]


@dataclass(slots=True)
class Chunk:
    """Some items in their order of time, packed; `state` is how things stood before the first."""

    from_us: int
    to_us: int
    state: State
    packed: bytes
    compressed: bool = False

    def items(self) -> list[Item]:
        """The items again."""
        packed = zlib.decompress(self.packed) if self.compressed else self.packed
        return [_item(kept) for kept in marshal.loads(packed)]  # noqa: S302 - our own

    def compress(self) -> int:
        """Makes it as small as can be done quickly; by how many bytes."""
        loose = len(self.packed)
        self.packed = zlib.compress(self.packed, 1)
        self.compressed = True
        return loose - len(self.packed)


class Memory:
    """Keeps chunks; `state_now` tells the state of things, asked for at each chunk's beginning.

    Append frames to `pending` and call `turn_over` when it holds CHUNK_FRAMES or more, at a moment
    when every frame that was read is in it.
    """

    def __init__(self, state_now: Callable[[], State]) -> None:
        #: How things stand at this moment.
        self.state_now = state_now
        self._state: State = {}
        #: Items as they are, or (device, the bytes of one frame): see FrameSplitter.plain. It stays
        #: this very list, as the loop has it at hand.
        self.pending: list[Item | tuple[int, bytes]] = []
        self.chunks: deque[Chunk] = deque()
        self._bytes = 0
        #: Those that are not compressed yet.
        self._loose: deque[Chunk] = deque()
        self._loose_bytes = 0
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
        # format 2 of marshal keeps no table of repeated objects: quicker, and compressing does that
        packed = marshal.dumps(pending, 2)
        chunk = Chunk(_us(pending[0]), _us(pending[-1]), self._state, packed)
        pending.clear()
        self._state = self.state_now()
        self.chunks.append(chunk)
        self._bytes += len(packed)
        self._loose.append(chunk)
        self._loose_bytes += len(packed)
        while self._loose_bytes > LOOSE_BYTES:
            oldest = self._loose.popleft()
            self._loose_bytes -= len(oldest.packed)
            self._bytes -= oldest.compress()
        while self.chunks and (
            self.chunks[0].to_us < chunk.to_us - KEPT_US or self._bytes > KEPT_BYTES
        ):
            self._forget(self.chunks.popleft())
        for listener in self.listeners:
            listener(chunk)

    def _forget(self, chunk: Chunk) -> None:
        self._bytes -= len(chunk.packed)
        if not chunk.compressed:
            self._loose_bytes -= len(chunk.packed)
            self._loose.popleft()  # it was the oldest of these too

    def since(self, us: int) -> list[Chunk]:
        """The closed chunks that reach to `us` or later, oldest first."""
        return [chunk for chunk in self.chunks if chunk.to_us >= us]


def _us(kept: Item | tuple[int, bytes]) -> int:
    """When it was."""
    return kept[0] if len(kept) == 3 else frame_us(kept[1])


def _item(kept: Item | tuple[int, bytes]) -> Item:
    """The item, also of a frame that is kept as its bytes."""
    if len(kept) == 3:
        return kept
    device, data = kept
    [(us, events)] = FrameSplitter().split(data)
    return us, device, events

"""The least that Python can do: passthrough.c again, in Python, with every event as numbers.

passthrough.py FROM_FD TO_FD [FROM_FD TO_FD ...], as the program in C.
"""

import gc
import os
import select
import struct
import sys


def main() -> None:
    """Passes on until a signal ends it."""
    words = [int(word) for word in sys.argv[1:]]
    to = dict(zip(words[0::2], words[1::2], strict=True))
    poll = select.epoll()
    for descriptor in to:
        poll.register(descriptor, select.EPOLLIN)
    records = struct.Struct("@16xHHi")
    packs = [struct.Struct("16xHHi" * count).pack for count in range(129)]
    gc.disable()
    while True:
        for descriptor, _ in poll.poll(-1, 16):
            flat: list[int] = []
            for event in records.iter_unpack(os.read(descriptor, 456)):
                flat += event
            os.write(to[descriptor], packs[len(flat) // 3](*flat))


if __name__ == "__main__":
    main()

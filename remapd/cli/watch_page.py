"""The page of `remapd watch --page`: a browser's view of the running daemon."""

from __future__ import annotations

import time
from contextlib import closing
from typing import Final

from remapd.cli.failure import CommandFailed
from remapd.cli.live_link import LiveLink
from remapd.cli.watch import FRAME_S, IDLE_S, clock, moving, now_us, take_in
from remapd.show.live.page_server import PageServer
from remapd.show.live.picture import picture_of
from remapd.show.live.state import LiveState

#: So long the daemon's first words are waited for: an address is told only where it answers.
_FIRST_S: Final = 2.0


def serve_page(link: LiveLink, listen: str, port: int) -> None:
    """Serves the page until Ctrl-C, across the daemon's ends and starts."""
    state = LiveState()
    take_in(link, state, _FIRST_S)
    with closing(opened(listen, port)) as server:
        print(f"The page: {server.address}", flush=True)
        if not server.is_for_this_computer:
            print(
                "Whoever has this address can see what is pressed, and the way there is not "
                "encrypted: give it to nobody else, and only in a network that you trust.",
                flush=True,
            )
        print("Ctrl-C ends it.", flush=True)
        words = clock()
        last_s, is_new = 0.0, True
        while True:
            wait_s = FRAME_S if is_new or moving(state) else IDLE_S
            is_new |= take_in(link, state, max(0.0, last_s + wait_s - time.monotonic()))
            if time.monotonic() - last_s >= (FRAME_S if is_new else wait_s):
                server.publish(picture_of(state, now_us(), words))
                last_s, is_new = time.monotonic(), False


def opened(listen: str, port: int) -> PageServer:
    """The server; raises CommandFailed where it cannot listen there."""
    try:
        return PageServer("127.0.0.1" if listen == "localhost" else listen, port)
    except ValueError:
        raise CommandFailed(
            f"`{listen}` is no address: write numbers, such as 127.0.0.1 or 192.168.1.20; "
            "`ip -brief address` shows those of this computer"
        ) from None
    except OSError as error:
        where = f"{listen}, port {port}" if port else listen
        raise CommandFailed(
            f"nothing can be served at {where}: {error.strerror}; try another --port, and an "
            "address of this computer (`ip -brief address`)"
        ) from error

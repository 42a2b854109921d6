"""Telling the service manager how we are: sd_notify(3), which is one datagram a message.

Outside a service that waits for it every call does nothing.
"""

from __future__ import annotations

import contextlib
import os
import socket


class Notify:
    """The way to the service manager named by NOTIFY_SOCKET, if there is one."""

    def __init__(self) -> None:
        address = os.environ.pop("NOTIFY_SOCKET", "")  # taken out: it is not for our children
        self._socket: socket.socket | None = None
        #: How often `watchdog` must be called at least, in microseconds; None: nobody waits for it.
        self.watchdog_us: int | None = None
        if not address:
            return
        # a name in the abstract namespace begins with a zero byte, written as @
        address = "\0" + address[1:] if address.startswith("@") else address
        with contextlib.suppress(OSError):
            link = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM | socket.SOCK_CLOEXEC)
            link.setblocking(False)
            link.connect(address)
            self._socket = link
        pid, period = os.environ.pop("WATCHDOG_PID", ""), os.environ.pop("WATCHDOG_USEC", "")
        if period.isdecimal() and int(period) and pid in {"", str(os.getpid())}:
            self.watchdog_us = int(period)

    def ready(self, status: str) -> None:
        """Start or reload is done."""
        self._send(f"READY=1\nSTATUS={status}")

    def reloading(self, now_us: int) -> None:
        """A reload was asked for; `ready` must follow. `now_us` is of the monotonic clock."""
        self._send(f"RELOADING=1\nMONOTONIC_USEC={now_us}")

    def status(self, status: str) -> None:
        """One line for `systemctl status`."""
        self._send(f"STATUS={status}")

    def watchdog(self) -> None:
        """The input loop is alive."""
        self._send("WATCHDOG=1")

    def stopping(self) -> None:
        """The end has begun."""
        self._send("STOPPING=1")

    def close(self) -> None:
        """Gives the socket back; what is told afterwards goes nowhere."""
        if self._socket is not None:
            self._socket.close()
            self._socket = None

    def _send(self, message: str) -> None:
        # never waits: a service manager that does not read must not stop play
        if self._socket is not None:
            with contextlib.suppress(OSError):
                self._socket.send(message.encode(errors="replace"))

"""A speech server for tests: takes what it is to say, and says nothing."""

from __future__ import annotations

import socket
import threading
from pathlib import Path


class SpeechServerStandIn:
    """Answers as ssip.info says; `silent` is one that hangs."""

    def __init__(self, path: Path, *, silent: bool = False) -> None:
        path.parent.mkdir(exist_ok=True)
        self._socket = socket.socket(socket.AF_UNIX)
        self._socket.bind(str(path))
        self._socket.listen()
        self._silent = silent
        self.received: list[str] = []
        self._thread = threading.Thread(target=self._serve, daemon=True)
        self._thread.start()

    def _serve(self) -> None:
        while True:
            try:
                link, _ = self._socket.accept()
            except OSError:
                return
            threading.Thread(target=self._answer, args=(link,), daemon=True).start()

    def _answer(self, link: socket.socket) -> None:
        is_text = False
        with link, link.makefile("rb") as lines:
            for raw in lines:
                line = raw.decode().rstrip("\r\n")
                self.received.append(line)
                if self._silent:
                    continue
                if is_text:
                    if line != ".":
                        continue
                    is_text, answer = False, "225-21\r\n225 OK MESSAGE QUEUED\r\n"
                elif line == "SPEAK":
                    is_text, answer = True, "230 OK RECEIVING DATA\r\n"
                else:
                    answer = "208 OK CLIENT NAME SET\r\n"
                link.sendall(answer.encode())

    def close(self) -> None:
        self._socket.shutdown(socket.SHUT_RDWR)
        self._socket.close()

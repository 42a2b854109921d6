"""The live picture as a page: a small web server that only shows.

    server = PageServer("127.0.0.1", 0)
    server.publish(picture)      as often as there is something new
    server.address               what to open; the secret in it is all that lets anybody in

Nothing that a browser sends changes anything: there is GET and no more. The page loads nothing from
elsewhere, and tells nobody its address.
"""

from __future__ import annotations

import dataclasses
import ipaddress
import json
import secrets
import socket
import threading
import time
from collections.abc import Callable
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from importlib.resources import files
from typing import Any, Final

from remapd.show.live.picture import Picture

#: So many pages at once; a page of its own for everybody in the room, and no flood.
PAGES_MOST: Final = 12
#: A page gets a sign of life so often, and is let go when it takes nothing for so long.
_ALIVE_S: Final = 5.0
_PATIENCE_S: Final = 10.0
#: New pictures so often at the most.
_PICTURE_S: Final = 0.1

_FILES: Final = {
    "": ("watch.html", "text/html; charset=utf-8"),
    "watch.css": ("watch.css", "text/css; charset=utf-8"),
    "watch.js": ("watch.js", "text/javascript; charset=utf-8"),
}
_HEADERS: Final = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; "
    "connect-src 'self'; img-src data:; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cache-Control": "no-store",
}


class PageServer:
    """Serves from its making to `close`, in threads of its own."""

    def __init__(self, listen: str, port: int) -> None:
        """`listen` is an address of this computer, `port` 0 for any. Raises OSError."""
        self.secret = secrets.token_urlsafe(16)
        self._news = threading.Condition()
        self._data = b""
        self._version = 0
        self._pages = 0
        self._closed = False
        self._content = {
            path: ((files("remapd.show") / "data" / name).read_bytes(), kind)
            for path, (name, kind) in _FILES.items()
        }
        self._listen = ipaddress.ip_address(listen)
        self._server = _server(self._listen, port, self._serve)
        self.port: int = self._server.server_address[1]
        self._thread = threading.Thread(target=self._server.serve_forever, daemon=True)
        self._thread.start()

    @property
    def is_for_this_computer(self) -> bool:
        """Whether nobody else can reach it."""
        return self._listen.is_loopback

    @property
    def address(self) -> str:
        """The page's address."""
        shown = _own_address(self._listen) if self._listen.is_unspecified else self._listen
        host = f"[{shown}]" if shown.version == 6 else str(shown)
        return f"http://{host}:{self.port}/{self.secret}/"

    def publish(self, picture: Picture) -> None:
        """Shows this picture on all pages, if it is another than the last."""
        fields = dataclasses.asdict(picture)
        for part in ("hands", "pad"):
            for control in fields[part]:
                del control["used_us"]
        text = json.dumps(fields, ensure_ascii=False, separators=(",", ":"))
        data = text.encode(errors="backslashreplace")
        with self._news:
            if data != self._data:
                self._data = data
                self._version += 1
                self._news.notify_all()

    def close(self) -> None:
        """Ends all pages and stops listening."""
        with self._news:
            self._closed = True
            self._news.notify_all()
        self._server.shutdown()
        self._server.server_close()
        self._thread.join()

    # ---------------------------------------------------------------- one request
    def _serve(self, request: BaseHTTPRequestHandler) -> None:
        secret, _, path = request.path.removeprefix("/").partition("/")
        if not secrets.compare_digest(secret.encode(), self.secret.encode()):
            self._refuse(request, HTTPStatus.NOT_FOUND)
        elif path == "events":
            self._stream(request)
        elif path in self._content:
            content, kind = self._content[path]
            self._begin(request, HTTPStatus.OK, kind, len(content))
            if request.command != "HEAD":
                request.wfile.write(content)
        else:
            self._refuse(request, HTTPStatus.NOT_FOUND)

    def _stream(self, request: BaseHTTPRequestHandler) -> None:
        """Server-sent events (WHATWG HTML, 9.2), until the page goes."""
        with self._news:
            if self._pages >= PAGES_MOST:
                self._refuse(request, HTTPStatus.SERVICE_UNAVAILABLE)
                return
            self._pages += 1
        try:
            self._begin(request, HTTPStatus.OK, "text/event-stream", None)
            if request.command != "HEAD":
                self._send_pictures(request)
        finally:
            with self._news:
                self._pages -= 1

    def _send_pictures(self, request: BaseHTTPRequestHandler) -> None:
        shown = 0
        while True:
            with self._news:
                self._news.wait_for(
                    lambda shown=shown: self._closed or self._version != shown,  # type: ignore[misc]
                    _ALIVE_S,
                )
                if self._closed:
                    return
                data = self._data if self._version != shown else None
                shown = self._version
            request.wfile.write(b": here\n\n" if data is None else b"data: " + data + b"\n\n")
            time.sleep(_PICTURE_S)

    def _refuse(self, request: BaseHTTPRequestHandler, status: HTTPStatus) -> None:
        self._begin(request, status, "text/plain; charset=utf-8", 0)

    @staticmethod
    def _begin(
        request: BaseHTTPRequestHandler, status: HTTPStatus, kind: str, length: int | None
    ) -> None:
        request.send_response(status)
        request.send_header("Content-Type", kind)
        if length is not None:
            request.send_header("Content-Length", str(length))
        for name, value in _HEADERS.items():
            request.send_header(name, value)
        request.end_headers()


def _server(
    listen: ipaddress.IPv4Address | ipaddress.IPv6Address,
    port: int,
    serve: Callable[[BaseHTTPRequestHandler], None],
) -> ThreadingHTTPServer:
    class Request(BaseHTTPRequestHandler):
        timeout = _PATIENCE_S

        def do_GET(self) -> None:
            serve(self)

        do_HEAD = do_GET  # noqa: N815

        def version_string(self) -> str:
            return "remapd"

        def log_message(self, *_: Any) -> None:
            """Nothing: the secret is in every line that would be written."""

        def handle(self) -> None:
            try:
                super().handle()
            except OSError:  # the page is gone, or takes nothing
                self.close_connection = True

    class Server(ThreadingHTTPServer):
        address_family = socket.AF_INET6 if listen.version == 6 else socket.AF_INET
        daemon_threads = True

        def server_bind(self) -> None:
            """Binds without asking the network for this computer's name."""
            self.socket.bind(self.server_address)
            self.server_address = self.socket.getsockname()

        def handle_error(self, *_: Any) -> None:
            """A request that cannot be answered is the browser's trouble, not the program's."""

    return Server((str(listen), port), Request)


def _own_address(
    listen: ipaddress.IPv4Address | ipaddress.IPv6Address,
) -> ipaddress.IPv4Address | ipaddress.IPv6Address:
    """The address that others would use; nothing is sent for this (RFC 5737, RFC 3849)."""
    family = socket.AF_INET6 if listen.version == 6 else socket.AF_INET
    elsewhere = "2001:db8::1" if listen.version == 6 else "192.0.2.1"
    with socket.socket(family, socket.SOCK_DGRAM) as route:
        try:
            route.connect((elsewhere, 9))
            return ipaddress.ip_address(route.getsockname()[0])
        except OSError:
            return ipaddress.ip_address("::1" if listen.version == 6 else "127.0.0.1")

"""A real Chromium without a window, spoken to over two pipes (the DevTools protocol).

    with Browser() as browser:
        page = browser.open(address, 1024, 768)
        page.run("document.title")
        page.screenshot(path)

https://chromedevtools.github.io/devtools-protocol/, `--remote-debugging-pipe`: JSON messages that
end with a zero byte, from us on descriptor 3, to us on descriptor 4.
"""

from __future__ import annotations

import base64
import json
import os
import select
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any, Final, Self

WAIT_S: Final = 60.0
PROGRAMS: Final = ("chromium", "chromium-browser", "google-chrome", "chrome")

#: Two descriptors become 3 and 4, whatever numbers they have; then the program takes over.
_PUT_IN_PLACE: Final = """
import fcntl, os, sys
read, write = (fcntl.fcntl(int(number), fcntl.F_DUPFD, 10) for number in sys.argv[1:3])
os.dup2(read, 3)
os.dup2(write, 4)
os.execv(sys.argv[3], sys.argv[3:])
"""

Message = dict[str, Any]


def program() -> str | None:
    """The browser's program, or None where it is not installed."""
    return next((found for name in PROGRAMS if (found := shutil.which(name))), None)


class Browser:
    """The process, and what has come from it."""

    def __init__(self) -> None:
        found = program()
        assert found is not None, "no Chromium on PATH"
        self._profile = tempfile.TemporaryDirectory(prefix="browser-", ignore_cleanup_errors=True)
        its_in, self._out = os.pipe()
        self._in, its_out = os.pipe()
        words = [
            found,
            "--headless=new",
            "--remote-debugging-pipe",
            "--no-sandbox",  # containers have no user namespaces for it; pages are our own
            "--disable-gpu",
            "--disable-dev-shm-usage",
            "--no-first-run",
            "--hide-scrollbars",
            f"--user-data-dir={self._profile.name}",
        ]
        self.process = subprocess.Popen(
            [sys.executable, "-c", _PUT_IN_PLACE, str(its_in), str(its_out), *words],
            pass_fds=(its_in, its_out),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        os.close(its_in)
        os.close(its_out)
        self._received = b""
        self._last = 0
        self.events: list[Message] = []

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.process.terminate()
        try:
            self.process.wait(WAIT_S)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        os.close(self._in)
        os.close(self._out)
        self._profile.cleanup()

    def open(self, address: str, width: int, height: int) -> Page:
        """A page of this size."""
        target = self.call("Target.createTarget", {"url": "about:blank"})["targetId"]
        attached = self.call("Target.attachToTarget", {"targetId": target, "flatten": True})
        page = Page(self, target, attached["sessionId"])
        for domain in ("Page", "Runtime", "Log", "Network", "Accessibility"):
            page.call(f"{domain}.enable")
        page.resize(width, height)
        page.call("Page.navigate", {"url": address})
        page.until("document.readyState === 'complete'")
        return page

    def call(self, method: str, parameters: Message | None = None, session: str = "") -> Message:
        """One command, and its answer."""
        self._last += 1
        command: Message = {"id": self._last, "method": method, "params": parameters or {}}
        if session:
            command["sessionId"] = session
        os.write(self._out, json.dumps(command).encode() + b"\0")
        while True:
            message = self._message()
            if message.get("id") == self._last:
                assert "error" not in message, (method, message["error"])
                result: Message = message["result"]
                return result
            self.events.append(message)

    def count(self, event: str, session: str) -> int:
        """How often a page has told of this."""
        of = (event, session)
        return sum((told.get("method"), told.get("sessionId")) == of for told in self.events)

    def wait(self) -> None:
        """Waits for the next event, of whichever page."""
        self.events.append(self._message())

    def _message(self) -> Message:
        deadline = time.monotonic() + WAIT_S
        while b"\0" not in self._received:
            left_s = deadline - time.monotonic()
            assert left_s > 0, "the browser does not answer"
            assert self.process.poll() is None, "the browser ended"
            if select.select([self._in], [], [], min(left_s, 1.0))[0]:
                self._received += os.read(self._in, 1 << 20)
        line, _, self._received = self._received.partition(b"\0")
        message: Message = json.loads(line)
        return message


class Page:
    """One page of it."""

    def __init__(self, browser: Browser, target: str, session: str) -> None:
        self._browser = browser
        self._target = target
        self._session = session

    def call(self, method: str, parameters: Message | None = None) -> Message:
        """One command about this page."""
        return self._browser.call(method, parameters, self._session)

    def close(self) -> None:
        """Closes it, also in the midst of loading, when the page itself would not take it."""
        self._browser.call("Target.closeTarget", {"targetId": self._target})

    def reload(self) -> None:
        """Loads it anew, and returns when the new one is there."""
        loaded = self._browser.count("Page.loadEventFired", self._session)
        self.call("Page.reload")
        while self._browser.count("Page.loadEventFired", self._session) == loaded:
            self._browser.wait()

    def resize(self, width: int, height: int) -> None:
        """The size of what is seen, in CSS pixels."""
        self.call(
            "Emulation.setDeviceMetricsOverride",
            {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False},
        )

    def run(self, expression: str) -> Any:
        """The value of an expression in the page."""
        answer = self.call(
            "Runtime.evaluate",
            {"expression": expression, "returnByValue": True, "awaitPromise": True},
        )
        assert "exceptionDetails" not in answer, answer["exceptionDetails"]
        return answer["result"].get("value")

    def until(self, expression: str) -> Any:
        """Asks until the expression is true, and gives its value."""
        deadline = time.monotonic() + WAIT_S
        while True:
            value = self.run(expression)
            if value:
                return value
            assert time.monotonic() < deadline, f"never true: {expression}"
            time.sleep(0.05)

    def key(self, key: str, code: int, text: str = "") -> None:
        """A key pressed and let go, by its name and its number."""
        for kind in ("keyDown", "keyUp"):
            pressed = {"type": kind, "key": key, "code": key, "windowsVirtualKeyCode": code}
            self.call(
                "Input.dispatchKeyEvent", pressed | ({"text": text} if kind == "keyDown" else {})
            )

    def tab(self) -> None:
        """The focus goes on."""
        self.key("Tab", 9)

    def enter(self) -> None:
        """What has the focus is pressed."""
        self.key("Enter", 13, "\r")

    def tree(self) -> list[Message]:
        """The accessibility tree, as a screen reader gets it, without what it ignores."""
        nodes = self.call("Accessibility.getFullAXTree")["nodes"]
        return [node for node in nodes if not node.get("ignored")]

    def screenshot(self, path: Path, *, whole: bool = False) -> None:
        """The page as an image; `whole` also what would have to be scrolled to."""
        taken = self.call(
            "Page.captureScreenshot", {"format": "png", "captureBeyondViewport": whole}
        )
        path.write_bytes(base64.b64decode(taken["data"]))

    def complaints(self) -> list[str]:
        """What the browser has found wrong: errors, and what the page's own rules refused."""
        found = []
        for event in self._browser.events:
            match event.get("method"):
                case "Log.entryAdded":
                    found.append(event["params"]["entry"]["text"])
                case "Runtime.exceptionThrown":
                    found.append(str(event["params"]["exceptionDetails"]))
                case _:
                    pass
        return found

    def requested(self) -> list[str]:
        """Every address that was asked for."""
        return [
            event["params"]["request"]["url"]
            for event in self._browser.events
            if event.get("method") == "Network.requestWillBeSent"
        ]

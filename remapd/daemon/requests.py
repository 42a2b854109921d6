"""What can be asked at the control socket; docs/control-socket.md is the same for readers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

from remapd.daemon.control import Client, Message
from remapd.daemon.journal import ERROR
from remapd.daemon.layout_described import described
from remapd.daemon.reading import Reading
from remapd.daemon.status import collect
from remapd.daemon.stream import TOPICS

if TYPE_CHECKING:
    from remapd.daemon.running import Daemon

_MARK_LENGTH_MAX: Final = 500
_LAST_US_MAX: Final = 600_000_000


class BadRequest(Exception):
    """The request cannot be understood; the text says why."""


class Requests:
    """Carries requests out."""

    def __init__(self, daemon: Daemon) -> None:
        self._daemon = daemon
        self._known = {
            "status": self._status,
            "layout": self._layout,
            "pause": self._pause,
            "resume": self._resume,
            "release": self._release,
            "mark": self._mark,
            "use": self._use,
            "swap": self._swap,
            "record": self._record,
            "subscribe": self._subscribe,
            "rumble": self._rumble,
        }

    def answer(self, client: Client, request: Message) -> None:
        """Does what is asked and answers; nothing that a client sends can end play."""
        known = self._known.get(request["do"])
        try:
            if known is None:
                raise BadRequest(f"unknown request; there are {', '.join(self._known)}")
            known(client, request)
        except BadRequest as error:
            client.send({"ok": False, "error": str(error)})
        except Exception as error:  # noqa: BLE001 - a mistake in a rare answer must not end play
            text = f"a mistake in remapd itself: {type(error).__name__}: {error}"
            self._daemon.journal.say(
                ERROR,
                "remapd",
                f"{text} (asked to {request['do']})",
                now_us=self._daemon.loop.now(),
                topic="mistake",
            )
            client.send({"ok": False, "error": text})

    def _status(self, client: Client, request: Message) -> None:
        del request
        client.send({"ok": True, "status": collect(self._daemon)})

    def _layout(self, client: Client, request: Message) -> None:
        del request
        client.send({"ok": True, "layout": described(self._daemon.in_force.layout)})

    def _pause(self, client: Client, request: Message) -> None:
        del request
        was = self._daemon.paused
        self._daemon.pause("asked for with `remapd pause`")
        client.send({"ok": True, "was_paused": was})

    def _resume(self, client: Client, request: Message) -> None:
        del request
        was = self._daemon.paused
        self._daemon.resume()
        client.send({"ok": True, "was_paused": was})

    def _release(self, client: Client, request: Message) -> None:
        del request
        self._daemon.release_everything()
        client.send({"ok": True})

    def _mark(self, client: Client, request: Message) -> None:
        text = _text(request, "text")
        if len(text) > _MARK_LENGTH_MAX:
            raise BadRequest(f"a mark has at most {_MARK_LENGTH_MAX} letters")
        self._daemon.mark(text)
        client.send({"ok": True})

    def _use(self, client: Client, request: Message) -> None:
        path = _text(request, "path")
        if not Path(path).is_absolute():
            raise BadRequest("`path` must begin with /")

        def tell(reading: Reading) -> None:
            if reading.layout is None:
                problems = reading.problems or reading.summary
                client.send({"ok": False, "error": problems})
            else:
                client.send(
                    {
                        "ok": True,
                        "title": reading.layout.title,
                        "warnings": reading.problems,
                        "remembered": self._daemon.layouts.remember is not None,
                    }
                )

        self._daemon.layouts.choose(path, tell)

    def _swap(self, client: Client, request: Message) -> None:
        del request
        roles = self._daemon.roles
        if roles is None:
            raise BadRequest("who is the player is written in the layout; edit `person:` there")
        if not roles.swap():
            raise BadRequest("there is only one gamepad: nobody to change places with")
        client.send({"ok": True})

    def _record(self, client: Client, request: Message) -> None:
        recorder = self._daemon.recorder
        what = request.get("what")
        if what == "start":
            client.send({"ok": True})
            recorder.start(client)
        elif what == "stop":
            if not recorder.stop(client):
                raise BadRequest("this connection records nothing")
        elif what == "last":
            last_us = request.get("last_us")
            if type(last_us) is not int or not 0 < last_us <= _LAST_US_MAX:
                raise BadRequest("`last_us` must be a whole number of microseconds, up to 10 min")
            client.send({"ok": True})
            recorder.send_last(client, last_us)
        else:
            raise BadRequest("`what` must be start, stop or last")

    def _subscribe(self, client: Client, request: Message) -> None:
        topics = request.get("to")
        if not isinstance(topics, list) or not all(topic in TOPICS for topic in topics):
            raise BadRequest(f"`to` must be a list of {', '.join(TOPICS)}")
        daemon = self._daemon
        daemon.stream.subscribe(client, frozenset(topics))
        answer: Message = {
            "ok": True,
            "status": collect(daemon),
            "pad": daemon.stream.pad_now(),
        }
        if "controls" in topics:
            answer["controls"] = daemon.stream.controls_now()
        client.send(answer)

    def _rumble(self, client: Client, request: Message) -> None:
        device, strength = _text(request, "device"), request.get("strength")
        if isinstance(strength, bool) or not isinstance(strength, int | float):
            raise BadRequest("`strength` must be a number")
        if not 0 < strength <= 1:
            raise BadRequest("`strength` must be above 0, at most 1")
        daemon = self._daemon
        if device not in daemon.in_force.layout.cue_devices:
            raise BadRequest(f"no cue of the layout is felt on `{device}`")
        client.send({"ok": True, "felt": daemon.rumble.cue(device, strength)})


def _text(request: Message, key: str) -> str:
    value = request.get(key)
    if not isinstance(value, str) or not value.strip():
        raise BadRequest(f"`{key}` must be a text")
    return value

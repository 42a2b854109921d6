"""Who is the player and who helps, in play without a layout file: the loop's side of `everyone`."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from remapd.daemon import everyone
from remapd.daemon.journal import NOTICE
from remapd.daemon.loop import Events, OpenedDevice
from remapd.daemon.taking import nobody_asks

if TYPE_CHECKING:
    from remapd.daemon.running import Daemon


class Roles:
    """Watches the pads, says who is who, and has the layout changed when that changes."""

    def __init__(self, daemon: Daemon) -> None:
        self._daemon = daemon
        self._who = everyone.WhoIsWho()
        self._alarm = daemon.loop.alarm(self._advance)
        daemon.devices.on_frame_of = self._hook

    def ask(self) -> None:
        """Says what to do."""
        pads = len(self._plugged())
        there = {0: "plug in the gamepads", 1: "1 gamepad is there, more may join at any time"}
        self._say(
            "no layout is given: every gamepad is one pad together; "
            + there.get(pads, f"{pads} gamepads are there, more may join at any time")
        )
        self._say("whoever holds a button for 1 second first is the player, the others help")

    def end(self) -> None:
        """A layout file says from now on who is who."""
        self._daemon.devices.on_frame_of = nobody_asks
        self._alarm.set(None)

    def swap(self) -> bool:
        """The player and a helper change places at once; False: there is nobody to change with."""
        if not self._who.decide_swap(self._plugged()):
            return False
        self._who.take_effect()
        self._tell()
        self._apply()
        return True

    def player(self) -> str | None:
        """The name of the player's pad, once that is known."""
        return None if self._who.player is None else self._name_of(self._who.player)

    def _hook(self, opened: OpenedDevice, index: int) -> Callable[[int, Events], None]:
        who = self._who
        who.plug(index, opened.device.held())

        def feed(us: int, events: Events) -> None:
            before_us = who.due_us
            if who.feed(us, index, events):
                self._apply()
            if who.due_us != before_us:
                self._alarm.set(who.due_us)

        return feed

    def _advance(self, now_us: int) -> None:
        if self._who.advance(now_us, self._plugged()):
            self._tell()
        self._alarm.set(self._who.due_us)

    def unplugged(self) -> None:
        """Pads have gone: what they decided takes effect."""
        plugged = set(self._plugged())
        for pad in self._who.known() - plugged:
            if self._who.unplug(pad):
                self._apply()
        self._alarm.set(self._who.due_us)

    def _apply(self) -> None:
        text = everyone.layout_text(self._who.persons())
        self._daemon.layouts.use_text(text, everyone.NAME, lambda _reading: None)

    def _plugged(self) -> list[int]:
        return sorted(self._daemon.engine.taken.values())

    def _tell(self) -> None:
        chosen = self._who.chosen
        if chosen is None:
            return
        helpers = [f"“{self._name_of(pad)}”" for pad in self._plugged() if pad != chosen]
        helps = ""
        if len(helpers) == 1:
            helps = f", the helper is on {helpers[0]}"
        elif helpers:
            helps = f", the helpers are on {', '.join(helpers[:-1])} and {helpers[-1]}"
        self._say(f"the player is on “{self._name_of(chosen)}”{helps}")
        if helpers:
            self._say("to change places, hold select and start together for 2 seconds")

    def _name_of(self, pad: int) -> str:
        devices = self._daemon.devices
        for opened in devices.opened.values():
            if devices.taken_index(opened) == pad:
                source = opened.source
                alike = [o for o in devices.opened.values() if o.source.name == source.name]
                if len(alike) > 1 and source.port:
                    return f"{source.name} at {source.port}"
                return source.name
        return "a gamepad that is not plugged in"

    def _say(self, text: str) -> None:
        self._daemon.journal.say(NOTICE, "remapd", text)
        self._daemon.stream.say(text)

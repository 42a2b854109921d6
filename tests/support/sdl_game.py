"""What a game sees of one gamepad: SDL2's game controller interface, as a process of its own.

    python tests/support/sdl_game.py NAME [MAPPING]

Waits for the controller called NAME, and opens every other joystick as well, as games do; MAPPING
is a mapping string that the game adds when SDL has begun already, as games with a file of mappings
do. Prints one JSON object with `version`, `mapping`, `guid` and `rumbles` (whether SDL says that it
can), then one for each line on its input, and ends with its input. A line of three numbers is a
rumble: how strong of the heavy and of the light motor (0 to 65535), and for how many milliseconds.

- `state`: all buttons and axes of the controller
- `presses`: how often each of its buttons was pressed so far
- `attached`: whether SDL still has the controller
- `elsewhere`: how many presses and movements came from other joysticks so far
"""

from __future__ import annotations

import ctypes
import json
import os
import sys
import time
from collections import Counter
from typing import Any

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")
os.environ["SDL_JOYSTICK_ALLOW_BACKGROUND_EVENTS"] = "1"

import sdl2

BUTTONS = (
    *("a", "b", "x", "y", "back", "guide", "start", "leftstick", "rightstick"),
    *("leftshoulder", "rightshoulder", "dpup", "dpdown", "dpleft", "dpright"),
)
AXES = ("leftx", "lefty", "rightx", "righty", "lefttrigger", "righttrigger")
WAIT_S = 40.0


def open_controller(name: str) -> Any:
    deadline = time.monotonic() + WAIT_S
    while time.monotonic() < deadline:
        sdl2.SDL_GameControllerUpdate()
        for index in range(sdl2.SDL_NumJoysticks()):
            if (sdl2.SDL_JoystickNameForIndex(index) or b"").decode() == name:
                if not sdl2.SDL_IsGameController(index):
                    sys.exit(f"SDL does not take {name!r} for a game controller")
                return sdl2.SDL_GameControllerOpen(index)
        time.sleep(0.01)
    sys.exit(f"SDL sees no joystick called {name!r}")


class Events:
    """What has come through SDL's queue of events."""

    def __init__(self, controller: Any) -> None:
        joystick = sdl2.SDL_GameControllerGetJoystick(controller)
        self._ours = sdl2.SDL_JoystickInstanceID(joystick)
        self.presses: Counter[str] = Counter()
        self.elsewhere = 0

    def take(self) -> None:
        event = sdl2.SDL_Event()
        while sdl2.SDL_PollEvent(ctypes.byref(event)):
            if event.type == sdl2.SDL_JOYDEVICEADDED:
                sdl2.SDL_JoystickOpen(event.jdevice.which)
            elif event.type == sdl2.SDL_CONTROLLERBUTTONDOWN:
                if event.cbutton.which == self._ours:
                    button = sdl2.SDL_GameControllerGetStringForButton(event.cbutton.button)
                    self.presses[button.decode()] += 1
            elif event.type == sdl2.SDL_JOYBUTTONDOWN:
                self.elsewhere += event.jbutton.which != self._ours
            elif event.type == sdl2.SDL_JOYAXISMOTION:
                self.elsewhere += event.jaxis.which != self._ours


def state_of(controller: Any) -> dict[str, int]:
    state = {
        name: sdl2.SDL_GameControllerGetButton(
            controller, sdl2.SDL_GameControllerGetButtonFromString(name.encode())
        )
        for name in BUTTONS
    }
    return state | {
        name: sdl2.SDL_GameControllerGetAxis(
            controller, sdl2.SDL_GameControllerGetAxisFromString(name.encode())
        )
        for name in AXES
    }


def main() -> int:
    if sdl2.SDL_Init(sdl2.SDL_INIT_GAMECONTROLLER) != 0:
        sys.exit(f"SDL: {sdl2.SDL_GetError().decode()}")
    if len(sys.argv) > 2 and sdl2.SDL_GameControllerAddMapping(sys.argv[2].encode()) < 0:
        sys.exit(f"SDL refuses the mapping: {sdl2.SDL_GetError().decode()}")
    controller = open_controller(sys.argv[1])
    version = sdl2.SDL_version()
    sdl2.SDL_GetVersion(ctypes.byref(version))
    guid = ctypes.create_string_buffer(33)
    joystick = sdl2.SDL_GameControllerGetJoystick(controller)
    sdl2.SDL_JoystickGetGUIDString(sdl2.SDL_JoystickGetGUID(joystick), guid, 33)
    greeting = {
        "version": f"{version.major}.{version.minor}.{version.patch}",
        "mapping": sdl2.SDL_GameControllerMapping(controller).decode(),
        "guid": guid.value.decode(),
        "rumbles": bool(sdl2.SDL_GameControllerHasRumble(controller)),
    }
    print(json.dumps(greeting), flush=True)
    events = Events(controller)
    for line in sys.stdin:
        if line.strip():
            sdl2.SDL_GameControllerRumble(controller, *map(int, line.split()))
        events.take()
        seen = {
            "state": state_of(controller),
            "presses": events.presses,
            "attached": bool(sdl2.SDL_GameControllerGetAttached(controller)),
            "elsewhere": events.elsewhere,
        }
        print(json.dumps(seen), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())

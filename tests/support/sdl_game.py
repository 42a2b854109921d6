"""What a game sees of one gamepad: SDL2's game controller interface, as a process of its own.

    python tests/support/sdl_game.py NAME [MAPPING]

Waits for the controller called NAME; MAPPING is a mapping string that the game adds when SDL has
begun already, as games with a file of mappings do. Prints one JSON
object with `version`, `mapping` and `guid`, then one with the state of all buttons and axes for
each line on its input. Ends with its input.
"""

from __future__ import annotations

import ctypes
import json
import os
import sys
import time
from typing import Any

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")
os.environ["SDL_JOYSTICK_ALLOW_BACKGROUND_EVENTS"] = "1"

import sdl2

BUTTONS = (
    *("a", "b", "x", "y", "back", "guide", "start", "leftstick", "rightstick"),
    *("leftshoulder", "rightshoulder", "dpup", "dpdown", "dpleft", "dpright"),
)
AXES = ("leftx", "lefty", "rightx", "righty", "lefttrigger", "righttrigger")
WAIT_S = 10.0


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
    }
    print(json.dumps(greeting), flush=True)
    for _ in sys.stdin:
        sdl2.SDL_GameControllerUpdate()
        state = {
            name: sdl2.SDL_GameControllerGetButton(
                controller, sdl2.SDL_GameControllerGetButtonFromString(name.encode())
            )
            for name in BUTTONS
        }
        state |= {
            name: sdl2.SDL_GameControllerGetAxis(
                controller, sdl2.SDL_GameControllerGetAxisFromString(name.encode())
            )
            for name in AXES
        }
        print(json.dumps(state), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())

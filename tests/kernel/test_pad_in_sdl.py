"""The pad as a game sees it: SDL2's game controller interface, with no mapping string.

Source: SDL2 itself, as built for PySDL2 (pysdl2-dll) or by the distribution, in its own process.
SDL is told nothing about the pad. In SDL's words x is the left face button and y the top one.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from remapd.codes import AXES, EV_ABS, EV_KEY, KEYS
from remapd.kernel.mapping_string import mapping_string, sdl_guid
from remapd.kernel.pad import Pad, PadIdentity
from tests.support.sdl_view import REST, SdlGame


@pytest.fixture(scope="module")
def pad() -> Iterator[Pad]:
    # A name of its own: a daemon of other tests may have a pad of the usual one.
    made = Pad(name="the pad that SDL reads", has_rumble=True)
    yield made
    made.close()


@pytest.fixture(scope="module")
def game(pad: Pad) -> Iterator[SdlGame]:
    started = SdlGame(pad.name)
    yield started
    started.close()


def key(name: str) -> tuple[int, int]:
    return EV_KEY, KEYS[name]


def axis(name: str) -> tuple[int, int]:
    return EV_ABS, AXES[name]


CONTROLS = {
    "south": (key("BTN_SOUTH"), 1, {"a": 1}),
    "east": (key("BTN_EAST"), 1, {"b": 1}),
    "west": (key("BTN_NORTH"), 1, {"x": 1}),  # 0x133, as the layout language says
    "north": (key("BTN_WEST"), 1, {"y": 1}),
    "left-shoulder": (key("BTN_TL"), 1, {"leftshoulder": 1}),
    "right-shoulder": (key("BTN_TR"), 1, {"rightshoulder": 1}),
    "left-trigger": (axis("ABS_Z"), 255, {"lefttrigger": 32767}),
    "right-trigger": (axis("ABS_RZ"), 255, {"righttrigger": 32767}),
    "select": (key("BTN_SELECT"), 1, {"back": 1}),
    "start": (key("BTN_START"), 1, {"start": 1}),
    "mode": (key("BTN_MODE"), 1, {"guide": 1}),
    "left-stick-press": (key("BTN_THUMBL"), 1, {"leftstick": 1}),
    "right-stick-press": (key("BTN_THUMBR"), 1, {"rightstick": 1}),
    "dpad-up": (axis("ABS_HAT0Y"), -1, {"dpup": 1}),
    "dpad-down": (axis("ABS_HAT0Y"), 1, {"dpdown": 1}),
    "dpad-left": (axis("ABS_HAT0X"), -1, {"dpleft": 1}),
    "dpad-right": (axis("ABS_HAT0X"), 1, {"dpright": 1}),
    "left-stick left": (axis("ABS_X"), -32767, {"leftx": -32768}),
    "left-stick right": (axis("ABS_X"), 32767, {"leftx": 32767}),
    "left-stick up": (axis("ABS_Y"), -32767, {"lefty": -32768}),
    "left-stick down": (axis("ABS_Y"), 32767, {"lefty": 32767}),
    "right-stick left": (axis("ABS_RX"), -32767, {"rightx": -32768}),
    "right-stick right": (axis("ABS_RX"), 32767, {"rightx": 32767}),
    "right-stick up": (axis("ABS_RY"), -32767, {"righty": -32768}),
    "right-stick down": (axis("ABS_RY"), 32767, {"righty": 32767}),
    "left-stick half right": (axis("ABS_X"), 16384, {"leftx": 16384}),
}


def test_sdl_says_that_it_can_rumble(game: SdlGame) -> None:
    assert game.greeting["rumbles"]


def test_everything_rests_before_the_first_event(game: SdlGame) -> None:
    assert game.state() == REST


@pytest.mark.parametrize("control", CONTROLS)
def test_sdl_reads_each_control_right_with_no_mapping(
    pad: Pad, game: SdlGame, control: str
) -> None:
    code, value, expected = CONTROLS[control]
    pad.write([*code, value, 0, 0, 0])
    game.comes_to_read(expected)
    pad.write([*code, 0, 0, 0, 0])
    game.comes_to_read({})


def test_our_mapping_string_is_the_one_that_sdl_made(pad: Pad, game: SdlGame) -> None:
    def elements(mapping: str) -> set[str]:
        return {part for part in mapping.split(",")[2:] if not part.startswith("crc:")} - {""}

    ours = mapping_string(pad.name, pad.identity)
    assert elements(ours) == elements(game.greeting["mapping"])
    assert game.greeting["guid"] == sdl_guid(pad.name, pad.identity)


@pytest.mark.parametrize(
    ("name_checksum", "given"),
    [(True, "in the environment"), (False, "in the environment"), (True, "by the game, later")],
)
def test_sdl_finds_the_pad_by_the_guid_of_our_string(name_checksum: bool, given: str) -> None:
    """With two controls exchanged, so that it is seen which mapping SDL goes by."""
    identity = PadIdentity(0x1209, 0x7000, 1)
    pad = Pad(name="exchanged", identity=identity)
    mapping = mapping_string(pad.name, identity, name_checksum=name_checksum)
    mapping = mapping.replace("a:b0,b:b1", "a:b1,b:b0")
    if given == "in the environment":
        game = SdlGame(pad.name, SDL_GAMECONTROLLERCONFIG=mapping)
    else:
        game = SdlGame(pad.name, mapping)
    pad.write([*key("BTN_SOUTH"), 1, 0, 0, 0])
    game.comes_to_read({"b": 1})
    game.close()
    pad.close()

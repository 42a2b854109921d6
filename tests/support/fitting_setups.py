"""Set-ups for the tests of fitting: realistic ones by name, and random ones."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from hypothesis import strategies as st

from remapd.fitting.games import GAME_KINDS, STICKS, WAYS, GameNeeds, Use, Verb
from remapd.fitting.setup import FoundControl, FoundDevice, Person, Setup

PLAYER: Final = (Person("Ada"),)
BOTH: Final = (Person("Ada"), Person("Bo", helper=True))
BOX: Final = FoundDevice("box", {"name": "Switch box*"}, "a switch box")
PAD: Final = FoundDevice(
    "helper-pad", {"shape": "gamepad"}, "any gamepad", person="Bo", optional=True, gamepad=True
)


def switch(name: str, number: int, movement: str = "", **more: bool) -> FoundControl:
    """A switch on the box; its movement is its name where none is given."""
    words = movement or name.replace("-", " ")
    control = FoundControl(name, "box", "button", (f"BTN_{number}",), movement=words)
    return replace(control, **more)  # type: ignore[arg-type]  # flags only


def stick(name: str, device: str, movement: str, **settings: str) -> FoundControl:
    """A joystick on a device of its own."""
    kept = {key.replace("_", "-"): value for key, value in settings.items()}
    return FoundControl(name, device, "stick", ("ABS_X", "ABS_Y"), kept, movement=movement)


_JOYSTICK = FoundDevice("joystick", {"name": "Joystick*"}, "the joystick")
_TWO = (
    switch("head-left", 0, "head to the left"),
    switch("head-right", 1, "head to the right"),
)
_KNEES = (switch("left-knee", 0), switch("right-knee", 1))
_FOOT = stick("foot", "joystick", "right foot", dead_zone="18%")

#: Set-ups that therapists meet, by name.
REALISTIC: Final[dict[str, Setup]] = {
    "one switch": Setup("One cheek switch", PLAYER, (BOX,), (switch("cheek", 0),)),
    "one switch that cannot be held": Setup(
        "One cheek switch", PLAYER, (BOX,), (switch("cheek", 0, can_hold=False),)
    ),
    "two switches": Setup("Two head switches", PLAYER, (BOX,), _TWO),
    "three switches": Setup(
        "Hands and chin",
        PLAYER,
        (BOX,),
        (switch("left-hand", 0), switch("right-hand", 1), switch("chin", 2)),
    ),
    "three switches and a small stick": Setup(
        "Knees, elbow and a small stick",
        PLAYER,
        (BOX, _JOYSTICK),
        (
            switch("left-knee", 0),
            switch("right-knee", 1, can_hold=False),
            switch("left-elbow", 2, reliable=False),
            replace(stick("thumb", "joystick", "right thumb", reach="60%"), small_range=True),
        ),
    ),
    "trackball and two knees": Setup(
        "Forearm trackball and knees",
        PLAYER,
        (
            FoundDevice("ball", {"name": "Large trackball*"}, "a trackball", exclusive=True),
            BOX,
        ),
        (
            FoundControl("roll", "ball", "pointer", ("REL_X", "REL_Y"), movement="right forearm"),
            *_KNEES,
        ),
        two_at_once=True,
    ),
    "foot stick": Setup("One foot stick", PLAYER, (_JOYSTICK,), (_FOOT,)),
    "foot stick that cannot be kept pushed": Setup(
        "One foot stick", PLAYER, (_JOYSTICK,), (replace(_FOOT, can_hold=False),)
    ),
    "foot stick and a switch": Setup(
        "A foot stick and a switch",
        PLAYER,
        (_JOYSTICK, BOX),
        (_FOOT, switch("other-foot", 0, "left foot")),
    ),
    "sip and puff": Setup(
        "Sip and puff",
        PLAYER,
        (FoundDevice("sensor", {"name": "Breath sensor*"}, "the breath sensor"),),
        (
            FoundControl(
                "breath",
                "sensor",
                "lever",
                ("ABS_Y",),
                {"rests-at": "middle", "ends": "[sip, puff]", "press-at": "30%"},
                movement="breath",
            ),
        ),
    ),
    "two switches and a helper's pad": Setup("Two switches and a helper", BOTH, (BOX, PAD), _TWO),
    "five switches": Setup(
        "Five switches",
        PLAYER,
        (BOX,),
        tuple(
            switch(name, number)
            for number, name in enumerate(
                ("left-hand", "right-hand", "left-foot", "right-foot", "head")
            )
        ),
        two_at_once=True,
    ),
    "pedals and chin": Setup(
        "Pedals and chin",
        PLAYER,
        (FoundDevice("pedals", {"name": "Pedals"}, "two pedals"), BOX),
        (
            FoundControl("right-pedal", "pedals", "lever", ("ABS_Z",), movement="right foot"),
            FoundControl("left-pedal", "pedals", "lever", ("ABS_RZ",), movement="left foot"),
            switch("chin-left", 0, "chin to the left"),
            switch("chin-right", 1, "chin to the right"),
        ),
        two_at_once=True,
    ),
}

#: Every realistic set-up with every kind of game.
FITTED: Final[dict[str, Setup]] = {
    f"{name}, {kind}": replace(setup, game=game)
    for name, setup in REALISTIC.items()
    for kind, game in GAME_KINDS.items()
}

# ---------------------------------------------------------------------------- random ones

_TEXT = st.text(max_size=30)
_SETTINGS: Final[dict[str, list[dict[str, str]]]] = {
    "button": [
        {},
        {"acceptance-delay": "80ms"},
        {"release-delay": "60ms", "repeat-guard": "300ms"},
    ],
    "stick": [{}, {"reach": "60%", "steady": "light"}, {"turn": "20deg", "press-at": "60%"}],
    "lever": [{}, {"rests-at": "middle", "ends": "[sip, puff]"}, {"rests-at": "high"}],
    "pointer": [{}, {"full-speed": "500/s", "dead-zone": "8%"}],
}
_CODES: Final[dict[str, list[tuple[str, ...]]]] = {
    "button": [(f"BTN_{number}",) for number in range(10)],
    "stick": [("ABS_X", "ABS_Y"), ("ABS_RX", "ABS_RY")],
    "lever": [("ABS_Z",), ("ABS_RZ",), ("ABS_THROTTLE",)],
    "pointer": [("REL_X", "REL_Y")],
}
_BUTTONS_OF_PAD: Final = (
    "south", "east", "west", "north", "left-shoulder", "right-shoulder", "left-trigger",
    "right-trigger", "select", "start", "left-stick-press", "right-stick-press",
)  # fmt: skip


@st.composite
def games(draw: st.DrawFn) -> GameNeeds:
    """A kind of game as it is, or with verbs taken out, renamed and added."""
    game = draw(st.sampled_from(list(GAME_KINDS.values())))
    for verb in game.verbs:
        if len(game.verbs) > 1 and draw(st.integers(0, 5)) == 0:
            game = game.without(verb.name)
    if draw(st.booleans()):
        game = game.renamed(game.verbs[0].name, "own-word")
    taken = {verb.pad for verb in game.verbs}
    for number, pad in enumerate(sorted({*_BUTTONS_OF_PAD, *STICKS} - taken)):
        if draw(st.integers(0, 7)) == 0:
            is_stick = pad in STICKS
            ways = draw(st.sampled_from([WAYS, ("left", "right"), ("up",)]))
            use = st.sampled_from([Use.TAPPED, Use.HELD, Use.REPEATED])
            names = [verb.name for verb in game.verbs]
            game = game.with_verb(
                Verb(
                    f"more-{number}",
                    pad,
                    Use.STEERED if is_stick else draw(use),
                    ways if is_stick else (),
                    in_haste=draw(st.booleans()),
                    deliberate=not is_stick and draw(st.integers(0, 4)) == 0,
                    along_with=tuple(draw(st.lists(st.sampled_from(names), max_size=1))),
                )
            )
    return game


@st.composite
def setups(draw: st.DrawFn) -> Setup:
    """Any devices, any controls, any abilities, with a helper or without."""
    people = draw(st.sampled_from([PLAYER, BOTH, (Person(""),), (Person("Ada: #1"),)]))
    devices: list[FoundDevice] = []
    controls: list[FoundControl] = []
    for number in range(draw(st.integers(1, 3))):
        is_helpers = people is BOTH and number > 0 and draw(st.booleans())
        device = FoundDevice(
            f"device-{number}",
            draw(st.sampled_from([{"name": 'Box "*" # 1'}, {"name": "Box", "serial": "7"}])),
            draw(_TEXT),
            person="Bo" if is_helpers else None,
            stand_in=draw(st.booleans()),
        )
        devices.append(device)
        kinds = st.sampled_from(["button", "button", "button", "stick", "lever", "pointer"])
        free = {kind: list(codes) for kind, codes in _CODES.items()}
        for place, kind in enumerate(draw(st.lists(kinds, min_size=1, max_size=5))):
            if free[kind]:
                controls.append(
                    FoundControl(
                        f"part-{place}" if draw(st.booleans()) else f"part-{number}-{place}",
                        device.name,
                        kind,  # type: ignore[arg-type]
                        free[kind].pop(0),
                        draw(st.sampled_from(_SETTINGS[kind])),
                        reliable=draw(st.integers(0, 3)) > 0,
                        small_range=draw(st.booleans()),
                        can_hold=draw(st.integers(0, 2)) > 0,
                        movement=draw(st.sampled_from(["left knee", "breath", ""]) | _TEXT),
                        place=draw(st.none() | st.just((1, 1))),
                    )
                )
    if people is BOTH and draw(st.booleans()):
        devices.append(PAD)
    return Setup(
        draw(_TEXT),
        people,
        tuple(devices),
        tuple(controls),
        draw(games()),
        two_at_once=draw(st.booleans()),
    )

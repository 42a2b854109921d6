"""Stand-in devices that layouts take, and the raw events of what hands do with them."""

from __future__ import annotations

from fnmatch import fnmatchcase

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from remapd.codes import AXES, EV_ABS, EV_KEY, EV_REL
from remapd.engine.matching import match
from remapd.recording.driver import ControlDriver, NoSuchControl
from remapd.recording.stand_ins import FULL, literal, stand_ins
from tests.support.bench import Bench
from tests.support.layouts import HARBOUR, load_or_fail


def layout_text(devices: str, layer: str = "{}") -> str:
    return f"remapd: 1\ntitle: x\ndevices:\n{devices}\nlayers:\n  play: {layer}\n"


ONE_OF_EACH = layout_text(
    """\
  box:
    find: {name: "Box"}
    controls:
      knee: {button: BTN_0}
      cheek: {button: BTN_1, inverted: true}
      joy: {stick: [ABS_X, ABS_Y], centre: [10%, -20%]}
      tilted: {stick: [ABS_RX, ABS_RY], turn: 90deg}
      hat: {stick: [ABS_HAT0X, ABS_HAT0Y]}
      pedal: {lever: ABS_Z}
      brake: {lever: ABS_RZ, rests-at: high}
      breath: {lever: ABS_THROTTLE, rests-at: middle, ends: [sip, puff]}
      ball: {pointer: [REL_X, REL_Y], full-speed: 500/s}
""",
    "{knee: south, joy: left-stick}",
)


def driver() -> ControlDriver:
    return ControlDriver(load_or_fail(ONE_OF_EACH))


def absolute(**values: int) -> list[tuple[int, int, int]]:
    return [(EV_ABS, AXES[f"ABS_{name}"], value) for name, value in values.items()]


# -------------------------------------------------------------------- stand-ins
@pytest.mark.parametrize(
    "devices",
    [
        "  a: {find: {name: '*'}, controls: {x: {button: BTN_0}}}\n"
        "  b: {find: {name: 'Box'}, controls: {y: {button: BTN_0}}}",
        "  a: {find: {name: 'Box', nth: 2}, controls: {x: {button: BTN_0}}}\n"
        "  b: {find: {name: 'Box', nth: 1}, controls: {y: {button: BTN_0}}}",
        "  a: {find: {name: 'Box', nth: 3}, controls: {x: {button: BTN_0}}}",
        "  a: {find: {port: 'usb-*/input0', nth: 2}, controls: {x: {button: BTN_0}}}",
        "  a: {find: {name: 'Box'}, controls: {x: {button: BTN_0}}}\n"
        "  b: {find: {name: 'Box'}, controls: {y: {button: BTN_0}}}\n"
        "  c: {find: {name: 'Box', nth: 1}, controls: {z: {button: BTN_0}}, optional: true}",
        "  a: {find: {shape: gamepad}, controls: gamepad}",
        "  a: {find: {shape: keyboard}, exclusive: true, controls: {x: {button: KEY_SPACE}}}",
        "  a: {find: {shape: pointer}, exclusive: true, controls: {x: {button: BTN_RIGHT}}}",
        "  a: {find: {serial: '[!ab]?7*', vendor: 0x1, product: 0x2}, "
        "controls: {x: {button: BTN_0}}}",
    ],
)
def test_each_device_takes_its_stand_in(devices: str) -> None:
    layout = load_or_fail(layout_text(devices))
    made = stand_ins(layout)
    taken = match(layout, [stand_in.source for stand_in in made])

    wanted = {s.source.id: s.device for s in made if s.device is not None}
    possible = {n for n, device in enumerate(layout.devices) if not device.optional}
    assert {taken[source] for source in wanted if wanted[source] in possible} == possible
    assert all(taken[s] == device for s, device in wanted.items() if device in possible)


def test_nodes_that_only_have_to_be_there_come_before_the_ones_that_are_taken() -> None:
    layout = load_or_fail(
        layout_text("  a: {find: {name: 'Box', nth: 3}, controls: {x: {button: BTN_0}}}")
    )

    assert [stand_in.device for stand_in in stand_ins(layout)] == [None, None, 0]


@given(st.text(alphabet="ab-[]!*?]", max_size=12))
def test_a_literal_matches_its_pattern(pattern: str) -> None:
    # "[!…]" of everything and reversed ranges name nothing at all; no device of a layout has them.
    assume("[" not in pattern)
    assert fnmatchcase(literal(pattern, star="12"), pattern)


@pytest.mark.parametrize("pattern", ["[ab]c", "[!a-z]x", "Box [0-9]", "[]a]", "a[", "[*]"])
def test_a_literal_matches_sets(pattern: str) -> None:
    assert fnmatchcase(literal(pattern), pattern)


def test_state_at_rest() -> None:
    (stand_in,) = driver().stand_ins
    at_rest = {name: stand_in.axes[AXES[f"ABS_{name}"]] for name in ("X", "Y", "RX", "Z", "RZ")}

    assert at_rest == {"X": FULL // 10, "Y": -FULL // 5, "RX": 0, "Z": 0, "RZ": FULL}
    assert stand_in.held == {0x101}  # a hand that does nothing holds the inverted button


# -------------------------------------------------------------------- what hands do
@pytest.mark.parametrize(
    ("act", "name", "events"),
    [
        ("press", "knee", [(EV_KEY, 0x100, 1)]),
        ("release", "box.knee", [(EV_KEY, 0x100, 0)]),
        ("press", "cheek", [(EV_KEY, 0x101, 0)]),
        ("release", "cheek", [(EV_KEY, 0x101, 1)]),
        ("press", "joy.up", absolute(X=0, Y=-FULL)),
        ("release", "joy.up", absolute(X=FULL // 10, Y=-FULL // 5)),
        ("press", "tilted.right", absolute(RX=0, RY=-FULL)),  # its up is the player's right
        ("press", "hat.left", absolute(HAT0X=-1, HAT0Y=0)),
        ("press", "pedal.high", absolute(Z=FULL)),
        ("release", "pedal.high", absolute(Z=0)),
        ("press", "brake.low", absolute(RZ=0)),
        ("release", "brake.low", absolute(RZ=FULL)),
        ("press", "breath.sip", absolute(THROTTLE=-FULL)),
        ("release", "breath.sip", absolute(THROTTLE=0)),
        ("press", "ball.down", [(EV_REL, 1, 30)]),
        ("release", "ball.down", []),
        ("rest", "joy", absolute(X=FULL // 10, Y=-FULL // 5)),
        ("rest", "ball", []),
    ],
)
def test_presses(act: str, name: str, events: list[tuple[int, int, int]]) -> None:
    assert getattr(driver(), act)(name) == (0, events)


@pytest.mark.parametrize(
    ("name", "x", "y", "events"),
    [
        ("joy", 0.3, -1.0, absolute(X=300_000, Y=-FULL)),
        ("joy", 7.0, 0.0, absolute(X=FULL, Y=0)),
        ("hat", 1.0, -0.4, absolute(HAT0X=1, HAT0Y=0)),
        ("pedal", 0.7, 0.0, absolute(Z=700_000)),
        ("brake", 0.7, 0.0, absolute(RZ=300_000)),
        ("breath", -0.25, 0.0, absolute(THROTTLE=-250_000)),
        ("ball", 0.5, -1.0, [(EV_REL, 0, 15), (EV_REL, 1, -30)]),
    ],
)
def test_moves(name: str, x: float, y: float, events: list[tuple[int, int, int]]) -> None:
    assert driver().move(name, x, y) == (0, events)


def test_two_directions_together_stay_in_the_unit_circle() -> None:
    hands = driver()
    hands.press("joy.up")
    _, both = hands.press("joy.right")
    _, one = hands.release("joy.up")

    assert both == absolute(X=707_107, Y=-707_107)
    assert one == absolute(X=FULL, Y=0)


def test_counts_leave_out_what_is_nought() -> None:
    assert driver().count("ball", 5, 0) == (0, [(EV_REL, 0, 5)])


@pytest.mark.parametrize(
    ("act", "name"),
    [
        ("press", "elbow"),
        ("press", "joy"),
        ("press", "joy.forward"),
        ("move", "knee"),
        ("move", "elbow"),
        ("count", "joy"),
        ("device", "boxes"),
    ],
)
def test_what_the_layout_has_not(act: str, name: str) -> None:
    arguments = {"move": (1.0,), "count": (1, 1)}.get(act, ())
    with pytest.raises(NoSuchControl, match=name.partition(".")[0]):
        getattr(driver(), act)(name, *arguments)


def test_a_name_of_two_devices_needs_the_device() -> None:
    hands = ControlDriver(
        load_or_fail(
            layout_text(
                "  a: {find: {name: A}, controls: {x: {button: BTN_0}}}\n"
                "  b: {find: {name: B}, controls: {x: {button: BTN_1}}}"
            )
        )
    )

    assert hands.press("b.x") == (1, [(EV_KEY, 0x101, 1)])
    with pytest.raises(NoSuchControl, match="more than one device"):
        hands.press("x")


def test_keys_held_at_plug_in() -> None:
    hands = driver()

    assert hands.held_codes(0, ["knee"]) == {0x100, 0x101}
    assert hands.held_codes(0, ["cheek"]) == frozenset()
    with pytest.raises(NoSuchControl, match="not a button"):
        hands.held_codes(0, ["joy.up"])


# -------------------------------------------------------------------- with the engine
def test_directions_of_every_kind_reach_the_pad() -> None:
    names = [
        *("joy.up", "joy.down", "joy.left", "joy.right", "tilted.up", "tilted.down"),
        *("tilted.left", "tilted.right", "hat.up", "hat.right", "pedal.high", "brake.low"),
        *("breath.sip", "breath.puff", "ball.up", "ball.left", "knee", "cheek"),
    ]
    for name in names:
        bench = Bench(ONE_OF_EACH.replace("{knee: south, joy: left-stick}", f"{{{name}: east}}"))
        bench.press(name, at=0)
        assert bench.pressed == {"east"}, name
        bench.release(name, at=100)
        bench.until(300)
        assert bench.neutral, name


def test_the_large_example_takes_all_its_stand_ins() -> None:
    bench = Bench(HARBOUR)

    assert sorted(bench.engine.taken.values()) == [0, 1, 2]
    bench.press("helper-pad.east", at=0)
    assert bench.pressed == {"east"}

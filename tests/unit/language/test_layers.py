"""Layers: what stands behind buttons, whole controls, chords and whole devices."""

from remapd.engine.actions import Nothing, Press, SendLever, SendStick, ToggleLayer
from remapd.engine.layout import Chord
from remapd.engine.pad_controls import (
    DPAD,
    DPAD_DOWN,
    DPAD_LEFT,
    DPAD_RIGHT,
    EAST,
    LEFT_STICK,
    LEFT_TRIGGER,
    NORTH,
    RIGHT_STICK,
    RIGHT_TRIGGER,
    SOUTH,
    START,
)
from tests.unit.language.built import (
    BREATH,
    FRONT,
    HEAD,
    LEFT,
    RIGHT,
    ROCK,
    ROLL,
    ROLL_UP,
    SIP,
    TILT,
    TILT_LOW,
    layer_of,
    layout_of,
)


def test_the_base_is_the_first_layer_and_the_others_keep_their_order() -> None:
    layers = "layers:\n  net: {}\n  chart: {}\n  sail: {left: south}\n  deck: {}\n"

    assert [layer.name for layer in layout_of(HEAD + layers).layers] == [
        "sail",
        "net",
        "chart",
        "deck",
    ]


def test_one_layer_needs_no_base() -> None:
    head = HEAD.replace("base: sail\n", "")

    assert layout_of(head + "layers: {deck: {left: south}}\n").layers[0].name == "deck"


def test_a_whole_stick_goes_to_a_stick_by_name_or_verb() -> None:
    assert layer_of("roll: steer").wholes == {ROLL: SendStick(LEFT_STICK, label="steer")}
    assert layer_of("roll: dpad").wholes == {ROLL: SendStick(DPAD, label="dpad")}
    assert layer_of("roll: walk").wholes == {ROLL: SendStick(DPAD, label="walk")}
    assert layer_of("roll: nothing").wholes == {ROLL: Nothing(label="nothing")}


def test_send_has_settings() -> None:
    whole = layer_of("roll: {send: right-stick, gain: 60%, flip: [y], change: centred}").wholes

    assert whole == {ROLL: SendStick(RIGHT_STICK, 0.6, False, True, True, label="send right-stick")}


def test_directions_are_buttons() -> None:
    layer = layer_of("roll.up: south", "desk.roll.down: nothing")

    assert layer.bindings == {
        ROLL_UP: Press((SOUTH,), label="south"),
        ROLL_UP + 1: Nothing(label="nothing"),
    }
    assert layer.wholes == {}


def test_a_whole_lever_moves_a_trigger_or_presses_away_from_rest() -> None:
    layer = layer_of("breath: pace", "tilt: south", "rock: {layer: net, how: toggle}")

    assert layer.wholes == {BREATH: SendLever(RIGHT_TRIGGER, label="pace")}
    assert layer.bindings == {
        TILT_LOW: Press((SOUTH,), label="south"),
        FRONT: ToggleLayer(1, label="layer net (toggle)"),
    }


def test_a_whole_lever_can_be_blocked() -> None:
    layer = layer_of("tilt: nothing", "rock: left-trigger")

    assert layer.wholes == {
        TILT: Nothing(label="nothing"),
        ROCK: SendLever(LEFT_TRIGGER, label="left-trigger"),
    }
    assert layer.bindings == {}


def test_a_lever_can_be_named_by_its_ends() -> None:
    layer = layer_of("breath.sip: south", "rock.back: east", "rock.front: start")

    assert layer.bindings == {
        SIP: Press((SOUTH,), label="south"),
        FRONT - 1: Press((EAST,), label="east"),
        FRONT: Press((START,), label="start"),
    }


def test_chords_stand_beside_what_their_members_do() -> None:
    layer = layer_of("left: south", "left + right: east", "roll.up+breath: start")

    assert layer.bindings == {LEFT: Press((SOUTH,), label="south")}
    assert layer.chords == (
        Chord(LEFT, RIGHT, Press((EAST,), label="east")),
        Chord(ROLL_UP, SIP, Press((START,), label="start")),
    )


def test_same_binds_each_control_of_a_pad_to_its_own_name() -> None:
    layout = layout_of(HEAD + "layers: {sail: {helper-pad: same}}\n")
    layer = layout.layers[0]

    by_name = {layout.buttons[number].name: action for number, action in layer.bindings.items()}
    wholes = {layout.controls[number].name: whole for number, whole in layer.wholes.items()}
    assert all(action == Press(action.targets, label=name) for name, action in by_name.items()
               if isinstance(action, Press))  # fmt: skip
    assert len(by_name) == 11
    assert by_name["north"] == Press((NORTH,), label="north")
    assert wholes == {
        "left-stick": SendStick(LEFT_STICK, label="left-stick"),
        "right-stick": SendStick(RIGHT_STICK, label="right-stick"),
        "dpad": SendStick(DPAD, label="dpad"),
        "left-trigger": SendLever(LEFT_TRIGGER, label="left-trigger"),
        "right-trigger": SendLever(RIGHT_TRIGGER, label="right-trigger"),
    }


def test_a_control_with_a_line_of_its_own_wins_over_same() -> None:
    layout = layout_of(
        HEAD
        + "layers: {sail: {south: east, helper-pad: same, dpad-up: start, left-stick: right-stick,"
        " right-trigger.high: hoist}}\n"
    )
    layer = layout.layers[0]
    by_name = {layout.buttons[number].name: action for number, action in layer.bindings.items()}
    wholes = {layout.controls[number].name: whole for number, whole in layer.wholes.items()}

    assert by_name["south"] == Press((EAST,), label="east")
    assert by_name["dpad.up"] == Press((START,), label="start")
    assert by_name["dpad.down"] == Press((DPAD_DOWN,), label="dpad.down")
    assert by_name["dpad.left"] == Press((DPAD_LEFT,), label="dpad.left")
    assert by_name["dpad.right"] == Press((DPAD_RIGHT,), label="dpad.right")
    assert by_name["right-trigger.high"] == Press((SOUTH,), label="hoist")
    assert "dpad" not in wholes
    assert "right-trigger" not in wholes
    assert wholes["left-stick"] == SendStick(RIGHT_STICK, label="right-stick")


def test_same_fits_any_device_whose_controls_are_named_so() -> None:
    text = """\
remapd: 1
devices:
  box:
    find: {name: Box}
    controls:
      south: {button: BTN_0}
      right-trigger: {button: BTN_1}
      left-stick: {stick: [ABS_X, ABS_Y]}
      east: {lever: ABS_Z}
layers: {play: {box: same}}
"""
    layout = layout_of(text)

    assert layout.layers[0].bindings == {
        0: Press((SOUTH,), label="south"),
        1: Press((RIGHT_TRIGGER,), label="right-trigger"),
        7: Press((EAST,), label="east"),
    }
    assert layout.layers[0].wholes == {2: SendStick(LEFT_STICK, label="left-stick")}

"""The layouts that are measured, and how they grow.

Every layout names the same devices, each by a name with the subject's own prefix, so that several
daemons can stand side by side in one boot, each with devices of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

#: Event nodes of one subject, in the order in which they are made.
DEVICES: Final = ("pad", "helper", "one", "two", "three", "four", "ball")

_DEVICES: Final = """\
devices:
  pad:
    find: {name: "PREFIX pad"}
    controls: PAD
  helper:
    person: helper
    find: {name: "PREFIX helper"}
    controls: gamepad
  one:
    find: {name: "PREFIX one"}
    controls: {tiller-one: STICK, fore-one: LEVER Z, aft-one: LEVER R}
  two:
    find: {name: "PREFIX two"}
    controls: {tiller-two: STICK, fore-two: LEVER Z, aft-two: LEVER R}
  three:
    person: OTHER
    find: {name: "PREFIX three"}
    controls: {tiller-three: STICK, fore-three: LEVER Z, aft-three: LEVER R}
  four:
    person: OTHER
    find: {name: "PREFIX four"}
    controls: {tiller-four: STICK, fore-four: LEVER Z, aft-four: LEVER R}
  ball:
    find: {name: "PREFIX ball"}
    exclusive: true
    controls: {roll: BALL, mark: STICKR, click: BUTTON}
"""

_BINDINGS: Final = """\
    tiller-one: left-stick
    tiller-two: left-stick
    tiller-three: right-stick
    tiller-four: right-stick
    fore-one: left-trigger
    fore-two: left-trigger
    fore-three: left-trigger
    fore-four: left-trigger
    aft-one: right-trigger
    aft-two: right-trigger
    aft-three: right-trigger
    aft-four: right-trigger
    roll: left-stick
    mark: right-stick
    click: south
"""

_PLAIN: Final = {
    "PAD": "gamepad",
    "LEVER Z": "{lever: ABS_Z}",
    "LEVER R": "{lever: ABS_RZ}",
    "STICKR": "{stick: [ABS_RX, ABS_RY]}",
    "STICK": "{stick: [ABS_X, ABS_Y]}",
    "BALL": "{pointer: [REL_X, REL_Y], full-speed: 20000/s}",
    "BUTTON": "{button: BTN_LEFT}",
}

_REACH: Final = "dead-zone: 10%, curve: 1.5, reach: {left: 75%, right: 75%, up: 75%, down: 75%}"
_PRESSES: Final = (
    "debounce: 10ms, release-delay: 20ms, acceptance-delay: 20ms, repeat-guard: 20ms, longest: 8s"
)
_STEADY: Final = f"steady: medium, turn: 5deg, centre: [1%, 1%], {_REACH}"
_CONDITIONED: Final = {
    "PAD": f"""
      left-stick: {{stick: [ABS_X, ABS_Y], {_STEADY}, ways: 4, {_PRESSES}}}
      right-stick: {{stick: [ABS_RX, ABS_RY], {_REACH}}}
      south: {{button: BTN_SOUTH, {_PRESSES}}}
      east: {{button: BTN_EAST, {_PRESSES}}}
      left-shoulder: {{button: BTN_TL, {_PRESSES}}}
      right-shoulder: {{button: BTN_TR, {_PRESSES}}}""",
    "LEVER Z": "{lever: ABS_Z, steady: medium, reach: 80%, dead-zone: 10%, curve: 1.5}",
    "LEVER R": "{lever: ABS_RZ, steady: medium, reach: 80%, dead-zone: 10%, curve: 1.5}",
    "STICKR": f"{{stick: [ABS_RX, ABS_RY], {_REACH}}}",
    "STICK": f"{{stick: [ABS_X, ABS_Y], {_REACH}}}",
    "BALL": f"{{pointer: [REL_X, REL_Y], full-speed: 20000/s, steady: medium, {_REACH}}}",
    "BUTTON": f"{{button: BTN_LEFT, {_PRESSES}}}",
}


@dataclass(frozen=True)
class Subject:
    """One layout to be measured."""

    key: str
    title: str

    def text(self, prefix: str) -> str:
        """The layout's text, for devices whose names begin with `prefix`."""
        return LAYOUTS[self.key](prefix)


def pass_through(prefix: str) -> str:
    """(a): every control goes to the pad control of its own name."""
    lines = [*_head(prefix, "Pass-through", _PLAIN, "player"), "layers:", "  play:"]
    return "\n".join([*lines, "    pad: same", "    helper: same", _BINDINGS])


def layered(prefix: str) -> str:
    """(b): a layer that swaps the sticks, a turbo, and a helper whose part is added."""
    return "\n".join(
        [
            *_head(prefix, "Two layers, stick swap, turbo and helper", _PLAIN, "helper"),
            "base: play",
            "layers:",
            "  play:",
            "    pad: same",
            "    pad.left-shoulder: {layer: swap, how: toggle}",
            "    pad.right-shoulder: {turbo: east, rate: 8/s}",
            "    helper: same",
            _BINDINGS.rstrip(),
            "  swap:",
            "    pad.left-stick: right-stick",
            "    pad.right-stick: left-stick",
            "merge: {sticks: sum}",
            "",
        ]
    )


def conditioned(prefix: str) -> str:
    """(c): every conditioning there is, on every control that has it."""
    return "\n".join(
        [
            *_head(prefix, "Every conditioning on", _CONDITIONED, "player"),
            "base: play",
            "layers:",
            "  play:",
            "    pad.left-stick: left-stick",
            "    pad.right-stick: right-stick",
            "    pad.south: south",
            "    pad.east: east",
            "    pad.left-shoulder: {layer: dpad, how: toggle}",
            "    pad.right-shoulder: {turbo: east, rate: 8/s}",
            "    helper: same",
            _BINDINGS.replace(" left-stick", " {send: left-stick, gain: 60%}")
            .replace("tiller-three: right-stick", "tiller-three: {send: right-stick, gain: 60%}")
            .replace("tiller-four: right-stick", "tiller-four: {send: right-stick, gain: 60%}")
            .rstrip(),
            "  dpad:",
            "    pad.left-stick.up: dpad-up",
            "    pad.left-stick.down: dpad-down",
            "    pad.left-stick.left: dpad-left",
            "    pad.left-stick.right: dpad-right",
            "",
        ]
    )


LAYOUTS: Final = {"a": pass_through, "b": layered, "c": conditioned}
SUBJECTS: Final = (
    Subject("a", "(a) pass-through"),
    Subject("b", "(b) two layers, stick swap, turbo, helper"),
    Subject("c", "(c) every conditioning on"),
)


def grown(prefix: str, bindings: int, layers: int) -> str:
    """(a) with so many bindings more, on a board of switches, spread over so many layers."""
    codes = _switch_codes()
    boards = -(-bindings // (len(codes) * layers))
    head = _head(prefix, f"{bindings} bindings in {layers} layers", _PLAIN, "player")
    lines = [*head]
    names: list[str] = []
    wanted = -(-bindings // layers)
    for board in range(boards):
        lines += [
            f"  board-{board}:",
            f'    find: {{name: "PREFIX board {board}"}}'.replace("PREFIX", prefix),
        ]
        lines += ["    optional: true", "    controls:"]
        for code in codes[: wanted - board * len(codes)]:
            name = f"switch-{board}-{code.lower().replace('_', '-')}"
            names.append(name)
            lines.append(f"      {name}: {{button: {code}}}")
    lines += [
        "base: play",
        "layers:",
        "  play:",
        "    pad: same",
        "    helper: same",
        _BINDINGS.rstrip(),
    ]
    targets = ("south", "east", "west", "north", "start", "select", "left-stick.up")
    left = bindings
    for layer in range(layers):
        if layer:
            lines.append(f"  layer-{layer}:")
        for number, name in enumerate(names[:left]):
            if layer == 0 and number < layers - 1:
                lines.append(f"    {name}: {{layer: layer-{number + 1}, how: toggle}}")
            else:
                lines.append(f"    {name}: {targets[(number + layer) % len(targets)]}")
        left -= len(names)
    return "\n".join([*lines, ""])


def _switch_codes() -> list[str]:
    from remapd.codes import KEYS

    names: dict[int, str] = {}
    for name, code in KEYS.items():
        if name.startswith("KEY_") and code < 0xF8:
            names.setdefault(code, name)
    return [names[code] for code in sorted(names) if code]


def _head(prefix: str, title: str, kinds: dict[str, str], other: str) -> list[str]:
    devices = _DEVICES.replace("PREFIX", prefix).replace("OTHER", other)
    for word, text in kinds.items():
        devices = devices.replace(word, text)
    return ["remapd: 1", f"title: {title}", devices.rstrip()]

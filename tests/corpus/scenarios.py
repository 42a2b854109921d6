"""The sessions of the corpus: what each is for, its layout, its devices, and what hands do.

All are invented, none is a person's. Hands shake and bounce by seeded random numbers; the times are
those of a real clock, so a session that is played again is another recording of the same kind.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from evdev import ecodes

from tests.corpus import devices
from tests.corpus.stage import Stage


@dataclass(frozen=True)
class Scenario:
    """One session."""

    name: str
    about: str
    layout: str
    devices: Mapping[str, Callable[[], Any]]
    play: Callable[[Stage], None]


# ------------------------------------------------------------------------------------ a tremor
TREMOR = """\
remapd: 1
title: A stick that shakes
devices:
  foot:
    find: {name: "Foot stick"}
    controls:
      tiller:
        stick: [ABS_X, ABS_Y]
        steady: strong
        dead-zone: 15%
        reach: {right: 80%}
        curve: 1.4
      toe: {button: BTN_TRIGGER}
layers:
  sail:
    tiller: left-stick
    toe: south
"""


def play_tremor(stage: Stage) -> None:
    """Leans right, holds on, goes back, with a shake of 6 Hz and more of it far out."""
    noise = random.Random(6)
    foot = stage.of("foot")
    for step in range(0, 3200, 16):
        stage.at(step)
        wanted = min(1.0, step / 900) if step < 2000 else max(0.0, 1.0 - (step - 2000) / 500)
        shake = (0.04 + 0.1 * wanted) * math.sin(2 * math.pi * 6 * step / 1000)
        foot.lean(
            0.75 * wanted + shake + noise.gauss(0, 0.01),
            -0.2 * wanted + 0.6 * shake + noise.gauss(0, 0.01),
        )
        if step in (1104, 1200):
            (foot.press if step == 1104 else foot.release)()
    stage.at(3220)
    foot.lean(0.0, 0.0)


# ------------------------------------------------------------------------------------ chatter
CHATTER = """\
remapd: 1
title: A worn switch
devices:
  box:
    find: {name: "Worn switch box"}
    controls:
      left-knee: {button: BTN_0, debounce: 25ms}
      right-knee: {button: BTN_1, release-delay: 90ms}
      hip: {button: BTN_2, debounce: 15ms}
layers:
  sail:
    left-knee: south
    right-knee: east
    hip: {once: start, twice: select, within: 400ms}
"""


def play_chatter(stage: Stage) -> None:
    """Every change bounces for some milliseconds; a grip slips twice while it holds on."""
    noise = random.Random(25)
    box = stage.of("box")

    def bounce(number: int, *, down: bool, at: float) -> None:
        stage.at(at)
        for _ in range(noise.randrange(1, 4)):
            (box.press if down else box.release)(number)
            at += noise.uniform(0.7, 2.5)
            stage.at(at)
            (box.release if down else box.press)(number)
            at += noise.uniform(0.7, 2.5)
            stage.at(at)
        (box.press if down else box.release)(number)

    for start in (100, 500, 900):
        bounce(0, down=True, at=start)
        bounce(0, down=False, at=start + 180)
    for down, at in ((True, 1300), (False, 1450), (True, 1490), (False, 1650), (True, 1700)):
        bounce(1, down=down, at=at)
    bounce(1, down=False, at=1900)
    for start in (2300, 2520, 3200):
        bounce(2, down=True, at=start)
        bounce(2, down=False, at=start + 90)
    stage.at(3800)


# ------------------------------------------------------------------------------------ a spasm
SPASM = """\
remapd: 1
title: A hand that cannot let go
base: sail
devices:
  box:
    find: {name: "Switch box", serial: "K*"}
    controls:
      left-hand: {button: BTN_0, longest: 700ms, repeat-guard: 300ms}
      right-hand: {button: BTN_1, acceptance-delay: 80ms, longest: 1s}
layers:
  sail:
    left-hand: {turbo: right-trigger, rate: 5/s}
    right-hand: {short: south, long: {layer: quay, how: toggle}, after: 800ms}
  quay:
    left-hand: west
"""


def play_spasm(stage: Stage) -> None:
    """A press that lasts for two seconds, one right after it, brushes, and a long press in time."""
    stage.tap("box", 0, 100, 2000)
    stage.tap("box", 0, 2200, 150)
    stage.tap("box", 0, 2800, 150)
    stage.mark("the second throw was not wanted")
    for start in (3100, 3200, 3300):
        stage.tap("box", 1, start, 45)
    stage.tap("box", 1, 3500, 1700)
    stage.tap("box", 0, 5300, 1200)
    stage.tap("box", 1, 6600, 950)
    stage.tap("box", 0, 7700, 100)


# ------------------------------------------------------------------------------------ unplugged
UNPLUGGED = """\
remapd: 1
title: A plug that comes out
base: sail
devices:
  box:
    find: {name: "Switch box", serial: "K-17"}
    controls:
      left-knee: {button: BTN_0}
      right-knee: {button: BTN_1}
      hip: {button: BTN_2}
  foot:
    find: {name: "Foot stick"}
    controls:
      tiller: {stick: [ABS_X, ABS_Y]}
layers:
  sail:
    left-knee: {latch: south}
    right-knee: {layer: net, how: toggle}
    hip: {keep: left-stick}
    tiller: left-stick
  net:
    left-knee: {turbo: right-trigger, rate: 4/s, how: toggle}
"""


def play_unplugged(stage: Stage) -> None:
    """A latch and a kept stick are on when the plug comes out; a knee is down when it is back."""
    foot = stage.of("foot")
    foot.lean(0.0, 0.0)
    stage.tap("box", 0, 100, 120)
    stage.at(400)
    foot.lean(0.7, -0.3)
    stage.tap("box", 2, 500, 90)
    stage.at(700)
    foot.lean(0.0, 0.0)
    stage.tap("box", 1, 800, 90)
    stage.at(1000)
    stage.unplug("box")
    foot.lean(-1.0, 0.0)
    stage.at(1400)
    stage.plug("box", lambda box: box.press(0))
    foot.lean(0.0, 0.0)
    begin = 4000
    stage.at(begin)
    stage.of("box").release(0)
    stage.tap("box", 0, begin + 200, 100)
    stage.tap("box", 0, begin + 1200, 100)
    stage.tap("box", 1, begin + 1500, 100)
    stage.tap("box", 0, begin + 1800, 100)
    stage.tap("box", 0, begin + 2200, 100)


# ------------------------------------------------------------------------------------ lost events
LOST_EVENTS = """\
remapd: 1
title: A machine that stalls
devices:
  foot:
    find: {name: "Quick stick"}
    controls:
      tiller: {stick: [ABS_X, ABS_Y]}
      toe: {button: BTN_TRIGGER}
      heel: {button: BTN_THUMB}
layers:
  sail:
    tiller: left-stick
    toe: south
    heel: east
"""


def play_lost_events(stage: Stage) -> None:
    """While the daemon stands still, more comes than the kernel keeps: a release among it."""
    foot = stage.of("foot")
    toe, heel = ecodes.BTN_TRIGGER, ecodes.BTN_THUMB

    def flood() -> None:
        foot.frame((ecodes.EV_KEY, toe, 0), (ecodes.EV_KEY, heel, 1))
        for step in range(200):
            foot.lean(math.cos(step / 9), math.sin(step / 9))
        foot.lean(-0.5, 0.25)

    stage.at(100)
    foot.lean(0.8, 0.0)
    stage.at(200)
    foot.frame((ecodes.EV_KEY, toe, 1))
    stage.at(500)
    stage.stall(flood)
    stage.at(1200)
    foot.frame((ecodes.EV_KEY, heel, 0))
    stage.at(1400)
    foot.frame((ecodes.EV_KEY, toe, 1))
    stage.at(1500)
    foot.frame((ecodes.EV_KEY, toe, 0))
    foot.lean(0.0, 0.0)


# ------------------------------------------------------------------------------------ two people
TWO_PEOPLE = """\
remapd: 1
title: Two at the helm
devices:
  foot:
    find: {name: "Foot stick"}
    controls:
      tiller: {stick: [ABS_X, ABS_Y]}
      toe: {button: BTN_TRIGGER}
  helper-pad:
    person: helper
    find: {shape: gamepad}
    controls: gamepad
layers:
  sail:
    tiller: left-stick
    toe: south
    helper-pad: same
    helper-pad.right-shoulder: {lead: helper, for: [left-stick], how: toggle}
merge:
  south: both
  east: helper-only
  left-stick: {rule: player-first, after-player: 300ms}
"""


def play_two_people(stage: Stage) -> None:
    """Both steer and press at once; the helper waits, takes the lead, gives it back."""
    foot, pad = stage.of("foot"), stage.of("helper-pad")
    foot.lean(0.0, 0.0)
    steps: list[tuple[float, Callable[[], None]]] = [
        (100, lambda: pad.lean(-1.0, 0.0)),
        (250, lambda: foot.lean(0.5, 0.5)),
        (400, foot.press),
        (500, lambda: pad.press(0)),
        (650, foot.release),
        (700, lambda: foot.lean(0.0, 0.0)),
        (800, lambda: pad.release(0)),
        (1200, lambda: pad.press(7)),
        (1260, lambda: pad.release(7)),
        (1300, lambda: foot.lean(1.0, 0.0)),
        (1500, lambda: pad.lean(0.0, -1.0)),
        (1600, lambda: pad.press(1)),
        (1700, lambda: pad.release(1)),
        (1900, lambda: pad.press(7)),
        (1960, lambda: pad.release(7)),
        (2100, lambda: foot.lean(0.0, 0.0)),
        (2600, lambda: pad.lean(0.0, 0.0)),
    ]
    for at, do in steps:
        stage.at(at)
        do()


# ------------------------------------------------------------------------------------ a scan
SCAN = """\
remapd: 1
title: One switch and a scan
devices:
  box:
    find: {name: "Worn switch box"}
    controls:
      head: {button: BTN_0, acceptance-delay: 60ms}
layers:
  sail:
    head:
      scan:
        - south
        - {together: [left-shoulder, east]}
        - {push: left-stick, toward: left, ramp: 100ms}
      every: 500ms
      first: 700ms
      rounds: 2
"""


def play_scan(stage: Stage) -> None:
    """Takes the second item, holds the third, lets one scan run out."""
    stage.tap("box", 0, 100, 100)
    stage.tap("box", 0, 1050, 150)
    stage.tap("box", 0, 1700, 30)
    stage.tap("box", 0, 2000, 100)
    stage.tap("box", 0, 3450, 600)
    stage.tap("box", 0, 4400, 100)
    stage.at(8200)


# ------------------------------------------------------------------------------------ a chord
CHORD = """\
remapd: 1
title: Two knees together
base: sail
chord-window: 150ms
devices:
  box:
    find: {name: "Worn switch box"}
    controls:
      left-knee: {button: BTN_0}
      right-knee: {button: BTN_1}
      hip: {button: BTN_2}
layers:
  sail:
    left-knee: south
    right-knee: east
    left-knee + right-knee: start
    hip: {layer: quay, how: next}
  quay:
    left-knee: west
"""


def play_chord(stage: Stage) -> None:
    """Together, nearly together, too late; and a layer for one press that hides the chord."""
    box = stage.of("box")
    steps: list[tuple[float, Callable[[int], None], int]] = [
        *((100, box.press, 0), (160, box.press, 1), (400, box.release, 1), (460, box.release, 0)),
        *((800, box.press, 1), (900, box.press, 0), (1000, box.release, 0), (1010, box.release, 1)),
        *((1400, box.press, 0), (1620, box.press, 1), (1800, box.release, 0)),
        *((1830, box.release, 1), (2100, box.press, 1), (2140, box.release, 1)),
        *((2500, box.press, 2), (2560, box.release, 2), (2700, box.press, 0)),
        *((2740, box.press, 1), (2900, box.release, 0), (2950, box.release, 1)),
    ]
    for at, do, number in steps:
        stage.at(at)
        do(number)


# ------------------------------------------------------------------------------------ breath
BREATH = """\
remapd: 1
title: Breath and a reload
devices:
  sensor:
    find: {name: "Breath sensor"}
    controls:
      breath: {lever: ABS_Y, rests-at: middle, ends: [sip, puff], press-at: 30%, release-at: 15%}
layers:
  sail:
    breath.sip: left-stick.left
    breath.puff: {short: south, long: {push: left-stick, toward: right, ramp: 240ms}, after: 400ms}
"""
BREATH_RELOADED = BREATH.replace(
    "title: Breath and a reload", "title: Breath after a reload"
).replace(
    "{short: south, long: {push: left-stick, toward: right, ramp: 240ms}, after: 400ms}", "east"
)


def play_breath(stage: Stage) -> None:
    """Breath that comes and goes in slopes, with noise; the layout is saved in mid-puff."""
    noise = random.Random(9)
    sensor = stage.of("sensor")

    def breathe(start: float, length: float, pressure: float) -> None:
        for step in range(0, round(length) + 1, 20):
            stage.at(start + step)
            shape = math.sin(math.pi * step / length) ** 0.5
            sensor.blow(pressure * shape + noise.gauss(0, 0.01))
        sensor.blow(0.0)

    breathe(100, 400, -0.6)
    breathe(700, 200, 0.5)
    breathe(1100, 900, 0.7)
    stage.at(2200)
    sensor.blow(0.6)
    stage.save(BREATH_RELOADED)
    stage.mark("it is east from here on")
    begin = 4500
    stage.at(begin)
    sensor.blow(0.0)
    breathe(begin + 200, 300, 0.5)
    breathe(begin + 700, 300, -0.5)


# ------------------------------------------------------------------------------------ a session
HARBOUR = (Path(__file__).parents[2] / "layouts" / "trackball-and-knees.yaml").read_text()


def play_harbour(stage: Stage) -> None:
    """An evening at sea, in short: knees that brush, press and hold, and a ball that rolls."""
    noise = random.Random(16)
    ball = stage.of("ball")

    def roll(start: float, length: float, dx: float, dy: float) -> None:
        for step in range(0, round(length), 16):
            stage.at(start + step)
            ball.roll(round(dx + noise.gauss(0, 0.8)), round(dy + noise.gauss(0, 0.8)))

    stage.tap("knees", 0, 500, 130)
    roll(900, 900, 8, -2)
    stage.tap("knees", 0, 2200, 55)
    stage.tap("knees", 0, 2500, 62)
    stage.at(3000)
    stage.mark("I pressed and nothing happened")
    stage.tap("knees", 0, 3300, 140)
    roll(3700, 600, -6, 3)
    stage.tap("knees", 0, 4600, 1100)
    stage.tap("knees", 1, 6200, 120)
    roll(6600, 500, 9, 0)
    stage.tap("knees", 1, 7600, 120)
    stage.tap("knees", 0, 8100, 1050)
    stage.tap("knees", 1, 9600, 110)
    roll(9900, 500, 5, 5)
    stage.at(10900)


SCENARIOS = (
    Scenario(
        "harbour",
        "A trackball and knee switches (uinput) with a shipped layout: the guide's example.",
        HARBOUR,
        {
            "ball": lambda: devices.UinputBall("Large trackball", port="usb-7/input0"),
            "knees": lambda: devices.UinputSwitches("Switch box", port="usb-2/input0"),
        },
        play_harbour,
    ),
    Scenario(
        "tremor",
        "A foot stick (uhid) that shakes at 6 Hz, made steady.",
        TREMOR,
        {"foot": lambda: devices.UhidStick("Foot stick", port="usb-1/input0")},
        play_tremor,
    ),
    Scenario(
        "chatter",
        "Switches (uinput) that bounce at every change, and a grip that slips.",
        CHATTER,
        {"box": lambda: devices.UinputSwitches("Worn switch box", port="usb-2/input0")},
        play_chatter,
    ),
    Scenario(
        "spasm",
        "A hand that cannot let go (switch box by uhid, with a serial number).",
        SPASM,
        {"box": lambda: devices.UhidSwitches("Switch box", port="usb-3/input0", serial="K-17")},
        play_spasm,
    ),
    Scenario(
        "unplugged",
        "A switch box (uhid) pulled out while a latch is on, and back with a switch held.",
        UNPLUGGED,
        {
            "box": lambda: devices.UhidSwitches("Switch box", port="usb-3/input0", serial="K-17"),
            "foot": lambda: devices.UhidStick("Foot stick", port="usb-1/input0"),
        },
        play_unplugged,
    ),
    Scenario(
        "lost-events",
        "A stick (uinput) that sends more than the kernel keeps while the daemon stands still.",
        LOST_EVENTS,
        {"foot": lambda: devices.UinputStick("Quick stick", port="usb-4/input0")},
        play_lost_events,
    ),
    Scenario(
        "two-people",
        "A player's foot stick and a helper's gamepad (both uhid) at once.",
        TWO_PEOPLE,
        {
            "foot": lambda: devices.UhidStick("Foot stick", port="usb-1/input0"),
            "helper-pad": lambda: devices.UhidGamepad("Plain gamepad", port="usb-5/input0"),
        },
        play_two_people,
    ),
    Scenario(
        "scan",
        "One switch (uinput) that scans: an item taken, one held, one scan run out.",
        SCAN,
        {"box": lambda: devices.UinputSwitches("Worn switch box", port="usb-2/input0")},
        play_scan,
    ),
    Scenario(
        "chord",
        "Two knees (uinput) together, nearly together and too late, and a layer for one press.",
        CHORD,
        {"box": lambda: devices.UinputSwitches("Worn switch box", port="usb-2/input0")},
        play_chord,
    ),
    Scenario(
        "breath",
        "A sip-and-puff sensor (uinput) with noise, and a layout that is saved in mid-puff.",
        BREATH,
        {"sensor": lambda: devices.UinputBreath("Breath sensor", port="usb-6/input0")},
        play_breath,
    ),
)

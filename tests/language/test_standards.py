"""The layout language against published standards, each named beside its check.

How sure each source is: *read* means that the text or code was read; *from memory* that it was not
found again and should be looked up before it is quoted.
"""

from __future__ import annotations

import statistics

import pytest

from remapd.codes import AXES, EV_ABS, EV_KEY, KEYS
from remapd.engine import NoticeKind
from tests.language.board import board, frames
from tests.support.bench import Bench

BARE = "shortest-press: 0ms"


def raw_frames(layout: str, *acts: tuple[str, str, float]) -> list[list[tuple[int, int, int]]]:
    """What goes out for these acts, as events in frames, without the closing SYN_REPORT."""
    bench = Bench(layout)
    for what, control, at in acts:
        if what == "press":
            bench.engine.feed(int(at * 1000), 0, bench.driver.press(control)[1])
        else:
            bench.engine.feed(int(at * 1000), 0, bench.driver.release(control)[1])
    out = []
    for frame in bench.engine.drain():
        events = list(zip(frame.events[0::3], frame.events[1::3], frame.events[2::3], strict=True))
        assert events[-1] == (0, 0, 0)
        out.append(events[:-1])
    return out


# ------------------------------------------------------------------ the pad itself


#: Linux gamepad specification (kernel Documentation/input/gamepad.rst, read) for all but the two
#: face buttons, and include/uapi/linux/input-event-codes.h (read): control, type, code, value.
PAD = [
    ("south", EV_KEY, 0x130, 1),
    ("east", EV_KEY, 0x131, 1),
    ("left-shoulder", EV_KEY, 0x136, 1),
    ("right-shoulder", EV_KEY, 0x137, 1),
    ("left-trigger", EV_ABS, 0x02, 255),
    ("right-trigger", EV_ABS, 0x05, 255),
    ("select", EV_KEY, 0x13A, 1),
    ("start", EV_KEY, 0x13B, 1),
    ("mode", EV_KEY, 0x13C, 1),
    ("left-stick-press", EV_KEY, 0x13D, 1),
    ("right-stick-press", EV_KEY, 0x13E, 1),
    ("dpad-up", EV_ABS, 0x11, -1),
    ("dpad-down", EV_ABS, 0x11, 1),
    ("dpad-left", EV_ABS, 0x10, -1),
    ("dpad-right", EV_ABS, 0x10, 1),
    ("left-stick.up", EV_ABS, 0x01, -32767),
    ("left-stick.down", EV_ABS, 0x01, 32767),
    ("left-stick.left", EV_ABS, 0x00, -32767),
    ("left-stick.right", EV_ABS, 0x00, 32767),
    ("right-stick.up", EV_ABS, 0x04, -32767),
    ("right-stick.down", EV_ABS, 0x04, 32767),
    ("right-stick.left", EV_ABS, 0x03, -32767),
    ("right-stick.right", EV_ABS, 0x03, 32767),
]


@pytest.mark.parametrize(("control", "kind", "code", "value"), PAD)
def test_linux_gamepad_specification(control: str, kind: int, code: int, value: int) -> None:
    """Linux gamepad specification (read): codes by position; "negative = left / up".

    Triggers are on ABS_Z and ABS_RZ and not on the specification's hat axes: a game library takes
    a hat pair without flat or fuzz for a digital hat (common practice; the library's code read).
    """
    sent = raw_frames(
        board(f"play: {{knee: {control}}}"), ("press", "knee", 0), ("release", "knee", 100)
    )

    assert sent == [[(kind, code, value)], [(kind, code, 0)]]


@pytest.mark.parametrize(
    ("faces", "west", "north"), [("", 0x133, 0x134), ("pad: {faces: as-specified}", 0x134, 0x133)]
)
def test_west_and_north(faces: str, west: int, north: int) -> None:
    """Linux gamepad specification (read): north 0x133, west 0x134, with `faces: as-specified`.

    Without it the other way round, as most drivers send them (the layout language, section 2).
    """
    text = board("play: {knee: west, cheek: north}", top=faces)

    assert raw_frames(text, ("press", "knee", 0)) == [[(EV_KEY, west, 1)]]
    assert raw_frames(text, ("press", "cheek", 0)) == [[(EV_KEY, north, 1)]]


def test_w3c_gamepad_has_17_buttons_and_4_axes() -> None:
    """W3C Gamepad, standard layout (editor's draft read; index 16 from memory).

    Each of the 17 buttons and both ways of each of the 4 axes can be reached, and goes out as a
    code of its own.
    """
    buttons = [
        *("south", "east", "west", "north", "left-shoulder", "right-shoulder", "left-trigger"),
        *("right-trigger", "select", "start", "left-stick-press", "right-stick-press", "dpad-up"),
        *("dpad-down", "dpad-left", "dpad-right", "mode"),
    ]
    ways = [
        f"{stick}.{way}"
        for stick in ("left-stick", "right-stick")
        for way in ("left", "right", "up", "down")
    ]
    sent = [
        raw_frames(board(f"play: {{knee: {target}}}"), ("press", "knee", 0))[0][0]
        for target in (*buttons, *ways)
    ]

    assert len(buttons) == 17
    assert len(set(sent)) == 25
    axes = sent[17:]
    assert [code for _, code, _ in axes[0::2]] == [
        AXES[name] for name in ("ABS_X", "ABS_Y", "ABS_RX", "ABS_RY")
    ]
    assert all(value < 0 for _, _, value in axes[0::2])
    assert all(value > 0 for _, _, value in axes[1::2])


def test_kernel_event_codes_autorepeat_is_no_press() -> None:
    """Linux event-codes.rst (read): EV_KEY value 2 is autorepeat, neither press nor release."""
    bench = Bench(board("play: {knee: south}"))
    bench.raw("switches", [(EV_KEY, KEYS["BTN_0"], 2)], at=0)

    assert frames(bench, 1000) == []


# ------------------------------------------------------------------ XKB


@pytest.mark.parametrize(("held", "out"), [(299, []), (300, [300, 300]), (1000, [300, 1000])])
def test_xkb_slow_keys(held: int, out: list[int]) -> None:
    """XKB protocol, SlowKeys (text and server's code read; server default 300 ms).

    Released before the delay nothing is sent; at the delay a press is generated.
    """
    bench = Bench(board("play: {knee: south}", top=BARE, knee="acceptance-delay: 300ms"))
    bench.tap("knee", at=0, length=held)
    bench.until(2000)

    assert [change.us / 1000 for change in bench.changes] == out


def test_xkb_bounce_keys() -> None:
    """XKB protocol, BounceKeys (text and server's code read; server default 300 ms).

    The timer starts on release: pressed at 0, up at 50, a press at 200 is refused.
    Where the server starts the timer again on the release of a refused press, the layout language
    does not (section 3, repeat-guard); this train keeps clear of the difference.
    """
    bench = Bench(board("play: {knee: south}", knee="repeat-guard: 300ms"))
    bench.tap("knee", at=0, length=50)
    bench.tap("knee", at=200, length=20)
    bench.tap("knee", at=700, length=50)

    assert frames(bench, 2000) == [
        "0: press south",
        "50: release south",
        "700: press south",
        "750: release south",
    ]


def test_xkb_bounce_keys_refused_press_does_not_start_the_timer_again() -> None:
    """XKB's text starts the timer on the release of the key; the layout language, section 3.

    A press at 360 ms is taken though a refused press ended at 220.
    """
    bench = Bench(board("play: {knee: south}", knee="repeat-guard: 300ms"))
    bench.tap("knee", at=0, length=50)
    bench.tap("knee", at=200, length=20)
    bench.tap("knee", at=360, length=50)

    assert frames(bench, 2000)[-2:] == ["360: press south", "410: release south"]


#: A layer for L, and what A gives in it: XKB's modifier and key.
STICKY = ("sail: {knee: {layer: shift, how: next}, cheek: south}", "shift: {cheek: north}")


@pytest.mark.parametrize(
    ("keys", "out"),
    [
        ("L A A", ["north", "south"]),
        ("L L A A", ["north", "north"]),
        ("L L L A", ["south"]),
        ("L L A L A", ["north", "south"]),
        ("[L A ]L A", ["north", "south"]),
        ("[L A A ]L A", ["north", "north", "south"]),
        ("A L A A", ["south", "north", "south"]),
    ],
)
def test_xkb_sticky_keys(keys: str, out: list[str]) -> None:
    """XKB protocol, StickyKeys with LatchToLock (text and server's code read).

    Tap L, tap A: A with L, then A alone. Tap L twice: locked. A third tap: off. Hold L and A: no
    latch. `[L` holds L, `]L` lets it go.
    """
    bench = Bench(board(*STICKY))
    for at, key in enumerate(keys.split()):
        ms = 200 * at
        if key == "[L":
            bench.press("knee", at=ms)
        elif key == "]L":
            bench.release("knee", at=ms)
        else:
            bench.tap({"L": "knee", "A": "cheek"}[key], at=ms, length=60)
    bench.until(5000)

    assert [change.control for change in bench.changes if change.what == "press"] == out


def test_xkb_sticky_keys_another_modifier_does_not_clear_a_latch() -> None:
    """XKB protocol, StickyKeys (server's code read): a modifier clears no latch."""
    bench = Bench(
        board(
            "sail: {knee: {layer: shift, how: next}, elbow: {layer: other, how: next}, "
            "cheek: south}",
            "shift: {cheek: north}",
            "other: {heel: west}",
        )
    )
    bench.tap("knee", at=0, length=50)
    bench.tap("elbow", at=200, length=50)
    bench.tap("cheek", at=400, length=50)
    bench.tap("cheek", at=600, length=50)

    assert frames(bench, 1000) == [
        "400: press north",
        "450: release north",
        "600: press south",
        "650: release south",
    ]


@pytest.mark.parametrize("k", [1, 10, 15, 20, 25])
def test_mouse_keys_linear_ramp(k: int) -> None:
    """X server, MouseKeysAccel with curve 0 (server's code read): d(k) = most * k / time_to_max.

    A curve is not offered, so only the straight ramp is compared: 25 steps of 8 ms to the full.
    """
    bench = Bench(board("play: {knee: {push: left-stick, toward: right, ramp: 200ms}}"))
    bench.press("knee", at=0)
    bench.until(8 * k)

    assert bench.stick("left-stick")[0] == pytest.approx(32767 * k / 25, abs=0.5)


# ------------------------------------------------------------------ dead zone


@pytest.mark.parametrize(
    ("x", "y", "out_x", "out_y"),
    [
        (0.1, 0.1, 0, 0),
        (0.2, 0, 0, 0),
        (0.55, 0, 0.5, 0),
        (0.3, 0.4, 0.257143, 0.342857),
        (-0.6, 0.8, -0.6, 0.8),
        (0.05, -0.7, 0.051072, -0.715012),
        (1, 1, 0.707107, 0.707107),
    ],
)
def test_scaled_radial_dead_zone(x: float, y: float, out_x: float, out_y: float) -> None:
    """J. Sutphin, Doing Thumbstick Dead Zones Right, 2013 (excerpt read); vectors computed from it.

    Inner 0.2 and outer 0.9: a reach of 90%, and a dead zone of 0.2 / 0.9 of that.
    """
    bench = Bench(board("play: {wand: left-stick}", wand="reach: 90%, dead-zone: 22.22222%"))
    bench.move("wand", x, y, at=10)
    left = bench.stick("left-stick")

    assert (left[0] / 32767, left[1] / 32767) == pytest.approx((out_x, out_y), abs=5e-5)


# ------------------------------------------------------------------ EN 301 549


def test_en_301_549_5_7_key_repeat_can_be_slow_and_is_off_unless_asked() -> None:
    """EN 301 549 clause 5.7 (read): delay up to 2 s at least, rate down to one in 2 s.

    No action repeats by itself unless it is a turbo; a turbo may be as slow as that, and may begin
    after 2 s.
    """
    plain = Bench(board("play: {knee: south}"))
    plain.tap("knee", at=0, length=60_000)
    slow = Bench(
        board("play: {knee: {short: south, long: {turbo: south, rate: 0.5/s}, after: 2s}}")
    )
    slow.press("knee", at=0)
    slow.until(7000)

    assert frames(plain, 70_000) == ["0: press south", "60000: release south"]
    assert [change.us for change in slow.changes if change.what == "press"] == [
        2_000_000,
        4_000_000,
        6_000_000,
    ]


def test_en_301_549_c_5_8_double_strike() -> None:
    """EN 301 549 clause 5.8 and its test C.5.8 (read): a press 0.5 s later is refused."""
    bench = Bench(board("play: {knee: south}", knee="repeat-guard: 2s"))
    bench.tap("knee", at=0, length=50)
    bench.tap("knee", at=500, length=50)

    assert frames(bench, 5000) == ["0: press south", "50: release south"]


def test_en_301_549_5_8_at_half_a_second_itself() -> None:
    """EN 301 549 clause 5.8 (read): adjustable up to 0.5 s at least; counted from the keystroke.

    With `repeat-guard: 500ms` a press 0.5 s after the keystroke comes less than that after its end.
    """
    bench = Bench(board("play: {knee: south}", knee="repeat-guard: 500ms"))
    bench.tap("knee", at=0, length=20)
    bench.tap("knee", at=500, length=50)

    assert frames(bench, 5000) == ["0: press south", "34: release south"]


def test_en_301_549_5_9_every_pad_control_with_one_action_at_a_time() -> None:
    """EN 301 549 clause 5.9 (read): a mode that needs no simultaneous actions.

    One switch, one action at a time, reaches all 17 buttons and the four ways of both sticks.
    """
    targets = [control for control, *_ in PAD] + ["west", "north"]
    bench = Bench(board(f"play: {{knee: {{scan: [{', '.join(targets)}], rounds: 1}}}}"))
    now = 0
    for number, target in enumerate(targets):
        bench.tap("knee", at=now, length=100)
        chosen = now + 500 + (1000 + 1000 * number if number else 0)
        before = len(bench.changes)
        bench.tap("knee", at=chosen, length=100)
        (first, *_) = bench.changes[before:]
        name, _, way = target.partition(".")

        assert first.control == name
        if way:
            assert isinstance(first.value, tuple)
            x, y = first.value
            assert (x < 0, x > 0, y < 0, y > 0) == tuple(
                way == each for each in ("left", "right", "up", "down")
            )
        now = chosen + 1000


def test_en_301_549_5_9_combinations_without_simultaneous_actions() -> None:
    """EN 301 549 clause 5.9 (read): two buttons together, by a latch."""
    latched = Bench(board("play: {knee: {latch: left-shoulder}, cheek: south}"))
    latched.tap("knee", at=0, length=50)
    latched.press("cheek", at=500)

    assert latched.pressed == {"left-shoulder", "south"}


def test_en_301_549_5_6_every_lasting_state_gives_a_notice() -> None:
    """EN 301 549 clause 5.6 (read): the state of a toggle can be told without operating it."""
    on_off = {
        "{latch: south}": (NoticeKind.LATCH_ON, NoticeKind.LATCH_OFF),
        "{layer: net, how: toggle}": (NoticeKind.LAYER_ON, NoticeKind.LAYER_OFF),
        "{turbo: south, how: toggle}": (NoticeKind.TURBO_ON, NoticeKind.TURBO_OFF),
        "{push: left-stick, toward: up, how: toggle}": (NoticeKind.PUSH_ON, NoticeKind.PUSH_OFF),
        "{keep: left-stick}": (NoticeKind.KEEP_ON, NoticeKind.KEEP_OFF),
        "{lead: helper, how: toggle}": (NoticeKind.LEAD_ON, NoticeKind.LEAD_OFF),
    }
    for action, (on, off) in on_off.items():
        bench = Bench(board(f"sail: {{knee: {action}}}", "net: {cheek: east}"))
        bench.tap("knee", at=0, length=50)
        first = {notice.kind for notice in bench.notices}
        bench.tap("knee", at=1000, length=50)
        both = {notice.kind for notice in bench.notices}

        assert (action, on in first, off in first) == (action, True, False)
        assert (action, off in both) == (action, True)


# ------------------------------------------------------------------ contact bounce


@pytest.mark.parametrize("bounce_us", [300, 1600, 6200])
def test_contact_bounce_figures_give_one_press(bounce_us: int) -> None:
    """J. Ganssle, A Guide to Debouncing (from memory): mean 1.6 ms, nearly all below 6.2 ms.

    A train of ten edges within that time, on pressing and on letting go, is one press.
    """
    bench = Bench(board("play: {knee: south}"))
    for start, what in ((0, (bench.press, bench.release)), (200_000, (bench.release, bench.press))):
        for edge in range(11):
            what[edge % 2]("knee", at=(start + bounce_us * edge // 10) / 1000)

    assert frames(bench, 1000) == ["0: press south", "200: release south"]


# ------------------------------------------------------------------ scanning


@pytest.mark.parametrize("n", [2, 3, 8, 12])
def test_expected_steps_of_linear_scanning(n: int) -> None:
    """Linear scan of n items, equally likely, no errors: (n + 1) / 2 steps (own derivation).

    A step is the time for which one item is offered; the item is chosen just before its end.
    """
    items = [
        "south",
        "east",
        "west",
        "north",
        "left-shoulder",
        "right-shoulder",
        "select",
        "start",
        "mode",
        "dpad-up",
        "dpad-down",
        "dpad-left",
    ][:n]
    text = board(f"play: {{knee: {{scan: [{', '.join(items)}], every: 1s, first: 1s}}}}")
    steps = []
    for wanted in items:
        bench = Bench(text)
        bench.tap("knee", at=0, length=50)
        for step in range(1, n + 1):
            bench.until(step * 1000 - 1)
            offered = [x.text for x in bench.notices if x.kind is NoticeKind.SCAN_ITEM][-1]
            if offered == wanted:
                bench.press("knee", at=step * 1000 - 0.5)
                break

        assert bench.pressed == {wanted}
        steps.append(step)

    assert statistics.mean(steps) == (n + 1) / 2


@pytest.mark.parametrize("reaction_ms", [300, 650, 1000, 1300])
def test_scan_at_the_065_rule_is_met_by_its_user(reaction_ms: int) -> None:
    """Simpson, Koester and LoPresti 2007 (abstract read): period = mean reaction time / 0.65.

    A press that comes the mean reaction time, or half as long again, after an item was announced
    still takes that item.
    """
    every_ms = round(reaction_ms / 0.65)
    for reaction in (reaction_ms, round(1.5 * reaction_ms)):
        bench = Bench(
            board(
                f"play: {{knee: {{scan: [south, east, north], every: {every_ms}ms, "
                f"first: {every_ms}ms}}}}"
            )
        )
        bench.tap("knee", at=0, length=50)
        bench.press("knee", at=every_ms + reaction)

        assert bench.pressed == {"east"}

"""The live picture: what it shows of a daemon's messages, in any terminal, whatever the names."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.show.demo_screen import plain
from remapd.show.live.picture import picture_of
from remapd.show.live.readable import columns_of, cut, readable
from remapd.show.live.screen import COLUMNS, ROWS, live_rows
from remapd.show.live.state import LiveState
from remapd.show.marks import ASCII, FULL
from tests.unit.show.live_messages import (
    Message,
    decision,
    device,
    layer,
    layout,
    notice,
    pad,
    press,
    status,
    stick,
)


def clock(us: int) -> str:
    return f"00:00:{us // 1_000_000:02}"


def after(*messages: Message) -> LiveState:
    state = LiveState()
    for message in messages:
        state.take(message, message.get("us", 0))
    return state


def lines(state: LiveState, now_us: int, columns: int = COLUMNS, rows: int = ROWS) -> list[str]:
    return [plain(row) for row in live_rows(picture_of(state, now_us, clock), columns, rows, FULL)]


def line(state: LiveState, now_us: int, word: str) -> str:
    return next(each for each in lines(state, now_us) if word in each)


def test_a_press_is_marked_at_the_hand_and_at_the_pad() -> None:
    state = after(status(), layout(), press("left-knee", 10), pad("south", 20))

    shown = line(state, 30, "left-knee")

    assert shown.startswith(" ◆ left-knee")
    assert "◆ hoist south" in line(state, 30, "hoist")
    assert "◆" not in line(state, 30, "east")


def test_a_stick_shows_its_way_and_how_far() -> None:
    state = after(status(), layout(), stick("left-stick", 10, 16384, 0))

    assert "◆ steer left-stick" in line(state, 20, "steer")
    assert "→ 50 %" in line(state, 20, "steer")


def test_a_ball_lies_still_when_it_sends_nothing() -> None:
    state = after(status(), layout())
    state.take({"event": "control", "us": 1_000_000, "control": "roll", "dx": 3, "dy": 0}, 0)

    assert "→" in line(state, 1_100_000, "roll")
    assert "→" not in line(state, 1_200_000, "roll")


def test_layers_stand_newest_on_top_and_what_stays_on_is_told() -> None:
    state = after(
        status(),
        layout(),
        layer("layer-on", "net", 5, ["sail", "net"]),
        notice("latch-on", "latch hoist", 2_000_000),
    )

    shown = lines(state, 3_000_000)

    names = [each.split()[1] for each in shown if each.startswith(" ◆ ") and "stays" not in each]
    assert names.index("net") < names.index("sail")
    assert " ◆ stays on: latch hoist, player, since 00:00:02" in shown

    state.take(notice("latch-off", "latch hoist", 3), 3)
    assert not [each for each in lines(state, 4) if "stays on" in each]


def test_the_last_press_is_told_with_its_reason() -> None:
    why = "ignored: released after 52 ms, acceptance-delay is 80 ms"
    state = after(status(), layout(), decision("cheek", why, 4_000_000))

    assert f" × 00:00:04  cheek: {why}" in lines(state, 5_000_000)


def test_a_refused_layout_is_told_with_its_line_and_leaves_when_it_is_mended() -> None:
    problems = "/home/bo/harbour.yaml:5:3: error: unknown\n    5 | naem: x\n"
    event = {
        "event": "layout",
        "us": 9_000_000,
        "path": "/home/bo/harbour.yaml",
        "applied": False,
        "summary": "1 error",
        "problems": problems,
    }
    state = after(status(), layout(), event)

    shown = lines(state, 9_000_000)

    refused = " × harbour.yaml, saved at 00:00:09, was refused: what was in force before stays"
    assert refused in shown
    assert "   harbour.yaml:5:3: error: unknown" in shown
    assert "       5 | naem: x" in shown
    mended = {"event": "layout", "us": 10_000_000, "path": "x", "applied": True, "title": "Harbour"}
    state.take(mended, 0)
    assert state.wants() == ["layout", "status"]
    assert not [each for each in lines(state, 0) if "was refused" in each]


def test_devices_say_who_holds_them_and_what_is_wrong() -> None:
    devices = [
        device("knees"),
        device("helper-pad", "missing", person="helper"),
        device("ball", "busy"),
    ]
    state = after(status(devices=devices, others=["Desk lamp", "Pad"]), layout())

    shown = lines(state, 0)

    assert " ◆ knees            player   Switch box, for remapd alone" in shown
    assert " × helper-pad       helper   not plugged in; looks for a box of switches" in shown
    assert " × ball             player   Switch box: another program has it" in shown
    assert "   plugged in and not used: Desk lamp, Pad" in shown


@pytest.mark.parametrize(
    ("share", "problem", "words"),
    [
        (0.4, "", "for remapd alone; rumbles at 40%"),
        (1.0, "", "for remapd alone; rumbles"),
        (0.0, "", "for remapd alone; cues are felt"),
        (0.4, "it cannot rumble", "for remapd alone; nothing is felt"),
    ],
)
def test_devices_say_what_is_felt_on_them(share: float, problem: str, words: str) -> None:
    shaking = device("knees", rumble=share, rumble_problem=problem)
    shown = lines(after(status(devices=[shaking]), layout()), 0)
    assert f" ◆ knees            player   Switch box, {words}" in [each.rstrip() for each in shown]


def test_a_pause_and_a_lost_daemon_are_told_first() -> None:
    state = after(status(paused="asked for with `remapd pause`"), layout())
    assert lines(state, 0)[0].startswith(" × Paused: asked for with `remapd pause`.")

    state = after(status(), layout(), press("left-knee", 10))
    state.disconnected(20)

    shown = lines(state, 1_000_000)
    assert shown[0] == " × The daemon does not answer; waiting for it."
    assert "◆" not in "".join(shown[3:-1])


def test_of_forty_controls_those_used_last_stay_in_sight() -> None:
    many = [(f"key-{number}", "button") for number in range(40)]
    state = after(status(), layout(many), press("key-37", 10), press("key-2", 20))

    shown = lines(state, 30)

    assert len(shown) <= ROWS
    assert [each.split()[1] for each in shown if each.startswith(" ◆ key")] == ["key-2", "key-37"]
    assert any("more controls, at rest" in each for each in shown)


@pytest.mark.parametrize(("every_ms", "held_ms"), [(10, 5), (60, 30), (125, 60), (300, 20)])
def test_nothing_flashes_more_than_three_times_a_second(every_ms: int, held_ms: int) -> None:
    """WCAG 2.3.1; a flash is a change to lit and back."""
    state = after(status(), layout())
    changes = sorted(
        [(ms, True) for ms in range(0, 10_000, every_ms)]
        + [(ms + held_ms, False) for ms in range(0, 10_000, every_ms)]
    )
    seen: list[bool] = []
    for now_ms in range(0, 10_000, 5):
        while changes and changes[0][0] <= now_ms:
            ms, pressed = changes.pop(0)
            state.take(press("left-knee", ms * 1000, pressed=pressed), ms * 1000)
        seen.append(state.controls["left-knee"].lamp.is_lit(now_ms * 1000))
    rises = [n for n in range(1, len(seen)) if seen[n] and not seen[n - 1]]
    per_second = [sum(1 for n in rises if first <= n < first + 200) for first in rises]

    assert max(per_second, default=0) <= 3


ODD = st.text(max_size=60) | st.sampled_from(
    [
        "\x1b[2J\x1b]0;x\x07",
        "مرحبا بالميناء",
        "港の釣り船" * 8,
        "<b>&\"'",
        "a\u202eb",
        "e\u0301" * 70,
    ]
)


@given(title=ODD, name=ODD, why=ODD, columns=st.integers(80, 200), rows=st.integers(24, 60))
def test_no_name_breaks_the_picture(
    title: str, name: str, why: str, columns: int, rows: int
) -> None:
    fields = {"path": None, "title": title, "in_force_us": 0, "took_us": None}
    refused = {"path": f"/x/{name}", "summary": why, "problems": f"{why}\n{name}", "ago_us": 0}
    state = after(
        status(
            layout=fields,
            refused=refused,
            devices=[device("knees", name=name), device("ball", "busy", problem=why)],
        ),
        layout(),
        decision("left-knee", why, 0),
        notice("say", title, 0),
        notice("scan-item", name, 0),
    )

    for signs in (FULL, ASCII):
        picture = live_rows(picture_of(state, 0, clock), columns, rows, signs)
        assert len(picture) <= rows
        for row in picture:
            text = "".join(part for part, _ in row)
            assert columns_of(text) <= columns
            assert "\x1b" not in text
            assert "\n" not in text


@given(text=st.text(), room=st.integers(0, 40))
def test_a_cut_text_fits(text: str, room: int) -> None:
    assert columns_of(cut(readable(text), room)) <= room


def test_readable_leaves_what_can_be_read() -> None:
    assert readable("Nå, “Hafen” – عربي") == "Nå, “Hafen” – عربي"
    assert readable("a\x1b[1mb\u202ec\nd") == "a?[1mb?c d"

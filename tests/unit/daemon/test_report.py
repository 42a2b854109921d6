"""The status in sentences."""

from __future__ import annotations

from typing import Any

import pytest

from remapd.daemon.report import duration, sentences

STATUS: dict[str, Any] = {
    "name": "main",
    "pid": 1,
    "running_us": 200_000_000,
    "pad": {"name": "remapd pad", "node": "/dev/input/event9"},
    "layout": {
        "path": "/boats/knees.yaml",
        "title": "Two knees",
        "in_force_us": 5_000_000,
        "took_us": 61_400,
    },
    "refused": None,
    "paused": None,
    "layers": ["sail", "net"],
    "player": None,
    "devices": [],
    "others": [],
    "recordings": 0,
    "clients": 1,
    "figures": {
        "frames": 5,
        "median_us": 120,
        "p99_us": 900,
        "longest_us": 2100,
        "longest_stall_us": 3200,
        "losses": 0,
    },
    "form": {"name": "compiled", "why": "", "mend": ""},
}


def device(**fields: Any) -> dict[str, Any]:
    return {"device": "knees", "person": "player", "optional": False, "looks_for": "any"} | fields


def test_the_whole() -> None:
    taken = device(
        state="taken",
        name="Knee box",
        node="/dev/input/event4",
        alone=True,
        waits_to_be_alone=False,
    )
    missing = device(device="ball", state="missing", looks_for="name “Large*”")
    assert sentences(STATUS | {"devices": [taken, missing], "others": ["Ball", "Mouse"]}) == [
        "The pad “remapd pad” (/dev/input/event9) has been there for 3 min 20 s.",
        "Layout “Two knees” (/boats/knees.yaml), in force for 5 s. It was in force 61 ms after it "
        "was saved.",
        "Layers on, the newest last: sail, net.",
        "`knees` (player) is “Knee box” at /dev/input/event4, for remapd alone.",
        "`ball` (player) is not plugged in: it looks for name “Large*”.",
        "Plugged in and not used: “Ball”, “Mouse”.",
        "From the kernel's time stamp to our write: median 0.12 ms, 99 of 100 within 0.90 ms, "
        "longest 2.10 ms; longest stall 3.2 ms, no input lost.",
        "It runs compiled.",
    ]


def test_the_slower_form_is_told_with_what_mends_it() -> None:
    form = {"name": "pure Python", "why": "it was not made yet", "mend": "make it"}
    assert sentences(STATUS | {"form": form})[-2:] == [
        "It runs in pure Python, which is slower: it was not made yet.",
        "  To mend it, and then start it anew: make it",
    ]


def test_a_daemon_from_before_the_last_update_says_nothing_of_its_form() -> None:
    before = {key: value for key, value in STATUS.items() if key != "form"}
    assert sentences(before)[-1].startswith("From the kernel's time stamp")


@pytest.mark.parametrize(
    ("share", "problem", "told"),
    [
        (0.0, None, []),
        (0.4, "", ["  The game's rumble is felt on it at 40%."]),
        (1.0, "", ["  The game's rumble is felt on it."]),
        (0.0, "", ["  Cues are felt on it."]),
        (0.4, "it cannot rumble", ["  Nothing is felt on it: it cannot rumble."]),
    ],
)
def test_what_is_felt_on_a_device(share: float, problem: str | None, told: list[str]) -> None:
    taken = device(
        state="taken",
        name="Knee box",
        node="/dev/input/event4",
        alone=True,
        waits_to_be_alone=False,
        rumble=share,
        rumble_problem=problem,
    )
    lines = sentences(STATUS | {"devices": [taken]})
    assert lines[lines.index(next(x for x in lines if "`knees`" in x)) + 1 : -2] == told


def test_a_pause_comes_first_and_devices_are_left_out() -> None:
    lines = sentences(
        STATUS | {"paused": "asked for on “Keys”", "devices": [device(state="missing")]}
    )
    assert lines[0] == (
        "Remapping is paused (asked for on “Keys”); `remapd resume` goes on with it."
    )
    assert not any("not plugged in" in line for line in lines)


def test_a_refused_save_shows_its_lines() -> None:
    refused = {
        "path": STATUS["layout"]["path"],
        "problems": "x:3:5: error\n  3 | y",
        "ago_us": 61_000_000,
    }
    lines = sentences(STATUS | {"refused": refused})
    at = lines.index("A save 1 min 1 s ago was refused (knees.yaml):")
    assert lines[at + 1 : at + 3] == ["  x:3:5: error", "    3 | y"]
    lines = sentences(STATUS | {"refused": refused | {"path": "/boats/gull.yaml"}})
    assert "gull.yaml was chosen, and cannot be used (1 min 1 s ago):" in lines


@pytest.mark.parametrize(
    ("started_with", "told"),
    [
        (None, ""),
        ("/boats/knees.yaml", ""),
        ("/boats", "It is one of a folder"),
        ("/boats/gull.yaml", "chosen in place of gull.yaml"),
    ],
)
def test_a_choice_is_told_with_the_way_back(started_with: str | None, told: str) -> None:
    lines = sentences(STATUS | {"layout": STATUS["layout"] | {"started_with": started_with}})
    found = [line for line in lines if "`remapd use" in line]
    assert [told in line for line in found] == ([True] if told else [])


@pytest.mark.parametrize(
    ("us", "text"),
    [
        (0, "0 s"),
        (59_999_999, "59 s"),
        (60_000_000, "1 min 0 s"),
        (3_599_000_000, "59 min 59 s"),
        (7_500_000_000, "2 h 5 min"),
    ],
)
def test_durations(us: int, text: str) -> None:
    assert duration(us) == text

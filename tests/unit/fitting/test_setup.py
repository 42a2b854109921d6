"""A fitting that is kept and taken up again is the same fitting."""

from __future__ import annotations

import json

import pytest

from remapd.fitting.games import GAME_KINDS
from remapd.fitting.setup import (
    FoundControl,
    FoundDevice,
    Person,
    Setup,
    SetupUnreadable,
    from_json,
    to_json,
)

WHOLE = Setup(
    title="Knees and a stick – größer",
    people=(Person("Ada"), Person("Bo", helper=True)),
    devices=(
        FoundDevice("box", {"name": "Switch box", "serial": "12"}, "Switch box (serial 12)"),
        FoundDevice("pad", {"shape": "gamepad"}, "a gamepad", "Bo", optional=True, gamepad=True),
        FoundDevice("keys", {"name": "Keyboard"}, "stand-in keys", "Ada", stand_in=True),
    ),
    controls=(
        FoundControl(
            "left-knee", "box", "button", ("BTN_0",), {"acceptance-delay": "80ms"},
            can_hold=False, movement="left knee", place=(1, 2),
        ),
        FoundControl("hand", "keys", "stick", ("ABS_X", "ABS_Y"), small_range=True),
    ),
    game=GAME_KINDS["driving"],
    two_at_once=True,
)  # fmt: skip


@pytest.mark.parametrize("setup", [WHOLE, Setup()], ids=["whole", "empty"])
def test_a_kept_fitting_is_the_same_again(setup: Setup) -> None:
    assert from_json(to_json(setup)) == setup


def test_the_controls_of_a_helper_are_not_the_players() -> None:
    assert [control.name for control in WHOLE.players_controls] == ["left-knee", "hand"]
    assert [device.name for device in WHOLE.helpers_devices] == ["pad"]


def test_what_is_cut_off_or_foreign_is_refused_in_words() -> None:
    text = to_json(WHOLE)
    for end in range(0, len(text) - 2, 7):
        with pytest.raises(SetupUnreadable, match="cut off"):
            from_json(text[:end])
    for foreign in ("[]", "3", "null", '{"a": 1}', '"remapd-fitting"', "[" * 100_000):
        with pytest.raises(SetupUnreadable):
            from_json(foreign)


def test_another_version_is_refused_and_named() -> None:
    held = json.loads(to_json(WHOLE)) | {"remapd-fitting": 2}
    with pytest.raises(SetupUnreadable, match="form 2"):
        from_json(json.dumps(held))


def test_no_part_that_does_not_fit_gets_through() -> None:
    whole = json.loads(to_json(WHOLE))

    def spoil(part: object) -> list[object]:
        """The part with each of its leaves replaced by something that is no leaf of any kind."""
        if isinstance(part, dict):
            return [{**part, key: bad} for key, value in part.items() for bad in spoil(value)]
        if isinstance(part, list) and part:
            return [[bad, *part[1:]] for bad in spoil(part[0])]
        return [1.5]

    spoiled = spoil(whole)
    assert len(spoiled) > 30
    for each in spoiled:
        with pytest.raises(SetupUnreadable):
            from_json(json.dumps(each))

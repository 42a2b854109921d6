"""From a plan on stand-in keys to a list of what to borrow, and on to the real things."""

from __future__ import annotations

import pytest

from remapd.fitting.borrowing import borrowing_text, stand_ins_left, swap_devices, to_borrow
from remapd.fitting.games import GAME_KINDS
from remapd.fitting.proposals import propose
from remapd.fitting.setup import FoundControl, FoundDevice, Person, Setup
from remapd.fitting.writing import layout_text
from remapd.language import load_text

KEYS = FoundDevice("keys", {"shape": "keyboard"}, "the keyboard", stand_in=True)
PLAN = Setup(
    "Left knee and right hand",
    (Person("Ada"),),
    (KEYS,),
    (
        FoundControl("left-knee", "keys", "button", ("KEY_F",), movement="left knee"),
        FoundControl(
            "finger", "keys", "button", ("KEY_J",), movement="right finger", small_range=True
        ),
        FoundControl("sip", "keys", "button", ("KEY_K",), movement="sip", reliable=False),
        FoundControl("puff", "keys", "button", ("KEY_L",), movement="puff"),
    ),
    GAME_KINDS["platform"],
)
BOX = FoundDevice("box", {"name": "Switch box"}, "the switch box")
STICK = FoundDevice("stick", {"name": "Mini joystick"}, "the mini joystick")


def test_every_stood_in_movement_gets_a_kind_a_mount_and_sockets() -> None:
    borrowing = to_borrow(PLAN)
    kinds = {loan.movement: loan.kind for loan in borrowing.loans}
    assert kinds["left knee"].startswith("big soft-touch button")
    assert kinds["right finger"].startswith("lever switch of the lightest touch")
    assert kinds["sip and puff"].startswith("sip-and-puff switch")
    assert all(loan.mount for loan in borrowing.loans)
    assert "4 or more 3.5 mm sockets" in borrowing.connections[0]
    breath = next(loan for loan in borrowing.loans if loan.movement == "sip and puff")
    assert "never held" in breath.care
    assert "compare" in breath.because


def test_the_list_fits_a_terminal_and_names_every_movement() -> None:
    text = borrowing_text(to_borrow(PLAN))
    assert max(map(len, text.splitlines())) <= 80
    for control in PLAN.controls:
        assert control.movement in text
    assert "therapist" in text


def test_where_the_real_things_are_there_nothing_is_to_be_borrowed() -> None:
    real = swap_devices(
        PLAN,
        {
            control.name: FoundControl("x", "box", "button", (f"BTN_{number}",))
            for number, control in enumerate(PLAN.controls)
        },
        [BOX],
    )
    assert not to_borrow(real).loans
    assert "What to borrow" not in borrowing_text(to_borrow(real))


def test_real_devices_take_the_place_of_keys_one_by_one() -> None:
    first = swap_devices(
        PLAN,
        {"left-knee": FoundControl("switch-1", "box", "button", ("BTN_2",), {"debounce": "40ms"})},
        [BOX],
    )
    assert stand_ins_left(first) == ("finger", "sip", "puff")
    assert {device.name for device in first.devices} == {"keys", "box"}
    knee = first.controls[0]
    assert (knee.name, knee.movement, knee.codes) == ("left-knee", "left knee", ("BTN_2",))
    assert knee.settings == {"debounce": "40ms"}

    stick = FoundControl("thumb", "stick", "stick", ("ABS_X", "ABS_Y"), small_range=True)
    whole = swap_devices(
        first,
        {
            "finger": stick,
            "sip": FoundControl("y", "box", "button", ("BTN_3",)),
            "puff": FoundControl("z", "box", "button", ("BTN_4",)),
        },
        [STICK],
    )
    assert stand_ins_left(whole) == ()
    assert {device.name for device in whole.devices} == {"box", "stick"}
    for proposal in propose(whole):
        assert not load_text(layout_text(whole, proposal)).diagnostics


def test_what_the_plan_does_not_have_is_refused_in_words() -> None:
    control = FoundControl("x", "box", "button", ("BTN_0",))
    with pytest.raises(ValueError, match="no control called right-knee"):
        swap_devices(PLAN, {"right-knee": control}, [BOX])
    with pytest.raises(ValueError, match="nothing is told of the device box"):
        swap_devices(PLAN, {"left-knee": control}, [])

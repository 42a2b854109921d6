"""The mapping string against values worked out from SDL's published source, by hand."""

from __future__ import annotations

import pytest

from remapd.kernel.mapping_string import crc16, mapping_string, sdl_guid
from remapd.kernel.pad import DEFAULT_NAME, REMAPD_IDENTITY, PadIdentity

NAME = "remapd virtual gamepad"
#: SDL 2.26 to 2.32 make this for our set of controls by themselves (tests/kernel/test_pad_in_sdl).
AUTOMATIC = (
    "a:b0,b:b1,x:b2,y:b3,back:b6,guide:b8,start:b7,leftstick:b9,rightstick:b10,leftshoulder:b4,"
    "rightshoulder:b5,dpup:h0.1,dpdown:h0.4,dpleft:h0.8,dpright:h0.2,leftx:a0,lefty:a1,rightx:a3,"
    "righty:a4,lefttrigger:a2,righttrigger:a5"
)


def test_checksum_of_the_standard_check_text() -> None:
    """Source: the check value of CRC-16/ARC in the published catalogues of checksums."""
    assert crc16(b"123456789") == 0xBB3D


@pytest.mark.parametrize(
    ("identity", "guid"),
    [
        (PadIdentity(0x1234, 0x5678, 0x0111, bus=3), "03008366341200007856000011010000"),
        (PadIdentity(0x1209, 0x0001, 0x0001, bus=6), "06008366091200000100000001000000"),
        (PadIdentity(0, 0, 0, bus=3), "0300836672656d617064207669727400"),
    ],
)
def test_guid(identity: PadIdentity, guid: str) -> None:
    """Source: SDL_CreateJoystickGUID of SDL 2.32; the checksum was seen in SDL 2.32 as well."""
    assert sdl_guid(NAME, identity) == guid


def test_guid_without_checksum_has_zeros_in_its_place() -> None:
    identity = PadIdentity(0x1234, 0x5678, 0x0111)
    assert sdl_guid(NAME, identity, name_checksum=False) == "03000000341200007856000011010000"


def test_mapping_is_what_sdl_finds_by_itself() -> None:
    guid = sdl_guid(DEFAULT_NAME, REMAPD_IDENTITY)
    assert mapping_string(DEFAULT_NAME, REMAPD_IDENTITY) == (
        f"{guid},{DEFAULT_NAME},{AUTOMATIC},platform:Linux,"
    )


def test_mapping_for_older_readers_differs_in_the_checksum_alone() -> None:
    mapping = mapping_string(DEFAULT_NAME, REMAPD_IDENTITY, name_checksum=False)
    whole = mapping_string(DEFAULT_NAME, REMAPD_IDENTITY)
    assert mapping == f"{whole[:4]}0000{whole[8:]}"


def test_faces_as_specified_exchanges_the_left_and_the_top_button() -> None:
    mapping = mapping_string(DEFAULT_NAME, REMAPD_IDENTITY, faces_as_specified=True)
    assert "x:b3,y:b2," in mapping


def test_a_comma_in_the_name_does_not_break_the_string() -> None:
    mapping = mapping_string("left, and right", REMAPD_IDENTITY)
    assert mapping.split(",")[1:3] == ["left  and right", "a:b0"]

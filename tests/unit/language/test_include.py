"""Included devices, what is watched, and the text that a recording keeps."""

import os
from pathlib import Path

import pytest

from remapd.language import load, load_text

# The example of the language page, whole.
HARBOUR = """\
remapd: 1                       # the language version; required, first
title: Forearm trackball and knee switches
notes: For a harbour-sailing game. The right forearm rests on the ball.
include: ward-devices.yaml
verbs: {hoist: south, cast-net: right-trigger, steer: left-stick}
needs: [hoist, cast-net, steer, start]
base: sail
devices:
  ball:
    find: {name: "Large trackball*", vendor: 0x1209, product: 0x2001}
    exclusive: true
    controls:
      roll: {pointer: [REL_X, REL_Y], full-speed: 600/s}
  helper-pad:
    person: helper              # `player` unless said
    find: {shape: gamepad}
    controls: gamepad
layers:
  sail:
    roll: steer
    left-knee: {short: hoist, long: {layer: net, how: toggle}, after: 900ms}
    right-knee: {layer: chart, how: next}
    helper-pad: same
  net:
    right-knee: {turbo: cast-net, rate: 4/s, how: toggle}
  chart:
    roll: dpad
    left-knee: start
merge:
  hoist: player-only
  left-stick: {rule: player-first, after-player: 600ms}
tunings:
  tired: {left-knee: {acceptance-delay: 50ms}, roll: {full-speed: 400/s}}
"""
WARD = """\
remapd: 1
# One player's devices, for all their games.
devices:
  knees:
    find: {name: 'Switch box', serial: "B*"}
    controls:
      left-knee:  {button: BTN_0, acceptance-delay: 80ms}
      right-knee: {button: BTN_1}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "harbour.yaml").write_text(HARBOUR)
    (tmp_path / "ward-devices.yaml").write_text(WARD)
    return tmp_path


def test_included_devices_come_first(folder: Path) -> None:
    loaded = load(folder / "harbour.yaml")

    assert loaded.diagnostics == []
    assert loaded.layout is not None
    assert [each.name for each in loaded.layout.devices] == ["knees", "ball", "helper-pad"]
    assert loaded.files == (folder / "harbour.yaml", folder / "ward-devices.yaml")
    assert loaded.places["device", "knees"].file == str(folder / "ward-devices.yaml")


def test_the_self_contained_text_means_the_same_with_no_other_file(folder: Path) -> None:
    loaded = load(folder / "harbour.yaml")
    alone = load_text(loaded.self_contained_text, "harbour.yaml")

    assert "include" not in loaded.self_contained_text
    assert alone.diagnostics == []
    assert alone.layout == loaded.layout


def test_the_self_contained_text_keeps_words_that_need_quotes(folder: Path) -> None:
    (folder / "ward-devices.yaml").write_text(
        "remapd: 1\ndevices:\n  knees:\n"
        '    find: {name: "a: \\"b\\" #1, {c}", serial: \'*\', port: "12"}\n'
        "    controls: {left-knee: {button: BTN_0}, right-knee: {button: BTN_1}}\n"
    )
    harbour = HARBOUR.replace("notes: For", "notes: |\n  First\n\n  For").replace(
        "title: Forearm", "title: it's a forearm"
    )
    (folder / "harbour.yaml").write_text(harbour)
    loaded = load(folder / "harbour.yaml")

    assert loaded.layout is not None
    assert load_text(loaded.self_contained_text, "harbour.yaml").layout == loaded.layout


def test_a_file_may_include_one_that_includes(folder: Path) -> None:
    (folder / "ward").mkdir()
    (folder / "ward" / "all.yaml").write_text("remapd: 1\ninclude: ../ward-devices.yaml\n")
    (folder / "harbour.yaml").write_text(HARBOUR.replace("ward-devices", "ward/all"))

    loaded = load(folder / "harbour.yaml")

    assert loaded.layout is not None
    assert [each.name for each in loaded.files] == [
        "harbour.yaml",
        "all.yaml",
        "ward-devices.yaml",
    ]


def test_a_whole_layout_can_be_included_for_its_devices(folder: Path) -> None:
    (folder / "other.yaml").write_text(WARD + "layers: {play: {no-such-control: south}}\n")
    (folder / "harbour.yaml").write_text(HARBOUR.replace("ward-devices", "other"))

    assert load(folder / "harbour.yaml").layout is not None


def test_a_circle_of_two_is_found(folder: Path) -> None:
    (folder / "ward-devices.yaml").write_text(WARD + "include: harbour.yaml\n")

    loaded = load(folder / "harbour.yaml")

    assert [each.code for each in loaded.errors] == ["include-circle"]
    assert loaded.errors[0].span.file == str(folder / "ward-devices.yaml")


def test_a_missing_include_is_watched_and_hides_no_other_fault(folder: Path) -> None:
    (folder / "ward-devices.yaml").unlink()
    (folder / "harbour.yaml").write_text(HARBOUR.replace("roll: dpad", "roll: dpd"))

    loaded = load(folder / "harbour.yaml")

    assert [each.code for each in loaded.errors] == ["file-missing", "unknown-pad-control"]
    assert folder / "ward-devices.yaml" in loaded.files


def test_a_pipe_in_the_place_of_a_file_does_not_hold_up(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.yaml")

    assert [each.code for each in load(tmp_path / "pipe.yaml").errors] == ["not-a-file"]


def test_a_folder_is_no_layout(tmp_path: Path) -> None:
    assert [each.code for each in load(tmp_path).errors] == ["not-a-file"]

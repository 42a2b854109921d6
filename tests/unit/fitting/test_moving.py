"""A layout from another machine asks only which device is which, and changes nothing else."""

from __future__ import annotations

import difflib
import functools
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from remapd.fitting.conversation.moving import Folders, Moved, moving
from remapd.fitting.identity import Identity
from remapd.language.pack import Pack, parse_pack
from remapd.language.packing import pack
from tests.support.sitting import Sitting, device, heard

LAYOUT = """\
remapd: 1
title: Gull   # for the evenings
devices:
  left-box:
    find: {name: "Twin box", port: "usb-1/input0"}   # the left socket
    controls: {left-knee: {button: BTN_0, acceptance-delay: 80ms}}
  right-box:
    find: {name: "Twin box", port: "usb-2/input0"}
    controls: {right-knee: {button: BTN_0}}
  stick:
    find: {name: "Small stick"}
    controls: {chin: {stick: [ABS_X, ABS_Y], reach: 60%}}
layers:
  sail: {left-knee: south, right-knee: east, chin: left-stick}
"""
FOLDERS = Folders("here", lambda _folder: None, lambda _folder: ())
STICK = device("Small stick")
TWINS = [
    device("Twin box", port=port, find={"name": "Twin box", "port": port}, because="by socket")
    for port in ("pci-9/input0", "pci-8/input0")
]
OTHER_STICK = device("Large stick")


@dataclass
class Plugged:
    """What is plugged in, by the number of the layout's device."""

    by_number: dict[int, tuple[dict[str, Any], ...]] = field(default_factory=dict)
    lacking: dict[tuple[int, str], tuple[str, ...]] = field(default_factory=dict)

    def candidates(self, number: int) -> tuple[Identity, ...]:
        return tuple(Identity.from_data(each) for each in self.by_number.get(number, ()))

    def lacks(self, number: int, key: str) -> tuple[str, ...]:
        return self.lacking.get((number, key), ())


def packed(tmp_path: Path, text: str = LAYOUT) -> Pack:
    path = tmp_path / "gull.yaml"
    path.write_text(text)
    made = pack(path, card="", today="2026-01-02", file_name="gull")
    return parse_pack(made.content, "gull")


def sitting(content: Pack, here: Plugged, *steps: Any) -> Sitting[Moved]:
    layout = content.load().layout
    assert layout is not None
    made: Sitting[Moved] = Sitting(functools.partial(moving, content, layout, here, FOLDERS))
    made.give(*steps)
    return made


def changed_lines(content: Pack, made: Sitting[Moved]) -> list[str]:
    assert made.dialogue.result is not None, made.text
    before = content.layout.content.decode()
    after = made.dialogue.result.changed.get("gull.yaml", content.layout.content).decode()
    return [
        line for line in difflib.ndiff(before.splitlines(), after.splitlines()) if line[:1] in "+-"
    ]


def test_what_is_sure_is_not_asked_and_sockets_always_are(tmp_path: Path) -> None:
    content = packed(tmp_path)
    here = Plugged({2: (STICK,)})
    made = sitting(content, here, heard("BTN_0", on=TWINS[0]), heard("BTN_0", on=TWINS[1]), "")

    assert "stick: Small stick is plugged in. Nothing to change." in made.text
    assert changed_lines(content, made) == [
        '-     find: {name: "Twin box", port: "usb-1/input0"}   # the left socket',
        '+     find: {name: "Twin box", port: "pci-9/input0"}   # the left socket',
        '-     find: {name: "Twin box", port: "usb-2/input0"}',
        '+     find: {name: "Twin box", port: "pci-8/input0"}',
    ]


def test_where_all_is_as_it_was_no_byte_changes(tmp_path: Path) -> None:
    text = LAYOUT.replace(', port: "usb-1/input0"', ', serial: "1"').replace(
        ', port: "usb-2/input0"', ', serial: "2"'
    )
    content = packed(tmp_path, text)
    here = Plugged({0: (device("A"),), 1: (device("B"),), 2: (STICK,)})
    made = sitting(content, here, "")

    assert changed_lines(content, made) == []
    assert made.dialogue.result == Moved({}, "here", replaces=False)


def test_a_device_is_taken_once_and_may_come_later(tmp_path: Path) -> None:
    made = sitting(
        packed(tmp_path),
        Plugged({2: (STICK,)}),
        heard("BTN_0", on=TWINS[0]),
        heard("BTN_0", on=TWINS[0]),
    )

    assert "which is left-box already" in made.text
    made.give("later", "")
    assert len(changed_lines(packed(tmp_path), made)) == 2


def test_another_kind_of_stick_is_asked_for_its_own_codes(tmp_path: Path) -> None:
    content = packed(tmp_path)
    here = Plugged({0: (), 1: ()}, {(2, OTHER_STICK["key"]): ("chin",)})
    made = sitting(content, here, "later", "later", heard("ABS_RX", kind="lever", on=OTHER_STICK))
    made.give(heard("BTN_0", on=OTHER_STICK))
    assert "chin has to be a stick" in made.text
    made.give(heard("ABS_RX", "ABS_RY", kind="stick", on=OTHER_STICK), "")

    assert changed_lines(content, made) == [
        '-     find: {name: "Small stick"}',
        '+     find: {name: "Large stick"}',
        "-     controls: {chin: {stick: [ABS_X, ABS_Y], reach: 60%}}",
        "+     controls: {chin: {stick: [ABS_RX, ABS_RY], reach: 60%}}",
    ]


@pytest.mark.parametrize("answer", ["yes", "no"])
def test_a_keyboard_is_taken_only_if_it_is_said_to_be_the_box(tmp_path: Path, answer: str) -> None:
    box = device("Key box", acts_as="keyboard", in_words=True)
    content = packed(tmp_path)
    made = sitting(content, Plugged({2: (STICK,)}), heard("BTN_0", on=box), answer, "later", "later"
                   if answer == "no" else "")  # fmt: skip
    if answer == "no":
        made.give("")

    lines = changed_lines(content, made)
    assert any("exclusive: true" in line for line in lines) == (answer == "yes")


def test_files_that_are_there_are_not_written_over_unasked(tmp_path: Path) -> None:
    content = packed(tmp_path)
    layout = content.load().layout
    assert layout is not None
    folders = Folders("here", lambda _f: None, lambda f: ("gull.yaml",) if f == "here" else ())
    made: Sitting[Moved] = Sitting(
        functools.partial(moving, content, layout, Plugged({2: (STICK,)}), folders)
    )
    made.give("later", "later", "", "no", "there")

    assert "gull.yaml is there already" in made.text
    assert made.dialogue.result == Moved({}, "there", replaces=False)

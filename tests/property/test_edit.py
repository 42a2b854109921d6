"""A changed value is the only thing that changes in a layout's text, and in what it means.

The text is compared line by line, and read with PyYAML itself (its base loader, where every scalar
is a string), not with the reader that the edit uses.
"""

from __future__ import annotations

import dataclasses
import re
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from remapd.engine.layout import ButtonControl
from remapd.language import load, load_text
from remapd.language.addresses import Addresses
from remapd.language.edit import with_value
from remapd.language.names import pad_control_words
from tests.support.layouts import HARBOUR, TWO_KNEES

FOLDER = Path(__file__).parents[2] / "layouts"
SAMPLES = {
    path.name: path.read_text()
    for path in sorted(FOLDER.glob("*.yaml"))
    if not path.name.endswith(".trials.yaml")
} | {"two-knees": TWO_KNEES, "harbour": HARBOUR}
NEW_SETTINGS = ("acceptance-delay", "release-delay", "debounce", "repeat-guard")
COMMENT = re.compile(r"(?:^|\s)#.*$", re.MULTILINE)

Path_ = tuple[str, ...]


def durations(data: Any, path: Path_ = ()) -> list[Path_]:
    """Where a written value is a length of time."""
    if isinstance(data, dict):
        return [each for key, value in data.items() for each in durations(value, (*path, key))]
    return [path] if isinstance(data, str) and re.fullmatch(r"[\d.]+(ms|s)", data) else []


def places(text: str) -> list[Path_]:
    """Durations that are written, and settings of controls that may not be."""
    data = yaml.load(text, yaml.BaseLoader)  # noqa: S506 - makes strings of all scalars
    controls = [
        ("devices", name, "controls", control)
        for name, device in data.get("devices", {}).items()
        if isinstance(device["controls"], dict)
        for control in device["controls"]
    ]
    return [
        *durations(data),
        *((*control, setting) for control in controls for setting in NEW_SETTINGS),
        ("tap",),
        ("chord-window",),
    ]


def changed(data: Any, path: Path_, value: str) -> Any:
    if not path:
        return value
    return {**data, path[0]: changed(data.get(path[0], {}), path[1:], value)}


def other_lines(text: str, other: str) -> tuple[list[str], list[str]]:
    """Both texts' lines without the one in which they differ."""
    one, two = text.splitlines(keepends=True), other.splitlines(keepends=True)
    first = next((i for i, (a, b) in enumerate(zip(one, two, strict=False)) if a != b), len(one))
    added = len(two) - len(one)
    return one[:first] + one[first + 1 - added :], two[:first] + two[first + 1 :]


@pytest.mark.parametrize("line_end", ["\n", "\r\n"], ids=["lf", "crlf"])
@pytest.mark.parametrize("name", SAMPLES)
@settings(max_examples=15)
@given(data=st.data())
def test_one_value_changes_and_nothing_else(name: str, line_end: str, data: st.DataObject) -> None:
    text = SAMPLES[name].replace("\n", line_end)
    path = data.draw(st.sampled_from(places(text)))
    value = f"{data.draw(st.integers(1, 999))}ms"

    after = with_value(text, path, value)

    before, rest = other_lines(text, after)
    assert rest == before
    assert COMMENT.findall(after) == COMMENT.findall(text)
    meant = yaml.load(text, yaml.BaseLoader)  # noqa: S506
    assert yaml.load(after, yaml.BaseLoader) == changed(meant, path, value)  # noqa: S506
    assert with_value(after, path, value) == after  # the same again is no change


@pytest.mark.parametrize("name", [name for name in SAMPLES if name.endswith(".yaml")])
def test_a_control_of_each_sample_is_found_changed_and_loads(name: str) -> None:
    text = SAMPLES[name]
    before = load(FOLDER / name)
    assert before.layout is not None
    addresses = Addresses(before.texts)
    for number, control in enumerate(before.layout.controls):
        if not isinstance(control, ButtonControl) or control.name in pad_control_words():
            continue
        address = addresses.find(f"{control.name}.repeat-guard")
        after = load_text(with_value(text, address.path, "123ms"), str(FOLDER / name))
        assert after.layout is not None, after.errors
        guarded = dataclasses.replace(control.settings, repeat_guard_us=123_000)
        controls = list(before.layout.controls)
        controls[number] = dataclasses.replace(control, settings=guarded)
        assert after.layout == dataclasses.replace(before.layout, controls=tuple(controls))

"""A recording comes from somebody else: nothing in it reaches the terminal but as letters."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from remapd.cli.main import main

ESCAPE = "\x1b]0;another title\x07"
LAYOUT = """\
remapd: 1
devices:
  box: {find: {name: "*"}, controls: {knee: {button: BTN_0}}}
  other: {find: {name: "Other box"}, controls: {heel: {button: BTN_0}}}
layers:
  play: {knee: south, heel: east}
"""
DEVICE = {"id": 0, "name": f"Box {ESCAPE}", "codes": {"EV_KEY": ["BTN_0"]}}
PRESS = {"us": 1000, "device": 0, "events": [["EV_KEY", "BTN_0", 1]]}
MARK = {"us": 2000, "mark": f"nothing {ESCAPE} happened"}
RELEASE = {"us": 300_000, "device": 0, "events": [["EV_KEY", "BTN_0", 0]]}


def recording(path: Path, layout: str, *lines: dict[str, Any], device: Any = DEVICE) -> str:
    head = {"remapd-recording": 1, "devices": [device]}
    own = {"us": 0, "layout": f"{ESCAPE}.yaml", "text": layout}
    whole = [head, own, *lines]
    path.write_text("".join(json.dumps(each) + "\n" for each in whole), encoding="utf-8")
    return str(path)


@pytest.mark.parametrize(
    "words", [["replay", "--explain"], ["why"], ["trial", "--from"], ["report", "-o", "r.html"]]
)
def test_nothing_in_a_recording_steers_the_terminal(
    words: list[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    good = recording(tmp_path / "a.jsonl", LAYOUT, PRESS, MARK, RELEASE)
    broken = recording(tmp_path / "b.jsonl", LAYOUT.replace("south", "suoth"), PRESS)
    none = recording(tmp_path / "c.jsonl", LAYOUT.replace('"*"', '"Desk"'), PRESS)

    for each in (good, broken, none):
        main([*words, each])
    said = capfd.readouterr()

    assert "Box ?]0;another title?" in said.err, "a note names the device"
    assert "\x1b" not in said.out + said.err
    assert "\x07" not in said.out + said.err

"""docs/check.md shows what `remapd check` really prints, and names every finding."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from remapd.cli.main import main

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "check.md").read_text(encoding="utf-8")
TRAP = """\
remapd: 1
title: A trap
needs: [south, east, start]
base: sail
devices:
  knees:
    find: {name: "Switch box"}
    controls:
      left-knee: {button: BTN_0, repeat-guard: 600ms}
      right-knee: {button: BTN_1}
layers:
  sail:
    left-knee: {once: south, twice: start, within: 500ms}
    right-knee: {layer: net, how: toggle}
  net:
    right-knee: east
"""


def shown(command: str) -> str:
    """What the page shows below a command."""
    start = PAGE.index(f"$ {command}\n") + len(f"$ {command}\n")
    return PAGE[start : PAGE.index("\n```", start)]


def test_the_one_switch_layout(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(ROOT)
    assert main(["check", "layouts/one-switch.yaml"]) == 0
    assert capsys.readouterr().out.rstrip() == shown("remapd check layouts/one-switch.yaml")


def test_a_layout_with_traps_in_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "trap.yaml").write_text(TRAP, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    assert main(["check", "trap.yaml"]) == 1
    assert capsys.readouterr().out.rstrip() == shown("remapd check trap.yaml")


def test_every_finding_has_an_entry() -> None:
    sources = [*(ROOT / "remapd" / "analysis" / "findings").glob("*.py")]
    sources.append(ROOT / "remapd" / "analysis" / "check.py")
    codes = {
        code
        for path in sources
        for code in re.findall(
            r'(?:Finding\(|self\._warn\()\s*"([a-z-]+)"', path.read_text(encoding="utf-8")
        )
    }
    assert len(codes) >= 25
    entries = set(re.findall(r"`([a-z-]+)`", PAGE[PAGE.index("| finding |") :]))
    assert codes <= entries, codes - entries

"""Tiny layouts for the check: three switches of the player's, more where a test adds it."""

from __future__ import annotations

from remapd.analysis.check import Report, check
from remapd.analysis.findings.finding import Finding, Weight
from tests.support.layouts import load_or_fail

_CONTROLS = """\
      a: {button: BTN_0}
      b: {button: BTN_1}
      c: {button: BTN_2}
"""


def layout_text(
    layers: str, *, controls: str = _CONTROLS, devices: str = "", before: str = ""
) -> str:
    """A whole layout: `layers` as they stand below `layers:`, the first of them the base.

    `controls` are those of the player's one box; `devices` come after it, `before` before all.
    """
    base = layers.strip().partition(":")[0]
    return (
        f"remapd: 1\nbase: {base}\n{before}devices:\n  box:\n    find: {{name: Box}}\n"
        f"    controls:\n{controls}{devices}layers:\n{layers}"
    )


def checked(
    layers: str, *, controls: str = _CONTROLS, devices: str = "", before: str = ""
) -> Report:
    """The report of such a layout."""
    text = layout_text(layers, controls=controls, devices=devices, before=before)
    return check(load_or_fail(text))


def found(report: Report, code: str) -> list[Finding]:
    """The findings of a kind."""
    return [each for each in report.findings if each.code == code]


def one(report: Report, code: str) -> Finding:
    """The only finding of a kind."""
    findings = found(report, code)
    assert len(findings) == 1, [f"{each.code}: {each.message}" for each in report.findings]
    return findings[0]


def way(report: Report, goal: int) -> str:
    """The shortest way to a goal in words."""
    best = report.proof.best(goal)
    assert best is not None
    return report.words.way(best.way)


__all__ = ["Weight", "checked", "found", "layout_text", "one", "way"]

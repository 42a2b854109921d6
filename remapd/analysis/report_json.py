"""A checked layout as plain data for tools; docs/check.md describes it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from remapd.analysis.check import Report
from remapd.analysis.reach.goals import GOAL_COUNT, goal_name
from remapd.analysis.reach.proof import Reached
from remapd.analysis.reach.rows import Row, rows_of_targets, ways_of
from remapd.analysis.reach.steps import Way
from remapd.analysis.reach.words import Words
from remapd.engine.pad_controls import TARGET_COUNT

JSON_VERSION = 1


def report_data(
    report: Report, file: str, places: Sequence[tuple[str, int, int] | None]
) -> dict[str, Any]:
    """The report of one layout; `places` are file, line and column of each finding."""
    proof, words = report.proof, report.words
    needed = {goal for need in proof.needs for goal in need.goals}
    return {
        "file": file,
        "title": proof.layout.title,
        "can-play": report.can_play,
        "complete": proof.complete,
        "needs": [
            {
                "word": need.word,
                "out-of-reach": [words.goal(goal) for goal in proof.out_of_reach(need)],
            }
            for need in proof.needs
        ],
        "controls": [
            _row(row, words, bool(needed & set(row.goals))) for row in rows_of_targets(proof, words)
        ],
        "by-degrees": [
            goal_name(goal) for goal in range(TARGET_COUNT, GOAL_COUNT) if proof.reached(goal)
        ],
        "findings": [
            {
                "code": finding.code,
                "weight": finding.weight.value,
                "message": finding.message,
                "remedies": list(finding.remedies),
                "place": None
                if place is None
                else {"file": place[0], "line": place[1], "column": place[2]},
                "source": finding.source or None,
            }
            for finding, place in zip(report.findings, places, strict=True)
        ],
    }


def _row(row: Row, words: Words, needed: bool) -> dict[str, Any]:
    return {
        "control": row.control,
        "word": row.word,
        "needed": needed,
        "by": [_reached(each, words) for each in row.reached],
    }


def _reached(reached: Reached, words: Words) -> dict[str, Any]:
    data: dict[str, Any] = {"who": reached.who.value, "one-at-a-time": None, "two-at-once": None}
    for name, way in ways_of(reached):
        data[name.replace(" ", "-")] = _way(way, words)
    return data


def _way(way: Way, words: Words) -> dict[str, Any]:
    return {
        "actions": way.actions,
        "people": len(way.people),
        "seconds": round(way.us / 1_000_000, 3),
        "way": words.way(way),
    }

"""A checked layout as text for a terminal of 80 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from typing import Final

from remapd.analysis.check import Report
from remapd.analysis.findings.finding import Finding
from remapd.analysis.reach.rows import Row, rows_of_everything, rows_of_needs
from remapd.analysis.reach.steps import Way

WIDTH: Final = 80
_LONGEST_NAME: Final = 22


def report_text(report: Report, heading: str, places: Sequence[str], *, everything: bool) -> str:
    """The whole report.

    Args:
        report: What the check found.
        heading: The first line: the file.
        places: Where each finding stands, in the order of the findings; empty where nowhere.
        everything: Every pad control instead of what the game needs.
    """
    proof, words = report.proof, report.words
    title = proof.layout.title
    parts = [heading if not title else f"{heading}: {title}", ""]
    if everything:
        parts += table(report, rows_of_everything(proof, words), "pad control")
    elif proof.needs:
        parts += table(report, rows_of_needs(proof, words), "the game needs")
    else:
        parts += table(report, rows_of_everything(proof, words, reached_only=True), "reached")
        parts += _paragraph(
            "The file does not say what the game needs: list it under `needs:`, and this check is "
            "made against the game."
        )
    parts += ["", *_paragraph(verdict(report))]
    for finding, place in zip(report.findings, places, strict=True):
        parts += ["", *_finding(finding, place)]
    return "\n".join(parts)


def table(report: Report, rows: Iterable[Row], title: str) -> list[str]:
    """By whom each pad control is reached, with how many actions, how many at once, and how."""
    cells: list[tuple[str, str, str, str, str]] = []
    for row in rows:
        name = row.word if row.word == row.control else f"{row.word} ({row.control})"
        if len(name) > _LONGEST_NAME:
            name = row.word
        best = row.best
        if best is None:
            cells.append((name, "nobody", "", "", "nothing reaches it"))
            continue
        way = best.way
        cells.append((name, row.who, str(way.actions), at_once(way), report.words.way(way)))
    if not cells:
        return ["Nothing is reached."]
    heads = (title, "by", "actions", "at once", "shortest way")
    widths = [max(len(row[n]) for row in (heads, *cells)) for n in range(4)]
    left = sum(widths) + 8
    lines = [_line(heads, widths)]
    for row_cells in cells:
        wrapped = _wrapped(row_cells[4], max(20, WIDTH - left))
        lines.append(_line((*row_cells[:4], wrapped[0]), widths))
        lines += [" " * left + text for text in wrapped[1:]]
    return lines


def at_once(way: Way) -> str:
    """How many controls have to be pressed at the same time, and by whom."""
    if way.at_once > 1:
        return "two"
    return "one each" if way.both else "one"


def _line(cells: tuple[str, ...], widths: list[int]) -> str:
    name, who, actions, together, way = cells
    return (
        f"{name:<{widths[0]}}  {who:<{widths[1]}}  {actions:>{widths[2]}}  "
        f"{together:<{widths[3]}}  {way}"
    ).rstrip()


def verdict(report: Report) -> str:
    """The result in one sentence."""
    proof = report.proof
    if not proof.needs:
        return "Nothing can be said about the game."
    missing = [need for need in proof.needs if proof.out_of_reach(need)]
    if missing:
        names = ", ".join(f"`{need.word}`" for need in missing)
        return f"OUT OF REACH: {names} ({len(missing)} of {len(proof.needs)} that the game needs)."
    if not report.can_play:
        return (
            "Everything that the game needs is within reach at first, but can be LOST on the way."
        )
    hard = [
        need
        for need in proof.needs
        if not all(any(each.single for each in proof.reached(goal)) for goal in need.goals)
    ]
    if hard:
        names = ", ".join(f"`{need.word}`" for need in hard)
        return f"Everything that the game needs is within reach; two at once for {names}."
    return "Everything that the game needs is within reach, one control at a time."


def _finding(finding: Finding, place: str) -> list[str]:
    head = f"{finding.weight.value}: {finding.message} [{finding.code}]"
    lines = _wrapped(head, WIDTH, after="  ")
    if place:
        lines.append(f"  at {place}")
    for remedy in finding.remedies:
        lines += _wrapped(f"  - {remedy}", WIDTH, after="    ")
    if finding.source:
        lines += _wrapped(f"  source: {finding.source}", WIDTH, after="  ")
    return lines


def _paragraph(text: str) -> list[str]:
    return _wrapped(text, WIDTH)


def _wrapped(text: str, width: int, *, after: str = "") -> list[str]:
    """Lines of that width, those after the first moved in; names are never broken."""
    return textwrap.wrap(
        text, width, subsequent_indent=after, break_long_words=False, break_on_hyphens=False
    )

"""What a check of the system comes to: sentences, each with what mends it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from typing import Any


class Verdict(Enum):
    """How bad it is; the values are words for programs."""

    WELL = "well"
    NOTE = "note"  #: play goes on, but a person should know
    MEND = "mend"  #: it stops play, or will


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was looked at. `remedy` is a line to type or to do; '' for none."""

    subject: str
    verdict: Verdict
    sentence: str
    remedy: str = ""


_MARKS = {Verdict.WELL: "ok  ", Verdict.NOTE: "note", Verdict.MEND: "MEND"}


def lines(findings: Iterable[Finding]) -> list[str]:
    """For a terminal: what is to be mended is marked by a word, never by a colour."""
    result = []
    for each in findings:
        result.append(f"{_MARKS[each.verdict]}  {each.subject}: {each.sentence}")
        if each.remedy:
            result.append(f"      {each.remedy}")
    return result


def summary(findings: Iterable[Finding]) -> str:
    """The last line."""
    to_mend = sum(each.verdict is Verdict.MEND for each in findings)
    if not to_mend:
        return "All is well."
    return f"{to_mend} {'thing' if to_mend == 1 else 'things'} to mend; begin with the first."


def data(findings: Iterable[Finding]) -> dict[str, Any]:
    """For programs."""
    every = list(findings)
    return {
        "well": is_well(every),
        "findings": [
            {
                "subject": each.subject,
                "verdict": each.verdict.value,
                "sentence": each.sentence,
                "remedy": each.remedy,
            }
            for each in every
        ],
    }


def is_well(findings: Iterable[Finding]) -> bool:
    """Whether nothing is to be mended."""
    return all(each.verdict is not Verdict.MEND for each in findings)

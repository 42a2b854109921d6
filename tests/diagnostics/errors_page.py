"""docs/errors.md: every message as it appears, from the registry and the cases."""

from __future__ import annotations

from remapd.language.messages import REGISTRY, SECTIONS, Message
from tests.diagnostics.case_files import Case, made_cases, without_expectations, written_cases

_HEAD = """\
# What can be wrong in a layout

GENERATED from the registry of messages and the cases in tests/diagnostics, which test them
(`python -m tests.generate_language_pages`). A message begins with the file, the line and the
column; the line follows, with a mark below the place, and then what to do. All faults of a file are
shown at once. While a layout is in use, a file with an error changes nothing: the old layout stays.
"""


def errors_page() -> str:
    """The whole page, as Markdown."""
    cases = [*written_cases(), *made_cases()]
    parts = [_HEAD]
    for heading, codes in SECTIONS.items():
        parts.append(f"## {heading}\n")
        parts += [_entry(REGISTRY[code], cases) for code in codes]
    return "\n".join(parts)


def _entry(message: Message, cases: list[Case]) -> str:
    lines = [f"### {message.code}\n"]
    if message.about:
        lines.append(f"{message.about}\n")
    shown = _shown(message, cases)
    if shown:
        lines.append(f"```text\n{shown}\n```\n")
    else:
        lines.append(f"Shown as: {message.text}\n")
    return "\n".join(lines)


def _shown(message: Message, cases: list[Case]) -> str:
    """The message where it is shown best: in the case of its own name, else in the first."""
    for case in sorted(cases, key=lambda each: each.name != message.code):
        for diagnostic in case.diagnostics:
            if diagnostic.code == message.code:
                return without_expectations(case.shown(diagnostic))
    return ""

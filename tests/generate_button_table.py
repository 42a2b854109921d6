"""Writes docs/button-table.md from the tables of remapd/engine/button_table.py.

python -m tests.generate_button_table > docs/button-table.md
"""

from __future__ import annotations

import inspect
import re
import sys

from remapd.engine import button_table
from remapd.engine.button_table import (
    CONTACT_TABLE,
    PRESS_TABLE,
    Act,
    Contact,
    ContactAct,
    ContactEvent,
    ContactRow,
    Event,
    Row,
    State,
)

HEAD = """\
# What a button does

GENERATED from remapd/engine/button_table.py by tests/generate_button_table.py: do not edit it.

In the tables, a dash stands where a state and an event cannot meet.
"""


def plain(name: str) -> str:
    """`GAP_PRESSED` as it reads in a text: `gap, pressed`."""
    return name.lower().replace("_", " ")


def rows_as_markdown(rows: tuple[ContactRow, ...] | tuple[Row, ...]) -> list[str]:
    """One table of state, event, next state, acts and why."""
    lines = ["| state | event | next state | does | why |", "|---|---|---|---|---|"]
    for state, event, next_state, acts, why in rows:
        target = "—" if next_state is None else plain(next_state.name)
        does = ", ".join(plain(act.name or "") for act in acts)
        lines.append(f"| {plain(state.name)} | {plain(event.name)} | {target} | {does} | {why} |")
    return lines


def diagram(rows: tuple[ContactRow, ...] | tuple[Row, ...]) -> list[str]:
    """The possible rows as a Mermaid state diagram."""
    lines = ["```mermaid", "stateDiagram-v2"]
    for state, event, next_state, _, _ in rows:
        if next_state is not None:
            lines.append(f"    {state.name} --> {next_state.name}: {plain(event.name)}")
    return [*lines, "```"]


def names_with_comments(
    kind: type[Contact | ContactEvent | ContactAct | State | Event | Act],
) -> list[str]:
    """What each name of an enumeration means: the comment that stands behind it in the source."""
    source = inspect.getsource(kind)
    meanings = re.findall(r"^    ([A-Z_]+) = \d+  # (.+)$", source, re.MULTILINE)
    return [f"- **{plain(name)}**: {meaning}" for name, meaning in meanings]


def generate() -> str:
    """The whole page."""
    prose, pictures = (button_table.__doc__ or "").split("\n\n1.  ", 1)
    prose = prose.split("\n\n", 1)[1]
    return "\n".join(
        [
            HEAD,
            prose,
            "",
            "```text",
            "1.  " + pictures.rstrip(),
            "```",
            "",
            "## The contact",
            "",
            *names_with_comments(Contact),
            "",
            *rows_as_markdown(CONTACT_TABLE),
            "",
            *diagram(CONTACT_TABLE),
            "",
            "## The press",
            "",
            *names_with_comments(State),
            "",
            *rows_as_markdown(PRESS_TABLE),
            "",
            *diagram(PRESS_TABLE),
            "",
        ]
    )


if __name__ == "__main__":
    sys.stdout.write(generate())

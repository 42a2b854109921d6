"""The schema as a page: every setting with its values, its default and what it is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from remapd.language import kinds
from remapd.language.describe import describe
from remapd.language.kinds import Either, Field, Group
from remapd.language.names import pad_control_words
from remapd.language.scalars import Family
from remapd.language.schema import (
    CONTROL_GROUPS,
    DEVICE,
    FIND,
    LAYOUT,
    MERGE_RULES,
    PAD,
    RULE_GROUP,
    TUNABLE,
)
from remapd.language.schema_actions import ACTIONS, SEND, WAIT
from remapd.language.schema_cues import CUE, EVENTS
from remapd.language.schema_settings import STEADY

_HEAD = """\
# Reference of the layout language

GENERATED from the schema that checks layout files (`python -m tests.generate_language_pages`).
How the settings work together is in [layout-language.md](layout-language.md); what can be wrong,
with the messages as they appear, in [errors.md](errors.md).
[layout.schema.json](layout.schema.json) is the same for editors.
"""

_NAMES = """\
Names are small letters `a-z`, digits and hyphens, beginning with a letter. A control is named alone
where its name is unique in the file, else as `device.control`; a direction of a stick or pointer as
`control.up`, an end of a lever as `control.high` or by the name given in `ends`. Only `true` and
`false` are booleans.
"""


def reference_page() -> str:
    """The whole page, as Markdown."""
    parts = [
        _HEAD,
        "## Values\n",
        _table(
            ("kind", "written"),
            (
                (each.called, " or ".join(f"`{example}`" for example in each.examples))
                for each in Family
            ),
        ),
        _NAMES,
        _settings("## The file", LAYOUT.fields),
        _settings("## A device", DEVICE.fields),
        _settings("### `find`", FIND.fields),
        "## Controls\n",
        *(_settings(f"### {_title(g.called)}", g.fields) for g in CONTROL_GROUPS.values()),
        _steady(),
        "## What can be pressed or moved on the pad\n",
        ", ".join(f"`{word}`" for word in pad_control_words())
        + ", and the directions `left-stick.up`, `.down`, `.left`, `.right` and those of "
        "`right-stick`. `dpad` is the four directions taken as one stick.\n",
        "## Actions\n",
        "A word alone presses that pad control or verb as long as the control is pressed. "
        "`nothing` blocks the control in its layer; `same`, for a whole device, binds each of its "
        "controls to the pad control of the same name.\n",
        *(_settings(f"### `{name}`", group.fields) for name, group in ACTIONS.items()),
        _settings("### `wait`, among `steps`", WAIT.fields),
        _settings("### `send`, for a whole stick or pointer", SEND.fields),
        "## Merging people\n",
        "Keys of `merge`: `buttons`, `sticks`, `dpad`, and single pad controls or verbs; the "
        "narrowest counts. A rule is a word, or a group:\n",
        _table(("rule", "what it does"), ((f"`{w}`", about) for w, about in MERGE_RULES.items())),
        _settings("", RULE_GROUP.fields),
        "## Tunings\n",
        "A tuning may change, for each control, those of these settings that its kind has: "
        + ", ".join(f"`{each.name}`" for each in TUNABLE.fields)
        + ".\n",
        "## Cues\n",
        "Each cue belongs to a layer (it is played when that comes on) or to one of the events "
        "below, and is settings or `nothing`; [cues.md](cues.md) tells more.\n",
        _settings("", CUE.fields),
        _table(
            ("event", "when", "cue unless written"),
            (
                (f"`{name}`", event.about, _default_cue(event.default))
                for name, event in EVENTS.items()
            ),
        ),
        _settings("## The pad", PAD.fields),
        *(
            _settings(f"### `{each.name}`", each.kind.fields)
            for each in PAD.fields
            if isinstance(each.kind, Group)
        ),
    ]
    return "\n".join(part for part in parts if part)


def _title(called: str) -> str:
    return called[0].upper() + called[1:]


def _steady() -> str:
    if not isinstance(STEADY.kind, Either) or not isinstance(STEADY.kind.group, Group):
        return ""
    return _settings("### `steady`", STEADY.kind.group.fields)


def _settings(heading: str, fields: Iterable[Field]) -> str:
    rows = (
        (
            f"`{each.name}`",
            describe(each.kind),
            "(must be written)" if each.required else _default(each),
            each.about + (f"; goes with `{': '.join(each.goes_with)}`" if each.goes_with else ""),
        )
        for each in fields
    )
    table = _table(("setting", "value", "unless written", "what it is"), rows)
    return f"{heading}\n\n{table}" if heading else table


def _default_cue(cue: Mapping[str, Any]) -> str:
    words = {"after_us": "after"}
    written = [
        f"{words.get(key, key)}: "
        + (f"{value // 1_000_000}s" if key == "after_us" else value).replace("{name}", "…")
        for key, value in cue.items()
    ]
    return f"`{', '.join(written)}`" if written else "—"


def _default(field: Field) -> str:
    text = field.default
    words = field.kind.choices if isinstance(field.kind, kinds.Word) else ("true", "false")
    return f"`{text}`" if text in words or text[:1] in tuple("[0123456789") else text or "—"


def _table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    lines = [" | ".join(head), " | ".join("---" for _ in head)]
    lines += [" | ".join(cell.replace("|", "\\|") for cell in row) for row in rows]
    return "\n".join(f"| {line} |" for line in lines) + "\n"

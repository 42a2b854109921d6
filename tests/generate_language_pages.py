"""Writes the pages of the layout language that are made from its schema, messages and cases.

    python -m tests.generate_language_pages

docs/layout.schema.json, docs/trials.schema.json and docs/layout-reference.md come from the schemas
alone, docs/errors.md from the registry of messages and the cases in tests/diagnostics, each message
as it appears.
"""

from __future__ import annotations

from pathlib import Path

from remapd.language.json_schema import json_schema, schema_text, trials_json_schema
from remapd.language.reference import reference_page
from tests.diagnostics.errors_page import errors_page

CHECKOUT = Path(__file__).resolve().parent.parent


def pages() -> dict[str, str]:
    """The text of each page, by its path from the checkout."""
    return {
        "docs/layout.schema.json": schema_text(json_schema()),
        "docs/trials.schema.json": schema_text(trials_json_schema()),
        "docs/layout-reference.md": reference_page(),
        "docs/errors.md": errors_page(),
    }


if __name__ == "__main__":
    for path, text in pages().items():
        (CHECKOUT / path).write_text(text, encoding="utf-8")

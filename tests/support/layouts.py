"""Layouts for tests, loaded from text."""

from __future__ import annotations

import pytest

from remapd.engine.layout import Layout
from remapd.language import load_text


def load_or_fail(text: str) -> Layout:
    """The built layout of a text; the test fails with the errors where it has any."""
    loaded = load_text(text)
    if loaded.layout is None:
        pytest.fail("\n".join(str(diagnostic) for diagnostic in loaded.diagnostics), pytrace=False)
    return loaded.layout

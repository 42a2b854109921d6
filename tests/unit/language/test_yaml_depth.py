"""Brackets without end are told in our words, however deep the parser itself goes."""

from __future__ import annotations

import pytest

from remapd.language import load_text


@pytest.mark.parametrize("depth", [30, 5000])
def test_too_many_parts_inside_each_other(depth: int) -> None:
    loaded = load_text("remapd: 1\nx: " + "[" * depth + "\n", "deep.yaml")

    assert [each.code for each in loaded.errors] == ["too-deep"]

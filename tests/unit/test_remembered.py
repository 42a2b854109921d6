"""What is remembered comes back; a damaged memory is an empty one."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.remembered import (
    Memory,
    MovedPlug,
    path_of,
    recall,
    remember_choice,
    remember_plugs,
)


@pytest.fixture(autouse=True)
def _state(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    monkeypatch.delenv("STATE_DIRECTORY", raising=False)


def test_nothing_is_remembered_at_first() -> None:
    assert recall("main") == Memory()


def test_each_daemon_and_each_start_has_a_choice_of_its_own() -> None:
    remember_choice("main", "/layouts", "/layouts/gull.yaml")
    remember_choice("main", "/x/harbour.yaml", "/x/quayside.yaml")
    remember_choice("main", "/layouts", "/layouts/harbour.yaml")
    remember_choice("second", "/layouts", "/layouts/gull.yaml")
    assert recall("main").chosen == {
        "/layouts": "/layouts/harbour.yaml",
        "/x/harbour.yaml": "/x/quayside.yaml",
    }
    assert recall("second").chosen == {"/layouts": "/layouts/gull.yaml"}


def test_plugs_are_remembered_beside_choices() -> None:
    remember_choice("main", "/l", "/l/gull.yaml")
    remember_plugs("main", {"left-box": MovedPlug("usb-1*", "usb-7/input0")})
    remember_choice("main", "/l", "/l/harbour.yaml")
    assert recall("main") == Memory(
        {"/l": "/l/harbour.yaml"}, {"left-box": MovedPlug("usb-1*", "usb-7/input0")}
    )
    remember_plugs("main", {})
    assert recall("main") == Memory({"/l": "/l/harbour.yaml"})


def test_a_layout_whose_name_is_no_utf8_is_remembered() -> None:
    path = os.fsdecode(b"/l/g\xfcll.yaml")
    remember_choice("main", "/l", path)
    assert recall("main").chosen == {"/l": path}


def test_a_memory_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "remapd").write_text("a file where the folder should be")
    with pytest.raises(OSError, match="remapd"):
        remember_choice("main", "/l", "/l/gull.yaml")


_json = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["chosen", "plugs", "said", "is", "x"]), inner, max_size=4
        )
    ),
)


@given(_json.map(lambda data: json.dumps(data).encode()) | st.binary())
def test_any_content_is_a_memory(content: bytes) -> None:
    path = path_of("any")
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    memory = recall("any")
    assert all(isinstance(each, str) for each in memory.chosen.values())
    remember_choice("any", "/l", "/l/gull.yaml")
    assert recall("any").chosen["/l"] == "/l/gull.yaml"

"""The published JSON Schemas accept every valid file, and find the common slips.

The reference is the jsonschema package (draft-07), over values as YAML 1.2's core schema reads them
(https://yaml.org/spec/1.2.2/, section 10.3), which is what editors do.
"""

import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft7Validator  # type: ignore[import-untyped]

from remapd.language import load_text
from remapd.language.json_schema import json_schema, trials_json_schema
from remapd.language.nodes import ListNode, MappingNode, Node
from remapd.language.reporter import Reporter
from remapd.language.text import SourceText
from remapd.language.yaml_subset import read_nodes
from tests.diagnostics.case_files import FOLDER
from tests.support.layout_texts import Tree, as_yaml, layout_trees
from tests.unit.language.test_any_input import HARBOUR, TOKENS

SCHEMA = json_schema()
VALIDATOR = Draft7Validator(SCHEMA)
TRIALS_VALIDATOR = Draft7Validator(trials_json_schema())
SHIPPED = sorted(
    path
    for path in (Path(__file__).parents[3] / "layouts").rglob("*.yaml")
    if ".trials." not in path.name
)
SHIPPED_TRIALS = sorted((Path(__file__).parents[3] / "layouts").rglob("*.trials.yaml"))


def json_of(text: str) -> Any:
    root, _ = read_nodes(SourceText("layout", text), Reporter())
    assert root is not None
    return _json(root)


def _json(node: Node) -> Any:
    if isinstance(node, MappingNode):
        return {key.text: _json(value) for key, value in node.entries}
    if isinstance(node, ListNode):
        return [_json(item) for item in node.items]
    text = node.text
    if not node.plain:
        return text
    if text in ("", "~", "null", "Null", "NULL"):
        return None
    if text in ("true", "True", "TRUE", "false", "False", "FALSE"):
        return text.lower() == "true"
    if re.fullmatch(r"[-+]?[0-9]+", text):
        return int(text)
    if re.fullmatch(r"0x[0-9a-fA-F]+", text):
        return int(text, 16)
    if re.fullmatch(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?", text):
        return float(text)
    return text


def test_it_is_a_schema_of_draft_07() -> None:
    Draft7Validator.check_schema(SCHEMA)


@settings(max_examples=25)  # the reference takes its time
@given(layout_trees)
def test_it_accepts_every_layout_of_the_right_shape(tree: Tree) -> None:
    errors = list(VALIDATOR.iter_errors(json_of(as_yaml(tree))))

    assert errors == []


@given(st.data())
def test_it_accepts_what_is_read_without_an_error(data: st.DataObject) -> None:
    parts = re.split(r"([\w.%/*-]+)", HARBOUR)
    at = data.draw(st.integers(0, len(parts) - 1))
    parts[at] = data.draw(st.sampled_from(["", *TOKENS, "true", "12", "0x1209", "1.5", "40ms"]))
    text = "".join(parts)

    if load_text(text).layout is not None:
        assert list(VALIDATOR.iter_errors(json_of(text))) == []


@pytest.mark.parametrize("path", SHIPPED, ids=[path.stem for path in SHIPPED])
def test_it_accepts_the_shipped_layouts(path: Path) -> None:
    assert list(VALIDATOR.iter_errors(json_of(path.read_text(encoding="utf-8")))) == []


@pytest.mark.parametrize(
    "name", ["shape", "counts", "values", "devices", "actions", "half-written"]
)
def test_it_finds_what_is_wrong_in_shape(name: str) -> None:
    text = (FOLDER / f"{name}.yaml").read_text(encoding="utf-8")

    assert not VALIDATOR.is_valid(json_of(text))


def test_every_setting_says_what_it_is() -> None:
    def settings_in(schema: Any) -> list[Any]:
        if isinstance(schema, list):
            return [each for part in schema for each in settings_in(part)]
        if not isinstance(schema, dict):
            return []
        own = list(schema.get("properties", {}).values())
        return own + [each for part in schema.values() for each in settings_in(part)]

    found = settings_in(SCHEMA)

    assert len(found) > 100
    assert [each for each in found if not each.get("description")] == []


@pytest.mark.parametrize("path", SHIPPED_TRIALS, ids=lambda path: path.name)
def test_shipped_trials_are_accepted_and_tell_editors_why(path: Path) -> None:
    text = path.read_text()
    errors = list(TRIALS_VALIDATOR.iter_errors(json_of(text)))
    assert not errors, errors[0]
    assert text.startswith("# yaml-language-server: $schema=../docs/trials.schema.json\n\n")


TRIAL = """\
trials:
  - name: all there is
    input:
      - {at: 0ms, press: left-knee, for: 120ms}
      - {at: 1s, release: left-knee}
      - {at: 1s, move: pedal, to: -40%}
      - {at: 900ms, move: roll, to: [100%, 0%], for: 300ms}
      - {at: 900ms, turn: roll, to: [100%, 0%], for: 300ms}
      - {at: 900ms, count: roll, by: [5, -3]}
      - {at: 2s, unplug: knees}
      - {at: 3s, plug: knees}
    expect:
      - {at: 580ms, press: start, within: 2ms}
      - {at: 700ms, release: start}
      - {settles-by: 1.5s, move: steer, to: [100%, 0%], give: 2%}
    only: [start, steer]
    never: [south]
    ends: held
"""


def test_a_trial_with_all_there_is_is_accepted() -> None:
    assert not list(TRIALS_VALIDATOR.iter_errors(json_of(TRIAL)))


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("press: left-knee", "pres: left-knee"),
        ("press: left-knee", "press: left-knee, release: left-knee"),
        ("at: 1s, release: left-knee", "at: 1s"),
        ("at: 1s, release", "at: 1, release"),
        ("to: -40%", "to: -0.4"),
        (", to: -40%", ""),
        (
            "to: [100%, 0%], for: 300ms}\n      - {at: 900ms, count",
            "to: [100%]}\n      - {at: 900ms, count",
        ),
        (", by: [5, -3]", ""),
        ("ends: held", "ends: pressed"),
        ("name: all there is", "title: all there is"),
        ("only: [start, steer]", "only: [start, start]"),
    ],
)
def test_slips_in_trials_are_found(right: str, wrong: str) -> None:
    assert right in TRIAL
    assert list(TRIALS_VALIDATOR.iter_errors(json_of(TRIAL.replace(right, wrong, 1))))

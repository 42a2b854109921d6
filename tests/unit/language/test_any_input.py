"""Whatever a file holds, it gives a layout, or errors whose places are in the file; never more."""

import pickle
import re
from itertools import pairwise

from hypothesis import example, given
from hypothesis import strategies as st

from remapd.engine.layout import Layout
from remapd.language import Loaded, load_text, render
from tests.support.layout_texts import Tree, as_yaml, layout_trees

HARBOUR = """\
remapd: 1
title: Harbour
verbs: {hoist: south, steer: left-stick}
needs: [hoist, steer]
base: sail
devices:
  desk:
    find: {name: "Switch *", vendor: 0x1209}
    controls:
      left: {button: BTN_0, acceptance-delay: 80ms}
      roll: {pointer: [REL_X, REL_Y], full-speed: 600/s}
      breath: {lever: ABS_Z, ends: [still, sip]}
  pad: {person: helper, find: {shape: gamepad}, controls: gamepad}
layers:
  sail:
    left: {short: hoist, long: {layer: net, how: toggle}, after: 900ms}
    roll: steer
    pad: same
    left + breath.sip: {together: [south, east]}
  net: {roll: {send: right-stick, gain: 60%}, left: {turbo: hoist, rate: 4/s}}
merge: {hoist: player-only, left-stick: {rule: player-first, after-player: 600ms}}
tunings: {tired: {left: {acceptance-delay: 50ms}}}
"""
TOKENS = sorted(set(re.findall(r"[\w.%/*-]+|[^\w\s]|\n *| +", HARBOUR)))
UNUSUAL = [
    "\t",
    "\u00a0",
    "“",
    "&x",
    "*x",
    "!x",
    "---\n",
    "null",
    "~",
    "on",
    "012",
    "\x00",
    "#",
    '"',
]


def check(loaded: Loaded) -> None:
    assert (loaded.layout is None) == any(each.is_error for each in loaded.diagnostics)
    for each in loaded.diagnostics:
        assert render(each)
        text = loaded.texts.get(each.span.file, "")
        lines = re.split(r"\r\n|\n|\r", text)
        assert 1 <= each.span.line <= len(lines)
        assert 1 <= each.span.column <= len(lines[each.span.line - 1]) + 1
        assert (each.span.line, each.span.column) <= (each.span.end_line, each.span.end_column)
        assert each.source_line in ("", lines[each.span.line - 1])
    assert pickle.loads(pickle.dumps(loaded)) == loaded  # noqa: S301 - our own bytes


@given(st.binary(max_size=200))
@example(b"")
@example(b"\xff\xfe\x00")
@example(b"\xed\xa0\x80: 1")
def test_any_bytes(content: bytes) -> None:
    check(load_text(content))


@given(st.text(max_size=200))
@example("remapd: 1\n\u2028")
@example("\ud800")
def test_any_text(text: str) -> None:
    check(load_text(text))


@given(st.lists(st.sampled_from([*TOKENS, *UNUSUAL]), max_size=40))
def test_any_words_of_a_layout(tokens: list[str]) -> None:
    check(load_text("".join(tokens)))


@given(st.data())
def test_a_layout_with_a_part_replaced(data: st.DataObject) -> None:
    parts = re.split(r"([\w.%/*-]+)", HARBOUR)
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(parts) - 1))
        parts[at] = data.draw(st.sampled_from(["", *TOKENS, *UNUSUAL]))

    check(load_text("".join(parts)))


@given(st.integers(0, len(HARBOUR)))
def test_a_layout_that_is_half_written(length: int) -> None:
    check(load_text(HARBOUR[:length]))


@given(layout_trees)
def test_any_layout_of_the_right_shape(tree: Tree) -> None:
    loaded = load_text(as_yaml(tree))

    check(loaded)
    if loaded.layout is not None:
        check_numbers(loaded.layout)


def test_the_layout_that_is_taken_apart_above_is_whole() -> None:
    loaded = load_text(HARBOUR)

    assert loaded.diagnostics == []
    assert loaded.layout is not None
    check_numbers(loaded.layout)


def check_numbers(layout: Layout) -> None:
    """Buttons are numbered in the order of the file, each by exactly one control."""
    numbers = []
    for control in layout.controls:
        numbers += [control.button] if hasattr(control, "button") else [*control.buttons]
    assert numbers == list(range(len(layout.buttons)))
    owners = [button.control for button in layout.buttons]
    assert all(first <= second for first, second in pairwise(owners))
    for layer in layout.layers:
        assert set(layer.bindings) <= set(numbers)
        for number in layer.wholes:
            control = layout.controls[number]
            parts = set(getattr(control, "buttons", ()))
            assert not parts & set(layer.bindings), "a whole and one of its parts"

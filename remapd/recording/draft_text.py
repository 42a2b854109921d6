"""A drafted trial as a file of trials, to be read and changed by a person."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Final

from remapd.engine.layout import Layout, LeverControl
from remapd.engine.pad_controls import STICK_NAMES
from remapd.recording.draft import Draft
from remapd.trial import Expectation, Input, InputKind, Trial

_WIDTH: Final = 96

_READ_IT: Final = (
    "`expect` is what the layout makes of `input` now, whether that is right or not. Read it, take "
    "out what does not matter, and say in `name` what it shows."
)
_SIMPLIFIED: Final = (
    "Sticks and levers are simplified to steps of {:.0%}: what lasts less than 40 ms is left out, "
    "and the dead zone is rest. Pointers are simplified to turns of one speed each."
)
_NOT_SIMPLIFIED: Final = (
    "Sticks, levers and pointers are written sample by sample: simplified, they would have made "
    "the pad press something else."
)


def draft_text(draft: Draft, layout: Layout, made_from: str, layout_name: str) -> str:
    """The text of the file; `made_from` is the recording's name."""
    lines = _comment(f"Drafted from the recording {made_from} with {layout_name}.")
    for paragraph in (_READ_IT, *_how(draft), *draft.notes):
        lines += ["#", *_comment(paragraph)]
    lines += ["trials:", *trial_lines(draft.trial, layout, draft.marks)]
    return "\n".join(lines) + "\n"


def trial_lines(trial: Trial, layout: Layout, marks: Sequence[tuple[int, str]] = ()) -> list[str]:
    """One trial as it stands under `trials:`; `marks` are remarks by their time in microseconds."""
    one_way = {each.name for each in layout.controls if isinstance(each, LeverControl)}
    lines = [f"  - name: {json.dumps(trial.name, ensure_ascii=False)}"]
    if trial.ends_held:
        lines.append("    ends: held # something is still pressed or moved at the end")
    lines.append("    input:")
    left = list(marks)
    for each in trial.inputs:
        while left and left[0][0] <= each.at_us:
            lines += _mark(*left.pop(0))
        lines.append(f"      - {{{', '.join(_input_parts(each, one_way))}}}")
    for mark in left:
        lines += _mark(*mark)
    if not trial.expect:
        lines.append("    expect: [] # nothing comes out")
    else:
        lines.append("    expect:")
        lines += [f"      - {{{', '.join(_expect_parts(each))}}}" for each in trial.expect]
    return lines


def _how(draft: Draft) -> list[str]:
    moves = {InputKind.MOVE, InputKind.TURN, InputKind.COUNT}
    if not any(each.kind in moves for each in draft.trial.inputs):
        return []
    return [_SIMPLIFIED.format(draft.grain.step) if draft.grain.step else _NOT_SIMPLIFIED]


def _input_parts(each: Input, one_way: set[str]) -> list[str]:
    parts = [f"at: {duration(each.at_us)}", f"{each.kind.value}: {each.name}"]
    if each.kind in {InputKind.MOVE, InputKind.TURN}:
        parts.append(f"to: {_place(each.to, one=each.name in one_way)}")
    elif each.kind is InputKind.COUNT:
        parts.append(f"by: [{each.to[0]:g}, {each.to[1]:g}]")
    if each.for_us is not None:
        parts.append(f"for: {duration(each.for_us)}")
    return parts


def _expect_parts(each: Expectation) -> list[str]:
    when = "settles-by" if each.settles else "at"
    parts = [f"{when}: {duration(each.at_us)}", f"{each.kind.value}: {each.written}"]
    if each.to is not None:
        parts.append(f"to: {_place(each.to, one=each.control not in STICK_NAMES)}")
    return parts


def duration(us: int) -> str:
    """`120ms`, `0.25ms`: as a layout writes it."""
    whole, part = divmod(us, 1_000)
    return f"{whole}.{part:03d}".rstrip("0") + "ms" if part else f"{whole}ms"


def _place(to: tuple[float, float], *, one: bool) -> str:
    texts = [f"{round(100 * share, 4) + 0.0:.4f}".rstrip("0").rstrip(".") + "%" for share in to]
    return texts[0] if one else f"[{', '.join(texts)}]"


def _mark(us: int, text: str) -> list[str]:
    first, *rest = _comment(f"{us / 1e6:.1f} s: {' '.join(text.split())}")
    return [f"      {line}" for line in (first, *rest)]


def _comment(text: str) -> list[str]:
    """The text as comment lines."""
    lines = ["#"]
    for word in "".join(c if c.isprintable() else "?" for c in text).split():
        if len(lines[-1]) + 1 + len(word) > _WIDTH and lines[-1] != "#":
            lines.append("#")
        lines[-1] += f" {word}"
    return lines

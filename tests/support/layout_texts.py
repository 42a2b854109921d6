"""Random layout files, made from the schema itself: of the right shape, names mostly meaningful."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from remapd import codes
from remapd.language import kinds
from remapd.language.kinds import Codes, Decided, Either, Group, Kind, ListOf, MapOf, Names
from remapd.language.names import DIRECTIONS, pad_control_words
from remapd.language.scalars import Family
from remapd.language.schema import DEVICE, LAYOUT, resolve

_CONTROLS = ["left-knee", "roll", "breath", "pad", "sail"]
_PARTS = [*DIRECTIONS, "low", "high"]
_LAYERS = ["sail", "net", "chart"]
_DOTTED = st.builds(
    "{}{}".format,
    st.sampled_from([*_CONTROLS, "desk.left-knee", "desk.roll"]),
    st.sampled_from(["", "", *(f".{part}" for part in _PARTS)]),
)
_WORDS = st.sampled_from([*pad_control_words(), "left-stick.up", "right-stick.left", "hoist"])
_NAMES = {
    Names.NEW: st.sampled_from([*_CONTROLS, *_LAYERS, "hoist", "tired", "on"]),
    Names.LAYER: st.sampled_from(_LAYERS),
    Names.TUNING: st.just("tired"),
    Names.CONTROL: st.sampled_from(_CONTROLS),
    Names.BUTTON: _DOTTED,
    Names.BINDING_KEY: _DOTTED | st.builds("{} + {}".format, _DOTTED, _DOTTED),
    Names.TARGET: _WORDS | st.sampled_from(["nothing", "same"]),
    Names.STICK: st.sampled_from(["left-stick", "right-stick", "dpad", "steer"]),
    Names.BUTTON_OR_STICK: _WORDS,
    Names.DEVICE: st.just("desk"),
    Names.CUED: st.sampled_from([*_LAYERS, "lasting", "break", "latch-on", "refused"]),
    Names.MERGED: st.sampled_from(["buttons", "sticks", "dpad"]) | _WORDS,
}
#: The unit written, and how many of it the bounds' unit has.
_UNITS = {
    Family.DURATION: ("ms", 1000),
    Family.STRETCH: ("s", 1),
    Family.SHARE: ("%", 100),
    Family.RATE: ("/s", 1),
    Family.ANGLE: ("deg", 1),
    Family.FREQUENCY: ("Hz", 1),
}
_TABLES = {Codes.KEY: codes.KEYS, Codes.AXIS: codes.AXES, Codes.RELATIVE: codes.RELS}
#: The parts of a tree are dicts, lists and the text of scalars as it stands in the file.
Tree = Any


def of_kind(kind: Kind, depth: int = 6) -> st.SearchStrategy[Tree]:
    """Trees of a kind."""
    kind = resolve(kind)
    match kind:
        case kinds.Text():
            return st.sampled_from(["Harbour", '"a: b"', "0012", "1:30", "yes", "'#'", "x.yaml"])
        case kinds.Word():
            return st.sampled_from(list(kind.choices))
        case kinds.Reference():
            return _NAMES[kind.names]
        case kinds.Flag():
            return st.sampled_from(["true", "false"])
        case kinds.FlagOrShare():
            return st.sampled_from(["true", "false", "40%"])
        case kinds.WholeNumber():
            if kind.among:
                return st.sampled_from([str(each) for each in kind.among])
            return st.integers(kind.minimum, kind.maximum).map(str)
        case kinds.Number():
            return st.decimals(str(kind.minimum), str(kind.maximum), places=2).map(str)
        case kinds.Quantity():
            return st.sampled_from([kind.minimum, kind.maximum, _middle(kind)])
        case kinds.Code():
            return st.sampled_from(list(_TABLES[kind.codes]))
        case kinds.ProductNumber():
            return st.integers(0, 0xFFFF).map("0x{:04x}".format)
        case kinds.FreeForm():
            return st.just({"roll": ["1", "2"]})
        case ListOf():
            most = kind.maximum or kind.minimum + 2
            return st.lists(
                of_kind(kind.item, depth - 1),
                min_size=kind.minimum,
                max_size=most,
                unique_by=repr if kind.without_repeats else None,
            )
        case Group():
            return _group(kind, depth)
        case MapOf():
            return st.dictionaries(
                _NAMES[kind.key],
                of_kind(kind.value, depth - 1),
                min_size=kind.minimum,
                max_size=kind.minimum + 2,
            )
        case Either():
            if depth <= 0:
                return of_kind(kind.single, depth)
            return of_kind(kind.single, depth) | of_kind(kind.group, depth)
        case Decided():
            groups = {group.fields[0].name: group for group in kind.groups.values()}
            return st.sampled_from(list(groups)).flatmap(lambda name: _group(groups[name], depth))
    raise TypeError(f"no strategy for {kind}")


def _middle(kind: kinds.Quantity) -> str:
    low, high = kinds.bounds_of(kind)
    unit, factor = _UNITS[kind.family]
    return f"{int((low + high) / 2 * factor)}{unit}"


def _group(group: Group, depth: int) -> st.SearchStrategy[Tree]:
    required = {f.name: of_kind(f.kind, depth - 1) for f in group.fields if f.required}
    optional = {f.name: of_kind(f.kind, depth - 1) for f in group.fields if not f.required}
    trees = st.fixed_dictionaries(required, optional=optional)
    return trees.filter(lambda tree: len(tree) >= group.minimum) if group.minimum else trees


#: Whole files; most have a few names that stand for nothing.
layout_trees: st.SearchStrategy[dict[str, Tree]] = st.builds(
    lambda devices, tree: {"remapd": "1", "devices": devices} | tree,
    of_kind(MapOf("devices", Names.NEW, DEVICE)),
    _group(LAYOUT, 6),
)


def as_yaml(tree: Tree) -> str:
    """A tree as the text of a file, each top-level name on a line of its own."""
    if not isinstance(tree, dict):
        return _flow(tree)
    return "".join(f"{name}: {_flow(value)}\n" for name, value in tree.items())


def _flow(tree: Tree) -> str:
    if isinstance(tree, dict):
        return "{" + ", ".join(f"{name}: {_flow(value)}" for name, value in tree.items()) + "}"
    if isinstance(tree, list):
        return "[" + ", ".join(_flow(each) for each in tree) + "]"
    return str(tree)

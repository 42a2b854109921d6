"""A kind of value in a few words, for the reference page and for messages."""

from __future__ import annotations

from remapd.language import kinds
from remapd.language.kinds import Decided, Either, Group, Kind, ListOf, MapOf, Names
from remapd.language.schema import resolve


def describe(kind: Kind) -> str:
    """A kind of value in a few words."""
    kind = resolve(kind)
    match kind:
        case kinds.Text():
            return "text"
        case kinds.Word():
            return " or ".join(f"`{word}`" for word in kind.choices)
        case kinds.Reference():
            return {Names.NEW: "a name"}.get(kind.names, kind.names.value)
        case kinds.Flag():
            return "`true` or `false`"
        case kinds.FlagOrShare():
            return "`true`, `false` or a share"
        case kinds.WholeNumber():
            if kind.among:
                return " or ".join(f"`{each}`" for each in kind.among)
            if kind.minimum == kind.maximum:
                return f"`{kind.minimum}`"
            return f"a whole number, {kind.minimum} to {kind.maximum}"
        case kinds.Number():
            return f"a number, {float(kind.minimum):g} to {float(kind.maximum):g}"
        case kinds.Quantity():
            return f"{kind.family.called}, `{kind.minimum}` to `{kind.maximum}`"
        case kinds.Code():
            return f"the code of {kind.codes.called}, such as {kind.codes.examples}"
        case kinds.ProductNumber():
            return "`0x` and up to four digits 0-9 a-f"
        case kinds.FreeForm():
            return "settings of its own"
        case ListOf():
            return f"a list: {describe(kind.item)}"
        case Group():
            return f"settings: {', '.join(f'`{each.name}`' for each in kind.fields)}"
        case MapOf():
            return f"by {kind.key.value}: {_inner(kind.value)}"
        case Either():
            return _either(kind)
        case Decided():
            return "an action" if len(kind.groups) > 4 else _deciders(kind)
    raise TypeError(f"no words for {kind}")


def _inner(kind: Kind) -> str:
    if isinstance(kind, Group):
        return f"settings of {kind.called}"
    if isinstance(kind, MapOf):
        return f"{kind.called}, by {kind.key.value}"
    return describe(kind)


def _either(kind: Either) -> str:
    group = resolve(kind.group)
    if isinstance(group, Decided):
        return "an action" if len(group.groups) > 4 else f"{describe(kind.single)}, or `together`"
    return f"{describe(kind.single)}, or {describe(group)}"


def _deciders(kind: Decided) -> str:
    return " or ".join(f"`{word}`" for word in kind.groups)

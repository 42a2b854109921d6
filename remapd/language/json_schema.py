"""The schemas as JSON Schema (draft-07), for editors that complete and check layouts and trials.

Each accepts every valid file; it cannot know what names stand for, so it accepts some others too.
Values are as YAML 1.2's core schema reads them, which is what editors do.
"""

from __future__ import annotations

import json
from typing import Any, Final

from remapd import codes
from remapd.language import kinds
from remapd.language.kinds import Codes, Decided, Field, Group, Kind, ListOf, MapOf, Named, Names
from remapd.language.names import pad_control_words
from remapd.language.scalars import Family
from remapd.language.schema import CONTROL_GROUPS, KINDS, LAYOUT, MERGE_GROUPS
from remapd.language.schema_actions import ACTIONS, SEND, WAIT
from remapd.language.schema_trials import EXPECT_VERBS, INPUT_VERBS, SHARE, TRIALS_FILE

Json = dict[str, Any]

_NAME = "[a-z][a-z0-9-]*"
_DOTTED = rf"{_NAME}(\.{_NAME}){{0,2}}"
_PATTERNS: Final = {
    Names.NEW: rf"^{_NAME}$",
    Names.LAYER: rf"^{_NAME}$",
    Names.TUNING: rf"^{_NAME}$",
    Names.CONTROL: rf"^{_DOTTED}$",
    Names.BUTTON: rf"^{_DOTTED}$",
    Names.BINDING_KEY: rf"^{_DOTTED}( *\+ *{_DOTTED})?$",
    Names.TARGET: rf"^{_DOTTED}$",
    Names.CUED: rf"^{_NAME}$",
    Names.DEVICE: rf"^{_NAME}$",
    Names.STICK: rf"^{_NAME}$",
    Names.BUTTON_OR_STICK: rf"^{_DOTTED}$",
    Names.MERGED: rf"^{_DOTTED}$",
}
#: Words that an editor can offer; all that fits the pattern is accepted beside them.
_OFFERED: Final = {
    Names.TARGET: ["nothing", *pad_control_words()],
    Names.STICK: ["left-stick", "right-stick", "dpad"],
    Names.BUTTON_OR_STICK: pad_control_words(),
    Names.MERGED: [*MERGE_GROUPS, *pad_control_words()],
}
_DECIMAL = r"(0|[1-9][0-9]{0,8})(\.[0-9]{1,9})?"
_TABLES: Final = {Codes.KEY: codes.KEYS, Codes.AXIS: codes.AXES, Codes.RELATIVE: codes.RELS}


def json_schema() -> Json:
    """That of a layout, as plain data."""
    definitions: Json = {name: _of(kind) for name, kind in KINDS.items()}
    definitions |= {family.name.lower(): _family(family) for family in Family}
    definitions |= {f"code-{each.name.lower()}": _code(each) for each in Codes}
    groups = ACTIONS | CONTROL_GROUPS | {"send": SEND, "wait": WAIT}
    definitions |= {f"group-{name}": _group(group) for name, group in groups.items()}
    return {
        "$schema": "http://json-schema.org/draft-07/schema#",
        "title": "A layout of remapd, version 1",
        **_group(LAYOUT),
        "anyOf": [{"required": ["devices"]}, {"required": ["include"]}],
        "definitions": definitions,
    }


def trials_json_schema() -> Json:
    """That of a file of trials."""
    schema = {
        "$schema": "http://json-schema.org/draft-07/schema#",
        "title": "Trials of a layout of remapd, version 1",
        **_group(TRIALS_FILE),
        "definitions": {
            family.name.lower(): _family(family) for family in (Family.DURATION, Family.SHARE)
        },
    }
    trial = schema["properties"]["trials"]["items"]["properties"]
    for part, verbs in (("input", INPUT_VERBS), ("expect", EXPECT_VERBS)):
        items = trial[part]["items"]
        place = _of(SHARE)
        items["properties"]["to"] = {
            "description": items["properties"]["to"]["description"],
            "anyOf": [place, {"type": "array", "items": place, "minItems": 2, "maxItems": 2}],
        }
        items["oneOf"] = [
            {"required": [verb, *(each.lower() for each in settings if each.isupper())]}
            for verb, settings in verbs.items()
        ]
    return schema


def schema_text(schema: Json) -> str:
    """A schema as the file that is published."""
    return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"


def _of(kind: Kind) -> Json:
    match kind:
        case kinds.Text():
            return {"type": ["string", "number", "boolean"]}
        case kinds.Word():
            return {
                "anyOf": [
                    {"const": word, "description": about} for word, about in kind.choices.items()
                ]
            }
        case kinds.Reference():
            return _reference(kind.names)
        case kinds.Flag():
            return {"type": "boolean"}
        case kinds.FlagOrShare():
            return {"anyOf": [{"type": "boolean"}, {"$ref": "#/definitions/share"}]}
        case kinds.WholeNumber():
            if kind.among:
                return {"enum": list(kind.among)}
            return {"type": "integer", "minimum": kind.minimum, "maximum": kind.maximum}
        case kinds.Number():
            return {
                "type": "number",
                "minimum": float(kind.minimum),
                "maximum": float(kind.maximum),
            }
        case kinds.Quantity():
            return {"$ref": f"#/definitions/{kind.family.name.lower()}"}
        case kinds.Code():
            return {"$ref": f"#/definitions/code-{kind.codes.name.lower()}"}
        case kinds.ProductNumber():
            return {
                "anyOf": [
                    {"type": "integer", "minimum": 0, "maximum": 0xFFFF},
                    {"type": "string", "pattern": "^0x[0-9a-fA-F]{1,4}$"},
                ]
            }
        case kinds.FreeForm():
            return {"type": "object"}
        case ListOf():
            return _list(kind)
        case Group():
            return _group(kind)
        case MapOf():
            return {
                "type": "object",
                "propertyNames": {"pattern": _PATTERNS[kind.key]},
                "additionalProperties": _of(kind.value),
                "minProperties": kind.minimum,
            }
        case kinds.Either():
            return {"anyOf": [_of(kind.single), _of(kind.group)]}
        case Decided():
            names = dict.fromkeys(group.fields[0].name for group in kind.groups.values())
            return {"anyOf": [{"$ref": f"#/definitions/group-{name}"} for name in names]}
        case Named():
            return {"$ref": f"#/definitions/{kind.name}"}


def _list(kind: ListOf) -> Json:
    schema: Json = {"type": "array", "items": _of(kind.item), "minItems": kind.minimum}
    if kind.maximum:
        schema["maxItems"] = kind.maximum
    if kind.without_repeats:
        schema["uniqueItems"] = True
    return schema


def _group(group: Group) -> Json:
    schema: Json = {
        "type": "object",
        "properties": {each.name: _field(each) for each in group.fields},
        "additionalProperties": False,
    }
    if group.minimum:
        schema["minProperties"] = group.minimum
    required = [each.name for each in group.fields if each.required]
    return schema | ({"required": required} if required else {})


def _field(field: Field) -> Json:
    unless = f"\n\nUnless written: {field.default}" if field.default else ""
    schema = _of(field.kind)
    if "$ref" in schema:  # draft-07 reads nothing beside a $ref
        schema = {"allOf": [schema]}
    return {"description": field.about + unless} | schema


def _reference(names: Names) -> Json:
    pattern: Json = {"type": "string", "pattern": _PATTERNS[names]}
    if names in _OFFERED:
        return {"anyOf": [{"enum": _OFFERED[names]}, pattern]}
    return pattern


def _family(family: Family) -> Json:
    units = "|".join(family.units)
    return {
        "type": "string",
        "pattern": f"^-?{_DECIMAL}({units})$",
        "examples": list(family.examples),
        "description": f"{family.called}, such as {' or '.join(family.examples)}",
    }


def _code(which: Codes) -> Json:
    prefix = which.prefixes[-1]
    return {
        "anyOf": [
            {"enum": list(_TABLES[which])},
            {"type": "string", "pattern": f"^{prefix}0x[0-9a-f]+$"},
        ],
        "description": f"{which.called}, by the kernel's name: {which.examples}",
    }

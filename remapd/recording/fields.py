"""Single fields of a recording's lines; each is checked, and RecordingError tells what is wrong."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Final

from remapd.recording.json_lines import JsonLines

INT32: Final = range(-(1 << 31), 1 << 31)
UINT16: Final = range(1 << 16)
DEVICE_NUMBERS: Final = range(1 << 31)


def integer(
    lines: JsonLines,
    fields: Mapping[str, object],
    key: str,
    allowed: range,
    default: int | None = None,
) -> int:
    """A whole number of a range."""
    value = fields.get(key, default)
    if value.__class__ is not int or value not in allowed:
        missing = key not in fields
        lines.fail(f"`{key}` is missing" if missing else f"`{key}` cannot be {shown(value)}")
    return value


def text(
    lines: JsonLines, fields: Mapping[str, object], key: str, default: str | None = None
) -> str:
    """A text that can be written as UTF-8."""
    value = fields.get(key, default)
    if not isinstance(value, str):
        missing = key not in fields
        lines.fail(f"`{key}` is missing" if missing else f"`{key}` is not a text")
    # JSON can write half a surrogate pair, which no file can hold as UTF-8.
    return value.encode("utf-16", "surrogatepass").decode("utf-16", "replace")


def truth(lines: JsonLines, fields: Mapping[str, object], key: str) -> bool:
    """`true` or `false`."""
    value = fields[key]
    if not isinstance(value, bool):
        lines.fail(f"`{key}` is true or false, not {shown(value)}")
    return value


def shown(value: object) -> str:
    """A value as the recording writes it, shortened."""
    written = json.dumps(value, ensure_ascii=True)
    return written if len(written) <= 40 else f"{written[:37]}..."

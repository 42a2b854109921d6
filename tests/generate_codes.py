"""Writes remapd/codes.py from the kernel's header of input event codes.

    python tests/generate_codes.py HEADER VERSION > remapd/codes.py

HEADER is linux/input-event-codes.h, VERSION names the kernel it came with. Only EV_, KEY_, BTN_,
REL_, ABS_ and SYN_ names are taken: the kinds that sources send and layouts name.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

DEFINITION = re.compile(r"#define\s+((EV|SYN|KEY|BTN|REL|ABS)_\w+)\s+(\w+)")
#: Bounds and markers of the header, not codes.
NOT_CODES = re.compile(r"^((EV|SYN|KEY|REL|ABS)_(MAX|CNT)|KEY_MIN_INTERESTING)$")

HEAD = '''"""Names and numbers of the input event codes. GENERATED from the header of {version}.

The header is linux/input-event-codes.h; tests/generate_codes.py wrote this file: do not edit it.

Where the header has several names for one number, the last that it gives a number of its own is
the name written out (BTN_SOUTH, not BTN_GAMEPAD or BTN_A); all of them are understood.
"""

from __future__ import annotations

from typing import Final

'''

TAIL = '''
_NUMBERS: Final = {EV_KEY: KEYS, EV_REL: RELS, EV_ABS: AXES}
_NAMES: Final = {EV_KEY: KEY_NAMES, EV_REL: REL_NAMES, EV_ABS: AXIS_NAMES}
_UNNAMED_PREFIX: Final = {EV_KEY: "KEY_0x", EV_REL: "REL_0x", EV_ABS: "ABS_0x"}
_COUNT: Final = {EV_KEY: 0x300, EV_REL: 0x10, EV_ABS: 0x40}


def code_name(event_type: int, code: int) -> str:
    """The name of a code: `code_name(EV_KEY, 0x130)` is `"BTN_SOUTH"`.

    A number that this table lacks, as a newer kernel may send, is written `KEY_0x2fa`.
    Raises KeyError for a type other than EV_KEY, EV_REL and EV_ABS.
    """
    return _NAMES[event_type].get(code) or f"{_UNNAMED_PREFIX[event_type]}{code:x}"


def code_number(name: str) -> tuple[int, int]:
    """The (type, code) of a name: the inverse of `code_name`, which takes every alias as well.

    Raises KeyError with the name when there is no such code.
    """
    for event_type, numbers in _NUMBERS.items():
        if name in numbers:
            return event_type, numbers[name]
    for event_type, prefix in _UNNAMED_PREFIX.items():
        if name.startswith(prefix):
            try:
                code = int(name.removeprefix(prefix), 16)
            except ValueError:
                break
            if 0 <= code < _COUNT[event_type] and code_name(event_type, code) == name:
                return event_type, code
    raise KeyError(name)
'''


def parse(header: str) -> tuple[dict[str, int], dict[str, dict[int, str]]]:
    """All numbers by name, and by prefix (EV, KEY for keys and buttons, …) the name of each number.

    Raises ValueError when a name refers to one that the header has not defined before.
    """
    numbers: dict[str, int] = {}
    names: dict[str, dict[int, str]] = {}
    for name, prefix, value in DEFINITION.findall(header):
        if NOT_CODES.search(name):
            continue
        group = names.setdefault("KEY" if prefix == "BTN" else prefix, {})
        if value[0].isdigit():
            numbers[name] = int(value, 0)
            group[numbers[name]] = name
        elif value in numbers:
            numbers[name] = numbers[value]
        else:
            raise ValueError(f"{name} is defined as {value}, which is not known yet")
    return numbers, names


def generate(header: str, version: str) -> str:
    """The text of remapd/codes.py."""
    numbers, names = parse(header)
    parts = [HEAD.replace("{version}", version)]
    for prefix in ("EV", "SYN"):
        parts += [
            f"{name}: Final = {number}\n"
            for name, number in numbers.items()
            if name.startswith(f"{prefix}_")
        ]
        parts.append("\n")
    for prefixes, variable, reverse in (
        (("KEY_", "BTN_"), "KEYS", "KEY_NAMES"),
        (("REL_",), "RELS", "REL_NAMES"),
        (("ABS_",), "AXES", "AXIS_NAMES"),
    ):
        parts.append(f"{variable}: Final[dict[str, int]] = {{\n")
        parts += [
            f'    "{name}": 0x{number:X},\n'
            for name, number in numbers.items()
            if name.startswith(prefixes)
        ]
        parts.append(f"}}\n{reverse}: Final[dict[int, str]] = {{\n")
        group = names[prefixes[0].rstrip("_")]
        parts += [f'    0x{number:X}: "{group[number]}",\n' for number in sorted(group)]
        parts.append("}\n")
    parts.append(TAIL)
    return "".join(parts)


def main() -> int:
    if len(sys.argv) != 3:
        print(__doc__, file=sys.stderr)
        return 2
    sys.stdout.write(generate(Path(sys.argv[1]).read_text(encoding="utf-8"), sys.argv[2]))
    return 0


if __name__ == "__main__":
    sys.exit(main())

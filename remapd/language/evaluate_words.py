"""Checks single words against their kind: numbers with units, codes, booleans, choices."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any

from remapd import codes
from remapd.diagnostics import Span
from remapd.language import kinds, messages
from remapd.language.kinds import Kind, Quantity, bounds_of
from remapd.language.meant import name_meant
from remapd.language.names import NAME
from remapd.language.nodes import ScalarNode
from remapd.language.reporter import Reporter
from remapd.language.scalars import (
    Family,
    Unreadable,
    in_engine_units,
    looks_numeric,
    read_number,
    read_quantity,
    read_whole,
)

_PRODUCT_NUMBER = re.compile(r"0x[0-9a-fA-F]{1,4}")
_BARE_SHARE = re.compile(r"(?:0|1)(?:\.[0-9]{1,9})?")
_OFF = ("off", "none", "no", "never")


def read_word(node: ScalarNode, kind: Kind, what: str, notes: list[str], reporter: Reporter) -> Any:
    """The data of one word, or None when it is not of its kind (the reporter says why)."""
    return _Word(node, what, notes, reporter).read(kind)


class _Word:
    """One word on its way to a value."""

    def __init__(self, node: ScalarNode, what: str, notes: list[str], reporter: Reporter) -> None:
        self.node = node
        self.text = node.text
        self.what = what
        self.notes = notes
        self.reporter = reporter

    def read(self, kind: Kind) -> Any:
        match kind:
            case kinds.Text():
                return self.free_text()
            case kinds.Word():
                return self.choice(kind)
            case kinds.Reference():
                return self.reference(kind)
            case kinds.Flag():
                return self.flag()
            case kinds.FlagOrShare():
                if self.text in ("true", "false"):
                    return self.flag()
                return self.quantity(Quantity(Family.SHARE, "0%", "100%"))
            case kinds.WholeNumber():
                return self.whole(kind)
            case kinds.Number():
                return self.number(kind)
            case Quantity():
                return self.quantity(kind)
            case kinds.Code():
                return self.code(kind)
            case kinds.ProductNumber():
                return self.product_number()
        raise TypeError(f"no word is of the kind {kind}")

    def fault(self, message: messages.Message, **words: str) -> None:
        words = {"what": self.what, "word": self.text, **words}
        self.reporter.report(message, self.node.span, notes=self.notes, words=words)

    def free_text(self) -> str | None:
        span = self.node.span
        after = self.reporter.line(span)[span.end_column - 1 :]
        if self.node.plain and span.line == span.end_line and re.match(r" #\S", after):
            self.reporter.report(
                messages.TEXT_CUT,
                Span(span.file, span.line, span.end_column + 1, span.line, span.end_column + 2),
            )
        if self.node.plain and self.text.lower() in ("~", "null"):  # YAML's words for no value
            self.fault(
                messages.NO_VALUE,
                wanted="behind the colon text; the word null means no value, unless in quotes",
            )
            return None
        return self.text

    def choice(self, kind: kinds.Word) -> str | None:
        if self.text in kind.choices:
            return self.text
        self.reporter.report(
            messages.UNKNOWN_WORD,
            self.node.span,
            what=self.what,
            word=self.text,
            near=(self.text, kind.choices),
            notes=self.notes,
        )
        return None

    def reference(self, kind: kinds.Reference) -> str | None:
        if kind.names is not kinds.Names.NEW or NAME.fullmatch(self.text):
            return self.text
        self.reporter.report(
            messages.BAD_NAME, self.node.span, name=self.text, remedies=name_meant(self.text)
        )
        return None

    def flag(self) -> bool | None:
        if self.node.plain and self.text in ("true", "false"):
            return self.text == "true"
        words = {"on": "true", "yes": "true", "off": "false", "no": "false"}
        if self.node.plain:
            words |= {"true": "true", "false": "false"}
        meant = words.get(self.text.lower())
        remedy = f"write `{meant}`" if meant else "write `true` or `false`, without quotes"
        self.reporter.report(
            messages.NOT_TRUE_OR_FALSE,
            self.node.span,
            what=self.what,
            word=self.text if self.node.plain else f'"{self.text}"',
            notes=self.notes,
            remedies=[remedy],
        )
        return None

    def whole(self, kind: kinds.WholeNumber) -> int | None:
        number = read_whole(self.text) if self.node.plain else None
        if number is None and self.node.plain and (part := read_number(self.text)) is not None:
            allowed = f"whole numbers from {kind.minimum} to {kind.maximum}"
            self.reporter.report(
                messages.OUT_OF_RANGE,
                self.node.span,
                what=self.what,
                word=self.text,
                allowed=allowed if kind.minimum < kind.maximum else f"{kind.minimum}",
                remedies=[f"did you mean `{part}`?"] if part.denominator == 1 else [],
                notes=self.notes,
            )
            return None
        if number is None:
            self.not_a_number()
            return None
        fits = number in kind.among if kind.among else kind.minimum <= number <= kind.maximum
        if not fits:
            allowed = " or ".join(map(str, kind.among)) or f"{kind.minimum} to {kind.maximum}"
            self.fault(messages.OUT_OF_RANGE, allowed=allowed)
            return None
        return number

    def number(self, kind: kinds.Number) -> float | None:
        number = read_number(self.text) if self.node.plain else None
        if number is None:
            self.not_a_number()
            return None
        if not kind.minimum <= number <= kind.maximum:
            self.fault(
                messages.OUT_OF_RANGE, allowed=f"{float(kind.minimum):g} to {float(kind.maximum):g}"
            )
            return None
        return float(number)

    def not_a_number(self) -> None:
        if self.node.plain and looks_numeric(self.text):
            plain = self.text.replace("_", "").replace(":", ".").replace(",", ".").lstrip("+0")
            self.fault(messages.ODD_NUMBER, plain=plain or "0")
        else:
            remedy = "write it without quotes" if not self.node.plain else "write it in digits"
            self.reporter.report(
                messages.NOT_A_NUMBER,
                self.node.span,
                what=self.what,
                word=self.text if self.node.plain else f'"{self.text}"',
                notes=self.notes,
                remedies=[remedy],
            )

    def quantity(self, kind: Quantity) -> int | float | None:
        family = kind.family
        value = read_quantity(self.text, family)
        low, high = bounds_of(kind)
        if isinstance(value, Unreadable):
            self.not_a_quantity(kind, value)
            return None
        if not low <= value <= high:
            self.fault(messages.OUT_OF_RANGE, allowed=f"{kind.minimum} to {kind.maximum}")
            return None
        return in_engine_units(value, family)

    def not_a_quantity(self, kind: Quantity, why: Unreadable) -> None:
        family = kind.family
        examples = " or ".join(f"`{each}`" for each in family.examples)
        remedies: list[str] = []
        if family is Family.SHARE and _BARE_SHARE.fullmatch(self.text):
            percent = float(Fraction(self.text) * 100)
            remedies = [f"did you mean `{percent:g}%`?"]
        elif why.has_no_unit:
            remedies = [f"did you mean {_with_units(self.text, family)}?"]
        elif self.text in _OFF and family is Family.DURATION:
            remedies = ["did you mean `0ms`, which is off?"]
        elif (close := _near_quantity(self.text, kind)) is not None:
            remedies = [f"did you mean `{close}`?"]
        message = messages.MISSING_UNIT if why.has_no_unit else messages.WRONG_UNIT
        self.reporter.report(
            message,
            self.node.span,
            what=self.what,
            word=self.text,
            family=family.called,
            examples=examples,
            notes=self.notes,
            remedies=remedies,
        )

    def code(self, kind: kinds.Code) -> int | None:
        wanted = kind.codes
        if looks_numeric(self.text) or re.fullmatch(r"0x[0-9a-fA-F]+", self.text):
            self.fault(messages.NUMBER_AS_CODE, examples=wanted.examples)
            return None
        try:
            _, number = codes.code_number(self.text)
        except KeyError:
            table = {"KEY": codes.KEYS, "AXIS": codes.AXES, "RELATIVE": codes.RELS}[wanted.name]
            self.reporter.report(
                messages.UNKNOWN_CODE,
                self.node.span,
                word=self.text,
                near=(self.text, table),
                notes=self.notes,
            )
            return None
        if not self.text.startswith(wanted.prefixes):
            found = next(each.called for each in kinds.Codes if self.text.startswith(each.prefixes))
            self.fault(
                messages.WRONG_CODE, found=found, wanted=wanted.called, examples=wanted.examples
            )
            return None
        return number

    def product_number(self) -> int | None:
        if not _PRODUCT_NUMBER.fullmatch(self.text):
            near = f"0x{self.text}"
            fits = _PRODUCT_NUMBER.fullmatch(near) is not None
            self.reporter.report(
                messages.NOT_A_PRODUCT_NUMBER,
                self.node.span,
                what=self.what,
                word=self.text,
                notes=self.notes,
                remedies=[f"did you mean `{near}`?"] if fits else [],
            )
            return None
        return int(self.text, 16)


def _with_units(text: str, family: Family) -> str:
    return " or ".join(f"`{text}{unit}`" for unit in family.units)


def _near_quantity(text: str, kind: Quantity) -> str | None:
    """What someone meant who wrote a space, a long unit or a comma: `40 msec`, `1,5s`, `1min`."""
    family = kind.family
    found = re.fullmatch(r"([0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)\s*([^\d\s]*)", text.strip())
    if found is None:
        return None
    units = {
        "millisecond": "ms", "milliseconds": "ms", "msec": "ms", "msecs": "ms", "ms": "ms",
        "second": "s", "seconds": "s", "sec": "s", "secs": "s", "s": "s",
        "minute": "min", "minutes": "min", "mins": "min", "min": "min",
        "%": "%", "percent": "%", "per": "%",
        "/s": "/s", "/sec": "/s", "hz": "Hz" if family is Family.FREQUENCY else "/s",
        "deg": "deg", "degrees": "deg", "degree": "deg", "°": "deg",
    }  # fmt: skip
    unit = units.get(found[2].lower())
    number = found[1].replace(",", ".").lstrip("0") or "0"
    number = ("0" if number.startswith(".") else "") + number
    if unit == "min" and family is Family.DURATION:
        seconds = Fraction(number) * 60
        low, high = bounds_of(kind)
        fits = seconds.denominator == 1 and low <= seconds <= high
        return f"{seconds}s" if fits else None
    if unit not in family.units:
        return None
    near = number + unit
    return near if not isinstance(read_quantity(near, family), Unreadable) else None

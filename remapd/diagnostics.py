"""What is wrong in a file, and where: data only, for every part that reads or shows it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Severity(Enum):
    """An error keeps a file from being used; a warning does not."""

    ERROR = "error"
    WARNING = "warning"


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """A stretch of a file, up to before its end.

    Lines and columns count from 1, columns in characters.
    """

    file: str  #: the file's name as shown to a person
    line: int
    column: int
    end_line: int
    end_column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True)
class Note:
    """Something beside the fault that helps to see it; with a place where it is one of the file."""

    text: str
    span: Span | None = None
    source_line: str = ""  #: the file's line at the start of `span`


@dataclass(frozen=True, slots=True)
class Diagnostic:
    """One fault of a file, in words for someone who did not write this program.

    `message` says what is wrong; `remedies` how to mend it, nearest first; `notes` give context.
    """

    code: str  #: stable, such as `unknown-setting`; each has an entry in docs/errors.md
    severity: Severity
    message: str
    span: Span
    source_line: str = ""  #: the file's line at the start of `span`, without its end
    remedies: tuple[str, ...] = ()
    notes: tuple[Note, ...] = ()

    @property
    def is_error(self) -> bool:
        """Whether the file cannot be used because of it."""
        return self.severity is Severity.ERROR

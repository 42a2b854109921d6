"""What is being read just now, as messages speak of it."""

from __future__ import annotations

from dataclasses import dataclass

from remapd.diagnostics import Span
from remapd.language.kinds import Field
from remapd.language.nodes import ScalarNode


@dataclass(frozen=True, slots=True)
class Context:
    """What is being read: its name for messages, and the gloss of a setting."""

    what: str
    gloss: str = ""
    name_span: Span | None = None  #: where the name stands that the value belongs to

    @property
    def notes(self) -> list[str]:
        """The gloss, as a note."""
        return [self.gloss] if self.gloss else []


def context_of(field: Field, key: ScalarNode | None = None) -> Context:
    """A setting as messages speak of it."""
    span = key.span if key is not None else None
    return Context(f"`{field.name}`", f"{field.name}: {field.about}", span)

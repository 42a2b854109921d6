"""What a control can be given to do in a proposed layout, as it is written in the file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

#: How long a press lasts before it is a long one.
LONG_AFTER = "800ms"
#: How long a nudge lasts.
NUDGE = "500ms"
#: How long a layer waits for the press that it is for.
GIVE_UP = "10s"
#: Presses a second of a turbo: quicker flashes can set off a seizure (WCAG 2.2, 2.3.1).
TURBO_RATE = "3/s"


@dataclass(frozen=True, slots=True)
class Doing:
    """Something that a control does; `written` is it in a layout, `lasts` whether by itself."""

    lasts: ClassVar[bool] = False

    @property
    def written(self) -> str:
        """As a layout has it."""
        raise NotImplementedError

    @property
    def remark(self) -> str:
        """What a reader who sees it for the first time should know; empty: it speaks for itself."""
        return ""

    def inner(self) -> Iterator[Doing]:
        """It, and whatever is inside it."""
        yield self


@dataclass(frozen=True, slots=True)
class Do(Doing):
    """A verb or a direction of one, as long as the control is pressed."""

    word: str

    @property
    def written(self) -> str:  # noqa: D102
        return self.word


@dataclass(frozen=True, slots=True)
class Latched(Doing):
    """A verb that goes on after the press, until the next press of it."""

    word: str
    at_most: str

    lasts: ClassVar[bool] = True

    @property
    def written(self) -> str:  # noqa: D102
        return f"{{latch: {self.word}, at-most: {self.at_most}}}"

    @property
    def remark(self) -> str:  # noqa: D102
        return "goes on by itself; the same again ends it"


@dataclass(frozen=True, slots=True)
class Nudged(Doing):
    """A verb for a short while, however long the press is."""

    word: str

    @property
    def written(self) -> str:  # noqa: D102
        return f"{{pulse: {self.word}, length: {NUDGE}}}"

    @property
    def remark(self) -> str:  # noqa: D102
        return "a nudge, however long the press is"


@dataclass(frozen=True, slots=True)
class Repeated(Doing):
    """A verb again and again: while pressed, or from one press to the next."""

    word: str
    by_itself: bool = False
    at_most: str = "10s"

    @property
    def written(self) -> str:  # noqa: D102
        more = f", how: toggle, at-most: {self.at_most}" if self.by_itself else ""
        return f"{{turbo: {self.word}, rate: {TURBO_RATE}{more}}}"

    @property
    def remark(self) -> str:  # noqa: D102
        return "again and again; the same again ends it" if self.by_itself else "again and again"


@dataclass(frozen=True, slots=True)
class Layered(Doing):
    """A layer, for one press (`next`), until the same again (`toggle`), or while held (`hold`).

    `is_back`: it stands in that very layer, and so leads back.
    """

    layer: str
    how: str
    is_back: bool = False

    @property
    def written(self) -> str:  # noqa: D102
        more = f", give-up: {GIVE_UP}" if self.how == "next" else ""
        return f"{{layer: {self.layer}, how: {self.how}{more}}}"

    @property
    def remark(self) -> str:  # noqa: D102
        if self.is_back:
            return "leads back"
        return {
            "next": f"opens `{self.layer}` for one press",
            "toggle": f"opens `{self.layer}`; the same again closes it",
            "hold": f"`{self.layer}` is on while this is held",
        }[self.how]


@dataclass(frozen=True, slots=True)
class Round(Doing):
    """The next of several layers, the first being the base."""

    layers: tuple[str, ...]

    @property
    def written(self) -> str:  # noqa: D102
        return f"{{cycle: [{', '.join(self.layers)}]}}"

    @property
    def remark(self) -> str:  # noqa: D102
        return "each press goes on to the next of these layers, the last one back to the first"


@dataclass(frozen=True, slots=True)
class ShortLong(Doing):
    """One thing by a short press, another by a long one."""

    short: Doing
    long: Doing

    @property
    def written(self) -> str:  # noqa: D102
        return f"{{short: {self.short.written}, long: {self.long.written}, after: {LONG_AFTER}}}"

    @property
    def remark(self) -> str:  # noqa: D102
        return ""

    def inner(self) -> Iterator[Doing]:  # noqa: D102
        yield self
        yield from self.short.inner()
        yield from self.long.inner()


@dataclass(frozen=True, slots=True)
class Listed(Doing):
    """A list that is gone through: in time, or by this control with another one that takes."""

    items: tuple[Doing, ...]
    take: str | None = None

    @property
    def written(self) -> str:  # noqa: D102
        items = ", ".join(item.written for item in self.items)
        more = "every: 1.5s, first: 2.5s" if self.take is None else f"pick: {self.take}"
        return f"{{scan: [{items}], {more}, rounds: 2}}"

    def inner(self) -> Iterator[Doing]:  # noqa: D102
        yield self
        for item in self.items:
            yield from item.inner()


@dataclass(frozen=True, slots=True)
class Stick(Doing):
    """A stick, pointer or lever taken whole."""

    word: str
    #: After a change of layer it does nothing until it has been let go once.
    centred: bool = False

    @property
    def written(self) -> str:  # noqa: D102
        return f"{{send: {self.word}, change: centred}}" if self.centred else self.word


@dataclass(frozen=True, slots=True)
class Nothing(Doing):
    """Nothing at all, not even what a layer below would do."""

    @property
    def written(self) -> str:  # noqa: D102
        return "nothing"


@dataclass(frozen=True, slots=True)
class EverythingOff(Doing):
    """Ends all that goes on by itself, every layer included."""

    @property
    def written(self) -> str:  # noqa: D102
        return "{release: everything}"

    @property
    def remark(self) -> str:  # noqa: D102
        return "ends all that goes on by itself"


@dataclass(frozen=True, slots=True)
class Call(Doing):
    """Says something, and does nothing in the game."""

    text: str

    @property
    def written(self) -> str:  # noqa: D102
        return f'{{say: "{self.text}"}}'


@dataclass(frozen=True, slots=True)
class Same(Doing):
    """A whole gamepad: each of its parts does what it is named after."""

    @property
    def written(self) -> str:  # noqa: D102
        return "same"

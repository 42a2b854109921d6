"""What a fitting says and asks. An interview yields these and is sent the answers.

An answer is plain data, as JSON holds it: what was answered is kept, and replaying it leads to the
same place of the same interview. So `back` and a broken-off sitting need nothing of an interview.
"""

from __future__ import annotations

from collections.abc import Callable, Generator
from dataclasses import dataclass
from typing import Any, TypeAlias, TypeVar

from remapd.fitting.setup import Kind

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Heading:
    """A new part begins."""

    text: str


@dataclass(frozen=True, slots=True)
class Say:
    """Something to tell, a paragraph.

    `as_is`: a picture or listing, not to be wrapped. `asks`: a question begins here.
    """

    text: str
    as_is: bool = False
    asks: bool = False


@dataclass(frozen=True, slots=True)
class Option:
    """One answer to choose. `word` may be typed for it, and is the answer's data."""

    word: str
    label: str


@dataclass(frozen=True, slots=True)
class Choose:
    """One of several. `usual` is the word that Enter stands for; `about` is told by `help`."""

    id: str
    text: str
    options: tuple[Option, ...]
    usual: str | None = None
    about: str = ""


@dataclass(frozen=True, slots=True)
class Write:
    """Any words.

    `suggestions` can be chosen instead, so that a person who has one switch needs no keyboard;
    with `first_is_usual` Enter alone stands for the first of them.
    `fault` says what is wrong with an answer, None for nothing.
    """

    id: str
    text: str
    suggestions: tuple[str, ...] = ()
    fault: Callable[[str], str | None] = lambda _text: None
    about: str = ""
    first_is_usual: bool = False


@dataclass(frozen=True, slots=True)
class Find:
    """A control that is now pressed or moved, on any device; or one of the words.

    Devices in `leave`, by their keys, are not listened to.
    The answer is the word, or `{"device": Identity, "kind", "codes", "held_us", "released", "pair",
    "typed_with"}` with the codes by their names; the last says that answers are typed on it.
    """

    id: str
    text: str
    options: tuple[Option, ...] = ()
    leave: frozenset[str] = frozenset()
    about: str = ""
    usual: str | None = None  #: what Enter alone stands for; for nothing, unless said


@dataclass(frozen=True, slots=True)
class Try:
    """A control that was found, used as in play; or one of the words.

    The answer is the word, or the fields of `Measured` as data.
    """

    id: str
    text: str
    key: str  #: the device's, see Identity
    kind: Kind
    codes: tuple[str, ...]
    options: tuple[Option, ...] = ()
    about: str = ""


@dataclass(frozen=True, slots=True)
class Key:
    """One key of the keyboard, pressed once. The answer is the letter that it types."""

    id: str
    text: str
    fault: Callable[[str], str | None] = lambda _letter: None
    about: str = ""


@dataclass(frozen=True, slots=True)
class Play:
    """A layout tried with keys that stand in, until Enter; the answer is `done`.

    `keys` are letters, and the button or direction of the layout that each stands for.
    """

    id: str
    text: str
    layout: str
    keys: tuple[tuple[str, str], ...]
    about: str = ""


Question: TypeAlias = Choose | Write | Find | Try | Key | Play
Answer: TypeAlias = Any
Interview: TypeAlias = Generator[Heading | Say | Question, Answer, T]

YES_NO = (Option("yes", "yes"), Option("no", "no"))


def yes_or_no(
    name: str, text: str, usual: str | None = None, about: str = ""
) -> Generator[Heading | Say | Question, Answer, bool]:
    """A question that is answered by yes or no."""
    answer = yield Choose(name, text, YES_NO, usual, about)
    return bool(answer == "yes")

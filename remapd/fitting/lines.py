"""The terminal of a fitting: lines that are said, and lines that are typed.

Nothing is painted over and no colour is used: what is said stays, one line below the other, so that
a screen reader, a braille line and a printout have the same as the eye. Typed letters are echoed
here and not by the terminal, because a switch box that acts as a keyboard types as well, and what
it types must not be seen or taken for an answer.
"""

from __future__ import annotations

import codecs
import os
import select
import shutil
import sys
import termios
import textwrap
import unicodedata
from collections import deque
from collections.abc import Sequence
from types import TracebackType
from typing import Any, Final, Self, TextIO

from remapd.fitting.conversation.dialogue import ERASE_LETTERS, NAMED
from remapd.fitting.conversation.questions import Heading, Say
from remapd.show.cues.cue import Weight
from remapd.show.cues.speech_server import SpeechServer, SpeechServerLost

_WIDEST: Final = 78
_PROMPT: Final = "> "
_ERASE_LINE: Final = "\x15"  # Ctrl-U
_END: Final = "\x04"  # Ctrl-D
_ESCAPE: Final = "\x1b"


class Lines:
    """Use it in a `with`: the terminal is as it was afterwards.

    `plain`: no marks at all, and lines are not cut to a width: what is said is for the ear.
    `speech`: what is said is spoken as well.
    """

    def __init__(
        self, given: TextIO, out: TextIO, *, plain: bool, speech: SpeechServer | None = None
    ) -> None:
        self._speech = speech
        self._given = given.fileno()
        self._out = out
        self._plain = plain
        self._is_terminal = os.isatty(self._given) and out.isatty()
        self._before: list[Any] | None = None
        self._decoder = codecs.getincrementaldecoder("utf-8")("replace")
        self._typed = ""
        self._is_prompted = False
        self._in_escape = False
        self.pending: deque[str] = deque()  #: lines that have come and were not taken yet
        self.is_over = False  #: no more will ever come
        self.letter_by_letter = False  #: each letter is a line of its own, and is not shown

    def fileno(self) -> int:
        """The descriptor to wait for."""
        return self._given

    def __enter__(self) -> Self:
        if self._is_terminal:
            self._before = termios.tcgetattr(self._given)
            own = termios.tcgetattr(self._given)
            own[3] &= ~(termios.ECHO | termios.ICANON)  # Ctrl-C goes on being a signal
            own[6][termios.VMIN] = 0
            own[6][termios.VTIME] = 0
            termios.tcsetattr(self._given, termios.TCSADRAIN, own)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._is_prompted:
            self._write("\n")
            self._is_prompted = False
        if self._before is not None:
            termios.tcflush(self._given, termios.TCIFLUSH)
            termios.tcsetattr(self._given, termios.TCSADRAIN, self._before)

    # ------------------------------------------------------------------ what is said

    def say(self, said: Sequence[Heading | Say]) -> None:
        """Shows what there is to say."""
        if not said:
            return
        if self._is_prompted:
            self._write("\n")
            self._is_prompted = False
        for each in said:
            self._write(self._in_lines(each))
            self._speak(each.text)

    def prompt(self) -> None:
        """Shows that something may be typed, and what has been typed already."""
        if self._is_prompted or not self._is_terminal:
            return
        self._write(("" if self._plain else _PROMPT) + self._typed)
        self._is_prompted = True

    def _speak(self, text: str) -> None:
        """Says it aloud: an answer that is named stops the one before, all else waits its turn."""
        if self._speech is None:
            return
        is_named = text.startswith(NAMED)
        weight = Weight.TEXT if is_named else Weight.MESSAGE
        try:
            self._speech.say(text.removeprefix(NAMED).strip(), weight)
        except SpeechServerLost:
            self._speech = None
            self._write("Nothing can be said aloud: the session's speech server does not answer.\n")

    def _in_lines(self, said: Heading | Say) -> str:
        if isinstance(said, Heading):
            if self._plain:
                return f"{said.text}.\n"
            return f"\n{said.text}\n{'-' * len(said.text)}\n"
        if self._plain:
            return f"{said.text}\n"
        columns = shutil.get_terminal_size((_WIDEST + 2, 24)).columns
        if said.as_is:
            return "".join(f"{_cut(line, columns)}\n" for line in said.text.split("\n"))
        begins = "\n" if said.asks else ""
        width = min(columns - 1, _WIDEST)
        return begins + textwrap.fill(said.text, max(width, 30), break_on_hyphens=False) + "\n"

    def _write(self, text: str) -> None:
        self._out.write(text)
        self._out.flush()

    # ------------------------------------------------------------------ what is typed

    def read(self, *, dropped: bool) -> None:
        """Takes what has come into `pending`; never waits. `dropped`: what comes was not typed."""
        try:
            data = os.read(self._given, 4096) if self._can_read() else None
        except OSError:  # the terminal has gone
            data = b""
        if data is None:
            return
        if not data:
            self.is_over = not self._is_terminal or self._has_hung_up()
            if self.is_over and self._typed:
                self.pending.append(self._typed)
                self._typed = ""
            return
        for letter in self._decoder.decode(data):
            if dropped:
                continue
            line = self._letter(letter)
            if line is not None:
                self.pending.append(line)

    def discard(self) -> None:
        """Forgets what has been typed of a line that is not finished."""
        if self._is_terminal:
            termios.tcflush(self._given, termios.TCIFLUSH)
        if self._typed and self._is_terminal:
            self._write(_erasing(self._typed))
        if self._is_terminal:
            self._typed = ""

    def _can_read(self) -> bool:
        return bool(select.select([self._given], [], [], 0)[0])

    def _has_hung_up(self) -> bool:
        poll = select.poll()
        poll.register(self._given, select.POLLIN)
        return any(mask & (select.POLLHUP | select.POLLERR) for _, mask in poll.poll(0))

    def _letter(self, letter: str) -> str | None:
        """One letter; the line, if it is at its end."""
        if self._in_escape:  # an arrow or function key: its letters are not meant
            self._in_escape = not ("@" <= letter <= "~" and letter not in "[O")
            return None
        if letter == _ESCAPE:
            self._in_escape = True
            return None
        if self.letter_by_letter and self._is_terminal:
            if letter == _END:
                self.is_over = True
                return None
            return "" if letter in "\r\n" else letter
        if letter in "\r\n":
            line, self._typed = self._typed, ""
            if self._is_terminal:
                self._write("\n")
                self._is_prompted = False
            return line
        if letter == _END and not self._typed:
            self.is_over = True
        elif letter in ERASE_LETTERS:
            if self._typed:
                self._echo(_erasing(self._typed[-1]))
                self._typed = self._typed[:-1]
        elif letter == _ERASE_LINE:
            self._echo(_erasing(self._typed))
            self._typed = ""
        elif letter.isprintable():
            self._typed += letter
            self._echo(letter)
        return None

    def _echo(self, text: str) -> None:
        if self._is_terminal:
            self._write(text)


def _cut(line: str, columns: int) -> str:
    """A line of a listing in as many as it needs, the later ones set in as deep as its text."""
    if len(line) <= columns:
        return line
    text = line.lstrip(" 0123456789.-")
    deep = " " * (len(line) - len(text))
    width = max(columns, len(deep) + 20)
    return textwrap.fill(
        line, width, subsequent_indent=deep, break_on_hyphens=False, drop_whitespace=True
    )


def _erasing(text: str) -> str:
    """What takes these letters from the screen: two cells for a wide one, none for a mark on it."""
    cells = sum(
        0 if unicodedata.combining(letter) else 1 + (unicodedata.east_asian_width(letter) in "WF")
        for letter in text
    )
    return "\b \b" * cells


def standard(*, plain: bool, aloud: bool) -> Lines:
    """Standard input and output; `aloud`: spoken by the session's speech server as well."""
    return Lines(sys.stdin, sys.stdout, plain=plain, speech=SpeechServer() if aloud else None)

"""One interview carried through: devices, terminal and clock here, the dialogue there.

Each answer is kept before the next question is asked, so that nothing is lost however it ends.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from remapd.fitting.conversation.dialogue import ERASE_LETTERS, Dialogue, Kept
from remapd.fitting.conversation.questions import Key, Play, Say
from remapd.fitting.lines import Lines
from remapd.fitting.listening import Answered, Listening, Pressed, Progress
from remapd.fitting.trying_out import TryOut
from remapd.kernel.timer import monotonic_us
from remapd.language import load_text

T = TypeVar("T")


class BrokenOff(Exception):
    """The person ended it before it was at its end.

    `by_signal`: with Ctrl-C. `has_lost`: the last answers could not be kept.
    """

    def __init__(self, *, by_signal: bool) -> None:
        super().__init__("broken off")
        self.by_signal = by_signal
        self.has_lost = False


def boxes(kept: Sequence[Kept]) -> set[str]:
    """The keys of the keyboards and mice that were said to be boxes for playing."""
    found: set[str] = set()
    last = ""
    for each in kept:
        if isinstance(each.answer, dict) and "device" in each.answer:
            last = str(each.answer["device"]["key"])
        elif (each.question.startswith("acts-") and each.answer == "box") or (
            each.question.startswith("box-") and each.answer == "yes"
        ):
            found.add(last)
    return found


@dataclass(slots=True)
class Session:
    """What interviews are carried through with."""

    listening: Listening
    lines: Lines

    def carry(
        self, dialogue: Dialogue[T], keep: Callable[[Sequence[Kept]], None] = lambda _kept: None
    ) -> T:
        """Goes on until the interview is at its end, and gives what came of it.

        `keep` is called with all answers whenever there is one more or one less.

        Raises:
            BrokenOff: it was stopped before; every answer has been given to `keep`.
        """
        kept = list(dialogue.kept)
        self._tell(dialogue)
        dialogue.start(monotonic_us())
        try:
            while not dialogue.ended:
                self._tell(dialogue)
                self._turn(dialogue)
                if dialogue.kept != kept:
                    kept = list(dialogue.kept)
                    keep(kept)
                if dialogue.stopped:
                    raise BrokenOff(by_signal=False)
        except KeyboardInterrupt:
            keep(dialogue.kept)
            raise BrokenOff(by_signal=True) from None
        finally:
            self.listening.ask(None)
        self._tell(dialogue)
        if dialogue.result is None:
            raise ValueError("an interview came to its end without a result")
        return dialogue.result

    def say(self, text: str, *, as_is: bool = False) -> None:
        """Something to tell outside an interview."""
        self.lines.say([Say(text, as_is)])

    def _play(self, dialogue: Dialogue[T], question: Play) -> None:
        """The layout is tried with keys that stand in, until Enter."""
        layout = load_text(question.layout, "the layout").layout
        if layout is None:
            raise ValueError("a layout that cannot be tried")
        trying = TryOut(layout, dict(question.keys), monotonic_us())
        #: The key that was pressed last, and which letters are held down by which key.
        last: tuple[str, int] | None = None
        held: dict[tuple[str, int], str] = {}
        while True:
            due_us = monotonic_us() if self.lines.pending else trying.due_us
            for event in self.listening.read(due_us):
                if not isinstance(event, Pressed):
                    continue
                key = (event.key, event.code)
                last = key if event.pressed else None
                if not event.pressed and key in held:
                    self._tell_tried(trying.let_go(monotonic_us(), held.pop(key)))
            self.lines.read(dropped=False)
            while self.lines.pending:
                line = self.lines.pending.popleft()
                if not line:
                    dialogue.played(monotonic_us())
                    return
                if line[0] in ERASE_LETTERS:
                    dialogue.back(monotonic_us())
                    return
                for letter in line.casefold():
                    if last is not None:
                        held[last] = letter
                    said = trying.letter(monotonic_us(), letter, is_held=last is not None)
                    self._tell_tried(said)
            if self.lines.is_over:
                raise KeyboardInterrupt
            self._tell_tried(trying.advance(monotonic_us()))

    def _tell_tried(self, sentences: Sequence[str]) -> None:
        self.lines.say([Say(f"  {each}", as_is=True) for each in sentences])

    def _tell(self, dialogue: Dialogue[T]) -> None:
        self.lines.say(dialogue.said())
        if dialogue.wants_line:
            self.lines.prompt()

    def _turn(self, dialogue: Dialogue[T]) -> None:
        """Waits for something, and gives it to the dialogue."""
        listening = self.listening
        question = dialogue.question
        listening.ask(question)
        listening.claim(boxes(dialogue.kept))
        self.lines.letter_by_letter = isinstance(question, Key | Play)
        if isinstance(question, Play):
            self._play(dialogue, question)
            return
        due = [us for us in (dialogue.due_us, listening.due_us) if us is not None]
        if self.lines.pending:
            due = [monotonic_us()]
        for event in listening.read(min(due, default=None)):
            match event:
                case Pressed(us, key, code, pressed, may_answer=True):
                    dialogue.press(us, key, code, pressed=pressed)
                case Answered(us, answer):
                    self.lines.discard()
                    dialogue.found(us, answer)
                case Progress(text):
                    self.lines.say([Say(f"  {text}", as_is=True)])
            if dialogue.question is not question:
                break
        self.lines.read(dropped=listening.is_typing_to_be_dropped())
        if self.lines.pending:
            line = self.lines.pending.popleft()
            if not self.lines.letter_by_letter:
                listening.typists.line(line)
            dialogue.line(monotonic_us(), line)
        elif self.lines.is_over:
            raise KeyboardInterrupt
        dialogue.advance(monotonic_us())

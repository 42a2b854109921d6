"""One interview in progress: typed lines, presses and time in; what to say and listen for out.

Pure. Every answer is kept in order. To go back the last one is dropped and the rest are given
again to a fresh interview; to go on another day all of them are. What had been said is not said
again then.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final, Generic

from remapd.fitting.conversation.questions import (
    Answer,
    Choose,
    Find,
    Heading,
    Interview,
    Key,
    Option,
    Play,
    Question,
    Say,
    T,
    Try,
    Write,
)
from remapd.fitting.conversation.stepping import PACE_US, Did, Steps, slower

#: Words that mean the same at every question. Quotes around a word make it an answer.
BACK: Final = "back"
HELP: Final = "help"
STOP: Final = "stop"
AGAIN: Final = "again"
KEYBOARD: Final = "keyboard"
#: Before an answer that is named for the switch.
NAMED: Final = "> "
#: What the Backspace key types.
ERASE_LETTERS: Final = ("\x7f", "\b")
#: Words inside a label count from so many letters on: shorter ones stand in too many.
_SHORTEST_INNER_WORD: Final = 4
_QUOTES: Final = "\"'“”"

_HELP: Final = (
    "At every question: `back` goes back one question, `again` says it once more, `stop` ends "
    "and keeps everything for another time (so does Ctrl-C). A word in quotes is taken as it is."
)
_SWITCH_HELP: Final = (
    "With the switch: a press takes what was named last; holding it goes back. `keyboard` ends "
    "answering with the switch."
)
_EXTRAS: Final = ("go back", "say it again", "more time for each")


@dataclass(frozen=True, slots=True)
class Switch:
    """A button that answers: its device's key (see Identity), and its number."""

    key: str
    code: int


@dataclass(frozen=True, slots=True)
class Kept:
    """One answer and the question that it was given to."""

    question: str
    answer: Answer


class Dialogue(Generic[T]):
    """An interview in progress. Call `said` after each call for what there is to say."""

    def __init__(
        self,
        interview: Callable[[], Interview[T]],
        kept: Sequence[Kept] = (),
        switch: Switch | None = None,
        pace_us: int = PACE_US,
    ) -> None:
        self._interview = interview
        self._said: list[Heading | Say] = []
        self.switch = switch
        self.pace_us = pace_us
        self.kept: list[Kept] = []
        self.question: Question | None = None
        self.ended = False  #: the interview has come to its end, and `result` is what came of it
        self.stopped = False  #: somebody wants to go on another time
        self.result: T | None = None
        self._steps: Steps | None = None
        self._released_us = -(10**12)  #: when the switch that answers was last let go of
        self._begin(list(kept))

    # ------------------------------------------------------------------ what comes in

    def line(self, us: int, text: str) -> None:
        """Somebody typed a line."""
        question = self.question
        if question is None:
            return
        if isinstance(question, Key):
            self._key(us, question, text)
            return
        words = text.strip()
        command = words.casefold()
        if command == BACK:
            self.back(us)
        elif command == STOP:
            self.stopped = True
        elif command in {HELP, "?"}:
            self._help(question)
        elif command == AGAIN:
            self._ask(us)
        elif command == KEYBOARD and self.switch is not None:
            self.switch, self._steps = None, None
            self._say("Answers are typed from now on.")
            self._tell_question()
        else:
            self._typed(us, question, words)

    def found(self, us: int, answer: dict[str, Any]) -> None:
        """A control was heard, or tried, where the question asks for that."""
        if isinstance(self.question, Find | Try):
            self._give(us, answer)

    def played(self, us: int) -> None:
        """A layout was tried for as long as it was wanted."""
        if isinstance(self.question, Play):
            self._give(us, "done")

    def press(self, us: int, key: str, code: int, *, pressed: bool) -> None:
        """A button of some device was pressed or let go; it counts where it is to answer."""
        if self.switch is None or not isinstance(self.question, Choose | Write):
            return
        if (key, code) == (self.switch.key, self.switch.code):
            if self._steps is None:
                return
            did = self._steps.press(us) if pressed else self._steps.release(us)
            self._released_us = self._steps.released_us
            self._stepped(us, did)
        elif pressed and self._steps is not None:
            self.back(us)

    def advance(self, us: int) -> None:
        """Time has come to `us`."""
        if self._steps is not None:
            self._stepped(us, self._steps.advance(us))

    def back(self, us: int) -> None:
        """Goes back one question."""
        if not self.kept:
            self._say("This is the first question.")
            self._ask(us)
            return
        kept = self.kept[:-1]
        self._running.close()
        self._begin(kept)
        self._said.insert(0, Say("Back."))
        self._start_steps(us)

    def reject(self, us: int, why: str) -> None:
        """The last answer turned out not to do; why is said, and its question asked again."""
        self.ended, self.result = False, None
        self.back(us)
        self._said[0] = Say(why)

    # ------------------------------------------------------------------ what goes out

    def said(self) -> list[Heading | Say]:
        """What there is to say since the last call, in order; the question comes last."""
        said, self._said = self._said, []
        return said

    @property
    def wants_line(self) -> bool:
        """Whether the question is answered by a line before all else."""
        return self.switch is None and isinstance(self.question, Choose | Write)

    @property
    def due_us(self) -> int | None:
        """When `advance` has something to do, or None."""
        return None if self._steps is None else self._steps.next_us

    # ------------------------------------------------------------------ inside

    def _begin(self, kept: list[Kept]) -> None:
        """Runs a fresh interview through the kept answers; those that do not fit are dropped."""
        while True:
            self.kept = []
            self.ended, self.result = False, None
            self._said = []
            self._running = self._interview()
            self._step_interview(None)
            try:
                for each in kept:
                    if self.question is None or self.question.id != each.question:
                        break
                    self._said = []
                    self._step_interview(each.answer)
                    self.kept.append(each)
            except (KeyError, TypeError, ValueError, AttributeError):
                # kept by another version, or changed by hand: what came before it still holds
                kept = list(self.kept)
            else:
                return

    def start(self, us: int) -> None:
        """Begins to name the answers, where a switch answers; call it once."""
        self._start_steps(us)

    def _step_interview(self, answer: Answer) -> None:
        self.question = None
        self._steps = None
        try:
            given = next(self._running) if answer is None else self._running.send(answer)
            while isinstance(given, Heading | Say):
                self._said.append(given)
                given = next(self._running)
        except StopIteration as end:
            self.ended, self.result = True, end.value
            return
        self.question = given
        self._tell_question()

    def _give(self, us: int, answer: Answer) -> None:
        question = self.question
        if question is None:
            return
        self.kept.append(Kept(question.id, answer))
        self._step_interview(answer)
        self._start_steps(us)

    def _typed(self, us: int, question: Question, words: str) -> None:
        if isinstance(question, Write):
            self._written(us, question, words)
            return
        if isinstance(question, Key | Play):
            return
        options = question.options
        if isinstance(question, Choose | Find) and not words and question.usual is not None:
            self._give(us, question.usual)
            return
        if isinstance(question, Find | Try) and not words:
            return  # a switch box that acts as a keyboard may send nothing but this
        chosen = _chosen(words, options)
        if chosen is not None:
            self._give(us, chosen)
            return
        if isinstance(question, Choose):
            self._say(f"Please type a number from 1 to {len(options)}; `help` tells more.")
        else:
            known = " or ".join(f"`{option.word}`" for option in options)
            self._say(f"Please type {known}; `help` tells more." if known else "Press or move it.")

    def _key(self, us: int, question: Key, text: str) -> None:
        letter = text[:1].casefold()
        if letter in ERASE_LETTERS:
            self.back(us)
            return
        fault = question.fault(letter) if letter else "that key types nothing"
        if fault is not None:
            self._say(f"{fault[:1].upper()}{fault[1:]}. Another one, please.")
            return
        self._give(us, letter)

    def _written(self, us: int, question: Write, words: str) -> None:
        if words.isdecimal() and 1 <= int(words) <= len(question.suggestions):
            words = question.suggestions[int(words) - 1]
        elif len(words) > 1 and words[0] in _QUOTES and words[-1] in _QUOTES:
            words = words[1:-1].strip()
        if not words and question.first_is_usual:
            words = question.suggestions[0]
        if not words:
            hint = " or the number of a suggestion" if question.suggestions else ""
            self._say(f"Please type some words{hint}.")
            return
        fault = question.fault(words)
        if fault is not None:
            self._say(f"{fault[:1].upper()}{fault[1:]}.".replace("..", "."))
            return
        self._give(us, words)

    def _help(self, question: Question) -> None:
        if question.about:
            self._say(question.about)
        self._say(_HELP)
        if self.switch is not None:
            self._say(_SWITCH_HELP)
        self._tell_question()

    def _ask(self, us: int) -> None:
        self._tell_question()
        self._start_steps(us)

    def _tell_question(self) -> None:
        question = self.question
        if question is None:
            return
        self._said.append(Say(question.text, asks=True))
        if isinstance(question, Choose):
            lines = [
                f"{number}. {option.label}{self._usual(question, option)}"
                for number, option in enumerate(question.options, 1)
            ]
        elif isinstance(question, Write):
            lines = [
                f"{number}. {text}{'  (Enter)' if question.first_is_usual and number == 1 else ''}"
                for number, text in enumerate(question.suggestions, 1)
            ]
        elif isinstance(question, Key):
            lines = ["Backspace goes back."]
        elif isinstance(question, Play):
            lines = [f"{_key_name(letter)}: {name}" for letter, name in question.keys]
            lines.append("Enter ends trying. Backspace goes back.")
        else:
            usual = question.usual if isinstance(question, Find) else None
            lines = [
                f"Or type `{option.word}`: {option.label}."
                for option in question.options
                if option.word != usual  # which the text of the question tells
            ]
        if lines:
            self._said.append(Say("\n".join(f"  {line}" for line in lines), as_is=True))

    def _usual(self, question: Choose, option: Option) -> str:
        return "  (Enter)" if option.word == question.usual else ""

    def _say(self, text: str) -> None:
        self._said.append(Say(text))

    # ------------------------------------------------------------------ by switch

    def _start_steps(self, us: int) -> None:
        self._steps = None
        if self.switch is None or not isinstance(self.question, Choose | Write):
            return
        count = len(self._answers()) + len(_EXTRAS)
        self._steps = Steps(count, self.pace_us, released_us=self._released_us)
        self._stepped(us, self._steps.start(us))

    def _answers(self) -> list[str]:
        if isinstance(self.question, Choose):
            return [option.label for option in self.question.options]
        return list(self.question.suggestions) if isinstance(self.question, Write) else []

    def _stepped(self, us: int, did: Did | None) -> None:
        if did is None or self._steps is None:
            return
        answers = self._answers()
        at = self._steps.at
        if did is Did.NAMED:
            self._say(f"{NAMED}{[*answers, *_EXTRAS][at]}?")
        elif did is Did.WAITS:
            self._say("Press the switch to hear the answers again.")
        elif did is Did.BACK:
            self.back(us)
        elif at < len(answers):
            self._say(f"Taken: {answers[at]}.")
            self._take(us, at)
        elif _EXTRAS[at - len(answers)] == "go back":
            self.back(us)
        elif _EXTRAS[at - len(answers)] == "say it again":
            self._ask(us)
        else:
            self.pace_us = slower(self.pace_us)
            self._say(f"Each answer now stands for {self.pace_us / 1e6:.1f} seconds.")
            self._start_steps(us)

    def _take(self, us: int, at: int) -> None:
        question = self.question
        if isinstance(question, Choose):
            self._give(us, question.options[at].word)
        elif isinstance(question, Write):
            fault = question.fault(question.suggestions[at])
            if fault is not None:
                self._say(f"{fault}.")
                self._start_steps(us)
            else:
                self._give(us, question.suggestions[at])


def _key_name(letter: str) -> str:
    return "space bar" if letter == " " else letter


def _chosen(words: str, options: Sequence[Option]) -> str | None:
    """The option that somebody typed: its number or word, or what only its label has."""
    wanted = words.casefold()
    if wanted.isdecimal():
        number = int(wanted)
        return options[number - 1].word if 1 <= number <= len(options) else None
    exact = [o.word for o in options if wanted in {o.word.casefold(), o.label.casefold()}]
    if exact:
        return exact[0]
    if not wanted:
        return None
    near = [
        o.word
        for o in options
        if o.word.casefold().startswith(wanted) or o.label.casefold().startswith(wanted)
    ]
    if not near and len(wanted) >= _SHORTEST_INNER_WORD:
        near = [o.word for o in options if f" {wanted}" in f" {o.label.casefold()}"]
    return near[0] if len(near) == 1 else None

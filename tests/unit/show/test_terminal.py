"""The terminal: only what changed is written, in its own words, and it is left as it was found."""

import io
import json
import subprocess
import sys

import pytest

from remapd.show.demo_screen import Row
from remapd.show.marks import Style
from remapd.show.terminal import Terminal, styled
from remapd.show.terminal_words import STANDARD

FIRST: list[Row] = [[("sail", Style.STRONG)], [("net", Style.PLAIN)]]
SECOND: list[Row] = [[("sail", Style.STRONG)], [("more", Style.PLAIN)]]


@pytest.fixture(autouse=True)
def _unknown_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "a-terminal-of-nobody")


def test_only_a_row_that_changed_is_written_again() -> None:
    stream = io.StringIO()
    terminal = Terminal(stream)
    terminal.paint(FIRST)
    stream.truncate(0)
    stream.seek(0)

    terminal.paint(SECOND)
    terminal.paint(SECOND)

    assert stream.getvalue() == "\x1b[2;1Hmore\x1b[K"


def test_it_is_left_as_it_was_found_whatever_happens() -> None:
    stream = io.StringIO()

    def be_interrupted() -> None:
        with Terminal(stream) as terminal:
            terminal.paint(FIRST)
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        be_interrupted()

    written = stream.getvalue()
    assert written.startswith("\x1b[?1049h\x1b[?25l")
    assert written.endswith("\x1b[0m\x1b[?25h\x1b[?1049l")


def test_a_style_ends_where_its_text_ends() -> None:
    row: Row = [("a", Style.PLAIN), ("b", Style.LAYERS), ("c", Style.PLAIN)]

    assert styled(row) == "a\x1b[35mb\x1b[0mc"


# ---------------------------------------------------------------- each terminal's own words
_ASK = """
import json, sys
from remapd.show.marks import Style
from remapd.show.terminal_words import STANDARD, words_for
words = words_for(sys.argv[1])
styles = {style.name: text for style, text in words.styles.items()}
print(json.dumps({"standard": words is STANDARD, "enter": words.enter, "leave": words.leave,
    "end": words.end_of_row, "row": words.row(4), "plain": words.plain, "styles": styles}))
"""


def words_of(terminal: str) -> dict[str, object]:
    """A process asks for one terminal only, so each has its own."""
    asked = subprocess.run(
        [sys.executable, "-c", _ASK, terminal], check=True, capture_output=True, text=True
    )
    told: dict[str, object] = json.loads(asked.stdout)
    return told


def test_a_terminal_with_all_is_told_what_terminfo_says() -> None:
    """Source: terminfo(5), and ncurses' entry `xterm-256color`."""
    words = words_of("xterm-256color")
    assert not words["standard"]
    assert str(words["enter"]).startswith("\x1b[?1049h")
    assert "\x1b[?25l" in str(words["enter"])
    assert "\x1b[?1049l" in str(words["leave"])
    assert words["row"] == "\x1b[5;1H"
    assert words["end"] == "\x1b[K"
    assert words["styles"] == {
        "PLAIN": "",
        "STRONG": "\x1b[1m",
        "FAINT": "\x1b[2m",
        "HANDS": "",
        "LAYERS": "\x1b[35m",
        "GAME": "\x1b[1m",
    }


def test_a_terminal_without_colours_and_a_second_screen_is_told_nothing_of_them() -> None:
    """Source: ncurses' entry `vt100`, whose sequences have waits in them."""
    words = words_of("vt100")
    assert not words["standard"]
    assert "1049" not in f"{words['enter']}{words['leave']}"
    assert "$<" not in json.dumps(words)
    assert words["row"] == "\x1b[5;1H"
    assert words["styles"]["LAYERS"] == words["styles"]["FAINT"] == ""  # type: ignore[index]


@pytest.mark.parametrize("name", ["a-terminal-of-nobody", "dumb", "", "../../etc/passwd"])
def test_a_terminal_that_nobody_knows_is_spoken_to_in_the_standard(name: str) -> None:
    assert words_of(name)["standard"]
    assert STANDARD.row(0) == "\x1b[1;1H"

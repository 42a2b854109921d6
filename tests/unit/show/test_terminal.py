"""The terminal: only what changed is written, and it is left as it was found."""

import io

import pytest

from remapd.show.demo_screen import Row
from remapd.show.marks import Style
from remapd.show.terminal import Terminal, styled

FIRST: list[Row] = [[("sail", Style.STRONG)], [("net", Style.PLAIN)]]
SECOND: list[Row] = [[("sail", Style.STRONG)], [("more", Style.PLAIN)]]


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

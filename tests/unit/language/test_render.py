"""How a fault is shown, and what is suggested."""

import pytest

from remapd.diagnostics import Diagnostic, Note, Severity, Span
from remapd.language import load_text, render
from remapd.language.suggest import any_of, did_you_mean, near_words


def fault(line: str, column: int, length: int, **more: object) -> Diagnostic:
    span = Span("harbour.yaml", 12, column, 12, column + length)
    return Diagnostic(
        "unknown-setting",
        Severity.ERROR,
        "no such thing",
        span,
        line,
        **more,  # type: ignore[arg-type]
    )


def test_the_place_the_line_a_mark_and_the_way_out() -> None:
    shown = render(
        fault(
            "  left: suoth  ",
            9,
            5,
            remedies=("did you mean `south`?",),
            notes=(Note("a gloss"), Note("the first is here", Span("a.yaml", 3, 1, 3, 3), "ab c")),
        )
    )

    assert shown == (
        "harbour.yaml:12:9: error: no such thing [unknown-setting]\n"
        "  12 |   left: suoth\n"
        "     |         ^^^^^\n"
        "     = did you mean `south`?\n"
        "     = a gloss\n"
        "     = the first is here: a.yaml:3:1\n"
        "   3 | ab c\n"
        "     | ^^"
    )


@pytest.mark.parametrize("column", [1, 40, 150, 299])
def test_a_long_line_is_cut_around_the_place(column: int) -> None:
    line = "".join(chr(ord("a") + number % 26) for number in range(300))
    _, excerpt, mark, *_ = render(fault(line, column, 2)).split("\n")

    assert len(excerpt) <= 108
    at = mark.index("^^")
    assert excerpt[at : at + 2] == line[column - 1 : column + 1]


def test_a_fault_over_several_lines_is_marked_to_the_end_of_the_first() -> None:
    span = Span("harbour.yaml", 2, 3, 5, 1)
    shown = render(Diagnostic("tab", Severity.WARNING, "so it is", span, "  name:   "))

    assert shown.split("\n") == [
        "harbour.yaml:2:3: warning: so it is [tab]",
        "  2 |   name:",
        "    |   ^^^^^",
    ]


def test_a_long_remedy_is_wrapped() -> None:
    lines = render(fault("a", 1, 1, remedies=("word " * 40,))).split("\n")

    assert all(len(line) <= 108 for line in lines)
    assert lines[-1].startswith("       word")


@pytest.mark.parametrize(
    ("word", "near"),
    [
        ("suoth", ["south"]),
        ("SOUTH", ["south"]),
        ("left_knee", ["left-knee"]),
        ("left knee", ["left-knee"]),
        ("knee", ["left-knee", "right-knee"]),
        ("xyzzy", []),
        ("", []),
        ("s" * 200, []),
    ],
)
def test_near_words(word: str, near: list[str]) -> None:
    assert near_words(word, ["south", "north", "left-knee", "right-knee", "roll"]) == near


def test_what_is_possible_where_nothing_is_near() -> None:
    assert did_you_mean("xyzzy", ["low", "high"]) == ["possible here: `low`, `high`"]
    assert did_you_mean("xyzzy", ["everything"]) == ["write `everything`"]
    assert did_you_mean("xyzzy", [str(number) for number in range(100)]) == []
    assert any_of(["a", "b", "c"]) == "`a`, `b` or `c`"


def test_all_faults_are_in_the_order_of_the_file() -> None:
    text = "remapd: 1\nlayers: {play: {left: suoth}}\ndevices: {desk: {controls: gamepd}}\n"
    loaded = load_text(text)

    lines = [each.span.line for each in loaded.diagnostics]
    assert lines == sorted(lines)
    assert len(set(lines)) == 2


def test_what_a_message_quotes_of_the_file_is_cut_short() -> None:
    loaded = load_text("remapd: 1\n" + "x" * 300 + ": 1\n")

    assert len(loaded.errors[0].message) < 100

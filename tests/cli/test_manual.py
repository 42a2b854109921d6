"""The manual pages: fresh, complete, without a complaint of the programs that format them."""

from __future__ import annotations

import argparse
import shlex
import shutil
import subprocess
from pathlib import Path

import pytest

from remapd.cli.main import COMMANDS, Parser, import_command
from remapd.cli.manual import manual_pages
from remapd.cli.manual_words import TOLD
from remapd.cli.roff import marked, of_markdown, page, plain
from tests.generate_man_pages import FOLDER

PAGES = manual_pages()


def test_the_pages_in_docs_are_what_the_commands_say_now() -> None:
    written = {path.name: path.read_text(encoding="utf-8") for path in FOLDER.iterdir()}

    stale = sorted(name for name in {*PAGES, *written} if PAGES.get(name) != written.get(name))
    assert stale == [], "`python -m tests.generate_man_pages` makes them anew"


def parsers() -> dict[str, argparse.ArgumentParser]:
    found: dict[str, argparse.ArgumentParser] = {}
    for name, (module, help_line) in COMMANDS.items():
        found[name] = Parser(prog=f"remapd {name}", description=help_line)
        import_command(name, module).add_arguments(found[name])
    return found


def test_every_command_and_option_is_on_a_page() -> None:
    assert set(PAGES) == {"remapd.1", "remapd-layout.5", *(f"remapd-{n}.1" for n in COMMANDS)}
    for name, parser in parsers().items():
        text = PAGES[f"remapd-{name}.1"]
        waiting = [parser]
        while waiting:
            for action in waiting.pop()._actions:
                if isinstance(action, argparse._HelpAction) or action.help == argparse.SUPPRESS:
                    continue
                for option in action.option_strings:
                    assert plain(option) in text, (name, option)
                if isinstance(action, argparse._SubParsersAction):
                    waiting += action.choices.values()
                else:
                    assert action.help, f"`{name}` says nothing of `{action.dest}`"
        assert plain(f"remapd-{name}") in PAGES["remapd.1"]


@pytest.mark.parametrize("name", sorted(TOLD))
def test_every_example_is_one_that_the_command_takes(name: str) -> None:
    assert name in COMMANDS
    assert set(TOLD[name].see) <= set(COMMANDS)
    for line, _ in TOLD[name].examples:
        words = [word for word in shlex.split(line) if word != "sudo"]
        if words[0] == "remapd":
            assert words[1] == name
            parsers()[name].parse_args(words[2:])


@pytest.mark.parametrize("name", sorted(PAGES))
def test_formatters_have_nothing_to_complain_of(name: str, tmp_path: Path) -> None:
    checkers = {
        "mandoc": ["mandoc", "-T", "lint", "-W", "style"],
        "groff": ["groff", "-man", "-ww", "-T", "utf8", "-z"],
    }
    here = [words for program, words in checkers.items() if shutil.which(program)]
    if not here:
        pytest.skip("NO FORMATTER HERE, so the page was not looked at: apt install groff")
    file = tmp_path / name
    file.write_text(PAGES[name], encoding="utf-8")
    for words in here:
        done = subprocess.run([*words, file], check=False, capture_output=True, text=True)
        # The system's own folders of pages are no matter of ours.
        told = [
            line
            for line in (done.stdout + done.stderr).splitlines()
            if "referenced manual not found" not in line
        ]
        assert told == []


def test_no_sign_of_a_text_is_taken_for_an_order() -> None:
    assert plain(".so /etc/passwd") == r"\&.so /etc/passwd"
    assert plain("a\n'b") == "a\n\\&'b"
    assert plain(r"\fB --x “é”") == r"\efB \-\-x \(lq\[u00E9]\(rq"
    assert marked("[a page](x.md), `--all`") == r"a page, \fB\-\-all\fR"
    long = page(["word " * 14 + "12345678 .dot"])
    assert long.splitlines()[1] == r"\&.dot"


def test_a_table_says_what_each_thing_is_first() -> None:
    table = "| name | value | unless written | what it is |\n|-|-|-|-|\n| `a` | x | `1` | a thing |"

    assert list(of_markdown(table)) == [
        ".TP",
        r"\fBa\fR",
        r"a thing; value: x; unless written: \fB1\fR\&.",
    ]

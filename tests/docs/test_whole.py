"""What holds for every page: links, commands and options, pictures, layouts, words."""

from __future__ import annotations

import argparse
import re
import shlex
from functools import cache
from pathlib import Path

import pytest

from remapd.cli.main import COMMANDS, Parser, import_command
from remapd.language import load_text, render
from remapd.language.schema_cues import EVENTS, NAME_SIGN
from tests.docs.devices_told import told
from tests.docs.pages import CHECKOUT, GUIDES, PAGES, Page

each_page = pytest.mark.parametrize("page", PAGES, ids=[page.name for page in PAGES])
each_guide = pytest.mark.parametrize("page", GUIDES, ids=[page.name for page in GUIDES])

#: Words for which the glossary has others, and what they are here.
OTHER_WORDS = {
    r"\bprofiles?\b": "layout",
    r"\bkey ?binds?\b|\bkeybindings?\b": "action",
    r"\bmacros?\b": "steps",
    r"\bjoypads?\b": "pad",
    r"\bvirtual controllers?\b": "pad",
    r"\bdeadzones?\b": "dead zone",
    r"\buser-friendly\b": "",
    r"\bsimply\b|\bjust type\b|\bof course\b": "",
}


@each_page
def test_every_link_leads_to_a_page_and_a_place_in_it(page: Page) -> None:
    missing = []
    for file, place in page.links:
        target = page.path if not file else (page.path.parent / file).resolve()
        if not target.exists() or (place and place not in Page(target).places):
            missing.append(f"{file}#{place}")

    assert missing == []


@each_page
def test_every_picture_is_there_and_says_in_words_what_it_shows(page: Page) -> None:
    for words, file in page.pictures:
        assert len(words.split()) >= 4, file
        assert (page.path.parent / file).exists(), file


def test_no_picture_is_left_that_no_page_shows_and_all_are_small() -> None:
    shown = {(page.path.parent / file).resolve() for page in PAGES for _, file in page.pictures}
    pictures = set((CHECKOUT / "docs/pictures").iterdir())

    assert pictures == shown & pictures
    assert all(path.stat().st_size < 200_000 for path in pictures)


def test_the_index_names_every_page() -> None:
    index = Page(CHECKOUT / "docs/README.md")
    named = {(index.path.parent / file).resolve() for file, _ in index.links}

    missing = [page.name for page in PAGES if page.path not in {*named, index.path}]
    assert missing == ["README.md"]


# ---------------------------------------------------------------- commands
def commands_in(code: str) -> list[list[str]]:
    """The words after `remapd`, of each command in a piece of code."""
    found = []
    for line in code.splitlines():
        for part in re.split(r"[|;&]| && ", line.removeprefix("$ ")):
            words = re.match(r"\s*(?:sudo )?(?:\S*/)?remapd ([a-z]+(?:\s.*)?)$", part)
            if words is None or part.startswith("Exec"):
                continue
            rest = words[1].partition(" #")[0]
            try:
                found.append(shlex.split(rest.partition(" > ")[0]))
            except ValueError:  # an apostrophe in a sentence about it
                found.append(rest.split())
    return found


@cache
def options_of(command: str) -> set[str]:
    """All options of a command and of its parts, such as `service install`."""
    parser = Parser(prog=command)
    import_command(command, COMMANDS[command][0]).add_arguments(parser)
    found: set[str] = set()
    parsers: list[argparse.ArgumentParser] = [parser]
    while parsers:
        for action in parsers.pop()._actions:
            found.update(action.option_strings)
            if isinstance(action, argparse._SubParsersAction):
                parsers += action.choices.values()
    return found


@each_page
def test_every_command_with_its_options_exists(page: Page) -> None:
    shown = [text for kind, text in page.blocks if kind.split(" ")[0] in {"", "console", "text"}]
    between = re.findall(r"`([^`]+)`", page.prose)
    # The output of a command is not typed.
    typed = [
        line
        for text in shown
        for line in text.splitlines()
        if line.startswith("$ ") or "$ " not in text
    ]
    for words in (each for code in [*typed, *between] for each in commands_in(code)):
        command, *rest = words
        assert command in COMMANDS, words
        options = {word.partition("=")[0] for word in rest if re.match(r"--?[a-z]", word)}
        assert options <= options_of(command), words


# ---------------------------------------------------------------- layouts
@each_page
def test_every_whole_layout_in_a_page_has_no_fault(page: Page) -> None:
    for kind, text in page.blocks:
        if kind.startswith("yaml") and text.startswith("remapd: 1") and "include:" not in text:
            loaded = load_text(text)
            assert loaded.layout is not None, "\n".join(map(render, loaded.diagnostics))


# ---------------------------------------------------------------- words
def forms(word: str) -> list[str]:
    """How a word of the glossary may stand in a page: as it is, as a setting, or in a verb."""
    each = word.split(", ")
    return [form for p in each for form in (p, p.replace(" ", "-"), p.removesuffix("ing"))]


def test_every_word_of_the_glossary_is_used() -> None:
    words = re.findall(
        r"^\| \*\*([^*]+)\*\*", Page(CHECKOUT / "docs/glossary.md").text, re.MULTILINE
    )
    pages = "\n".join(page.text for page in PAGES if page.path.stem != "glossary").lower()

    unused = [word for word in words if not any(form in pages for form in forms(word))]
    assert unused == []
    assert len(words) > 30


@each_guide
def test_a_guide_uses_the_words_of_the_glossary(page: Page) -> None:
    prose = page.prose.lower()

    found = {word: meant for word, meant in OTHER_WORDS.items() if re.search(word, prose)}
    assert found == {}


@each_guide
def test_a_guide_sends_to_safety_or_is_it(page: Page) -> None:
    assert page.path.stem == "safety" or "safety.md" in page.text or "Stop at pain" in page.text


def test_what_the_player_hears_is_what_the_cues_say() -> None:
    page = Page(CHECKOUT / "docs/guide-player.md").text
    table = page.partition("## What you hear")[2].partition("## ")[0]
    spoken = {
        str(event.default[how]).replace(NAME_SIGN, "…")
        for event in EVENTS.values()
        for how in ("say", "notify")
        if how in event.default
    }

    quoted = set(re.findall("“([^”]+)”", table))
    assert quoted <= spoken
    assert len(quoted) > 3
    assert EVENTS["layer-off"].default == {"tone": "falling"}
    assert EVENTS["overruled"].default["tone"] == "low"


# ---------------------------------------------------------------- what is told of devices
def test_what_devices_tells_in_the_caregiver_s_guide_is_what_it_tells() -> None:
    page = Page(CHECKOUT / "docs/guide-caregiver.md")
    shown = [text for _, text in page.blocks if text.startswith("$ remapd devices ")]

    assert [text.splitlines()[1:] for text in shown] == [told()]


# ---------------------------------------------------------------- what is made
def test_pictures_cards_and_sheet_are_what_the_program_makes_now() -> None:
    from tests.generate_pictures import SCREENS, texts

    made = texts()
    stale = [
        path
        for path, text in made.items()
        if not (CHECKOUT / path).exists() or (CHECKOUT / path).read_text(encoding="utf-8") != text
    ]

    assert stale == [], "`python -m tests.generate_pictures` makes them anew"
    for name in SCREENS:
        assert (CHECKOUT / "docs/pictures" / name).read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize("path", ["docs/hand-over-sheet", "remapd/show/data/guide-player"])
def test_no_sign_of_markdown_is_left_in_a_page_for_people_without_a_terminal(path: str) -> None:
    page = (CHECKOUT / f"{path}.html").read_text(encoding="utf-8")
    body = re.sub(r"<svg.*?</svg>", "", page.partition("</head>")[2], flags=re.DOTALL)

    assert re.findall(r"[*`]|\]\(|^[#>|-]", body, re.MULTILINE) == []


def test_the_sheet_for_paper_has_every_field_of_the_page() -> None:
    page = Page(CHECKOUT / "docs/hand-over-sheet.md")
    paper = Path(CHECKOUT / "docs/hand-over-sheet.html").read_text(encoding="utf-8")

    fields = [cell.strip() for cell in re.findall(r"^\| ([^|]+) \|", page.text, re.MULTILINE)]
    assert len(fields) > 20
    for field in fields:
        assert re.sub(r"[*`]", "", field) in re.sub(r"<[^>]+>", "", paper), field
    assert "http" not in paper

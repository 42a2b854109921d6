"""The manual pages, made from the commands' own arguments: they cannot be out of date.

pages = manual_pages()     # {"remapd.1": "…", "remapd-run.1": "…", …, "remapd-layout.5": "…"}
"""

from __future__ import annotations

import argparse
import importlib
from collections.abc import Iterator, Sequence
from typing import Final

from remapd import __version__
from remapd.cli.main import COMMANDS, Parser, import_command
from remapd.cli.manual_words import TOLD, Told
from remapd.cli.roff import (
    bold,
    head,
    item,
    marked,
    of_markdown,
    page,
    paragraphs,
    part,
    plain,
    section,
)
from remapd.language.reference import reference_page

#: The day on which the words of these pages were last gone through.
DATE: Final = "2026-11-27"
_LAYOUT_ABOUT: Final = (
    "A layout is a YAML file that says what a player, and perhaps a helper, can press or move, and "
    "what each of those does to the one gamepad that the game gets. A saved change counts at once; "
    "a file with a mistake is refused, and what was in force before stays.",
    "This page lists every setting. What they mean together is told in docs/layout-language.md, "
    "and every message about a mistake in docs/errors.md, of the source.",
)
_LAYOUT_EXAMPLE: Final = """\
remapd: 1
title: Two knee switches
devices:
  knees:
    find: {name: "Switch box*"}
    controls: {left: {button: BTN_0}, right: {button: BTN_1}}
layers:
  sail:
    left: {short: south, long: start, after: 900ms}
    right: left-stick.right
"""
_EXIT_CODES: Final = (
    ("0", "done"),
    ("1", "failed, or something is to be mended; a line says what and how"),
    ("2", "wrong usage"),
    ("130", "ended by Ctrl-C"),
)
_FILES: Final = (
    ("/etc/remapd/layouts/", "layouts of the service; members of the group remapd may write there"),
    ("/etc/remapd/service.conf", "which layout the service plays"),
    ("~/.config/remapd/service.conf", "the same, for a service of one user"),
    ("~/.local/state/remapd/history/", "the dated versions of layouts"),
    ("/var/lib/remapd/history/", "the same, of the service"),
)
_ENVIRONMENT: Final = (
    ("NO_COLOR", "sentences in place of pictures, as --plain does"),
    ("REMAPD_TRACEBACK", "set to 1, it shows where a mistake in remapd itself has happened"),
)


def manual_pages() -> dict[str, str]:
    """Every page by its file name."""
    pages = {"remapd.1": page(_overview())}
    for name in COMMANDS:
        pages[f"remapd-{name}.1"] = page(_command(name))
    pages["remapd-layout.5"] = page(_layout())
    return pages


# ---------------------------------------------------------------- the whole
def _overview() -> Iterator[str]:
    yield head("remapd", 1, DATE, __version__)
    yield section("Name")
    yield plain("remapd - many small controls in, one ordinary gamepad out")
    yield section("Synopsis")
    yield f"{bold('remapd')} {_word('COMMAND')} ..."
    yield section("Description")
    yield from paragraphs(
        map(
            plain,
            (
                "remapd lets somebody who can make only a few movements surely play the games that "
                "others play. It reads switches, sticks, trackballs, pedals and gamepads, several "
                "at once and from two people if need be, works out what each press or movement "
                "stands for, and gives the game one ordinary gamepad.",
                "What stands for what is written in a layout: see remapd-layout(5).",
                "Stop playing at pain, tingling or numbness, and ask the player's therapist. A "
                "wheelchair's drive, a ventilator, alarms and call bells never go through remapd.",
            ),
        )
    )
    yield section("Commands")
    for name, (_, help_line) in COMMANDS.items():
        yield from item(f"{bold(f'remapd-{name}')}(1)", plain(f"{help_line}."))
    yield from _exit_codes()
    yield section("Files")
    for path, about in _FILES:
        yield from item(bold(path), plain(f"{about}."))
    yield section("Environment")
    for name, about in _ENVIRONMENT:
        yield from item(bold(name), plain(f"{about}."))
    yield from _see(["remapd-run", "remapd-health", "remapd-service"])


# ---------------------------------------------------------------- one command
def _command(name: str) -> Iterator[str]:
    module, help_line = COMMANDS[name]
    parser = Parser(prog=f"remapd {name}", description=help_line)
    import_command(name, module).add_arguments(parser)
    told = TOLD.get(name) or Told((_first_words(module),))
    yield head(f"remapd-{name}", 1, DATE, __version__)
    yield section("Name")
    yield plain(f"remapd-{name} - {help_line}")
    yield section("Synopsis")
    parts = _parts(parser)
    for number, (prog, _, each) in enumerate(parts or [(parser.prog, "", parser)]):
        if number:
            yield ".br"
        yield _usage(prog, each)
    yield section("Description")
    yield from paragraphs(map(plain, told.about))
    yield from _options(parser, "Options")
    for prog, about, each in parts:
        yield section(prog.removeprefix("remapd "))
        yield plain(f"{about[:1].upper()}{about[1:]}.")
        yield from _items(_shown(each))
    if told.examples:
        yield section("Examples")
        for line, what in told.examples:
            yield from item(bold(line), plain(what))
    yield from _exit_codes()
    yield from _see([f"remapd-{each}" for each in told.see if each in COMMANDS])


def _first_words(module: str) -> str:
    doc = importlib.import_module(module).__doc__ or ""
    return " ".join(doc.partition("\n\n")[0].split())


def _parts(parser: argparse.ArgumentParser) -> list[tuple[str, str, argparse.ArgumentParser]]:
    """Commands that have parts, such as `service install`: each with what it does."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            about = {each.dest: each.help or "" for each in action._choices_actions}
            return [
                (f"{parser.prog} {name}", about.get(name, ""), each)
                for name, each in action.choices.items()
            ]
    return []


def _shown(parser: argparse.ArgumentParser) -> list[argparse.Action]:
    hidden = (argparse._HelpAction, argparse._SubParsersAction)
    return [
        action
        for action in parser._actions
        if not isinstance(action, hidden) and action.help != argparse.SUPPRESS
    ]


def _options(parser: argparse.ArgumentParser, title: str) -> Iterator[str]:
    shown = _shown(parser)
    if not shown:
        return
    yield section(title)
    for group in parser._action_groups:
        actions = [action for action in group._group_actions if action in shown]
        is_own = group.title not in {"positional arguments", "options"}
        if actions and is_own:
            yield part(f"{(group.title or '').rstrip(':')}")
        yield from _items(actions)


def _items(actions: Sequence[argparse.Action]) -> Iterator[str]:
    for action in actions:
        label = ", ".join(bold(name) for name in action.option_strings)
        value = _value(action)
        label = " ".join(each for each in (label, value) if each)
        text = (action.help or "").replace("%%", "%")
        if action.help and "%(" in action.help:
            text = action.help % {"default": action.default}
        yield from item(label, marked(f"{text}."))


def _usage(prog: str, parser: argparse.ArgumentParser) -> str:
    """One line: what may follow the command, and what excludes what."""
    actions = _shown(parser)
    alternatives = {
        id(action): group
        for group in parser._mutually_exclusive_groups
        for action in group._group_actions
    }
    words = [bold(prog)]
    told: set[int] = set()
    for action in sorted(actions, key=lambda each: not each.option_strings):
        group = alternatives.get(id(action))
        if group is None:
            words.append(_alone(action))
        elif id(group) not in told:
            told.add(id(group))
            inside = " | ".join(_words(each) for each in group._group_actions)
            words.append(f"({inside})" if group.required else f"[{inside}]")
    return " ".join(words)


def _alone(action: argparse.Action) -> str:
    words = _words(action)
    is_needed = action.required if action.option_strings else action.nargs not in {"?", "*"}
    return words if is_needed else f"[{words}]"


def _words(action: argparse.Action) -> str:
    name = bold(action.option_strings[-1]) if action.option_strings else ""
    if isinstance(action, argparse.BooleanOptionalAction):
        name = " | ".join(map(bold, action.option_strings))
    return " ".join(each for each in (name, _value(action)) if each)


def _value(action: argparse.Action) -> str:
    """What follows an option, or stands for itself."""
    if action.nargs == 0:
        return ""
    if action.choices is not None:
        return "|".join(bold(str(each)) for each in action.choices)
    default = action.dest.upper().replace("_", "-")
    names = action.metavar or default
    if isinstance(names, tuple):
        return " ".join(map(_word, names))
    more = " ..." if action.nargs in {"+", "*"} else ""
    return _word(names) + more


def _word(name: str) -> str:
    return rf"\fI{plain(name)}\fR"


# ---------------------------------------------------------------- the layout file
def _layout() -> Iterator[str]:
    yield head("remapd-layout", 5, DATE, __version__)
    yield section("Name")
    yield plain("remapd-layout - what each control of a player does: the layout file")
    yield section("Description")
    yield from paragraphs(map(plain, _LAYOUT_ABOUT))
    yield section("Example")
    yield ".nf"
    yield plain(_LAYOUT_EXAMPLE.rstrip())
    yield ".fi"
    reference = reference_page()
    yield from of_markdown(reference[reference.index("\n## ") :])
    yield from _see(["remapd-check", "remapd-set", "remapd-run"])


# ---------------------------------------------------------------- ends
def _exit_codes() -> Iterator[str]:
    yield section("Exit status")
    for code, about in _EXIT_CODES:
        yield from item(bold(code), plain(about))


def _see(names: list[str]) -> Iterator[str]:
    yield section("See also")
    pages = [f"{bold('remapd')}(1)", *(f"{bold(name)}(1)" for name in names)]
    yield ", ".join([*pages, f"{bold('remapd-layout')}(5)"])

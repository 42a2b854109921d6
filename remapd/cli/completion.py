"""Completion files for shells, made from the commands' own arguments: they cannot be out of date.

Nothing of remapd runs while somebody types: the files hold every word there is.
"""

from __future__ import annotations

import argparse
import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from remapd.cli.main import COMMANDS, Parser, import_command

SHELLS = ("bash", "zsh", "fish")
#: Words that only the machine knows at the moment of typing, by the command that takes them.
_ASKED: Final[dict[tuple[str, ...], str]] = {("use",): "remapd use --names 2>/dev/null"}


@dataclass(frozen=True, slots=True)
class Option:
    """An option of a command; `words` are what may follow it, None where nothing does."""

    names: tuple[str, ...]
    help: str
    takes: tuple[str, ...] | None  #: () where it is any text or a file


@dataclass(frozen=True, slots=True)
class Words:
    """What can be typed after a command, or after one of its parts such as `service install`."""

    path: tuple[str, ...]
    help: str
    options: tuple[Option, ...]
    next_words: tuple[str, ...]  #: fixed words that may come first, such as `install`
    takes_file: bool
    asks: str = ""  #: a command that prints further words, one a line


def all_words() -> list[Words]:
    """Every command and every part of one, in the order of `remapd --help`."""
    found: list[Words] = []
    for name, (module, help_line) in COMMANDS.items():
        parser = Parser(prog=f"remapd {name}", description=help_line)
        import_command(name, module).add_arguments(parser)
        found += _words_of((name,), help_line, parser)
    return found


def completion(shell: str) -> str:
    """The completion file of one of SHELLS."""
    return {"bash": _bash, "zsh": _zsh, "fish": _fish}[shell](all_words())


def _words_of(
    path: tuple[str, ...], help_line: str, parser: argparse.ArgumentParser
) -> Iterator[Words]:
    options: list[Option] = []
    next_words: list[str] = []
    takes_file = False
    parts: list[Words] = []
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            helps = {each.dest: each.help or "" for each in action._choices_actions}
            for name, part in action.choices.items():
                next_words.append(name)
                parts += _words_of((*path, name), helps.get(name, ""), part)
        elif action.help == argparse.SUPPRESS:
            continue
        elif action.option_strings:
            takes = None if action.nargs == 0 else tuple(map(str, action.choices or ()))
            options.append(Option(tuple(action.option_strings), _plain(action, parser), takes))
        elif action.choices:
            next_words += map(str, action.choices)
        else:
            takes_file = True
    asks = _ASKED.get(path, "")
    yield Words(path, help_line, tuple(options), tuple(next_words), takes_file, asks)
    yield from parts


def _plain(action: argparse.Action, parser: argparse.ArgumentParser) -> str:
    """The help line with its default filled in."""
    text = action.help or ""
    fields = dict(vars(action), prog=parser.prog)
    return " ".join((text % fields).split()) if "%" in text else " ".join(text.split())


# ---------------------------------------------------------------- bash


def _bash(words: list[Words]) -> str:
    cases = []
    values = []
    for each in words:
        key = " ".join(each.path)
        names = [name for option in each.options for name in option.names]
        files = "yes" if each.takes_file else "no"
        typed = shlex.quote(" ".join([*each.next_words, *names]))
        asked = f'" $({each.asks})"' if each.asks else ""
        cases.append(f"        {shlex.quote(key)}) words={typed}{asked}; files={files} ;;")
        for option in each.options:
            if option.takes is not None:
                pattern = "|".join(shlex.quote(f"{key} {name}") for name in option.names)
                typed = shlex.quote(" ".join(option.takes))
                values.append(f"        {pattern}) words={typed}; value=yes ;;")
    first = " ".join(each.path[0] for each in words if len(each.path) == 1)
    parts = " | ".join(shlex.quote(" ".join(w.path)) for w in words if len(w.path) > 1)
    return f"""# bash completion of remapd; written by `remapd service completion bash`
_remapd() {{
    local current=${{COMP_WORDS[COMP_CWORD]}} previous=${{COMP_WORDS[COMP_CWORD-1]}}
    local words='' files=no value=no command=${{COMP_WORDS[1]-}}
    COMPREPLY=()
    if (( COMP_CWORD == 1 )); then
        COMPREPLY=($(compgen -W '{first} --help --version' -- "$current"))
        return
    fi
    if (( COMP_CWORD > 2 )); then
        case "$command ${{COMP_WORDS[2]}}" in
        {parts}) command="$command ${{COMP_WORDS[2]}}" ;;
        esac
    fi
    case "$command $previous" in
{chr(10).join(values)}
    esac
    if [[ $value == yes ]]; then
        if [[ -n $words ]]; then
            COMPREPLY=($(compgen -W "$words" -- "$current"))
        else
            compopt -o filenames 2>/dev/null
            COMPREPLY=($(compgen -f -- "$current"))
        fi
        return
    fi
    case "$command" in
{chr(10).join(cases)}
    esac
    COMPREPLY=($(compgen -W "$words" -- "$current"))
    if [[ $files == yes && $current != -* ]]; then
        compopt -o filenames 2>/dev/null
        COMPREPLY+=($(compgen -f -- "$current"))
    fi
}}
complete -F _remapd remapd
"""


# ---------------------------------------------------------------- zsh


def _zsh(words: list[Words]) -> str:
    commands = "\n".join(
        f"        {shlex.quote(f'{each.path[0]}:{_colonless(each.help)}')}"
        for each in words
        if len(each.path) == 1
    )
    cases = []
    for each in words:
        lines = []
        for option in each.options:
            names = f"'({' '.join(option.names)})'" if len(option.names) > 1 else ""
            braces = f"{{{','.join(option.names)}}}" if len(option.names) > 1 else option.names[0]
            after = ""
            if option.takes is not None:
                after = f":value:({' '.join(option.takes)})" if option.takes else ":value:_files"
            text = f"[{_bracketless(option.help)}]{after}"
            lines.append(f"{names}{braces}{shlex.quote(text)}")
        if each.next_words:
            lines.append(shlex.quote(f"1:what:({' '.join(each.next_words)})"))
        if each.asks:
            named = f'${{(f)"$({each.asks})"}}'
            lines.append(f"'1:name:{{compadd -- {named}; _files}}'")
        elif each.takes_file:
            lines.append("'*:file:_files'")
        arguments = " \\\n                ".join(["_arguments", *lines])
        cases.append(f"        {shlex.quote(' '.join(each.path))})\n            {arguments} ;;")
    parts = " | ".join(shlex.quote(" ".join(w.path)) for w in words if len(w.path) > 1)
    joined = "\n".join(cases)
    return f"""#compdef remapd
# zsh completion of remapd; written by `remapd service completion zsh`
_remapd() {{
    local -a commands=(
{commands}
    )
    if (( CURRENT == 2 )); then
        _describe 'command' commands
        return
    fi
    local command=$words[2]
    shift words
    (( CURRENT-- ))
    if (( CURRENT > 2 )); then
        case "$command $words[2]" in
        {parts}) command="$command $words[2]"; shift words; (( CURRENT-- )) ;;
        esac
    fi
    case "$command" in
{joined}
    esac
}}
_remapd "$@"
"""


def _colonless(text: str) -> str:
    return text.replace(":", " -")


def _bracketless(text: str) -> str:
    return text.replace("[", "(").replace("]", ")").replace(":", " -")


# ---------------------------------------------------------------- fish


def _fish(words: list[Words]) -> str:
    lines = ["# fish completion of remapd; written by `remapd service completion fish`"]
    first = [each for each in words if len(each.path) == 1]
    lines.append("complete -c remapd -f")
    lines += [
        f"complete -c remapd -n __fish_use_subcommand -a {each.path[0]} -d {_fish_quote(each.help)}"
        for each in first
    ]
    for each in words:
        seen = "; and ".join(f"__fish_seen_subcommand_from {word}" for word in each.path)
        if any(other.path[: len(each.path)] == each.path and other is not each for other in words):
            seen += f"; and not __fish_seen_subcommand_from {' '.join(each.next_words)}"
        when = f"complete -c remapd -n {_fish_quote(seen)}"
        lines += [f"{when} -a {_fish_quote(word)}" for word in each.next_words]
        if each.asks:
            lines.append(f"{when} -a {_fish_quote(f'({each.asks})')}")
        if each.takes_file:
            lines.append(f"{when} -F")
        for option in each.options:
            names = " ".join(
                f"-l {name[2:]}" if name.startswith("--") else f"-s {name[1:]}"
                for name in option.names
            )
            takes = ""
            if option.takes is not None:
                takes = (
                    f" -x -a {_fish_quote(' '.join(option.takes))}" if option.takes else " -r -F"
                )
            lines.append(f"{when} {names}{takes} -d {_fish_quote(option.help)}")
    return "\n".join(lines) + "\n"


def _fish_quote(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace("'", "\\'")
    return f"'{escaped}'"

"""Completion in the shells, made from the commands' own arguments."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from remapd.cli.completion import SHELLS, all_words, completion
from remapd.cli.main import COMMANDS

ASK_BASH = """
source "$1"; shift
COMP_WORDS=("$@"); COMP_CWORD=$(( $# - 1 )); _remapd; printf '%s\\n' "${COMPREPLY[@]}"
"""


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("completion")
    for shell in SHELLS:
        (folder / shell).write_text(completion(shell))
    return {shell: folder / shell for shell in SHELLS}


def in_bash(file: Path, *words: str, folder: Path | None = None) -> set[str]:
    done = subprocess.run(
        ["bash", "-c", ASK_BASH, "bash", str(file), *words],
        check=True,
        capture_output=True,
        text=True,
        cwd=folder,
    )
    assert done.stderr == ""
    return set(done.stdout.split())


def test_every_command_and_part_is_known_with_all_its_options() -> None:
    words = {each.path: each for each in all_words()}

    assert {path[0] for path in words} == set(COMMANDS)
    install = words["service", "install"]
    names = {name for option in install.options for name in option.names}
    assert {"--yes", "--root", "--caregiver", "--no-hiding"} <= names
    assert words["service",].next_words == ("install", "show", "remove", "completion")
    assert install.takes_file


def test_bash_completes_commands_parts_options_and_files(
    files: dict[str, Path], tmp_path: Path
) -> None:
    (tmp_path / "harbour.yaml").touch()
    file = files["bash"]

    assert in_bash(file, "remapd", "dev") == {"devices"}
    assert in_bash(file, "remapd", "") >= set(COMMANDS)
    assert in_bash(file, "remapd", "service", "sh") == {"show"}
    assert in_bash(file, "remapd", "service", "install", "--no") == {"--no-hiding"}
    assert in_bash(file, "remapd", "service", "completion", "z") == {"zsh"}
    assert in_bash(file, "remapd", "devices", "--be") == {"--bench"}
    assert in_bash(file, "remapd", "run", "har", folder=tmp_path) == {"harbour.yaml"}
    # after an option that wants a value come files, not words
    assert in_bash(file, "remapd", "run", "--name", "har", folder=tmp_path) == {"harbour.yaml"}


def test_bash_completes_the_names_of_layouts(
    files: dict[str, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    layouts = tmp_path / "config" / "remapd" / "layouts"
    layouts.mkdir(parents=True)
    for name in ("harbour", "gull", "two words"):
        (layouts / f"{name}.yaml").write_text("remapd: 1\ndevices: {}\nlayers: {play: {}}\n")
    program = tmp_path / "bin" / "remapd"
    program.parent.mkdir()
    program.write_text(f'#!/bin/sh\nexec {sys.executable} -m remapd "$@"\n')
    program.chmod(0o755)
    monkeypatch.setenv("PATH", f"{program.parent}:{os.environ['PATH']}")
    monkeypatch.setenv("PYTHONPATH", str(Path(__file__).parents[2]))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("RUNTIME_DIRECTORY", str(tmp_path))

    assert in_bash(files["bash"], "remapd", "use", "ha", folder=tmp_path) == {"harbour"}
    found = in_bash(files["bash"], "remapd", "use", "", folder=tmp_path)
    assert {"harbour", "gull", "--name"} <= found
    assert "two" not in found


def test_fish_completes_commands_and_parts(files: dict[str, Path]) -> None:
    if shutil.which("fish") is None:
        pytest.skip("fish is not on this machine")

    def ask(line: str) -> set[str]:
        words = ["fish", "--no-config", "-c", f'source {files["fish"]}; complete -C "{line}"']
        done = subprocess.run(words, check=True, capture_output=True, text=True)
        assert done.stderr == ""
        return {each.split("\t")[0] for each in done.stdout.splitlines()}

    assert ask("remapd dev") == {"devices"}
    assert ask("remapd service ") == {"install", "show", "remove", "completion"}
    assert ask("remapd service completion ") == set(SHELLS)
    assert "--no-hiding" in ask("remapd service install --no")


def test_zsh_reads_its_file(files: dict[str, Path]) -> None:
    if shutil.which("zsh") is None:
        pytest.skip("zsh is not on this machine")
    done = subprocess.run(["zsh", "-f", "-n", files["zsh"]], check=False, capture_output=True)

    assert (done.returncode, done.stderr) == (0, b"")
    assert files["zsh"].read_text().startswith("#compdef remapd\n")

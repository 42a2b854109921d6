"""Machine code is used only where it is of exactly the source that is there, else none of it is."""

from __future__ import annotations

import fcntl
import os
import shutil
import signal
import subprocess
import sys
from importlib.machinery import EXTENSION_SUFFIXES
from pathlib import Path

import pytest

import remapd
from remapd.compiling import environment, finder, making, manifest
from remapd.compiling.making import MakingFailed
from remapd.compiling.manifest import Unusable
from remapd.compiling.subject import compiled_files, is_compiled, sources
from tests.conftest import FORM

PACKAGE = Path(remapd.__file__).resolve().parent
ROOT = PACKAGE.parent
#: What a program says of itself: the form, why, and of which kinds the compiled modules' files are.
SAY = """
import sys
from pathlib import Path
from remapd.compiling import finder
from remapd.compiling.subject import is_compiled
finder.install()
import remapd.daemon.loop, remapd.engine, remapd.engine.explain
form = finder.form_in_use()
print(form.name)
print(form.why)
print(*sorted({Path(m.__file__).suffix for n, m in sys.modules.items() if is_compiled(n)}))
"""


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A remapd as it is installed, without a compiled form; its root."""
    shutil.copytree(
        PACKAGE, tmp_path / "remapd", ignore=shutil.ignore_patterns("__pycache__", "data")
    )
    return tmp_path


def put_form(root: Path, code: bytes = b"no library") -> Path:
    """A compiled form as pip puts it there, with these bytes for every library."""
    folder = root / manifest.INSTALLED
    folder.mkdir()
    names = [file.removesuffix(".py").replace("/", ".") for file in compiled_files(root)]
    manifest.write(folder, root, sources(root), "the_library", names)
    for name in (*names, "the_library"):
        (folder / f"{name}{EXTENSION_SUFFIXES[0]}").write_bytes(code)
    return folder


def said(root: Path, **variables: str) -> list[str]:
    """The form, why, and the kinds of files, of a program that uses the remapd in `root`."""
    inherited = {name: value for name, value in os.environ.items() if name != finder.PURE}
    done = subprocess.run(
        [sys.executable, "-P", "-c", SAY],
        env=inherited | {"PYTHONPATH": str(root)} | variables,
        cwd="/",
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.splitlines()


def test_every_frame_goes_through_what_is_compiled_and_plain_data_stays_as_it_is() -> None:
    assert is_compiled("remapd.engine.machine")
    assert is_compiled("remapd.kernel.frames")
    assert not is_compiled("remapd.engine.layout")
    assert not is_compiled("remapd.language.loading")
    files = compiled_files(ROOT)
    assert "remapd/daemon/loop.py" in files
    assert [file for file in files if not (ROOT / file).is_file()] == []


def test_the_code_depends_on_more_than_what_is_compiled() -> None:
    """Constants and types of imported modules are in it, and how it was made."""
    depends_on = sources(ROOT)
    assert set(compiled_files(ROOT)) < set(depends_on)
    assert {"remapd/engine/layout.py", "remapd/codes.py", "remapd/engine/__init__.py"} < set(
        depends_on
    )
    assert "remapd/compiling/compiler.py" in depends_on
    assert not any(file.startswith("remapd/cli/") for file in depends_on)


def test_a_form_of_this_very_source_is_taken(copy: Path) -> None:
    folder = put_form(copy)
    code = manifest.read(folder, copy)
    assert code is not None
    assert set(code.files()) == set(folder.iterdir())


@pytest.mark.parametrize("file", ["remapd/engine/machine.py", "remapd/codes.py"])
def test_a_form_of_other_source_is_not_taken(copy: Path, file: str) -> None:
    folder = put_form(copy)
    about = (copy / file).stat()
    text = (copy / file).read_text()
    (copy / file).write_text(text[:-2] + "#" + text[-1])
    # neither its length nor its time stamp tells
    os.utime(copy / file, ns=(about.st_atime_ns, about.st_mtime_ns))
    assert (copy / file).stat().st_size == about.st_size
    with pytest.raises(Unusable, match=f"source has changed .*{file}"):
        manifest.read(folder, copy)


def test_a_form_for_another_python_is_not_taken(copy: Path) -> None:
    folder = put_form(copy)
    written = folder / manifest.NAME
    written.write_text(written.read_text().replace(EXTENSION_SUFFIXES[0], ".cpython-399.so"))
    with pytest.raises(Unusable, match="another Python"):
        manifest.read(folder, copy)
    assert manifest.read(folder, copy, any_python=True) is not None


def test_why_there_is_none_is_kept(tmp_path: Path) -> None:
    manifest.write_failure(tmp_path / "code", "a C compiler is missing")
    with pytest.raises(Unusable, match="could not be compiled: a C compiler is missing"):
        manifest.read(tmp_path / "code", ROOT)


@pytest.mark.parametrize("text", ["", "[]", "{}", "\0"])
def test_a_manifest_that_is_none_is_told(tmp_path: Path, text: str) -> None:
    (tmp_path / manifest.NAME).write_text(text)
    with pytest.raises(Unusable, match="cannot be read"):
        manifest.read(tmp_path, ROOT)


def test_an_environment_says_why_it_has_none(tmp_path: Path) -> None:
    with pytest.raises(Unusable, match="not made yet"):
        environment.read(tmp_path, ROOT)

    environment.home(tmp_path).mkdir(parents=True)
    environment.write_failure(tmp_path, "no network")
    with pytest.raises(Unusable, match="could not be compiled: no network"):
        environment.read(tmp_path, ROOT)
    assert not environment.is_worth_an_attempt(tmp_path, ROOT)

    environment.forget_failure(tmp_path)
    assert environment.is_worth_an_attempt(tmp_path, ROOT)


def test_one_that_is_being_made_is_waited_for_and_not_made_twice(tmp_path: Path) -> None:
    environment.home(tmp_path).mkdir(parents=True)
    lock = os.open(environment.home(tmp_path) / "lock", os.O_RDONLY | os.O_CREAT)
    fcntl.flock(lock, fcntl.LOCK_EX)
    with pytest.raises(Unusable, match="being made just now"):
        environment.read(tmp_path, ROOT)
    assert not environment.is_worth_an_attempt(tmp_path, ROOT)

    os.close(lock)
    assert not environment.is_being_made(tmp_path)
    environment.wait_while_being_made(tmp_path)


def test_an_environment_with_a_form_of_this_source_needs_no_other(
    tmp_path: Path, copy: Path
) -> None:
    home = environment.home(tmp_path)
    home.mkdir(parents=True)
    put_form(copy).rename(home / "first")
    (home / "current").symlink_to("first")
    code = environment.read(tmp_path, copy)
    # a newer one may take the link over while a program still loads from this
    assert code.folder == home / "first"
    assert not environment.is_worth_an_attempt(tmp_path, copy)

    (copy / "remapd/codes.py").write_text("")
    assert environment.is_worth_an_attempt(tmp_path, copy)


def test_whoever_waits_for_it_takes_over_from_the_background(
    tmp_path: Path, copy: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a busy machine what runs in the background may take for ever."""
    home = environment.home(tmp_path)
    home.mkdir(parents=True)
    hold = "import pathlib, sys, time; from remapd.compiling import making\n"
    hold += "with making._only_one(pathlib.Path(sys.argv[1]), beside=True):\n"
    hold += "    print('held', flush=True); time.sleep(600)"
    background = subprocess.Popen(
        [sys.executable, "-c", hold, str(home)],
        stdout=subprocess.PIPE,
        start_new_session=True,
    )
    assert background.stdout is not None
    assert background.stdout.readline() == b"held\n"

    def put_in_place(home: Path, root: Path) -> None:
        put_form(root).rename(home / "first")
        (home / "current").symlink_to("first")

    monkeypatch.setattr(making, "_put_in_place", put_in_place)
    assert making.make(tmp_path, copy).folder == home / "first"
    assert background.wait(60) == -signal.SIGTERM
    background.stdout.close()


def test_what_stands_in_the_way_is_told_and_remembered(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Here pip, which cannot be started: the environment of these words has none."""
    monkeypatch.setattr("sys.executable", "/bin/false")
    with pytest.raises(MakingFailed, match="pip could not fetch the compiler or run it"):
        making.make(tmp_path, ROOT)
    assert "pip could not" in environment.why_it_failed(tmp_path)
    assert sorted(path.name for path in environment.home(tmp_path).iterdir()) == [
        "failed.json",
        "lock",
    ]


def test_libraries_that_cannot_be_loaded_leave_it_in_pure_python(copy: Path) -> None:
    put_form(copy)
    form, why, kinds = said(copy)
    assert (form, kinds) == ("pure Python", ".py")
    assert "this system cannot load it" in why


def test_a_changed_source_leaves_all_of_it_in_pure_python(copy: Path) -> None:
    put_form(copy)
    with (copy / "remapd/codes.py").open("a") as file:
        file.write("# changed\n")
    form, why, kinds = said(copy)
    assert (form, kinds) == ("pure Python", ".py")
    assert why == "the source has changed since it was compiled (remapd/codes.py)"


def test_the_pure_form_can_be_asked_for(copy: Path) -> None:
    put_form(copy)
    assert said(copy, REMAPD_PURE_PYTHON="1") == [
        "pure Python",
        "REMAPD_PURE_PYTHON asks for it",
        ".py",
    ]


@pytest.mark.skipif(FORM not in os.environ, reason="run by: python3 tests/check.py compiled")
def test_all_of_it_is_compiled_or_nothing(copy: Path) -> None:
    folder = copy / manifest.INSTALLED
    folder.mkdir()
    for file in finder.available().files():
        shutil.copy(file, folder)
    assert said(copy) == ["compiled", "", ".so"]

    with (copy / "remapd/engine/settings.py").open("a") as source:
        source.write("# changed\n")
    assert said(copy)[::2] == ["pure Python", ".py"]

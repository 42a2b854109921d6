"""Makes the compiled form with mypyc: `python -m remapd.compiling.compiler FOLDER`, in a checkout.

Needs mypy, setuptools and a C compiler, so it runs where pip builds remapd (`backend`). What goes
wrong is printed, its last line says what, and the exit code is 1.
"""

from __future__ import annotations

import os
import shutil
import sys
import sysconfig
import tempfile
from importlib.machinery import EXTENSION_SUFFIXES
from pathlib import Path
from typing import Final

from remapd.compiling import manifest
from remapd.compiling.subject import compiled_files, sources

_GROUP: Final = "remapd_machine_code"
#: Without the project's own settings: the build has no other library and no stubs at hand.
_OPTIONS: Final = ("--config-file=", "--ignore-missing-imports")


def main() -> int:
    """Compile the package in the current folder into the folder that is named."""
    missing = what_is_missing()
    if missing:
        print(f"{missing} is missing")
        return 1
    with tempfile.TemporaryDirectory(prefix="remapd-compiling-") as work:
        compile_here(Path(sys.argv[1]), Path(work))
    return 0


def what_is_missing() -> str:
    """What has to be there beside the Python packages and is not."""
    if shutil.which(os.environ.get("CC", "cc").split()[0]) is None and not shutil.which("gcc"):
        return "a C compiler (Debian: gcc)"
    if not Path(sysconfig.get_paths()["include"], "Python.h").exists():
        return "Python.h (Debian: python3-dev)"
    return ""


def compile_here(folder: Path, work: Path) -> None:
    """Compile the package in the current folder into `folder`; `work` is for what comes between."""
    from mypyc.build import mypycify  # noqa: PLC0415 - there only while pip builds
    from setuptools import Distribution  # type: ignore[import-untyped] # noqa: PLC0415

    os.environ["MYPY_CACHE_DIR"] = str(work / "cache")
    extensions = mypycify(
        [*_OPTIONS, *compiled_files(Path())],
        opt_level="2",
        debug_level="0",
        # Measured with gcc 12 and callgrind: 36 s and 200 MB to compile, 12 700 instructions for a
        # frame of two sticks. In one file with -O3: 53 s, 490 MB and 12 800.
        multi_file=True,
        target_dir=str(work / "c"),
        group_name=_GROUP,
    )
    command = Distribution({"name": "remapd", "ext_modules": extensions}).get_command_obj(
        "build_ext"
    )
    command.build_lib, command.build_temp = str(work / "built"), str(work / "objects")
    command.ensure_finalized()
    command.run()

    folder.mkdir(parents=True)
    names = [extension.name for extension in extensions]
    for name in names:
        path = work / "built" / f"{name.replace('.', '/')}{EXTENSION_SUFFIXES[0]}"
        shutil.move(path, folder / f"{name}{EXTENSION_SUFFIXES[0]}")
    library = next(name for name in names if name.startswith(_GROUP))
    manifest.write(
        folder, Path(), sources(Path()), library, [name for name in names if name != library]
    )


if __name__ == "__main__":
    sys.exit(main())

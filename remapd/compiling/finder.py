"""Takes the modules that are compiled from their machine code, where it fits the source.

All or none: the decision falls once in a process, when the first of them is imported.
"""

from __future__ import annotations

import os
import shlex
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.machinery import ExtensionFileLoader, ModuleSpec
from importlib.util import module_from_spec
from pathlib import Path
from types import ModuleType
from typing import Final

from remapd.compiling import environment, manifest
from remapd.compiling.manifest import MachineCode, Unusable
from remapd.compiling.subject import is_compiled

#: The folder in which the package lies: a checkout, or where pip puts packages.
ROOT: Final = Path(__file__).resolve().parents[2]
PURE: Final = "REMAPD_PURE_PYTHON"
COMPILED_NAME, PURE_NAME = "compiled", "pure Python"


@dataclass(frozen=True)
class Form:
    """What runs; `why` it is not the compiled form, a clause, and the line that mends it."""

    is_compiled: bool
    why: str = ""
    mend: str = ""

    @property
    def name(self) -> str:
        """As people and programs are told it."""
        return COMPILED_NAME if self.is_compiled else PURE_NAME


class Finder:
    """For sys.meta_path."""

    def __init__(self) -> None:
        self._decided = False
        self._code: MachineCode | None = None
        self.pure = Form(is_compiled=False)

    def find_spec(
        self,
        fullname: str,
        path: Sequence[str] | None = None,
        target: ModuleType | None = None,
    ) -> ModuleSpec | None:
        """Where a module is loaded from; None leaves it to Python, which takes the source."""
        del path, target
        if not is_compiled(fullname):
            return None
        code = self.decide()
        if code is None or fullname not in code.modules:
            return None
        return _spec(_loader(fullname, code))

    def decide(self) -> MachineCode | None:
        """The compiled form where it is to be used: found out once, then kept."""
        if not self._decided:
            self._decided = True
            try:
                self._code = usable()
            except Unusable as error:
                self.pure = Form(is_compiled=False, why=str(error), mend=mending())
        return self._code


def install() -> Finder:
    """From now on modules come compiled where they can; once is enough."""
    finder = installed()
    if finder is None:
        finder = Finder()
        sys.meta_path.insert(0, finder)
    return finder


def installed() -> Finder | None:
    """The finder of this process."""
    return next((each for each in sys.meta_path if isinstance(each, Finder)), None)


def is_pure_wanted() -> bool:
    """Whether the environment variable asks for the pure form."""
    return os.environ.get(PURE, "0") not in {"", "0"}


def available() -> MachineCode:
    """The compiled form that fits the source that is here.

    Raises:
        Unusable: there is none.
    """
    beside = manifest.read(ROOT / manifest.INSTALLED, ROOT)
    return beside if beside is not None else environment.read(Path(sys.prefix), ROOT)


def why_pure() -> str:
    """Why the compiled form is not there; empty where it is."""
    try:
        available()
    except Unusable as error:
        return str(error)
    return ""


def usable() -> MachineCode:
    """The same, wanted and loaded.

    Raises:
        Unusable: there is none, it is not wanted, or this system cannot load it.
    """
    if is_pure_wanted():
        raise Unusable(f"{PURE} asks for it")
    if any(is_compiled(name) for name in sys.modules):
        raise Unusable("modules of it were imported as source before")
    code = available()
    try:
        # the one library with all the code in it: where it loads, the rest does
        loader = _loader(code.library, code)
        library = module_from_spec(_spec(loader))
        sys.modules[code.library] = library
        loader.exec_module(library)
    except (ImportError, OSError) as error:
        sys.modules.pop(code.library, None)
        raise Unusable(f"this system cannot load it ({error})") from error
    return code


def form_in_use() -> Form:
    """Which form this process runs, or would."""
    finder = installed()
    if finder is None:
        return Form(is_compiled=False, why="another program uses it as a library")
    return Form(is_compiled=True) if finder.decide() is not None else finder.pure


def mending() -> str:
    """What to type or do, in this process' place, to have the compiled form."""
    if is_pure_wanted():
        return f"start it without {PURE}"
    if environment.is_being_made(Path(sys.prefix)):
        return "start it anew in two minutes"
    if (ROOT / "pyproject.toml").is_file():
        return f"{shlex.quote(sys.executable)} -m remapd.compiling"
    return "install remapd again, as at first"


def _loader(name: str, code: MachineCode) -> ExtensionFileLoader:
    return ExtensionFileLoader(name, str(code.file_of(name)))


def _spec(loader: ExtensionFileLoader) -> ModuleSpec:
    spec = ModuleSpec(loader.name, loader, origin=loader.path)
    spec.has_location = True
    return spec

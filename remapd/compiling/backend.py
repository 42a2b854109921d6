"""How pip builds remapd (PEP 517): as setuptools does, with the compiled form put into the wheel.

Where it cannot be compiled, the wheel is of the pure form, and says why. An editable installation
(PEP 660) has none: what is built would lie beside source that changes.
"""

from __future__ import annotations

import base64
import contextlib
import hashlib
import os
import sys
import sysconfig
import tempfile
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from setuptools import build_meta  # type: ignore[import-untyped] # ships no stubs

from remapd.bootstrap import last_line, run_quietly
from remapd.compiling import manifest

#: The compiler; 1.18 names the library of all modules as it is told (`group_name`).
_COMPILER: Final = "mypy>=1.18"

get_requires_for_build_editable = build_meta.get_requires_for_build_editable
get_requires_for_build_sdist = build_meta.get_requires_for_build_sdist
prepare_metadata_for_build_editable = build_meta.prepare_metadata_for_build_editable
prepare_metadata_for_build_wheel = build_meta.prepare_metadata_for_build_wheel
build_editable = build_meta.build_editable
build_sdist = build_meta.build_sdist


def get_requires_for_build_wheel(config_settings: Any = None) -> list[str]:
    """What pip must have at hand to build a wheel."""
    return [*build_meta.get_requires_for_build_wheel(config_settings), _COMPILER]


def build_wheel(
    wheel_directory: str, config_settings: Any = None, metadata_directory: str | None = None
) -> str:
    """Build the wheel in this folder; its file name."""
    with tempfile.TemporaryDirectory(prefix="remapd-wheel-") as work, _built_in(work):
        pure = Path(work, build_meta.build_wheel(work, config_settings, metadata_directory))
        code = Path(work, "machine-code")
        words = [sys.executable, "-m", "remapd.compiling.compiler", str(code)]
        done = run_quietly(words)
        failed = done.returncode != 0
        if failed:
            why = last_line(done)
            print(done.stdout)
            print(f"remapd: it could not be compiled, so it stays pure Python: {why}")
            manifest.write_failure(code, why)
        name = pure.name if failed else pure.name.replace("py3-none-any", _tag())
        _write_wheel(Path(wheel_directory, name), pure, code, is_pure=failed)
    return name


@contextlib.contextmanager
def _built_in(work: str) -> Iterator[None]:
    """Keep setuptools from a `build/` in the checkout, whose old files would get into the wheel."""
    settings = Path(work, "setup.cfg")
    settings.write_text(f"[build]\nbuild_base = {work}/build\n")
    os.environ["DIST_EXTRA_CONFIG"] = str(settings)
    try:
        yield
    finally:
        del os.environ["DIST_EXTRA_CONFIG"]


def _tag() -> str:
    """Of a wheel for this Python on this machine alone (PEP 425)."""
    python = f"cp{sys.version_info.major}{sys.version_info.minor}"
    platform = sysconfig.get_platform().replace("-", "_").replace(".", "_")
    return f"{python}-{python}-{platform}"


def _write_wheel(wheel: Path, pure: Path, code: Path, *, is_pure: bool) -> None:
    """Copy a wheel, with the files of the folder `code` added (the wheel format of PEP 427)."""
    with (
        zipfile.ZipFile(pure) as old,
        zipfile.ZipFile(wheel, "w", compression=zipfile.ZIP_DEFLATED) as new,
    ):
        recorded = []
        record = ""
        for entry in old.infolist():
            content = old.read(entry)
            if entry.filename.endswith(".dist-info/RECORD"):
                record = entry.filename
                continue
            if entry.filename.endswith(".dist-info/WHEEL") and not is_pure:
                text = content.decode().replace("py3-none-any", _tag())
                content = text.replace("Purelib: true", "Purelib: false").encode()
            new.writestr(entry, content)
            recorded.append(_record_line(entry.filename, content))
        for file in sorted(code.iterdir()):
            name = f"{manifest.INSTALLED}/{file.name}"
            content = file.read_bytes()
            new.writestr(name, content)
            recorded.append(_record_line(name, content))
        new.writestr(record, "\n".join([*recorded, f"{record},,", ""]))


def _record_line(name: str, content: bytes) -> str:
    digest = base64.urlsafe_b64encode(hashlib.sha256(content).digest()).rstrip(b"=").decode()
    return f"{name},sha256={digest},{len(content)}"

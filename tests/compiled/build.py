"""The compiled form of remapd: optional, quicker, and the same in all else.

python -m tests.compiled.build FOLDER
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Final

CHECKOUT: Final = Path(__file__).resolve().parents[2]
_WHAT_IS_NEEDED: Final = (
    *("pyproject.toml", "README.md", "LICENSE", "remapd", "systemd", "layouts", "docs"),
)


def build_compiled(folder: Path) -> None:
    """Puts the package `remapd` into `folder`; subprocess.CalledProcessError where it fails.

    Works on a copy, so that nothing built lies about in the checkout, where it would be imported in
    place of changed source. Takes a minute and needs the network, for the compiler.
    """
    with tempfile.TemporaryDirectory(prefix="remapd-build-") as temporary:
        copy = Path(temporary)
        for name in _WHAT_IS_NEEDED:
            if (CHECKOUT / name).is_dir():
                ignored = shutil.ignore_patterns("__pycache__", "*.so")
                shutil.copytree(CHECKOUT / name, copy / name, ignore=ignored)
            elif (CHECKOUT / name).exists():
                shutil.copy(CHECKOUT / name, copy / name)
        shutil.copy(Path(__file__).with_name("compiling.py"), copy / "setup.py")
        words = [sys.executable, "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
        words += ["--no-deps", "--target", str(folder), str(copy)]
        subprocess.run(words, check=True)


if __name__ == "__main__":
    build_compiled(Path(sys.argv[1]))

"""The setup.py of the compiled form; tests/compiled/build.py puts it into a copy of the checkout.

The modules that every frame goes through become machine code, by mypyc, from the same source. Where
they are left as they are, which is the default, remapd does the same and takes longer for it.
"""

from pathlib import Path

from setuptools import setup  # type: ignore[import-untyped] # ships no stubs

#: Plain data, which is read from a layout once or passed between processes: nothing to be gained.
AS_THEY_ARE = {"__init__", "actions", "button_table", "layout", "notices", "settings", "source"}
COMPILED = [
    *(str(p) for p in sorted(Path("remapd/engine").glob("*.py")) if p.stem not in AS_THEY_ARE),
    "remapd/kernel/frames.py",
    "remapd/kernel/pad.py",
    "remapd/kernel/source.py",
    "remapd/daemon/figures.py",
    "remapd/daemon/loop.py",
    "remapd/daemon/way_back.py",
]


def main() -> None:
    """Set up, with the compiler where it is asked for and there."""
    # pip asks for the requirements first, when the compiler is not there yet
    requirements = ["mypy>=1.15"]
    try:
        from mypyc.build import mypycify
    except ImportError:
        setup(setup_requires=requirements)
        return
    # without the project's own settings: the build has no library and no stubs at hand
    options = ["--config-file=", "--ignore-missing-imports"]
    setup(setup_requires=requirements, ext_modules=mypycify([*options, *COMPILED], opt_level="3"))


if __name__ == "__main__":
    main()

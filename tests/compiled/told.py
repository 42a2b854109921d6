"""What one form of remapd does under random input: a digest a line, the same in every run.

    python -m tests.compiled.told make COUNT FILE         draws the cases
    python -m tests.compiled.told play FILE               plays them
    python -m tests.compiled.told play-compiled FILE      plays them with the compiled form

The first line that is printed says which form it was. Both forms play the same file: what is
drawn depends on the program too, as the drawing looks at the constants in its source.
"""

from __future__ import annotations

import copyreg
import hashlib
import pickle
import sys
from importlib.machinery import ExtensionFileLoader
from pathlib import Path
from types import MappingProxyType

from hypothesis import HealthCheck, Phase, given, seed, settings

from remapd.compiling import finder

if sys.argv[1] == "play-compiled":
    finder.install()

import remapd.engine.machine
from remapd.daemon.reading import read_only
from remapd.engine.layout import Layout
from tests.support.random_play import Play
from tests.support.strategies import Step, layouts, scripts

Case = tuple[Layout, Layout, list[Step]]


def draw(count: int) -> list[Case]:
    """Random layouts and scripts."""
    cases: list[Case] = []

    @seed(20)
    @settings(
        max_examples=count,
        phases=[Phase.generate],
        database=None,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(layouts(), layouts(), scripts())
    def keep(first: Layout, second: Layout, script: list[Step]) -> None:
        cases.append((first, second, script))

    keep()
    return cases


def told(first: Layout, second: Layout, script: list[Step]) -> str:
    """A digest of all frames, notices and decisions of one case."""
    done = Play(first, second)
    done.run(script)
    done.run_out(5_000_000)
    return hashlib.sha256(repr(done.told()).encode()).hexdigest()


def main() -> None:
    """Does what the words say."""
    if sys.argv[1] == "make":
        copyreg.pickle(MappingProxyType, lambda mapping: (read_only, (dict(mapping),)))
        Path(sys.argv[3]).write_bytes(pickle.dumps(draw(int(sys.argv[2]))))
        return
    loader = remapd.engine.machine.__spec__.loader
    print("compiled" if isinstance(loader, ExtensionFileLoader) else "pure")
    for case in pickle.loads(Path(sys.argv[2]).read_bytes()):  # noqa: S301 - made a moment ago
        print(told(*case))


if __name__ == "__main__":
    main()

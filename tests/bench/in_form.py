"""What needs no kernel, measured in one form of remapd: `python -m tests.bench.in_form`.

The form is the compiled one unless the environment asks for the pure one, as for every start of
remapd. The results go to standard output, for the process that has asked.
"""

from __future__ import annotations

import pickle
import sys

from remapd.compiling import finder


def main() -> None:
    """Measures, and writes the results."""
    finder.install()  # before anything that is compiled
    from tests.bench.on_machine import measure_here

    sys.stdout.buffer.write(pickle.dumps(measure_here()))


if __name__ == "__main__":
    main()

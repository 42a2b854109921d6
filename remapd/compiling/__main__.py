"""`python -m remapd.compiling`: make the compiled form of this checkout now, and wait for it.

With `--beside` it is what `python3 remapd` starts in the background: silent, and it takes only the
time that nobody else wants.
"""

from __future__ import annotations

import sys
from pathlib import Path

from remapd.compiling import finder, making


def main() -> int:
    """Make it; 0 where it is there in the end, 1 where not."""
    beside = sys.argv[1:] == ["--beside"]
    if not (finder.ROOT / "pyproject.toml").is_file():
        print("remapd: only a checkout is compiled so; install remapd again", file=sys.stderr)
        return 1
    if not beside:
        print("remapd: compiling what every press goes through (a minute or two)", flush=True)
    try:
        making.make(Path(sys.prefix), finder.ROOT, beside=beside)
    except making.MakingFailed as error:
        print(f"remapd: it could not be compiled: {error}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130
    if not beside:
        print("remapd: the compiled form is there, and used from the next start on")
    return 0


sys.exit(main())

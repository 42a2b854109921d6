"""`python -m remapd`, and `python3 remapd` in a fresh checkout, which sets itself up first."""

import sys
from pathlib import Path

if not __package__:
    # Run as a folder: Python has put remapd/ itself on the path, where codes.py and others would
    # stand as top-level modules. The checkout belongs there instead.
    here = Path(__file__).resolve().parent
    sys.path[:] = [str(here.parent), *(p for p in sys.path if Path(p or ".").resolve() != here)]

    from remapd.bootstrap import enter_for_use

    enter_for_use()

from remapd.cli.begin import main

sys.exit(main())

"""How quick remapd is, measured: `python3 tests/bench`, or `python -m tests.bench`."""

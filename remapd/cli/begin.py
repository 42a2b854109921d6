"""Where the program begins: a Ctrl-C while it is still being loaded ends it without a word."""

from __future__ import annotations

import signal


def main() -> int:
    """Load the command line, and run it; the exit code."""
    # Loading takes a tenth of a second, on an old machine one; Python would show where it was.
    loading = signal.getsignal(signal.SIGINT) is signal.default_int_handler
    if loading:
        signal.signal(signal.SIGINT, signal.SIG_DFL)
    from remapd.compiling import finder

    finder.install()  # before anything that is compiled
    from remapd.cli import main as command_line  # that is what takes the time

    if loading:
        signal.signal(signal.SIGINT, signal.default_int_handler)
    return command_line.main()

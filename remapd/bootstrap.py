"""Set-up of a fresh checkout (standard library only): a private environment, then the real program.

Until it is complete, `python3 remapd` uses the interpreter it was started with.
"""


def enter_for_use() -> None:
    """Continue in this interpreter."""

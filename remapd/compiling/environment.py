"""The compiled form of a checkout: kept in its private environment, never beside the source.

lib/remapd-compiled/current     a link to the folder of the newest form
lib/remapd-compiled/lock        held while one is being made
lib/remapd-compiled/failed.json why the last attempt came to nothing
"""

from __future__ import annotations

import fcntl
import json
import os
import time
from pathlib import Path
from typing import Final

from remapd.compiling import manifest
from remapd.compiling.manifest import MachineCode, Unusable

#: An attempt that failed is not repeated unasked for a day: what was missing, such as a network or
#: a compiler, rarely comes sooner, and each attempt costs a minute of the machine.
_AGAIN_AFTER_S: Final = 86_400


def home(environment: Path) -> Path:
    """The folder in which all of it lies."""
    return environment / "lib" / "remapd-compiled"


def read(environment: Path, root: Path, *, any_python: bool = False) -> MachineCode:
    """The form that fits the source below `root`, and this Python unless `any_python`.

    Raises:
        Unusable: there is none; the text says why.
    """
    try:
        # the folder that the link leads to now: it stays when a newer one takes its place
        found = manifest.read(
            (home(environment) / "current").resolve(), root, any_python=any_python
        )
        outdated = ""
    except Unusable as error:
        found, outdated = None, str(error)
    if found is not None:
        return found
    if is_being_made(environment):
        raise Unusable("it is being made just now, and is used from the next start on")
    failure = why_it_failed(environment)
    if failure:
        raise Unusable(f"it could not be compiled: {failure}")
    raise Unusable(outdated or "it was not made yet")


def is_being_made(environment: Path) -> bool:
    """Whether some process is making it."""
    try:
        lock = os.open(home(environment) / "lock", os.O_RDONLY)
    except OSError:
        return False
    try:
        fcntl.flock(lock, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except BlockingIOError:
        return True
    finally:
        os.close(lock)
    return False


def wait_while_being_made(environment: Path) -> None:
    """Returns when nobody is making it any more."""
    try:
        lock = os.open(home(environment) / "lock", os.O_RDONLY)
    except OSError:
        return
    try:
        fcntl.flock(lock, fcntl.LOCK_SH)
    finally:
        os.close(lock)


def is_worth_an_attempt(environment: Path, root: Path) -> bool:
    """Whether it should be made now without having been asked for."""
    try:
        # set-up may be run by another Python than the environment's own
        read(environment, root, any_python=True)
    except Unusable:
        may_write = os.access(environment / "lib", os.W_OK)
        return may_write and not is_being_made(environment) and not _failed_lately(environment)
    return False


def why_it_failed(environment: Path) -> str:
    """What stood in the way of the last attempt; empty where nothing did."""
    return str(_failure(environment).get("why", ""))


def write_failure(environment: Path, why: str) -> None:
    """Remember that an attempt came to nothing, for a day."""
    (home(environment) / "failed.json").write_text(json.dumps({"why": why, "at_s": time.time()}))


def forget_failure(environment: Path) -> None:
    """The next attempt may be made at once."""
    (home(environment) / "failed.json").unlink(missing_ok=True)


def _failed_lately(environment: Path) -> bool:
    failed_s = _failure(environment).get("at_s")
    # a clock that was set back since makes it look like the future: try again then
    return isinstance(failed_s, int | float) and 0 <= time.time() - failed_s < _AGAIN_AFTER_S


def _failure(environment: Path) -> dict[str, object]:
    try:
        failure = json.loads((home(environment) / "failed.json").read_bytes())
    except (OSError, ValueError):
        return {}
    return failure if isinstance(failure, dict) else {}

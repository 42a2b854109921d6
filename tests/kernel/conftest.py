"""What the tests of the running daemon share: mostly the daemon, which takes seconds to start."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
from evdev import UInput

from remapd.compiling.finder import PURE
from tests.support.daemon import Daemon, plugged

_numbers = itertools.count(1)


@pytest.fixture(autouse=True)
def _as_installed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Programs that these tests start run in the form that is installed: the compiled one."""
    monkeypatch.delenv(PURE, raising=False)


@pytest.fixture(scope="session")
def lasting_daemons(tmp_path_factory: pytest.TempPathFactory) -> Iterator[list[Daemon]]:
    """The one daemon that serves test after test, once there is one; a dead one is replaced."""
    del tmp_path_factory
    daemons: list[Daemon] = []
    yield daemons
    for daemon in daemons:
        daemon.close()


@pytest.fixture
def start(lasting_daemons: list[Daemon], tmp_path: Path) -> Iterator[Callable[..., Daemon]]:
    """Gives the lasting daemon a layout of this test's; it may not be ended."""
    used: list[Daemon] = []

    def start_daemon(layout: str, *, path: Path | None = None) -> Daemon:
        layout_path = tmp_path / "layout.yaml" if path is None else path
        layout_path.parent.mkdir(parents=True, exist_ok=True)
        layout_path.write_text(layout)
        if lasting_daemons and lasting_daemons[-1].process.poll() is None:
            lasting_daemons[-1].use(layout_path)
        else:
            lasting_daemons.append(Daemon(tmp_path, layout_path))
        used.append(lasting_daemons[-1])
        return used[-1]

    yield start_daemon
    for daemon in used:
        print(f"--- journal:\n{daemon.journal()}")
        assert daemon.process.poll() is None, "the daemon ended"
        assert "mistake in remapd" not in daemon.journal()


@pytest.fixture
def start_own(lasting_daemons: list[Daemon], tmp_path: Path) -> Iterator[Callable[..., Daemon]]:
    """Starts daemons of this test's own, and ends them after it; the lasting one is paused."""
    daemons: list[Daemon] = []
    for lasting in lasting_daemons:
        if lasting.process.poll() is None:
            lasting.ask("pause")

    def start_daemon(
        layout: str | None = None, *, path: Path | None = None, **details: Any
    ) -> Daemon:
        layout_path = path
        if layout is not None:
            layout_path = tmp_path / f"own-{next(_numbers)}.yaml"
            layout_path.write_text(layout)
        daemons.append(Daemon(tmp_path, layout_path, **details))
        return daemons[-1]

    yield start_daemon
    for daemon in daemons:
        daemon.close()
        print(f"--- journal of {daemon.name}:\n{daemon.journal()}")


@pytest.fixture
def plug() -> Iterator[Callable[..., UInput]]:
    """Plugs source devices in, and unplugs those that are left after the test."""
    with ExitStack() as at_end:

        def plug_device(codes: dict[int, Any], name: str, **described: Any) -> UInput:
            return at_end.enter_context(plugged(codes, name, **described))

        yield plug_device

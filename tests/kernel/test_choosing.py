"""A layout is chosen by a switch, and is in force again after the daemon was killed."""

from __future__ import annotations

import signal
from collections.abc import Callable
from pathlib import Path

from evdev import UInput, ecodes

from tests.support.daemon import BOX, Daemon, press, release, until

Plug = Callable[..., UInput]

LAYOUT = """\
remapd: 1
title: {title}
devices:
  knees:
    find: {{name: Choosing box}}
    controls: {{left-knee: {{button: BTN_0}}, right-knee: {{button: BTN_1}}}}
layers:
  play: {{left-knee: {target}, right-knee: {{layout: {other}}}}}
"""


def test_the_layout_that_a_switch_has_chosen_goes_on_after_a_restart(
    start_own: Callable[..., Daemon], plug: Plug, tmp_path: Path
) -> None:
    folder = tmp_path / "layouts"
    folder.mkdir()
    (folder / "gull.yaml").write_text(
        LAYOUT.format(title="Gull in the wind", target="south", other="Sailing home")
    )
    (folder / "harbour.yaml").write_text(
        LAYOUT.format(title="Sailing home", target="east", other="gull")
    )
    box = plug(BOX, "Choosing box")
    own = {"name": "choosing", "path": folder, "XDG_STATE_HOME": str(tmp_path / "state")}

    daemon = start_own(**own)
    daemon.until_taken("knees")
    press(box, ecodes.BTN_0)
    daemon.game.until_pressed("south")
    release(box, ecodes.BTN_0)
    daemon.game.until_neutral()
    press(box, ecodes.BTN_1)
    daemon.until_status(lambda status: status["layout"]["title"] == "Sailing home")
    release(box, ecodes.BTN_1)
    memory = tmp_path / "state" / "remapd" / "remembered-choosing.json"
    until(lambda: memory.exists() and "harbour.yaml" in memory.read_text())
    daemon.end(signal.SIGKILL)

    daemon = start_own(**own)
    assert "harbour.yaml (“Sailing home”) is in force" in daemon.journal()
    assert "harbour.yaml was chosen last, so it goes on with it" in daemon.journal()
    daemon.until_taken("knees")
    press(box, ecodes.BTN_0)
    daemon.game.until_pressed("east")
    release(box, ecodes.BTN_0)
    daemon.end()

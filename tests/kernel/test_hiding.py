"""The rules that hide claimed devices, applied by a real udev to real nodes.

In the VM only: the rules go to /run/udev of the machine that the test runs on.
"""

from __future__ import annotations

import grp
import os
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from remapd.engine.layout import Layout
from remapd.kernel.hotplug import NodeDescription, list_nodes
from remapd.language import load_text
from remapd.upkeep.device_rules import apply_rules, give_nodes_back
from remapd.upkeep.hiding import plan_hiding, rules_text
from remapd.upkeep.system import System
from tests.support.daemon import BALL, BOX, until
from tests.support.source_devices import make_device, open_source
from tests.support.uhid_pad import UhidJoystick

pytestmark = pytest.mark.skipif(
    "REMAPD_VM_RESULTS" not in os.environ, reason="changes udev's rules: only inside the VM"
)

#: A group that every system has stands for the service's own here.
GROUP = "games"
RULES = Path("/run/udev/rules.d/72-remapd-claimed.rules")
LAYOUT = r"""
remapd: 1
title: Two to hide
devices:
  wheel:
    find: {name: "Wheelhouse*"}
    controls: {lean: {stick: [ABS_X, ABS_Y]}}
  knees:
    find: {name: 'Knee "box" \[1] $5 %'}
    controls: {left-knee: {button: BTN_0}}
  ball:
    find: {name: "Knee ball"}
    exclusive: true
    controls: {roll: {pointer: [REL_X, REL_Y]}}
layers:
  sail: {}
"""


@pytest.fixture(autouse=True)
def rules_gone_afterwards() -> Iterator[None]:
    yield
    RULES.unlink(missing_ok=True)
    subprocess.run(["udevadm", "control", "--reload"], check=True)


def layout() -> Layout:
    loaded = load_text(LAYOUT.replace("[1]", "[[]1]"))
    assert loaded.layout is not None, [str(each.message) for each in loaded.errors]
    return loaded.layout


def apply(nodes: list[NodeDescription]) -> None:
    text = rules_text(plan_hiding(layout(), nodes), "test.yaml")
    assert text is not None
    RULES.parent.mkdir(parents=True, exist_ok=True)
    RULES.write_text(text.replace('GROUP="remapd-devices"', f'GROUP="{GROUP}"'))
    apply_rules(System())


def node_called(name: str) -> NodeDescription | None:
    return next((node for node in list_nodes() if node.name == name), None)


def nodes_of(node: NodeDescription) -> list[Path]:
    """The event node, the old joystick node, and the raw node of the same device."""
    device = (Path("/sys/class/input") / Path(node.path).name / "device").resolve()
    joysticks = [Path("/dev/input", each.name) for each in device.glob("js*")]
    raw = [Path("/dev", each.name) for each in device.parent.parent.glob("hidraw/hidraw*")]
    return [Path(node.path), *joysticks, *raw]


def access(path: Path) -> tuple[str, int]:
    found = path.stat()
    return grp.getgrgid(found.st_gid).gr_name, found.st_mode & 0o777


def properties(path: str) -> dict[str, str]:
    words = ["udevadm", "info", "--query=property", f"--name={path}"]
    told = subprocess.run(words, check=True, capture_output=True, text=True).stdout
    return dict(line.split("=", 1) for line in told.splitlines())


def test_what_is_plugged_in_is_closed_with_all_its_nodes_and_nothing_else_is() -> None:
    with UhidJoystick("Wheelhouse stick", "W7", 50), UhidJoystick("Dock stick", "D1", 50, 0x0B02):
        wheel = until(lambda: node_called("Wheelhouse stick"))
        other = until(lambda: node_called("Dock stick"))
        assert wheel is not None
        assert other is not None
        until(lambda: len(nodes_of(wheel)) == 3)
        subprocess.run(["udevadm", "settle", "--timeout=60"], check=True)
        assert properties(wheel.path)["ID_INPUT_JOYSTICK"] == "1"
        before = [access(path) for path in nodes_of(other)]

        apply(list_nodes())

        assert [access(path) for path in nodes_of(wheel)] == [(GROUP, 0o660)] * 3
        assert "ID_INPUT_JOYSTICK" not in properties(wheel.path)
        assert properties(wheel.path)["LIBINPUT_IGNORE_DEVICE"] == "1"
        assert [access(path) for path in nodes_of(other)] == before
        assert properties(other.path)["ID_INPUT_JOYSTICK"] == "1"


def test_what_is_plugged_in_later_is_closed_from_the_start_by_what_the_layout_looks_for() -> None:
    apply([])
    with (
        make_device(BOX, name='Knee "box" \\[1] $5 %') as box,
        make_device(BOX, name='Knee "box" 1 $5 %') as other,
        make_device(BALL, name="Knee ball") as ball,
    ):
        open_source(box).close()
        subprocess.run(["udevadm", "settle", "--timeout=60"], check=True)
        until(lambda: access(Path(str(box.device.path))) == (GROUP, 0o660))
        assert access(Path(str(other.device.path)))[0] != GROUP
        # a ball moves the desktop's arrow when remapd does not play
        assert access(Path(str(ball.device.path)))[0] != GROUP
        assert "LIBINPUT_IGNORE_DEVICE" not in properties(str(ball.device.path))


def test_taken_back_everything_is_as_it_was() -> None:
    with UhidJoystick("Wheelhouse stick", "W7", 50):
        wheel = until(lambda: node_called("Wheelhouse stick"))
        assert wheel is not None
        until(lambda: len(nodes_of(wheel)) == 3)
        subprocess.run(["udevadm", "settle", "--timeout=60"], check=True)
        before = [access(path) for path in nodes_of(wheel)]
        apply(list_nodes())
        assert access(Path(wheel.path))[0] == GROUP

        RULES.unlink()
        give_nodes_back(grp.getgrnam(GROUP).gr_gid)
        apply_rules(System())

        assert [access(path) for path in nodes_of(wheel)] == before
        assert properties(wheel.path)["ID_INPUT_JOYSTICK"] == "1"

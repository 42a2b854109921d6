"""Hotplug on a real kernel: devices in and out in any order, permissions that come late."""

from __future__ import annotations

import itertools
import os
import stat
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from remapd.codes import EV_KEY
from remapd.kernel.hotplug import HotplugWatch, NodeChange, describe_node, list_nodes
from tests.support.source_devices import (
    BALL,
    EAST,
    SOUTH,
    WAIT_S,
    make_device,
    open_source,
    path_of,
    readable,
)


@pytest.fixture
def watch() -> Iterator[HotplugWatch]:
    made = HotplugWatch()
    yield made
    made.close()


def comes_and_goes(watch: HotplugWatch, count: int) -> list[tuple[NodeChange, str]]:
    """Waits for that many changes besides those of permissions, which udev makes when it can."""
    seen: list[tuple[NodeChange, str]] = []
    while len(seen) < count:
        assert readable(watch), f"only {seen}"
        seen += [
            (event.change, event.path)
            for event in watch.read()
            if event.change is not NodeChange.PERMISSION_CHANGED
        ]
    return seen


@pytest.mark.parametrize("order", list(itertools.permutations(range(3))))
def test_devices_come_and_go_in_any_order(watch: HotplugWatch, order: tuple[int, ...]) -> None:
    devices = [make_device(name=f"device {number}") for number in range(3)]
    paths = [path_of(device) for device in devices]
    assert comes_and_goes(watch, 3) == [(NodeChange.APPEARED, path) for path in paths]
    listed = {node.path: node.name for node in list_nodes()}
    assert [listed[path] for path in paths] == ["device 0", "device 1", "device 2"]
    for number in order:
        devices[number].close()
    assert comes_and_goes(watch, 3) == [(NodeChange.VANISHED, paths[number]) for number in order]
    assert not {node.path for node in list_nodes()} & set(paths)


def test_a_number_that_is_used_again_is_another_device(watch: HotplugWatch) -> None:
    first = make_device()
    path = path_of(first)
    first.close()
    second = make_device(BALL)
    assert path_of(second) == path
    second.close()
    assert [change for change, _ in comes_and_goes(watch, 4)] == [
        *(NodeChange.APPEARED, NodeChange.VANISHED),
        *(NodeChange.APPEARED, NodeChange.VANISHED),
    ]


@pytest.mark.parametrize("codes", [None, BALL, {EV_KEY: [1, 30, 57, SOUTH, 0x2FE]}])
def test_sysfs_tells_what_opening_tells(codes: dict[int, list[int]] | None) -> None:
    with make_device(codes, name="Oar lock", phys="p/0", vendor=0x9001, version=7) as device:
        opened = open_source(device)
        source = opened.source
        opened.close()
        node = describe_node(path_of(device))
    assert node is not None
    assert (node.name, node.port, node.serial) == (source.name, source.port, source.serial)
    assert (node.vendor, node.product) == (source.vendor, source.product)
    assert (node.version, node.bus) == (source.version, source.bus)
    assert (node.keys, node.rels, node.axes) == (
        source.keys,
        source.rels,
        frozenset(source.axes),
    )


LATE_READER = """
import os, select, sys
from remapd.kernel.errors import SourceDenied
from remapd.kernel.hotplug import HotplugWatch, NodeChange
from remapd.kernel.source import SourceDevice
os.setgroups([])
os.setgid(65534)
os.setuid(65534)  # only now: what was imported may lie where this user cannot read
watch = HotplugWatch()
try:
    SourceDevice(sys.argv[1])
    sys.exit("it was not denied")
except SourceDenied as denied:
    print(denied.remedy, flush=True)
while True:
    select.select([watch], [], [])
    if any(event.change is NodeChange.PERMISSION_CHANGED for event in watch.read()):
        break
source = SourceDevice(sys.argv[1])
print(sorted(source.held()), flush=True)
"""


@pytest.mark.skipif(os.getuid() != 0, reason="only root can take and give permissions here")
def test_a_permission_that_comes_late_is_noticed_and_the_held_button_known() -> None:
    with make_device() as device:
        node = Path(path_of(device))
        open_source(device).close()
        settle(node)
        node.chmod(0o600)
        device.write(EV_KEY, EAST, 1)
        device.syn()
        reader = subprocess.Popen(
            [sys.executable, "-c", LATE_READER, str(node)],
            stdout=subprocess.PIPE,
            text=True,
        )
        assert reader.stdout is not None
        assert "access" in reader.stdout.readline()
        node.chmod(0o666)
        assert reader.communicate(timeout=WAIT_S)[0] == f"[{EAST}]\n"
        assert reader.returncode == 0


def settle(node: Path) -> None:
    """Waits until udev has set the permissions, some 100 ms after the node appears."""
    subprocess.run(["udevadm", "settle", "--timeout=10"], check=True)
    deadline = time.monotonic() + WAIT_S
    while not node.stat().st_mode & stat.S_IRGRP:
        assert time.monotonic() < deadline, "udev gives the group no permission"
        time.sleep(0.02)

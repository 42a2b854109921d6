"""Hotplug on plain folders: inotify does not mind what lies in them."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from remapd.engine.source import Source
from remapd.kernel.hotplug import (
    HotplugWatch,
    NodeChange,
    NodeDescription,
    NodeEvent,
    describe_node,
    is_remapd_pad,
    list_nodes,
)

APPEARED = NodeChange.APPEARED
VANISHED = NodeChange.VANISHED
PERMISSION_CHANGED = NodeChange.PERMISSION_CHANGED


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "input"
    made.mkdir()
    return made


@pytest.fixture
def watch(folder: Path) -> Iterator[HotplugWatch]:
    made = HotplugWatch(folder)
    yield made
    made.close()


def changes(watch: HotplugWatch) -> list[tuple[NodeChange, str]]:
    return [(event.change, Path(event.path).name) for event in watch.read()]


def test_nothing_has_happened(watch: HotplugWatch) -> None:
    assert watch.read() == []


def test_nodes_come_go_and_become_readable(folder: Path, watch: HotplugWatch) -> None:
    (folder / "event3").touch(mode=0o600)
    (folder / "event3").chmod(0o660)
    (folder / "event3").unlink()
    (folder / "event3").touch()
    assert watch.read()[0] == NodeEvent(APPEARED, str(folder / "event3"))
    (folder / "event3").unlink()
    assert changes(watch) == [(VANISHED, "event3")]


def test_the_order_of_what_happened_is_kept(folder: Path, watch: HotplugWatch) -> None:
    (folder / "event3").touch()
    (folder / "event4").touch()
    assert [change for change in changes(watch) if change[0] is not PERMISSION_CHANGED] == [
        (APPEARED, "event3"),
        (APPEARED, "event4"),
    ]
    (folder / "event4").chmod(0o600)
    (folder / "event3").unlink()
    (folder / "event4").unlink()
    # a last name that goes is told of as a change of its attributes first: the number of names
    assert [change for change in changes(watch) if change[0] is not PERMISSION_CHANGED] == [
        (VANISHED, "event3"),
        (VANISHED, "event4"),
    ]


def test_a_permission_is_told_of(folder: Path, watch: HotplugWatch) -> None:
    node = folder / "event12"
    node.touch()
    watch.read()
    node.chmod(0o600)
    assert changes(watch) == [(PERMISSION_CHANGED, "event12")]


def test_other_files_are_not_told_of(folder: Path, watch: HotplugWatch) -> None:
    for name in ("js0", "mouse0", "event", "event3x", "by-id"):
        (folder / name).touch()
    assert watch.read() == []


def test_nodes_that_were_there_are_not_told_of(folder: Path) -> None:
    (folder / "event1").touch()
    watch = HotplugWatch(folder)
    assert watch.read() == []
    (folder / "event1").unlink()
    assert (VANISHED, "event1") in changes(watch)
    watch.close()


def test_a_folder_that_comes_later(tmp_path: Path) -> None:
    watch = HotplugWatch(tmp_path / "input")
    (tmp_path / "other").mkdir()
    (tmp_path / "input").mkdir()
    (tmp_path / "input/event0").touch()
    assert changes(watch) == [(APPEARED, "event0")]
    (tmp_path / "input/event1").touch()
    assert (APPEARED, "event1") in changes(watch)
    assert (APPEARED, "event0") not in changes(watch)
    watch.close()


def test_a_folder_that_goes_and_comes_back(folder: Path, watch: HotplugWatch) -> None:
    (folder / "event0").touch()
    watch.read()
    shutil.rmtree(folder)
    assert changes(watch)[-1] == (VANISHED, "event0")
    folder.mkdir()
    (folder / "event0").touch()
    assert changes(watch) == [(APPEARED, "event0")]
    (folder / "event0").unlink()
    assert changes(watch)[-1] == (VANISHED, "event0")


def test_a_folder_that_is_replaced_unseen(folder: Path, watch: HotplugWatch) -> None:
    (folder / "event0").touch()
    (folder / "event1").touch()
    watch.read()
    folder.rename(folder.parent / "old")
    folder.mkdir()
    (folder / "event1").touch()
    told = changes(watch)
    assert sorted(told, key=str) == sorted(
        [(VANISHED, "event0"), (VANISHED, "event1"), (APPEARED, "event1")], key=str
    )
    (folder / "event2").touch()
    assert (APPEARED, "event2") in changes(watch)


def test_when_the_kernel_had_to_drop_changes_the_truth_is_looked_up(
    folder: Path, watch: HotplugWatch
) -> None:
    most = int(Path("/proc/sys/fs/inotify/max_queued_events").read_text())
    (folder / "event7").touch()
    for _ in range(most // 2):
        (folder / "event1").touch()
        (folder / "event1").unlink()
    (folder / "event8").touch()
    (folder / "event7").unlink()
    present: set[str] = set()
    while told := watch.read():
        for event in told:
            if event.change is APPEARED:
                assert event.path not in present
                present.add(event.path)
            elif event.change is VANISHED:
                present.remove(event.path)
    assert present == {str(folder / "event8")}


def test_the_descriptor_is_not_inherited(watch: HotplugWatch) -> None:
    assert not os.get_inheritable(watch.fileno())


# -------------------------------------------------------------------------------------- listing


def write_node(folder: Path, number: int, **attributes: str) -> None:
    device = folder / f"event{number}/device"
    (device / "id").mkdir(parents=True)
    (device / "capabilities").mkdir()
    described = {
        "name": "Two buttons",
        "phys": "",
        "uniq": "",
        "id/vendor": "1209",
        "id/product": "200a",
        "id/version": "0110",
        "id/bustype": "0003",
        "capabilities/key": "0",
        "capabilities/rel": "0",
        "capabilities/abs": "0",
        "capabilities/ff": "0",
    }
    for path, text in (described | attributes).items():
        (device / path).write_text(text + "\n")


def test_listing_reads_sysfs_alone(tmp_path: Path) -> None:
    """The bitmaps are those that Linux 6.1 gives for BTN_SOUTH, BTN_EAST, ABS_X and ABS_HAT0Y."""
    write_node(tmp_path, 10, phys="usb-1/input0", uniq="B7", **{"id/bustype": "0005"})
    write_node(
        tmp_path,
        9,
        **{
            "capabilities/key": "3000000000000 0 0 0 0",
            "capabilities/abs": "20001",
            "capabilities/ff": "107030000 0",  # rumble, periodic in three forms, gain
        },
    )
    nodes = list_nodes(tmp_path, Path("/dev/input"))
    assert [node.path for node in nodes] == ["/dev/input/event9", "/dev/input/event10"]
    assert nodes[0].keys == {0x130, 0x131}
    assert nodes[0].axes == {0, 0x11}
    assert nodes[0].rels == frozenset()
    assert (nodes[0].can_rumble, nodes[1].can_rumble) == (True, False)
    assert (nodes[0].vendor, nodes[0].product, nodes[0].version) == (0x1209, 0x200A, 0x0110)
    assert (nodes[1].port, nodes[1].serial, nodes[1].bus) == ("usb-1/input0", "B7", 5)


def test_a_name_that_is_not_text_is_still_listed(tmp_path: Path) -> None:
    write_node(tmp_path, 1)
    (tmp_path / "event1/device/name").write_bytes(b"Sw\xcftch\n")
    assert list_nodes(tmp_path)[0].name == "Sw\ufffdtch"


def test_a_node_that_vanishes_while_it_is_read_is_left_out(tmp_path: Path) -> None:
    write_node(tmp_path, 1)
    (tmp_path / "event1/device/uniq").unlink()
    assert list_nodes(tmp_path) == []
    assert describe_node("/dev/input/event1", tmp_path) is None


def test_no_input_at_all(tmp_path: Path) -> None:
    assert list_nodes(tmp_path / "missing") == []


def test_our_own_pads_are_known_by_port_and_by_identity() -> None:
    def source(port: str, vendor: int, product: int) -> Source:
        return Source(1, "some pad", vendor=vendor, product=product, port=port)

    assert is_remapd_pad(source("remapd/pad", 0x1234, 0x5678))
    assert is_remapd_pad(source("", 0x1209, 0x5244))
    assert not is_remapd_pad(source("", 0x1209, 0x2001))
    assert not is_remapd_pad(source("usb-1/input0", 0x1234, 0x5678))


def test_a_description_from_sysfs_can_be_asked_too(tmp_path: Path) -> None:
    write_node(tmp_path, 1, phys="remapd/pad")
    (node,) = list_nodes(tmp_path)
    assert isinstance(node, NodeDescription)
    assert is_remapd_pad(node)

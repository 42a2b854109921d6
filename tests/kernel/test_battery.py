"""The battery of a HID device, as the kernel's own driver tells of it."""

from __future__ import annotations

from remapd.kernel.battery import battery_of
from remapd.kernel.hotplug import NodeDescription, list_nodes
from tests.support.daemon import until
from tests.support.source_devices import make_device, path_of
from tests.support.uhid_pad import UhidJoystick


def node_called(name: str) -> NodeDescription | None:
    return next((node for node in list_nodes() if node.name == name), None)


def test_the_battery_that_hangs_on_the_same_device_is_told() -> None:
    with UhidJoystick("Wheelhouse stick", "W7", 37):
        node = until(lambda: node_called("Wheelhouse stick"))
        assert node is not None
        battery = until(lambda: battery_of(node.path))

        assert battery is not None
        assert battery.percent == 37
        assert battery.in_words() == f"battery 37 %, {battery.status}"

        # another device has no battery because of that
        with make_device() as other:
            assert battery_of(path_of(other)) is None


def test_a_node_that_is_gone_has_no_battery() -> None:
    assert battery_of("/dev/input/event9999") is None

"""Which devices a word names, and whether one that is plugged in again is still meant."""

from __future__ import annotations

from remapd.cli.devices import is_one_of, matching
from remapd.kernel.hotplug import NodeDescription


def node(number: int, name: str) -> NodeDescription:
    nothing: frozenset[int] = frozenset()
    path = f"/dev/input/event{number}"
    return NodeDescription(path, name, 1, 1, 1, 3, "", "", frozenset({288}), nothing, nothing)


BOX, BALL = node(5, "Knee box"), node(7, "Ball")
AGAIN, OTHER = node(9, "Knee box"), node(5, "Pad")


def test_what_a_name_means_is_meant_again_at_another_node() -> None:
    meant = is_one_of("knee", matching("knee", [BOX, BALL]))
    assert [meant(each) for each in (BOX, AGAIN, BALL)] == [True, True, False]


def test_a_node_is_that_node_whatever_is_plugged_in() -> None:
    meant = is_one_of("event5", matching("event5", [BOX, BALL]))
    assert [meant(each) for each in (BOX, AGAIN, OTHER)] == [True, False, True]

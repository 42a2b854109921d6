"""What is made of the facts about a system: the judgement alone, without a system."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from remapd.analysis.device_kinds import Kind
from remapd.codes import KEYS
from remapd.kernel.battery import Battery
from remapd.kernel.errors import UinputDenied, UinputMissing
from remapd.kernel.holders import Holder
from remapd.kernel.hotplug import NodeDescription
from remapd.kernel.pad import PAD_PORT
from remapd.language import load_text
from remapd.upkeep.facts import Facts, NodeFacts, Sandboxed
from remapd.upkeep.findings import Finding, Verdict, data, is_well, lines, summary
from remapd.upkeep.health import judge
from remapd.upkeep.page import page

BOX = NodeDescription(
    path="/dev/input/event5",
    name="Knee box",
    vendor=0x1209,
    product=1,
    version=1,
    bus=3,
    port="usb-1",
    serial="",
    keys=frozenset((KEYS["BTN_TRIGGER"],)),
    rels=frozenset(),
    axes=frozenset((0, 1)),
)
PAD = replace(BOX, path="/dev/input/event9", name="remapd pad", port=PAD_PORT)
LAYOUT = """
remapd: 1
title: Two knees
devices:
  knees:
    find: {name: "Knee box"}
    controls: {left-knee: {button: BTN_TRIGGER}}
layers:
  sail: {left-knee: south}
"""
STATUS: dict[str, Any] = {
    "pad": {"name": "remapd pad", "node": PAD.path},
    "layout": {"path": "/x/knees.yaml", "title": "Two knees"},
    "refused": None,
    "paused": None,
    "devices": [
        {
            "device": "knees",
            "optional": False,
            "looks_for": "name “Knee box”",
            "state": "taken",
            "name": "Knee box",
            "node": BOX.path,
            "alone": True,
            "waits_to_be_alone": False,
        }
    ],
    "figures": {"losses": 0},
    "form": {"name": "compiled", "why": "", "mend": ""},
}
WELL = Facts(
    user="kim",
    is_root=False,
    command="remapd",
    uinput=None,
    uinput_at_boot=True,
    uinput_rule="as shipped",
    group_exists=True,
    in_group=True,
    group_in_effect=True,
    has_systemd=True,
    unit="there",
    enabled=True,
    active="active",
    unit_said="",
    status=STATUS,
    no_status_because="",
    daemons=(Path("/run/remapd/main.sock"),),
    layout=Path("/x/knees.yaml"),
    loaded=load_text(LAYOUT),
    nodes=(
        NodeFacts(BOX, Kind.JOYSTICK, is_pad=False, readable=False, open_to_games=False),
        NodeFacts(PAD, Kind.GAMEPAD, is_pad=True, readable=True, open_to_games=True),
    ),
)
STOPPED = replace(WELL, status=None, no_status_because="not running", daemons=())


def to_mend(facts: Facts) -> list[Finding]:
    return [each for each in judge(facts) if each.verdict is Verdict.MEND]


def test_with_everything_in_its_place_all_is_well() -> None:
    findings = judge(WELL)

    assert {each.verdict for each in findings} == {Verdict.WELL}
    assert is_well(findings)
    assert summary(findings) == "All is well."


def with_node(facts: Facts, index: int, **changes: Any) -> Facts:
    nodes = list(facts.nodes)
    nodes[index] = replace(nodes[index], **changes)
    return replace(facts, nodes=tuple(nodes))


def with_device(**changes: Any) -> Facts:
    return replace(WELL, status=STATUS | {"devices": [STATUS["devices"][0] | changes]})


def with_refused(path: str) -> Facts:
    return replace(WELL, status=STATUS | {"refused": {"path": path, "summary": "x"}})


BAD_LAYOUT = load_text(LAYOUT.replace("south", "sooth"))
GAME = Sandboxed(8, "harbour", "org.example.Harbour", frozenset({"dri"}))
MISSING = UinputMissing("/dev/uinput is missing", "run `sudo modprobe uinput`")
DENIED = UinputDenied("no permission to open /dev/uinput", "…")
BROKEN = [
    ("no module", replace(STOPPED, active="inactive", uinput=MISSING), "sudo modprobe uinput"),
    (
        "no permission",
        replace(STOPPED, unit="missing", uinput=DENIED),
        "sudo remapd service install",
    ),
    ("not at boot", replace(WELL, uinput_at_boot=False), "sudo remapd service install"),
    ("an old rule", replace(WELL, uinput_rule="differs"), "sudo remapd service install"),
    ("no rule", replace(WELL, uinput_rule="missing"), "sudo remapd service install"),
    ("no group", replace(WELL, group_exists=False), "sudo remapd service install"),
    (
        "not in the group",
        replace(STOPPED, in_group=False, group_in_effect=False, no_status_because="denied"),
        "sudo usermod --append --groups remapd kim",
    ),
    ("login too old", replace(WELL, group_in_effect=False), "log out and in again"),
    ("not switched on", replace(WELL, enabled=False), "sudo systemctl enable remapd.service"),
    ("not running", replace(STOPPED, active="inactive"), "systemctl start remapd.service"),
    ("fails", replace(STOPPED, active="failed"), "journalctl --unit=remapd.service --lines=20"),
    ("no service, no daemon", replace(STOPPED, unit="missing"), "remapd run /x/knees.yaml"),
    ("no answer", replace(STOPPED, no_status_because="it hangs"), "sudo systemctl restart"),
    ("somebody else's", replace(STOPPED, no_status_because="denied"), "sudo remapd health"),
    ("paused", replace(WELL, status=STATUS | {"paused": "asked for"}), "remapd resume"),
    ("refused", with_refused("/x/knees.yaml"), "remapd check /x/knees.yaml"),
    ("chosen and refused", with_refused("/x/gull.yaml"), "remapd check /x/gull.yaml"),
    ("bad layout", replace(WELL, loaded=BAD_LAYOUT), "remapd check"),
    ("unplugged", with_device(state="missing"), "plug it in"),
    (
        "moved",
        with_device(state="moved", ports=["dock-3/x"], problem="it was at port dock-1/*"),
        "press something on knees; if it stays there: remapd set knees.find.port dock-3/x",
    ),
    ("in other hands", with_device(state="busy"), "end that program"),
    ("unreadable", with_device(state="unreadable", problem="it is odd"), "plug it out and in"),
    ("not allowed", with_device(state="denied"), "sudo remapd service install"),
    ("pad taken", with_node(WELL, 1, taken_alone=True), "switch off there"),
    ("pad not readable", with_node(WELL, 1, readable=False), "sudo setfacl"),
    (
        "in a sandbox",
        replace(WELL, sandboxed=(GAME,)),
        "flatpak override --user --device=input org.example.Harbour",
    ),
    ("seen first", with_node(WELL, 0, open_to_games=True), "sudo remapd service install"),
    (
        "a stranger first",
        replace(with_node(WELL, 0, open_to_games=True), status=STATUS | {"devices": []}),
        "unplug it",
    ),
    (
        "twice the same",
        replace(WELL, daemons=(Path("/run/user/1/remapd/main.sock"), *WELL.daemons)),
        "sudo systemctl stop",
    ),
]


@pytest.mark.parametrize(("facts", "remedy"), [b[1:] for b in BROKEN], ids=[b[0] for b in BROKEN])
def test_each_thing_that_stops_play_is_named_with_what_mends_it(facts: Facts, remedy: str) -> None:
    found = to_mend(facts)

    assert remedy in found[0].remedy
    # what follows from it alone: without a pad nothing runs
    rest = [each for each in found[1:] if "not running" not in each.sentence]
    assert rest == []
    assert summary(found).endswith("to mend; begin with the first.")


@pytest.mark.parametrize(
    ("percent", "status", "verdicts"),
    [
        (80, "discharging", []),
        (25, "discharging", [Verdict.NOTE]),
        (10, "unknown", [Verdict.MEND]),
        (10, "charging", []),
        (None, "discharging", []),
    ],
)
def test_a_battery_is_told_when_it_is_low_and_nobody_charges_it(
    percent: int | None, status: str, verdicts: list[Verdict]
) -> None:
    found = judge(with_node(WELL, 0, battery=Battery(percent, status)))

    assert [each.verdict for each in found if "battery" in each.sentence] == verdicts


def test_the_slower_form_is_a_note_with_the_line_that_mends_it() -> None:
    form = {"name": "pure Python", "why": "it was not made yet", "mend": "make it"}
    facts = replace(WELL, status=STATUS | {"form": form})

    found = next(each for each in judge(facts) if each.subject == "speed")

    assert (found.verdict, found.remedy) == (Verdict.NOTE, "sudo remapd service install")
    assert "it was not made yet" in found.sentence
    by_hand = replace(facts, unit="missing")
    assert "make it" in [each.remedy for each in judge(by_hand)]


def test_a_program_that_may_change_the_pad_once_more_is_a_note() -> None:
    facts = replace(
        with_node(WELL, 1, holders=(Holder(7, "changer"),)),
        uinput_holders=(Holder(5, "remapd"), Holder(7, "changer")),
    )
    (found,) = [each for each in judge(facts) if each.verdict is not Verdict.WELL]

    assert found.verdict is Verdict.NOTE
    assert "changer (7)" in found.sentence


def test_where_another_game_reads_the_pad_a_sandbox_is_only_a_note() -> None:
    facts = replace(
        with_node(WELL, 1, holders=(Holder(9, "harbour"),)),
        sandboxed=(Sandboxed(8, "other", "org.example.Other", frozenset({"dri"})),),
    )

    assert [each.verdict for each in judge(facts) if each.subject == "sandbox"] == [Verdict.NOTE]


def test_a_sandbox_that_shows_controllers_is_not_told() -> None:
    for devices in ({"all"}, {"dri", "input"}):
        seen = Sandboxed(8, "harbour", "org.example.Harbour", frozenset(devices))
        assert is_well(judge(replace(WELL, sandboxed=(seen,))))


def test_a_real_pad_after_ours_or_closed_to_games_does_not_stop_play() -> None:
    later = replace(BOX, path="/dev/input/event12")
    after = with_node(WELL, 0, node=later, open_to_games=True)

    assert is_well(judge(after))
    assert [each.subject for each in judge(WELL) if each.subject == "real pads"] == []


def test_a_device_that_the_layout_can_do_without_may_be_missing() -> None:
    assert is_well(judge(with_device(state="missing", optional=True)))


def test_without_a_daemon_the_layouts_devices_are_looked_for() -> None:
    stopped = replace(STOPPED, active="inactive")
    here = [each for each in judge(stopped) if each.subject == "device `knees`"]
    gone = [each for each in to_mend(replace(stopped, nodes=())) if "knees" in each.subject]

    assert [each.verdict for each in here] == [Verdict.WELL]
    assert len(gone) == 1


def test_a_person_without_a_service_is_not_scolded_for_that() -> None:
    bare = replace(
        WELL,
        unit="missing",
        enabled=False,
        active="inactive",
        uinput_at_boot=False,
        uinput_rule="other",
        group_exists=False,
        in_group=False,
        group_in_effect=False,
    )

    assert is_well(judge(bare))


def test_the_terminal_the_data_and_the_page_say_the_same() -> None:
    findings = judge(with_device(state="missing"))
    (wrong,) = [each for each in findings if each.verdict is Verdict.MEND]

    text = "\n".join(lines(findings))
    html = page(findings, "remapd could not be started")
    told = data(findings)

    assert f"MEND  {wrong.subject}: {wrong.sentence}\n      {wrong.remedy}" in text
    assert told["well"] is False
    assert {"mend", "well"} == {each["verdict"] for each in told["findings"]}
    assert "<h1>remapd could not be started</h1>" in html
    assert html.index("To mend") < html.index("In order")
    assert "plug it in" in html


def test_a_page_keeps_what_others_have_named_from_being_read_as_html() -> None:
    odd = Finding("device `x`", Verdict.MEND, "it is “<script>alert(1)</script>”", "a & b")

    html = page([odd])

    assert "<script>" not in html
    assert "a &amp; b" in html

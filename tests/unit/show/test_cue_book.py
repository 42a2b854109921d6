"""Which cues are played, and when; on virtual time."""

from __future__ import annotations

from typing import Any

import pytest

from remapd.show.cues.book import CueBook
from remapd.show.cues.cue import Cue, Weight, spoken_name
from tests.unit.show.live_messages import Message, layer, notice, pad

S = 1_000_000
MINUTE = 60 * S


def layout(cues: dict[str, Any], *, held: tuple[str, ...] = ("look",)) -> Message:
    names = ("sail", "cast-net", "deck", *held)
    return {
        "ok": True,
        "layout": {
            "title": "Harbour",
            "layers": [{"layer": name, "stays": name not in ("sail", *held)} for name in names],
            "controls": [],
            "verbs": {"steer": "left-stick"},
            "cues": cues,
        },
    }


def book(**cues: Any) -> CueBook:
    made = CueBook()
    made.take([layout({name.replace("_", "-"): cue for name, cue in cues.items()})], 0)
    return made


def heard(cues: list[Cue]) -> list[str]:
    return [cue.say or cue.tone or f"notify {cue.notify}" for cue in cues]


def on(name: str, us: int = 0) -> Message:
    return layer("layer-on", name, us, ["sail", name])


def off(name: str, us: int = 0, layers: tuple[str, ...] = ("sail",)) -> Message:
    return layer("layer-off", name, us, list(layers))


# ---------------------------------------------------------------- layers
def test_a_layer_that_can_stay_on_is_spoken_and_its_end_is_a_tone() -> None:
    cues = book()

    assert heard(cues.take([on("cast-net")], 0)) == ["cast net"]
    assert heard(cues.take([off("cast-net")], 1)) == ["falling"]


def test_a_layer_that_is_only_held_is_felt_in_the_hand_and_not_heard() -> None:
    cues = book()

    assert cues.take([on("look")], 0) == []
    assert cues.take([off("look")], 1) == []


def test_a_layers_own_cue_comes_before_the_default() -> None:
    cues = book(cast_net={"say": "Nets!", "off": {"tone": "low"}}, look={"tone": "high"})

    assert heard(cues.take([on("cast-net")], 0)) == ["Nets!"]
    assert heard(cues.take([off("cast-net")], 1)) == ["low"]
    assert heard(cues.take([on("look")], 2)) == ["high"]
    assert cues.take([off("look")], 3) == []


def test_nothing_is_silence_for_one_layer_for_its_end_or_for_all() -> None:
    cues = book(cast_net=None, deck={"say": "Deck", "off": None})
    assert cues.take([on("cast-net")], 0) == []
    assert cues.take([off("cast-net")], 1) == []
    assert heard(cues.take([on("deck")], 2)) == ["Deck"]
    assert cues.take([off("deck")], 3) == []

    cues = book(layer_on=None)
    assert cues.take([on("cast-net")], 0) == []


def test_one_layer_in_place_of_another_is_one_cue() -> None:
    cues = book()
    cues.take([on("cast-net")], 0)

    assert heard(cues.take([off("cast-net"), on("deck")], S)) == ["deck"]


def test_the_base_has_a_cue_for_coming_back_to_it() -> None:
    cues = book(sail={"say": "Sailing"})
    cues.take([on("cast-net")], 0)

    assert heard(cues.take([off("cast-net")], S)) == ["Sailing"]
    assert heard(cues.take([off("deck", layers=("sail", "cast-net"))], 2 * S)) == ["falling"]


def test_figures_alone_change_the_default() -> None:
    (cue,) = book(layer_on={"loudness": 0.05}).take([on("deck")], 0)

    assert (cue.say, cue.loudness) == ("deck", 0.05)


def test_a_cue_is_felt_on_the_device_that_it_names_and_only_there() -> None:
    cues = book(
        cast_net={"rumble": "chair-pad", "off": {"rumble": "wheel", "strength": 0.1}},
        latch_on={"say": "{name}", "rumble": "wheel", "strength": 0.6},
    )

    (felt,) = cues.take([on("cast-net")], 0)
    assert (felt.rumble, felt.strength, felt.say, felt.tone) == ("chair-pad", 0.3, None, None)
    (felt,) = cues.take([off("cast-net")], 1)
    assert (felt.rumble, felt.strength) == ("wheel", 0.1)
    (felt,) = cues.take([notice("latch-on", "latch hoist", 2)], 2)
    assert (felt.rumble, felt.strength, felt.say) == ("wheel", 0.6, "hoist")
    (not_felt,) = cues.take([on("deck")], 3)
    assert not_felt.rumble is None


# ---------------------------------------------------------------- what lasts
@pytest.mark.parametrize("kind", ["latch", "turbo", "push", "keep"])
def test_what_lasts_by_itself_is_told_after_30_s_and_every_2_minutes(kind: str) -> None:
    cues = book()
    cues.take([notice(f"{kind}-on", f"{kind} cast-net (toggle)", 5 * S)], 5 * S)

    assert cues.due(34 * S) == []
    assert cues.next_due_us() == 35 * S
    assert heard(cues.due(35 * S)) == ["cast net is still on"]
    assert cues.due(36 * S) == []
    assert heard(cues.due(155 * S)) == ["cast net is still on"]
    cues.take([notice(f"{kind}-off", f"{kind} cast-net (toggle)", 160 * S)], 160 * S)
    assert cues.next_due_us() is None


def test_the_time_can_be_set_and_what_ended_meanwhile_is_not_told() -> None:
    cues = book(lasting={"after_us": 60 * S})
    cues.take([notice("latch-on", "latch hoist", 0)], 0)
    assert cues.due(59 * S) == []
    assert heard(cues.due(60 * S)) == ["hoist is still on"]

    for end in ([notice("released", "everything", 0)], [{"event": "paused", "paused": True}]):
        cues = book()
        cues.take([notice("latch-on", "latch hoist", 0)], 0)
        cues.take(end, S)
        assert cues.next_due_us() is None
    cues = book()
    cues.take([notice("latch-on", "latch hoist", 0)], 0)
    cues.disconnected()
    assert cues.next_due_us() is None


def test_a_break_is_asked_for_only_where_a_time_is_set_and_while_there_is_play() -> None:
    assert book().topics == ("layers", "notices", "state")
    cues = book(**{"break": {"after_us": 20 * MINUTE}})
    assert "pad" in cues.topics

    told = []
    for us in range(0, 50 * MINUTE, 10 * S):
        cues.take([pad("south", us)], us)
        told += [(us // MINUTE, cue.say) for cue in cues.due(us)]
    assert told == [(20, "Time for a break"), (40, "Time for a break")]


def test_five_minutes_of_rest_begin_the_time_anew_and_nobody_who_rests_is_told() -> None:
    cues = book(**{"break": {"after_us": 20 * MINUTE}})
    cues.take([pad("south", 0)], 0)
    cues.take([pad("south", 0)], 4 * MINUTE)

    assert cues.due(25 * MINUTE) == []
    cues.take([pad("south", 0)], 26 * MINUTE)
    assert cues.due(26 * MINUTE) == []
    cues.take([pad("south", 0)], 30 * MINUTE)
    cues.take([pad("south", 0)], 34 * MINUTE)
    assert cues.due(34 * MINUTE) == []


def test_a_chosen_layout_is_spoken_and_a_saved_one_is_not() -> None:
    told = {"event": "layout", "us": 0, "path": "/l/gull.yaml", "applied": True, "title": "Gull"}

    assert heard(book().take([told | {"chosen": True}], 0)) == ["Gull"]
    assert book().take([told | {"chosen": False}], 0) == []
    assert book(layout_chosen=None).take([told | {"chosen": True}], 0) == []


def test_a_plug_that_has_moved_is_told_and_told_again_until_somebody_has_pressed() -> None:
    cues = book()
    asks = "A plug has moved. Press something on left box"
    moved = {"device": "left-box", "state": "moved", "asked": True}
    waits = {"device": "right-box", "state": "moved", "asked": False}

    assert heard(cues.take([notice("plug-moved", "left-box", 0)], 0)) == [asks]
    assert cues.take([{"ok": True, "status": {"devices": [moved, waits]}}], MINUTE) == []
    assert heard(cues.take([{"status": {"devices": [moved, waits]}}], 2 * MINUTE)) == [asks]
    taken = {"device": "left-box", "state": "taken"}
    assert cues.take([{"status": {"devices": [taken]}}], 9 * MINUTE) == []


def test_a_low_battery_is_told_once_until_it_was_charged() -> None:
    cues = book()

    assert cues.battery("chin", 40, "discharging") == []
    assert heard(cues.battery("chin", 15, "discharging")) == ["The battery of chin is low"]
    assert cues.battery("chin", 10, "discharging") == []
    assert cues.battery("chin", 12, "charging") == []
    assert len(cues.battery("chin", 9, "discharging")) == 1
    assert cues.battery("chin", None, "unknown") == []


# ---------------------------------------------------------------- events
def test_an_overruled_helper_is_told_in_the_games_word_and_not_again_and_again() -> None:
    cues = book()
    event = notice("overruled", "left-stick", 0, "helper")

    (cue,) = cues.take([event], 0)

    assert (cue.tone, cue.notify) == ("low", "The player comes first: steer waits.")
    assert cues.take([event], S) == []
    assert len(cues.take([event], 5 * S)) == 1


def test_a_refused_press_is_heard_where_the_layout_asks_for_it() -> None:
    event = notice("refused", "left-knee", 0)

    assert book().take([event], 0) == []
    cues = book(refused={"tone": "low"})
    assert heard(cues.take([event], 0)) == ["low"]
    assert cues.take([event], S // 2) == []
    assert heard(cues.take([event], S)) == ["low"]


def test_what_an_action_says_is_spoken_whole_and_at_once() -> None:
    (cue,) = book().take([notice("say", "I need a break - now", 0)], 0)

    assert (cue.say, cue.weight) == ("I need a break - now", Weight.IMPORTANT)


def test_scan_items_are_spoken_by_their_names() -> None:
    cues = book()

    said = [
        heard(cues.take([notice("scan-item", item, n * S)], n * S))
        for n, item in enumerate(["hoist", "layer cast-net (toggle)", 'say "Help"'])
    ]

    assert said == [["hoist"], ["cast net"], ["Help"]]


def test_layouts_devices_and_pauses() -> None:
    cues = book(layout_applied={"tone": "rising"}, resumed={"say": "Going on"})
    applied = {"event": "layout", "us": 0, "path": "/x/a.yaml", "applied": True, "title": "A"}
    refused = {**applied, "applied": False, "summary": "one error", "problems": ""}

    assert heard(cues.take([applied], 0)) == ["rising"]
    assert cues.wants() == ["layout"]
    assert heard(cues.take([refused], S)) == [
        "notify a.yaml was refused, what was in force before stays"
    ]
    assert heard(cues.take([notice("device-lost", "knees", 0)], 2 * S)) == ["notify knees is gone"]
    assert cues.take([{"event": "paused", "paused": True}], 3 * S) == []
    assert heard(cues.take([{"event": "paused", "paused": False}], 4 * S)) == ["Going on"]


def test_nothing_chatters_whatever_comes() -> None:
    cues = book(latch_on={"tone": "low"}, latch_off={"tone": "low"})

    played = []
    for ms in range(0, 10_000, 10):
        us = ms * 1000
        played += cues.take([notice("latch-on" if ms % 20 else "latch-off", "latch a", us)], us)

    assert 30 <= len(played) <= 70


def test_notices_that_are_no_cues_are_passed_over() -> None:
    cues = book()
    for kind in ("remapd", "layout", "something-of-a-later-version"):
        assert cues.take([notice(kind, "x", 0)], 0) == []
    assert cues.take([{"event": "something"}, {"ok": True}, {"ok": False, "error": "x"}], 0) == []


@pytest.mark.parametrize(
    ("label", "name"),
    [
        ("latch cast-net", "cast net"),
        ("turbo cast-net (toggle)", "cast net"),
        ("layer more (next)", "more"),
        ("hoist", "hoist"),
        ("keep", "keep"),
        ('say "No - wait"', "No - wait"),
    ],
)
def test_names_as_they_are_spoken(label: str, name: str) -> None:
    assert spoken_name(label) == name

"""What a report counts, on sessions of known presses; and the page that tells it."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from remapd.analysis.effort import Intensity, Posture
from remapd.analysis.play_figures import figures
from remapd.engine.layout import Layout
from remapd.recording.reader import open_recording
from remapd.show.report_chart import clock, lanes_of, length, strip_svg, strips_of
from remapd.show.report_effort import Judged
from remapd.show.report_page import report_page
from remapd.show.report_play import Play, PlayReading
from tests.support.layouts import load_or_fail
from tests.support.markup import parsed
from tests.support.recordings import Take

CHECKOUT = Path(__file__).parents[3]
S = 1_000_000
LAYOUT = """\
remapd: 1
title: Three switches & a <stick>
base: sail
verbs: {hoist: south, steer: left-stick, cast-net: right-trigger}
devices:
  box:
    find: {name: "Switch box"}
    controls:
      one: {button: BTN_0, acceptance-delay: 80ms, repeat-guard: 200ms}
      two: {button: BTN_1}
      three: {button: BTN_2}
  board:
    find: {name: "Joystick"}
    controls:
      foot: {stick: [ABS_X, ABS_Y]}
  aide:
    person: helper
    find: {name: "Aide"}
    controls:
      near: {button: BTN_0}
layers:
  sail:
    one: hoist
    two: {turbo: cast-net, rate: 5/s}
    three: {layer: net, how: toggle}
    foot: steer
    near: hoist
  net:
    one: {latch: north}
"""


def play_of(take: Take) -> Play:
    def no_other_layout(path: str, text: str) -> Layout:
        raise AssertionError(path, text)

    reading = PlayReading(take.reader(), load_or_fail(LAYOUT), no_other_layout)
    for _ in reading:
        pass
    return reading.play


def stretches(play: Play, name: str) -> list[tuple[int, int]]:
    return next(t.stretches for t in play.watched.hands.values() if t.name == name)


def test_touches_presses_and_refusals_are_told_apart() -> None:
    take = Take(LAYOUT)
    take.tap("one", 1000, 50)  # brushed: shorter than the acceptance delay
    take.tap("one", 2000, 400)
    take.tap("one", 2450, 300)  # so soon after that it is taken for a tremor
    take.end(10_000)

    play = play_of(take)

    track = next(t for t in play.watched.hands.values() if t.name == "one")
    assert track.stretches == [(1000_000, 1050_000), (2 * S, 2400_000), (2450_000, 2750_000)]
    assert track.accepted == 1
    assert [why for _, why in track.refused] == ["acceptance-delay", "repeat-guard"]
    assert play.pad["south"].stretches == [(2080_000, 2400_000)]


def test_the_chatter_of_a_contact_is_one_touch() -> None:
    take = Take(LAYOUT)
    for at in (100, 104, 108):
        take.press("two", at)
        take.release("two", at + 2)
    take.tap("two", 112, 500)
    take.end(1000)

    assert stretches(play_of(take), "two") == [(100_000, 612_000)]


def test_presses_of_a_turbo_but_its_first_are_the_machine_s() -> None:
    take = Take(LAYOUT)
    take.press("two", 0)  # at 5 a second: presses at 0, 200, 400, 600 and 800 ms
    for at in (220, 240, 260):  # what else happens while one lasts is no press of it
        take.move("foot", at / 300, 0.0, at)
    take.release("two", 950)
    take.end(2000)

    play = play_of(take)

    assert len(play.pad["right-trigger"].stretches) == 5
    assert play.watched.machine_presses == [4, 0]
    assert len(stretches(play, "two")) == 1


def test_a_latch_is_told_for_as_long_as_it_lasts() -> None:
    take = Take(LAYOUT)
    take.tap("three", 0, 100)
    take.tap("one", 1000, 100)
    take.tap("one", 4000, 100)
    take.end(10_000)

    (lasting,) = play_of(take).lasting

    assert (lasting.label, lasting.stretches) == ("latch north", [(1080_000, 4080_000)])


def test_a_latch_that_is_never_ended_lasts_to_the_end() -> None:
    take = Take(LAYOUT)
    take.tap("three", 0, 100)
    take.tap("one", 1000, 100)
    take.end(10_000)

    (lasting,) = play_of(take).lasting

    assert lasting.stretches == [(1080_000, 10 * S)]


def test_layers_and_people_are_told_in_time() -> None:
    take = Take(LAYOUT)
    take.tap("three", 1000, 100)
    take.tap("near", 2000, 1000)
    take.tap("three", 6000, 100)
    take.move("foot", 1.0, 0.0, 7000)
    take.move("foot", 0.0, 0.0, 10_000)
    take.end(10_000)

    play = play_of(take)

    assert play.watched.layers == {"sail": [(0, 10 * S)], "net": [(1 * S, 6 * S)]}
    given = play.watched.given_us.values()
    assert [sum(each[person] for each in given) for person in (0, 1)] == [3 * S, 1 * S]
    assert stretches(play, "foot") == [(7 * S, 10 * S)]
    assert play.pad["left-stick"].levels[80] == pytest.approx(1.0)


def test_what_is_held_at_the_end_and_at_an_unplugging_ends_there() -> None:
    take = Take(LAYOUT)
    take.press("one", 1000)
    take.press("near", 2000)
    take.writer.unplugged(3 * S, 2)
    take.end(5000)

    play = play_of(take)

    assert stretches(play, "one") == [(1 * S, 5 * S)]
    assert stretches(play, "near") == [(2 * S, 3 * S)]


def page_of(play: Play, judged: Judged | None = None) -> str:
    return report_page(play, "<session> & more.jsonl", judged or Judged())


def cells(page: str, caption: str) -> dict[str, list[str]]:
    """A table of the page: its rows by their names."""
    for table in parsed(page).iter("table"):
        if table.findtext("caption") == caption:
            rows = [["".join(cell.itertext()) for cell in row] for row in table.iter("tr")]
            return {row[0]: row[1:] for row in rows}
    raise AssertionError(caption)


def test_the_page_gives_the_figures_and_needs_nothing_from_outside() -> None:
    take = Take(LAYOUT)
    for at in range(0, 300_000, 2000):
        take.tap("one", at, 400)
    take.writer.mark(300 * S, "שלום <b>")
    take.end(300_000)
    play = play_of(take)
    judged = Judged(Intensity.LIGHT, Posture.GOOD, hours_per_day=3.0)

    page = page_of(play, judged)

    hands = cells(page, "Presses and holds of each control")
    assert hands["one (player)"][:4] == ["150", "30.0", "30", "0.0"]
    assert cells(page, "Share of the play")["player"][2:5] == ["150", "30.0", "0.0"]
    # F 0.5 a second and D 20 %: HAL 3.47, worked out from the published equation. Light, 20 %, 30
    # a minute, good, fair, 3 h: Strain Index 1 * 1 * 3 * 1 * 1 * 0.75.
    assert cells(page, "Effort, as if one limb did each row alone")["one (player)"] == [
        "0.50",
        "20%",
        "3.5",
        "2.25",
    ]
    take = Take(LAYOUT)
    take.tap("near", 0, 400)
    take.end(1000)
    helpers = cells(page_of(play_of(take), judged), "Effort, as if one limb did each row alone")
    assert helpers["near (helper)"][-1] == "not judged"  # what is judged are the player's efforts
    assert cells(page, "Time in each layer")["sail"] == ["1", "5 min 0 s", "100%"]
    for foreign in ("<script", "src=", "href", "@import", "http://example"):
        assert foreign not in page
    tables = list(parsed(page).iter("details"))
    assert tables
    assert all("open" in each.attrib for each in tables)  # what is closed is not printed
    assert "no diagnosis" in page
    assert "therapist" in page
    ids = [each.attrib["id"] for each in parsed(page).iter() if "id" in each.attrib]
    assert len(ids) == len(set(ids))


def test_a_session_in_which_nothing_happened_is_told_too() -> None:
    take = Take(LAYOUT)
    take.end(0)
    page = page_of(play_of(take))

    assert "Nothing was pressed or moved." in page
    assert "No press was refused." in page
    parsed(page)


def test_the_shipped_session_has_a_lane_for_all_that_was_used() -> None:
    demo = CHECKOUT / "remapd/show/data/harbour-demo.jsonl"
    with open_recording(demo) as recording:
        from remapd.cli.layout_file import layout_of_text

        reading = PlayReading(recording, None, layout_of_text)
        for _ in reading:
            pass
    lanes = lanes_of(reading.play, {})

    labels = [lane.label for lane in lanes]
    assert labels[:3] == ["roll", "left knee", "right knee"]
    assert {"layer net", "layer more", "left stick, helper"} <= set(labels)
    (strip,) = strips_of(reading.play.duration_us)
    root = parsed(strip_svg(lanes, strip, 1))
    texts = {"".join(each.itertext()) for each in root.iter() if each.tag.endswith("text")}
    assert set(labels) <= texts


@pytest.mark.parametrize("duration_s", [0, 1, 59, 61, 600, 3600, 86_400])
def test_strips_cover_the_session_once_and_are_few(duration_s: int) -> None:
    strips = strips_of(duration_s * S)

    assert strips[0].from_us == 0
    assert strips[-1].until_us == max(duration_s * S, 1)
    assert all(a.until_us == b.from_us for a, b in pairwise(strips))
    assert len(strips) <= 12


def test_times_are_told_as_people_tell_them() -> None:
    assert [clock(us * S) for us in (5, 65, 3725)] == ["0:05", "1:05", "1:02:05"]
    assert [length(us) for us in (400_000, 12 * S, 185 * S, 3720 * S)] == [
        "0.4 s",
        "12 s",
        "3 min 5 s",
        "1 h 2 min",
    ]


def test_an_hour_of_steady_presses_is_drawn_in_few_marks() -> None:
    take = Take(LAYOUT)
    for at in range(0, 3_600_000, 500):
        take.tap("two", at, 200)
    take.end(3_600_000)
    play = play_of(take)

    page = page_of(play)

    assert figures(stretches(play, "two"), play.duration_us).efforts == 7200
    assert len(page) < 1_500_000

"""The layout language, section 4: lead, tuning, rest, say and layout."""

from __future__ import annotations

from remapd.engine import NoticeKind
from tests.language.board import board, frames
from tests.support.bench import Bench

BARE = "shortest-press: 0ms"


# ------------------------------------------------------------------ lead


def test_lead_of_a_stick_counts_that_person_alone() -> None:
    """Section 4, lead: "while on, for these pad controls ... that person alone counts"."""
    bench = Bench(
        board(
            "play: {mate: {lead: helper, for: [left-stick]}, wand: left-stick, tiller: left-stick}"
        )
    )
    bench.move("wand", 1, 0, at=1000)
    bench.move("tiller", 0, -1, at=1100)  # player-first: not seen
    bench.press("mate", at=1200)
    bench.move("wand", 0, 1, at=1300)
    bench.release("mate", at=1400)

    assert frames(bench, 3000) == [
        "1000: left-stick 32767 0",
        "1200: left-stick 0 -32767",
        "1400: left-stick 0 32767",
    ]


def test_lead_leaves_other_pad_controls() -> None:
    """Section 4, lead: only "for these pad controls"."""
    bench = Bench(
        board("play: {mate: {lead: helper, for: [left-stick, south]}, knee: south, cheek: east}")
    )
    bench.press("mate", at=0)
    bench.tap("knee", at=100, length=100)
    bench.tap("cheek", at=300, length=100)

    assert frames(bench, 1000) == ["300: press east", "400: release east"]


def test_lead_of_all_without_for() -> None:
    """Section 4, lead: "(all, unless said)"."""
    bench = Bench(
        board(
            "play: {mate: {lead: helper, how: toggle}, crew: south, knee: south, wand: left-stick, "
            "pedal: right-trigger, cheek: dpad-up}"
        )
    )
    bench.tap("mate", at=0, length=50)
    bench.tap("knee", at=100, length=50)
    bench.move("wand", 1, 0, at=200)
    bench.move("pedal", 1, at=300)
    bench.tap("cheek", at=400, length=50)
    bench.tap("crew", at=500, length=50)

    assert frames(bench, 1000) == ["500: press south", "550: release south"]


def test_lead_takes_a_pressed_button_away_and_gives_it_back() -> None:
    """Section 4, lead: what the other holds counts again when it is off."""
    bench = Bench(board("play: {mate: {lead: helper}, knee: south}"))
    bench.press("knee", at=0)
    bench.press("mate", at=100)
    bench.release("mate", at=300)
    bench.release("knee", at=400)

    assert frames(bench, 1000) == [
        "0: press south",
        "100: release south",
        "300: press south",
        "400: release south",
    ]


def test_lead_toggled() -> None:
    """Section 4, lead: "`how: hold|toggle`"."""
    bench = Bench(board("play: {mate: {lead: helper, how: toggle}, knee: south}"))
    bench.tap("mate", at=0, length=50)
    bench.tap("knee", at=100, length=50)
    bench.tap("mate", at=200, length=50)
    bench.tap("knee", at=300, length=50)

    assert frames(bench, 1000) == ["300: press south", "350: release south"]


def test_player_may_lead_over_a_rule() -> None:
    """Section 4, lead: that person alone, whatever `merge` says."""
    bench = Bench(
        board(
            "play: {knee: {lead: player, for: [south]}, cheek: south, mate: south}",
            top="merge: {south: helper-only}",
        )
    )
    bench.tap("cheek", at=0, length=50)
    bench.press("knee", at=100)
    bench.press("mate", at=150)
    bench.tap("cheek", at=200, length=50)
    bench.release("knee", at=300)
    bench.release("mate", at=400)

    assert frames(bench, 1000) == [
        "200: press south",
        "250: release south",
        "300: press south",
        "400: release south",
    ]


# ------------------------------------------------------------------ tuning


TIRED = "tunings:\n  tired: {cheek: {acceptance-delay: 200ms}, wand: {reach: 50%}}"


def test_tunings_values_are_in_force_while_on() -> None:
    """Section 4, tuning: "that tuning's values are in force"."""
    bench = Bench(
        board("play: {knee: {tuning: tired, how: toggle}, cheek: south}", top=TIRED + "\n" + BARE)
    )
    bench.tap("cheek", at=0, length=300)
    bench.tap("knee", at=400, length=50)
    bench.tap("cheek", at=500, length=300)
    bench.tap("knee", at=900, length=50)
    bench.tap("cheek", at=1000, length=300)

    assert frames(bench, 2000) == [
        "0: press south",
        "300: release south",
        "700: press south",
        "800: release south",
        "1000: press south",
        "1300: release south",
    ]


def test_tuning_is_held_where_nothing_is_said() -> None:
    """Section 4: "`how:` is `hold` where nothing is said"."""
    bench = Bench(board("play: {knee: {tuning: tired}, cheek: south}", top=TIRED))
    bench.press("knee", at=0)
    bench.tap("cheek", at=100, length=300)
    bench.release("knee", at=500)
    bench.tap("cheek", at=600, length=300)

    assert frames(bench, 2000) == [
        "300: press south",
        "400: release south",
        "600: press south",
        "900: release south",
    ]


def test_press_under_way_keeps_the_values_it_began_with() -> None:
    """Section 12, 7: "A press under way keeps the `tuning` values it began with"."""
    bench = Bench(
        board(
            "play: {knee: {tuning: tired, how: toggle}, cheek: south}",
            top="tunings:\n  tired: {cheek: {acceptance-delay: 20ms, release-delay: 300ms}}",
            cheek="acceptance-delay: 400ms, release-delay: 100ms",
        )
    )
    bench.press("cheek", at=0)
    bench.tap("knee", at=100, length=50)
    bench.release("cheek", at=600)
    bench.tap("cheek", at=1000, length=100)

    assert frames(bench, 3000) == [
        "400: press south",
        "700: release south",
        "1020: press south",
        "1400: release south",
    ]


def test_stick_takes_new_values_with_its_next_sample() -> None:
    """Section 12, 7: "a stick takes the new ones with its next sample"."""
    bench = Bench(
        board(
            "play: {knee: {tuning: tired, how: toggle}, wand: left-stick}",
            top=TIRED,
            wand="dead-zone: 0%",
        )
    )
    bench.move("wand", 0.5, 0, at=0)
    bench.tap("knee", at=100, length=50)
    bench.move("wand", 0.499, 0, at=200)
    bench.move("wand", 0.5, 0, at=300)
    bench.tap("knee", at=400, length=50)
    bench.move("wand", 0.25, 0, at=500)

    assert frames(bench, 1000) == [
        "0: left-stick 16384 0",
        "200: left-stick 32701 0",
        "300: left-stick 32767 0",
        "500: left-stick 8192 0",
    ]


def test_tuning_of_a_pointers_speed() -> None:
    """Section 2: `tunings` change a pointer's `full-speed` too."""
    bench = Bench(
        board(
            "play: {knee: {tuning: tired}, ball: left-stick}",
            top="tunings:\n  tired: {ball: {full-speed: 400/s}}",
        )
    )
    bench.count("ball", 24, 0, at=0)
    bench.press("knee", at=100)
    bench.count("ball", 24, 0, at=200)

    assert frames(bench, 1000) == [
        "0: left-stick 16384 0",
        "60: left-stick 0 0",
        "200: left-stick 32767 0",
        "260: left-stick 0 0",
    ]


def test_release_everything_ends_no_tuning() -> None:
    """Section 12, 7: "`release: everything` ends no tuning"."""
    bench = Bench(board("play: {knee: {tuning: tired, how: toggle}, cheek: south}", top=TIRED))
    bench.tap("knee", at=0, length=50)
    bench.release_everything(at=100)
    bench.tap("cheek", at=200, length=300)

    assert frames(bench, 2000) == ["400: press south", "500: release south"]


# ------------------------------------------------------------------ rest


REST = "{rest: 2s}"


def test_rest_makes_the_pad_neutral_whatever_is_pressed() -> None:
    """Section 4, rest: "the pad goes neutral and stays so, whatever is pressed"."""
    bench = Bench(
        board(f"play: {{knee: {REST}, cheek: south, elbow: east, wand: left-stick, mate: north}}")
    )
    bench.press("cheek", at=0)
    bench.move("wand", 1, 0, at=10)
    bench.press("mate", at=20)
    bench.tap("knee", at=100, length=100)
    bench.tap("elbow", at=500, length=100)
    bench.move("wand", 0, 1, at=700)
    bench.release("cheek", at=800)

    assert frames(bench, 9000) == [
        "0: press south",
        "10: left-stick 32767 0",
        "20: press north",
        "100: release south, release north, left-stick 0 0",
    ]


def test_holding_the_control_ends_the_rest() -> None:
    """Section 4, rest: "holding this control for 2 s ends it"."""
    bench = Bench(board(f"play: {{knee: {REST}, cheek: south}}"))
    bench.tap("knee", at=0, length=100)
    bench.tap("knee", at=1000, length=1999)
    bench.tap("cheek", at=3000, length=100)
    bench.press("knee", at=4000)
    bench.tap("cheek", at=5900, length=50)
    bench.until(6000)
    bench.release("knee", at=6100)
    bench.tap("cheek", at=6200, length=100)

    assert frames(bench, 9000) == ["6200: press south", "6300: release south"]


def test_sticks_take_their_targets_at_once_after_a_rest() -> None:
    """Section 12, 1: "when it ends, sticks take their targets at once"."""
    bench = Bench(board(f"play: {{knee: {REST}, wand: left-stick}}"))
    bench.tap("knee", at=0, length=100)
    bench.move("wand", 0, -1, at=500)
    bench.tap("knee", at=1000, length=2500)

    assert frames(bench, 9000) == ["3000: left-stick 0 -32767"]


def test_held_button_acts_only_after_a_fresh_press_after_a_rest() -> None:
    """Section 12, 1: "and a held button acts only after a fresh press"."""
    bench = Bench(board(f"play: {{knee: {REST}, cheek: south, elbow: east}}"))
    bench.press("elbow", at=0)
    bench.tap("knee", at=100, length=100)
    bench.press("cheek", at=500)
    bench.tap("knee", at=1000, length=2500)
    bench.release("cheek", at=4000)
    bench.release("elbow", at=4100)
    bench.tap("cheek", at=5000, length=100)
    bench.tap("elbow", at=6000, length=100)

    assert frames(bench, 9000) == [
        "0: press east",
        "100: release east",
        "5000: press south",
        "5100: release south",
        "6000: press east",
        "6100: release east",
    ]


def test_rest_ends_all_that_lasts_by_itself() -> None:
    """Section 12, 1: "`rest` first does what `release: everything` does"."""
    bench = Bench(
        board(
            f"sail: {{knee: {REST}, cheek: {{latch: south}}, elbow: {{layer: net, how: toggle}}, "
            "thumb: {turbo: east, rate: 5/s, how: toggle}, "
            "heel: {push: left-stick, toward: up, how: toggle}}",
            "net: {chin: west}",
        )
    )
    for at, control in enumerate(("cheek", "elbow", "thumb", "heel")):
        bench.tap(control, at=at * 20, length=20)
    bench.tap("knee", at=130, length=50)
    before = len(frames(bench, 1000))
    bench.press("knee", at=1000)
    bench.until(3000)
    bench.release("knee", at=3100)
    bench.tap("chin", at=4000, length=50)  # the toggled layer is off

    assert len(frames(bench, 9000)) == before
    assert bench.neutral
    assert frames(bench)[-1] == "130: release south, release east, left-stick 0 0"


def test_rest_while_a_turbo_is_held() -> None:
    """Section 12, 1 with section 4: neither during the rest nor after it without a fresh press."""
    bench = Bench(board(f"play: {{knee: {REST}, cheek: {{turbo: south, rate: 5/s}}}}"))
    bench.press("cheek", at=0)
    bench.tap("knee", at=250, length=50)
    bench.tap("knee", at=1000, length=2500)
    bench.release("cheek", at=4000)
    bench.tap("cheek", at=5000, length=50)

    assert frames(bench, 9000) == [
        "0: press south",
        "100: release south",
        "200: press south",
        "250: release south",
        "5000: press south",
        "5100: release south",
    ]


def test_rest_is_not_delayed() -> None:
    """Section 7: "`release: everything`, `rest`, ... are not delayed"."""
    bench = Bench(board(f"play: {{knee: {REST}, cheek: south}}"))
    bench.press("cheek", at=0)
    bench.press("knee", at=10)

    assert frames(bench, 1000) == ["0: press south", "10: release south"]


# ------------------------------------------------------------------ say, layout


def test_say_gives_a_notice_and_nothing_on_the_pad() -> None:
    """Section 4, say: "a cue and a notice; nothing on the pad"."""
    bench = Bench(board('play: {knee: {say: "I need a break"}}'))
    bench.tap("knee", at=10, length=100)
    said = [(n.us, n.text, n.person) for n in bench.notices if n.kind is NoticeKind.SAY]

    assert frames(bench, 1000) == []
    assert said == [(10_000, "I need a break", 0)]


def test_say_of_the_helper_names_the_helper() -> None:
    """Section 4, say: a notice is somebody's."""
    bench = Bench(board('play: {mate: {say: "Ready about"}}'))
    bench.tap("mate", at=10, length=100)
    said = [(n.text, n.person) for n in bench.notices if n.kind is NoticeKind.SAY]

    assert said == [("Ready about", 1)]


def test_layout_is_asked_for_and_changes_nothing_by_itself() -> None:
    """Section 4, layout, and section 12, 5: in a replay only `layout` lines change layouts."""
    bench = Bench(board("play: {knee: {layout: other.yaml}, cheek: south}"))
    bench.press("cheek", at=0)
    bench.tap("knee", at=100, length=50)
    bench.release("cheek", at=300)
    asked = [(n.us, n.text) for n in bench.notices if n.kind is NoticeKind.LAYOUT]

    assert asked == [(100_000, "other.yaml")]
    assert frames(bench, 1000) == ["0: press south", "300: release south"]

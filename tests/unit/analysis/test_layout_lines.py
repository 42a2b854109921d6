"""The lines that are offered for a layout: pasted, they pick the very device they were made for."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import assume, given
from hypothesis import strategies as st

from remapd.analysis.layout_lines import codes_in_words, control_lines, find_line
from remapd.codes import AXES, KEYS, RELS
from remapd.engine.layout import ButtonControl, LeverControl
from remapd.engine.matching import LETTER_KEYS, match
from remapd.engine.settings import Rest
from remapd.engine.source import AxisRange, Source
from remapd.language import load_text

BOX = Source(0, "Switch box", 0x1209, 0x2001, keys=frozenset((KEYS["BTN_0"], KEYS["BTN_1"])))


def layout_with(find: str, controls: list[str]) -> str:
    lines = ["remapd: 1", "title: pasted", "devices:", "  thing:", f"    {find}"]
    lines += [f"    {line}" for line in controls]
    return "\n".join([*lines, "layers:", "  play: {}"]) + "\n"


def taker_of(find: str, controls: list[str], sources: list[Source]) -> list[int]:
    """The ids of the sources that a layout with these lines takes."""
    loaded = load_text(layout_with(find, controls))
    assert loaded.layout is not None, [str(error) for error in loaded.errors]
    return list(match(loaded.layout, sources))


def test_alone_a_name_is_enough() -> None:
    assert find_line(BOX, []).text == 'find: {name: "Switch box"}'
    assert find_line(BOX, []).because == ""


def test_two_alike_are_told_apart_by_their_serial_numbers_first() -> None:
    one = replace(BOX, serial="B1", port="usb-1")
    other = replace(BOX, id=1, serial="B2", port="usb-2")

    line = find_line(one, [other])

    assert line.text == 'find: {name: "Switch box", serial: "B1"}'
    assert "serial number" in line.because


def test_without_serial_numbers_by_their_sockets_and_it_is_said() -> None:
    one = replace(BOX, port="usb-1")
    other = replace(BOX, id=1, port="usb-2")

    line = find_line(one, [other])

    assert line.text == 'find: {name: "Switch box", port: "usb-1"}'
    assert "same" in line.because


def test_a_serial_number_that_is_not_there_tells_nothing_apart() -> None:
    one = replace(BOX, port="usb-1")
    other = replace(BOX, id=1, port="usb-2", serial="B2")

    assert "serial" not in find_line(one, [other]).text


def test_where_nothing_tells_two_apart_that_is_said() -> None:
    line = find_line(BOX, [replace(BOX, id=1)])

    assert line.text == 'find: {name: "Switch box"}'
    assert "nothing tells the two apart" in line.because


def test_another_of_the_same_name_that_cannot_do_the_same_is_no_rival() -> None:
    # as a box that shows a second node for its lamp
    other = replace(BOX, id=1, keys=frozenset((KEYS["KEY_VOLUMEUP"],)))

    assert find_line(BOX, [other]).text == 'find: {name: "Switch box"}'


def test_a_gamepad_is_taken_whole() -> None:
    pad = replace(BOX, keys=frozenset((KEYS["BTN_SOUTH"],)))

    assert control_lines(pad) == ["controls: gamepad"]


def test_pressed_keys_come_first_in_the_order_of_their_press() -> None:
    assert control_lines(BOX, pressed=[KEYS["BTN_1"]]) == [
        "controls:",
        "  switch-1: {button: BTN_1}",
        "  switch-2: {button: BTN_0}",
    ]


def test_of_a_keyboard_only_what_was_pressed_is_named() -> None:
    keyboard = replace(BOX, keys=LETTER_KEYS)

    assert control_lines(keyboard) == []
    assert control_lines(keyboard, pressed=[KEYS["KEY_F"]]) == [
        "controls:",
        "  switch-1: {button: KEY_F}",
    ]


def test_sticks_levers_and_balls_are_what_they_are() -> None:
    axes = {AXES[name]: AxisRange(0, 255) for name in ("ABS_X", "ABS_Y", "ABS_Z", "ABS_RZ")}
    device = Source(0, "x", rels=frozenset((RELS["REL_X"], RELS["REL_Y"])), axes=axes)

    lines = control_lines(device, {AXES["ABS_Z"]: 255, AXES["ABS_RZ"]: 128})

    assert lines == [
        "controls:",
        "  roll: {pointer: [REL_X, REL_Y], full-speed: 600/s}",
        "  stick: {stick: [ABS_X, ABS_Y]}",
        "  lever-1: {lever: ABS_Z, rests-at: high}",
        "  lever-2: {lever: ABS_RZ, rests-at: middle}",
    ]
    loaded = load_text(layout_with('find: {name: "x"}', lines)).layout
    assert loaded is not None
    rests = [c.settings.rests_at for c in loaded.controls if isinstance(c, LeverControl)]
    assert rests == [Rest.HIGH, Rest.MIDDLE]


def test_a_name_with_the_signs_of_a_pattern_matches_itself_alone() -> None:
    odd = replace(BOX, name='Box [No. 1]* "left" \\ é?')
    near = replace(BOX, id=1, name='Box N* "left" \\ é!')

    assert taker_of(find_line(odd, [near]).text, control_lines(odd), [near, odd]) == [odd.id]


sources = st.builds(
    Source,
    id=st.just(0),
    name=st.sampled_from(["Switch box", "Box*", "[odd]", "Ball?", 'quo"ted', "back\\slash"]),
    vendor=st.sampled_from([0x1209, 0x1234]),
    product=st.sampled_from([1, 2]),
    port=st.sampled_from(["", "usb-1/input0", "usb-2/input0"]),
    serial=st.sampled_from(["", "A1", "A*", "B2"]),
    keys=st.frozensets(
        st.sampled_from([KEYS[n] for n in ("BTN_0", "BTN_1", "BTN_SOUTH", "KEY_A", "BTN_TRIGGER")]),
        min_size=1,
    ),
    rels=st.sampled_from([frozenset(), frozenset((0, 1))]),
    axes=st.sampled_from([{}, {0: AxisRange(0, 9), 1: AxisRange(0, 9)}, {2: AxisRange(0, 9)}]),
)


@given(st.lists(sources, min_size=1, max_size=5))
def test_pasted_lines_pick_the_device_they_were_made_for(made: list[Source]) -> None:
    plugged = [replace(source, id=number) for number, source in enumerate(made)]
    for source in plugged:
        others = [other for other in plugged if other is not source]
        line = find_line(source, others)
        assume("nothing tells the two apart" not in line.because)

        assert taker_of(line.text, control_lines(source), plugged) == [source.id]


@given(sources)
def test_every_button_of_a_small_device_is_named_once(source: Source) -> None:
    assume(KEYS["BTN_SOUTH"] not in source.keys)
    loaded = load_text(layout_with("find: {name: x}", control_lines(source))).layout

    assert loaded is not None
    codes = [c.code for c in loaded.controls if isinstance(c, ButtonControl)]
    assert sorted(codes) == sorted(source.keys)


def test_long_rows_of_keys_are_told_shortly() -> None:
    box = replace(BOX, keys=frozenset(KEYS[f"BTN_{n}"] for n in (0, 1, 2, 3, 7)))

    assert codes_in_words(box) == ["BTN_0 to BTN_3", "BTN_7"]

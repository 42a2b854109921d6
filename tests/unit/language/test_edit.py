"""One value in the text of a layout: in every style in which a caregiver may have written it."""

from __future__ import annotations

import pytest

from remapd.language.edit import EditImpossible, with_value

KNEE = ("devices", "knees", "controls", "left-knee", "debounce")


def text_with(control: str) -> str:
    return f"remapd: 1\ndevices:\n  knees:\n    controls:\n      left-knee:{control}\n"


@pytest.mark.parametrize(
    ("control", "wanted"),
    [
        (" {button: BTN_0}", " {button: BTN_0, debounce: 8ms}"),
        (" { button: BTN_0 }  # left", " { button: BTN_0, debounce: 8ms }  # left"),
        (" {}", " {debounce: 8ms}"),
        (" {debounce: 15ms, button: BTN_0}", " {debounce: 8ms, button: BTN_0}"),
        (" {'debounce': \"15ms\"}", " {'debounce': 8ms}"),
        (
            " {button: BTN_0,  # the box\n        longest: 2s,  # é\n      }  # end",
            " {button: BTN_0,  # the box\n        longest: 2s, debounce: 8ms,  # é\n      }  # end",
        ),
        (
            "\n        button: BTN_0  # the box\n        # more\n\n      # of the next\n",
            "\n        button: BTN_0  # the box\n        debounce: 8ms\n        # more\n\n"
            "      # of the next\n",
        ),
        (
            "  # Séb's knee\n         button: BTN_0\n         debounce:   15ms   # é\n",
            "  # Séb's knee\n         button: BTN_0\n         debounce:   8ms   # é\n",
        ),
    ],
)
def test_each_style_is_kept(control: str, wanted: str) -> None:
    assert with_value(text_with(control), KNEE, "8ms") == text_with(wanted)


def test_a_file_without_a_last_line_end_gets_none() -> None:
    text = text_with("\n        button: BTN_0")[:-1]
    assert with_value(text, KNEE, "8ms") == f"{text}\n        debounce: 8ms"


def test_a_top_level_setting_is_added_after_the_head() -> None:
    text = "remapd: 1\ntitle: Boat # hers\nnotes: |\n  Two\n  lines\n\n# devices\ndevices: {}\n"
    assert with_value(text, ["tap"], "80ms") == text.replace("lines\n", "lines\ntap: 80ms\n")


def test_a_group_that_is_missing_is_written_in_braces() -> None:
    text = text_with(" {button: BTN_0}")
    path = (*KNEE[:-1], "reach", "left")
    assert "{button: BTN_0, reach: {left: 70%}}" in with_value(text, path, "70%")


def test_text_is_put_in_quotes_only_where_it_must_be() -> None:
    text = "remapd: 1\ntitle: Boat\n"
    assert with_value(text, ["title"], "Her boat", is_words=True).endswith("title: Her boat\n")
    awkward = with_value(text, ["title"], 'Boat: "Sea" # 2', is_words=True)
    assert awkward.endswith('title: "Boat: \\"Sea\\" # 2"\n')


@pytest.mark.parametrize(
    "value",
    ["8ms, button: BTN_9", "8ms, x", "8ms}", "8ms # x", "8ms\nx: 1", "{a: 1", "*x", "a: b", ""],
)
def test_what_is_no_single_value_is_refused(value: str) -> None:
    with pytest.raises(EditImpossible):
        with_value(text_with(" {button: BTN_0}"), KNEE, value)


@pytest.mark.parametrize(
    ("path", "why"),
    [
        (("notes",), "several lines"),
        (("devices", "knees"), "several lines"),
        (("remapd", "tap"), "not written as a group"),
    ],
)
def test_what_cannot_be_changed_in_place_says_so(path: tuple[str, ...], why: str) -> None:
    text = "remapd: 1\nnotes: |\n  Two\n  lines\ndevices:\n  knees:\n    optional: true\n"
    with pytest.raises(EditImpossible, match=why):
        with_value(text, path, "8ms")

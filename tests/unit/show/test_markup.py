"""What is written as markup can be read back, whatever the text is."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from remapd.show.markup import clean, plain, tag
from tests.support.markup import parsed

any_text = st.text(st.characters(), max_size=40)  # lone surrogates and control characters too


@given(any_text, any_text)
def test_any_text_comes_back_from_an_element_and_its_attributes(inner: str, value: str) -> None:
    root = parsed(tag("text", plain(inner), x=1.5, aria_label=value))

    # XML reads a carriage return as a line feed, and any white space in an attribute as a space.
    assert (root.text or "") == clean(inner).replace("\r\n", "\n").replace("\r", "\n")
    assert root.attrib["x"] == "1.5"
    assert root.attrib["aria-label"].split() == clean(value).split()


def test_numbers_are_short_and_what_is_not_given_is_left_out() -> None:
    written = tag("rect", x=2.0, y=1 / 3, width=7, class_="frame", stroke=None)

    assert written == '<rect x="2" y="0.33" width="7" class="frame"/>'

"""The generated pages are those that the schema, the messages and the cases make today."""

import pytest

from tests.generate_language_pages import CHECKOUT, pages

PAGES = pages()


@pytest.mark.parametrize("path", PAGES)
def test_a_generated_page_is_fresh(path: str) -> None:
    written = (CHECKOUT / path).read_text(encoding="utf-8")

    assert written == PAGES[path], "python -m tests.generate_language_pages writes it anew"

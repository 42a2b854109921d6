"""Every message has a layout that shows it, with its place and words."""

import pytest
import yaml

from remapd.language import render
from remapd.language.messages import REGISTRY
from remapd.language.reporter import Reporter
from remapd.language.text import SourceText
from remapd.language.yaml_errors import report_yaml_error
from tests.diagnostics.case_files import Case, made_cases, written_cases

CASES = [*written_cases(), *made_cases()]


@pytest.mark.parametrize("case", CASES, ids=[case.name for case in CASES])
def test_exactly_what_is_expected_is_found(case: Case) -> None:
    found = sorted(
        (
            each.span.file.rpartition("/cases/")[2],
            each.span.line,
            each.severity.value,
            each.code,
        )
        for each in case.diagnostics
    )
    expected = sorted((each.file, each.line, each.severity, each.code) for each in case.expected)

    assert found == expected, "\n\n".join(map(case.shown, case.diagnostics))


@pytest.mark.parametrize("case", CASES, ids=[case.name for case in CASES])
def test_the_words_and_columns_are_as_expected(case: Case) -> None:
    for expected in case.expected:
        candidates = [
            each
            for each in case.diagnostics
            if (each.span.file.rpartition("/cases/")[2], each.span.line, each.code)
            == (expected.file, expected.line, expected.code)
        ]
        fitting = [
            each
            for each in candidates
            if expected.column in (None, each.span.column)
            and all(words in case.said(each) for words in expected.words)
        ]

        assert fitting, f"{expected}\n" + "\n".join(map(case.shown, candidates))


@pytest.mark.parametrize("case", CASES, ids=[case.name for case in CASES])
def test_an_error_leaves_no_layout_and_a_warning_does(case: Case) -> None:
    assert case.is_built != any(each.is_error for each in case.diagnostics)


def test_every_message_has_a_case() -> None:
    shown = {each.code for case in CASES for each in case.diagnostics}

    assert set(REGISTRY) - shown == {"not-yaml"}  # no file is known that needs it; see below


def test_what_the_parser_says_in_words_unknown_to_us_is_shown_as_it_is() -> None:
    source = SourceText("new.yaml", "remapd: 1\n")
    reporter = Reporter()
    reporter.texts["new.yaml"] = source

    report_yaml_error(yaml.YAMLError("something new"), source, reporter)

    assert [each.code for each in reporter.diagnostics] == ["not-yaml"]
    assert "(something new)" in render(reporter.diagnostics[0])

"""The last lines of a check run, which people and machines read."""

from pathlib import Path

import pytest

from tests.check import Outcome, read_report, sum_up


def report(folder: Path, counts: str) -> Path:
    path = folder / "report.xml"
    path.write_text(f"<testsuites><testsuite {counts}/></testsuites>")
    return path


def test_a_report_is_counted(tmp_path: Path) -> None:
    path = report(tmp_path, 'tests="10" failures="1" errors="2" skipped="3"')

    outcome = read_report(path, 1, "here")

    assert outcome == Outcome(False, passed=4, failed=3, skipped=3, place="here")


def test_no_test_at_all_is_a_failure(tmp_path: Path) -> None:
    assert not read_report(report(tmp_path, 'tests="0"'), 0, "here").succeeded


def test_only_skipped_tests_are_a_failure(tmp_path: Path) -> None:
    assert not read_report(report(tmp_path, 'tests="5" skipped="5"'), 0, "here").succeeded


def test_no_report_is_a_failure_that_says_so(tmp_path: Path) -> None:
    outcome = read_report(tmp_path / "none.xml", 124, "in a VM")

    assert not outcome.succeeded
    assert "ended early, exit code 124" in outcome.place


def test_the_last_line_sums_up_and_the_lines_before_say_where(
    capsys: pytest.CaptureFixture[str],
) -> None:
    outcomes = {
        "tests": Outcome(True, passed=40, place="on this machine"),
        "kernel": Outcome(True, passed=2, skipped=1, place="in a VM"),
    }

    assert sum_up(outcomes, [], 9.0) == 0

    lines = capsys.readouterr().out.splitlines()
    assert lines[-4:] == [
        "other tests: 40 passed, 0 failed on this machine",
        "tests of the compiled form: not asked for",
        "kernel tests: 2 passed, 0 failed, 1 skipped in a VM",
        "42 passed, 0 failed, 1 skipped in 9.0s",
    ]


def test_a_failed_step_without_tests_counts_as_one_failure(
    capsys: pytest.CaptureFixture[str],
) -> None:
    outcomes = {"lint": Outcome(False), "tests": Outcome(True, passed=40, place="here")}

    assert sum_up(outcomes, [], 9.0) == 1

    lines = capsys.readouterr().out.splitlines()
    assert lines[-1] == "40 passed, 1 failed in 9.0s"
    assert "kernel tests: not asked for" in lines

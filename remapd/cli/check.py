"""Prove that layouts can play: what is reached, by whom, how, and what stands in the way."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any

from remapd.cli.layout_file import layouts_named
from remapd.diagnostics import Span
from remapd.language import Loaded, load, render


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the layouts and how the result is shown."""
    parser.add_argument("layouts", nargs="+", type=Path, metavar="LAYOUT", help="a layout file")
    parser.add_argument(
        "--all", action="store_true", help="show every pad control, not only what the game needs"
    )
    parser.add_argument("--json", action="store_true", help="print the result for tools")


def run(args: argparse.Namespace) -> int:
    """Check each layout; exit code 1 where one has errors or lacks what its game needs."""
    results: list[dict[str, Any]] = []
    can_play = True
    for number, path in enumerate(layouts_named(args.layouts)):
        loaded = load(path)
        if number and not args.json:
            print()
        if args.json:
            result, plays = checked_data(path, loaded)
            results.append(result)
        else:
            plays = show(path, loaded, everything=args.all)
        can_play &= plays
    if args.json:
        print(json.dumps({"remapd-check": 1, "layouts": results}, indent=2, ensure_ascii=False))
    return 0 if can_play else 1


def show(path: Path, loaded: Loaded, *, everything: bool) -> bool:
    """Print the report of one layout; whether it can play."""
    from remapd.analysis.check import check
    from remapd.analysis.report_text import report_text

    for diagnostic in loaded.diagnostics:
        print(render(diagnostic), file=sys.stderr)
    if loaded.layout is None:
        count = len(loaded.errors)
        print(f"{path}: {'an error' if count == 1 else f'{count} errors'}; mend the file first")
        return False
    report = check(loaded.layout)
    places = [str(place_of(loaded, each.places) or "") for each in report.findings]
    print(report_text(report, str(path), places, everything=everything))
    return report.can_play


def checked_data(path: Path, loaded: Loaded) -> tuple[dict[str, Any], bool]:
    """The report of one layout as data, and whether it can play."""
    from remapd.analysis.check import check
    from remapd.analysis.report_json import report_data

    problems = [
        {
            "code": each.code,
            "severity": each.severity.value,
            "message": each.message,
            "remedies": list(each.remedies),
            "place": {
                "file": each.span.file,
                "line": each.span.line,
                "column": each.span.column,
            },
        }
        for each in loaded.diagnostics
    ]
    if loaded.layout is None:
        return {"file": str(path), "can-play": False, "problems": problems}, False
    report = check(loaded.layout)
    spans = [place_of(loaded, each.places) for each in report.findings]
    places = [None if span is None else (span.file, span.line, span.column) for span in spans]
    return {**report_data(report, str(path), places), "problems": problems}, report.can_play


def place_of(loaded: Loaded, places: tuple[tuple[str, ...], ...]) -> Span | None:
    """Where a finding stands: the first of its places that the file has."""
    return next((loaded.places[place] for place in places if place in loaded.places), None)

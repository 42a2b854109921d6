"""The trace tells what became of each press, and what came on or went off by it."""

from __future__ import annotations

from tests.language.board import board
from tests.support.bench import Bench


def told(bench: Bench) -> list[str]:
    return [f"{line.us // 1000}: {line.subject}: {line.text}" for line in bench.trace]


def test_a_long_press_and_the_layer_that_it_puts_on_are_told() -> None:
    bench = Bench(
        board(
            "sail: {knee: {short: south, long: {layer: net, how: toggle}, after: 400ms}}",
            "net: {cheek: east}",
        )
    )
    bench.tap("knee", at=0, length=100)
    bench.press("knee", at=1000)
    bench.until(1500)

    lines = told(bench)
    assert "100: knee: let go before 400 ms: south" in lines
    assert "1400: knee: held for 400 ms: layer net (toggle)" in lines
    assert "1400: layer net: is on" in lines


def test_one_press_or_two_are_told() -> None:
    bench = Bench(board("sail: {knee: {once: south, twice: east, within: 300ms}}"))
    bench.tap("knee", at=0, length=50)
    bench.until(400)
    bench.tap("knee", at=1000, length=50)
    bench.tap("knee", at=1200, length=50)

    lines = told(bench)
    assert "300: knee: no second press within 300 ms: south" in lines
    assert "1200: knee: pressed a second time: east" in lines

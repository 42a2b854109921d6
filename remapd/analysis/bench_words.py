"""What came of a switch on the bench, in plain sentences and as data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from remapd.analysis.switch_bench import (
    NEARLY_ALL_BOUNCE_US,
    USUAL_BOUNCE_US,
    BenchReport,
    advice_for,
    milliseconds,
    settings_for,
    share_us,
)

_MOST_NUMBERS: Final = 12


def sentences(report: BenchReport) -> list[str]:
    """The report for a person, the verdict first."""
    lines = [_verdict(report)]
    lines.append(
        f"{_count(report.beats, 'press', 'presses')} asked for, {len(report.presses)} came."
    )
    lines += [
        f"{what}: {_numbers(numbers)}."
        for what, numbers in (
            ("No press at beat", report.missed_beats),
            ("More than one press at beat", report.doubled_beats),
            ("Still pressed when the next beat came, at beat", report.sticking_beats),
        )
        if numbers
    ]
    if report.unasked:
        lines.append(f"{_count(report.unasked, 'press', 'presses')} came before the first beat.")
    if report.pulse_us is not None:
        pulse = milliseconds(report.pulse_us)
        lines.append(f"Held down, it sent a pulse of {pulse} and nothing at the release.")
    else:
        lines.append("Held down, it stayed pressed until it was let go: true press and release.")
    if report.presses:
        lines += _chatter_sentences(report)
    lines.append("")
    settings = settings_for(report)
    if settings:
        lines.append("Settings for its control in the layout:")
        lines += [f"  {setting.text}   # {setting.because}" for setting in settings]
    else:
        lines.append(
            "Its control needs no setting of its own: the default debounce of 15 ms is right."
        )
    lines += advice_for(report)
    return lines


def data(report: BenchReport) -> dict[str, Any]:
    """The same for programs; lengths of time in microseconds."""
    return {
        "beats": report.beats,
        "presses": len(report.presses),
        "missed_beats": list(report.missed_beats),
        "doubled_beats": list(report.doubled_beats),
        "sticking_beats": list(report.sticking_beats),
        "unasked": report.unasked,
        "pulse_us": report.pulse_us,
        "broken": report.broken,
        "close_chatter_us": report.close_chatters_us(),
        "open_chatter_us": report.open_chatters_us(),
        "settings": [
            {"text": setting.text, "because": setting.because} for setting in settings_for(report)
        ],
        "advice": advice_for(report),
        "sound": report.sound,
    }


def _verdict(report: BenchReport) -> str:
    if not report.presses:
        return "Nothing came from the switch."
    if report.sound:
        return "The switch is sound."
    return "The switch has something to look at."


def _chatter_sentences(report: BenchReport) -> list[str]:
    lines = []
    for what, lengths_us in (
        ("closing", report.close_chatters_us()),
        ("opening", report.open_chatters_us()),
    ):
        if not any(lengths_us):
            lines.append(f"No chatter seen on {what}.")
            continue
        chattered = sum(bool(length) for length in lengths_us)
        lines.append(
            f"Chatter on {what}: at {chattered} of {len(lengths_us)} presses, median "
            f"{milliseconds(share_us(lengths_us, 0.5))}, 95 of 100 within "
            f"{milliseconds(share_us(lengths_us, 0.95))}, longest {milliseconds(max(lengths_us))}."
        )
    if report.longest_chatter_us:
        lines.append(
            f"(For comparison: switches usually bounce for about {milliseconds(USUAL_BOUNCE_US)}, "
            f"nearly all for less than {milliseconds(NEARLY_ALL_BOUNCE_US)}; figures from memory, "
            "after J. Ganssle, A Guide to Debouncing.)"
        )
    extra = sum(press.extra_closings for press in report.presses)
    if extra:
        lines.append(
            f"A program without a debounce would see {len(report.presses) + extra} presses."
        )
    if report.broken:
        broken = _count(report.broken, "press", "presses")
        lines.append(f"The contact broke in the midst of {broken}.")
    return lines


def _numbers(numbers: Sequence[int]) -> str:
    shown = ", ".join(map(str, numbers[:_MOST_NUMBERS]))
    left = len(numbers) - _MOST_NUMBERS
    return f"{shown} and {left} more" if left > 0 else shown


def _count(number: int, one: str, several: str) -> str:
    return f"{number} {one if number == 1 else several}"

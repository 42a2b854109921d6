"""The five stages of a button, for any presses and settings, against a plain model of section 3.

The model knows nothing of states or timers: each stage takes the whole play at once, as presses
from one time to another, and gives the next stage what is left of it. Lengths of time are such that
no two of them end together; what comes first then is told by tests of their own.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from hypothesis import given
from hypothesis import strategies as st

from tests.language.board import board
from tests.support.bench import Bench

NEVER = 10**9


@dataclass
class Held:
    """One press as it comes out of `release-delay`, with the gaps in it that were bridged."""

    begin: int
    gaps: list[tuple[int, int]] = field(default_factory=list)
    let_go: int = NEVER  #: when the finger left for the last time


def debounced(changes: list[tuple[int, int]], time: int) -> list[tuple[int, int]]:
    """A change begins a time in which others are ignored; at its end the state then is taken."""
    out: list[tuple[int, int]] = []
    shown, finger, until = 0, 0, 0
    for us, state in [*changes, (NEVER, -1)]:
        while us >= until > 0:
            until = until + time if finger != shown else 0
            if until:
                shown = finger
                out.append((until - time, shown))
        if us == NEVER:
            break
        finger = state
        if not until and finger != shown:
            shown = finger
            out.append((us, shown))
            until = us + time if time else 0
    return out


def bridged(changes: list[tuple[int, int]], delay: int) -> list[Held]:
    """A gap that is shorter than `release-delay` is none."""
    presses: list[Held] = []
    for us, state in changes:
        if not state:
            presses[-1].let_go = us
        elif presses and us < presses[-1].let_go + delay:
            presses[-1].gaps.append((presses[-1].let_go, us))
            presses[-1].let_go = NEVER
        else:
            presses.append(Held(us))
    return presses


def accepted_us(press: Held, delay: int) -> int | None:
    """When the press counts, or None; in a gap it counts when that is bridged."""
    due = press.begin + delay
    if press.let_go < due:
        return None
    return next((end for begin, end in press.gaps if begin < due <= end), due)


def model(changes: list[tuple[int, int]], times: dict[str, int]) -> list[tuple[int, int]]:
    """(us, value) of each change of the pad."""
    out: list[tuple[int, int]] = []
    guarded_until = 0
    for press in bridged(debounced(changes, times["debounce"]), times["release-delay"]):
        us = accepted_us(press, times["acceptance-delay"])
        if us is None or press.begin < guarded_until:
            continue
        end = press.let_go + times["release-delay"]
        guarded_until = end + times["repeat-guard"] if times["repeat-guard"] else 0
        out.append((us, 1))
        shown_end = min(end, us + times["longest"] if times["longest"] else NEVER)
        if shown_end < NEVER:
            out.append((shown_end, 0))
    return out


waits = st.sampled_from((1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 30))
#: In microseconds, 0 for off; the odd parts keep ends of different stages apart.
settings = st.fixed_dictionaries(
    {
        "debounce": st.sampled_from((0, 3100, 5100, 10100)),
        "release-delay": st.sampled_from((0, 4023, 10023)),
        "acceptance-delay": st.sampled_from((0, 5307, 12307, 20307)),
        "repeat-guard": st.sampled_from((0, 6011, 15011, 30011)),
        "longest": st.sampled_from((0, 8509, 25509)),
    }
)


@given(st.lists(waits, max_size=14), settings)
def test_what_comes_of_any_presses_is_what_the_page_says(
    waits_ms: list[int], times: dict[str, int]
) -> None:
    written = ", ".join(
        f"{name}: {us / 1000}ms" for name, us in times.items() if us or name == "debounce"
    )
    bench = Bench(board("play: {knee: south}", top="shortest-press: 0ms", knee=written))
    changes: list[tuple[int, int]] = []
    now_ms, state = 0, 0
    for wait_ms in waits_ms:
        now_ms, state = now_ms + wait_ms, 1 - state
        changes.append((now_ms * 1000, state))
        (bench.press if state else bench.release)("knee", at=now_ms)
    bench.until(now_ms + 1000)

    shown = [(each.us, int(each.what == "press")) for each in bench.changes]
    assert shown == model(changes, times)

"""One switch on the bench: what its contact did over many presses, and the settings it wants.

The tester presses once to each beat. What came from the switch is a list of edges, (us, closed), as
the kernel stamps them; the beats are times of the same clock. All of it is worked out here from
those two lists, so a recording gives the same figures next year.

    edges -> closings with short gaps between them are one press (`split_presses`)
          -> each press: chatter when it closes, chatter when it opens, breaks while it was held
          -> beats: which had no press, which had several, which press lasted into the next
          -> `settings_for`: what to write into the layout, each with its reason

A note on what cannot be seen: a box that is asked every 8 ms, or that has a debounce of its own,
hides chatter that is shorter. Figures are those of switch, box and cable together, as the game
would get them.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

Edge = tuple[int, bool]

#: Closings less than this apart are chatter of one press. Nobody is asked for two presses in a
#: beat, and even a healthy finger taps no faster than some 6 times a second; more than 8 a second
#: point to bounce (finger-tapping norms, from memory).
CHATTER_GAP_US: Final = 125_000
#: A closing that lasts so long is contact, not chatter: published switches bounced below 6.2 ms
#: almost without exception (J. Ganssle, A Guide to Debouncing, from memory); 20 ms is the upper
#: end of common debounce times (common practice, no source).
FIRM_US: Final = 20_000
#: No hand lets go of a switch that it was asked to hold so soon: the box sends pulses.
PULSE_US: Final = 200_000
#: The default of `debounce` in the layout language.
_DEFAULT_DEBOUNCE_US: Final = 15_000
_MARGIN: Final = 1.5
#: Beyond this a debounce would be felt, and meant double presses would be lost (50 ms covers poor
#: contacts: common practice, no source).
_LONGEST_DEBOUNCE_US: Final = 50_000
#: For comparison in the report. From memory; the original was not at hand.
USUAL_BOUNCE_US: Final = 1_600
NEARLY_ALL_BOUNCE_US: Final = 6_200


@dataclass(frozen=True, slots=True)
class Press:
    """One press: from the first closing to the last opening, chatter and breaks included."""

    begin_us: int
    end_us: int | None  #: None: it was still closed when the bench ended
    close_chatter_us: int  #: from the first closing until the contact held
    open_chatter_us: int  #: from the moment when it let go until the last opening
    breaks_us: tuple[int, ...]  #: gaps in the midst, between two firm contacts
    extra_closings: int  #: how many presses too many a program without debounce would see

    @property
    def length_us(self) -> int | None:
        """How long it was pressed, None where it never ended."""
        return None if self.end_us is None else self.end_us - self.begin_us


@dataclass(frozen=True, slots=True)
class Setting:
    """A line for the layout, and why."""

    text: str
    because: str


@dataclass(frozen=True, slots=True)
class BenchReport:
    """What came of it. Lengths of time are in microseconds."""

    beats: int
    presses: tuple[Press, ...]
    missed_beats: tuple[int, ...]  #: numbers of beats, from 1, to which no press came
    doubled_beats: tuple[int, ...]  #: beats with several presses
    sticking_beats: tuple[int, ...]  #: beats whose press lasted into the next beat
    unasked: int  #: presses before the first beat
    pulse_us: int | None  #: the length of its pulse, where it sends only one; None: true release

    @property
    def sound(self) -> bool:
        """Whether nothing about the switch itself needs mending."""
        return not (self.missed_beats or self.sticking_beats or self.broken or self.pulse_us)

    @property
    def broken(self) -> int:
        """Presses whose contact broke while it was held."""
        return sum(bool(press.breaks_us) for press in self.presses)

    @property
    def longest_chatter_us(self) -> int:
        """The longest chatter of all presses, at either end."""
        return max((max(p.close_chatter_us, p.open_chatter_us) for p in self.presses), default=0)

    def close_chatters_us(self) -> list[int]:
        """By press."""
        return [press.close_chatter_us for press in self.presses]

    def open_chatters_us(self) -> list[int]:
        """By press that ended."""
        return [press.open_chatter_us for press in self.presses if press.end_us is not None]


def clean_edges(edges: Iterable[Edge]) -> list[Edge]:
    """In the order of time, without those that change nothing; begins with a closing."""
    result: list[Edge] = []
    closed = False
    for us, now_closed in sorted(edges, key=lambda edge: edge[0]):
        if now_closed != closed:
            result.append((us, now_closed))
            closed = now_closed
    return result


def split_presses(edges: Iterable[Edge]) -> list[Press]:
    """The presses that the edges make up."""
    closings: list[tuple[int, int | None]] = []
    for us, closed in clean_edges(edges):
        if closed:
            closings.append((us, None))
        else:
            closings[-1] = (closings[-1][0], us)
    groups: list[list[tuple[int, int | None]]] = []
    for begin_us, end_us in closings:
        before_us = groups[-1][-1][1] if groups else None
        if before_us is not None and begin_us - before_us < CHATTER_GAP_US:
            groups[-1].append((begin_us, end_us))
        else:
            groups.append([(begin_us, end_us)])
    return [_press(group) for group in groups]


def _press(closings: Sequence[tuple[int, int | None]]) -> Press:
    """The press of one group of closings; only the last of them may not have ended."""
    lengths = [FIRM_US if end is None else end - begin for begin, end in closings]
    firm = [index for index, length in enumerate(lengths) if length >= FIRM_US]
    if not firm:  # all of it is short, such as a pulse: the longest is what was meant
        firm = [max(range(len(lengths)), key=lambda index: lengths[index])]
    gaps_us = [after[0] - (before[1] or 0) for before, after in pairwise(closings)]
    begin_us, end_us = closings[0][0], closings[-1][1]
    held_until_us = closings[firm[-1]][1]
    return Press(
        begin_us,
        end_us,
        close_chatter_us=closings[firm[0]][0] - begin_us,
        open_chatter_us=0 if end_us is None or held_until_us is None else end_us - held_until_us,
        breaks_us=tuple(gaps_us[firm[0] : firm[-1]]),
        extra_closings=len(closings) - 1,
    )


def pulse_length_us(edges: Iterable[Edge], asked_us: int) -> int | None:
    """The length of a pulse that came instead of a hold of `asked_us`; None: it was held truly.

    Raises ValueError where no press came at all.
    """
    presses = split_presses(edges)
    if not presses:
        raise ValueError("no press in the hold test")
    length_us = presses[0].length_us
    if length_us is None or length_us >= min(PULSE_US, asked_us):
        return None
    return max(length_us, 1)


def bench_report(
    edges: Iterable[Edge], beats_us: Sequence[int], *, pulse_us: int | None = None
) -> BenchReport:
    """Judges a bench run.

    Args:
        edges: what the switch sent, in any order.
        beats_us: when a press was asked for, rising; a press belongs to the last beat before it.
        pulse_us: what `pulse_length_us` found in the hold test.
    """
    presses = split_presses(edges)
    by_beat: list[list[Press]] = [[] for _ in beats_us]
    unasked = 0
    for press in presses:
        beat = bisect_right(beats_us, press.begin_us) - 1
        if beat < 0:
            unasked += 1
        else:
            by_beat[beat].append(press)
    return BenchReport(
        beats=len(beats_us),
        presses=tuple(presses),
        missed_beats=tuple(
            number
            for number, (us, own) in enumerate(zip(beats_us, by_beat, strict=True), 1)
            # while it sticks no press can come
            if not own and not any(_covers(press, us) for press in presses)
        ),
        doubled_beats=tuple(n for n, own in enumerate(by_beat, 1) if len(own) > 1),
        sticking_beats=tuple(
            number
            for number, own in enumerate(by_beat, 1)
            if own and _lasts_too_long(own[-1], beats_us[number : number + 1])
        ),
        unasked=unasked,
        pulse_us=pulse_us,
    )


def _covers(press: Press, us: int) -> bool:
    return press.begin_us < us and (press.end_us is None or press.end_us > us)


def _lasts_too_long(press: Press, next_beat_us: Sequence[int]) -> bool:
    return press.end_us is None or any(press.end_us > us for us in next_beat_us)


def settings_for(report: BenchReport) -> list[Setting]:
    """What to write for this switch in a layout; nothing where the defaults serve it."""
    settings = []
    chatter_us = report.longest_chatter_us
    debounce_us = min(_rounded_up(chatter_us), _LONGEST_DEBOUNCE_US)
    if debounce_us > _DEFAULT_DEBOUNCE_US:
        settings.append(
            Setting(
                f"debounce: {debounce_us // 1000}ms",
                f"the contact chattered for up to {milliseconds(chatter_us)}, which the 15 ms that "
                "hold without a line would let through as further presses",
            )
        )
    longest_break_us = max((max(p.breaks_us, default=0) for p in report.presses), default=0)
    if longest_break_us:
        settings.append(
            Setting(
                f"release-delay: {_rounded_up(longest_break_us) // 1000}ms",
                f"the contact broke for up to {milliseconds(longest_break_us)} while it was held; "
                "each release comes later by this time",
            )
        )
    return settings


def advice_for(report: BenchReport) -> list[str]:
    """What else to do about it, in sentences."""
    advice = []
    if report.pulse_us is not None:
        advice.append(
            "It sends a short pulse, however long it is held: nothing that lasts while it is held "
            "can work. Use `how: toggle`, `{latch: …}` or `{pulse: …}` for it, and no "
            "`{short: …, long: …}`. If the box has a setting for this, switch it over."
        )
    if report.longest_chatter_us > _LONGEST_DEBOUNCE_US:
        advice.append(
            "Chatter this long is a worn or dirty contact, a loose wire, or a soft dome pressed "
            "slowly: mend or change the switch; no setting hides it without losing presses."
        )
    if report.broken:
        advice.append("The contact breaks under the hand: look at the plug, the cable and the cap.")
    if report.sticking_beats:
        advice.append(
            "It stayed pressed into the next beat: look whether the cap returns by itself. Until "
            "it is mended `longest: 2s` ends such a press."
        )
    if report.missed_beats:
        advice.append(
            "To some beats no press came: the switch missed it, or the hand did. Press again there "
            "and look; a switch that misses even one in a hundred is felt in play."
        )
    if report.doubled_beats:
        advice.append(
            "Some beats had two presses too far apart to be chatter. If the hand pressed once, "
            "the cap rebounds: `repeat-guard: 300ms` refuses the second."
        )
    return advice


def _rounded_up(us: int) -> int:
    """With a margin, to the next 5 ms."""
    step = 5_000
    return -(-int(us * _MARGIN) // step) * step


def share_us(lengths_us: Iterable[int], share: float) -> int:
    """The length that this share (0 to 1) of all does not exceed, 0 where there is none."""
    ordered = sorted(lengths_us)
    if not ordered:
        return 0
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def milliseconds(us: int) -> str:
    """As in `1.6 ms`."""
    return f"{us / 1000:.1f} ms"

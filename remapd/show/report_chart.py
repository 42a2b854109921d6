"""The timeline of a session as SVG: a lane for each control, layer and pad control.

A long session is drawn in several strips, one below the other, so that it can be printed. Marks
tell everything, no colour: solid is the player's, hatched the helper's, a cross a refused press.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from remapd.analysis.play_figures import joined, within
from remapd.show.card_words import spoken
from remapd.show.markup import Markup, plain, tag
from remapd.show.report_play import BUCKET_US, Play
from remapd.show.text_width import FONTS, shortened
from remapd.show.text_width import width as width_of

_WIDTH: Final = 1000.0
_LABELS: Final = 190.0
_LANE: Final = 24.0
_BAR: Final = 15.0
_LETTERS: Final = 14.0
#: A long name is set so small rather than cut.
_SMALLEST: Final = 10.5
_MOST_STRIPS: Final = 12
#: Narrower marks are drawn so wide, and marks nearer than this are drawn as one.
_LEAST: Final = 2.0
_LENGTHS_S: Final = (20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 14400)
_TICKS_S: Final = (1, 2, 5, 10, 30, 60, 120, 300, 600, 1200, 1800, 3600)
_MOST_TICKS: Final = 8
_INK: Final = "#000000"
_FAINT: Final = "#595959"


@dataclass(frozen=True, slots=True)
class Lane:
    """One lane: stretches that are drawn as bars, or levels (0 to 1, by bucket) as a hill."""

    label: str
    group: str
    stretches: Sequence[tuple[int, int]]
    is_helpers: bool = False
    refused: Sequence[int] = ()
    levels: Mapping[int, float] | None = None


@dataclass(frozen=True, slots=True)
class Strip:
    """A part of the session, to be drawn in one picture."""

    from_us: int
    until_us: int


def lanes_of(play: Play, words: Mapping[str, str]) -> list[Lane]:
    """What is drawn: controls that were used, layers, pad controls; `words` are the game's."""
    lanes = []
    for track in play.watched.hands.values():
        if track.stretches or track.refused:
            holder = ", helper" if track.person else ""
            refused = [us for us, _ in track.refused]
            label = spoken(track.name) + holder
            lanes.append(Lane(label, "Hands", track.stretches, bool(track.person), refused))
    for name, stretches in play.watched.layers.items():
        if name != play.layout.layers[0].name:
            lanes.append(Lane(f"layer {spoken(name)}", "Layers", stretches))
    for pad in play.pad.values():
        moves = pad.name.endswith(("stick", "trigger"))
        label = words.get(pad.name, spoken(pad.name))
        lanes.append(Lane(label, "Game", pad.stretches, levels=pad.levels if moves else None))
    return lanes


def strips_of(duration_us: int) -> list[Strip]:
    """The whole session in stretches of even length, at most a dozen."""
    length_us = next(
        (s * 1_000_000 for s in _LENGTHS_S if duration_us <= s * 1_000_000 * _MOST_STRIPS),
        -(-duration_us // _MOST_STRIPS),
    )
    if duration_us <= 60_000_000:
        length_us = max(duration_us, 1)
    starts = range(0, max(duration_us, 1), length_us)
    return [Strip(at, min(at + length_us, max(duration_us, 1))) for at in starts]


def strip_svg(lanes: Sequence[Lane], strip: Strip, number: int) -> Markup:
    """One strip."""
    scale = _Scale(strip)
    height = 26.0 + _LANE * len(lanes) + 8.0 * len({lane.group for lane in lanes})
    body = [*_grid(scale, height)]
    y = 26.0
    group = ""
    for lane in lanes:
        if lane.group != group:
            group = lane.group
            body.append(_line(0.0, y + 2.0, _WIDTH, y + 2.0, _INK))
            y += 8.0
        body += _lane(lane, scale, y)
        y += _LANE
    title = f"From {clock(strip.from_us)} to {clock(strip.until_us)}"
    described = "; ".join(
        f"{lane.label}: {len(within(lane.stretches, strip.from_us, strip.until_us))} times"
        for lane in lanes
    )
    ids = f"strip-{number}-title", f"strip-{number}-words"
    hatch = tag(
        "pattern",
        tag("rect", width=6, height=6, fill="#ffffff"),
        tag("path", d="M0 6L6 0M-1 1L1 -1M5 7L7 5", stroke=_INK, stroke_width=1.6),
        id=f"hatch-{number}",
        width=6,
        height=6,
        patternUnits="userSpaceOnUse",
    )
    return tag(
        "svg",
        tag("title", plain(title), id=ids[0]),
        tag("desc", plain(described), id=ids[1]),
        tag("defs", hatch),
        *(Markup(each.replace("url(#hatch)", f"url(#hatch-{number})")) for each in body),
        viewBox=f"0 0 {_WIDTH:g} {height:g}",
        role="img",
        aria_labelledby=" ".join(ids),
        font_family=FONTS,
        font_size=_LETTERS,
    )


class _Scale:
    """Times to places."""

    def __init__(self, strip: Strip) -> None:
        self.strip = strip
        self._each = (_WIDTH - _LABELS - 10.0) / (strip.until_us - strip.from_us)

    def x(self, us: int) -> float:
        return _LABELS + (us - self.strip.from_us) * self._each

    @property
    def least_us(self) -> int:
        """What is drawn as one mark."""
        return int(_LEAST / self._each)


def _grid(scale: _Scale, height: float) -> Iterator[Markup]:
    strip = scale.strip
    length_us = strip.until_us - strip.from_us
    step_us = next(
        (s * 1_000_000 for s in _TICKS_S if length_us <= s * 1_000_000 * _MOST_TICKS),
        max(1, length_us // _MOST_TICKS),
    )
    first = -(-strip.from_us // step_us) * step_us
    for us in range(first, strip.until_us + 1, step_us):
        x = scale.x(us)
        yield _line(x, 20.0, x, height, "#c4c4c4")
        if x < _WIDTH - 30.0:
            yield tag("text", plain(clock(us)), x=x, y=15.0, text_anchor="middle", fill=_FAINT)


def _line(x1: float, y1: float, x2: float, y2: float, stroke: str) -> Markup:
    return tag("line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=stroke)


def _lane(lane: Lane, scale: _Scale, y: float) -> Iterator[Markup]:
    room = _LABELS - 12.0
    letters = min(_LETTERS, max(_SMALLEST, _LETTERS * room / width_of(f"{lane.label} ", _LETTERS)))
    label = shortened(lane.label, letters, room, 1)[0]
    size = letters if letters < _LETTERS else None
    yield tag("text", plain(label), x=0.0, y=y + 16.0, font_size=size)
    strip = scale.strip
    if lane.levels is not None:
        hill = _hill(lane.levels, scale, y)
        if hill:
            yield tag("path", d=hill, fill=_INK)
    else:
        fill = "url(#hatch)" if lane.is_helpers else _INK
        shown = joined(within(lane.stretches, strip.from_us, strip.until_us), scale.least_us)
        for begin, end in shown:
            x = scale.x(begin)
            width = max(scale.x(end) - x, _LEAST)
            stroke = _INK if lane.is_helpers else None
            yield tag("rect", x=x, y=y + 3.0, width=width, height=_BAR, fill=fill, stroke=stroke)
    for us in lane.refused:
        if strip.from_us <= us < strip.until_us:
            x, middle = scale.x(us), y + 3.0 + _BAR / 2
            cross = f"M{x - 5:.1f} {middle - 5:.1f}l10 10m0 -10l-10 10"
            yield tag("path", d=cross, stroke="#ffffff", stroke_width=5, fill="none")
            yield tag("path", d=cross, stroke=_INK, stroke_width=2, fill="none")


def _hill(levels: Mapping[int, float], scale: _Scale, y: float) -> str:
    """How far it was, as an area over the lane's floor."""
    strip = scale.strip
    floor = y + 3.0 + _BAR
    each = max(1, scale.least_us // BUCKET_US)
    path = []
    first, last = strip.from_us // BUCKET_US, -(-strip.until_us // BUCKET_US)
    for bucket in range(first, last, each):
        level = max((levels.get(b, 0.0) for b in range(bucket, bucket + each)), default=0.0)
        if level:
            left = max(scale.x(bucket * BUCKET_US), _LABELS)
            right = min(scale.x((bucket + each) * BUCKET_US), _WIDTH - 10.0)
            top = floor - _BAR * level
            path.append(f"M{left:.1f} {floor:.1f}V{top:.1f}H{right:.1f}V{floor:.1f}Z")
    return "".join(path)


def clock(us: int) -> str:
    """`1:05` from the beginning; `1:02:05` after an hour."""
    seconds = us // 1_000_000
    hours, rest = divmod(seconds, 3600)
    minutes, rest = divmod(rest, 60)
    return f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes}:{rest:02d}"


def length(us: float) -> str:
    """`0.4 s`, `12 s`, `3 min 5 s`."""
    seconds = us / 1_000_000
    if seconds < 10:
        return f"{seconds:.1f} s"
    if seconds < 60:
        return f"{seconds:.0f} s"
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes} min {rest} s" if minutes < 60 else f"{minutes // 60} h {minutes % 60} min"

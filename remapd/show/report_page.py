"""A report of a session as one HTML file that is read, printed and kept without anything else."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Final

from remapd.analysis.play_figures import Figures, figures, within
from remapd.engine.pad_controls import PERSON_NAMES
from remapd.show.card_words import ActionWords, spoken
from remapd.show.markup import Markup, plain, tag
from remapd.show.report_chart import Lane, Strip, clock, lanes_of, length, strip_svg, strips_of
from remapd.show.report_effort import Judged, effort_section
from remapd.show.report_play import Play
from remapd.show.report_tables import table
from remapd.show.watched_engine import HandTrack

_STYLE: Final = """
:root { color-scheme: light; }
body { margin: 0 auto; max-width: 66rem; padding: 1rem; color: #000; background: #fff;
  font: 1rem/1.5 "DejaVu Sans", Verdana, sans-serif; }
h1 { font-size: 1.75rem; margin: 0 0 .25rem; line-height: 1.2; }
h2 { font-size: 1.35rem; margin: 2rem 0 .5rem; border-bottom: 2px solid #000; }
h3 { font-size: 1.1rem; margin: 1.25rem 0 .25rem; }
p { max-width: 46rem; margin: .5rem 0; } ul { max-width: 46rem; padding-left: 1.25rem; }
figure { margin: 1rem 0; } figcaption { font-weight: bold; }
.wide { overflow-x: auto; } .wide:focus { outline: 3px solid #000; outline-offset: 2px; }
.wide svg { display: block; width: 100%; min-width: 44rem; height: auto; }
table { border-collapse: collapse; margin: .5rem 0; }
caption { text-align: left; font-weight: bold; padding: .25rem 0; }
th, td { padding: .2rem .75rem .2rem 0; text-align: left; border-bottom: 1px solid #767676;
  vertical-align: top; font-weight: normal; }
thead th { font-size: .875rem; color: #404040; }
td { font-variant-numeric: tabular-nums; } tbody th { font-weight: bold; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: .15rem 1rem; margin: .5rem 0; }
dt { font-weight: bold; } dd { margin: 0; }
details { margin: .25rem 0; } details table { font-size: .875rem; }
details th, details td { padding-top: .05rem; padding-bottom: .05rem; }
@media print {
  body { max-width: none; padding: 0; font-size: 10pt; }
  h2, h3 { break-after: avoid; }
  .wide, tr { break-inside: avoid; } figcaption, caption, summary { break-after: avoid; }
  .wide { overflow: visible; }
  .wide svg { min-width: 0; max-height: 225mm; }
}
@page { margin: 15mm; }
"""


def report_page(play: Play, name: str, judged: Judged) -> str:
    """The file; `name` is what the recording is called."""
    words = _words(play)
    lanes = lanes_of(play, words)
    title = f"{name}: a report of {length(play.duration_us)} of play"
    head = tag(
        "head",
        Markup('<meta charset="utf-8"/>'),
        Markup('<meta name="viewport" content="width=device-width, initial-scale=1"/>'),
        tag("title", plain(title)),
        tag("style", Markup(_STYLE)),
    )
    body = tag(
        "body",
        tag(
            "main",
            *_top(play, name),
            *_timeline(lanes, strips_of(play.duration_us)),
            *_hands(play),
            *_people(play),
            *_layers(play),
            *_game(play, words),
            *_machine(play),
            *effort_section(_effort_rows(play), judged, play.duration_us),
            *_remarks(play),
        ),
    )
    return f"<!DOCTYPE html>\n{tag('html', head, body, lang='en')}\n"


def _words(play: Play) -> dict[str, str]:
    """The game's word for each pad control, with its own name behind."""
    said = ActionWords(play.layout)
    words = {}
    for name in play.pad:
        word, own = said.pad_control(name)
        words[name] = f"{word} ({own})" if own else word
    return words


def _top(play: Play, name: str) -> Iterator[Markup]:
    used = [track for track in play.watched.hands.values() if track.stretches]
    refused = sum(len(track.refused) for track in play.watched.hands.values())
    yield tag("h1", plain(play.layout.title), dir="auto")
    facts = [
        ("Recording", name),
        ("Time", length(play.duration_us)),
        ("Controls used", f"{len(used)} of {len(play.watched.hands)}"),
        ("Efforts of hands", str(sum(len(track.stretches) for track in used))),
        ("Refused presses", str(refused)),
        ("Made by turbo", f"{sum(play.watched.machine_presses)} presses"),
    ]
    pairs = [part for term, told in facts for part in (tag("dt", plain(term)), _told(told))]
    yield tag("dl", *pairs)
    yield _paragraph(
        "This page tells how somebody moves: keep it where the player wants it kept, and ask "
        "before it is passed on. It measures input; it is no diagnosis."
    )


def _told(text: str) -> Markup:
    return tag("dd", plain(text), dir="auto")


def _timeline(lanes: Sequence[Lane], strips: Sequence[Strip]) -> Iterator[Markup]:
    yield tag("h2", plain("What happened, in time"))
    if not lanes:
        yield _paragraph("Nothing was pressed or moved.")
        return
    yield _paragraph(
        "Minutes and seconds run from the beginning of the recording. A black bar is a control in "
        "use, a hatched one is the helper's, a cross is a press that was refused. Sticks and "
        "triggers of the game are as high as they were pushed."
    )
    for number, strip in enumerate(strips, 1):
        caption = f"{clock(strip.from_us)} to {clock(strip.until_us)}"
        picture = tag(
            "div",
            strip_svg(lanes, strip, number),
            class_="wide",
            tabindex=0,
            role="region",
            aria_label=f"Timeline, {caption}",
        )
        yield tag(
            "figure",
            tag("figcaption", plain(caption)),
            picture,
            tag(
                "details",
                tag("summary", plain("The same in numbers")),
                _in_numbers(lanes, strip),
                open="open",
            ),
        )


def _in_numbers(lanes: Sequence[Lane], strip: Strip) -> Markup:
    rows = []
    for lane in lanes:
        inside = within(lane.stretches, strip.from_us, strip.until_us)
        refused = sum(strip.from_us <= us < strip.until_us for us in lane.refused)
        begun = sum(begin >= strip.from_us for begin, _ in inside)
        if not inside and not refused:
            continue
        time = length(sum(end - begin for begin, end in inside))
        rows.append([lane.label, lane.group, str(begun), time, str(refused)])
    heads = ["", "of", "times begun", "time on", "refused"]
    return table(f"From {clock(strip.from_us)} to {clock(strip.until_us)}", heads, rows)


def _hands(play: Play) -> Iterator[Markup]:
    yield tag("h2", plain("What the hands did"))
    rows = []
    refusals = []
    for track in play.watched.hands.values():
        if not track.stretches and not track.refused:
            continue
        each = figures(track.stretches, play.duration_us)
        rows.append(
            [
                _control(track),
                str(each.efforts),
                f"{each.per_minute:.1f}",
                str(each.busiest_minute),
                f"{each.holds_per_minute:.1f}",
                length(each.mean_held_us),
                length(each.longest_held_us),
                f"{each.duty_percent:.0f}%",
                length(each.longest_rest_us),
            ]
        )
        for reason, count in Counter(why for _, why in track.refused).items():
            when = ", ".join(clock(us) for us, why in track.refused if why == reason)
            refusals.append([_control(track), reason, str(count), _cut(when)])
    yield table(
        "Presses and holds of each control",
        ["", "times", "a minute", "busiest minute", "holds a minute", "held on average", "longest",
         "of the time", "longest rest"],
        rows,
    )  # fmt: skip
    yield _paragraph("A hold is what lasted 1 s or longer.")
    idle = [_control(t) for t in play.watched.hands.values() if not t.stretches and not t.refused]
    if idle:
        yield _paragraph(f"Not used: {', '.join(idle)}.")
    if refusals:
        yield table("Refused presses", ["", "by", "times", "when"], refusals)
    else:
        yield _paragraph("No press was refused.")


def _control(track: HandTrack) -> str:
    return f"{spoken(track.name)} ({PERSON_NAMES[track.person]})"


def _cut(text: str, most: int = 90) -> str:
    return text if len(text) <= most else f"{text[:most].rpartition(',')[0]}, …"


def _people(play: Play) -> Iterator[Markup]:
    yield tag("h2", plain("Whose play it was"))
    given = play.watched.given_us.values()
    totals = [sum(each[person] for each in given) for person in (0, 1)]
    whole = sum(totals) or 1
    rows = []
    for person, name in enumerate(PERSON_NAMES):
        tracks = [t for t in play.watched.hands.values() if t.person == person and t.stretches]
        each = figures([s for t in tracks for s in t.stretches], play.duration_us)
        rows.append(
            [
                name,
                f"{100 * totals[person] / whole:.0f}%",
                length(totals[person]),
                str(each.efforts),
                f"{each.per_minute:.1f}",
                f"{each.holds_per_minute:.1f}",
                f"{each.duty_percent:.0f}%",
            ]
        )
    yield table(
        "Share of the play",
        ["", "share of what the game was given", "control time", "efforts", "a minute",
         "holds a minute", "of the time"],
        rows,
    )  # fmt: skip
    yield _paragraph(
        "The share is of the time in which the game was given something, each pad control counted "
        "by itself; where both gave the same, it counts as the player's."
    )
    if play.overruled:
        yield _paragraph(f"The helper was overruled {_times(play.overruled)}.")


def _layers(play: Play) -> Iterator[Markup]:
    yield tag("h2", plain("Layers"))
    rows = []
    for layer in play.layout.layers:
        stretches = play.watched.layers.get(layer.name, [])
        on_us = sum(end - begin for begin, end in stretches)
        share = 100 * on_us / play.duration_us if play.duration_us else 0.0
        rows.append([spoken(layer.name), str(len(stretches)), length(on_us), f"{share:.0f}%"])
    yield table("Time in each layer", ["", "times on", "time on", "of the session"], rows)


def _game(play: Play, words: dict[str, str]) -> Iterator[Markup]:
    yield tag("h2", plain("What the game was given"))
    rows = []
    for track in play.pad.values():
        each = figures(track.stretches, play.duration_us)
        time, mean = length(each.held_us), length(each.mean_held_us)
        rows.append([words[track.name], str(each.efforts), f"{each.per_minute:.1f}", time, mean])
    yield table("Pad controls", ["", "times", "a minute", "time", "each on average"], rows)


def _machine(play: Play) -> Iterator[Markup]:
    yield tag("h2", plain("What hands did not have to do"))
    made = play.watched.machine_presses
    rows = [
        [f"presses made by turbo ({PERSON_NAMES[person]})", str(count), ""]
        for person, count in enumerate(made)
        if count
    ]
    for lasting in play.lasting:
        time = length(sum(end - begin for begin, end in lasting.stretches))
        holder = PERSON_NAMES[lasting.person]
        label = lasting.label.removesuffix(" (toggle)")
        rows.append([f"{label} ({holder})", f"on {_times(len(lasting.stretches))}", time])
    if rows:
        yield table("Presses and holds saved", ["", "how many", "stayed on by itself"], rows)
    else:
        yield _paragraph("No turbo, latch or keep was at work.")


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"


def _effort_rows(play: Play) -> list[tuple[str, int, Figures]]:
    rows = []
    for person, name in enumerate(PERSON_NAMES):
        tracks = [t for t in play.watched.hands.values() if t.person == person and t.stretches]
        rows += [(_control(t), person, figures(t.stretches, play.duration_us)) for t in tracks]
        if len(tracks) > 1:
            together = [stretch for track in tracks for stretch in track.stretches]
            rows.append((f"all of the {name}'s", person, figures(together, play.duration_us)))
    return rows


def _remarks(play: Play) -> Iterator[Markup]:
    if play.marks:
        yield tag("h2", plain("Remarks made while it was recorded"))
        marks = [
            tag("li", plain(f"{clock(us)} "), tag("bdi", plain(text))) for us, text in play.marks
        ]
        yield tag("ul", *marks)
    if play.notes:
        yield tag("h2", plain("Notes on this report"))
        yield tag("ul", *(tag("li", plain(note)) for note in play.notes))


def _paragraph(text: str) -> Markup:
    return tag("p", plain(text))

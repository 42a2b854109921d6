"""The part of a report that is about effort: published figures, and how far they go."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from remapd.analysis.effort import Intensity, Posture, Speed, hand_activity_level, strain_index
from remapd.analysis.play_figures import MINUTE_US, Figures
from remapd.engine.pad_controls import PLAYER
from remapd.show.markup import Markup, plain, tag
from remapd.show.report_tables import table

_HOUR_US = 60 * MINUTE_US


@dataclass(frozen=True, slots=True)
class Judged:
    """What only a person can judge of the player's efforts; None where nobody has."""

    intensity: Intensity | None = None
    posture: Posture | None = None
    speed: Speed = Speed.FAIR
    hours_per_day: float | None = None

    @property
    def is_enough(self) -> bool:
        """Whether the Strain Index can be worked out."""
        return self.intensity is not None and self.posture is not None


def effort_section(
    rows: Sequence[tuple[str, int, Figures]], judged: Judged, duration_us: int
) -> Iterator[Markup]:
    """Figures for each control, as if one limb worked it alone, and for all of a person's.

    Rows are what it is about, the person, and the figures. What was judged is the player's.
    """
    yield tag("h2", plain("Effort"), id="effort")
    yield _paragraph(
        "These figures come from the study of healthy workers who do one task for hours. "
        "They do not say what is safe for this player, and nothing here is a diagnosis. The "
        "player's own comfort comes first: rest before it tires, stop at pain, tingling or "
        "numbness, and ask an occupational therapist or physiotherapist."
    )
    heads = ["", "efforts a second", "time in effort", "hand activity level (0 to 10)"]
    hours = judged.hours_per_day or duration_us / _HOUR_US
    if judged.is_enough:
        heads.append("Strain Index")
    yield table(
        "Effort, as if one limb did each row alone",
        heads,
        [[name, *_cells(each, person, judged, hours)] for name, person, each in rows],
    )
    yield tag("h3", plain("How they are worked out"))
    yield tag("ul", *(tag("li", plain(text)) for text in _explained(judged, hours)))


def _cells(each: Figures, person: int, judged: Judged, hours: float) -> Iterator[str]:
    a_second = each.per_minute / 60
    yield f"{a_second:.2f}"
    yield f"{each.duty_percent:.0f}%"
    yield f"{hand_activity_level(a_second, each.duty_percent):.1f}"
    if judged.is_enough and person != PLAYER:
        yield "not judged"
    elif judged.intensity is not None and judged.posture is not None:
        index = strain_index(
            judged.intensity,
            each.duty_percent,
            each.per_minute,
            judged.posture,
            judged.speed,
            hours,
        )
        yield f"{index:.2f}{'' if index < 3 else ': plan a pause; ask the therapist'}"


def _explained(judged: Judged, hours: float) -> Iterator[str]:
    yield (
        "An effort is a touch of a switch, refused ones too, or a stick, ball or lever out of its "
        "rest. Presses that turbo, latch and the like made are not counted: no muscle made them."
    )
    yield (
        "Hand activity level: HAL = 6.56 ln D [F^1.31 / (1 + 3.18 F^1.31)], with F efforts a "
        "second and D the percentage of time in effort (Radwin and others, Ergonomics 58(2), "
        "2015, 173-183). Made for hand work at one task for 4 hours or more a day. Assumed here: "
        "that one limb does it all, and that every effort takes some strength; touches of almost "
        "no force count less than this says."
    )
    if judged.is_enough and judged.intensity is not None and judged.posture is not None:
        told = "as given" if judged.hours_per_day else "this session alone"
        yield (
            "Strain Index: the product of multipliers for intensity, share of time, efforts a "
            "minute, posture, speed and hours a day (Moore and Garg, American Industrial Hygiene "
            "Association Journal 56, 1995, 443-458; multipliers from a scoring sheet). Judged by "
            f"whoever made this report: intensity {_word(judged.intensity.name)}, posture "
            f"{judged.posture.value.replace('-', ' ')}, speed "
            f"{judged.speed.value.replace('-', ' ')}; hours a day {hours:.2g} ({told}). Its "
            "authors drew lines at 3 and 7 for workers; below them is no promise either."
        )
    else:
        yield (
            "Strain Index (Moore and Garg, 1995): not worked out, for nobody has said how hard an "
            "effort is and how the joint stands. Whoever can judge that adds --intensity and "
            "--posture."
        )


def _word(name: str) -> str:
    return name.lower().replace("_", " ")


def _paragraph(text: str) -> Markup:
    return tag("p", plain(text))

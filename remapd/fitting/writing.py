"""A proposal written out as a layout file, with notes for the family that will live with it."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator, Mapping
from typing import Final

from remapd.fitting.body import word_of
from remapd.fitting.cautions import cautions
from remapd.fitting.doings import Doing, Layered, Listed, Round, ShortLong
from remapd.fitting.places import places_of
from remapd.fitting.plans import BASE, Plan, PlannedLayer, Proposal
from remapd.fitting.setup import FoundControl, FoundDevice, Setup
from remapd.fitting.trying import trials_of_text
from remapd.fitting.weighing import needs_of

_WIDTH: Final = 96
_LABEL: Final = 14
#: Nobody changes more than this at once.
_MOST_CHANGES: Final = 4
#: A plain scalar that no reader could take for anything else.
_PLAIN: Final = re.compile(r"[A-Za-z][A-Za-z0-9 ,()+-]*[A-Za-z0-9)]|[A-Za-z]")
_WORDS_OF_YAML: Final = frozenset(("true", "false", "null", "yes", "no", "on", "off", "y", "n"))
#: A pointer moves by this much a second for all the way, where nothing was measured.
_FULL_SPEED: Final = "600/s"


def layout_text(setup: Setup, proposal: Proposal) -> str:
    """The layout of a proposal, as a file."""
    return plan_text(setup, proposal.plan)


def trials_text(setup: Setup, proposal: Proposal) -> str:
    """Its trials: how each verb is reached, in every layer, and what then has to come out."""
    return trials_of_text(layout_text(setup, proposal))


def plan_text(setup: Setup, plan: Plan) -> str:
    """The layout of a plan, as a file."""
    lines = [
        *_notes(setup, plan),
        "",
        "remapd: 1",
        f"title: {scalar(title_of(setup))}",
        "notes: >-",
        *_wrapped(_safe(f"Kind of game: {_kind(setup)}. {plan.plays}"), "  ", _WIDTH),
        "",
        "# The game's own words for what a gamepad has. They are used below, and shown on the "
        "screens.",
        "verbs:",
        *(f"  {verb.name}: {verb.pad}" for verb in setup.game.verbs),
        "# What the game cannot be played without: `remapd check` shows how each is reached.",
        *_flow("needs: [", needs_of(setup.game), "]"),
        f"base: {BASE}",
        "",
        "devices:",
    ]
    for device in setup.devices:
        lines += _device(setup, plan, device)
    lines += ["", "layers:"]
    for layer in plan.layers:
        lines += _layer(layer)
    lines += _merge(plan)
    lines += _cues(plan)
    lines += _place(setup)
    return "\n".join(lines) + "\n"


def title_of(setup: Setup) -> str:
    """The layout's title: what was given, or what can be said without."""
    return _safe(setup.title) or f"{setup.game.title}, {len(setup.players_controls)} controls"


def _kind(setup: Setup) -> str:
    title = setup.game.title
    return f"{title[:1].lower()}{title[1:]}"


# ---------------------------------------------------------------------- the notes on top


def _notes(setup: Setup, plan: Plan) -> Iterator[str]:
    yield from _comment(title_of(setup).upper())
    yield "#"
    yield from _comment(
        "Lines that begin with # are notes for people; remapd passes over them. Elsewhere keep the "
        "spaces at the beginning of each line: they say what belongs to what. A saved change "
        "counts at once."
    )
    yield "#"
    yield from _paragraph("Who plays", _who(setup))
    told = "; ".join(device.told for device in setup.devices)
    yield from _paragraph("Plug in", f"{told[:1].upper()}{told[1:]}.")
    yield from _paragraph("How it plays", plan.plays)
    yield from _numbered("Change first", list(_changes(setup, plan))[:_MOST_CHANGES])
    yield from _paragraph("Take care", cautions(setup, plan))


def _who(setup: Setup) -> str:
    moved = [each.movement or word_of(each, setup) for each in setup.players_controls]
    player = next((each.name for each in setup.people if not each.helper), "") or "The player"
    text = f"{player}. Movements: {'; '.join(moved)}." if moved else f"{player}."
    helpers = [each.name or "a helper" for each in setup.people if each.helper]
    if helpers and setup.helpers_devices:
        told = _listed([device.told for device in setup.helpers_devices])
        text += f" {_listed(helpers)} joins in with {told}."
    return text


def _changes(setup: Setup, plan: Plan) -> Iterator[str]:
    """What is most worth changing, the first first."""
    if any(device.stand_in for device in setup.devices):
        yield (
            "The lines `find:` and the codes in capitals, once the real switches are there: keys "
            "stand in for them. `remapd devices` shows what each switch is."
        )
    doings = [doing for _, _, doing in plan.doings()]
    if any(isinstance(doing, Listed) and doing.take is None for doing in doings):
        yield (
            "`every`: how long each item of the list waits. Time a few presses from the "
            "announcement to the press, take the mean and divide it by 0.65; 1 s gives about the "
            "1.5 s written here. (The 0.65 rule: Simpson, Koester and LoPresti, Assistive "
            "Technology, 2007.)"
        )
    if any(each.kind == "button" and not each.settings for each in setup.players_controls):
        yield (
            "A switch that is brushed unmeant can wait: `acceptance-delay: 80ms` behind its code. "
            "One that trembles: `release-delay: 80ms`."
        )
    if any(each.kind in {"stick", "pointer"} for each in setup.players_controls):
        yield "`dead-zone`: larger if things drift while the stick is at rest."
    if any(isinstance(doing, ShortLong) for doing in doings):
        yield "`after`: how long a press lasts before it is a long one."
    if any(isinstance(doing, Listed) for doing in doings):
        yield "The order of the list: what is wanted most comes first."
    if any(doing.lasts for doing in doings):
        yield "`at-most`: how long something goes on by itself."
    if any(isinstance(doing, Layered) and doing.how == "next" for doing in doings):
        yield "`give-up`: how long a layer waits for the press that it was opened for."
    yield "The words on the left under `verbs`: call things as the player and the game do."


# ---------------------------------------------------------------------- devices


def _device(setup: Setup, plan: Plan, device: FoundDevice) -> Iterator[str]:
    if device.stand_in:
        yield f"  # {_safe(device.told)}: stands in for what is still to be had."
    yield f"  {device.name}:"
    if setup.is_helpers(device):
        yield "    person: helper"
    find = ", ".join(f"{key}: {_criterion(key, value)}" for key, value in device.find.items())
    yield f"    find: {{{find}}}"
    if device.optional:
        yield "    optional: true # the game can be played without it"
    if device.exclusive:
        yield "    # For remapd alone. Esc, or both outer mouse buttons, held 5 s gives it back."
        yield "    exclusive: true"
    if device.gamepad:
        yield "    controls: gamepad # all of it, each part under its usual name"
        return
    yield "    controls:"
    for control in setup.controls:
        if control.device == device.name:
            yield f"      {_control(control, plan.settings.get(word_of(control, setup), {}))}"


def _criterion(key: str, value: str) -> str:
    return value if key in {"vendor", "product", "shape", "nth"} else quoted(value)


def _control(control: FoundControl, more: Mapping[str, str]) -> str:
    codes = control.codes[0] if len(control.codes) == 1 else f"[{', '.join(control.codes)}]"
    settings = {**control.settings, **more}
    if "press-at" in settings and "release-at" not in settings:
        settings["release-at"] = _released_at(settings["press-at"])
    if control.kind == "pointer":
        settings = {"full-speed": _FULL_SPEED, **settings}
    parts = [f"{control.kind}: {codes}", *(f"{key}: {value}" for key, value in settings.items())]
    line = f"{control.name}: {{{', '.join(parts)}}}"
    said = control.movement
    is_said = not said or said.replace(" ", "-").lower() == control.name
    return line if is_said else f"{line} # {_safe(said)}"


def _released_at(press_at: str) -> str:
    """Half of what presses, where nothing is said: the language's own 40% may be above it."""
    share = press_at.removesuffix("%")
    return f"{int(share) // 2}%" if share.isdigit() else press_at


# ---------------------------------------------------------------------- layers


def _layer(layer: PlannedLayer) -> Iterator[str]:
    yield from _wrapped(_safe(layer.told), "  # ", _WIDTH)
    yield f"  {layer.name}:"
    said: set[str] = set()
    for word, doing in layer.bindings.items():
        for line in binding(word, doing):
            text, mark, remark = line.partition(" # ")
            if remark in said:
                yield f"    {text}"
                continue
            said.add(remark)
            yield f"    {text}{mark}{remark}"


def binding(word: str, doing: Doing) -> list[str]:
    """The lines of one binding, from the control's word on."""
    inline = f"{word}: {doing.written}"
    is_simple = not any(isinstance(each, Listed) for each in doing.inner())
    if is_simple and len(inline) <= _WIDTH - 4 and not isinstance(doing, ShortLong):
        return _remarked(inline, doing)
    if isinstance(doing, ShortLong):
        return [f"{word}:", *(f"  {line}" for line in _short_long(doing))]
    if isinstance(doing, Listed):
        return [f"{word}:", *(f"  {line}" for line in _list(doing))]
    return [inline]


def _short_long(doing: ShortLong) -> list[str]:
    end = doing.written.rpartition("after: ")[2].rstrip("}")
    return [*binding("short", doing.short), *binding("long", doing.long), f"after: {end}"]


def _list(doing: Listed) -> list[str]:
    lines = ["scan:"]
    for item in doing.items:
        lines += [f"  - {line}" for line in _remarked(item.written, item)]
    for part in doing.written.rpartition("], ")[2].rstrip("}").split(", "):
        lines.append(part)
    return lines


def _remarked(line: str, doing: Doing) -> list[str]:
    """The line with a remark behind it, where there is room."""
    if doing.remark and len(line) + len(doing.remark) + 3 <= _WIDTH - 6:
        return [f"{line} # {doing.remark}"]
    return [line]


# ---------------------------------------------------------------------- the rest


def _merge(plan: Plan) -> list[str]:
    if not plan.merge:
        return []
    return [
        "",
        "# Where both can, the helper counts only when the player has been at rest for a while.",
        "# A deed that is to stay the player's alone gets a line such as `jump: player-only`.",
        "merge:",
        *(f"  {word}: {rule}" for word, rule in plan.merge.items()),
    ]


def _cues(plan: Plan) -> list[str]:
    said = [(layer.name, layer.said) for layer in plan.layers if layer.said]
    if not said:
        return []
    lines = [f"  {name}: {{say: {quoted(_said(text))}}}" for name, text in said]
    return [
        "",
        "# What is said when a layer comes on, for the game does not show it (`remapd cues`).",
        "cues:",
        *lines,
    ]


def _said(text: str) -> str:
    words = text.replace("-", " ")
    return words[:1].upper() + words[1:]


def _place(setup: Setup) -> list[str]:
    places = places_of(setup)
    if not places:
        return []
    listed = [f"{word}: [{column}, {row}]" for word, (column, row) in places.items()]
    return [
        "",
        "# Where each control is, as the player sees it: [column, row], for the card on the wall.",
        *_flow("place: {", listed, "}"),
    ]


# ---------------------------------------------------------------------- text


def scalar(text: str) -> str:
    """A text as a plain scalar where that is safe, else quoted."""
    if _PLAIN.fullmatch(text) and text.lower() not in _WORDS_OF_YAML:
        return text
    return quoted(text)


def quoted(text: str) -> str:
    """A text in double quotes; what cannot be seen is written as an escape."""
    return '"' + "".join(_escaped(each) for each in text) + '"'


def _escaped(letter: str) -> str:
    if letter in '"\\':
        return f"\\{letter}"
    if letter.isprintable():
        return letter
    return f"\\u{ord(letter):04x}" if ord(letter) < 0x10000 else f"\\U{ord(letter):08x}"


def _safe(text: str) -> str:
    """A text of one line that may stand in a comment or a folded block."""
    return " ".join("".join(each if each.isprintable() else " " for each in text).split())


def _flow(start: str, words: Iterable[str], end: str) -> list[str]:
    """A list in brackets, over as many lines as it needs."""
    lines = [start]
    for number, word in enumerate(words):
        if number:
            lines[-1] += ","
        space = " " if number else ""
        if len(lines[-1]) + len(space) + len(word) + 1 > _WIDTH:
            lines.append(f"  {word}")
        else:
            lines[-1] += f"{space}{word}"
    lines[-1] += end
    return lines


def _wrapped(text: str, indent: str, width: int) -> list[str]:
    return textwrap.wrap(
        text, width, initial_indent=indent, subsequent_indent=indent,
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip


def _comment(text: str) -> list[str]:
    return _wrapped(_safe(text), "# ", _WIDTH) or ["#"]


def _paragraph(label: str, text: str) -> list[str]:
    room = " " * _LABEL
    lines = textwrap.wrap(
        _safe(text), _WIDTH - _LABEL - 2, break_long_words=False, break_on_hyphens=False
    )
    return [
        f"# {label:<{_LABEL}}{line}" if not number else f"# {room}{line}"
        for number, line in enumerate(lines)
    ]


def _numbered(label: str, texts: list[str]) -> list[str]:
    lines: list[str] = []
    for number, text in enumerate(texts, 1):
        wrapped = textwrap.wrap(
            _safe(text), _WIDTH - _LABEL - 5, break_long_words=False, break_on_hyphens=False
        )
        for n, line in enumerate(wrapped):
            first = f"{label:<{_LABEL}}" if number == 1 and not n else " " * _LABEL
            lines.append(f"# {first}{f'{number}. ' if not n else '   '}{line}")
    return lines


def _listed(words: list[str]) -> str:
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


__all__ = ["Round", "layout_text", "plan_text", "trials_text"]

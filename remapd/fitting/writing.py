"""A proposal written out as a layout file, with notes for the family that will live with it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from remapd.fitting.body import word_of
from remapd.fitting.doings import Doing, Listed, ShortLong
from remapd.fitting.file_lines import WIDTH, flow, quoted, safe, scalar, wrapped
from remapd.fitting.notes import kind_of_game, notes_of, title_of
from remapd.fitting.places import places_of
from remapd.fitting.plans import BASE, Plan, PlannedLayer, Proposal
from remapd.fitting.setup import FoundControl, FoundDevice, Setup
from remapd.fitting.trying import trials_of_text
from remapd.fitting.weighing import needs_of

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
        *notes_of(setup, plan),
        "",
        "remapd: 1",
        f"title: {scalar(title_of(setup))}",
        "notes: >-",
        *wrapped(safe(f"Kind of game: {kind_of_game(setup)}. {plan.plays}"), "  ", WIDTH),
        "",
        "# The game's own words for what a gamepad has. They are used below, and shown on the "
        "screens.",
        "verbs:",
        *(f"  {verb.name}: {verb.pad}" for verb in setup.game.verbs),
        "# What the game cannot be played without: `remapd check` shows how each is reached.",
        *flow("needs: [", needs_of(setup.game), "]"),
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


# ---------------------------------------------------------------------- devices


def _device(setup: Setup, plan: Plan, device: FoundDevice) -> Iterator[str]:
    if device.stand_in:
        yield f"  # Stands in for what is still to be had: {safe(device.told)}."
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
    return line if is_said else f"{line} # {safe(said)}"


def _released_at(press_at: str) -> str:
    """Half of what presses, where nothing is said: the language's own 40% may be above it."""
    share = press_at.removesuffix("%")
    return f"{int(share) // 2}%" if share.isdigit() else press_at


# ---------------------------------------------------------------------- layers


def _layer(layer: PlannedLayer) -> Iterator[str]:
    yield from wrapped(safe(layer.told), "  # ", WIDTH)
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
    if is_simple and len(inline) <= WIDTH - 4 and not isinstance(doing, ShortLong):
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
    if doing.remark and len(line) + len(doing.remark) + 3 <= WIDTH - 6:
        return [f"{line} # {doing.remark}"]
    return [line]


# ---------------------------------------------------------------------- the rest


def _merge(plan: Plan) -> list[str]:
    if not plan.merge:
        return []
    return [
        "",
        "# Where both can, the helper counts only when the player has been at rest for a while.",
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
        *flow("place: {", listed, "}"),
    ]

"""What to borrow for a plan that was tried with stand-in keys, and the plan on the real things.

Kinds of switches, their plugs and mounts: common practice of the field, no source. Nothing here is
an advice to buy: which switch suits a body is found by trying, with the therapist who knows it.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final

from remapd.fitting.body import can_hold
from remapd.fitting.setup import FoundControl, FoundDevice, Setup


@dataclass(frozen=True, slots=True)
class Loan:
    """One thing to borrow.

    Attributes:
        controls: The controls of the plan that it is for: two where one thing has two switches.
        movement: The movements that work it.
        kind: What kind of thing it is, in the trade's words.
        because: Why this kind.
        mount: How it is held in place.
        care: What to look out for.
        jacks: How many 3.5 mm switch plugs it has; 0: a USB plug of its own.
    """

    controls: tuple[str, ...]
    movement: str
    kind: str
    because: str
    mount: str
    care: str = ""
    jacks: int = 1


@dataclass(frozen=True, slots=True)
class Borrowing:
    """The whole list: what is worked by movements, what connects it, and what to know."""

    loans: tuple[Loan, ...]
    connections: tuple[str, ...]
    advice: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Kind:
    """A kind of switch for a part of the body: whole movements, and those of a small range."""

    parts: tuple[str, ...]
    kind: str
    small: str
    mount: str
    care: str = ""
    jacks: int = 1


_FACE: Final = (
    "Nothing that a spasm could drive the face into; no cord near the neck; the call bell and the "
    "airway stay free."
)
#: The first whose words begin a word of the movement counts.
_SWITCHES: Final = (
    _Kind(
        ("sip", "puff", "breath", "blow"),
        "sip-and-puff switch (one tube, two switches)",
        "sip-and-puff switch with an adjustable, light threshold",
        "a flexible tube on a gooseneck or headset, clear of the eyes, that gives way",
        "Small breaths, never held; a tube of one's own, cleaned as its maker says. Lungs, heart "
        "or swallowing in doubt: the physician first.",
        jacks=2,
    ),
    _Kind(
        ("brow", "eye", "blink", "twitch", "muscle"),
        "infra-red or muscle-signal switch",
        "infra-red or muscle-signal switch",
        "on a headband or spectacle frame, without pressure",
        "Skin under a sensor is looked at after every use; light never straight into the eye.",
    ),
    _Kind(
        ("cheek", "temple", "lip", "tongue", "chin", "jaw"),
        "light-touch lever switch, or a proximity switch that needs no touch",
        "proximity switch, or a lever switch of the lightest touch",
        "a mounting arm from the side, switched off the line of the face, that swings away",
        _FACE,
    ),
    _Kind(
        ("head", "neck", "ear"),
        "pillow switch or big soft-touch button",
        "proximity switch in or beside the headrest",
        "at the headrest, by the seating clinic's mounting",
        _FACE,
    ),
    _Kind(
        ("shoulder", "elbow", "arm", "forearm", "hip", "thigh", "leg", "knee"),
        "big soft-touch button or pillow switch",
        "pillow switch, or a lever switch of light touch",
        "a clamp and arm at the side, near enough that the movement ends at the switch",
        "Nothing to press against bone for long; the way out of the chair stays free.",
    ),
    _Kind(
        ("foot", "toe", "heel", "ankle", "sole"),
        "foot switch (a flat pedal that bears weight)",
        "flat button of light touch under the toes or beside the foot",
        "a non-slip board, the heel supported",
        "Look at heel and toes afterwards; cords off the footplate and the wheels.",
    ),
    _Kind(
        ("finger", "thumb", "knuckle"),
        "small button of light touch",
        "lever switch of the lightest touch (a micro switch)",
        "hook-and-loop on tray or armrest, or a splint that the therapist makes",
        "Nothing strapped tight; look at the skin under straps and splints.",
    ),
    _Kind(
        ("hand", "fist", "palm", "wrist"),
        "big soft-touch button, a hand wide",
        "flat button of light touch, or a pillow switch",
        "a non-slip mat or hook-and-loop on the tray",
    ),
)
_ANY_SWITCH: Final = _Kind(
    (),
    "big soft-touch button",
    "lever switch of light touch",
    "where the movement ends by itself, on a clamp, a tray or a non-slip mat",
)
_MOVED: Final = {
    "stick": (
        "joystick with a long throw and a knob, cross-bar or cup that fits the {part}",
        "mini joystick with a short throw and a light spring",
        "screwed or clamped down, so that it does not wander",
    ),
    "pointer": (
        "large trackball",
        "small trackball, or a touch pad",
        "on a non-slip mat, as high as the arm lies",
    ),
    "lever": (
        "pedal that gives how far it is pressed",
        "light lever that gives how far it is moved",
        "a board that does not slide, heel or elbow supported",
    ),
}


def to_borrow(setup: Setup) -> Borrowing:
    """What to borrow for the player's controls that only stand-ins are there for."""
    loans = tuple(_joined([_loan(control) for control in _stood_in(setup)]))
    return Borrowing(loans, tuple(_connections(loans)), tuple(_advice(loans)))


def stand_ins_left(setup: Setup) -> tuple[str, ...]:
    """The names of the controls that stand-ins are still there for."""
    return tuple(control.name for control in _stood_in(setup))


def _stood_in(setup: Setup) -> Iterator[FoundControl]:
    return (control for control in setup.players_controls if setup.device(control.device).stand_in)


def _loan(control: FoundControl) -> Loan:
    movement = control.movement or control.name.replace("-", " ")
    words = movement.lower().split()
    is_breath = any(word.startswith(_SWITCHES[0].parts) for word in words)
    found = next(
        (each for each in _SWITCHES for word in words if word.startswith(each.parts)), _ANY_SWITCH
    )
    if control.kind in _MOVED and not (control.kind == "lever" and is_breath):
        whole, small, mount = _MOVED[control.kind]
        kind = small if control.small_range else whole.format(part=words[-1] if words else "hand")
        return Loan((control.name,), movement, kind, _because(control), mount, found.care, jacks=0)
    return Loan(
        (control.name,),
        movement,
        found.small if control.small_range else found.kind,
        _because(control),
        found.mount,
        found.care,
        found.jacks,
    )


def _joined(loans: list[Loan]) -> Iterator[Loan]:
    """The same, with one tube for sip and puff."""
    tubes = [loan for loan in loans if loan.jacks > 1]
    for loan in loans:
        if loan not in tubes:
            yield loan
        elif loan is tubes[0]:
            yield replace(
                loan,
                controls=tuple(name for tube in tubes for name in tube.controls),
                movement=" and ".join(dict.fromkeys(tube.movement for tube in tubes)),
                because=max((tube.because for tube in tubes), key=len),
            )


def _because(control: FoundControl) -> str:
    reasons = ["it moves only a little"] if control.small_range else []
    if not control.reliable:
        reasons.append("it does not always come: borrow two kinds, and compare them for a week")
    if not can_hold(control):
        reasons.append("it is not to be held, so the layout asks for short presses only")
    return "; ".join(reasons)


def _connections(loans: tuple[Loan, ...]) -> Iterator[str]:
    jacks = sum(loan.jacks for loan in loans)
    if jacks:
        sockets = "socket" if jacks == 1 else "sockets"
        yield (
            f"A switch interface (switch box) with {jacks} or more 3.5 mm {sockets}, by USB or "
            "radio. Best is one that shows as a joystick or gamepad: one that types keys or clicks "
            "works too, but must then be told apart from the family's keyboard and mouse."
        )
        yield (
            "3.5 mm mono plugs fit most switches and interfaces. A stereo plug, or the older "
            "6.3 mm one, needs an adapter; ask which the lender has."
        )
    if any(not loan.jacks for loan in loans):
        yield (
            "Joysticks, trackballs and pedals that plug in by USB and need no program of their own."
        )


def _advice(loans: tuple[Loan, ...]) -> Iterator[str]:
    if loans:
        yield (
            "Ask for a loan first: an assistive-technology centre, a clinic or a school often "
            "lends for some weeks. The therapist says where each thing goes, and how it is held."
        )
        yield (
            "When it is here: `remapd devices --bench` shows how a switch bounces, and "
            "`remapd fit` takes this plan up again with the real things."
        )
    yield (
        "Rest before it tires; stop at pain, tingling or numbness. Look at the skin under each "
        "switch, twice a day where feeling is less. Cords clear of wheels and neck."
    )
    yield (
        "Chair, ventilator and call bell stay on controls of their own; the rules of the house "
        "come first."
    )


def borrowing_text(borrowing: Borrowing, width: int = 80) -> str:
    """The list to print and take along, in plain lines."""
    lines: list[str] = []
    if borrowing.loans:
        lines += ["What to borrow", ""]
        for number, loan in enumerate(borrowing.loans, 1):
            lines += _item(f"{number}. {loan.movement}: {loan.kind}.", width, "   ")
            for label, text in (
                ("Why", loan.because),
                ("Mount", loan.mount),
                ("Care", loan.care),
            ):
                if text:
                    ended = text if text.endswith(".") else f"{text}."
                    lines += _item(f"   {label}: {_capital(ended)}", width, "   ")
            lines.append("")
        lines.append("To connect it")
        lines.append("")
        for text in borrowing.connections:
            lines += _item(f"- {text}", width, "  ")
        lines.append("")
    lines.append("To know")
    lines.append("")
    for text in borrowing.advice:
        lines += _item(f"- {text}", width, "  ")
    return "\n".join(lines) + "\n"


def _item(text: str, width: int, after: str) -> list[str]:
    return textwrap.wrap(
        text, width, subsequent_indent=after, break_long_words=False, break_on_hyphens=False
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


# ---------------------------------------------------------------------- the real things


def swap_devices(
    setup: Setup, found: Mapping[str, FoundControl], devices: Iterable[FoundDevice]
) -> Setup:
    """The setup with real controls in place of those that were stood in for, or of any others.

    Each keeps its name, movement, place and what the body can do with it; device, kind, codes and
    measured settings are those of the real thing.

    Args:
        setup: The plan.
        found: By the name of a control of the plan: the real control.
        devices: The devices of the real controls.

    Raises:
        ValueError: a control that the plan does not have, or a device that is not told of.
    """
    names = {control.name for control in setup.controls}
    for name in found:
        if name not in names:
            raise ValueError(f"the plan has no control called {name}")
    controls = tuple(
        _swapped(control, found[control.name]) if control.name in found else control
        for control in setup.controls
    )
    used = {control.device for control in controls}
    known = {device.name: device for device in (*setup.devices, *devices)}
    missing = sorted(used - known.keys())
    if missing:
        raise ValueError(f"nothing is told of the device {missing[0]}")
    kept = [device for device in known.values() if device.name in used or device.gamepad]
    return replace(setup, devices=tuple(kept), controls=controls)


def _swapped(planned: FoundControl, real: FoundControl) -> FoundControl:
    return replace(
        planned,
        device=real.device,
        kind=real.kind,
        codes=real.codes,
        settings=real.settings,
        small_range=real.small_range or planned.small_range,
    )

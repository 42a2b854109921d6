"""Finding what a person can press or move: one control after another, until that is all."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

from remapd.fitting.conversation.found import Found
from remapd.fitting.conversation.questions import (
    Answer,
    Choose,
    Find,
    Interview,
    Option,
    Say,
    Try,
    Write,
)
from remapd.fitting.games import name_fault, name_from
from remapd.fitting.identity import Identity
from remapd.fitting.measuring import acceptance_for, pulse_note
from remapd.fitting.setup import FoundControl, Kind, Person

_DONE: Final = "done"
_SKIP: Final = Option("skip", "go on without this")
_PARTS: Final = (
    "left knee", "right knee", "left hand", "right hand", "left foot", "right foot", "head", "chin",
    "left elbow", "right elbow", "breath", "thumb",
)  # fmt: skip

_BREATH: Final = frozenset(("breath", "mouth", "sip", "puff", "blow", "lips"))

_WHAT: Final[dict[Kind, str]] = {
    "button": "a switch or button",
    "stick": "a stick",
    "lever": "a lever, pedal or trigger",
    "pointer": "a ball or mouse that is rolled",
}
_TRY: Final[dict[Kind, str]] = {
    "button": (
        "Now press it five times as in play, with a pause between two presses. "
        "That shows how its contact behaves."
    ),
    "stick": (
        "Now push it all round: to every side as far as is easy, and no farther. "
        "Then let it go and wait for two seconds."
    ),
    "lever": (
        "Now use it to its end, as far as is easy, and let it go. Twice, then wait. "
        "With breath: puff first, then sip."
    ),
    "pointer": "Now roll it about for four seconds, as in play.",
}
_CALL: Final = "What shall we call it? Say what moves it, such as left knee."
_ABOUT_FIND: Final = (
    "Hold a switch for a second, push a stick all round, press a lever or pedal as far as it goes, "
    "roll a ball or mouse. What is heard is told, and nothing is sent to any game meanwhile. "
    "If nothing is heard: is it plugged in? `remapd devices` lists what is."
)


def ask_controls(found: Found, person: Person, round_name: str = "") -> Interview[None]:
    """Asks for every control of one person; `round_name` is of a later round of questions."""
    number = 0
    while True:
        number += 1
        name = f"{'helper' if person.helper else 'player'}-{number}{round_name}"
        is_first = not any(each.person == person.name for each in found.devices.values())
        more = yield from _ask_one(found, person, name, is_first=is_first)
        if not more:
            return


def _ask_one(found: Found, person: Person, number: str, *, is_first: bool) -> Interview[bool]:
    answer = yield Find(
        f"find-{number}",
        _asks(person, is_first=is_first),
        _when_done(found, person),
        frozenset(found.left_alone),
        _ABOUT_FIND,
    )
    if answer == _DONE:
        return False
    heard = dict(answer)
    if heard["kind"] == "button" and not heard["released"]:
        yield Say("Heard; you can let go.")
    identity = Identity.from_data(heard["device"])
    codes = tuple(heard["codes"])
    known = found.control_at(identity.key, codes)
    if known is not None:
        return (yield from _known_already(known.name, number))
    whole = found.devices.get(identity.key)
    if whole is not None and whole.gamepad:
        return (yield from _known_already(f"on {whole.told}, all of it", number))
    if identity.key not in found.devices:
        wanted = yield from ask_about_device(found, identity, person, number, heard)
        if not wanted:
            return True
    kind, codes = yield from ask_kind(identity, heard, number)
    yield Say(what_it_is(identity, kind, codes, heard))
    device = found.add_device(identity, person)
    words = yield from ask_name(found, kind, number)
    control = FoundControl(name_from(words), device, kind, codes, movement=words)
    pulses = kind == "button" and bool(pulse_note(heard["held_us"], released=heard["released"]))
    control = yield from _ask_use(control, identity.key, person, number, pulses=pulses)
    if pulses:
        found.pulsing.add((identity.key, codes))
    found.add_control(control)
    yield Say(in_words(control, identity.told))
    return True


def ask_kind(
    identity: Identity, heard: dict[str, Any], number: str
) -> Interview[tuple[Kind, tuple[str, ...]]]:
    """What was heard, and its codes; of an axis that moved alone it is asked."""
    kind: Kind = heard["kind"]
    codes = tuple(heard["codes"])
    if kind == "lever" and heard.get("pair"):
        lone = yield Choose(
            f"axis-{number}",
            f"On {identity.told} one axis moved, {codes[0]}. What is it?",
            (
                Option("stick", "a stick, which also goes the other way"),
                Option("lever", "a lever, pedal or breath sensor"),
            ),
        )
        if lone == "stick":
            return "stick", tuple(heard["pair"])
    return kind, codes


def _asks(person: Person, *, is_first: bool) -> str:
    if person.helper:
        if is_first:
            return f"What {person.name} will use: press or move it now. Any part of a gamepad does."
        return f"Is there more that {person.name} will use? Press or move it."
    if is_first:
        return (
            f"Let {person.name} press the first switch and hold it for a second. "
            "A stick: push it all round. A lever or pedal: press it down. A ball: roll it."
        )
    return "The next one: press or move it as before."


def _when_done(found: Found, person: Person) -> tuple[Option, ...]:
    has_any = person.helper or any(
        device.person == person.name for device in found.devices.values()
    )
    return (Option(_DONE, "that is all"),) if has_any else ()


def _known_already(known: str, number: str) -> Interview[bool]:
    more = yield Choose(
        f"known-{number}",
        f"That is {known}, which is known already. Is there another one?",
        (Option("done", "no, that is all"), Option("more", "yes, another one")),
    )
    return bool(more == "more")


def ask_about_device(
    found: Found, identity: Identity, person: Person, number: str, heard: dict[str, Any]
) -> Interview[bool]:
    """A device that is heard for the first time; whether to go on with this control of it."""
    if identity.acts_as:
        what = yield Choose(
            f"acts-{number}", *_acts(identity), "leave" if heard.get("typed_with") else None
        )
        if what == "leave":
            found.left_alone[identity.key] = identity.told
            yield Say(f"{identity.told} is left alone from now on.")
            return False
    if identity.because:
        because = f"{identity.because[:1].upper()}{identity.because[1:]}."
        told_before = any("port" in device.find for device in found.devices.values())
        if not (identity.only_by_port and told_before):
            yield Say(f"That is {identity.told}. {because}")
        if identity.only_by_port and not told_before:
            yield Say(
                "A coloured sticker on the plug and one on its socket help whoever plugs it in "
                "next. If a plug has moved one day, remapd asks for one press and goes on."
            )
    if identity.is_gamepad and person.helper:
        whole = yield Choose(
            f"pad-{number}",
            f"{identity.told} is a gamepad. How is it used?",
            (
                Option("whole", "all of it, as the gamepad it is"),
                Option("parts", "only some parts of it, found one by one"),
            ),
            "whole",
        )
        if whole == "whole":
            name = found.add_device(identity, person, gamepad=True)
            yield Say(f"All of {identity.told} is {person.name}'s; the layout calls it {name}.")
            return False
    return True


def _acts(identity: Identity) -> tuple[str, tuple[Option, ...]]:
    if identity.acts_as == "mouse":
        return (
            f"{identity.told} looks like a mouse to the computer. What is it?",
            (
                Option("box", "a switch box, or a ball or mouse that is only for playing"),
                Option("leave", "the mouse that the computer is used with: leave it alone"),
            ),
        )
    return (
        f"{identity.told} looks like a keyboard to the computer. Was that a box, or the keyboard "
        "that somebody types on?",
        (
            Option("box", "a switch box that acts as a keyboard"),
            Option("leave", "the keyboard that somebody types on: leave it alone"),
            Option("keys", "that keyboard, and its keys are to be played with"),
        ),
    )


def what_it_is(
    identity: Identity, kind: Kind, codes: tuple[str, ...], heard: dict[str, Any]
) -> str:
    """What was heard, in a sentence or two."""
    # a box that acts as a keyboard is none to the people
    words = "" if identity.acts_as else f", {identity.words}"
    what = f"That is {_WHAT[kind]} on {identity.told}{words}: {' and '.join(codes)}."
    if kind == "button":
        notes = pulse_note(int(heard["held_us"]), released=bool(heard["released"]))
        return " ".join((what, *notes))
    return what


def ask_name(found: Found, kind: Kind, number: str, text: str = _CALL) -> Interview[str]:
    """What moves a control, in the words that become its name."""
    taken = found.control_names

    def fault(words: str) -> str | None:
        return name_fault(name_from(words), taken)

    free = tuple(part for part in _PARTS if fault(part) is None)
    if kind in {"stick", "pointer"}:
        free = tuple(part for part in free if part != "breath")
    words = yield Write(
        f"name-{number}",
        text,
        free[:8],
        fault,
        "The layout, the card on the wall and the screens use this name. A part of the body says "
        "more than the colour of a switch does.",
    )
    return str(words)


def _ask_use(
    control: FoundControl, key: str, person: Person, number: str, *, pulses: bool
) -> Interview[FoundControl]:
    """How it is used: what a try shows, and what only the people know."""
    if person.helper and control.kind == "button":
        return control
    control, presses_us = yield from ask_try(control, key, number)
    if person.helper:
        return control
    return (yield from ask_body(control, number, presses_us, pulses=pulses))


def ask_try(
    control: FoundControl, key: str, number: str
) -> Interview[tuple[FoundControl, tuple[int, ...]]]:
    """The control with what a try of it shows, and how long its presses lasted."""
    tried = yield Try(
        f"try-{number}", _TRY[control.kind], key, control.kind, control.codes, (_SKIP,)
    )
    settings: dict[str, str] = {"full-speed": "600/s"} if control.kind == "pointer" else {}
    if tried == _SKIP.word:
        return replace(control, settings={**settings, **control.settings}), ()
    for note in tried["notes"]:
        yield Say(note)
    settings.update(tried["settings"])
    if settings.get("rests-at") == "middle" and _BREATH & set(control.name.split("-")):
        settings["ends"] = "[puff, sip]" if tried.get("first_way") == "low" else "[sip, puff]"
    small = bool(tried["small_range"])
    return (
        replace(control, settings=settings, small_range=small),
        tuple(tried["presses_us"]),
    )


def ask_body(
    control: FoundControl, number: str, presses_us: tuple[int, ...] = (), *, pulses: bool = False
) -> Interview[FoundControl]:
    """What only the people know of a movement: whether it can be held, and how sure it is.

    `presses_us` are presses that were meant, if any were measured; `pulses`: holding sends nothing.
    """
    settings = dict(control.settings)
    can_hold = not pulses and (yield from _ask_hold(control, number)) == "yes"
    sure = yield from _ask_sure(control, number)
    if sure == "brushed":
        delay = acceptance_for(presses_us)
        if delay is not None:
            settings["acceptance-delay"] = delay
            yield Say(f"A touch then counts only once it has lasted {delay[:-2]} ms.")
    elif sure == "trembles":
        if control.kind == "button":
            settings.setdefault("release-delay", "70ms")
            settings.setdefault("repeat-guard", "250ms")
            yield Say("A press that slips or comes twice then counts as one.")
        else:
            settings["steady"] = "medium"
            yield Say("Its shaking is then smoothed; it follows a little later.")
    return replace(
        control,
        settings=settings,
        can_hold=can_hold,
        reliable=sure != "misses",
    )


def _ask_hold(control: FoundControl, number: str) -> Interview[Answer]:
    held = "held down" if control.kind == "button" else "kept pushed"
    if control.kind == "pointer":
        held = "kept rolling"
    answer = yield Choose(
        f"hold-{number}",
        f"Can it be {held} for some seconds, again and again, without strain?",
        (
            Option("yes", "yes"),
            Option("no", "no, or only now and then"),
            Option("unsure", "nobody knows yet"),
        ),
        about="Where it cannot, nothing in the layout has to be held: presses switch on and off.",
    )
    return answer


def _ask_sure(control: FoundControl, number: str) -> Interview[Answer]:
    shakes = "one press comes as several at times" if control.kind == "button" else "it shakes"
    options = [
        Option("sure", "it comes when it is wanted, nearly always"),
        Option("brushed", "it is touched by accident at times"),
        Option("trembles", shakes),
        Option("misses", "it is hard to make, or fails at times"),
    ]
    if control.kind != "button":
        options.pop(1)
    answer = yield Choose(
        f"sure-{number}",
        "How sure is it?",
        tuple(options),
        about="What is needed in haste goes to what is sure.",
    )
    return answer


def in_words(control: FoundControl, told: str) -> str:
    """That a control was written down, as it was."""
    return f"Noted. {control_in_words(control, told)}."


def control_in_words(control: FoundControl, told: str) -> str:
    """One control as it is written down: `left-knee: a switch or button on Switch box, …`."""
    parts = [f"{control.name}: {_WHAT[control.kind]} on {told}"]
    parts += [f"{key} {value}" for key, value in control.settings.items()]
    if not control.can_hold:
        parts.append("not to be held")
    if not control.reliable:
        parts.append("not for what hurries")
    if control.small_range:
        parts.append("moves a little only")
    return ", ".join(parts)

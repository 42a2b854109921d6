"""A layout from another machine: only which device is which here is asked, and all else stays."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

from remapd.engine.layout import (
    ButtonControl,
    Control,
    Layout,
    LeverControl,
    PointerControl,
    StickControl,
)
from remapd.fitting.conversation.interview import check_in_words
from remapd.fitting.conversation.questions import (
    Find,
    Heading,
    Interview,
    Option,
    Say,
    Write,
    yes_or_no,
)
from remapd.fitting.identity import Identity
from remapd.fitting.setup import Kind
from remapd.language.edit import EditImpossible, with_value
from remapd.language.pack import ExpectedDevice, Pack

_KINDS: dict[type[Control], tuple[Kind, str, str]] = {
    ButtonControl: ("button", "button", "a switch or button"),
    StickControl: ("stick", "stick", "a stick"),
    LeverControl: ("lever", "lever", "a lever"),
    PointerControl: ("pointer", "pointer", "a ball or mouse"),
}


class Here(Protocol):
    """What is plugged in on this machine, asked by the number of the layout's device."""

    def candidates(self, number: int) -> tuple[Identity, ...]:
        """The devices that its `find` fits and that have all its codes."""

    def lacks(self, number: int, key: str) -> tuple[str, ...]:
        """The controls of it that the device `key` does not have."""


@dataclass(frozen=True, slots=True)
class Folders:
    """Where the files may go: what is proposed, what is wrong with a folder, what is there."""

    proposed: str
    fault: Callable[[str], str | None]
    taken: Callable[[str], tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Moved:
    """What came of it: the files of the pack that change, by name, and where all of them go."""

    changed: Mapping[str, bytes]
    folder: str
    replaces: bool


@dataclass(slots=True)
class _Changes:
    """The texts of the pack's files as they will be, and which device is taken by whom."""

    pack: Pack
    texts: dict[str, str] = field(default_factory=dict)
    taken: dict[str, str] = field(default_factory=dict)

    def set(self, device: ExpectedDevice, path: tuple[str, ...], value: str) -> str:
        """Changes a value; what went wrong, or an empty text."""
        part = self.pack.part(device.part)
        if part is None:
            return f"{device.part} is not in the pack"
        text = self.texts.get(device.part, part.content.decode())
        try:
            self.texts[device.part] = with_value(text, ("devices", device.name, *path), value)
        except EditImpossible as error:
            return str(error)
        return ""

    def contents(self) -> dict[str, bytes]:
        return {name: text.encode() for name, text in self.texts.items()}


def moving(pack: Pack, layout: Layout, here: Here, folders: Folders | None) -> Interview[Moved]:
    """The interview of `remapd fit --from`; without `folders` the files stay where they are."""
    yield Heading(f"{pack.title or layout.title or 'A layout'}, with what is plugged in")
    packed = f" It was packed on {pack.packed_on}." if folders and pack.packed_on else ""
    yield Say(
        f"The layout and all that belongs to it stays as it is.{packed} Only which device is which "
        "may have to be asked."
    )
    changes = _Changes(pack)
    expected = pack.expected()
    for number, device in enumerate(expected):
        yield from _ask_device(changes, layout, here, number, device, expected)
    if changes.texts:
        yield Say("The check of the layout with these devices:")
        loaded = pack.load(changes.contents())
        yield Say(check_in_words(loaded.self_contained_text), as_is=True)
    if folders is None:
        yield Say("Everything stays as it is." if not changes.texts else "That is all.")
        return Moved(changes.contents(), "", replaces=True)
    folder, replaces = yield from _ask_folder(folders)
    return Moved(changes.contents(), folder, replaces)


def _ask_device(
    changes: _Changes,
    layout: Layout,
    here: Here,
    number: int,
    device: ExpectedDevice,
    expected: tuple[ExpectedDevice, ...],
) -> Interview[None]:
    candidates = [each for each in here.candidates(number) if each.key not in changes.taken]
    rivals = [
        other
        for other in range(len(expected))
        if other != number and any(each in here.candidates(other) for each in candidates)
    ]
    if len(candidates) == 1 and not rivals and not _goes_by_place(device):
        changes.taken[candidates[0].key] = device.name
        yield Say(f"{device.name}: {candidates[0].told} is plugged in. Nothing to change.")
        return
    times = 0
    while True:
        times += 1
        answer = yield Find(
            f"which-{device.name}-{times}",
            f"{_whose(device)}Press or move something on it.",
            (Option("later", "it is not here now; leave it as it was"),),
            about=f"It was {device.looks_for}.",
        )
        if answer == "later":
            yield Say(f"{device.name} stays as it was.")
            return
        identity = Identity.from_data(answer["device"])
        other = changes.taken.get(identity.key)
        if other is not None:
            yield Say(f"That is {identity.told}, which is {other} already.")
            continue
        if identity.acts_as and not device.find.shape:
            is_box = yield from yes_or_no(
                f"box-{device.name}-{times}",
                f"{identity.told} looks like a {identity.acts_as} to the computer. Is it really "
                f"{device.name}, and not one that somebody uses the computer with?",
            )
            if not is_box:
                continue
        if device.is_gamepad and not identity.is_gamepad:
            yield Say(f"{identity.told} is no whole gamepad, and {device.name} has to be one.")
            continue
        changes.taken[identity.key] = device.name
        yield from _take(changes, layout, here, number, device, identity)
        return


def _whose(device: ExpectedDevice) -> str:
    whose = "" if device.person == "player" else f", the {device.person}'s"
    names = ", ".join(device.controls[:6])
    controls = f" It has {names}." if names and not device.is_gamepad else ""
    return f"Which one is {device.name}{whose}?{controls} "


def _goes_by_place(device: ExpectedDevice) -> bool:
    """Whether it is told by its socket, or by an order of sockets: those are others here."""
    return device.find.port is not None or device.find.nth is not None


def _take(
    changes: _Changes,
    layout: Layout,
    here: Here,
    number: int,
    device: ExpectedDevice,
    identity: Identity,
) -> Interview[None]:
    """Takes a device in the place of an expected one."""
    if identity.because:
        yield Say(f"{identity.because[:1].upper()}{identity.because[1:]}.")
    if identity.in_words and not layout.devices[number].exclusive_in_words:
        fault = changes.set(device, ("exclusive",), "true")
        yield Say(
            f"{identity.told} acts as a {identity.acts_as}, so the layout now says that it is "
            "taken for remapd alone: else it would type or click as well."
            if not fault
            else f"Write `exclusive: true` under {device.name} by hand: {fault}."
        )
    lacking = here.lacks(number, identity.key)
    fits = [each.key for each in here.candidates(number)]
    if fits == [identity.key] and not lacking:
        yield Say(f"{device.name} is {identity.told}. Nothing to change.")
        return
    fault = changes.set(device, ("find",), _find_value(identity))
    if fault:
        yield Say(f"Its `find` has to be changed by hand: {fault}.")
    else:
        yield Say(f"{device.name} is {identity.told} from now on.")
    for name in lacking:
        yield from _ask_control(changes, layout, device, identity, name)


def _find_value(identity: Identity) -> str:
    words = [
        f"{key}: {value}" if key in {"vendor", "product"} else f"{key}: {_quoted(value)}"
        for key, value in identity.find.items()
    ]
    return f"{{{', '.join(words)}}}"


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def _ask_control(
    changes: _Changes, layout: Layout, device: ExpectedDevice, identity: Identity, name: str
) -> Interview[None]:
    """A control whose codes this device does not have: it is pressed or moved once."""
    control = next(each for each in layout.controls if each.name == name)
    kind, key, words = _KINDS[type(control)]
    times = 0
    while True:
        times += 1
        answer: Any = yield Find(
            f"code-{device.name}-{name}-{times}",
            f"{identity.told} sends {name} in another way. Press or move {name}.",
            (Option("skip", "leave it as it was"),),
        )
        if answer == "skip":
            return
        codes: list[str] = list(answer["codes"])
        found: str = answer["kind"]
        if kind == "stick" and found == "lever" and answer["pair"]:
            found, codes = "stick", list(answer["pair"])
        if Identity.from_data(answer["device"]).key != identity.key:
            yield Say(f"That was on another device; {name} is to be on {identity.told}.")
        elif found != kind:
            yield Say(f"{name} has to be {words}.")
        else:
            value = codes[0] if len(codes) == 1 else f"[{', '.join(codes)}]"
            fault = changes.set(device, ("controls", name.rpartition(".")[2], key), value)
            yield Say(
                f"{name} has to be changed by hand, to {value}: {fault}."
                if fault
                else f"{name} is {value}."
            )
            return


def _ask_folder(folders: Folders) -> Interview[tuple[str, bool]]:
    number = 0
    while True:
        number += 1
        folder = yield Write(
            f"folder-{number}",
            "Into which folder shall the files go?",
            (folders.proposed,),
            folders.fault,
            first_is_usual=True,
        )
        there = folders.taken(folder)
        if not there:
            return str(folder), False
        replaced = yield from yes_or_no(
            f"replace-{number}",
            f"{', '.join(there)} {'is' if len(there) == 1 else 'are'} there already. "
            "Write over that?",
        )
        if replaced:
            return str(folder), True

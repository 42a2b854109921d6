"""`remapd fit --from PACK`: a set-up from another machine, fitted to what is plugged in here."""

from __future__ import annotations

import argparse
import contextlib
import functools
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from remapd import history
from remapd.cli.failure import CommandFailed
from remapd.cli.fit_files import expanded, give_to_owner_of_folder, home_fault, tell_written
from remapd.cli.fit_session import (
    INTERRUPTED,
    ask_start,
    begin,
    carry,
    how_to_go_on,
    paused,
    play,
)
from remapd.cli.written_layout import write_layout
from remapd.codes import EV_ABS, EV_KEY, EV_REL
from remapd.engine.layout import (
    ButtonControl,
    Control,
    Layout,
    LeverControl,
    PointerControl,
    StickControl,
)
from remapd.engine.matching import fits, has_codes
from remapd.engine.source import Source
from remapd.fitting.conversation.moving import Folders, Moved, moving
from remapd.fitting.conversation.welcome import Welcomed
from remapd.fitting.identity import Identity, identify, key_of
from remapd.fitting.keeping import forget, kept, kept_path
from remapd.fitting.lines import standard
from remapd.fitting.listening import Listening
from remapd.fitting.session import BrokenOff, Session
from remapd.kernel.hotplug import is_remapd_pad
from remapd.language import load
from remapd.language.pack import Pack, PackBroken, PartKind, parse_pack, read_pack, unpack
from remapd.language.packing import pack as make_pack

_ABOUT = (
    "A layout from another machine is unpacked here. Only which device is which is asked, where it "
    "cannot be told. Everything else stays as it was."
)


def fit_from(args: argparse.Namespace) -> int:
    """Carry it through; the exit code."""
    pack, layout = pack_to_unpack(args.pack)
    memory = kept_path("from", str(args.pack.absolute()))
    with (
        standard(plain=args.plain, aloud=args.aloud) as lines,
        Listening(lines.fileno()) as listening,
    ):
        session = Session(listening, lines)
        try:
            welcomed, broken = begin(session, args.name, memory, _ABOUT)
            with paused(args.name, session, wanted=welcomed.pauses):
                interview = functools.partial(
                    moving, pack, layout, _Here(layout, listening), folders(pack, args.place)
                )
                path = carry(
                    session, interview, memory, welcomed, broken, functools.partial(write, pack)
                )
                forget(memory)
                tell_written(session, path)
                starts = ask_start(session, welcomed)
        except BrokenOff as end:
            session.say(how_to_go_on(args, memory, end))
            return INTERRUPTED if end.by_signal else 0
    return play(path, args.name) if starts else 0


def fit_in_place(args: argparse.Namespace, session: Session, welcomed: Welcomed, path: Path) -> int:
    """A layout of this machine, whose plugs have moved or whose boxes were changed."""
    try:
        made = make_pack(path, card="", today="", file_name=path.name)
        packed = parse_pack(made.content, str(path))
        loaded = packed.load()
    except PackBroken as error:
        raise CommandFailed(f"{error}; change its `find` lines by hand") from error
    if loaded.layout is None:
        raise CommandFailed(f"{path} has errors; mend it first: remapd check {path}")
    memory = kept_path("again", str(path.absolute()))
    with paused(args.name, session, wanted=welcomed.pauses):
        here = _Here(loaded.layout, session.listening)
        interview = functools.partial(moving, packed, loaded.layout, here, None)
        carry(
            session,
            interview,
            memory,
            welcomed,
            kept(memory),
            functools.partial(write_in_place, path, packed),
        )
        forget(memory)
    return 0


def write_in_place(path: Path, packed: Pack, moved: Moved) -> None:
    """Write what changed where it came from; the history has what was there before."""
    root = Path(history.real(path))
    for _ in PurePosixPath(packed.layout.name).parts:
        root = root.parent
    contents = {history.real(name): text.encode() for name, text in load(path).texts.items()}
    with contextlib.suppress(OSError):
        history.remember(path, contents, history.FOUND)
    for name, content in moved.changed.items():
        target = root / name
        write_layout(target, content, target.read_bytes())
        contents[history.real(target)] = content
    with contextlib.suppress(OSError):
        history.remember(path, contents, history.SET, "devices, by `remapd fit`")
    if moved.changed:
        print(f"Written: {', '.join(str(root / name) for name in moved.changed)}")


def pack_to_unpack(path: Path) -> tuple[Pack, Layout]:
    """The pack and its layout.

    Raises:
        CommandFailed: it is none, or its layout has errors with this version.
    """
    try:
        pack = read_pack(path)
        loaded = pack.load()
    except PackBroken as error:
        raise CommandFailed(str(error)) from error
    if loaded.layout is None:
        raise CommandFailed(
            f"the layout in {path} has errors with this version of remapd "
            f"({loaded.errors[0].message}); unpack it with `remapd unpack` and mend it first"
        )
    return pack, loaded.layout


def folders(pack: Pack, place: Path | None) -> Folders:
    """Where the files of a pack may go."""
    names = [part.name for part in pack.parts if part.kind is not PartKind.CARD]

    def fault(words: str) -> str | None:
        folder = expanded(words)
        try:
            if folder.exists() and not folder.is_dir():
                return f"there is a file called {folder}; name a folder"
        except OSError as error:  # a name that is too long, say
            return f"no folder can have that path ({error.strerror}); another one, please"
        return home_fault(folder)

    def taken(words: str) -> tuple[str, ...]:
        folder = expanded(words)
        return tuple(name for name in names if (folder / name).exists())

    return Folders(str(place) if place is not None else ".", fault, taken)


def write(pack: Pack, moved: Moved) -> Path:
    """Unpack it; the path of the layout."""
    folder = expanded(moved.folder)
    try:
        paths = unpack(pack, folder, changed=moved.changed, replace=moved.replaces)
    except PackBroken as error:
        raise CommandFailed(str(error)) from error
    for path in paths:
        give_to_owner_of_folder(path)
    return paths[0]


@dataclass(frozen=True, slots=True)
class _Here:
    """What is plugged in now."""

    layout: Layout
    listening: Listening

    def candidates(self, number: int) -> tuple[Identity, ...]:
        device = self.layout.devices[number]
        plugged = self._plugged()
        return tuple(
            identify(source, plugged)
            for source in plugged
            if fits(device.find, source) and has_codes(device, source)
        )

    def lacks(self, number: int, key: str) -> tuple[str, ...]:
        source = next((each for each in self._plugged() if key_of(each) == key), None)
        device = self.layout.devices[number]
        if source is None or device.gamepad:
            return ()
        controls = [self.layout.controls[each] for each in device.controls]
        return tuple(each.name for each in controls if not _has(source, each))

    def _plugged(self) -> list[Source]:
        return [each for each in self.listening.sources if not is_remapd_pad(each)]


def _has(source: Source, control: Control) -> bool:
    """Whether a device can send what a control of the layout is read from."""
    match control:
        case ButtonControl():
            codes = {(EV_KEY, control.code)}
        case StickControl():
            codes = {(EV_ABS, code) for code in control.axes[0]}
        case LeverControl():
            codes = {(EV_ABS, control.axes[0])}
        case PointerControl():
            codes = {(EV_REL, control.x), (EV_REL, control.y)}
    there = {
        *((EV_KEY, code) for code in source.keys),
        *((EV_ABS, code) for code in source.axes),
        *((EV_REL, code) for code in source.rels),
    }
    return codes <= there

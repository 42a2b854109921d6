"""Change one value of a layout in place: comments, order and spacing stay as they are."""

from __future__ import annotations

import argparse
import re
import sys
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Final

from remapd.cli.failure import CommandFailed
from remapd.cli.layout_meant import add_layout, layout_meant

if TYPE_CHECKING:
    from remapd.language import Loaded
    from remapd.language.addresses import Address, Addresses

#: From so many times more or less on, a slip of the finger is as likely as a wish.
_FAR: Final = Fraction(5)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the setting, its value, and which layout is meant."""
    parser.add_argument(
        "setting",
        metavar="SETTING",
        help="such as left-knee.acceptance-delay, sail.right-knee.rate, or tap",
    )
    parser.add_argument(
        "value",
        metavar="VALUE",
        help="the new value (80ms), or how much more or less (+20ms, -10ms); "
        "a value below nothing is written =-30deg",
    )
    add_layout(parser)
    # `-10ms` is a value; argparse takes plain negative numbers alone for one.
    parser._negative_number_matcher = re.compile(r"-\s*[0-9]")


def run(args: argparse.Namespace) -> int:
    """Change it, keep both versions, and say what was and what is."""
    from remapd import history
    from remapd.cli.layout_file import fail_with
    from remapd.cli.written_layout import write_layout
    from remapd.language import load
    from remapd.language.addresses import Addresses, NoSuchSetting
    from remapd.language.edit import EditImpossible, source_of, with_value
    from remapd.language.kinds import Text

    path = layout_meant(args.layout, args.name)
    loaded = load(path)
    if loaded.layout is None:
        fail_with(loaded.errors, str(path))
    addresses = Addresses(loaded.texts)
    try:
        address = addresses.find(args.setting)
    except NoSuchSetting as fault:
        raise CommandFailed(f"{fault} (in {path})") from fault
    text = loaded.texts[address.file]
    before = "" if address.node is None else source_of(text, address.node.span)
    is_words = isinstance(address.kind, Text)
    value = args.value if is_words else _new_value(args, address, addresses)
    try:
        changed = with_value(text, address.path, value, is_words=is_words)
    except EditImpossible as fault:
        raise CommandFailed(f"nothing is changed: {fault}") from fault
    if changed == text:
        print(f"{args.setting} is {value} already; nothing is changed.")
        return 0
    after = load(path, {Path(address.file): changed.encode()})
    if after.layout is None:
        raise CommandFailed(f"nothing is changed: {_told(after, args.setting)}")

    contents = {history.real(name): each.encode() for name, each in loaded.texts.items()}
    try:
        history.remember(path, contents, history.FOUND)
    except OSError as error:
        raise CommandFailed(
            "nothing is changed: the version before could not be kept in "
            f"{history.own_folder()} ({error.strerror})"
        ) from error
    write_layout(Path(address.file), changed.encode(), text.encode())
    sentence = f"{args.setting}: {before or _unwritten(address, addresses)} -> {value}"
    contents[history.real(address.file)] = changed.encode()
    history.remember(path, contents, history.SET, sentence)
    _tell(sentence, path, address, loaded, after)
    _point_out(address, addresses, value)
    return 0


def _new_value(args: argparse.Namespace, address: Address, addresses: Addresses) -> str:
    """The whole new value; raises CommandFailed where a step cannot be made."""
    from remapd.language.amounts import NoAmount, is_step, stepped

    value: str = args.value
    if not is_step(value):
        return value.removeprefix("=")
    start = address.word or _start(address, addresses)
    try:
        return stepped(address.kind, args.setting, start, value)
    except NoAmount as fault:
        raise CommandFailed(f"nothing is changed: {fault}") from fault


def _start(address: Address, addresses: Addresses) -> str:
    """What counts where nothing is written: the default; for a tuning, the control's own value."""
    from remapd.language.addresses import NoSuchSetting

    if address.path[0] == "tunings" and len(address.path) > 3:
        try:
            own = addresses.find(".".join(address.path[2:]))
        except NoSuchSetting:
            return ""
        return own.word or _start(own, addresses)
    return "" if address.field is None else address.field.default


def _unwritten(address: Address, addresses: Addresses) -> str:
    default = "" if address.path[0] == "tunings" else _start(address, addresses)
    return f"not written (which means {default})" if default else "not written"


def _told(after: Loaded, setting: str) -> str:
    """The first error that the change would make, in one line."""
    error = after.errors[0]
    words = [error.message, *error.remedies[:1]]
    return f"{setting} cannot be that: {'; '.join(words)}"


def _tell(sentence: str, path: Path, address: Address, loaded: Loaded, after: Loaded) -> None:
    from remapd.language import render

    gloss = "" if address.field is None else f" ({address.field.about})"
    print(f"{sentence}{gloss}.")
    if address.file != next(iter(loaded.texts)):
        print(
            f"It stands in {address.file}, which {path.name} includes: "
            "every layout that includes it is changed with it."
        )
    known = {each.message for each in loaded.diagnostics}
    for each in after.diagnostics:
        if each.message not in known:
            print(render(each), file=sys.stderr)


def _point_out(address: Address, addresses: Addresses, value: str) -> None:
    """A change of five times or more is done, and said."""
    from remapd.language.amounts import amount, times

    start = address.word or _start(address, addresses)
    factor = times(address.kind, start, value)
    if factor is None or factor < _FAR:
        return
    old, new = amount(address.kind, start), amount(address.kind, value)
    is_more = old is not None and new is not None and abs(new) > abs(old)
    number = f"{float(factor):.3g}"
    how = f"{number} times what it was" if is_more else f"1/{number} of what it was"
    print(f"That is {how}. If it is not what you meant: remapd undo")

"""Packs: what goes in comes out byte for byte and plays the same; whatever else is refused."""

from __future__ import annotations

import contextlib
import hashlib
import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.engine.layout import Layout
from remapd.language import load
from remapd.language.pack import (
    Pack,
    PackBroken,
    PartKind,
    is_safe_name,
    parse_pack,
    read_pack,
    unpack,
)
from remapd.language.packing import Packed, pack
from remapd.language.trials import load_trials, trials_path
from remapd.recording.trials import run_trial

LAYOUTS = sorted(
    path
    for path in (Path(__file__).parents[3] / "layouts").glob("*.yaml")
    if not path.name.endswith(".trials.yaml")
)

BOXES = """\
remapd: 1
devices:
  knees:
    find: {name: "Switch box", port: "usb-1/input0"}
    controls: {left-knee: {button: BTN_0}, right-knee: {button: BTN_1}}
"""
HARBOUR = """\
remapd: 1
title: Harbour
include: ../ward/boxes.yaml
layers:
  sail: {left-knee: south, right-knee: {layout: gull}}
"""
GULL = """\
remapd: 1
title: Gull in the wind
include: ../ward/boxes.yaml
layers:
  fly: {left-knee: {turbo: east}, right-knee: {layout: harbour.yaml}}
"""
TRIALS = """\
trials:
  - name: a press
    input: [{at: 0ms, press: left-knee, for: 120ms}]
    expect: [{at: 0ms, press: south}, {at: 120ms, release: south}]
"""


@pytest.fixture
def harbour(tmp_path: Path) -> Path:
    """A player's two layouts, and the devices of the ward that both include."""
    for name, text in {
        "ward/boxes.yaml": BOXES,
        "kite/harbour.yaml": HARBOUR,
        "kite/harbour.trials.yaml": TRIALS,
        "kite/gull.yaml": GULL,
        "kite/notes.txt": "not a part of it",
    }.items():
        path = tmp_path / "home" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    return tmp_path / "home" / "kite" / "harbour.yaml"


def packed(layout: Path, card: str = "What each does\n") -> Packed:
    return pack(layout, card=card, today="2026-03-02", file_name="harbour.remapd-pack.txt")


def outcome(layout: Path) -> list[object]:
    """What the trials of a layout come to, change by change."""
    loaded = load(layout)
    assert isinstance(loaded.layout, Layout), loaded.errors
    trials = load_trials(trials_path(layout), loaded.layout)
    assert not trials.errors
    return [
        (trial.name, result.passed, result.actual, result.end_us)
        for trial in trials.trials
        for result in [run_trial(loaded.layout, trial)]
    ]


def resealed(content: bytes) -> bytes:
    """A pack that was tampered with by somebody who knows how: all checksums are right again."""
    body = content[: content.rindex(b"==== end")]
    return (
        body + f"==== end, sha256 of all above {hashlib.sha256(body).hexdigest()} ====\n".encode()
    )


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda path: path.stem)
def test_a_shipped_layout_comes_out_as_it_was_and_plays_the_same(
    layout: Path, tmp_path: Path
) -> None:
    [first, *_] = unpack(parse_pack(packed(layout).content, "it"), tmp_path / "out")
    assert first.read_bytes() == layout.read_bytes()
    assert trials_path(first).read_bytes() == trials_path(layout).read_bytes()
    assert outcome(first) == outcome(layout)


def test_includes_trials_and_the_layouts_that_it_changes_to_come_along(
    harbour: Path, tmp_path: Path
) -> None:
    made = packed(harbour)
    read = parse_pack(made.content, "it")
    assert {part.name: part.kind for part in read.parts} == {
        "harbour.card.txt": PartKind.CARD,
        "kite/harbour.yaml": PartKind.LAYOUT,
        "ward/boxes.yaml": PartKind.INCLUDED,
        "kite/harbour.trials.yaml": PartKind.TRIALS,
        "kite/gull.yaml": PartKind.OTHER_LAYOUT,
    }
    assert made.left_out == ()
    assert (read.title, read.packed_on, read.language) == ("Harbour", "2026-03-02", 1)
    assert read.card == "What each does\n"
    assert read.trials is not None
    [device] = read.expected()
    assert (device.name, device.part, device.controls) == (
        "knees",
        "ward/boxes.yaml",
        ("left-knee", "right-knee"),
    )
    assert device.find.port == "usb-1/input0"

    [layout, *others] = unpack(read, tmp_path / "out")
    assert layout == tmp_path / "out" / "kite" / "harbour.yaml"
    assert len(others) == 3
    for path in (layout, *others):
        assert (
            path.read_bytes()
            == (harbour.parent.parent / path.relative_to(tmp_path / "out")).read_bytes()
        )
    assert outcome(layout) == outcome(harbour)


def test_a_layout_is_read_with_other_devices_before_anything_is_written(harbour: Path) -> None:
    read = parse_pack(packed(harbour).content, "it")
    changed = BOXES.replace("usb-1/input0", "usb-7/input0").encode()
    layout = read.load({"ward/boxes.yaml": changed}).layout
    assert layout is not None
    assert layout.devices[0].find.port == "usb-7/input0"


def test_another_layout_with_an_error_is_left_out_and_told(harbour: Path) -> None:
    harbour.with_name("gull.yaml").write_text("remapd: 1\nlayers: {}\n")
    [told] = packed(harbour).left_out
    assert "`gull`" in told


def test_what_cannot_be_carried_is_not_packed(harbour: Path) -> None:
    boxes = (harbour.parent.parent / "ward" / "boxes.yaml").resolve()
    harbour.write_text(HARBOUR.replace("../ward/boxes.yaml", str(boxes)))
    with pytest.raises(PackBroken, match="whole path"):
        packed(harbour)
    harbour.write_text("remapd: 1\n")
    with pytest.raises(PackBroken, match="has errors"):
        packed(harbour)


def test_a_file_whose_name_is_no_utf8_must_be_renamed(harbour: Path) -> None:
    odd = harbour.with_name(os.fsdecode(b"g\xfcll.yaml"))
    harbour.rename(odd)
    with pytest.raises(PackBroken, match="rename the file"):
        packed(odd)


def test_nothing_is_written_over_and_then_nothing_at_all_is_written(
    harbour: Path, tmp_path: Path
) -> None:
    read = parse_pack(packed(harbour).content, "it")
    folder = tmp_path / "out"
    theirs = folder / "kite" / "gull.yaml"
    theirs.parent.mkdir(parents=True)
    theirs.write_text("theirs")
    with pytest.raises(PackBroken, match=r"gull\.yaml is there already"):
        unpack(read, folder)
    assert [path for path in folder.rglob("*") if path.is_file()] == [theirs]
    assert theirs.read_text() == "theirs"
    unpack(read, folder, replace=True)
    assert theirs.read_text() == GULL


@pytest.mark.parametrize(
    "name",
    [
        "../gull.yaml",
        "/etc/gull.yaml",
        "a/../../b.yaml",
        "a//b",
        "a\\..\\b",
        ".",
        "a/",
        "a\x07b",
        "",
    ],
)
def test_a_file_outside_its_folder_is_never_written(
    harbour: Path, tmp_path: Path, name: str
) -> None:
    assert not is_safe_name(name)
    content = packed(harbour).content.replace(
        b"==== other layout kite/gull.yaml,", b"==== other layout " + name.encode() + b","
    )
    with pytest.raises(PackBroken):
        unpack(parse_pack(resealed(content), "it"), tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_an_include_that_leads_out_of_the_pack_is_not_read(harbour: Path, tmp_path: Path) -> None:
    secret = tmp_path / "secret.yaml"
    secret.write_text(BOXES)
    text = HARBOUR.replace("../ward/boxes.yaml", str(secret)).encode()
    read = parse_pack(packed(harbour).content, "it")
    with pytest.raises(PackBroken, match="not packed with it"):
        read.load({"kite/harbour.yaml": text})


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "no pack"),
        (b"remapd: 1\ntitle: x\n", "no pack"),
        (b"\x89PNG\r\n\x1a\n", "no pack"),
        (b"remapd-pack: 2\n", "update remapd"),
        (b"remapd-pack: 1\ntitle: x\n", "cut off"),
        (b"remapd-pack: 1\n" + b"x" * (8 << 20), "larger than any pack"),
    ],
)
def test_what_is_no_pack_is_told_apart(content: bytes, told: str) -> None:
    with pytest.raises(PackBroken, match=told):
        parse_pack(content, "it")


def test_what_cannot_be_read_is_told(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for nothing in (tmp_path, tmp_path / "pipe", Path("/dev/zero")):
        with pytest.raises(PackBroken, match="not a plain file"):
            read_pack(nothing)
    with pytest.raises(PackBroken, match="No such file"):
        read_pack(tmp_path / "none")


def test_line_ends_of_another_system_are_named_as_the_cause(harbour: Path) -> None:
    with pytest.raises(PackBroken, match="line ends"):
        parse_pack(packed(harbour).content.replace(b"\n", b"\r\n"), "it")


# ---------------------------------------------------------------- for anything whatever

_words = st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), max_size=40)
_line_ends = st.sampled_from(["\n", "\r\n"])


@given(title=_words, comment=_words, line_end=_line_ends, ends=st.booleans(), card=_words)
def test_any_bytes_of_a_layout_come_out_again(
    tmp_path_factory: pytest.TempPathFactory,
    title: str,
    comment: str,
    line_end: str,
    ends: bool,
    card: str,
) -> None:
    folder = tmp_path_factory.mktemp("any")
    text = f"{BOXES}# {comment}\nlayers:\n  sail: {{left-knee: south}}"
    text = text.replace("remapd: 1\n", f"remapd: 1\ntitle: {title!r}\n") + "\n" * ends
    path = folder / "harbour.yaml"
    path.write_bytes(text.replace("\n", line_end).encode())
    if load(path).layout is None:
        with pytest.raises(PackBroken):
            packed(path)
        return
    card += f"\n==== end, sha256 of all above {'0' * 64} ====\n"  # looks like a mark, and is none
    read = parse_pack(packed(path, card).content, "it")
    assert read.card == card
    [first] = unpack(read, folder / "out")
    assert first.read_bytes() == path.read_bytes()


_one = Path(__file__).parents[3] / "layouts" / "one-switch.yaml"
_content = packed(_one).content
_read = parse_pack(_content, "it")


@given(at=st.integers(0, len(_content) - 1))
def test_a_pack_that_is_cut_off_is_refused(at: int) -> None:
    if at == len(_content) - 1:  # only the last line end is missing
        assert parse_pack(_content[:at], "it") == _read
        return
    with pytest.raises(PackBroken):
        parse_pack(_content[:at], "it")


@given(at=st.integers(0, len(_content) - 2), value=st.integers(0, 255), more=st.booleans())
def test_a_pack_with_one_byte_other_is_refused(at: int, value: int, more: bool) -> None:
    changed = _content[:at] + bytes([value]) + _content[at + (not more) :]
    if changed == _content:
        return
    with pytest.raises(PackBroken):
        parse_pack(changed, "it")


@given(st.binary(max_size=400), st.booleans())
def test_any_bytes_are_a_pack_or_an_error(content: bytes, begins: bool) -> None:
    with contextlib.suppress(PackBroken):
        assert isinstance(parse_pack(b"remapd-pack: 1\n" * begins + content, "it"), Pack)

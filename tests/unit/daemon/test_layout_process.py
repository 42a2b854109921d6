"""The process that reads layouts, as a real process with a real inotify: every way of saving."""

from __future__ import annotations

import os
import select
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from remapd.daemon import layout_process
from remapd.daemon.layout_reader import LayoutReader, ReaderLost
from remapd.daemon.reading import Reading

WAIT_S = 10.0


def layout(target: str) -> str:
    return f"""
remapd: 1
title: "One switch, {target}"
devices:
  knees:
    find: {{name: "Knee box"}}
    controls:
      left-knee: {{button: BTN_0}}
layers:
  sail:
    left-knee: {target}
"""


@pytest.fixture
def reader() -> Iterator[LayoutReader]:
    started = LayoutReader()
    yield started
    started.close()


def next_reading(reader: LayoutReader, wait_s: float = WAIT_S) -> Reading | None:
    """The next reading, or None when none comes in time."""
    deadline = time.monotonic() + wait_s
    while (left := deadline - time.monotonic()) > 0:
        if select.select([reader.fileno()], [], [], left)[0]:
            reading = reader.collect()
            if reading is not None:
                return reading
    return None


def title(reading: Reading | None) -> str:
    assert reading is not None, "no reading came"
    assert reading.layout is not None, reading.problems
    return reading.layout.title.partition(", ")[2]


def begin(reader: LayoutReader, path: Path, target: str = "south") -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(layout(target))
    assert title(reader.wait(reader.use(str(path)))) == target


def in_place(path: Path, text: str) -> None:
    path.write_text(text)


def in_two_parts(path: Path, text: str) -> None:
    with path.open("w") as file:
        file.write(text[:50])
        file.flush()
        time.sleep(0.1)
        file.write(text[50:])


def emptied_first(path: Path, text: str) -> None:
    path.write_text("")
    time.sleep(0.2)
    path.write_text(text)


def by_renaming(path: Path, text: str) -> None:
    other = path.with_suffix(".new")
    other.write_text(text)
    other.replace(path)


def by_renaming_from_elsewhere(path: Path, text: str) -> None:
    other = path.parent / "elsewhere" / "x"
    other.parent.mkdir(exist_ok=True)
    other.write_text(text)
    other.replace(path)


def with_a_backup(path: Path, text: str) -> None:
    path.rename(path.with_name(f"{path.name}~"))
    path.write_text(text)


def deleted_and_made_again(path: Path, text: str) -> None:
    path.unlink()
    time.sleep(0.2)
    path.write_text(text)


def folder_made_again(path: Path, text: str) -> None:
    shutil.rmtree(path.parent)
    path.parent.mkdir()
    path.write_text(text)


def folder_renamed_away(path: Path, text: str) -> None:
    path.parent.rename(path.parent.with_name(f"away-{time.monotonic_ns()}"))
    path.parent.mkdir()
    path.write_text(text)


SAVES = [
    in_place,
    in_two_parts,
    emptied_first,
    by_renaming,
    by_renaming_from_elsewhere,
    with_a_backup,
    deleted_and_made_again,
    folder_made_again,
    folder_renamed_away,
]


@pytest.mark.parametrize("save", SAVES, ids=lambda save: save.__name__)
def test_every_way_of_saving_gives_one_reading_of_the_whole_file(
    reader: LayoutReader, tmp_path: Path, save: Callable[[Path, str], None]
) -> None:
    path = tmp_path / "layouts" / "boat.yaml"
    begin(reader, path)
    for target in ("east", "north"):
        save(path, layout(target))
        assert title(next_reading(reader)) == target
    assert next_reading(reader, 0.3) is None


def test_a_folder_without_events_is_read_by_looking(reader: LayoutReader, tmp_path: Path) -> None:
    # a file under a folder that is itself a link elsewhere: turning the link gives no event
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "boat.yaml").write_text(layout("south" if name == "one" else "east"))
    link = tmp_path / "current"
    link.symlink_to("one")
    begin(reader, link / "boat.yaml")
    other = tmp_path / "new"
    other.symlink_to("two")
    other.replace(link)
    assert title(next_reading(reader)) == "east"


@pytest.mark.parametrize("noise", ["touch", "chmod", "read", "neighbour", "same"])
def test_what_changes_nothing_gives_no_reading(
    reader: LayoutReader, tmp_path: Path, noise: str
) -> None:
    path = tmp_path / "boat.yaml"
    begin(reader, path)
    match noise:
        case "touch":
            os.utime(path)
        case "chmod":
            path.chmod(0o600)
        case "read":
            path.read_text()
        case "neighbour":
            (tmp_path / "boat.yaml.swp").write_text("x")
        case _:
            path.write_text(layout("south"))
    assert next_reading(reader, 1.9) is None


def test_a_broken_save_is_told_and_the_next_one_read(reader: LayoutReader, tmp_path: Path) -> None:
    path = tmp_path / "boat.yaml"
    begin(reader, path)
    path.write_text(layout("soth"))
    broken = next_reading(reader)
    assert broken is not None
    assert broken.layout is None
    assert "did you mean" in broken.problems
    assert broken.summary.startswith(f"{path}:11:")
    path.write_text(layout("east"))
    assert title(next_reading(reader)) == "east"


def test_a_file_that_stays_away_is_told_after_a_while(reader: LayoutReader, tmp_path: Path) -> None:
    path = tmp_path / "boat.yaml"
    begin(reader, path)
    began = time.monotonic()
    path.unlink()
    gone = next_reading(reader)
    assert gone is not None
    assert gone.layout is None
    assert time.monotonic() - began > 0.4
    assert next_reading(reader, 1.5) is None, "told once"
    path.write_text(layout("south"))
    assert title(next_reading(reader)) == "south"


def test_a_broken_other_layout_leaves_the_first_followed(
    reader: LayoutReader, tmp_path: Path
) -> None:
    begin(reader, tmp_path / "boat.yaml")
    other = tmp_path / "other.yaml"
    other.write_text(layout("soth"))
    assert reader.wait(reader.use(str(other))).layout is None
    other.write_text(layout("east"))
    assert next_reading(reader, 0.5) is None
    (tmp_path / "boat.yaml").write_text(layout("north"))
    assert title(next_reading(reader)) == "north"


def test_again_reads_what_has_not_changed(reader: LayoutReader, tmp_path: Path) -> None:
    begin(reader, tmp_path / "boat.yaml")
    assert title(reader.wait(reader.again())) == "south"


def test_it_ends_when_its_orders_end(tmp_path: Path) -> None:
    reader = LayoutReader()
    process = reader._process
    begin(reader, tmp_path / "boat.yaml")  # so that it has started, however busy the machine is
    reader.close()
    assert process.returncode == 0


def test_its_end_is_noticed(reader: LayoutReader) -> None:
    reader._process.kill()
    with pytest.raises(ReaderLost):
        reader.collect()
    reader._process.wait()
    with pytest.raises(ReaderLost):
        reader.again()


def test_every_save_of_many_is_read_and_waited_for_only_shortly(
    reader: LayoutReader, tmp_path: Path
) -> None:
    path = tmp_path / "boat.yaml"
    begin(reader, path)

    for number in range(20):
        path.write_text(layout("south") + f"# {number}\n")
        reading = next_reading(reader)
        assert reading is not None
        assert reading.texts[str(path)].endswith(f"# {number}\n")
    assert layout_process.QUIET_US <= 50_000  # half of the 100 ms from a save to being in force


@pytest.mark.parametrize("made", [os.mkfifo, lambda path: path.symlink_to("/dev/full")])
def test_what_has_no_end_or_no_beginning_is_refused_and_not_waited_for(
    reader: LayoutReader, tmp_path: Path, made: Callable[[Path], None]
) -> None:
    """A pipe of that name never begins, and some devices never end."""
    path = tmp_path / "boat.yaml"
    made(path)

    refused = reader.wait(reader.use(str(path)))

    assert refused.layout is None
    assert "is not a file" in refused.problems
    path.unlink()
    path.write_text(layout("south"))
    assert title(next_reading(reader)) == "south"


def test_a_name_that_is_no_utf_8_is_read_and_kept(reader: LayoutReader, tmp_path: Path) -> None:
    path = tmp_path / os.fsdecode(b"boat\xff.yaml")
    begin(reader, path)
    path.write_text(layout("east"))
    assert title(next_reading(reader)) == "east"
    path.write_text(layout("north"))
    assert title(next_reading(reader)) == "north"


#: In a user namespace of its own the limit is changed for nobody else (namespaces(7), proc(5)).
_WITHOUT_INOTIFY = """
import os, sys
from pathlib import Path
Path("/proc/sys/user/max_inotify_instances").write_text("0")
from remapd.daemon.layout_reader import LayoutReader
from tests.unit.daemon.test_layout_process import begin, layout, next_reading, title
path = Path(sys.argv[1])
reader = LayoutReader()
begin(reader, path)
opened = Path(f"/proc/{reader._process.pid}/fd").iterdir()
assert "inotify" not in " ".join(os.path.realpath(each) for each in opened)  # some close again
path.write_text(layout("east"))
print(title(next_reading(reader, 60)))
reader.close()
"""
OWN_NAMESPACE = ("unshare", "--user", "--map-root-user")


def why_no_namespace() -> str:
    """Why there is no user namespace to be had here; empty where there is one."""
    limit = "/proc/sys/user/max_inotify_instances"
    try:
        done = subprocess.run(
            [*OWN_NAMESPACE, "test", "-w", limit], check=False, capture_output=True, text=True
        )
    except FileNotFoundError:
        return "there is no `unshare` on this machine"
    return "" if done.returncode == 0 else f"no user namespace here: {done.stderr.strip()}"


@pytest.mark.skipif(bool(why_no_namespace()), reason=why_no_namespace())
def test_where_the_kernel_watches_no_more_files_a_save_is_seen_all_the_same(tmp_path: Path) -> None:
    """As on a full machine, or in a home that gives no events: it looks once a second."""
    done = subprocess.run(
        [*OWN_NAMESPACE, sys.executable, "-c", _WITHOUT_INOTIFY, str(tmp_path / "boat.yaml")],
        check=False,
        capture_output=True,
        text=True,
        timeout=120,
        env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)},
    )

    assert (done.stdout, done.stderr) == ("east\n", "")

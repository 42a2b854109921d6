"""A layout that is saved while it is played: every way of saving, and what a save may not do."""

from __future__ import annotations

import os
import shutil
import signal
import statistics
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from evdev import UInput, ecodes

from tests.support.daemon import BOX, Daemon, press, release, until

Start = Callable[..., Daemon]
Plug = Callable[..., UInput]


def layout(target: str) -> str:
    """One switch that presses this."""
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


BROKEN = layout("soth")


def in_place(path: Path, text: str) -> None:
    path.write_text(text)


def in_two_parts(path: Path, text: str) -> None:
    with path.open("w") as file:
        file.write(text[: len(text) // 2])
        file.flush()
        time.sleep(0.05)
        file.write(text[len(text) // 2 :])


def emptied_first(path: Path, text: str) -> None:
    path.write_text("")
    time.sleep(0.1)
    path.write_text(text)


def by_renaming(path: Path, text: str) -> None:
    other = path.with_suffix(".new")
    other.write_text(text)
    other.replace(path)


def by_renaming_from_another_folder(path: Path, text: str) -> None:
    other = path.parent / "elsewhere" / "layout.new"
    other.parent.mkdir(exist_ok=True)
    other.write_text(text)
    other.replace(path)


def with_a_backup(path: Path, text: str) -> None:
    path.rename(path.with_name(f"{path.name}~"))
    path.write_text(text)


def deleted_and_made_again(path: Path, text: str) -> None:
    path.unlink()
    time.sleep(0.1)
    path.write_text(text)


def folder_deleted_and_made_again(path: Path, text: str) -> None:
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
    by_renaming_from_another_folder,
    with_a_backup,
    deleted_and_made_again,
    folder_deleted_and_made_again,
    folder_renamed_away,
]


def presses(daemon: Daemon, knees: UInput) -> str:
    """What the switch presses now."""
    press(knees, ecodes.BTN_0)
    daemon.game.until(lambda view: view.pressed)
    (pressed,) = daemon.game.view.pressed
    release(knees, ecodes.BTN_0)
    daemon.game.until_neutral()
    return pressed


@pytest.mark.parametrize("save", SAVES, ids=lambda save: save.__name__)
def test_every_way_of_saving_is_seen(
    start: Start, plug: Plug, tmp_path: Path, save: Callable[[Path, str], None]
) -> None:
    knees = plug(BOX, "Knee box")
    path = tmp_path / "layouts" / "boat.yaml"
    daemon = start(layout("south"), path=path)
    daemon.until_taken("knees")
    assert presses(daemon, knees) == "south"
    for target in ("east", "north"):
        save(path, layout(target))
        until(lambda t=target: daemon.status()["layout"]["title"].endswith(t))  # type: ignore[misc]
        assert presses(daemon, knees) == target
    assert "refused" not in daemon.journal(), "no half-written file was taken for a whole one"


def test_a_layout_behind_links_is_seen_at_each_of_them(
    start: Start, plug: Plug, tmp_path: Path
) -> None:
    plug(BOX, "Knee box")
    real, shelf = tmp_path / "real", tmp_path / "shelf"
    for folder in (real, shelf, tmp_path / "here"):
        folder.mkdir()
    (shelf / "boat.yaml").symlink_to(real / "boat.yaml")
    linked = tmp_path / "here" / "boat.yaml"
    (real / "boat.yaml").write_text(layout("south"))
    linked.symlink_to(Path("..") / "shelf" / "boat.yaml")
    daemon = start(layout("south"), path=linked)  # writes through the links
    daemon.until_taken("knees")

    in_place(real / "boat.yaml", layout("east"))
    daemon.until_status(lambda s: s["layout"]["title"].endswith("east"))

    (real / "other.yaml").write_text(layout("north"))
    (shelf / "boat.yaml").unlink()
    (shelf / "boat.yaml").symlink_to(real / "other.yaml")
    daemon.until_status(lambda s: s["layout"]["title"].endswith("north"))

    in_place(real / "other.yaml", layout("west"))
    daemon.until_status(lambda s: s["layout"]["title"].endswith("west"))


def test_an_included_file_is_followed_too(start: Start, plug: Plug, tmp_path: Path) -> None:
    knees = plug(BOX, "Knee box")
    devices = tmp_path / "ward" / "devices.yaml"
    devices.parent.mkdir()

    def describe(code: str) -> str:
        return f"""
remapd: 1
devices:
  knees:
    find: {{name: "Knee box"}}
    controls:
      left-knee: {{button: {code}}}
"""

    devices.write_text(describe("BTN_0"))
    daemon = start("""
remapd: 1
title: Boat
include: ward/devices.yaml
layers:
  sail: {left-knee: south}
""")
    daemon.until_taken("knees")
    press(knees, ecodes.BTN_0)
    daemon.game.until_pressed("south")
    release(knees, ecodes.BTN_0)
    daemon.game.until_neutral()

    by_renaming(devices, describe("BTN_1"))

    until(lambda: _presses_with(daemon, knees, ecodes.BTN_1))


def _presses_with(daemon: Daemon, knees: UInput, code: int) -> bool:
    press(knees, code)
    deadline = time.monotonic() + 0.5
    while time.monotonic() < deadline and not daemon.game.view.pressed:
        daemon.game.read()
    pressed = daemon.game.view.pressed == {"south"}
    release(knees, code)
    return pressed


def test_a_broken_save_changes_nothing_and_is_told_with_its_line(start: Start, plug: Plug) -> None:
    knees = plug(BOX, "Knee box")
    daemon = start(layout("{latch: south}"))
    daemon.until_taken("knees")
    press(knees, ecodes.BTN_0)
    daemon.game.until_pressed("south")

    daemon.save(BROKEN)

    refused = daemon.until_status(lambda s: s["refused"])["refused"]
    assert "boat" not in refused["path"]
    assert ":10:" in refused["summary"] or ":11:" in refused["summary"]
    assert "did you mean" in refused["problems"]
    assert "`south`" in refused["problems"]
    assert "is refused, the one in force stays" in daemon.journal()
    assert "left-knee: soth" in daemon.journal(), "the line itself is shown"
    sentences = daemon.command("status").stdout
    assert "was refused" in sentences
    assert "^^^^" in sentences
    daemon.game.until_pressed("south")
    release(knees, ecodes.BTN_0)
    daemon.game.quiet_for(0.3)

    # undone: what is in force already, so not even the latch ends
    daemon.save(layout("{latch: south}"))
    daemon.until_status(lambda s: not s["refused"])
    daemon.game.quiet_for(0.3)
    assert daemon.game.view.pressed == {"south"}

    daemon.save(layout("east"))
    daemon.game.until_neutral()
    assert presses(daemon, knees) == "east"


def test_what_is_held_is_released_and_acts_only_after_a_fresh_press(
    start: Start, plug: Plug
) -> None:
    knees = plug(BOX, "Knee box")
    daemon = start(layout("south"))
    daemon.until_taken("knees")
    press(knees, ecodes.BTN_0)
    daemon.game.until_pressed("south")
    daemon.save(layout("east"))
    daemon.game.until_neutral()
    daemon.game.quiet_for(0.3)
    release(knees, ecodes.BTN_0)
    daemon.game.quiet_for(0.2)
    press(knees, ecodes.BTN_0)
    daemon.game.until_pressed("east")


@pytest.mark.parametrize("noise", ["touch", "chmod", "read", "neighbour"])
def test_what_is_no_save_reloads_nothing(
    start: Start, plug: Plug, tmp_path: Path, noise: str
) -> None:
    knees = plug(BOX, "Knee box")
    path = tmp_path / "layouts" / "boat.yaml"
    daemon = start(layout("{latch: south}"), path=path)
    daemon.until_taken("knees")
    press(knees, ecodes.BTN_0)
    daemon.game.until_pressed("south")
    match noise:
        case "touch":
            os.utime(path)
        case "chmod":
            path.chmod(0o600)
        case "read":
            path.read_text()
        case _:
            (path.parent / "boat.yaml.swp").write_text("x")
    daemon.game.quiet_for(2.0)
    assert daemon.game.view.pressed == {"south"}


def test_hangup_reads_again_and_tells_the_service_manager(start: Start, plug: Plug) -> None:
    plug(BOX, "Knee box")
    daemon = start(layout("south"))
    daemon.process.send_signal(signal.SIGHUP)
    assert "MONOTONIC_USEC=" in daemon.wait_notified("RELOADING=1")
    daemon.wait_notified("READY=1")


def test_the_reader_may_die_and_play_goes_on(start: Start, plug: Plug) -> None:
    knees = plug(BOX, "Knee box")
    daemon = start(layout("south"))
    daemon.until_taken("knees")
    children = Path(f"/proc/{daemon.process.pid}/task/{daemon.process.pid}/children")
    (reader,) = map(int, children.read_text().split())
    press(knees, ecodes.BTN_0)
    daemon.game.until_pressed("south")
    os.kill(reader, signal.SIGKILL)
    daemon.until_said("is started again")
    assert daemon.game.view.pressed == {"south"}
    release(knees, ecodes.BTN_0)
    daemon.game.until_neutral()
    until(lambda: children.read_text().split() not in ([], [str(reader)]))
    daemon.save(layout("east"))
    daemon.until_status(lambda s: s["layout"]["title"].endswith("east"))
    assert presses(daemon, knees) == "east"


def test_from_save_to_applied(start: Start, plug: Plug, capsys: pytest.CaptureFixture[str]) -> None:
    """Seen from outside: the pad itself shows it, by a latch that the reload ends.

    The times are told, and judged by whoever reads them: a busy machine proves nothing.
    """
    knees = plug(BOX, "Knee box")
    daemon = start(layout("{latch: south}"))
    daemon.until_taken("knees")
    took_ms: list[float] = []
    for number in range(25):
        press(knees, ecodes.BTN_0)
        release(knees, ecodes.BTN_0)
        daemon.game.until_pressed("south")
        text = layout("{latch: south}").replace("One switch", f"Save {number}")
        began = time.monotonic()
        daemon.save(text)
        daemon.game.until_neutral()
        took_ms.append((time.monotonic() - began) * 1000)
    took_ms.sort()
    median, p99 = statistics.median(took_ms), took_ms[-1]
    stall_ms = daemon.status()["figures"]["longest_stall_us"] / 1000
    with capsys.disabled():
        print(
            f"\nsave to applied: median {median:.0f} ms, p99 {p99:.0f} ms of {len(took_ms)}; "
            f"longest stall of the input loop in all tests so far {stall_ms:.1f} ms"
        )


def test_play_goes_on_while_a_big_layout_is_read(
    start_own: Start, plug: Plug, capsys: pytest.CaptureFixture[str]
) -> None:
    """A thousand bindings in fifty layers, saved again and again under play; the stall is told."""
    more = list(range(ecodes.BTN_TRIGGER_HAPPY1, ecodes.BTN_TRIGGER_HAPPY13))
    knees = plug({ecodes.EV_KEY: BOX[ecodes.EV_KEY] + more}, "Knee box")

    def big(number: int) -> str:
        codes = [f"BTN_{n}" for n in range(8)] + [f"BTN_TRIGGER_HAPPY{n}" for n in range(1, 13)]
        lines = ["remapd: 1", f'title: "Big {number}"', "base: layer-0", "devices:", "  knees:"]
        lines += ['    find: {name: "Knee box"}', "    controls:"]
        lines += [f"      c{n}: {{button: {codes[n]}}}" for n in range(20)]
        lines.append("layers:")
        for layer in range(50):
            lines.append(f"  layer-{layer}:")
            lines += [f"    c{n}: {{turbo: south, rate: 8/s}}" for n in range(20)]
        return "\n".join(lines)

    daemon = start_own(big(0))
    daemon.until_taken("knees")
    for number in range(1, 6):
        daemon.save(big(number))
        while daemon.status()["layout"]["title"] != f"Big {number}":
            press(knees, ecodes.BTN_0)
            release(knees, ecodes.BTN_0)
            daemon.game.read()
            time.sleep(0.05)  # a player's pace, which leaves the one processor to the reader
    figures = daemon.status()["figures"]
    with capsys.disabled():
        print(
            f"\na thousand bindings: applied {daemon.status()['layout']['took_us'] / 1000:.0f} ms "
            f"after the save; longest stall {figures['longest_stall_us'] / 1000:.1f} ms"
        )
    assert figures["losses"] == 0

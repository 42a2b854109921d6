"""`remapd cues` beside a daemon: real processes; programs on PATH write down their calls."""

from __future__ import annotations

import os
import shutil
import signal
import stat
import subprocess
import sys
import threading
import time
import wave
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.support.speech_server import SpeechServerStandIn
from tests.support.stand_in_daemon import WAIT_S, StandInDaemon, until

BOAT = """\
remapd: 1
title: A boat
base: sail
devices:
  knees:
    find: {name: "Knee box"}
    controls:
      left-knee: {button: BTN_0}
      right-knee: {button: BTN_1}
      chin: {button: BTN_2}
layers:
  sail:
    left-knee: {latch: south}
    right-knee: {layer: cast-net, how: toggle}
    chin: {say: "I need a break"}
  cast-net:
    left-knee: east
cues:
  cast-net: {say: "Nets", off: {tone: low, notify: "<Nets> & lines"}}
  latch-on: {tone: high, rumble: knees, strength: 40%}
"""

#: Writes down when it was called and with what; `exit` is its exit code.
RECORDER = """\
#!{python}
import sys, time, pathlib
text = sys.stdin.read() if "--stdin" in sys.argv else ""
words = [*sys.argv[1:], *([text] if text else [])]
with open({calls!r}, "a") as calls:
    calls.write(repr((time.monotonic_ns() // 1000, {name!r}, words)) + "\\n")
if "--print-id" in sys.argv:
    print(7)
sys.exit({exit})
"""


class Session:
    """A session with these programs and no others."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.calls_path = folder / "calls"
        self.bin = folder / "bin"
        self.bin.mkdir()

    def add(self, name: str, exit_code: int = 0) -> None:
        program = self.bin / name
        program.write_text(
            RECORDER.format(
                python=sys.executable, calls=str(self.calls_path), name=name, exit=exit_code
            )
        )
        program.chmod(program.stat().st_mode | stat.S_IXUSR)

    def calls(self) -> list[tuple[int, str, list[str]]]:
        if not self.calls_path.exists():
            return []
        return [eval(line) for line in self.calls_path.read_text().splitlines()]  # noqa: S307

    def until_called(self, name: str, wanted: str = "") -> tuple[int, list[str]]:
        """The time and words of the first call of this program with this in its words."""

        def find() -> tuple[int, list[str]] | None:
            for us, called, words in self.calls():
                if called == name and wanted in " ".join(words):
                    return us, words
            return None

        found = until(find)
        assert found is not None
        return found


@pytest.fixture
def session(tmp_path: Path) -> Session:
    return Session(tmp_path)


@pytest.fixture
def daemon(tmp_path: Path) -> Iterator[StandInDaemon]:
    layout = tmp_path / "boat.yaml"
    layout.write_text(BOAT)
    with StandInDaemon(tmp_path, layout) as started:
        yield started


class Companion:
    """`remapd cues` in a session."""

    def __init__(self, folder: Path, session: Session, *words: str) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "remapd", "cues", "--print", *words],
            env={
                "PATH": str(session.bin),
                "HOME": str(folder),
                "XDG_RUNTIME_DIR": str(folder),
                "RUNTIME_DIRECTORY": str(folder),
                "LC_ALL": "C.UTF-8",
                "PYTHONPATH": os.pathsep.join(sys.path),
            },
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        self.lines: list[str] = []
        self._reader = threading.Thread(target=self._read)
        self._reader.start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.lines.append(line.rstrip("\n"))

    def until_said(self, wanted: str) -> None:
        try:
            until(lambda: any(wanted in line for line in self.lines))
        except AssertionError:
            raise AssertionError((wanted, self.lines)) from None

    def until_it_plays(self, times: int = 1) -> None:
        """Waits until it knows a layout's cues, the first one or the one after so many."""
        until(lambda: sum(line.endswith("are played from now on.") for line in self.lines) >= times)

    def close(self, number: int = signal.SIGTERM) -> None:
        if self.process.poll() is None:
            self.process.send_signal(number)
        self.process.wait(WAIT_S)
        self._reader.join(WAIT_S)
        assert self.process.stdout is not None
        self.process.stdout.close()


@pytest.fixture
def start(
    tmp_path: Path, session: Session, daemon: StandInDaemon
) -> Iterator[Callable[..., Companion]]:
    started: list[Companion] = []

    def start_companion(*words: str) -> Companion:
        companion = Companion(tmp_path, session, *words)
        started.append(companion)
        if not words:
            companion.until_it_plays()
        return companion

    yield start_companion
    for each in started:
        each.close()


def is_free_of_mistakes(companion: Companion) -> bool:
    return not any("mistake in remapd" in line for line in companion.lines)


# ---------------------------------------------------------------- playing
def test_a_layer_is_spoken_and_its_end_is_a_tone_and_a_notification(
    session: Session, daemon: StandInDaemon, start: Callable[..., Companion]
) -> None:
    for name in ("pw-play", "spd-say", "notify-send"):
        session.add(name)
    companion = start()

    daemon.tap("right-knee")
    _, words = session.until_called("spd-say")
    assert words == ["--priority", "text", "--", "Nets"]

    daemon.tap("right-knee")
    _, words = session.until_called("pw-play")
    assert words[0].endswith("low-0.200.wav")
    _, words = session.until_called("notify-send")
    assert words[-3:] == ["--", "remapd", "&lt;Nets&gt; &amp; lines"]

    companion.until_said("cast-net: low tone, notifies “<Nets> & lines”")
    assert is_free_of_mistakes(companion)


def test_the_next_player_takes_over_where_one_fails(
    session: Session, daemon: StandInDaemon, start: Callable[..., Companion]
) -> None:
    session.add("pw-play", exit_code=1)
    session.add("paplay", exit_code=1)
    session.add("aplay")
    start()

    daemon.tap("left-knee")

    _, words = session.until_called("aplay")
    assert words[0] == "-q"
    assert words[1].endswith("high-0.200.wav")
    assert [name for _, name, _ in session.calls()] == ["pw-play", "paplay", "aplay"]
    daemon.tap("left-knee")
    daemon.tap("left-knee")
    until(lambda: len(session.calls()) == 4)
    assert [name for _, name, _ in session.calls()][3] == "aplay"


def test_where_nothing_can_speak_a_tone_is_played_in_its_place(
    session: Session, daemon: StandInDaemon, start: Callable[..., Companion]
) -> None:
    session.add("aplay")
    session.add("espeak-ng", exit_code=1)
    start()

    daemon.tap("right-knee")

    _, words = session.until_called("aplay")
    assert words[1].endswith("twice-0.200.wav")


def test_words_are_given_to_the_speech_program_as_text_and_never_as_options(
    session: Session, daemon: StandInDaemon, start: Callable[..., Companion]
) -> None:
    session.add("espeak-ng")
    companion = start()
    daemon.save(BOAT.replace('say: "Nets"', 'say: "--help $(id)"'))
    companion.until_it_plays(2)

    daemon.tap("right-knee")

    _, words = session.until_called("espeak-ng")
    assert words == ["--stdin", "--help $(id)"]


def test_only_one_notification_is_on_the_screen(
    session: Session, daemon: StandInDaemon, start: Callable[..., Companion]
) -> None:
    session.add("notify-send")
    start()

    daemon.tap("chin")
    session.until_called("notify-send", "I need a break")

    def another_takes_its_place() -> bool:
        for _ in range(2):
            daemon.tap("right-knee")
        _, words = session.until_called("notify-send", "lines")
        assert words[0] == "--app-name=remapd"
        return any("--replace-id=7" in words for _, _, words in session.calls())

    until(another_takes_its_place)  # once the first has told its number


def test_without_any_program_it_stays_and_says_what_it_would_do(
    session: Session, daemon: StandInDaemon, start: Callable[..., Companion]
) -> None:
    companion = start()

    daemon.tap("right-knee")

    companion.until_said("cast-net: says “Nets”")
    assert is_free_of_mistakes(companion)


UNWRITTEN = """\
remapd: 1
title: Nothing is written of cues but times
base: sail
devices:
  box:
    find: {name: "Box"}
    controls:
      net: {button: BTN_0}
      list: {button: BTN_1}
      stay: {button: BTN_2}
      ask: {button: BTN_3}
  foot: {find: {name: "Foot stick"}, controls: {tiller: {stick: [ABS_X, ABS_Y]}}}
  helper-box:
    person: helper
    find: {name: "Helper box"}
    controls: {thumb: {stick: [ABS_X, ABS_Y]}}
layers:
  sail:
    net: {layer: cast-net, how: toggle}
    list: {scan: [south, dpad-up], every: 1s}
    stay: {latch: north}
    ask: {say: "I need a break"}
    tiller: left-stick
    thumb: left-stick
  cast-net: {}
cues: {lasting: {after: 5s}, break: {after: 5s}}
"""


def test_all_that_is_heard_without_a_word_in_the_layout(
    daemon: StandInDaemon, start: Callable[..., Companion]
) -> None:
    """Only the times are shorter than they are by default; a battery needs a kernel."""
    daemon.save(UNWRITTEN)
    daemon.restart()  # its hands are those of the layout that it begins with
    companion = start()
    heard = companion.lines
    began = len(heard)

    daemon.tap("net")
    companion.until_said("layer-on cast-net: says “cast net”")
    daemon.tap("net")
    companion.until_said("layer-off cast-net: falling tone")
    daemon.tap("list")
    companion.until_said("scan-item south: says “south”")
    companion.until_said("scan-item dpad-up: says “dpad up”")
    daemon.tap("stay")
    daemon.tap("ask")
    companion.until_said("said I need a break: says “I need a break”, notifies “I need a break”")
    daemon.move("tiller", 1.0)
    daemon.move("thumb", -1.0)
    companion.until_said("overruled left-stick: low tone, notifies “The player comes first: ")
    companion.until_said("lasting latch north: says “north is still on”")
    companion.until_said("break: says “Time for a break”, notifies “Time for a break”")
    daemon.unplug("foot")
    companion.until_said("device-lost foot: notifies “foot is gone”")
    daemon.save(UNWRITTEN.replace("north", "nroth"))
    companion.until_said("layout-refused boat.yaml: notifies “boat.yaml was refused, ")
    assert not [line for line in heard[began:] if line.startswith(("latch", "turbo", "scan-end"))]
    assert not [line for line in heard if "rumbles" in line]
    assert is_free_of_mistakes(companion)


# ---------------------------------------------------------------- the speech server
def test_the_speech_server_speaks_where_there_is_one(
    tmp_path: Path, session: Session, daemon: StandInDaemon, start: Callable[..., Companion]
) -> None:
    server = SpeechServerStandIn(tmp_path / "speech-dispatcher" / "speechd.sock")
    session.add("spd-say")
    start()

    daemon.tap("right-knee")
    until(lambda: server.received.count(".") == 1)
    daemon.tap("chin")
    until(lambda: server.received.count(".") == 2)

    assert server.received[0].startswith("SET self CLIENT_NAME ")
    assert server.received[0].endswith(":remapd:cues")
    assert server.received[1:] == [
        *("SET self PRIORITY text", "SPEAK", "Nets", "."),
        *("SET self PRIORITY important", "SPEAK", "I need a break", "."),
    ]
    assert session.calls() == []
    server.close()


def test_a_speech_server_that_hangs_is_passed_over(
    tmp_path: Path, session: Session, daemon: StandInDaemon, start: Callable[..., Companion]
) -> None:
    server = SpeechServerStandIn(tmp_path / "speech-dispatcher" / "speechd.sock", silent=True)
    session.add("espeak-ng")
    start()

    daemon.tap("right-knee")

    _, words = session.until_called("espeak-ng")
    assert words == ["--stdin", "Nets"]
    server.close()


# ---------------------------------------------------------------- life and death
def test_it_survives_the_daemon_and_finds_it_again(
    session: Session, daemon: StandInDaemon, start: Callable[..., Companion]
) -> None:
    session.add("pw-play")
    companion = start()

    daemon.kill()
    daemon.restart()
    companion.until_it_plays(2)
    daemon.tap("left-knee")

    session.until_called("pw-play", "high")
    assert companion.process.poll() is None


@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGSTOP])
def test_play_goes_on_when_it_dies_or_hangs(
    daemon: StandInDaemon, start: Callable[..., Companion], number: signal.Signals
) -> None:
    companion = start()
    companion.process.send_signal(number)

    with daemon.client() as game:
        game.ask("subscribe", to=["pad"])
        daemon.press("left-knee")
        assert game.receive()["control"] == "south"
    companion.process.send_signal(signal.SIGCONT)


def test_a_second_one_is_told_that_there_is_a_first(start: Callable[..., Companion]) -> None:
    start()
    second = start("--name", "main")

    assert second.process.wait(WAIT_S) == 1
    second.until_said("remapd: the cues of `main` are being played already")


def test_it_waits_for_a_daemon_that_is_not_there_yet(
    tmp_path: Path, session: Session, start: Callable[..., Companion]
) -> None:
    waiting = start("--name", "later")
    waiting.until_said("No daemon is running yet; waiting for it.")

    waiting.close()

    assert waiting.process.returncode == 0


def test_trying_plays_every_tone_and_says_how(
    session: Session, start: Callable[..., Companion]
) -> None:
    session.add("aplay")
    session.add("espeak-ng")
    tried = start("--try")

    assert tried.process.wait(WAIT_S) == 0

    assert len([name for _, name, _ in session.calls() if name == "aplay"]) == 5
    session.until_called("espeak-ng", "This is how cues are spoken.")
    tried.until_said("Tones: aplay.")
    tried.until_said("Notifications: nothing here; install libnotify-bin.")
    tried.until_said("a rumble on knees, strength 40%")
    tried.until_said("nothing is felt")  # the box that stands in has no motors


def test_a_cue_that_is_felt_is_asked_of_the_daemon(
    session: Session, daemon: StandInDaemon, start: Callable[..., Companion]
) -> None:
    session.add("pw-play")
    companion = start()

    daemon.tap("left-knee")

    companion.until_said(": high tone, rumbles knees")
    assert is_free_of_mistakes(companion)
    assert daemon.ask("rumble", device="knees", strength=0.4)["felt"] is False


# ---------------------------------------------------------------- the real voice
@pytest.mark.skipif(
    shutil.which("espeak-ng") is None, reason="espeak-ng is not installed: apt install espeak-ng"
)
def test_the_real_voice_speaks_what_it_is_given(
    tmp_path: Path, session: Session, daemon: StandInDaemon, start: Callable[..., Companion]
) -> None:
    """A real espeak-ng, made to write a file, as there is no loudspeaker here."""
    voice, file = shutil.which("espeak-ng"), tmp_path / "spoken.wav"
    program = session.bin / "espeak-ng"
    program.write_text(f'#!/bin/sh\nexec {voice} -w {file} "$@"\n')
    program.chmod(0o755)
    start()

    daemon.tap("right-knee")

    until(lambda: file.exists() and file.stat().st_size > 44)
    time.sleep(0.3)
    with wave.open(str(file)) as spoken:
        assert spoken.getnframes() / spoken.getframerate() > 0.2

"""Plays cues with what the session has: speech server, sound server, notifications.

Each way has others behind it; where nothing can speak, a spoken cue is a tone.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterable
from html import escape
from pathlib import Path
from typing import Final

from remapd.show.cues.cue import Cue, Weight
from remapd.show.cues.programs import Programs
from remapd.show.cues.speech_server import SpeechServer, SpeechServerLost, socket_path
from remapd.show.cues.tones import tone_wav

PLAYERS: Final = ("pw-play", "paplay", "aplay")
SPEAKERS: Final = ("spd-say", "espeak-ng", "espeak")
NOTIFIER: Final = "notify-send"

_TONES_AT_ONCE: Final = 2
_NO_VOICE_TONE: Final = "twice"


class CuePlayer:
    """Plays what it is given at once, or not at all; waits for nothing."""

    def __init__(self) -> None:
        self._programs = Programs()
        self._server = SpeechServer()
        self._folder = Path(tempfile.mkdtemp(prefix="remapd-cues-"))
        self._bubble = ""  # the number of our notification, so that there is only one
        self._replaces = True  # whether this notify-send knows of numbers

    def close(self) -> None:
        """Ends what is being played."""
        self._programs.close()
        self._server.close()
        shutil.rmtree(self._folder, ignore_errors=True)

    def in_words(self) -> str:
        """Which programs will play, speak and notify."""
        path = socket_path()
        server = ["the speech server"] if path is not None and path.exists() else []
        ways = (
            ("Tones", self._programs.usable(PLAYERS, 0), "install pipewire-bin or alsa-utils"),
            (
                "Words",
                [*server, *self._programs.usable(SPEAKERS, 0)],
                "install speech-dispatcher or espeak-ng",
            ),
            ("Notifications", self._programs.usable([NOTIFIER], 0), "install libnotify-bin"),
        )
        return "\n".join(
            f"{what}: {', then '.join(found)}." if found else f"{what}: nothing here; {remedy}."
            for what, found, remedy in ways
        )

    def prepare(self, tones: Iterable[tuple[str, float]]) -> None:
        """Makes the files of these tones, so that none has to wait for its file."""
        for tone, loudness in tones:
            self._file(tone, loudness)

    @property
    def is_busy(self) -> bool:
        """Whether `tend` should be called soon."""
        return not self._programs.is_idle

    def tend(self, now_us: int) -> None:
        """Notes what has ended."""
        self._programs.reap(now_us)

    def play(self, cue: Cue, now_us: int) -> None:
        """Plays all that the cue has."""
        if cue.tone is not None:
            self._tone(cue.tone, cue.loudness, now_us)
        if cue.say is not None and not self._say(cue, now_us) and cue.tone is None:
            self._tone(_NO_VOICE_TONE, cue.loudness, now_us)
        if cue.notify is not None:
            self._notify(cue, now_us)

    # ---------------------------------------------------------------- tones
    def _tone(self, tone: str, loudness: float, now_us: int) -> None:
        if self._programs.running("tone") >= _TONES_AT_ONCE:
            return
        for player in self._programs.usable(PLAYERS, now_us):
            words = [player, "-q"] if player == "aplay" else [player]
            if self._programs.start(
                "tone",
                [*words, str(self._file(tone, loudness))],
                now_us,
                failed=lambda later_us: self._tone(tone, loudness, later_us),
            ):
                return

    def _file(self, tone: str, loudness: float) -> Path:
        path = self._folder / f"{tone}-{loudness:.3f}.wav"
        if not path.exists():
            path.write_bytes(tone_wav(tone, loudness))
        return path

    # ---------------------------------------------------------------- words
    def _say(self, cue: Cue, now_us: int) -> bool:
        """Whether something could be made to speak."""
        text = cue.say or ""
        if not text.strip():
            return True
        path = socket_path()
        if path is not None and path.exists():
            try:
                self._server.say(text, cue.weight)
            except SpeechServerLost:
                pass
            else:
                return True
        for speaker in self._programs.usable(SPEAKERS, now_us):
            if self._speak(speaker, cue, now_us):
                return True
        return False

    def _speak(self, speaker: str, cue: Cue, now_us: int) -> bool:
        def failed(later_us: int) -> None:
            if not self._say(cue, later_us) and cue.tone is None:
                self._tone(_NO_VOICE_TONE, cue.loudness, later_us)

        if speaker == "spd-say":  # it starts the server, whose socket serves from then on
            words = [speaker, "--priority", cue.weight.value, "--", cue.say or ""]
            return self._programs.start("speech", words, now_us, failed=failed)
        if cue.weight is not Weight.MESSAGE:
            self._programs.stop("speech")  # the newest is spoken
        words = [speaker, "--stdin"]
        return self._programs.start("speech", words, now_us, text=cue.say or "", failed=failed)

    # ---------------------------------------------------------------- notifications
    def _notify(self, cue: Cue, now_us: int) -> None:
        if not self._programs.usable([NOTIFIER], now_us):
            return
        urgency = "critical" if cue.event == "layout-refused" else "normal"
        words = [NOTIFIER, "--app-name=remapd", f"--urgency={urgency}"]
        if self._replaces:
            words.append("--print-id")
            if self._bubble:
                words.append(f"--replace-id={self._bubble}")
        # The title is plain text; a body may be read as markup (Desktop Notifications, 1.2).
        self._programs.start(
            "notification",
            [*words, "--", "remapd", escape(cue.notify or "", quote=False)],
            now_us,
            failed=lambda later_us: self._without_number(cue, later_us),
            ended=self._numbered,
        )

    def _numbered(self, output: bytes) -> None:
        number = output.split(b"\n", maxsplit=1)[0].strip()
        if number.isdigit():
            self._bubble = number.decode()

    def _without_number(self, cue: Cue, now_us: int) -> None:
        """Before libnotify 0.7.10 `notify-send` cannot print or take a number."""
        if self._replaces:
            self._replaces = False
            self._programs.forgive(NOTIFIER)
            self._notify(cue, now_us)

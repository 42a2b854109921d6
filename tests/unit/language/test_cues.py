"""`cues:` as those who play them get it."""

from __future__ import annotations

import pickle

from remapd.engine.layout import Layout
from remapd.language import load_text
from remapd.language.schema_cues import EVENTS, NAME_SIGN, TONES
from tests.support.layouts import load_or_fail

BOAT = """\
remapd: 1
base: sail
devices:
  desk: {find: {name: Box}, controls: {left: {button: BTN_0}}}
layers:
  sail:
    left: {layer: net, how: toggle}
  net:
    left: south
"""


def with_cues(cues: str) -> Layout:
    return load_or_fail(f"{BOAT}cues:\n{cues}")


def test_a_cue_keeps_what_is_written_and_nothing_else() -> None:
    layout = with_cues(
        '  net: {say: "Net", loudness: 12.5%, off: {tone: low}}\n'
        "  sail: {tone: high, off: nothing}\n"
        '  break: {after: 1.5min, notify: "Stretch"}\n'
        "  scan-item: nothing\n"
        "  lasting: {after: 10s}\n"
        "  latch-on: {rumble: desk, strength: 40%}\n"
    )

    assert layout.cues == {
        "net": {"say": "Net", "loudness": 0.125, "off": {"tone": "low"}},
        "sail": {"tone": "high", "off": None},
        "break": {"after_us": 90_000_000, "notify": "Stretch"},
        "scan-item": None,
        "lasting": {"after_us": 10_000_000},
        "latch-on": {"rumble": "desk", "strength": 0.4},
    }
    assert pickle.loads(pickle.dumps(layout)).cues == layout.cues  # noqa: S301 - our own


def test_a_layer_may_be_called_as_an_event_as_long_as_neither_has_a_cue() -> None:
    text = BOAT.replace("net", "paused")

    assert load_text(text).layout is not None
    assert load_text(f"{text}cues: {{refused: {{tone: low}}}}\n").layout is not None
    assert load_text(f"{text}cues: {{paused: {{tone: low}}}}\n").layout is None


def test_every_default_is_a_cue_that_could_be_written() -> None:
    for name, event in EVENTS.items():
        settings = dict(event.default)
        # no rumble among them: what shakes a body comes only where a layout asks for it
        assert set(settings) <= {"tone", "say", "notify", "after_us"}, name
        assert settings.get("tone", "low") in TONES
        if not settings:
            continue
        after = settings.pop("after_us", 30_000_000)
        if name in {"lasting", "break"}:
            settings["after"] = f"{after // 1_000_000}s"
        written = ", ".join(f'{key}: "{value}"' for key, value in settings.items())
        assert with_cues(f"  {name}: {{{written}}}\n").cues[name], name


def test_what_must_not_be_gentle_by_accident_is_not_there_by_default() -> None:
    """No sound is played on a press or a release of a hand by default."""
    for name in ("refused", "latch-on", "latch-off", "turbo-on", "turbo-off", "layout-applied"):
        assert not EVENTS[name].default
    assert EVENTS["scan-item"].default["say"] == NAME_SIGN

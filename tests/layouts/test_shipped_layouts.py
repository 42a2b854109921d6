"""Every layout that is shipped: it loads, its trials pass, and they show all of it at work."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from remapd.analysis.check import check
from remapd.analysis.findings.finding import Weight
from remapd.engine import Engine, Layout
from remapd.engine.notices import NoticeKind
from remapd.language import load, render
from remapd.language.trials import load_trials, trials_path
from remapd.recording.driver import ControlDriver
from remapd.recording.hands import Hands
from remapd.recording.timeline import draw
from remapd.recording.trials import run_trial
from remapd.trial import Expectation, Trial

FOLDER = Path(__file__).parents[2] / "layouts"
TRIALS = sorted(FOLDER.glob("*.trials.yaml"))
LAYOUTS = sorted(set(FOLDER.glob("*.yaml")) - set(TRIALS))
EDITORS_LINE = "# yaml-language-server: $schema=../docs/layout.schema.json"
WIDEST = 100

each_layout = pytest.mark.parametrize("path", LAYOUTS, ids=[path.stem for path in LAYOUTS])


def layout_of(path: Path) -> Layout:
    layout = load(path).layout
    assert layout is not None
    return layout


def trials_of(path: Path, layout: Layout) -> tuple[Trial, ...]:
    return load_trials(trials_path(path), layout).trials


def layers_entered(layout: Layout, trial: Trial) -> set[str]:
    """The layers that become active while a trial's hands are at work, the base among them."""
    driver = ControlDriver(layout)
    engine = Engine(layout)
    for stand_in in driver.stand_ins:
        engine.plug(0, stand_in.source, stand_in.held, stand_in.axes)
    for frame in Hands(driver, trial.inputs).frames:
        assert frame.plug is None, "no shipped trial pulls a device out"
        engine.feed(frame.us, driver.stand_in(frame.device).source.id, frame.events)
    on = {each.text for each in engine.drain_notices() if each.kind is NoticeKind.LAYER_ON}
    return {layout.layers[0].name, *on}


def is_met(need: str, each: Expectation, layout: Layout) -> bool:
    """Whether an expected change is the one that a `needs` entry asks for."""
    name, _, way = need.partition(".")
    if each.control != layout.verbs.get(name, name):
        return False
    if not way:
        return True
    x, y = each.to or (0.0, 0.0)
    return {"left": x < 0, "right": x > 0, "up": y < 0, "down": y > 0}[way]


def test_there_are_layouts_for_many_bodies() -> None:
    assert len(LAYOUTS) >= 8
    assert {trials_path(path) for path in LAYOUTS} == set(TRIALS)


@each_layout
def test_it_loads_with_no_error_and_no_warning(path: Path) -> None:
    loaded = load(path)

    assert loaded.diagnostics == [], "\n".join(map(render, loaded.diagnostics))
    assert loaded.layout is not None


@each_layout
def test_its_trials_load_with_no_error_and_no_warning(path: Path) -> None:
    loaded = load_trials(trials_path(path), layout_of(path))

    assert loaded.diagnostics == [], "\n".join(map(render, loaded.diagnostics))
    assert loaded.trials


@each_layout
def test_all_its_trials_pass(path: Path) -> None:
    layout = layout_of(path)

    results = [run_trial(layout, trial) for trial in trials_of(path, layout)]

    failed = [result for result in results if not result.passed]
    assert not failed, "\n\n".join(f"{each.trial.name}\n{draw(each)}" for each in failed)


@each_layout
def test_every_layer_is_entered_by_some_trial(path: Path) -> None:
    layout = layout_of(path)

    entered = {name for t in trials_of(path, layout) for name in layers_entered(layout, t)}

    assert entered == {layer.name for layer in layout.layers}


@each_layout
def test_all_that_the_game_needs_is_shown_by_some_trial(path: Path) -> None:
    layout = layout_of(path)
    expected = [each for trial in trials_of(path, layout) for each in trial.expect]

    unmet = [n for n in layout.needs if not any(is_met(n, each, layout) for each in expected)]

    assert layout.needs
    assert unmet == []


@each_layout
def test_every_verb_is_put_to_use(path: Path) -> None:
    layout = layout_of(path)

    assert {need.partition(".")[0] for need in layout.needs} == set(layout.verbs)


@each_layout
def test_its_game_can_be_played_one_control_at_a_time_and_nothing_stands_in_the_way(
    path: Path,
) -> None:
    report = check(layout_of(path))

    assert report.can_play
    assert [each for each in report.findings if each.weight is not Weight.NOTE] == []


@each_layout
def test_it_can_be_read_by_a_newcomer(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines()

    assert lines[0] == EDITORS_LINE
    for heading in ("For whom", "Plug in", "Change first", "Take care"):
        assert re.search(rf"^# {heading} {{2,}}\S", text, re.MULTILINE), heading
    assert [line for line in lines if len(line) > WIDEST] == []
    assert "\t" not in text


@each_layout
def test_what_lasts_by_itself_ends_by_itself(path: Path) -> None:
    """A latch or a toggled turbo that is forgotten in another layer must not go on for ever."""
    lasting = re.findall(r"\{(?:latch: [^}]*|turbo: [^}]*how: toggle[^}]*)\}", path.read_text())

    assert [action for action in lasting if "at-most:" not in action] == []


@each_layout
def test_cues_and_places_name_what_there_is(path: Path) -> None:
    layout = layout_of(path)
    layers = {layer.name for layer in layout.layers}
    controls = {control.name for control in layout.controls}

    assert set(layout.cues) <= layers
    assert set(layout.place) <= controls | {name.partition(".")[2] for name in controls}

"""What README.md says is so: its layout, its picture in time, its commands, its links."""

from __future__ import annotations

import re
from pathlib import Path

from remapd.cli.main import COMMANDS
from remapd.language import load_text, render
from remapd.recording.pad_changes import PRESS, RELEASE
from remapd.show.demo_screen import plain
from remapd.show.marks import FULL
from tests.support.bench import Bench
from tests.support.demo_session import screen_at_its_end

CHECKOUT = Path(__file__).parents[2]
README = (CHECKOUT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```\w*\n(.*?)^```$", README, re.DOTALL | re.MULTILINE)
COLUMN_MS = 50
HELD = set("●━")


def layout_text() -> str:
    found: list[str] = re.findall(r"```yaml\n(.*?)```", README, re.DOTALL)
    assert len(found) == 1
    return found[0]


def lane(name: str) -> str:
    found: list[str] = re.findall(rf"^{name} +([·×●━]+)$", README, re.MULTILINE)
    assert len(found) == 1
    return found[0]


def test_it_begins_with_the_job_and_the_two_commands() -> None:
    first, second = README.split("\n## ")[:2]

    assert first.startswith("# remapd\n\nremapd lets somebody")
    assert first.count("\n\n") == 1, "one paragraph"
    assert second.startswith("Two commands")
    assert "```\npython3 remapd demo\npython3 tests/check.py\n```" in second


def test_its_layout_has_ten_lines_and_no_fault() -> None:
    loaded = load_text(layout_text())

    assert loaded.diagnostics == [], "\n".join(map(render, loaded.diagnostics))
    assert len(layout_text().splitlines()) == 10


def test_its_picture_in_time_is_what_the_layout_does() -> None:
    bench = Bench(layout_text())
    bench.tap("left", at=100, length=45)
    bench.tap("left", at=600, length=300)
    bench.tap("left", at=1400, length=1300)
    bench.until(2850)

    assert lane("left knee").count("×") == 1
    for control in ("south", "start"):
        pressed: list[bool] = []
        for column in range(len(lane(control))):
            until_us = (column + 1) * COLUMN_MS * 1000
            seen = [c for c in bench.changes if c.control == control and c.us < until_us]
            is_held = bool(seen) and seen[-1].what == PRESS
            began = any(c.what == PRESS and c.us >= until_us - COLUMN_MS * 1000 for c in seen)
            pressed.append(is_held or began)
        assert [mark in HELD for mark in lane(control)] == pressed, control
    whats = [(c.us, c.what, c.control) for c in bench.changes]
    assert whats == [
        (900_000, PRESS, "south"),
        (960_000, RELEASE, "south"),
        (2_380_000, PRESS, "start"),
        (2_700_000, RELEASE, "start"),
    ]


def test_its_picture_of_the_demo_is_what_the_demo_leaves() -> None:
    picture = next(block for block in BLOCKS if block.startswith(" remapd demo"))

    screen, end_us = screen_at_its_end(FULL)

    assert picture.splitlines() == [plain(row) for row in screen.score(end_us)]


def test_every_command_that_it_names_exists() -> None:
    text_alone = re.sub(r"```.*?```", "", README, flags=re.DOTALL)
    code = [*BLOCKS, *re.findall(r"`([^`\n]+)`", text_alone)]
    named = {word for text in code for word in re.findall(r"(?<![\w/-])remapd ([a-z]+)", text)}
    named |= {word for text in code for word in re.findall(r"bin/remapd ([a-z]+)", text)}

    assert named - set(COMMANDS) == set()
    assert len(named) > 8


def test_its_table_of_layouts_is_complete() -> None:
    rows = set(re.findall(r"^\| `([a-z-]+)` \|", README, re.MULTILINE))
    files = {path.stem for path in (CHECKOUT / "layouts").glob("*.yaml") if "." not in path.stem}

    assert rows == files

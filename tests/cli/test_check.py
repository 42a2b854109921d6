"""`remapd check`: what is printed, for people and for tools, and with which exit code."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from remapd.cli.main import DONE, FAILED, USAGE, main
from tests.support.checked import layout_text

LAYOUTS = Path(__file__).parents[2] / "layouts"
GOOD = layout_text(
    "  base: {a: south, b: {layer: net, how: next}}\n  net: {a: east}",
    before="title: Good\nneeds: [south, east]\ncues: {net: {say: Net}}\n",
)
LACKING = GOOD.replace("needs: [south, east]", "needs: [south, north]")


def written(tmp_path: Path, name: str, text: str) -> str:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_a_layout_that_can_play(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = written(tmp_path, "good.yaml", GOOD)
    assert main(["check", path]) == DONE
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == f"{path}: Good"
    assert lines[2] == "the game needs  by      actions  at once  shortest way"
    assert lines[3] == "south           player        1  one      press a"
    assert lines[4] == "east            player        2  one      press b, then press a"
    assert "within reach, one control at a time." in lines[6]


def test_a_layout_that_lacks_something(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = written(tmp_path, "lacking.yaml", LACKING)
    assert main(["check", path]) == FAILED
    out = capsys.readouterr().out
    assert "north           nobody                    nothing reaches it" in out
    assert "OUT OF REACH: `north` (1 of 2 that the game needs)." in out
    assert "error: the game needs `north`, and nothing reaches it [need-out-of-reach]" in out
    line = LACKING[: LACKING.index("north")].count("\n") + 1
    assert f"  at {path}:{line}:" in out


def test_a_layout_that_says_nothing_of_its_game(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = written(tmp_path, "some.yaml", GOOD.replace("needs: [south, east]\n", ""))
    assert main(["check", path]) == DONE
    out = capsys.readouterr().out
    assert "reached  by" in out
    assert "north" not in out
    assert "`needs:`" in out


def test_every_pad_control_when_asked_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = written(tmp_path, "good.yaml", GOOD)
    assert main(["check", "--all", path]) == DONE
    out = capsys.readouterr().out
    for name in ("south", "north", "mode", "left-trigger", "dpad", "right-stick"):
        assert any(line.startswith(f"{name} ") for line in out.splitlines()), name


def test_several_layouts_one_of_which_has_errors(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    good = written(tmp_path, "good.yaml", GOOD)
    broken = written(tmp_path, "broken.yaml", GOOD.replace("a: south", "a: sooth"))
    assert main(["check", good, broken]) == FAILED
    captured = capsys.readouterr()
    assert "one control at a time" in captured.out
    assert f"{broken}: an error; mend the file first" in captured.out
    assert "did you mean `south`?" in captured.err


def test_a_file_that_is_not_there(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "no-such-file.yaml"]) == FAILED
    captured = capsys.readouterr()
    assert "no-such-file.yaml" in captured.err
    assert "Traceback" not in captured.err


def test_wrong_usage(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check"]) == USAGE
    assert main(["check", "--al", "x.yaml"]) == USAGE
    assert "did you mean `--all`" in capsys.readouterr().err


def test_for_tools(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    good = written(tmp_path, "good.yaml", GOOD)
    lacking = written(tmp_path, "lacking.yaml", LACKING)
    broken = written(tmp_path, "broken.yaml", "remapd: 1\nlayers: {}\nx: y\n")
    assert main(["check", "--json", good, lacking, broken]) == FAILED
    data = json.loads(capsys.readouterr().out)
    assert data["remapd-check"] == 1
    first, second, third = data["layouts"]
    assert first["can-play"] is True
    assert first["complete"] is True
    assert len(first["controls"]) == 25
    east = next(each for each in first["controls"] if each["control"] == "east")
    assert east["needed"] is True
    assert east["by"] == [
        {
            "who": "player",
            "one-at-a-time": {
                "actions": 2,
                "people": 1,
                "seconds": 0.5,
                "way": "press b, then press a",
            },
            "two-at-once": None,
        }
    ]
    assert second["needs"] == [
        {"word": "south", "out-of-reach": []},
        {"word": "north", "out-of-reach": ["north"]},
    ]
    finding = next(each for each in second["findings"] if each["code"] == "need-out-of-reach")
    assert finding["weight"] == "error"
    assert finding["place"]["file"] == lacking
    assert finding["remedies"]
    assert third["can-play"] is False
    assert third["problems"]


@pytest.mark.parametrize(
    "path",
    sorted(each for each in LAYOUTS.glob("*.yaml") if not each.name.endswith(".trials.yaml")),
    ids=lambda path: path.stem,
)
def test_shipped_layouts_can_play_their_games_one_control_at_a_time(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """EN 301 549, 5.9: each function can be had without simultaneous actions."""
    assert main(["check", str(path)]) == DONE
    out = capsys.readouterr().out
    assert "one control at a time." in out
    assert all(len(line) <= 80 for line in out.splitlines() if "yaml" not in line)
    assert "warning:" not in out
    assert main(["check", "--all", str(path)]) == DONE

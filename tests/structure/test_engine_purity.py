"""What the import contracts cannot see: built-in input and output, and floating-point time."""

import ast
from pathlib import Path

import pytest

ENGINE = Path(__file__).parents[2] / "remapd" / "engine"
FORBIDDEN_CALLS = {"open", "print", "input", "breakpoint", "exec", "eval", "__import__"}
# Where time is counted: integer microseconds only, so no literal and no true division.
TIME_FILES = [ENGINE / "timers.py", ENGINE / "buttons.py"]


def forbidden_calls(tree: ast.AST) -> list[str]:
    return [
        f"line {node.lineno}: {node.func.id}()"
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in FORBIDDEN_CALLS
    ]


def floating_point(tree: ast.AST) -> list[str]:
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, float):
            found.append(f"line {node.lineno}: {node.value}")
        if isinstance(node, ast.BinOp | ast.AugAssign) and isinstance(node.op, ast.Div):
            found.append(f"line {node.lineno}: /")
    return found


@pytest.mark.parametrize("path", sorted(ENGINE.rglob("*.py")), ids=lambda path: path.name)
def test_the_engine_does_no_input_or_output(path: Path) -> None:
    assert forbidden_calls(ast.parse(path.read_text())) == []


@pytest.mark.parametrize("path", TIME_FILES, ids=lambda path: path.name)
def test_time_is_counted_in_whole_microseconds(path: Path) -> None:
    assert floating_point(ast.parse(path.read_text())) == []


def test_the_checks_above_do_find_what_they_look_for() -> None:
    assert forbidden_calls(ast.parse("def f():\n    return open('x')"))
    assert floating_point(ast.parse("hold = 0.5"))
    assert floating_point(ast.parse("hold = us / 2"))
    assert floating_point(ast.parse("us /= 2"))
    assert not floating_point(ast.parse("hold = us // 2"))

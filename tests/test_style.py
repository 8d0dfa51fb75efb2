"""The package keeps its own settings: types strict, style as configured."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


@pytest.mark.parametrize("command", [["mypy"], ["ruff", "check", "."], ["ruff", "format", "--check", "."]])
def test_tools_find_nothing(command: list[str]) -> None:
    """mypy, ruff and its formatter have nothing to say."""
    done = subprocess.run(
        [sys.executable, "-m", *command], cwd=ROOT, capture_output=True, encoding="utf-8", check=False
    )

    assert done.returncode == 0, done.stdout[-4000:] + done.stderr[-2000:]


def test_every_function_fits_on_a_screen() -> None:
    """No function of the package has more than 45 lines."""
    long = [
        f"{path.name}: {node.name}"
        for path in sorted((ROOT / "feesheet").rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef)
        and node.end_lineno is not None
        and node.end_lineno - node.lineno >= 45
    ]

    assert long == []


def test_no_two_files_of_tests_have_one_name() -> None:
    """Pytest takes the second of one name for the first, and collects neither of its tests."""
    names = Counter(path.name for path in (ROOT / "tests").rglob("test_*.py"))

    assert [name for name, count in names.items() if count > 1] == []

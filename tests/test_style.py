"""The package keeps its own settings: types strict, style as configured."""

from __future__ import annotations

import ast
import subprocess
import sys
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

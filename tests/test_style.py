"""The package keeps its own settings: types strict, style as configured."""

from __future__ import annotations

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

"""What a stranger gets from pip: the built wheel, in an environment of its own, away from the checkout."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import venv
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
SOURCES = ("feesheet", "shared", "templates", "examples", "pyproject.toml", "README.md", "LICENSE")

OFFLINE = "connection broken by"
"""What pip says when it reaches nobody."""


def run(command: list[str | Path], folder: Path) -> str:
    """What a command prints, run in that folder without the checkout on its path; a failure is the test's own."""
    clean = {
        name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "VIRTUAL_ENV"))
    }
    done = subprocess.run(
        list(map(str, command)), cwd=folder, env=clean, capture_output=True, encoding="utf-8", check=False
    )
    if done.returncode and OFFLINE in done.stderr:
        pytest.skip("No network: the wheel's packages can't be fetched.")
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-4000:]
    return done.stdout


def built_wheel(folder: Path) -> Path:
    """The wheel, built from a copy of the checkout, so that nothing is left in it."""
    copy = folder / "copy"
    copy.mkdir()
    for name in SOURCES:
        path = ROOT / name
        if path.is_dir():
            shutil.copytree(path, copy / name, ignore=shutil.ignore_patterns("__pycache__", "Fee schedules"))
        else:
            shutil.copy(path, copy / name)
    run([sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--wheel-dir", folder, copy], folder)
    return next(folder.glob("feesheet-*.whl"))


def clean_environment(folder: Path) -> Path:
    """The folder of programs of a new environment with nothing but pip in it."""
    venv.create(folder, with_pip=True)
    return folder / ("Scripts" if os.name == "nt" else "bin")


def test_wheel_works_on_its_own(tmp_path: Path) -> None:
    """Installed away from the checkout it carries its tables, templates and example, and makes a workbook from them."""
    programs = clean_environment(tmp_path / "environment")
    run([programs / "python", "-m", "pip", "install", "--quiet", built_wheel(tmp_path)], tmp_path)
    place = Path(
        run([programs / "python", "-c", "import feesheet; print(feesheet.__path__[0])"], tmp_path).strip()
    )
    run([programs / "feesheet", "example", "Example practice"], tmp_path)
    run([programs / "feesheet", "update", "Example practice"], tmp_path)
    run([programs / "feesheet", "templates", "Blank"], tmp_path)

    assert place.is_relative_to(tmp_path / "environment")
    assert contents(place / "shared") == contents(ROOT / "shared")
    assert contents(place / "templates") == contents(ROOT / "templates") == contents(tmp_path / "Blank")
    assert list((tmp_path / "Example practice" / "Fee schedules").glob("Fees *.xlsx"))


def contents(folder: Path) -> dict[str, bytes]:
    """The bytes of every file of a folder."""
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}

"""The project's own Python environment in `.venv`, made where it is missing. Standard library only."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / ".venv"
OLDEST_PYTHON = (3, 11)


def python(extra: str = "") -> Path:
    """The environment's interpreter, once the package and that extra are installed in it.

    Installs only if `pyproject.toml` has changed since, so that later runs need no network. Exits with a
    plain message where that can't be done.
    """
    if sys.version_info < OLDEST_PYTHON:
        needed = ".".join(map(str, OLDEST_PYTHON))
        sys.exit(f"Python {needed} or newer is needed; this is {sys.version.split()[0]} ({sys.executable}).")
    interpreter = _interpreter()
    if not interpreter.exists():
        _make()
    if not _is_installed(extra):
        _install(interpreter, extra)
    return interpreter


def _interpreter() -> Path:
    return FOLDER / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def _make() -> None:
    print(f"Making a Python environment in {FOLDER}", file=sys.stderr)
    try:
        venv.create(FOLDER, with_pip=True, clear=FOLDER.exists())
    except (subprocess.CalledProcessError, ModuleNotFoundError) as reason:
        sys.exit(
            f"Python's venv module can't make {FOLDER}: {reason}\n"
            "On Debian and Ubuntu it comes with the package python3-venv."
        )


def _install(interpreter: Path, extra: str) -> None:
    what = f".[{extra}]" if extra else "."
    print("Installing feesheet and what it needs; this happens once", file=sys.stderr)
    pip = [str(interpreter), "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "-e", what]
    done = subprocess.run(pip, cwd=ROOT, check=False)
    if done.returncode:
        sys.exit("The packages could not be installed (see above). The first run needs a network.")
    _stamp(extra).write_text(_wanted(), encoding="utf-8")


def _is_installed(extra: str) -> bool:
    """Whether this extra, or the larger set for the tests, is in the environment as pyproject.toml asks."""
    stamps = (_stamp(extra), _stamp("test"))
    return any(stamp.exists() and stamp.read_text(encoding="utf-8") == _wanted() for stamp in stamps)


def _stamp(extra: str) -> Path:
    return FOLDER / f"installed-{extra or 'plain'}.sha256"


def _wanted() -> str:
    return hashlib.sha256((ROOT / "pyproject.toml").read_bytes()).hexdigest()

"""Run the tests in the project's own environment: `python tests/run.py`, and pytest's arguments if any."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "examples"))

import environment


def main() -> int:
    """Pytest's own exit code."""
    command = [str(environment.python("test")), "-m", "pytest", *sys.argv[1:]]
    return subprocess.run(command, cwd=environment.ROOT, check=False).returncode


if __name__ == "__main__":
    sys.exit(main())

"""The README's commands are the truth, and no page falls behind the program."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from feesheet.cli import app
from feesheet.problems import KINDS

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```sh\n(.*?)```", README, re.DOTALL)


def run(line: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """One line of the README, with the feesheet of this environment."""
    words = shlex.split(line)
    assert words[0] == "feesheet", line
    return subprocess.run(
        [sys.executable, "-m", "feesheet", *words[1:]],
        cwd=folder,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )


def test_the_walk_through_runs_as_printed(tmp_path: Path) -> None:
    """The last block, from the example to the audit, runs line by line and ends clean."""
    for line in BLOCKS[-1].strip().splitlines():
        done = run(line, tmp_path)

        assert done.returncode == 0, (line, done.stdout[-2000:], done.stderr[-2000:])


def test_the_first_steps_run_as_printed(tmp_path: Path) -> None:
    """The blank workbooks are written; empty as they are, check and update say what is missing and write nothing."""
    lines = [line for line in BLOCKS[2].strip().splitlines() if line.startswith("feesheet")]
    codes = [run(line, tmp_path).returncode for line in lines]

    assert codes == [0, 1, 1]
    assert not list(tmp_path.rglob("Fees *"))


def test_the_two_commands_come_first() -> None:
    """One paragraph states the job; then the two commands; then a picture that is there."""
    first, second = (block.strip() for block in BLOCKS[:2])
    picture = re.search(r"!\[[^\]]{20,}\]\((.*?)\)", README)

    assert (first, second) == ("python3 examples/run.py", "python3 tests/run.py")
    assert picture is not None
    assert (ROOT / picture[1]).is_file()


@pytest.mark.parametrize("command", [c.callback.__name__ for c in app.registered_commands])
def test_every_command_is_documented_with_an_example(command: str) -> None:
    """Each command stands in the README's table, and its help shows one real example."""
    callback = next(c.callback for c in app.registered_commands if c.callback.__name__ == command)

    assert f"| `feesheet {command} " in README
    assert f"Example: feesheet {command} " in (callback.__doc__ or "")


def test_every_kind_of_problem_is_documented() -> None:
    """DEVELOPERS.md lists every kind of problem with its reason."""
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")

    for name, kind in KINDS.items():
        assert f"| {name} | {'yes' if kind.severity == 'error' else 'no'} | {kind.why} |" in page


def test_the_top_level_holds_what_it_should() -> None:
    """Besides the agreed folders and pages, only LICENSE and dot-files."""
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, encoding="utf-8", check=False)
    if listed.returncode:
        pytest.skip("not a git checkout")
    top = {line.split("/")[0].strip('"') for line in listed.stdout.splitlines()}

    assert {name for name in top if not name.startswith(".")} == {
        "README.md",
        "DEVELOPERS.md",
        "LICENSE",
        "pyproject.toml",
        "feesheet",
        "templates",
        "tests",
        "examples",
        "shared",
    }

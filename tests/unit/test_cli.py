"""What a person meets at the command line: plain words, exit codes, and nothing overwritten."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from feesheet.paths import EXAMPLE


def feesheet(*words: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    """The command as a person runs it."""
    return subprocess.run(
        [sys.executable, "-m", "feesheet", *words],
        cwd=cwd,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )


@pytest.fixture(scope="module")
def practice(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the example practice with one update done."""
    folder = tmp_path_factory.mktemp("cli") / "Example practice"
    shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns("Fee schedules"))
    assert feesheet("update", cwd=folder).returncode == 0
    return folder


def test_an_empty_folder_is_told_how_to_begin(tmp_path: Path) -> None:
    """Alone in an empty folder, it names the commands that lead on."""
    said = feesheet(cwd=tmp_path)

    assert said.returncode == 0
    assert "feesheet templates" in said.stdout
    assert "feesheet example" in said.stdout


def test_a_practice_folder_is_listed_with_the_next_command(practice: Path) -> None:
    """Alone in a practice folder, it says what is there and what comes next; its own results are no inputs."""
    said = feesheet(cwd=practice)

    assert "Invoice lines" in said.stdout
    assert "991 rows" in said.stdout
    assert said.stdout.rstrip().endswith("Next: feesheet update")


def test_a_second_update_gets_another_name_and_the_same_bytes(practice: Path) -> None:
    """Nothing is overwritten, and the same inputs give the same workbook."""
    out = practice / "Fee schedules"
    first = out / "Fees 2027-01-01.xlsx"
    before = first.read_bytes()
    done = json.loads(feesheet("update", "--json", cwd=practice).stdout)

    assert Path(done["workbook"]).name == "Fees 2027-01-01 (2).xlsx"
    assert first.read_bytes() == before == (practice / done["workbook"]).read_bytes()
    assert not list(out.glob(".feesheet-*"))


def test_an_open_workbook_is_not_written_to(practice: Path) -> None:
    """A lock file of a spreadsheet program takes the name, even where the workbook itself is gone."""
    out = practice / "Open"
    out.mkdir()
    (out / "~$Fees 2027-01-01.xlsx").write_bytes(b"")
    done = json.loads(feesheet("update", "--out", "Open", "--json", cwd=practice).stdout)

    assert Path(done["workbook"]).name == "Fees 2027-01-01 (2).xlsx"


def test_problems_stop_the_update_and_leave_nothing(practice: Path, tmp_path: Path) -> None:
    """With an error in the inputs the exit code is 1, every problem is said, and no file appears."""
    folder = tmp_path / "broken"
    shutil.copytree(practice, folder, ignore=shutil.ignore_patterns("Fee schedules", "Open", "labs.xlsx"))
    said = feesheet("update", str(folder), cwd=tmp_path)

    assert said.returncode == 1
    assert "Nothing was written" in said.stdout
    assert "Traceback" not in said.stdout + said.stderr
    assert not (folder / "Fee schedules").exists()


def test_invoices_are_summed_up_lab_by_lab(practice: Path) -> None:
    """The table ends with a row for all labs; machines get the same figures."""
    said = feesheet("invoices", cwd=practice)
    whole = json.loads(feesheet("invoices", "--json", cwd=practice).stdout)["rows"][-1]

    assert said.returncode == 0
    last = next(line for line in said.stdout.splitlines() if line.startswith("all labs"))
    assert last.split()[2:5] == [
        f"{whole['documents']:,}",
        f"{whole['lines']:,}",
        f"{whole['charged']:,.2f}",
    ]


def test_unknown_product_names_are_pointed_to_and_listed(practice: Path, tmp_path: Path) -> None:
    """Check ends with the command that lists them; that command writes one workbook, once."""
    folder = tmp_path / "My practice"
    shutil.copytree(practice, folder, ignore=shutil.ignore_patterns("Fee schedules", "Open"))
    checked = feesheet("check", "My practice", cwd=tmp_path)
    mapped, again = (feesheet("map", "My practice", cwd=tmp_path) for _ in range(2))

    last = checked.stdout.rstrip().splitlines()[-1]
    assert 'feesheet map "My practice"' in last and 'feesheet invoices "My practice"' in last
    assert (mapped.returncode, again.returncode) == (0, 0), mapped.stderr
    assert [path.name for path in folder.glob("Product names*")] == ["Product names to confirm.xlsx"]
    assert "Product names to confirm.xlsx" in mapped.stdout
    assert "wait for a yes in Confirmed" in again.stdout


def test_wrong_use_is_told_apart(tmp_path: Path) -> None:
    """A folder that is not there, or an unknown command, gives exit code 2."""
    assert feesheet("check", "nowhere", cwd=tmp_path).returncode == 2
    assert feesheet("chek", cwd=tmp_path).returncode == 2


def test_templates_and_example_never_overwrite(tmp_path: Path) -> None:
    """A second time, both refuse, and say so."""
    for command in ("templates", "example"):
        assert feesheet(command, command, cwd=tmp_path).returncode == 0
        again = feesheet(command, command, cwd=tmp_path)

        assert again.returncode == 1
        assert "nothing was written" in again.stderr


def test_the_plain_list_holds_codes_as_text(practice: Path) -> None:
    """A code with leading zeros keeps them, in quotes."""
    lines = (practice / "Fee schedules" / "Fees 2027-01-01.csv").read_text(encoding="utf-8-sig").splitlines()

    assert lines[0] == '"code","description","site","old fee","new fee","change","effective date"'
    assert any(line.startswith('"00417",') for line in lines)

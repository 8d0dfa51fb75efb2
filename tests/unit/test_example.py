"""The example practice is what its maker writes, reads without an error, and shows what it should."""

from pathlib import Path
from zipfile import ZipFile

import example_invoices
import make_practice
import pytest

from feesheet import problems
from feesheet.practice import Practice
from feesheet.reading.folder import read_folder

EXAMPLES = Path(make_practice.__file__).resolve().parent


@pytest.fixture(scope="module")
def read() -> tuple[Practice, list[problems.Problem]]:
    """The committed example, read."""
    return read_folder(EXAMPLES / "practice")


def test_the_example_in_the_project_is_current(tmp_path: Path) -> None:
    """A fresh write gives the same files with the same contents as the committed ones."""
    make_practice.main(tmp_path)
    committed = {path.name: _parts(path) for path in (EXAMPLES / "practice").iterdir() if path.is_file()}
    fresh = {path.name: _parts(path) for path in tmp_path.iterdir()}
    assert sorted(fresh) == sorted(committed)
    assert [name for name in fresh if fresh[name] != committed[name]] == []


def test_nothing_is_wrong_with_the_example(read: tuple[Practice, list[problems.Problem]]) -> None:
    """No problem stops the run; what is noticed is metal without a quote."""
    _, found = read
    assert problems.errors(found) == []
    assert {problem.kind for problem in found} == {"no price"}


def test_every_line_arrives(read: tuple[Practice, list[problems.Problem]]) -> None:
    """All lines of all workbooks, csv files and the lab's own layout are read, to the cent."""
    lines = read[0].tables["invoice_lines"]
    made = [line for book in example_invoices.invoices().values() for line in book]
    assert len(lines) == len(made) >= 600
    assert lines["amount"].sum() == pytest.approx(sum(line["amount"] for line in made), abs=0.005)
    assert lines["weight"].count() == sum("weight" in line for line in made)


def test_little_money_is_unmapped() -> None:
    """The wordings that nobody has confirmed yet are worth less than 2 % of the invoices."""
    made = [line for book in example_invoices.invoices().values() for line in book]
    known = {row["wording"] for row in example_invoices.product_map()}
    units = [line for line in made if line["kind"] in ("unit fee", "remake")]
    unknown = sum(line["amount"] for line in units if line["product"] not in known)
    assert 0 < unknown < 0.02 * sum(line["amount"] for line in made if line["kind"] != "balance")


def test_codes_keep_their_zeros(read: tuple[Practice, list[problems.Problem]]) -> None:
    """The code 00417 is text from the sheet to the frame."""
    assert "00417" in set(read[0].tables["fees"]["code"].astype(str))


def _parts(path: Path) -> dict[str, bytes]:
    """The contents of a file; a workbook part by part, since another zlib may pack them differently."""
    if path.suffix != ".xlsx":
        return {path.name: path.read_bytes()}
    with ZipFile(path) as book:
        return {name: book.read(name) for name in book.namelist()}

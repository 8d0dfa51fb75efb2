"""The example practice is what its maker writes, reads without an error, and shows what it should."""

from collections import Counter
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
    committed, fresh = _files(EXAMPLES / "practice"), _files(tmp_path)
    assert sorted(fresh) == sorted(committed)
    assert [name for name in fresh if fresh[name] != committed[name]] == []


def test_nothing_is_wrong_with_the_example(read: tuple[Practice, list[problems.Problem]]) -> None:
    """No problem stops the run; what is noticed is metal without a quote, and how the labs' own papers were dated."""
    _, found = read
    assert problems.errors(found) == []
    assert {problem.kind for problem in found} == {"no price", "assumed"}


def test_every_charge_arrives(read: tuple[Practice, list[problems.Problem]]) -> None:
    """From tables, lists and the labs' own papers alike: every charge of every invoice, to the cent."""
    lines = read[0].tables["invoice_lines"]
    lines = lines[lines["kind"] != "balance"]
    columns = [lines[name].astype(str) for name in ("lab", "site", "invoice", "kind")]
    found = Counter(zip(*columns, lines["amount"].round(2), strict=True))
    made = [
        line for book in example_invoices.invoices().values() for line in book if line["kind"] != "balance"
    ]
    assert len(made) >= 600
    assert found == Counter(
        (line["lab"], line["site"], line["invoice"], line["kind"], round(line["amount"], 2)) for line in made
    )
    assert lines["weight"].count() == sum("weight" in line for line in made)


def test_every_unit_arrives(read: tuple[Practice, list[problems.Problem]]) -> None:
    """With its day, its teeth, its units, and its wording where it is not a remake, which a paper words as one."""
    lines = read[0].tables["invoice_lines"]
    lines = lines[lines["kind"].isin(("unit fee", "remake"))]
    days = lines["date"].dt.date
    columns = [lines[name].astype(str) for name in ("invoice", "product", "teeth")]
    assert Counter(zip(days, lines["units"], *columns, strict=True)) == Counter(
        (line["date"], line["units"], line["invoice"], line["product"], line.get("teeth", ""))
        for book in example_invoices.invoices().values()
        for line in book
        if line["kind"] in ("unit fee", "remake")
    )


def test_papers_agree_with_their_totals_and_statements(read: tuple[Practice, list[problems.Problem]]) -> None:
    """The lines of each of lab B's own papers come to its total, and lab A's statement lists what its invoices charge."""
    practice, _ = read
    charged = practice.tables["invoice_lines"]
    charged = charged[charged["kind"] != "balance"].groupby("invoice", observed=True)["amount"].sum()
    papers = practice.documents[practice.documents["kind"] == "invoice"]
    assert len(papers) == 9 and len(practice.entries) >= 10
    for told, amount in ((papers, "total"), (practice.entries, "amount")):
        assert told[amount].to_numpy() == pytest.approx(charged[told["invoice"]].to_numpy(), abs=0.005)


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


def _files(folder: Path) -> dict[str, dict[str, bytes]]:
    """The inputs of an example by their names in the folder; what was made from them is left out."""
    made = {"Fee schedules"}
    return {
        path.relative_to(folder).as_posix(): _parts(path)
        for path in folder.rglob("*")
        if path.is_file() and not made & set(path.parts) and not path.name.startswith("What if ")
    }


def _parts(path: Path) -> dict[str, bytes]:
    """The contents of a file; a workbook part by part, since another zlib may pack them differently."""
    if path.suffix != ".xlsx":
        return {path.name: path.read_bytes()}
    with ZipFile(path) as book:
        return {name: book.read(name) for name in book.namelist()}

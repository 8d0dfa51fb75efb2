"""One invoice on several papers: what counts, what is left out, and what is told of it."""

from __future__ import annotations

from pathlib import Path

from golden_practice import write_tables

from feesheet.costing.lines import understand
from feesheet.costing.reconciliation import invoice_totals
from feesheet.practice import Practice
from feesheet.reading.folder import read_folder

HEAD = "B Crown and Bridge Works\n{title}Invoice no:,{number}\nClinic:,North\nDate:,03/14/2026\nTooth,Description,Qty,Unit price,Amount\n"
STATEMENT = """B Crown and Bridge Works
Statement
Statement date:,03/31/2026
Clinic:,North
Date,Invoice,Tooth,Description,Qty,Unit price,Amount
03/14/2026,1,14,FCZ crown,1,149.00,149.00
03/14/2026,1,,Rush fee,1,25.00,25.00
,,,Total due,,,174.00
"""


def paper(*lines: str, title: str = "", number: str = "1") -> str:
    """An invoice of lab B; each line is a tooth and an amount."""
    rows = [line.split() for line in lines]
    total = sum(float(amount) for _, amount in rows)
    made = [f"{tooth},FCZ crown,1,{amount},{amount}\n" for tooth, amount in rows]
    head = HEAD.format(title=f"{title}\n" if title else "", number=number)
    return "".join([head, *made, f",Total,,,{total:.2f}\n"])


def read(folder: Path, **files: str) -> tuple[Practice, list[float], str]:
    """The practice, the amounts that are counted, and everything that was told."""
    write_tables(folder)
    for name, text in files.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    practice, problems = read_folder(folder)
    parts, more = understand(practice)
    counted = parts[~parts["copy"] & (parts["kind"] != "balance") & parts["invoice"].isin(("1", "1A"))]
    return practice, sorted(counted["amount"]), " ".join(map(str, [*problems, *more]))


def test_what_a_statement_lists_otherwise_is_held_against_the_invoice(tmp_path: Path) -> None:
    """Only the invoice counts, and the statement's sum stands beside it: the 35.00 between them can be seen."""
    practice, counted, _ = read(tmp_path, invoice=paper("14 139.00"), statement=STATEMENT)
    assert counted == [139.0]
    assert practice.entries[["invoice", "amount"]].to_numpy().tolist() == [["1", 174.0]]
    totals = invoice_totals(practice, understand(practice)[0]).set_index("invoice")
    assert (totals.loc["1", "lines"], totals.loc["1", "statement"]) == (139.0, 174.0)


def test_a_copy_drops_no_line_that_its_invoice_does_not_hold(tmp_path: Path) -> None:
    """The same line counts once, the other one counts and is told."""
    _, counted, told = read(
        tmp_path, first=paper("14 139.00"), second=paper("14 139.00", "15 120.00", title="DUPLICATE")
    )
    assert counted == [120.0, 139.0]
    assert "holds 1 line(s) that its invoice does not, worth 120.00: they are counted" in told
    assert "with different lines" not in told


def test_a_corrected_invoice_takes_the_place_of_the_first(tmp_path: Path) -> None:
    """Whichever file is read first; what is left out is told with its money."""
    for first, second in (("a", "b"), ("b", "a")):
        folder = tmp_path / first
        folder.mkdir()
        files = {first: paper("14 139.00"), second: paper("14 129.00", title="CORRECTED INVOICE")}
        _, counted, told = read(folder, **files)
        assert counted == [129.0]
        assert "worth 139.00, are left out" in told


def test_two_copies_alone_count_once(tmp_path: Path) -> None:
    """Where the first paper is missing, the first of its copies stands for it."""
    copy = paper("14 139.00", title="COPY")
    assert read(tmp_path, first=copy, second=copy)[1] == [139.0]


def test_another_patients_invoice_with_a_letter_is_no_second_issue(tmp_path: Path) -> None:
    """1A for another tooth of the same price counts beside 1, and is asked about."""
    _, counted, told = read(tmp_path, one=paper("14 139.00"), other=paper("19 139.00", number="1A"))
    assert counted == [139.0, 139.0]
    assert "looks like 1 issued again" in told


def test_the_total_of_an_unmarked_copy_asks_for_nothing_more(tmp_path: Path) -> None:
    """The invoice's total is that of the paper that counts."""
    practice, _, told = read(tmp_path, one=paper("14 139.00"), two=paper("14 139.00"))
    totals = invoice_totals(practice, understand(practice)[0]).set_index("invoice")
    assert (totals.loc["1", "lines"], totals.loc["1", "total"]) == (139.0, 139.0)
    assert "copy of an invoice already counted" in told

"""The new fees as a plain list for typing into another system: codes as text, nothing that a spreadsheet would run."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from pathlib import Path

from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import rounded
from feesheet.tables import EXPORT_HEADINGS

_STARTERS = ("=", "+", "-", "@", "\t", "\r", "\n")
"""Characters that make a spreadsheet run a cell. Source: OWASP, CSV Injection (commit 0e5e8f0, 1 August 2025)."""


def safe(text: str) -> str:
    """Words that no spreadsheet takes for a formula: a quote before those that begin like one."""
    return f"'{text}" if text.startswith(_STARTERS) else text


def csv_line(cells: Sequence[str | float]) -> str:
    """One line: words made safe and in double quotes, numbers as numbers."""
    file = io.StringIO()
    writer = csv.writer(file, quoting=csv.QUOTE_NONNUMERIC, lineterminator="")
    writer.writerow([safe(cell) if isinstance(cell, str) else cell for cell in cells])
    return file.getvalue()


def save_list(path: Path, lines: Iterable[str]) -> None:
    """Write the lines of a list as a spreadsheet reads them: UTF-8 with a mark."""
    path.write_text("".join(f"{line}\r\n" for line in lines), encoding="utf-8-sig", newline="")


def fee_list(numbers: Numbers, effective_date: str, money_digits: int) -> Iterable[str]:
    """The lines of the list: one per code and site."""
    yield csv_line(EXPORT_HEADINGS)
    columns = ("code", "description", "site", "schedule_now", "schedule_new", "change")
    for code, description, site, *amounts in zip(
        *(numbers.of("schedule", column) for column in columns), strict=True
    ):
        shown = [float(rounded(amount, money_digits)) for amount in amounts]
        yield csv_line([str(code), str(description), str(site), *shown, effective_date])

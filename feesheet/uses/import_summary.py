"""What was read of the labs' invoices: lab by lab and month by month, what was inferred, and what is asked."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

import pandas as pd

from feesheet import reference
from feesheet.practice import Practice
from feesheet.problems import Problem, as_records, as_text, errors, joined
from feesheet.reading.folder import read_folder
from feesheet.tables import INVOICE_LINES
from feesheet.uses.lines_read import NO_LAB, NO_MONTH, charges, differences, documents_of, line_parts
from feesheet.uses.product_names import unknown_names
from feesheet.uses.text_table import aligned

ASKED = frozenset({"no reader", "not understood"})
"""Kinds of notices that wait for an answer as an error does."""

WHAT_IT_MEANS = (
    "Charged: every line but totals, balances and payments. Understood: the share of that money whose product is known.",
    "Off totals, off statements: by how much the lines differ from what the papers themselves add up to; – where",
    "there is nothing to compare. Questions: the problems below that wait for an answer.",
)


@dataclass(frozen=True)
class Read:
    """What was read of one lab in one month; a blank `month` is all of the lab's, a blank `lab` all labs.

    Money is in the practice's currency. `understood` is the part of `weighed`, the money without signs,
    whose product is known. `off_totals` and `off_statements` add up differences without signs; None where
    no paper names a total.
    """

    lab: str
    month: str
    documents: int
    lines: int
    charged: float
    weighed: float
    understood: float
    off_totals: float | None
    off_statements: float | None
    questions: int

    @property
    def share(self) -> float | None:
        """The share of the money that is understood, None where there is none."""
        return self.understood / self.weighed if self.weighed else None


@dataclass(frozen=True)
class ImportSummary:
    """The summary of an import: rows by lab and month with their sums, what was inferred, and the problems of invoices.

    `elsewhere` counts the errors in files that hold no invoices, `unknown` the product names that are on no list.
    """

    currency: str = ""
    rows: list[Read] = field(default_factory=list)
    assumed: list[Problem] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    elsewhere: int = 0
    unknown: int = 0

    @property
    def clean(self) -> bool:
        """Whether every invoice was read without an error."""
        return not errors(self.problems)

    def lines(self) -> list[str]:
        """The summary as a person reads it: one sentence, the table, what was inferred."""
        if not self.rows:
            return ["No lab invoices were read in this folder.", *self._also()]
        digits = reference.minor_digits().get(self.currency, 2)
        return [
            _sentence(self.rows, self.currency, digits),
            "",
            *_table(self.rows, digits),
            "",
            *WHAT_IT_MEANS,
            *self._also(),
        ]

    def _also(self) -> list[str]:
        made = []
        if self.assumed:
            made += ["", "Not said by the files, and taken from their other lines:", as_text(self.assumed)]
        if self.unknown:
            made += [
                "",
                f"{self.unknown} product name(s) not known: feesheet map lists them with a best guess.",
            ]
        if self.elsewhere:
            made += [
                "",
                f"{self.elsewhere} more problem(s) to mend in the folder's other files: feesheet check",
            ]
        return made

    def record(self) -> dict[str, Any]:
        """The summary as machines read it (`--json`)."""
        return {
            "currency": self.currency,
            "clean": self.clean,
            "rows": [{**asdict(row), "share": row.share} for row in self.rows],
            "assumed": as_records(self.assumed),
            "problems": as_records(self.problems),
            "elsewhere": self.elsewhere,
            "unknown": self.unknown,
        }


def import_summary(folder: Path, progress: Callable[[str, int, int], None] | None = None) -> ImportSummary:
    """Read a folder and sum up its invoices; errors in other files do not stand in the way."""
    practice, problems = read_folder(folder, progress)
    return summary_of(practice, problems)


def summary_of(practice: Practice, problems: Sequence[Problem]) -> ImportSummary:
    """The summary of a practice that was read."""
    mine, (parts, unclear) = _of_invoices(practice), line_parts(practice)
    own = joined(problem for problem in (*problems, *unclear) if mine(problem))
    assumed = [problem for problem in own if problem.kind == "assumed"]
    told = [problem for problem in own if problem.kind != "assumed"]
    others = len(errors(joined(problem for problem in problems if not mine(problem))))
    currency = str(practice.settings.get("currency") or "")
    unknown = len(unknown_names(practice))
    return ImportSummary(currency, _rows(practice, parts, told), assumed, told, others, unknown)


def _of_invoices(practice: Practice) -> Callable[[Problem], bool]:
    """Tells the problems of invoices: those of files and sheets that hold them, or nothing else that is known."""
    lines, sources = practice.tables[INVOICE_LINES.name], practice.sources
    files = {sources[source].file for source in lines["source"].unique()} | set(practice.documents["file"])
    files |= {file.name for file in practice.files if not set(file.rows) - {INVOICE_LINES.name}}
    others = {(source.file, source.sheet) for source in sources if source.table != INVOICE_LINES.name}
    others |= {(file, sheet) for file, sheet, _ in practice.setting_cells.values()}
    return lambda problem: problem.file in files and (problem.file, problem.sheet) not in others


def _rows(practice: Practice, parts: pd.DataFrame, problems: Sequence[Problem]) -> list[Read]:
    """One row a lab and month, the sum of each lab after its months, the sum of all at the end."""
    if practice.tables[INVOICE_LINES.name].empty and practice.documents.empty:
        return []
    lines, documents, gaps = charges(parts), documents_of(practice), differences(practice, parts)
    asked = _asked(practice, lines, problems)
    keys = sorted({*_keys(lines), *_keys(documents), *_keys(gaps), *_keys(asked)})
    frames = (lines, documents, gaps, asked)
    rows: list[Read] = []
    for lab in dict.fromkeys(lab for lab, _ in keys):
        rows += [_row(lab, month, *frames) for of, month in keys if of == lab]
        rows.append(_row(lab, "", *frames))
    return [*rows, _row("", "", *frames)] if rows else []


def _keys(frame: pd.DataFrame) -> set[tuple[str, str]]:
    return set(zip(frame["lab"], frame["month"], strict=True))


def _row(lab: str, month: str, *frames: pd.DataFrame) -> Read:
    """The row of that lab and month; blank for all."""
    lines, documents, gaps, asked = (
        frame[((frame["lab"] == lab) | (lab == "")) & ((frame["month"] == month) | (month == ""))]
        for frame in frames
    )
    return Read(
        lab,
        month,
        len(documents),
        int(lines["line"].nunique()),
        float(lines["money"].sum()),
        float(lines["money"].abs().sum()),
        float(lines["money"][lines["understood"]].abs().sum()),
        _off(gaps, "invoice"),
        _off(gaps, "statement"),
        len(asked),
    )


def _off(gaps: pd.DataFrame, paper: str) -> float | None:
    of = gaps[gaps["paper"] == paper]
    return float(of["gap"].abs().sum()) if len(of) else None


def _asked(practice: Practice, lines: pd.DataFrame, problems: Sequence[Problem]) -> pd.DataFrame:
    """The lab and month of each problem that waits for an answer, by the line that it points to."""
    files = [(practice.sources[source].file, practice.sources[source].sheet) for source in lines["source"]]
    spots = pd.DataFrame(files, columns=["file", "sheet"], index=lines.index)
    spots = pd.concat([spots, lines[["row", "lab", "month"]]], axis=1)
    found = [
        _spot(spots, problem) for problem in problems if problem.severity == "error" or problem.kind in ASKED
    ]
    return pd.DataFrame(found, columns=["lab", "month"], dtype=object)


def _spot(spots: pd.DataFrame, problem: Problem) -> tuple[str, str]:
    """Lab and month of the problem's line, else of its sheet's first, else of its file's first."""
    near = spots[spots["file"] == problem.file]
    number = re.search(r"\d+", problem.cell)
    for column, value in (("sheet", problem.sheet), ("row", int(number[0]) if number else -1)):
        same = near[near[column] == value]
        near = same if len(same) else near
    return (str(near["lab"].iloc[0]), str(near["month"].iloc[0])) if len(near) else (NO_LAB, NO_MONTH)


def _sentence(rows: Sequence[Read], currency: str, digits: int) -> str:
    whole = rows[-1]
    labs = len({row.lab for row in rows if row.lab and row.lab != NO_LAB})
    return (
        f"{whole.documents:,} document(s) of {labs} lab(s): {whole.lines:,} lines, "
        f"{currency} {whole.charged:,.{digits}f} charged, {_share(whole.share)} of the money understood."
    )


def _share(share: float | None) -> str:
    """A share in percent, cut off and not rounded up: only the whole is 100 %.

    >>> _share(0.99999), _share(1.0), _share(None)
    ('99.9%', '100.0%', '–')
    """
    return "–" if share is None else f"{int(share * 1000 + 1e-9) / 10:.1f}%"


def _table(rows: Sequence[Read], digits: int) -> list[str]:
    """The rows with their headings, aligned; a line over each sum."""
    head = (
        "Lab",
        "Month",
        "Documents",
        "Lines",
        "Charged",
        "Understood",
        "Off totals",
        "Off statements",
        "Questions",
    )
    body = [
        (
            row.lab or "all labs",
            row.month or ("all" if row.lab else ""),
            f"{row.documents:,}",
            f"{row.lines:,}",
            f"{row.charged:,.{digits}f}",
            _share(row.share),
            *("–" if off is None else f"{off:,.{digits}f}" for off in (row.off_totals, row.off_statements)),
            f"{row.questions:,}",
        )
        for row in rows
    ]
    return aligned([head, *body], words=2, sums=[at for at, row in enumerate(rows, start=1) if not row.month])

"""Whether a workbook can stand for last year: a fee schedule, whole, in its issued places, and worked out to the end."""

from __future__ import annotations

from collections.abc import Iterator

from feesheet.problems import Problem
from feesheet.uses.delivered import Delivered
from feesheet.uses.engine import Engine
from feesheet.uses.findings import Finding
from feesheet.uses.sheet_audit import Look, SheetAudit

DELIVERED = "Take the workbook as it was delivered."
SAVE_AGAIN = "Open it in a spreadsheet program, let it calculate, and save it again."

_OTHERS = {"what_if_materials": "a what-if", "earned": "a margin review", "findings": "a margin review"}
"""Tables that a plain fee schedule does not have, and the kind of workbook that does."""

INPUTS = "Inputs"


def kept_apart(book: Delivered) -> list[Problem]:
    """The workbook is of another kind: its figures may be of other days, or of moved prices."""
    for block, kind in _OTHERS.items():
        if book.block(block):
            what = f"The workbook is {kind}, not a fee schedule."
            return [
                Problem(
                    "not a workbook", what, "Take the workbook that feesheet update wrote.", book.path.name
                )
            ]
    return []


def missing_columns(book: Delivered, needed: dict[str, dict[str, str]]) -> list[Problem]:
    """The columns (block, name and heading) that the workbook does not list, and sheets that are gone."""
    do = "Take a workbook that a newer version wrote, or compare two periods of one folder."
    problems = [
        Problem(
            "missing column",
            f'The column "{heading}" ({block}.{name}) is not listed.',
            do,
            book.path.name,
            "Method",
        )
        for block, columns in needed.items()
        for name, heading in columns.items()
        if name not in book.block(block)
    ]
    if problems:
        return problems
    sheets = dict.fromkeys(span.sheet for block in needed for span in book.block(block).values())
    return [
        Problem(
            "missing table",
            f'The sheet "{sheet}" is missing; it was issued with the workbook.',
            DELIVERED,
            book.path.name,
        )
        for sheet in sheets
        if sheet not in book.sheets
    ]


def worked_out(book: Delivered, needed: dict[str, dict[str, str]]) -> list[Problem]:
    """The sheets of those columns, held against their seals and worked out again by an independent engine. Raises `Refusal`."""
    spans = (book.block(block)[name] for block, columns in needed.items() for name in columns)
    sheets = dict.fromkeys([*(span.sheet for span in spans), INPUTS])
    engine = Engine(book.path)
    engine.recalculate()
    looks = {name: Look.of(book, name) for name in book.seals if name in book.sheets and book.seals[name]}
    loose = len(looks) < len(book.seals) or any(look.steps for look in looks.values())
    audits = [SheetAudit(book, looks[name], engine, loose) for name in sheets if name in looks]
    found = [finding for audit in audits for finding in audit.findings()]
    if sum(audit.formulas for audit in audits) and not any(audit.stored for audit in audits):
        what = "No formula of the workbook has a stored value."
        return [Problem("formula without value", what, SAVE_AGAIN, book.path.name)]
    failed = list(_failed(book, found))
    return [*_moved(book, found), *(failed or _stale(book, found)), *_typed_over(book, found)]


def _failed(book: Delivered, found: list[Finding]) -> Iterator[Problem]:
    """Formulas that give an error: what adds them up is no figure, whatever is stored."""
    do = "Mend what is typed on its Inputs sheet, let it calculate, and save it again."
    for one in found:
        if one.kind == "error":
            what = f"{one.heading}: {one.what}"
            yield Problem("error cell", what, do, book.path.name, one.sheet, one.cell)


def _moved(book: Delivered, found: list[Finding]) -> Iterator[Problem]:
    """Rows or columns that are not where the method list says they are."""
    for one in found:
        if one.kind in ("rows moved", "columns moved"):
            what = f"{one.what[0].upper()}{one.what[1:]} Its figures can't be told by their places."
            yield Problem("missing column", what, DELIVERED, book.path.name, one.sheet, one.cell)


def _stale(book: Delivered, found: list[Finding]) -> Iterator[Problem]:
    """Stored values that their formulas do not give: something was typed and the workbook not worked out again."""
    stale = [one for one in found if one.kind == "differs"]
    if stale:
        many = (
            f"{len(stale):,} stored values are not what their formulas give"
            if len(stale) > 1
            else ("A stored value is not what its formula gives")
        )
        what = f"{many}, the first here: the workbook was changed and not worked out again."
        first = stale[0]
        yield Problem("formula without value", what, SAVE_AGAIN, book.path.name, first.sheet, first.cell)


def _typed_over(book: Delivered, found: list[Finding]) -> Iterator[Problem]:
    """What was typed since the workbook was issued: on the Inputs sheet as it is meant to be, and elsewhere."""
    typed = [one for one in found if one.kind == "typed over"]
    meant = [one for one in typed if one.sheet == INPUTS]
    for some, where in (
        (meant, "on the Inputs sheet"),
        ([one for one in typed if one not in meant], "outside it"),
    ):
        if some:
            many = f"{len(some):,} cells were" if len(some) > 1 else "A cell was"
            what = f"{many} typed over {where} since the workbook was issued, the first here; they count as they stand."
            do = "Nothing, if they are meant; feesheet audit names each of them."
            yield Problem("caution", what, do, book.path.name, some[0].sheet, some[0].cell)

"""Invoice readers, found through the entry point `feesheet.invoice_readers`; the built-in ones use the same door."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib.metadata import EntryPoint, entry_points
from typing import TypeAlias
from xml.etree.ElementTree import Element

from feesheet.problems import Problem
from feesheet.reading.grids import Grid
from feesheet.reading.invoices.context import Context
from feesheet.reading.invoices.document import Document

READERS = "feesheet.invoice_readers"

Content: TypeAlias = "Sequence[Grid] | Element"
"""What a file holds: the sheets of a workbook or csv file, or the root of an XML file."""


@dataclass(frozen=True)
class InvoiceReader:
    """Reads the invoices of one layout.

    `suits` says how sure the reader is that a file is of its layout: 0 not at all, 1 a layout that fits
    many labs, 2 a layout of one lab. The surest reader takes the file. `read` makes documents of it.
    """

    name: str
    suits: Callable[[Content, Context], int]
    read: Callable[[Content, Context], list[Document]]


def readers() -> tuple[list[InvoiceReader], list[Problem]]:
    """Every invoice reader by name, and those that could not be loaded. A stranger's code may fail in any way."""
    found, problems = [], []
    for point in sorted(entry_points(group=READERS), key=lambda point: point.name):
        try:
            reader = point.load()
            if isinstance(reader, InvoiceReader):
                found.append(reader)
                continue
            wrong = "is no InvoiceReader"
        except (Exception, SystemExit) as failure:
            wrong = f"can't be used: {_said(failure)}"
        problems.append(_failed(point, wrong))
    return found, problems


def _said(failure: BaseException) -> str:
    """What went wrong, without the words of an invoice that an error's own text may repeat."""
    return type(failure).__name__


def _failed(point: EntryPoint, wrong: str) -> Problem:
    what = f'The invoice reader "{point.name}" ({point.value}) {wrong}.'
    return Problem("reader failed", what, "Mend it, or uninstall the package that brings it.")


def documents(
    content: Content, context: Context, known: Sequence[InvoiceReader]
) -> tuple[list[Document], list[Problem]]:
    """What the surest reader makes of a file; a reader that fails is named and the next one tried."""
    problems: list[Problem] = []
    sure: list[tuple[int, InvoiceReader]] = []
    for reader in known:
        try:
            sure.append((int(reader.suits(content, context)), reader))
        except Exception as failure:
            problems.append(_broke(reader, failure))
    ranked = sorted((one for one in sure if one[0] > 0), key=lambda one: -one[0])
    if len(ranked) > 1 and ranked[0][0] == ranked[1][0]:
        problems.append(_two(ranked[0][1], ranked[1][1]))
        return [], problems
    for _, reader in ranked:
        try:
            return list(reader.read(content, context)), problems
        except Exception as failure:
            problems.append(_broke(reader, failure))
    return [], problems + ([_unread()] if problems else [])


def _broke(reader: InvoiceReader, failure: Exception) -> Problem:
    what = f'The invoice reader "{reader.name}" broke down: {_said(failure)}.'
    return Problem("reader failed", what, "Mend it, or uninstall the package that brings it.")


def _unread() -> Problem:
    what = "No other invoice reader takes this file, so its invoices are missing."
    return Problem("plug-in failed", what, "Mend the reader named above, or take the file out.")


def _two(one: InvoiceReader, other: InvoiceReader) -> Problem:
    what = f'The invoice readers "{one.name}" and "{other.name}" both take this file.'
    return Problem("two readers fit", what, "Uninstall the package that brings the one you don't mean.")

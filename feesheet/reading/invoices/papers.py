"""One file read as lab invoices of any layout, in the reading process."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

from feesheet.problems import Problem
from feesheet.reading import grids
from feesheet.reading.date_words import MONTHS
from feesheet.reading.invoices import door
from feesheet.reading.invoices.context import Context
from feesheet.reading.invoices.parties import lab_in_path
from feesheet.reading.invoices.settle import settled
from feesheet.reading.invoices.xml_tree import read_xml
from feesheet.reading.messages import FileContent
from feesheet.reading.run_together import run_together
from feesheet.wording import HIDDEN, clean, known_words

_LETTERS = re.compile(r"[^\W\d_]{2,}")

readers = cache(door.readers)
"""Every reader, loaded once for all files."""


def papers(
    path: Path, name: str, context: Context, sheets: tuple[str, ...], kept: list[grids.Grid] | None = None
) -> FileContent:
    """The invoices on those sheets of a workbook or csv file, or in an XML file. Raises `Refusal`.

    `kept` are the sheets if they have been read before.
    """
    known, problems = readers()
    context = replace(context, path_lab=lab_in_path(name, context))
    content: door.Content = (
        read_xml(path.read_bytes())
        if path.suffix.lower() == ".xml"
        else [grid for grid in (grids.read(path) if kept is None else kept) if grid.name in sheets]
    )
    found, faults = door.documents(content, context, known)
    result = FileContent(problems=[*problems, *(replace(fault, file=name) for fault in faults)])
    if isinstance(content, list):
        result.problems += [fault for grid in content for fault in run_together(grid, name)]
    if not found and path.suffix.lower() == ".xml" and not faults:
        what = "The file is no invoice of the standards UBL 2.1 or Cross Industry Invoice."
        result.problems.append(
            Problem("no reader", what, "Take it out, or ask the lab for a workbook.", name)
        )
    shown = result.shown_sheets = _shown(content, context) if isinstance(content, list) else {}
    result.read_sheets = list(dict.fromkeys(document.sheet for document in found))
    for document in found:
        document.sheet = shown.get(document.sheet, document.sheet)
    settled(result, found, name, context)
    result.problems = [replace(one, sheet=shown.get(one.sheet, one.sheet)) for one in result.problems]
    return result


_SHEET_WORDS = "sheet tabelle blatt feuil hoja foglio blad folha planilha arkusz list"


def _shown(sheets: list[grids.Grid], context: Context) -> dict[str, str]:
    """What each sheet is called from here on: its own name, or its place where the name holds a word that nobody knows.

    A lab may give each of its sheets a patient's name.
    """
    labs = [name for lab in context.labs for name in (lab.name, *lab.on_invoices)]
    known = context.words | known_words([*context.sites, *labs, _SHEET_WORDS, *MONTHS])
    letters = {grid.name: " ".join(_LETTERS.findall(grid.name)) for grid in sheets}
    return {
        grid.name: f"sheet {grid.position}" if HIDDEN in clean(letters[grid.name], known) else grid.name
        for grid in sheets
    }

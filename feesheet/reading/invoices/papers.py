"""One file read as lab invoices of any layout, in the reading process."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

from feesheet.problems import Problem
from feesheet.reading import grids
from feesheet.reading.invoices import door
from feesheet.reading.invoices.context import Context
from feesheet.reading.invoices.parties import lab_in_path
from feesheet.reading.invoices.settle import settled
from feesheet.reading.invoices.xml_tree import read_xml
from feesheet.reading.messages import FileContent
from feesheet.reading.run_together import run_together

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
    settled(result, found, name, context)
    return result

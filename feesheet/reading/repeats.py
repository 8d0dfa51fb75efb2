"""Invoices that stand on more than one paper are counted once: statements that repeat lines, copies, issues made again."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pandas as pd

from feesheet.practice import Practice
from feesheet.problems import Problem

_AGAIN = re.compile(r"[-/ ]?(?:R|REV|COPY|DUP|A|B)\d?$", re.IGNORECASE)
"""What labs put behind the number of an invoice that they issue again."""

_SAME = ["date", "kind", "units", "amount", "weight"]


def counted_once(practice: Practice) -> tuple[Practice, list[Problem]]:
    """The practice without lines that repeat another paper's invoice, each sheet of them told with its money."""
    practice, problems = _issued_again(practice)
    lines, papers = practice.tables["invoice_lines"], practice.documents
    again = papers[(papers["kind"] == "statement") | papers["repeats"]]
    if again.empty or lines.empty:
        return practice, problems
    places = {(source.file, source.sheet): number for number, source in enumerate(practice.sources)}
    sources = {places[place]: kind for place, kind in _kinds(again).items() if place in places}
    repeated = _repeats(lines, list(sources))
    problems += [
        _told(practice, lines[repeated & (lines["source"] == source).to_numpy()], kind)
        for source, kind in sources.items()
        if (repeated & (lines["source"] == source).to_numpy()).any()
    ]
    left = lines[~repeated].reset_index(drop=True)
    return replace(practice, tables={**practice.tables, "invoice_lines": left}), problems


def _kinds(again: pd.DataFrame) -> dict[tuple[str, str], str]:
    words = np.where(again["kind"] == "statement", "The statement", "The copy")
    return dict(zip(zip(again["file"], again["sheet"], strict=True), words, strict=True))


def _repeats(lines: pd.DataFrame, sources: list[int]) -> np.ndarray:
    """Whether each line stands on a paper that repeats, and its invoice on one that does not, or on an earlier one."""
    weak = lines["source"].isin(sources).to_numpy()
    number = lines.groupby(["lab", "invoice"], observed=True, sort=False).ngroup().to_numpy()
    strong = np.zeros(number.max() + 1, dtype=bool)
    strong[number[~weak]] = True
    first = pd.Series(lines["source"].to_numpy()).groupby(number).transform("min").to_numpy()
    return np.asarray(weak & (strong[number] | (lines["source"].to_numpy() != first)))


def _told(practice: Practice, lines: pd.DataFrame, paper: str) -> Problem:
    source = practice.sources[int(lines["source"].iloc[0])]
    invoices = lines["invoice"].astype(str).nunique()
    what = (
        f"{paper} repeats {len(lines)} line(s) of {invoices} invoice(s) that another file holds, worth "
        f"{lines['amount'].sum():,.2f}: they count once."
    )
    return Problem("copy", what, "Nothing.", source.file, source.sheet, f"row {int(lines['row'].iloc[0])}")


def _issued_again(practice: Practice) -> tuple[Practice, list[Problem]]:
    """Give an invoice that was issued again, line for line, the number of the first; one with other lines is asked about."""
    lines = practice.tables["invoice_lines"]
    numbers = [str(number) for number in lines["invoice"].cat.categories]
    known = set(numbers)
    bases = {
        number: base for number in numbers if (base := _AGAIN.sub("", number)) != number and base in known
    }
    if not bases:
        return practice, []
    said = lines[lines["invoice"].isin([*bases, *bases.values()])]
    groups = dict(iter(said.groupby(["lab", "invoice"], observed=True)))
    contents = {
        key: sorted(group[_SAME].astype(str).itertuples(index=False, name=None))
        for key, group in groups.items()
    }
    pairs = [(lab, number) for lab, number in contents if (lab, bases.get(number, "")) in contents]
    same = {pair for pair in pairs if contents[pair] == contents[pair[0], bases[pair[1]]]}
    problems = [_other_lines(practice, groups[pair], bases[pair[1]]) for pair in pairs if pair not in same]
    renamed = [
        bases[number] if (lab, number) in same else number
        for lab, number in zip(lines["lab"].astype(object), lines["invoice"].astype(object), strict=True)
    ]
    column = pd.Categorical(renamed, categories=lines["invoice"].cat.categories)
    lines = lines.assign(invoice=column)
    return replace(practice, tables={**practice.tables, "invoice_lines": lines}), problems


def _other_lines(practice: Practice, lines: pd.DataFrame, base: str) -> Problem:
    source = practice.sources[int(lines["source"].iloc[0])]
    what = (
        f"Invoice {lines['invoice'].iloc[0]} looks like {base} issued again with other lines, worth "
        f"{lines['amount'].sum():,.2f}: both are counted."
    )
    cell = f"row {int(lines['row'].iloc[0])}"
    return Problem("copy", what, "Take out the one that does not hold.", source.file, source.sheet, cell)

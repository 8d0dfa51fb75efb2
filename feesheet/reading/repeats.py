"""Invoices that stand on more than one paper are counted once: statements, copies, corrected papers, issues made again."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np
import pandas as pd

from feesheet.practice import ENTRIES, Practice, as_compared, line_treatments
from feesheet.problems import Problem

STATEMENT, COPY, CORRECTED, FIRST = "statement", "copy", "corrected", "first"
"""What the paper of a line is to its invoice."""

_AGAIN = re.compile(r"[-/ ]?(?:R|REV|COPY|DUP|A|B)\d?$", re.IGNORECASE)
"""What labs put behind the number of an invoice that they issue again."""

_DO = {
    STATEMENT: "Nothing: the sums of both are compared on the Checks sheet.",
    COPY: "Nothing.",
    FIRST: "Nothing, if the corrected paper is the one that holds.",
}


def counted_once(practice: Practice) -> tuple[Practice, list[Problem]]:
    """The practice without lines that another paper of their invoice stands for, each sheet of them told with its money.

    What a statement lists of an invoice that is read elsewhere becomes an entry, to be held against that invoice.
    Lines of a copy that its invoice does not hold are kept, and told.
    """
    practice, problems = _issued_again(practice)
    lines = practice.tables["invoice_lines"]
    if lines.empty or not _roles_at_all(practice):
        return practice, problems
    table = pd.DataFrame({"role": _roles(practice), "source": lines["source"].to_numpy()})
    table["number"] = lines.groupby(["lab", "invoice"], observed=True, sort=False).ngroup().to_numpy()
    table["why"] = _why_left_out(lines, table)
    out = (table["why"] != "").to_numpy()
    problems += _told(practice, lines, table, out)
    listed = _listed(practice, lines[out & (table["why"] == STATEMENT).to_numpy()])
    left = lines[~out].reset_index(drop=True)
    tables = {**practice.tables, "invoice_lines": left}
    return replace(practice, tables=tables, entries=listed), problems


def _roles_at_all(practice: Practice) -> bool:
    papers = practice.documents
    return bool(((papers["kind"] == "statement") | papers["repeats"] | papers["replaces"]).any())


def _roles(practice: Practice) -> np.ndarray:
    """What each line's paper is to its invoice."""
    lines, papers = practice.tables["invoice_lines"], practice.documents
    statements = set(zip(papers["file"], papers["sheet"], papers["kind"] == "statement", strict=True))
    marked = {
        (file, sheet, lab, invoice): CORRECTED if corrected else COPY
        for file, sheet, lab, invoice, copy, corrected in zip(
            *(papers[name] for name in ("file", "sheet", "lab", "invoice", "repeats", "replaces")),
            strict=True,
        )
        if copy or corrected
    }
    roles = []
    for source, lab, invoice in zip(
        lines["source"], lines["lab"].astype(str), lines["invoice"].astype(str), strict=True
    ):
        place = practice.sources[source].file, practice.sources[source].sheet
        roles.append(STATEMENT if (*place, True) in statements else marked.get((*place, lab, invoice), FIRST))
    return np.array(roles, dtype=object)


def _why_left_out(lines: pd.DataFrame, table: pd.DataFrame) -> np.ndarray:
    """For each line the role for which it is left out, "" for a line that counts."""
    corrected = _in_group(table, table["role"] == CORRECTED)
    why = np.where(corrected & table["role"].isin((FIRST, COPY)), FIRST, "").astype(object)
    own = _in_group(table, table["role"] != STATEMENT)
    later = table["source"] != table.groupby("number")["source"].transform("min")
    why[(table["role"] == STATEMENT) & (own | later)] = STATEMENT
    first = _in_group(table, table["role"] == FIRST)
    copies = (table["role"] == COPY) & ~corrected & (first | later)
    why[copies & _stands_before(lines, table, copies)] = COPY
    return why


def _in_group(table: pd.DataFrame, truth: pd.Series) -> np.ndarray:
    """Whether any line of the invoice is so."""
    return np.asarray(truth.groupby(table["number"]).transform("any"))


def _stands_before(lines: pd.DataFrame, table: pd.DataFrame, copies: pd.Series) -> np.ndarray:
    """Whether each line stands on a paper of its invoice that is no copy, or on the first copy where all are."""
    near = _in_group(table, copies)
    facts = as_compared(lines, line_treatments(lines))[near].astype(str).fillna("")
    facts = facts.assign(number=table["number"][near].to_numpy())
    said = list(facts.itertuples(index=False, name=None))
    first = {one for one, copy in zip(said, copies[near], strict=True) if not copy}
    found = np.zeros(len(lines), dtype=bool)
    found[np.flatnonzero(near)] = [one in first for one in said]
    return found


def _listed(practice: Practice, lines: pd.DataFrame) -> pd.DataFrame:
    """The statements' entries, with one for each invoice whose lines a statement lists without a sum of its own."""
    known = set(
        zip(practice.entries["file"], practice.entries["sheet"], practice.entries["invoice"], strict=True)
    )
    rows = []
    for (source, lab, invoice), group in lines.groupby(
        ["source", "lab", "invoice"], observed=True, sort=False
    ):
        of = practice.sources[int(source)]
        charged = group[line_treatments(group) != "control"]
        if (of.file, of.sheet, str(invoice)) not in known and len(charged):
            first = group.iloc[0]
            sum_ = charged["amount"].sum()
            rows.append(
                (of.file, of.sheet, float(first["row"]), lab, invoice, first["date"], sum_, first["currency"])
            )
    more = pd.DataFrame(rows, columns=list(ENTRIES)).astype(ENTRIES)
    return pd.concat([practice.entries, more], ignore_index=True) if rows else practice.entries


def _told(practice: Practice, lines: pd.DataFrame, table: pd.DataFrame, out: np.ndarray) -> list[Problem]:
    """One notice for each sheet and reason, and one for what a copy holds beside its invoice."""
    words: dict[str, Callable[[int, int, str], str]] = {
        STATEMENT: lambda n, i, m: (
            f"The statement repeats {n} line(s) of {i} invoice(s) that another file holds, worth {m}: they count once."
        ),
        COPY: lambda n, i, m: (
            f"The copy repeats {n} line(s) of {i} invoice(s) that another file holds, worth {m}: they count once."
        ),
        FIRST: lambda n, i, m: (
            f"{n} line(s) of {i} invoice(s), worth {m}, are left out: another file holds the invoice as corrected."
        ),
    }
    kept = pd.Series(np.where(out, "", np.where(table["role"] == COPY, "kept", "")), index=table.index)
    first = _in_group(table, table["role"] == FIRST)
    problems = []
    for why, rows in [*_by_sheet(table["why"], table), *_by_sheet(kept.where(first, ""), table)]:
        few = lines.iloc[rows]
        count, invoices, money = len(few), few["invoice"].astype(str).nunique(), f"{few['amount'].sum():,.2f}"
        what = (
            words[why](count, invoices, money)
            if why in words
            else (
                f"The copy holds {count} line(s) that its invoice does not, worth {money}: they are counted."
            )
        )
        do = _DO.get(why, "Take them out if they are not owed.")
        place = practice.sources[int(few["source"].iloc[0])]
        problems.append(Problem("copy", what, do, place.file, place.sheet, f"row {int(few['row'].iloc[0])}"))
    return problems


def _by_sheet(why: pd.Series, table: pd.DataFrame) -> Iterator[tuple[str, np.ndarray]]:
    """The lines of each sheet that have a reason, by reason."""
    chosen = table.assign(reason=why.to_numpy())[(why != "").to_numpy()]
    for (_, reason), group in chosen.groupby(["source", "reason"], sort=True):
        yield str(reason), group.index.to_numpy()


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
    compared = (
        as_compared(said, line_treatments(said)).assign(case=said["case"].astype(str)).astype(str).fillna("")
    )
    contents = {
        key: sorted(compared.loc[group.index].itertuples(index=False, name=None))
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

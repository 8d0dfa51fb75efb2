"""Alloy classes: what lines, or the Alloys table, say was billed, against the alloy's own composition."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from feesheet.costing.billed_classes import with_classes
from feesheet.costing.lab_prices import all_in_labs
from feesheet.costing.meaning import ALLOY, UNIT
from feesheet.costing.roster import Roster, numbers_of
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import same, when
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab.alloy_rows import (
    TESTED,
    counts_block,
    lines_of,
    outcome_columns,
    terms_of,
    unstated,
)
from feesheet.pricing.review.lab.cases_of_lines import SURCHARGE
from feesheet.pricing.review.lab.letters import counted, listed, money_words, place_words, teeth_words
from feesheet.schema import plain

SHEET, LINES, TESTS = "Alloy classes", "class_lines", "class_tests"
KIND = "class"
BY_LINE, BY_UNIT, BY_TABLE = "the line", "the unit's line", "the Alloys table"


@figure("Another class", "whole")
def other_class(tested: Traced, class_named: Traced, class_by_metal: Traced) -> Traced:
    """1 if the class that was named is not that of the alloy's composition (ADA 2003)."""
    return tested * (1 - same(class_named, class_by_metal))


@figure("Money for alloy", "money")
def class_money(other_class: Traced, for_alloy: Traced, billed: Traced) -> Traced:
    """What was billed for the alloy under another class; a unit fee without its alloy counts nought. Unit: money."""
    return when(other_class * for_alloy > 0, billed, 0)


def add(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> None:
    """Add the lines with a class, and what was billed under another class, invoice by invoice."""
    rows = _rows(practice, who, parts)
    groups = _groups(rows)
    block = Block(
        LINES,
        SHEET,
        "Classes billed against compositions",
        len(rows),
        "One row a line of the period whose class is named: on the line, on the line of its unit, or in the Alloys table.",
        label=("class_invoice", "class_alloy"),
    )
    block.counter("line_no", "Line no.", list(rows["line_no"]), "Row in the invoice lines.")
    block.counter(
        "alloy_no",
        "Alloy no.",
        numbers_of(rows["alloy_used"], who.alloys),
        "Row in the Alloys table; 0: none.",
    )
    numbers = {line: number for number, (_, group) in enumerate(groups, start=1) for line in group["line"]}
    block.counter(
        "group_no", "Invoice no.", [numbers[line] for line in rows["line"]], "Row in the classes by invoice."
    )
    block.given("class_lab", "Lab", pd.Categorical(rows["lab"].astype(str)))
    block.given("class_invoice", "Invoice", pd.Categorical(rows["invoice"].astype(str)), "code")
    block.given("class_date", "Date", list(rows["date"]), "date")
    block.given("class_alloy", "Alloy", list(rows["alloy_used"].astype(str)), width=22)
    outcome_columns(block, list(rows["outcome"]))
    block.given("class_named", "Class named", list(rows["billed"]), width=16)
    block.given("named_by", "Named by", list(rows["named_by"]))
    block.fetch("class_by_metal", "Class by composition", "text", "alloys.alloy_class", "alloy_no", "")
    block.worked(other_class)
    block.counter(
        "for_alloy", "For alloy", list(rows["for_alloy"]), "1 if the alloy is in the line's amount."
    )
    block.fetch("billed", "Billed", "money", "lines.amount", "line_no")
    block.worked(class_money)
    counts = counts_block("class_counts", "Lines tested for their class", block)
    for one in (counts, _groups_block(groups), block):
        model.add(one)


def _rows(practice: Practice, who: Roster, parts: pd.DataFrame) -> pd.DataFrame:
    """The lines of the period whose class is named, and by whom, and whether the alloy's composition is known."""
    table = practice.tables["alloys"]
    typed = dict(zip(who.alloys, table["class_billed"].astype(str), strict=True))
    rows = lines_of(parts, parts["in_window"] & ~parts["copy"] & ~parts["primary"])
    rows = with_classes(rows, dict.fromkeys(who.alloys, ""))
    metal = (rows["treatment"] == ALLOY) | (rows["kind"] == SURCHARGE)
    inside = (rows["treatment"] == UNIT) & rows["lab"].astype(str).map(plain).isin(all_in_labs(practice))
    of_unit = _of_units(rows).where(metal, "")
    of_table = pd.Series(
        [typed.get(alloy, "") for alloy in rows["alloy_used"]], rows.index, dtype=object
    ).where(metal, "")
    own, inherited = rows["billed"] != "", of_unit != ""
    rows["named_by"] = np.select([own, inherited], [BY_LINE, BY_UNIT], BY_TABLE)
    rows["billed"] = np.select([own, inherited], [rows["billed"], of_unit], of_table)
    rows["for_alloy"] = (metal | inside).astype(int)
    rows = rows[rows["billed"] != ""].reset_index(drop=True)
    unknown = unstated(practice)
    rows["outcome"] = [
        "alloy not named" if alloy == "" else "composition not known" if alloy in unknown else TESTED
        for alloy in rows["alloy_used"]
    ]
    return rows


def _of_units(rows: pd.DataFrame) -> pd.Series:
    """The class that the units of a line's own teeth name on its invoice; "" where none does, or two do."""
    teeth = rows.assign(tooth=rows["whole_teeth"].astype(str).str.split())[
        ["line", "invoice_no", "tooth", "billed"]
    ]
    teeth = teeth.explode("tooth").dropna(subset="tooth")
    made = rows.loc[(rows["treatment"] == UNIT) & (rows["billed"] != ""), "line"]
    named = teeth[teeth["line"].isin(made)].drop(columns="line")
    pairs = teeth[["line", "invoice_no", "tooth"]].merge(named, on=["invoice_no", "tooth"])
    found = pairs.groupby("line")["billed"].agg(["nunique", "first"])
    single = found.loc[found["nunique"] == 1, "first"].to_dict()
    return pd.Series([single.get(line, "") for line in rows["line"]], rows.index, dtype=object)


def _groups(rows: pd.DataFrame) -> list[tuple[tuple[str, ...], pd.DataFrame]]:
    """The lines that are taken up with the lab at once: of an invoice, or where the Alloys table names the class, of all."""
    of = rows["invoice"].astype(object).where(rows["named_by"] != BY_TABLE, "")
    keys = rows.assign(of_invoice=of.astype(str))
    keys = keys.astype({"lab": str, "alloy_used": str, "billed": str})
    return list(keys.groupby(["lab", "of_invoice", "alloy_used", "billed", "outcome"], sort=False))


def _groups_block(groups: list[tuple[tuple[str, ...], pd.DataFrame]]) -> Block:
    block = Block(
        TESTS,
        SHEET,
        "Classes by invoice",
        len(groups),
        "Without an invoice: all lines of the lab, where not they but the Alloys table names the class.",
        label=("group_lab", "group_invoice", "group_alloy"),
    )
    block.number()
    for place, (name, heading) in enumerate(
        (("lab", "Lab"), ("invoice", "Invoice"), ("alloy", "Alloy"), ("class", "Class named"))
    ):
        unit = "code" if name == "invoice" else "text"
        block.given(f"group_{name}", heading, [key[place] for key, _ in groups], unit)
    block.count("group_lines", "Lines", f"{LINES}.group_no", "no")
    block.total(
        "group_other", "Lines of another class", "whole", f"{LINES}.other_class", f"{LINES}.group_no", "no"
    )
    block.total("money", "Money for alloy", "money", f"{LINES}.class_money", f"{LINES}.group_no", "no")
    return block


def found(
    model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers
) -> list[Finding]:
    """The classes that the alloys' compositions do not bear out, invoice by invoice."""
    return list(_found(practice, who, parts, numbers))


def _found(practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers) -> Iterator[Finding]:
    columns = ("other_class", "class_by_metal")
    rows = _rows(practice, who, parts).assign(**{name: list(numbers.of(LINES, name)) for name in columns})
    money, terms = numbers.of(TESTS, "money"), terms_of(practice)
    for place, (key, group) in enumerate(_groups(rows)):
        if not (group["other_class"] == 1).any():
            continue
        invoices = list(dict.fromkeys(group["invoice"].astype(str)))
        first = group.iloc[0]
        yield Finding(
            KIND,
            key[0],
            str(first["site"]),
            invoices[0] if len(invoices) == 1 else f"{len(invoices)} invoices",
            tuple(map(int, group["line"])),
            TESTS,
            place + 1,
            float(money[place]),
            _sentence(practice, group, invoices, float(money[place])),
            terms.left(key[0], group["date"].min()),
        )


def _sentence(practice: Practice, group: pd.DataFrame, invoices: list[str], money: float) -> str:
    """What to ask the lab about the lines of an invoice, or about an alloy on all of them."""
    first = group.iloc[0]
    lines = counted(len(group), "line")
    if len(invoices) == 1:
        teeth = " ".join(dict.fromkeys(" ".join(group["whole_teeth"].astype(str)).split()))
        where = f"{place_words(invoices[0], first['date'])}, {lines}"
        where += f" for {teeth_words(teeth)} (ISO)" if teeth else ""
    else:
        where = f"{lines} on invoices {listed(invoices[:3])}" + (" and others" if len(invoices) > 3 else "")
    named = (group["alloy"].astype(str) != "").any()
    alloy = f"{'' if named else 'our material is cast from '}{first['alloy_used']}"
    alloy += f"{'' if named else ', which'} is {first['class_by_metal']} by its composition (ADA 2003)"
    worth = f" The alloy came to {money_words(practice, money)}." if money else ""
    return (
        f'{where}: the class is given as "{first["billed"]}", but {alloy}.{worth} '
        "Please send us the alloy's certificate, and tell us which of the two is right."
    )

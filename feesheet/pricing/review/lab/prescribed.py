"""Work that was seated against what the lab billed for it: the material, and the class of the alloy."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from feesheet.costing.meaning import ALLOY, UNIT
from feesheet.costing.roster import Roster, numbers_of
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import all_of, same, when
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab.alloy_rows import lines_of, terms_of, unstated
from feesheet.pricing.review.lab.cases_of_lines import with_cases
from feesheet.pricing.review.lab.letters import counted, listed, money_words, place_words, teeth_words
from feesheet.schema import plain

SHEET, LINES, TESTS = "As prescribed", "prescribed_lines", "prescribed_tests"
KIND = "not as prescribed"


@figure("Another material", "whole")
def other_material(made_material: Traced, seated_material: Traced) -> Traced:
    """1 if the lab billed another material than that of the code that was seated."""
    return 1 - same(made_material, seated_material)


@figure("Another class", "whole")
def other_seated_class(
    made_alloy_no: Traced, seated_alloy_no: Traced, made_class: Traced, seated_class: Traced
) -> Traced:
    """1 if both have an alloy whose composition is known, and their classes differ (ADA 2003)."""
    return all_of(made_alloy_no > 0, seated_alloy_no > 0, 1 - same(made_class, seated_class) > 0)


@figure("Money of the line", "money")
def prescribed_money(other_material: Traced, other_seated_class: Traced, billed: Traced) -> Traced:
    """What was billed for it, where material or class is another. Unit: money."""
    return when(other_material + other_seated_class > 0, billed, 0)


def add(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> None:
    """Add the lines of cases that were seated, and what was billed for other work, case by case."""
    rows = _rows(practice, who, parts)
    groups = _groups(rows)
    block = Block(
        LINES,
        SHEET,
        "Lines of work that was seated",
        len(rows),
        "One row a unit or alloy line whose case stands in the sheet Work seated, by a hash of its number.",
        label=("made_invoice", "made_material"),
    )
    numbers = {line: number for number, group in enumerate(groups, start=1) for line in group["line"]}
    block.counter("line_no", "Line no.", list(rows["line_no"]), "Row in the invoice lines.")
    block.counter(
        "group_no", "Work no.", [numbers[line] for line in rows["line"]], "Row in the work seated and billed."
    )
    for side, words in (("made", "billed"), ("seated", "seated")):
        of = numbers_of(rows[f"{side}_alloy"], who.alloys)
        meaning = "Row in the Alloys table; 0: none, or its composition is not known."
        block.counter(f"{side}_alloy_no", f"Alloy {words} no.", of, meaning)
    block.given("made_lab", "Lab", pd.Categorical(rows["lab"].astype(str)))
    block.given("made_invoice", "Invoice", pd.Categorical(rows["invoice"].astype(str)), "code")
    block.given("made_date", "Date", list(rows["date"]), "date")
    block.given("made_teeth", "Teeth (ISO 3950)", list(rows["whole_teeth"].astype(str)))
    block.given("seated_code", "Code seated", list(rows["seated_code"]), "code")
    block.given("made_material", "Material billed", list(rows["material"].astype(str)), width=24)
    block.given("seated_material", "Material seated", list(rows["seated_material"]), width=24)
    for side, words in (("made", "billed"), ("seated", "seated")):
        block.fetch(f"{side}_class", f"Class {words}", "text", "alloys.alloy_class", f"{side}_alloy_no", "")
    block.worked(other_material)
    block.worked(other_seated_class)
    block.fetch("billed", "Billed", "money", "lines.amount", "line_no")
    block.worked(prescribed_money)
    for one in (_groups_block(groups), block):
        model.add(one)


def _rows(practice: Practice, who: Roster, parts: pd.DataFrame) -> pd.DataFrame:
    """The unit and alloy lines whose case was seated, each with the code and material of that work."""
    seated, parts = _seated(practice, who), with_cases(parts)
    makes = parts["treatment"].isin((UNIT, ALLOY)) & parts["in_window"] & ~parts["copy"] & ~parts["primary"]
    rows = lines_of(
        parts, makes & (parts["material"] != "") & parts["case"].astype(str).isin(seated)
    ).reset_index(drop=True)
    work = [
        next((one for one in seated[str(case)] if one[1] == material), seated[str(case)][0])
        for case, material in zip(rows["case"], rows["material"], strict=True)
    ]
    rows["seated_code"], rows["seated_material"] = (
        [code for code, _ in work],
        [made_of for _, made_of in work],
    )
    unknown = unstated(practice)
    rows["made_alloy"] = ["" if alloy in unknown else alloy for alloy in rows["alloy_used"]]
    of = [who.alloy_of.get(material, "") for material in rows["seated_material"]]
    rows["seated_alloy"] = ["" if alloy in unknown else alloy for alloy in of]
    return rows


def _seated(practice: Practice, who: Roster) -> dict[str, list[tuple[str, str]]]:
    """Code and material of the work of each case, by the case's hash; codes without a material are left out."""
    of_code = {
        plain(code): material for code, material in zip(who.items["code"], who.items["material"], strict=True)
    }
    table = practice.tables["seated"]
    table = table[(table["case"].astype(str) != "") & (table["units"] > 0)]
    found: dict[str, list[tuple[str, str]]] = {}
    for case, code in zip(table["case"].astype(str), table["code"].astype(str), strict=True):
        if of_code.get(plain(code)):
            found.setdefault(case, []).append((code, of_code[plain(code)]))
    return found


def _groups(rows: pd.DataFrame) -> list[pd.DataFrame]:
    """The lines of each lab, invoice and case."""
    keys = rows.astype({"lab": str, "invoice": str, "case": str})
    return [group for _, group in keys.groupby(["lab", "invoice", "case"], sort=False)]


def _groups_block(groups: list[pd.DataFrame]) -> Block:
    block = Block(
        TESTS,
        SHEET,
        "Work seated and billed",
        len(groups),
        "One row an invoice and case. Money counts where the material, or the alloy's class, is another than was seated.",
        label=("work_lab", "work_invoice"),
    )
    block.number()
    block.given("work_lab", "Lab", [group["lab"].iloc[0] for group in groups])
    block.given("work_invoice", "Invoice", [group["invoice"].iloc[0] for group in groups], "code")
    block.count("work_lines", "Lines", f"{LINES}.group_no", "no")
    for name, heading in (
        ("other_material", "Of another material"),
        ("other_seated_class", "Of another class"),
    ):
        block.total(f"work_{name}", heading, "whole", f"{LINES}.{name}", f"{LINES}.group_no", "no")
    block.total("money", "Money", "money", f"{LINES}.prescribed_money", f"{LINES}.group_no", "no")
    return block


def found(
    model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers
) -> list[Finding]:
    """Cases of which the lab billed another material or class than was seated."""
    return list(_found(practice, who, parts, numbers))


def _found(practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers) -> Iterator[Finding]:
    columns = ("other_material", "other_seated_class", "made_class", "seated_class")
    rows = _rows(practice, who, parts)
    rows = rows.assign(**{name: list(numbers.of(LINES, name)) for name in columns})
    money, terms = numbers.of(TESTS, "money"), terms_of(practice)
    for place, group in enumerate(_groups(rows)):
        wrong = group[(group["other_material"] == 1) | (group["other_seated_class"] == 1)]
        if wrong.empty:
            continue
        first = wrong.iloc[0]
        yield Finding(
            KIND,
            str(first["lab"]),
            str(first["site"]),
            str(first["invoice"]),
            tuple(map(int, wrong["line"])),
            TESTS,
            place + 1,
            float(money[place]),
            _sentence(practice, wrong, float(money[place])),
            terms.left(first["lab"], first["date"]),
        )


def _sentence(practice: Practice, wrong: pd.DataFrame, money: float) -> str:
    """What to ask the lab about the lines of a case."""
    first = wrong.iloc[0]
    teeth = teeth_words(" ".join(dict.fromkeys(" ".join(wrong["whole_teeth"].astype(str)).split())))
    made, seated = (listed(list(dict.fromkeys(_work(wrong, side)))) for side in ("made", "seated"))
    where = f"{place_words(first['invoice'], first['date'])}, {counted(len(wrong), 'line')}"
    return (
        f"{where}{f' for {teeth} (ISO)' if teeth else ''}: {money_words(practice, money)} "
        f"{'was' if len(wrong) == 1 else 'were'} billed for {made}, while {seated} was ordered and seated. "
        "Please tell us what was made, and send us the certificate."
    )


def _work(wrong: pd.DataFrame, side: str) -> Iterator[str]:
    """Each line's material, and the class of its alloy where there is one."""
    materials = wrong["material" if side == "made" else "seated_material"].astype(str)
    for material, alloy, of in zip(materials, wrong[f"{side}_alloy"], wrong[f"{side}_class"], strict=True):
        yield f"{material} ({alloy}, {of})" if alloy else material

"""The answers of a review on the screen, for machines, and as a list for the accountant's own tools."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing.review.findings import KINDS, Finding
from feesheet.tables import FINDINGS_HEADINGS
from feesheet.uses.told_tables import Tables, change_of, plain_figures
from feesheet.writing.export import csv_line

_RECORDS: dict[str, tuple[str, ...]] = {
    "review_figures": ("figure", "value", "remark"),
    "cut_material": ("material", "units", "n", "received", "cost", "left", "margin", "margin_before_dentist"),
    "changes_told": ("step", "amount", "so_far"),
    "findings_by_kind": ("kind", "kind_means", "kind_count", "kind_money"),
    "findings_by_lab": ("found_lab", "lab_means", "lab_count", "lab_money"),
    "bills_to_cost": ("bill_step", "of_fees", "of_alloy", "in_all", "so_far"),
    "left_by_bills": ("left_step", "amount"),
    "checks": ("check", "found", "should", "result"),
}
"""The tables and columns that `--json` prints."""


def lines_told(model: Model, numbers: Numbers, currency: str, digits: int) -> list[str]:
    """The answers as a person reads them; every figure stands in the workbook too."""
    told = _Told(model, numbers, currency, digits)
    return [
        *told.figures(),
        *told.plans(),
        *told.materials(),
        *told.changes(),
        *told.bills(),
        *told.findings(),
        *told.checks(),
    ]


def figures_told(
    model: Model, numbers: Numbers, found: Sequence[Finding], practice: Practice
) -> dict[str, Any]:
    """The answers as machines read them: one list of records a table, unrounded, and the findings."""
    records: dict[str, Any] = {
        name: [dict(zip(columns, row, strict=True)) for row in zip(*values, strict=True)]
        for name, columns in _RECORDS.items()
        if name in model.blocks
        for values in [[plain_figures(numbers.of(name, column)) for column in columns]]
    }
    records["findings"] = [
        dict(zip(FINDINGS_HEADINGS, row, strict=True)) for row in _finding_rows(found, practice)
    ]
    return records


def findings_lines(records: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    """The findings of `figures_told` as lines of a csv file: nothing in them that a spreadsheet would run."""
    yield csv_line(FINDINGS_HEADINGS)
    for record in records:
        yield csv_line([record[heading] for heading in FINDINGS_HEADINGS])


def _finding_rows(found: Sequence[Finding], practice: Practice) -> Iterator[list[str | float]]:
    """One row a finding, as `FINDINGS_HEADINGS` name its cells; its first line's place, and the places of all."""
    frame = practice.tables["invoice_lines"]
    currency = str(practice.settings["currency"])
    for one in found:
        places = [practice.place("invoice_lines", line, "amount") for line in one.lines]
        day = str(frame["date"].iloc[one.lines[0]].date()) if one.lines else ""
        left: str | float = "" if one.days_left is None else one.days_left
        yield [one.lab, one.invoice, day, one.site, one.kind, KINDS[one.kind][0], round(one.money, 10), currency,
               left, one.sentence, *(places[0] if places else ("", "", "")), "; ".join(", ".join(filter(None, place)) for place in places)]  # fmt: skip


MOST_WORDS = 3
"""Findings that are told in full on the screen."""


class _Told(Tables):
    """The tables of a review, one method each."""

    def figures(self) -> list[str]:
        """The five figures."""
        formats = {
            "figure_share": "{:.1%}", "figure_count": "{:,.0f}", "figure_money": "{:+,.0f}",
            "figure_change": "{:+.1%}", "figure_price": f"{{:,.{self.digits}f}}",
        }  # fmt: skip
        rows = self.rows("review_figures", "figure", "shown_as", "value", "remark")
        width = max((len(str(row[0])) for row in rows), default=0)
        title = self.model.blocks["review_figures"].title
        told = [
            f"  {name:<{width}}  {formats[unit].format(value)}  {remark}"
            for name, unit, value, remark in rows
        ]
        return [f"{title} ({self.currency})", *told, ""]

    def plans(self) -> list[str]:
        """Full fees under an allowed amount, and plan fees under cost."""
        under = [
            (str(code), str(site), str(plan), self.money(fee), self.money(allowed), self.money(lost))
            for code, site, plan, fee, allowed, lost in self.rows(
                "under_allowed", "code", "site", "plan", "fee", "allowed", "lost"
            )
        ]
        headings = ("Code", "Site", "Plan", "Full fee", "Allowed", "Lost a claim")
        return self.table(
            "Full fees under a plan's allowed amount: every such claim loses money", headings, under, 3
        )

    def materials(self) -> list[str]:
        """Margin and contribution by material, worst first."""
        told = [
            (str(name), f"{units:,.0f}", f"{n:,.0f}", self.money(each), f"{before:.1%}", f"{after:.1%}")
            for name, units, n, each, before, after in self.rows(
                "review_materials", "review_material", "review_units", "review_n", "review_each",
                "review_margin_before", "review_margin",
            )
        ]  # fmt: skip
        headings = ("Material", "Units", "n", "Contribution a unit", "Margin before dentist pay", "after")
        return self.table(f"Materials, worst margin first ({self.currency})", headings, told, 1)

    def changes(self) -> list[str]:
        """From what was left then to what is left now; steps that did nothing are in the workbook only."""
        rows = self.rows("changes_told", "step", "amount", "so_far")
        told = [
            (str(step), change_of(amount), f"{so_far:,.0f}")
            for at, (step, amount, so_far) in enumerate(rows)
            if round(amount) or at in (0, len(rows) - 1)
        ]
        if not told:
            return ["Why it changed: there is nothing to compare with (--against, --last-year).", ""]
        return self.table(f"Why it changed ({self.currency})", ("Step", "Effect", "Left"), told, 1)

    def bills(self) -> list[str]:
        """What would be left if the work cost what the labs billed: fees are set on other costs, and margins keep to them."""
        by_margins, *_, by_bills = (amount for (amount,) in self.rows("left_by_bills", "amount"))
        told = f"Left at the costs that fees are set on {by_margins:,.0f}, at the labs' own bills {by_bills:,.0f} ({self.currency})"
        return [f"{told}: the sheet Bills and costs leads from one to the other.", ""]

    def findings(self) -> list[str]:
        """What the lab audit found, by kind, and the findings with the most money."""
        kinds = [
            (str(kind), str(means), f"{count:,.0f}", self.money(money))
            for kind, means, count, money in self.rows(
                "findings_by_kind", "kind", "kind_means", "kind_count", "kind_money"
            )
        ]
        table = self.table(f"Lab audit ({self.currency})", ("Finding", "Its money", "n", "Money"), kinds, 2)
        return [*table, *self.largest()] if table else ["Lab audit: nothing found.", ""]

    def largest(self) -> list[str]:
        """The findings with the most money, in the words for the lab."""
        rows = self.rows("findings", "finding_lab", "finding_money", "finding_words")[:MOST_WORDS]
        return [
            "The most money; the words are for the lab, and all of them stand in the workbook",
            *(f"  {lab}, {self.money(money)}: {words}" for lab, money, words in rows),
            "",
        ]

    def checks(self) -> list[str]:
        """Whether every check passes."""
        results = [str(result) for (result,) in self.rows("checks", "result")]
        failed = [str(name) for name, result in self.rows("checks", "check", "result") if result != "pass"]
        if not failed:
            return [f"All {len(results)} checks pass."]
        return [f"{len(failed)} of {len(results)} checks FAIL:", *(f"  {name}" for name in failed)]

"""Random practices whose labs bill cleanly, the same for the same seed: what an audit should pass without a word.

What happens at honest labs is in them: grams that spread by 15 to 20 %, a price of alloy kept for a month while metals
move, quotes written down once a month, prices that rose, rush and freight, discounts, tax, totals a cent off, remakes
credited by another invoice, bridges, two patients with the same tooth in one month, a tooth crowned again long after,
all-in prices, surcharges, labs that name no case, and a mill in the house.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

import numpy as np
from clean_habits import Lab, drawn
from clean_lab_lines import Event, Paper, Year, papers
from clean_tables import MATERIALS, POSITIONS, REGION_SETS, Market, Row, around, code_of
from practices import write_practice
from rows_held import practice_of

from feesheet.practice import Practice

MONTHS = 13
"""Months of invoices: the twelve of the period, and the one before, from which credits and remakes reach into it."""
MILL, MILLED = "own mill", "zirconia, monolithic"


@dataclass
class CleanLabs:
    """One practice: its papers, the work that was seated, and all tables around them. Faults are planted in it."""

    rng: np.random.Generator
    last: date
    sites: list[str]
    used: list[str]
    regions: dict[str, tuple[str, ...]]
    labs: list[Lab]
    year: Year
    papers: list[Paper]
    mill_rows: list[Row]
    tables: dict[str, list[Row]]
    seated: list[Row] = field(default_factory=list)

    def lines(self) -> list[tuple[Paper | None, Row]]:
        """Every invoice line with its paper: what is billed, then discount, tax and total."""
        found: list[tuple[Paper | None, Row]] = []
        for paper in sorted(self.papers, key=lambda paper: (paper.lab.name, paper.day, paper.number)):
            head = {"date": paper.day, "invoice": paper.number, "lab": paper.lab.name}
            for row in paper.rows:
                row.update(head)
            found += [(paper, row) for row in paper.rows]
            found += [(paper, {**head, "site": paper.site, **row}) for row in closing(paper)]
        return [*found, *((None, row) for row in self.mill_rows)]

    def rows(self) -> dict[str, list[Row]]:
        """The rows of every table."""
        return {**self.tables, "invoice_lines": [row for _, row in self.lines()], "seated": self.seated}

    def practice(self) -> Practice:
        """The practice as reading would hand it over, papers and statements too."""
        lines = self.lines()
        files = [f"{row['lab']} {row['date']:%Y-%m}.xlsx" for _, row in lines]
        return practice_of(self.rows(), files, list(self._documents()), list(self._entries()))

    def write(self, folder: Path) -> Path:
        """The practice as workbooks; the totals of papers and statements have no table and stay away."""
        return write_practice(self.rows(), folder)

    def _documents(self) -> Iterator[Row]:
        for paper in self.papers:
            if paper.lab.totals == "paper":
                yield {"file": f"{paper.lab.name} {paper.day:%Y-%m}.xlsx", "sheet": "Invoice lines", "cell": "F60",
                       "lab": paper.lab.name, "invoice": paper.number, "date": paper.day, "kind": "invoice",
                       "total": total(paper), "repeats": False, "replaces": False, "currency": "EUR"}  # fmt: skip

    def _entries(self) -> Iterator[Row]:
        for at, paper in enumerate(self.papers):
            if paper.lab.statement:
                yield {"file": f"{paper.lab.name} statement {paper.day:%Y-%m}.xlsx", "sheet": "Statement", "row": at + 8,
                       "lab": paper.lab.name, "invoice": paper.number, "date": paper.day, "amount": total(paper),
                       "currency": "EUR"}  # fmt: skip


def closing(paper: Paper) -> list[Row]:
    """A discount on its units, tax on all, and its total, as far as the lab writes them."""
    rows = _discount_and_tax(paper)
    if paper.lab.totals == "line":
        rows.append({"product": "Total", "kind": "total", "amount": total(paper)})
    return rows


def total(paper: Paper) -> float:
    """What the paper asks for, and what it has too much."""
    rows = [*paper.rows, *_discount_and_tax(paper)]
    return round(sum(row["amount"] for row in rows) + paper.off, 2)


def _discount_and_tax(paper: Paper) -> list[Row]:
    rows: list[Row] = []
    made = sum(row["amount"] for row in paper.rows if row["kind"] == "unit fee")
    if paper.lab.discount and made > 0:
        rows.append(
            {"product": "Discount 3 %", "kind": "discount", "amount": -round(paper.lab.discount * made, 2)}
        )
    if paper.lab.tax:
        net = sum(row["amount"] for row in [*paper.rows, *rows])
        rows.append({"product": "Tax 7 %", "kind": "tax", "amount": round(paper.lab.tax * net, 2)})
    return rows


def clean_labs(seed: int) -> CleanLabs:
    """The practice of that seed: one to four sites, two to five labs."""
    rng = np.random.default_rng(seed)
    months = _months(rng)
    last = (months[-1] + timedelta(days=32)).replace(day=1) - timedelta(days=1)
    sites = ["North", "Harbour", "Hill", "Mill Lane"][: int(rng.integers(1, 5))]
    used = list(MATERIALS)
    regions = {name: REGION_SETS[int(rng.integers(len(REGION_SETS)))] for name in used}
    market = Market.drawn(rng, last)
    labs = [drawn(rng, number, used, months) for number in range(int(rng.integers(2, 6)))]
    year = Year(rng, labs, sites, market, float(rng.uniform(0.15, 0.2)), last)
    made = papers(rng, year.events(months), last)
    mill = _mill_rows(rng, sites[0], months) if rng.random() < 0.35 else []
    tables = {
        **around(last, sites, used, regions),
        "metal_prices": market.quotes(daily=bool(rng.random() < 0.5)),
        "labs": [*(lab.row() for lab in labs), *_mill_lab(mill)],
        "lab_prices": _lists(labs),
        "milling": _mill(sites[0]) if mill else [],
        "product_map": [*(row for lab in labs for row in lab.map_rows()), *_mill_map(mill)],
    }
    clean = CleanLabs(rng, last, sites, used, regions, labs, year, made, mill, tables)
    clean.seated = list(_seated(clean)) if rng.random() < 0.5 else []
    return clean


def _months(rng: np.random.Generator) -> list[date]:
    """The first days of the months, the last of them any of a year's."""
    end = 12 * 2026 + int(rng.integers(0, 10))
    return [date(at // 12, at % 12 + 1, 1) for at in range(end - MONTHS + 1, end + 1)]


def _lists(labs: list[Lab]) -> list[Row]:
    """The labs' price lists."""
    return [row for lab in labs for row in lab.list_rows()]


def _seated(clean: CleanLabs) -> Iterator[Row]:
    """What was fitted a fortnight later, by the lab's case number."""
    for paper in clean.papers:
        for event in paper.events:
            fitted = event.day + timedelta(days=14)
            if event.unit is not None and not event.remake and event.case and fitted <= clean.last:
                yield {"seated_on": fitted, "code": code_for(clean, event), "site": event.site, "units": len(event.teeth),
                       "billed": 1300.0 * len(event.teeth), "received": 1250.0 * len(event.teeth), "received_on": fitted,
                       "case": event.case}  # fmt: skip


def code_for(clean: CleanLabs, event: Event, material: str = "") -> str:
    """The fee code of a work, or what it would be in another material."""
    name = material or event.material
    position = event.teeth[0] % 10
    region = next(region for region in clean.regions[name] if position in POSITIONS[region])
    return code_of(clean.used, name, region)


def _mill_rows(rng: np.random.Generator, site: str, months: list[date]) -> list[Row]:
    """What the mill logged: a unit at a time, at the same charge."""
    rows = []
    for month in months:
        for number in range(int(rng.poisson(4))):
            tooth = 10 * int(rng.integers(1, 5)) + int(rng.integers(4, 8))
            day = month + timedelta(days=int(rng.integers(0, 28)))
            rows.append({"date": day, "invoice": f"M{month:%y%m}-{number}", "lab": MILL, "site": site, "product": "Milled crown",
                         "teeth": str(tooth), "kind": "unit fee", "units": 1, "amount": 96.0})  # fmt: skip
    return rows


def _mill(site: str) -> list[Row]:
    return [{"lab": MILL, "material": MILLED, "site": site, "machine_cost_month": 1200, "units_month": 30, "block": 24,
             "burs": 3, "role": "assistant", "staff_min": 25}]  # fmt: skip


def _mill_lab(mill: list[Row]) -> list[Row]:
    row = {"lab": MILL, "alloy_billing": "apart", "tax_recoverable": 0, "tooth_notation": "ISO"}
    return [row] if mill else []


def _mill_map(mill: list[Row]) -> list[Row]:
    row = {"wording": "Milled crown", "material": MILLED, "lab": MILL, "confirmed": "yes"}
    return [row] if mill else []

"""What an invoice reader makes of a file: documents, their lines, their totals. Plain values only.

A reader fills in what the paper says; names of the practice's own (lab, site) are settled afterwards.
No patient's name, number, birth date or address may stand in any field.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

from feesheet.problems import Problem

DocumentKind = Literal["invoice", "credit note", "statement"]

NAN = math.nan


@dataclass(slots=True)
class Line:
    """One line of an invoice. Amounts are in the document's currency, NaN where the paper has none.

    `row` is the sheet's own row (1 is the first), in XML the line of the file. `kind` is a word of
    `shared/line_kinds.csv`. `product` is the lab's wording without teeth, shades, numbers and names.
    `teeth` are words that `teeth.parse_teeth` understands in the lab's notation, `role` how they are used.
    `day` counts from 1970 and is the line's own date, if it has one. `case` and `patient` are keyed hashes.
    `invoice` is the number of the invoice that the line is of, where it is not its document's (statements).
    `remake_cause` is "" unless the paper has a word of its own for it ("lab", "practice").
    """

    row: int
    kind: str
    product: str
    amount: float = NAN
    units: float = NAN
    unit_price: float = NAN
    teeth: str = ""
    role: str = ""
    alloy: str = ""
    alloy_class: str = ""
    weight: float = NAN
    weight_unit: str = ""
    weight_basis: str = ""
    remake_cause: str = ""
    day: float = NAN
    case: str = ""
    patient: str = ""
    invoice: str = ""


@dataclass(slots=True)
class Entry:
    """One invoice as a statement lists it: its number, day and amount, and the row where it stands."""

    invoice: str
    amount: float
    row: int
    day: float = NAN


@dataclass(slots=True)
class Document:
    """One invoice, credit note or statement as read.

    `lab` and `site` are what the paper says of them (the settled name of the practice's own list later);
    `names` are further words of the letterhead that may name the lab, `accounts` what may name the site.
    `total` is the amount that the paper asks for with tax, `net` the one without, NaN where it has none;
    each with its cell. `entries` are the invoices that a statement lists. `repeats` is true where the paper
    says that it is a copy, `replaces` where it says that it corrects an invoice of the same number. A credit note's amounts are negative.
    """

    kind: DocumentKind
    number: str = ""
    day: float = NAN
    lab: str = ""
    site: str = ""
    currency: str = ""
    sheet: str = ""
    header_row: int = 1
    columns: dict[str, str] = field(default_factory=dict)
    names: list[str] = field(default_factory=list)
    accounts: list[str] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    entries: list[Entry] = field(default_factory=list)
    total: float = NAN
    total_cell: str = ""
    net: float = NAN
    net_cell: str = ""
    repeats: bool = False
    replaces: bool = False
    assumed: list[str] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

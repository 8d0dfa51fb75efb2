"""Known faults put into a clean practice, one invoice each: where they stand, what they come to, and what may be said of them.

Amounts go from small to large. A fault is `sure` when its money is over the tolerance that is stated for its kind in
`LEAST`: such a fault must be found. What is under it may pass, as it could happen at an honest lab.
"""

from __future__ import annotations

import copy
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

import numpy as np
from clean_habits import BY_WEIGHT, GRAMS_IN, INCLUDED
from clean_lab_lines import Event, Paper
from clean_labs import CleanLabs, code_for
from clean_tables import ALLOYS, CLASSES, MATERIALS, Row, usual_grams

from feesheet.pricing.review.period import Period

MONEY = 1.0
"""Money under which the audit is not asked to say anything, as `least_finding` in the tests."""

LEAST = {
    "over the price list": "1.00 in all",
    "units times price": "1.00",
    "alloy premium": "20 % above the dearest day of the two months before (2, 5)",
    "grams": "2.25 times the usual grams (4, 5)",
    "class": "any, on a line with a price of its class",
    "not as prescribed": "any",
    "alloy without metal": "1.00 (1)",
    "alloy in the price": "1.00 (1)",
    "double alloy": "any (1)",
    "billed twice": "any (3)",
    "missing credit": "1.00",
    "remake of the lab's": "1.00",
    "total differs": "1.00",
    "units over teeth": "any",
    "another alloy": "any (1)",
    "surcharge on weight": "1.00 (1)",
}
"""What must be found of each kind of planted fault, in words: the stated tolerance."""
NOTES = (
    "(1) Where a lab names no cases, the invoice has no other work on the same teeth.",
    "(2) A premium is agreed, or there are five lines of the alloy to hold it against.",
    "(3) The lab names cases, or the second number is the first with an ending.",
    "(4) The invoice has no work in another material on the same teeth: the alloy is then of no material for certain.",
    "(5) The money is held against the middle of the practice's own lines, which may be few: of a premium it is right to 25 % of",
    "    what the line would be on the dearest day, of grams to half of the usual ones.",
)
"""Faults of which these do not hold count as under the tolerance."""
PREMIUM_LEAST, PREMIUM_OFF = 0.2, 0.25
GRAMS_LEAST, GRAMS_OFF = 2.25, 0.5
ENOUGH_LINES = 4
"""Lines of an alloy in the year with which its premium can be told where none is agreed."""
CASTING_DAYS = 62
"""A lab may bill the price of the casting day, or of that month's first day; its invoice may come a month later."""

ACCEPTED = {
    "units times price": ("units times price", "over the price list"),
    "over the price list": ("over the price list",),
    "alloy without metal": ("alloy without metal", "alloy in the price"),
    "double alloy": ("alloy in the price", "billed twice", "grams"),
    "missing credit": ("remake to settle", "remake of the lab's"),
    "remake of the lab's": ("remake of the lab's", "remake to settle"),
    "class": ("class", "not as prescribed"),
    "not as prescribed": ("not as prescribed", "class"),
    "another alloy": ("another alloy", "class", "not as prescribed"),
    "surcharge on weight": ("alloy in the price",),
}
"""What may be said of a fault where it is not just its own name."""


@dataclass
class Fault:
    """A planted fault: its rows (none for a total), its invoice, its money and how far the audit's may be from that.

    `off` is None where the audit's money is another thing: all that stands on a line whose class is doubted.
    """

    kind: str
    invoice: str
    rows: list[Row]
    money: float
    off: float | None
    sure: bool = True
    lines: tuple[int, ...] = ()
    instead: tuple[int, ...] = ()
    """Lines of which one is enough: of two equal ones, either is the one too many."""

    @property
    def accepted(self) -> tuple[str, ...]:
        """The kinds of finding that are right for it."""
        return ACCEPTED.get(self.kind, (self.kind,))


class Planter:
    """Plants faults in a practice, no two on one invoice."""

    def __init__(self, clean: CleanLabs, seed: int) -> None:
        """The cases of the twelve months, in an order of chance."""
        self.clean, self.rng = clean, np.random.default_rng([seed, 1])
        first = Period(clean.last, 12).first
        places = [(paper, event) for paper in clean.papers for event in paper.events if paper.day >= first]
        order = self.rng.permutation(len(places))
        self.places = [places[at] for at in order]
        self.taken: set[str] = set()

    def plant(self, each: int = 1) -> list[Fault]:
        """So many faults of every kind, as far as the practice has a place for them, with their line positions."""
        faults = []
        for kind, way in WAYS.items():
            for _ in range(each):
                fault = way(self)
                if fault is not None:
                    assert kind == fault.kind
                    faults.append(fault)
        positions = {id(row): at for at, (_, row) in enumerate(self.clean.lines())}
        for fault in faults:
            fault.lines = tuple(sorted(positions[id(row)] for row in fault.rows))
            fault.instead = fault.lines if fault.kind == "double alloy" else ()
        return faults

    def place(self, fits: Callable[[Paper, Event], bool]) -> tuple[Paper, Event] | None:
        """A case that fits, on an invoice without a fault; a remake's own case is left to it."""
        for paper, event in self.places:
            if paper.number not in self.taken and fits(paper, event):
                self.taken.add(paper.number)
                return paper, event
        return None

    def amount(self, low: float, high: float) -> float:
        """Money between the two, small sums as often as large ones."""
        return round(float(np.exp(self.rng.uniform(np.log(low), np.log(high)))), 2)

    def bystander(self, event: Event) -> bool:
        """Whether nothing else hangs on the case: no remake of it, no credit."""
        return not event.remake and event.credits is None and event.unit is not None


def _made(planter: Planter, event: Event, *ways: str) -> bool:
    if not planter.bystander(event):
        return False
    return not ways or event.lab.alloy_way[event.material] in ways


def over_the_list(planter: Planter) -> Fault | None:
    """A unit price above the list; a price with alloy in it has none there, unless all prices of the lab are such."""

    def fits(paper: Paper, event: Event) -> bool:
        holds_alloy = event.lab.alloy_way[event.material] == INCLUDED and not event.lab.all_in
        return _made(planter, event) and event.material not in event.lab.not_on_list and not holds_alloy

    found = planter.place(fits)
    if found is None:
        return None
    paper, event = found
    assert event.unit is not None
    units, more = len(event.teeth), planter.amount(0.5, 120)
    price = round(event.lab.prices[event.material] + more, 2)
    event.unit["amount"] = round(units * price, 2)
    if event.lab.names_prices:
        event.unit["unit_price"] = price
    money = round(more * units, 2)
    return Fault("over the price list", paper.number, [event.unit], money, 0.01, money >= MONEY)


def units_times_price(planter: Planter) -> Fault | None:
    """An amount above units times price."""
    found = planter.place(lambda paper, event: _made(planter, event) and event.lab.names_prices)
    if found is None:
        return None
    paper, event = found
    assert event.unit is not None
    money = planter.amount(0.5, 150)
    event.unit["amount"] = round(event.unit["amount"] + money, 2)
    return Fault("units times price", paper.number, [event.unit], money, 0.01, money >= MONEY)


def alloy_premium(planter: Planter) -> Fault | None:
    """A price of the alloy far above its metal value on any day of the month before."""
    found = planter.place(lambda paper, event: _made(planter, event, BY_WEIGHT) and event.alloy is not None)
    if found is None:
        return None
    paper, event = found
    assert event.alloy is not None
    before, more = float(event.alloy["amount"]), float(planter.rng.uniform(0.05, 0.9))
    event.alloy["amount"] = round(before * (1 + more), 2)
    if event.alloy["unit_price"]:
        event.alloy["unit_price"] = round(event.alloy["amount"] / event.alloy["weight"], 2)
    money = round(event.alloy["amount"] - before, 2)
    most = _dearest(planter, paper, event)
    others = [one for _, one in planter.places if one.alloy and one.alloy["alloy"] == event.alloy["alloy"]]
    known = event.lab.agreed or len(others) > ENOUGH_LINES
    sure = known and event.alloy["amount"] >= most * (1 + PREMIUM_LEAST)
    return Fault("alloy premium", paper.number, [event.alloy], money, most * PREMIUM_OFF + MONEY, sure)


def _dearest(planter: Planter, paper: Paper, event: Event) -> float:
    """What the alloy line would be at the lab's premium on the dearest day of the two months to the invoice."""
    assert event.alloy is not None
    days = [paper.day - timedelta(days=back) for back in range(CASTING_DAYS)]
    prices = [
        event.lab.alloy_price(planter.clean.year.market, event.alloy["alloy"], day, 1.0) for day in days
    ]
    return float(event.alloy["weight"]) * max(prices)


def grams(planter: Planter) -> Fault | None:
    """A weight far above what such a unit takes."""
    found = planter.place(lambda paper, event: _made(planter, event, BY_WEIGHT) and event.alloy is not None)
    if found is None:
        return None
    paper, event = found
    assert event.alloy is not None
    usual = sum(usual_grams(event.material, (tooth % 10,)) for tooth in event.teeth)
    usual /= GRAMS_IN[event.lab.weight_unit]
    each = float(event.alloy["unit_price"] or event.alloy["amount"] / event.alloy["weight"])
    weight = round(usual * float(planter.rng.uniform(1.3, 3.5)), event.lab.digits)
    event.alloy |= {"weight": weight, "amount": round(weight * each, 2)}
    money = round((weight - usual) * each, 2)
    sure = weight >= usual * GRAMS_LEAST and money >= MONEY and not _beside(paper, event) - {event.material}
    return Fault("grams", paper.number, [event.alloy], money, GRAMS_OFF * usual * each, sure)


def _beside(paper: Paper, event: Event) -> set[str]:
    """The materials of other work on the same teeth and the same invoice."""
    others = [one for one in paper.events if one is not event]
    return {one.material for one in others if set(one.teeth) & set(event.teeth)}


def _weighed_noble(planter: Planter, event: Event) -> bool:
    """Whether its alloy, of a noble material, is billed by weight."""
    alloy = MATERIALS[event.material].alloy
    return _made(planter, event, BY_WEIGHT) and event.alloy is not None and CLASSES[alloy] == "noble"


def wrong_class(planter: Planter) -> Fault | None:
    """A class on the alloy line that is better than the alloy's composition."""
    found = planter.place(lambda paper, event: _weighed_noble(planter, event))
    if found is None:
        return None
    paper, event = found
    assert event.alloy is not None
    event.alloy["alloy_class"] = "high noble"
    return Fault("class", paper.number, [event.alloy], float(event.alloy["amount"]), None)


def not_as_prescribed(planter: Planter) -> Fault | None:
    """A work that was seated under the code of another material than the one that was billed."""
    clean = planter.clean
    known = {row["case"]: row for row in clean.seated}
    pairs = {"metal-ceramic, noble": "metal-ceramic, high noble", "cast, noble": "cast gold, high noble",
             "zirconia, monolithic": "metal-ceramic, high noble"}  # fmt: skip
    found = planter.place(
        lambda paper, event: _made(planter, event) and event.case in known and event.material in pairs
    )
    if found is None:
        return None
    paper, event = found
    assert event.unit is not None
    known[event.case]["code"] = code_for(clean, event, pairs[event.material])
    return Fault("not as prescribed", paper.number, [event.unit], float(event.unit["amount"]), None)


def alloy_without_metal(planter: Planter) -> Fault | None:
    """Alloy on a crown that holds none."""
    return _more_alloy(planter, "alloy without metal", lambda event: not MATERIALS[event.material].alloy)


def alloy_in_the_price(planter: Planter) -> Fault | None:
    """Alloy on top of a price that holds it."""
    return _more_alloy(
        planter, "alloy in the price", lambda event: event.lab.alloy_way[event.material] == INCLUDED
    )


def _more_alloy(planter: Planter, kind: str, fits: Callable[[Event], bool]) -> Fault | None:
    found = planter.place(lambda paper, event: _made(planter, event) and fits(event))
    if found is None:
        return None
    paper, event = found
    alloy = MATERIALS[event.material].alloy or str(planter.rng.choice(list(ALLOYS)[:4]))
    row = planter.clean.year.alloy_row(event, alloy, float(planter.rng.uniform(0.3, 3.5)))
    event.rows.insert(1, row)
    clear = bool(event.case) or not _beside(paper, event) - {event.material}
    sure = row["amount"] >= MONEY and clear
    return Fault(kind, paper.number, [row], float(row["amount"]), 0.01, sure)


def double_alloy(planter: Planter) -> Fault | None:
    """The alloy line of a case once more on the same invoice."""
    found = planter.place(lambda paper, event: _made(planter, event, BY_WEIGHT) and event.alloy is not None)
    if found is None:
        return None
    paper, event = found
    assert event.alloy is not None
    row = dict(event.alloy)
    event.rows.insert(event.rows.index(event.alloy) + 1, row)
    money = float(row["amount"])
    sure = bool(event.case) or not _beside(paper, event)
    return Fault("double alloy", paper.number, [event.alloy, row], money, 0.6 * money, sure)


def billed_twice(planter: Planter) -> Fault | None:
    """A case billed again one to four weeks later, under a new number or the old one with an ending."""
    clean = planter.clean

    def fits(paper: Paper, event: Event) -> bool:
        others = any(one.credits is not None or one.remake for one in paper.events)
        return _made(planter, event) and (clean.last - paper.day).days > 40 and not others

    found = planter.place(fits)
    if found is None:
        return None
    paper, event = found
    again = copy.copy(event)
    again.rows = [dict(row) for row in event.rows if row["kind"] != "freight"]
    day = paper.day + timedelta(days=int(planter.rng.integers(3, 29)))
    ending = bool(planter.rng.random() < 0.4)
    number = f"{paper.number}-2" if ending else f"{paper.number[:5]}-9{len(clean.papers):03}"
    twin = Paper(paper.lab, paper.site, day, number, [again])
    clean.papers.append(twin)
    planter.taken.add(number)
    money = round(sum(row["amount"] for row in again.rows), 2)
    rows = [row for row in again.rows if row["kind"] in ("unit fee", "alloy")]
    left = money - sum(row["amount"] for row in rows) + paper.lab.tax * money
    return Fault("billed twice", number, rows, money, left + MONEY, bool(event.case) or ending)


def missing_credit(planter: Planter) -> Fault | None:
    """A remake that was charged and whose credit never came."""
    papers = {id(row): paper for paper, event in planter.places for row in event.rows}

    def fits(paper: Paper, event: Event) -> bool:
        charging = papers.get(id(event.credits))
        return charging is not None and charging.number not in planter.taken

    found = planter.place(fits)
    if found is None:
        return None
    crediting, event = found
    charged = event.credits
    assert charged is not None
    paper = papers[id(charged)]
    planter.taken.add(paper.number)
    crediting.events.remove(event)
    if not crediting.events:
        planter.clean.papers.remove(crediting)
    return Fault("missing credit", paper.number, [charged], float(charged["amount"]), 0.01)


def remake_of_the_labs(planter: Planter) -> Fault | None:
    """A remake that is the lab's own, charged in part or in full, without a credit."""
    clean = planter.clean
    found = planter.place(lambda paper, event: _made(planter, event) and (clean.last - event.day).days > 60)
    if found is None:
        return None
    paper, one = found
    event = next(clean.year.remake(one, "lab"))
    assert event.unit is not None
    event.unit["amount"] = round(event.unit["amount"] * float(planter.rng.choice([0.05, 0.5, 1.0])), 2)
    twin = Paper(paper.lab, paper.site, event.day, f"{paper.number}-R", [event])
    clean.papers.append(twin)
    planter.taken.add(twin.number)
    return Fault("remake of the lab's", twin.number, [event.unit], float(event.unit["amount"]), 0.01)


def total_differs(planter: Planter) -> Fault | None:
    """A total above what the lines come to, on the paper, its total line or the statement."""
    found = planter.place(lambda paper, event: paper.lab.totals != "none" or paper.lab.statement)
    if found is None:
        return None
    paper, _ = found
    money = planter.amount(0.5, 300)
    paper.off = money
    return Fault("total differs", paper.number, [], money, 0.011, money >= MONEY)


def units_over_teeth(planter: Planter) -> Fault | None:
    """One unit more than the line has teeth, at the price of the others."""
    found = planter.place(lambda paper, event: _made(planter, event))
    if found is None:
        return None
    paper, event = found
    assert event.unit is not None
    money = round(event.unit["amount"] / len(event.teeth), 2)
    event.unit |= {"units": len(event.teeth) + 1, "amount": round(event.unit["amount"] + money, 2)}
    return Fault("units over teeth", paper.number, [event.unit], money, 0.02)


def another_alloy(planter: Planter) -> Fault | None:
    """A high-noble alloy on work that is cast from a noble one; a line that names its class says noble still."""
    found = planter.place(lambda paper, event: _weighed_noble(planter, event))
    if found is None:
        return None
    paper, event = found
    assert event.alloy is not None
    event.alloy["alloy"] = "gold-palladium alloy"
    sure = bool(event.case) or not _beside(paper, event)
    return Fault("another alloy", paper.number, [event.alloy], float(event.alloy["amount"]), None, sure)


def surcharge_on_weight(planter: Planter) -> Fault | None:
    """A flat charge for alloy that is billed by its weight as well."""
    found = planter.place(lambda paper, event: _made(planter, event, BY_WEIGHT) and event.alloy is not None)
    if found is None:
        return None
    paper, event = found
    assert event.alloy is not None
    money = planter.amount(0.5, 90)
    more = {"kind": "alloy surcharge", "product": "Noble surcharge", "units": None, "amount": money}
    row = {
        **event.alloy,
        **more,
        **dict.fromkeys(("alloy", "weight", "weight_unit", "unit_price", "alloy_class")),
    }
    event.rows.append(row)
    sure = money >= MONEY and (bool(event.case) or not _beside(paper, event))
    return Fault("surcharge on weight", paper.number, [row], money, 0.01, sure)


WAYS: dict[str, Callable[[Planter], Fault | None]] = {
    "over the price list": over_the_list,
    "units times price": units_times_price,
    "alloy premium": alloy_premium,
    "grams": grams,
    "class": wrong_class,
    "not as prescribed": not_as_prescribed,
    "alloy without metal": alloy_without_metal,
    "alloy in the price": alloy_in_the_price,
    "double alloy": double_alloy,
    "billed twice": billed_twice,
    "missing credit": missing_credit,
    "remake of the lab's": remake_of_the_labs,
    "total differs": total_differs,
    "units over teeth": units_over_teeth,
    "another alloy": another_alloy,
    "surcharge on weight": surcharge_on_weight,
}
"""How each kind of fault is planted."""

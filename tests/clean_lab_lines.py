"""A clean practice's year at its labs: works, remakes with their credits, deposits, and the papers that bill them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np
from clean_habits import BY_WEIGHT, GRAMS_IN, SURCHARGE, Lab
from clean_tables import CLASSES, MATERIALS, Market, Row, usual_grams
from practice_lines import ADULT_ARCHES, NUMBER_OF

POSITION_SHARES = (0.08, 0.06, 0.05, 0.12, 0.16, 0.33, 0.19, 0.01)
PONTIC = 1.3
"""A pontic is heavier than a retainer."""
REMAKES, DEPOSITS = 0.045, 0.01
SURCHARGE_A_UNIT = 35.0
HALF_RUSH, EXTRA = 0.04, 0.1


@dataclass
class Event:
    """Something that a lab bills: a work, a remake, a credit. `unit` and `alloy` are two of its rows, where there are such."""

    lab: Lab
    site: str
    day: date
    case: str
    material: str
    teeth: tuple[int, ...]
    rows: list[Row] = field(default_factory=list)
    unit: Row | None = None
    alloy: Row | None = None
    remake: bool = False
    credits: Row | None = None


@dataclass
class Paper:
    """An invoice: what it bills, without tax, discount and total; `off` is what its total has too much."""

    lab: Lab
    site: str
    day: date
    number: str
    events: list[Event]
    off: float = 0.0

    @property
    def rows(self) -> list[Row]:
        """The rows of all that it bills."""
        return [row for event in self.events for row in event.rows]


@dataclass
class Year:
    """Draws the events of a practice's labs."""

    rng: np.random.Generator
    labs: list[Lab]
    sites: list[str]
    market: Market
    spread: float
    last: date

    def events(self, months: list[date]) -> list[Event]:
        """All of them, a few remakes among them, in the order of their days."""
        self.number = 40000
        shares = np.array([MATERIALS[name].share for name in MATERIALS])
        found: list[Event] = []
        for site in self.sites:
            pace = self.rng.uniform(5, 12)
            for month in months:
                for _ in range(self.rng.poisson(pace)):
                    name = str(self.rng.choice(list(MATERIALS), p=shares / shares.sum()))
                    day = month + timedelta(days=int(self.rng.integers(0, 28)))
                    found += self._work(site, day, name)
        found += [again for one in list(found) for again in self._again(one)]
        return sorted((one for one in found if one.day <= self.last), key=lambda one: one.day)

    def _work(self, site: str, day: date, material: str) -> Iterator[Event]:
        able = [lab for lab in self.labs if material in lab.prices]
        if able:
            lab = able[int(self.rng.integers(len(able)))]
            yield self.made(lab, site, day, material, self._teeth())

    def _teeth(self) -> tuple[int, ...]:
        """Mostly one tooth; now and then two neighbours, or a bridge of three."""
        position = int(self.rng.choice(8, p=POSITION_SHARES)) + 1
        quadrant = int(self.rng.integers(1, 5))
        arch = next(arch for arch in ADULT_ARCHES if 10 * quadrant + position in arch)
        at = arch.index(10 * quadrant + position)
        length = int(self.rng.choice([1, 2, 3], p=[0.86, 0.06, 0.08]))
        return tuple(arch[at : at + length]) if at + length <= len(arch) else (arch[at],)

    def made(self, lab: Lab, site: str, day: date, material: str, teeth: tuple[int, ...]) -> Event:
        """A work with its unit line, its alloy and what else came with it."""
        self.number += int(self.rng.integers(1, 5))
        event = Event(lab, site, day, str(self.number) if lab.names_cases else "", material, teeth)
        words = lab.wordings[material]
        product = words[-1] if len(teeth) == 3 else words[int(self.rng.integers(len(words) - 1))]
        price = lab.price(material, day)
        event.unit = self._row(event, "unit fee", product, len(teeth) * price, units=len(teeth))
        if lab.names_prices:
            event.unit["unit_price"] = price
        event.rows.append(event.unit)
        self._add_alloy(event)
        if self.rng.random() < EXTRA:
            event.rows.append(self._row(event, "extra", "Custom stain", 18.0))
        if self.rng.random() < HALF_RUSH:
            event.rows.append(self._row(event, "rush", "Rush, 3 days", 0.25 * price * len(teeth)))
        return event

    def _add_alloy(self, event: Event) -> None:
        lab, alloy = event.lab, MATERIALS[event.material].alloy
        if lab.alloy_way[event.material] == SURCHARGE:
            event.rows.append(
                self._row(event, "alloy surcharge", "Noble surcharge", SURCHARGE_A_UNIT * len(event.teeth))
            )
        if lab.alloy_way[event.material] != BY_WEIGHT or not MATERIALS[event.material].inside:
            return
        grams = sum(self._grams(event.material, tooth) for tooth in event.teeth)
        if len(event.teeth) == 3:
            grams += (PONTIC - 1) * self._grams(event.material, event.teeth[1])
        event.alloy = self.alloy_row(event, alloy, grams)
        event.rows.append(event.alloy)

    def _grams(self, material: str, tooth: int) -> float:
        return usual_grams(material, (tooth % 10,)) * float(np.exp(self.rng.normal(0.0, self.spread)))

    def alloy_row(self, event: Event, alloy: str, grams: float) -> Row:
        """An alloy line as the lab writes it: the weight in its unit and to its digits, the day's or the month's price."""
        lab = event.lab
        weight = max(round(grams / GRAMS_IN[lab.weight_unit], lab.digits), 0.1)
        price = lab.alloy_price(self.market, alloy, event.day, float(self.rng.normal(1.0, 0.004)))
        row = self._row(event, "alloy", alloy.capitalize(), weight * price, units=len(event.teeth))
        row |= {"alloy": alloy, "weight": weight, "weight_unit": lab.weight_unit}
        row["unit_price"] = price if lab.names_prices else None
        row["alloy_class"] = CLASSES[alloy] if lab.names_class else None
        return row

    def _row(self, event: Event, kind: str, product: str, amount: float, units: float | None = None) -> Row:
        lab = event.lab
        words = [str(tooth) if lab.notation == "ISO" else NUMBER_OF[tooth] for tooth in event.teeth]
        teeth = f"{words[0]}-{words[-1]}" if len(words) > 2 else ",".join(words)
        return {"lab": lab.name, "site": event.site, "teeth": teeth, "product": product, "kind": kind, "units": units,
                "amount": round(amount, 2), "case": event.case}  # fmt: skip

    def _again(self, one: Event) -> Iterator[Event]:
        """Now and then a remake, a deposit that came back, or the same tooth crowned again long after."""
        chance = self.rng.random()
        if chance < REMAKES:
            yield from self.remake(one, str(self.rng.choice(["practice", "lab", "", "free"])))
        elif chance < REMAKES + DEPOSITS:
            yield from self._deposit(one)
        elif chance < REMAKES + 2 * DEPOSITS:
            later = one.day + timedelta(days=int(self.rng.integers(150, 240)))
            if later > self.last:
                return
            yield self.made(one.lab, one.site, later, one.material, one.teeth)

    def remake(self, one: Event, cause: str) -> Iterator[Event]:
        """Charged in part where the practice caused it; free; or charged in full, and a credit on another invoice within a month."""
        assert one.unit is not None
        day = min(one.day + timedelta(days=int(self.rng.integers(14, 45))), self.last)
        self.number += 1
        case = str(self.number) if one.lab.names_cases else ""
        event = Event(one.lab, one.site, day, case, one.material, one.teeth, remake=True)
        whole = float(one.unit["amount"])
        asked = {"practice": float(self.rng.choice([0.5, 1.0])), "free": 0.0}.get(cause, 1.0)
        event.unit = self._row(event, "remake", one.unit["product"], asked * whole, units=len(one.teeth))
        event.unit["remake_cause"] = {"free": "lab"}.get(cause, cause)
        event.rows.append(event.unit)
        if cause == "practice" and one.alloy is not None and self.rng.random() < 0.5:
            grams = (
                float(one.alloy["weight"]) * GRAMS_IN[one.lab.weight_unit] * float(self.rng.uniform(0.9, 1.1))
            )
            event.alloy = self.alloy_row(event, one.alloy["alloy"], grams)
            event.rows.append(event.alloy)
        if cause in ("practice", "free"):
            yield event
            return
        back = min(day + timedelta(days=int(self.rng.integers(3, 25))), max(day, self.last))
        credit = Event(one.lab, one.site, back, case, one.material, one.teeth, credits=event.unit)
        credit.rows.append(self._row(credit, "remake credit", "Credit for remake", -asked * whole))
        yield from (event, credit)

    def _deposit(self, one: Event) -> Iterator[Event]:
        for days, amount in ((0, 50.0), (int(self.rng.integers(5, 30)), -50.0)):
            day = min(one.day + timedelta(days=days), self.last)
            event = Event(one.lab, one.site, day, one.case, one.material, one.teeth)
            words = "Deposit, old crown" if amount > 0 else "Deposit returned"
            event.rows.append(self._row(event, "deposit", words, amount))
            yield event


def papers(rng: np.random.Generator, events: list[Event], last: date) -> list[Paper]:
    """The events on invoices: one each, or all of a clinic's month on one that is dated its last day."""
    found: dict[tuple[str, ...], Paper] = {}
    for at, event in enumerate(events):
        lab, month = event.lab, f"{event.day:%y%m}"
        key = (lab.name, event.site, month) if lab.monthly else (lab.name, str(at))
        if key not in found:
            day = min(_month_end(event.day), last) if lab.monthly else event.day
            number = f"{lab.name[-1]}{month}-{len(found) + 1:04}"
            found[key] = Paper(lab, event.site, day, number, [])
        found[key].events.append(event)
    for paper in found.values():
        if rng.random() < 0.05:
            paper.off = float(rng.choice([-0.01, 0.01]))
        first = paper.events[0]
        if paper.lab.freight and first.unit is not None and rng.random() < 0.5:
            freight = {
                "lab": paper.lab.name,
                "site": paper.site,
                "product": "Handling and shipping",
                "kind": "freight",
            }
            first.rows.append({**freight, "amount": paper.lab.freight})
    return list(found.values())


def _month_end(day: date) -> date:
    first = (day.replace(day=1) + timedelta(days=32)).replace(day=1)
    return first - timedelta(days=1)

"""Random invoice lines for test practices: cases of several habits, and every kind of line beside them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from practice_draw import Draw, Row
from practice_inputs import Names

from feesheet.tables import INVOICE_LINES, NOT_A_CROWN
from feesheet.teeth import ARCHES, UNIVERSAL

GRAMS = {"g": 1.0, "dwt": 1.55517384, "troy ounce": 31.1034768}
METAL_INSIDE = 900.0
"""What an all-in price holds for metal, in euros: more than most alloys here are worth."""
NUMBER_OF = {code: number for number, code in UNIVERSAL.items()}
ADULT_ARCHES = ARCHES[:2]
NO_TEETH = (
    ("freight", "Handling", 12),
    ("rush", "Rush", 30),
    ("discount", "Rebate", -15),
    ("tax", "Tax", 11),
    ("finance charge", "Late payment", 4),
    ("deposit", "Deposit", 40),
    ("balance", "Total", 400),
    ("note", "Thank you", 0),
)
WITH_TEETH = (
    ("extra", "Stain", 18),
    ("credit", "Credit", -20),
    ("remake credit", "Credit for a remake", -60),
    ("alloy surcharge", "Alloy surcharge", 25),
)


@dataclass
class LineMaker:
    """Draws the lines of a practice. `product_map` says which wordings mean a material at which lab."""

    draw: Draw
    labs: list[Row]
    milling: list[Row]
    names: Names
    product_map: list[Row]
    starting_grams: list[Row]

    def __post_init__(self) -> None:
        """One source of chance for all lines."""
        self.rng = self.draw.rng

    def material_of(self, lab: str, wording: str) -> str:
        """The material that a wording means at a lab; "" where it means none."""
        meant = {row["lab"] or "": row["material"] for row in self.product_map if row["wording"] == wording}
        material = str(meant.get(lab, meant.get("", "")))
        return "" if material == NOT_A_CROWN else material

    def lines(self, count: int, pricing: date) -> list[Row]:
        """So many lines, a few of them outside every window."""
        found: list[Row] = []
        number = 0
        self.ages = self.rng.choice((range(360), range(360), range(150, 700)))
        while len(found) < count:
            number += 1
            found += list(self._invoice(number, pricing))
        return found[:count]

    def _invoice(self, number: int, pricing: date) -> Iterator[Row]:
        lab = self.rng.choice(self.labs)
        days = self.rng.choice((-5, 800)) if self.rng.random() < 0.06 else self.rng.choice(self.ages)
        head = {
            "date": pricing - timedelta(days=days),
            "invoice": f"{number:05}" if self.rng.random() < 0.5 else f"N-{number}",
            "lab": lab["lab"],
            "site": self.rng.choice(self.names.sites),
            "currency": self.draw.maybe(self.draw.currency, 0.3),
        }
        cases = []
        for _ in range(self.rng.choice((1, 1, 1, 2, 4))):
            site = self.rng.choice(self.names.sites) if self.rng.random() < 0.1 else head["site"]
            cases += [{"site": site, **line} for line in self._case(lab)]
        for row in [*cases, *self._charges(lab), *self._loose(lab, cases)]:
            yield {field.name: {**head, **row}.get(field.name) for field in INVOICE_LINES.fields}

    def _case(self, lab: Row) -> list[Row]:
        """The unit, its alloy if the lab bills it apart, and what else came with it."""
        wording, material = self._wording(lab)
        teeth = self._teeth()
        units = len(teeth)
        own = lab["lab"] == "own mill"
        kind = "remake" if self.rng.random() < 0.07 else "unit fee"
        price = units * (self.rng.uniform(90, 260) + self._metal_inside(lab, material))
        where = self.draw.maybe(self._written(teeth, lab["tooth_notation"]), 0.95)
        made = {"teeth": where, "units": self.draw.maybe(units, 0.85)}
        rows = [{"product": wording, "kind": kind, "amount": self.draw.in_currency(price), **made}]
        alloyed = self.names.alloy_of.get(material) and lab["alloy_billing"] == "apart" and not own
        if alloyed and (kind == "unit fee" or self.rng.random() < 0.5):
            blank = self.rng.choice(
                ({}, {}, {}, {"teeth": None}, {"units": None}, {"teeth": None, "units": None})
            )
            rows.append({**self._alloy(material, units, wording), **made, **blank})
        if not own and self.rng.random() < 0.2:
            name, words, amount = self.rng.choice(WITH_TEETH)
            charge = {"kind": name, "product": words, "amount": self.draw.in_currency(amount)}
            rows.append({**charge, "teeth": made["teeth"]})
        return rows

    def _wording(self, lab: Row) -> tuple[str, str]:
        if lab["lab"] == "own mill":
            milled = self.milling[0]["material"]
            fits = [row for row in self.product_map if row["material"] == milled]
            fits = [row for row in fits if (row["lab"] or "own mill") == "own mill"] or fits[:1]
        else:
            fits = [row for row in self.product_map if (row["lab"] or lab["lab"]) == lab["lab"]]
        row = self.rng.choice(fits)
        if self.rng.random() < 0.04:
            return "Something new", ""
        return str(row["wording"]), self.material_of(str(lab["lab"]), str(row["wording"]))

    def _metal_inside(self, lab: Row, material: str) -> float:
        """What an all-in price holds for metal."""
        return METAL_INSIDE if self.names.alloy_of.get(material) and lab["alloy_billing"] == "all-in" else 0.0

    def _teeth(self) -> list[int]:
        """One tooth, two, or a bridge of three or four along an arch."""
        arch = self.rng.choice(ADULT_ARCHES)
        length = self.rng.choice((1, 1, 1, 1, 2, 3, 4))
        start = self.rng.randrange(len(arch) - length + 1)
        return list(arch[start : start + length])

    def _written(self, teeth: list[int], notation: str) -> str:
        words = [str(tooth) if notation == "ISO" else NUMBER_OF[tooth] for tooth in teeth]
        if len(words) > 2:
            return f"{words[0]}-{words[-1]}"
        mark = "#" if notation == "universal" and self.rng.random() < 0.3 else ""
        return ",".join(f"{mark}{word}" for word in words)

    def _alloy(self, material: str, units: int, wording: str) -> Row:
        """A weight near the starting grams, in any unit, at any price a gram; the alloy named or not."""
        grams = [row["starting_g"] for row in self.starting_grams if row["material"] == material]
        unit = self.rng.choice(list(GRAMS))
        weight = round(units * self.rng.choice(grams) * self.rng.uniform(0.7, 1.4) / GRAMS[unit], 4)
        return {
            "kind": "alloy",
            "product": self.rng.choice(("Alloy", "Alloy", "Alloy", wording)),
            "amount": self.draw.in_currency(weight * GRAMS[unit] * self.rng.uniform(20, 140)),
            "alloy": self.draw.maybe(self.names.alloy_of[material], 0.7),
            "weight": weight,
            "weight_unit": unit,
        }

    def _charges(self, lab: Row) -> list[Row]:
        """Charges on the whole invoice, each with the amount it usually has."""
        if lab["lab"] == "own mill":
            return []
        return [
            {"kind": kind, "product": words, "amount": self.draw.in_currency(amount)}
            for kind, words, amount in NO_TEETH
            if self.rng.random() < 0.12
        ]

    def _loose(self, lab: Row, cases: list[Row]) -> Iterator[Row]:
        """Charges in a product's own name, with its teeth or without, and one over the teeth of every case."""
        made = [row for row in cases if row["kind"] in ("unit fee", "remake")]
        if lab["lab"] == "own mill" or self.rng.random() > 0.15:
            return
        row = self.rng.choice(made)
        kind = self.rng.choice(("extra", "credit", "tax"))
        charge = {"kind": kind, "amount": self.draw.in_currency(self.rng.uniform(2, 30))}
        yield {**charge, "product": row["product"], "teeth": self.draw.maybe(row["teeth"])}
        if all(row["teeth"] for row in made):
            yield {**charge, "product": "Model", "teeth": ",".join(row["teeth"] for row in made)}

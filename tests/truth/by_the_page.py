"""The costing page as a second, plain program: loops over rows and Python floats, nothing of the real one.

It reads a practice as plain rows, `dict[table, list of dict]`, by the table and field names of
`feesheet/tables.py` (yes/no as "yes"/"no"; a blank is a missing key, None or ""), and gives one dict of
figures for each code and site. Besides the reference tables it shares no code with the program it tests.
What can't be worked out at all raises an error; an item without a figure to start from is `{"problem": ...}`
alone.

Where the page leaves a doubt, this was decided:

Lines
- Window: invoice dates after the pricing date less `invoice_months` calendar months (same day number, clipped
  to the month's end), up to and including the pricing date. Each line counts by its own date.
- What a kind of line means stands in shared/line_kinds.csv; tax counts with the share not recoverable.
- A wording finds its material by the product map, case and spaces aside, rows of the same lab first.
  "not a crown" and unknown wordings have none: such a unit-fee or remake line is set aside.
- An invoice is a lab and an invoice number. Cost, tax and alloy lines without a mapped material take that of
  the invoice's unit-fee and remake lines that share a tooth with them, if it is a single one; their teeth
  stay their own.
- Cost and tax lines whose teeth match no unit, and those without teeth, are invoice-level; but one with a
  mapped material and no teeth is spread over that material's unit lines on the invoice, if there are any.
- A cost or tax line belonging to a remake line is remake money and in no lab fee.
- Invoice-level amounts are shared evenly over all units on the invoice, remakes and unmapped ones too; what
  falls on those two leaves the lab fee. An invoice without units: set aside.
- An alloy line without mapped material and teeth takes the invoice's only material, and its teeth.
- Units missing: the number of teeth if any, else 1.

Tooth regions
- A tooth's region for a material is the smallest one among those its fee rows use (at any site; blank: all)
  that holds the tooth.
- A line with several teeth is split over them evenly. Without teeth: "all" if that is the material's only
  region, else unknown: in no item's own mean, but in the material's mean over everything. So is a tooth in no
  scheduled region.

Lab fee and alloy
- Starting value without a quoted price: the material's mean over all sites and regions; no units either:
  nothing to start from.
- Several quoting labs (own mills after the price rows): weighted by the site's units of the material in the
  window, all regions; no units: the first listed.
- All-in labs, materials with an alloy: each unit fee loses units x alloy_g x the alloy's value on the invoice
  date x (1 + premium); unknown region: plain mean of the material's alloy_g. The quoted price, an own mill's
  unit fee too, loses the same on the pricing date.
- alloy_g counts all alloy lines with a weight in the window, remakes too. The premium counts alloy lines (not
  split) with weight and amount; alloy = the line's own, else its material's.
- A metal never quoted counts 0; one quoted only later: the line is left out of the premium.

Time, overhead, remakes
- Each role of a step takes the step's full minutes. Pay: the site's row, else the row without site.
- Steps: the code's, else the material and region's, else the material's with the region blank or "all".
- A site without ledger: base site's overhead (after taking out what is costed per item) x region index / base
  index, over its own chair minutes.
- Remakes: by material over all sites and regions; makes = unit-fee units + remake units; rejected = units of
  kind "remake".

Fees
- For a code and site the most specific fee row counts: site, then region, then all.
- A plan's allowed amount: latest on or before the effective date (blank: always held); none: full fee.
- `margin_basis` holds for needed fee and margins alike.
- Rules act one after the other on all items, as bounds: floor, largest fall and ladder from below, largest
  rise from above; rise and fall need a current fee above 0. Lower bound over upper bound, or no step between
  them: the current fee stays. A needed fee that can't be reached: the current fee stays. After a hold nothing
  moves the fee.
- Contribution takes off lab_fee, alloy_cost, supplies and r / (1 - r) x (their shares on a remake +
  remake_supplies).

Not settled by the page, and done here in the plainest way:
- A fee row with Hold "yes" is held whatever the Rules sheet says; a hold rule holds what it names in "applies
  to", and without that only the rows marked.
- A credit for a remake is no unit and no make. A charge whose teeth match both a unit-fee and a remake line
  of its material belongs to the unit fee; one without material whose teeth match remakes alone belongs to
  them. One whose teeth match units of two materials is invoice-level; one whose teeth match only unmapped
  units is set aside.
- An alloy line without teeth takes the teeth of its material's unit-fee and remake lines on the invoice, with
  its material mapped or not.
- A metal without a price on an all-in lab's invoice date counts 0 there.
- Z is 0 where n is 0 or less. A procedure without material has no lab fee, alloy, supplies or remakes.
- A contradiction between rules is settled after the last rule and spares what is held by then; a ladder
  before that sees the fee so far.
- An item held, contradicted or out of reach without a current fee has no new fee: its margins are None.
"""

from __future__ import annotations

import calendar
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from typing import Any

from feesheet import reference

Row = dict[str, Any]
Rows = dict[str, list[Row]]

CANNOT = "cannot be reached by the fee"
NOTHING = {"problem": "nothing to start from"}


@dataclass
class Book:
    """The practice's rows, its invoice lines as read, and what was worked out from them so far.

    `premiums` by alloy, `grams` by material and tooth region, `entries`: the money and units of lab fees.
    """

    rows: Rows
    lines: list[Row] = field(default_factory=list)
    premiums: dict[str, tuple[float, str, int]] = field(default_factory=dict)
    grams: dict[tuple[str, str], Row | None] = field(default_factory=dict)
    entries: list[Row] = field(default_factory=list)


# ---- cells ------------------------------------------------------------------------------------------------


def blank(value: Any) -> bool:
    """Whether a cell is empty; 0 is not."""
    return value is None or (isinstance(value, str) and value.strip() == "")


def name(value: Any) -> str:
    """A name as it is compared: without case and needless spaces."""
    return "" if blank(value) else " ".join(str(value).lower().split())


def number(row: Row, field: str, otherwise: float | None = None) -> float:
    """A figure of a row; blank: `otherwise`, and without that a ValueError."""
    value = row.get(field)
    if not blank(value):
        return float(value)
    if otherwise is None:
        raise ValueError(f"{field} is blank in {row}")
    return otherwise


def day(value: Any) -> date:
    """A cell's calendar day."""
    return value.date() if isinstance(value, datetime) else value


def yes(row: Row, field: str) -> bool:
    """Whether a yes/no cell says yes."""
    return name(row.get(field)) == "yes"


def settings(rows: Rows) -> Row:
    """The one row of the Practice table."""
    return rows["practice"][0]


def find(rows: Rows, table: str, field: str, wanted: Any) -> Row | None:
    """The first row of a table whose field has that name."""
    for row in rows.get(table, []):
        if name(row.get(field)) == name(wanted):
            return row
    return None


def need(rows: Rows, table: str, field: str, wanted: Any) -> Row:
    """Like `find`, for a row that must be there."""
    row = find(rows, table, field, wanted)
    if row is None:
        raise ValueError(f"{wanted} is not in {table}")
    return row


# ---- credibility and window -------------------------------------------------------------------------------


def credibility(n: float, rows: Rows) -> float:
    """Z(n) = n / (n + k); Z(0) = 0."""
    k = number(settings(rows), "credibility_units", 5.0)
    return n / (n + k) if n > 0 else 0.0


def blended(n: float, own_mean: float | None, starting: float, rows: Rows) -> float:
    """Z(n) x own mean + (1 - Z(n)) x starting value."""
    z = credibility(n, rows)
    return starting if own_mean is None else z * own_mean + (1 - z) * starting


def mean(total: float, n: float) -> float | None:
    """Total over n; None without units."""
    return total / n if n > 0 else None


def in_window(when: date, rows: Rows) -> bool:
    """Whether an invoice date counts."""
    end = day(settings(rows)["pricing_date"])
    months = end.year * 12 + end.month - 1 - int(settings(rows)["invoice_months"])
    year, month = months // 12, months % 12 + 1
    start = date(year, month, min(end.day, calendar.monthrange(year, month)[1]))
    return start < when <= end


# ---- teeth and regions ------------------------------------------------------------------------------------

UPPER = [18, 17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26, 27, 28]
LOWER = [48, 47, 46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36, 37, 38]
UNIVERSAL = [*UPPER, *reversed(LOWER)]  # universal 1 is ISO 18, universal 32 is ISO 48


def one_tooth(word: str, notation: str) -> int:
    """A single tooth as its ISO 3950 number."""
    figure = int(word.strip().lstrip("#"))
    if name(notation) == "universal":
        if 1 <= figure <= 32:
            return UNIVERSAL[figure - 1]
    elif figure in UPPER or figure in LOWER:
        return figure
    raise ValueError(f"{word} is no tooth in {notation} notation")


def teeth_of(cell: Any, notation: str) -> list[int]:
    """All teeth of a cell, as ISO numbers; a range runs along the arch."""
    words = "" if blank(cell) else str(int(cell) if isinstance(cell, float) else cell)
    teeth: list[int] = []
    for part in words.replace(";", ",").replace("–", "-").split(","):
        if part.strip() == "":
            continue
        ends = [one_tooth(word, notation) for word in part.split("-")]
        if len(ends) == 2:
            arch = UPPER if ends[0] in UPPER else LOWER
            first, last = sorted((arch.index(ends[0]), arch.index(ends[1])))
            ends = arch[first : last + 1]
        for tooth in ends:
            if tooth not in teeth:
                teeth.append(tooth)
    return teeth


def region_of_row(row: Row) -> str:
    """A fee row's tooth region; blank means all."""
    return name(row.get("tooth_region")) or "all"


def scheduled_regions(material: str, rows: Rows) -> list[str]:
    """The tooth regions that the material's fee rows use."""
    regions: list[str] = []
    for row in rows["fees"]:
        if name(row.get("material")) == material and region_of_row(row) not in regions:
            regions.append(region_of_row(row))
    return regions


def region_of_tooth(tooth: int, material: str, rows: Rows) -> str | None:
    """The smallest scheduled region that holds the tooth; None: unknown."""
    best = None
    for region in scheduled_regions(material, rows):
        places = reference.tooth_regions()
        if tooth % 10 in places[region] and (best is None or len(places[region]) < len(places[best])):
            best = region
    return best


def parts_by_region(teeth: list[int], material: str, rows: Rows) -> list[tuple[str | None, float]]:
    """Each region a line falls on, with the share of the line that does."""
    if teeth:
        return [(region_of_tooth(tooth, material, rows), 1 / len(teeth)) for tooth in teeth]
    return [("all" if scheduled_regions(material, rows) == ["all"] else None, 1.0)]


# ---- invoice lines ----------------------------------------------------------------------------------------


def mapped_material(row: Row, rows: Rows) -> str:
    """The material of a line's wording; "" for none."""
    for lab in (name(row["lab"]), ""):
        for entry in rows.get("product_map", []):
            if name(entry.get("lab")) == lab and name(entry["wording"]) == name(row.get("product")):
                return "" if name(entry["material"]) == "not a crown" else name(entry["material"])
    return ""


def read_line(row: Row, rows: Rows) -> Row:
    """A line with its teeth, units, kind, treatment and mapped material worked out."""
    lab = find(rows, "labs", "lab", row["lab"]) or {}
    kind, treatment, _ = reference.line_kinds()[name(row["kind"])]
    teeth = teeth_of(row.get("teeth"), lab.get("tooth_notation") or "ISO")
    return {
        "date": day(row["date"]),
        "lab": name(row["lab"]),
        "invoice": (name(row["lab"]), str(row["invoice"]).strip()),
        "site": name(row["site"]),
        "kind": kind,
        "treatment": treatment,
        "teeth": teeth,
        "units": number(row, "units", float(len(teeth) or 1)),
        "amount": None if blank(row.get("amount")) else float(row["amount"]),
        "mapped": mapped_material(row, rows),
        "alloy": name(row.get("alloy")),
        "grams": line_grams(row),
        "all_in": name(lab.get("alloy_billing")) == "all-in",
        "units_typed": not blank(row.get("units")),
        "in_window": in_window(day(row["date"]), rows),
        "invoice_units": [],
        "tax_kept": 1 - number(lab, "tax_recoverable", 0.0),
    }


def line_grams(row: Row) -> float | None:
    """The weight billed on a line in g; None without a weight."""
    if blank(row.get("weight")):
        return None
    return float(row["weight"]) * reference.mass_units()[name(row.get("weight_unit"))]


def is_unit(line: Row) -> bool:
    """A unit-fee line."""
    return line["treatment"] == "unit"


def is_remake(line: Row) -> bool:
    """A line of a unit made again; its credit is none."""
    return line["kind"] == "remake"


def touching(line: Row) -> list[Row]:
    """The unit-fee and remake lines of the line's invoice that share a tooth with it."""
    return [other for other in line["invoice_units"] if set(other["teeth"]) & set(line["teeth"])]


def single_material(others: list[Row]) -> str:
    """The one mapped material of some lines; "" if there is none or more than one."""
    materials = {other["mapped"] for other in others if other["mapped"]}
    return materials.pop() if len(materials) == 1 else ""


# ---- metals and alloy -------------------------------------------------------------------------------------


def grams_in(unit: Any) -> float:
    """Grams in a quoted unit: a unit's name, or a number of grams such as "30 g"."""
    words = name(unit)
    if words in reference.mass_units():
        return reference.mass_units()[words]
    figure = words.rstrip("abcdefghijklmnopqrstuvwxyz ")
    return float(figure) * reference.mass_units()[words[len(figure) :].strip()]


def metal_price_per_g(metal: str, when: date, rows: Rows) -> float | None:
    """The latest quote on or before a day, in money/g; None if there is none."""
    best = None
    for quote in rows.get("metal_prices", []):
        if (
            name(quote["metal"]) == metal
            and day(quote["date"]) <= when
            and (best is None or day(quote["date"]) > day(best["date"]))
        ):
            best = quote
    return None if best is None else float(best["price"]) / grams_in(best["unit"])


def alloy_parts(alloy: str, rows: Rows) -> list[tuple[str, float]]:
    """The metals of an alloy with their mass fractions, which add to 1 within 0.005."""
    row = need(rows, "alloys", "alloy", alloy)
    parts = [(metal, number(row, metal, 0.0)) for metal in reference.metals()]
    if abs(sum(fraction for _, fraction in parts) - 1) > 0.005 + 1e-12:
        raise ValueError(f"the metals of {alloy} do not add to 1")
    return [(metal, fraction) for metal, fraction in parts if fraction > 0]


def metal_value_per_g(alloy: str, when: date, rows: Rows) -> float:
    """The sum over metals of mass fraction x price on a day [money/g]; no price counts 0."""
    value = 0.0
    for metal, fraction in alloy_parts(alloy, rows):
        value += fraction * (metal_price_per_g(metal, when, rows) or 0.0)
    return value


def quoted_only_later(alloy: str, when: date, rows: Rows) -> bool:
    """Whether some metal of the alloy has quotes, but none on or before the day."""
    for metal, _ in alloy_parts(alloy, rows):
        ever = any(name(quote["metal"]) == metal for quote in rows.get("metal_prices", []))
        if ever and metal_price_per_g(metal, when, rows) is None:
            return True
    return False


def alloy_of(material: str, rows: Rows) -> str:
    """The alloy a material is cast from; "" if none."""
    row = find(rows, "materials", "material", material) if material else None
    return name(row.get("alloy")) if row else ""


def alloy_line_material(line: Row) -> str:
    """The material an alloy line is for; "" if unknown."""
    if line["mapped"]:
        return str(line["mapped"])
    return single_material(touching(line) if line["teeth"] else line["invoice_units"])


def alloy_line_teeth(line: Row, material: str) -> list[int]:
    """An alloy line's own teeth, else those of its material's units on the invoice."""
    teeth = list(line["teeth"])
    if not teeth:
        for other in line["invoice_units"]:
            if other["mapped"] == material:
                teeth += [tooth for tooth in other["teeth"] if tooth not in teeth]
    return teeth


def premium(alloy: str, book: Book) -> tuple[float, str, int]:
    """The alloy's premium, which basis gave it ("window", "all lines" or "default"), and how many lines."""
    for basis in ("window", "all lines"):
        billed, worth, n = 0.0, 0.0, 0
        for line in book.lines:
            if line["treatment"] != "alloy" or line["grams"] is None or line["amount"] is None:
                continue
            if (line["alloy"] or alloy_of(alloy_line_material(line), book.rows)) != alloy:
                continue
            if basis == "window" and not line["in_window"]:
                continue
            if quoted_only_later(alloy, line["date"], book.rows):
                continue
            billed += line["amount"]
            worth += line["grams"] * metal_value_per_g(alloy, line["date"], book.rows)
            n += 1
        if n >= 3 and worth > 0:
            return billed / worth - 1, basis, n
    return number(settings(book.rows), "default_alloy_premium", 0.0), "default", 0


def starting_grams(material: str, region: str, rows: Rows) -> float | None:
    """The grams typed for a material and region [g/unit]; None if there are none."""
    for row in rows.get("starting_grams", []):
        if name(row["material"]) == material and name(row["tooth_region"]) == region:
            return float(row["starting_g"])
    return None


def alloy_grams(material: str, region: str, book: Book) -> Row | None:
    """alloy_g [g/unit] with its n, own mean, Z and starting value; None without a starting value."""
    starting = starting_grams(material, region, book.rows)
    if starting is None:
        return None
    grams, n = 0.0, 0.0
    for line in book.lines:
        if line["treatment"] != "alloy" or line["grams"] is None or not line["in_window"]:
            continue
        if alloy_line_material(line) != material:
            continue
        teeth = alloy_line_teeth(line, material)
        units = line["units"] if line["units_typed"] else float(len(teeth) or 1)
        for part, share in parts_by_region(teeth, material, book.rows):
            if part == region:
                grams += line["grams"] * share
                n += units * share
    own = mean(grams, n)
    return {
        "alloy_g": blended(n, own, starting, book.rows),
        "alloy_n": n,
        "alloy_own_mean_g": own,
        "alloy_Z": credibility(n, book.rows),
        "starting_g": starting,
    }


def grams_of_part(material: str, region: str | None, book: Book) -> float:
    """alloy_g of a region; for an unknown one the plain mean over the material's regions."""
    regions = scheduled_regions(material, book.rows) if region is None else [region]
    found = [book.grams[material, each] for each in regions]
    known = [entry["alloy_g"] for entry in found if entry is not None]
    if not known:
        raise ValueError(f"no starting grams for {material}, {region}")
    return float(sum(known) / len(known))


def alloy_inside(material: str, region: str | None, when: date, book: Book) -> float:
    """The alloy's estimated price inside one unit of an all-in lab [money/unit]; 0 without an alloy."""
    alloy = alloy_of(material, book.rows)
    if not alloy:
        return 0.0
    per_g = metal_value_per_g(alloy, when, book.rows) * (1 + book.premiums[alloy][0])
    return grams_of_part(material, region, book) * per_g


# ---- lab fee ----------------------------------------------------------------------------------------------


def add_lab_entries(book: Book) -> None:
    """All money and units of lab fees in the window, an entry a piece with site, lab, material and region."""
    for line in book.lines:
        if not line["in_window"]:
            continue
        if is_unit(line) and line["mapped"]:
            add_unit(line, book)
        elif line["treatment"] in ("cost", "tax"):
            kept = line["tax_kept"] if line["treatment"] == "tax" else 1.0
            add_cost(line, (line["amount"] or 0.0) * kept, book)


def add(line: Row, material: str, units: float, money: float, book: Book) -> None:
    """Units and money at a line's site, split over its teeth."""
    for region, share in parts_by_region(line["teeth"], material, book.rows):
        book.entries.append(
            {
                "site": line["site"],
                "lab": line["lab"],
                "material": material,
                "region": region,
                "units": units * share,
                "money": money * share,
            }
        )


def add_unit(line: Row, book: Book) -> None:
    """A unit fee, less the alloy inside it if the lab bills all in."""
    add(line, line["mapped"], line["units"], line["amount"] or 0.0, book)
    if not line["all_in"]:
        return
    for region, share in parts_by_region(line["teeth"], line["mapped"], book.rows):
        inside = line["units"] * share * alloy_inside(line["mapped"], region, line["date"], book)
        book.entries.append(
            {
                "site": line["site"],
                "lab": line["lab"],
                "material": line["mapped"],
                "region": region,
                "units": 0.0,
                "money": -inside,
            }
        )


def add_cost(line: Row, amount: float, book: Book) -> None:
    """A charge that belongs to units, to a remake (left out), or to the whole invoice."""
    units, material = line["invoice_units"], line["mapped"]
    if not line["teeth"]:
        own = [other for other in units if is_unit(other) and other["mapped"] == material]
        add_shares(own if material and sum(other["units"] for other in own) > 0 else units, amount, book)
        return
    others = touching(line)
    if not material and others and all(is_remake(other) for other in others):
        return
    if not material:
        materials = {other["mapped"] for other in others if other["mapped"]}
        if not others or len(materials) > 1:
            add_shares(units, amount, book)
            return
        material = single_material(others)
    same = [other for other in others if other["mapped"] == material]
    for_remake = bool(same) and not any(is_unit(other) for other in same)
    if material and not for_remake:
        add(line, material, 0.0, amount, book)


def add_shares(others: list[Row], amount: float, book: Book) -> None:
    """An amount shared evenly over units; only what falls on unit-fee lines of a material counts."""
    units = sum(other["units"] for other in others)
    if units <= 0:
        return
    for other in others:
        if is_unit(other) and other["mapped"]:
            add(other, other["mapped"], 0.0, amount * other["units"] / units, book)


def milling_price(row: Row, rows: Rows) -> float:
    """The unit fee of an own mill [money/unit]."""
    machine = float(row["machine_cost_month"]) / float(row["units_month"])
    staff = float(row["staff_min"]) * staff_cost_per_min(row["role"], row["site"], rows)
    return machine + number(row, "block", 0.0) + number(row, "burs", 0.0) + staff


def alloy_in_quote(lab: Any, material: str, region: str, book: Book) -> float:
    """The alloy's estimated price inside a price quoted by a lab, an own mill too; 0 if the lab bills it apart."""
    if name((find(book.rows, "labs", "lab", lab) or {}).get("alloy_billing")) != "all-in":
        return 0.0
    return alloy_inside(material, region, day(settings(book.rows)["pricing_date"]), book)


def quoted_prices(material: str, region: str, book: Book) -> list[tuple[str, float]]:
    """Lab and quoted price of each lab that quotes the material, own mills last."""
    quotes = []
    for row in book.rows.get("lab_prices", []):
        if name(row["material"]) == material:
            price = float(row["quoted_price"]) - alloy_in_quote(row["lab"], material, region, book)
            quotes.append((name(row["lab"]), price))
    for row in book.rows.get("milling", []):
        if name(row["material"]) == material:
            price = milling_price(row, book.rows) - alloy_in_quote(row["lab"], material, region, book)
            quotes.append((name(row["lab"]), price))
    return quotes


def starting_lab_fee(site: str, material: str, region: str, book: Book) -> float | None:
    """Quoted price, weighted if several labs quote, else the material's mean; None: nothing to start from."""
    quotes = quoted_prices(material, region, book)
    if not quotes:
        mine = [entry for entry in book.entries if entry["material"] == material]
        return mean(sum(entry["money"] for entry in mine), sum(entry["units"] for entry in mine))
    money, weight = 0.0, 0.0
    for lab, price in quotes:
        units = 0.0
        for entry in book.entries:
            if entry["site"] == site and entry["material"] == material and entry["lab"] == lab:
                units += entry["units"]
        money += units * price
        weight += units
    return money / weight if weight > 0 else quotes[0][1]


def lab_fee(site: str, material: str, region: str, book: Book) -> Row | None:
    """lab_fee [money/unit] with its n, own mean, Z and starting value; None: nothing to start from."""
    starting = starting_lab_fee(site, material, region, book)
    if starting is None:
        return None
    money, n = 0.0, 0.0
    for entry in book.entries:
        if (entry["site"], entry["material"], entry["region"]) == (site, material, region):
            money += entry["money"]
            n += entry["units"]
    own = mean(money, n)
    return {
        "lab_fee": blended(n, own, starting, book.rows),
        "n": n,
        "own_mean": own,
        "Z": credibility(n, book.rows),
        "starting_lab_fee": starting,
    }


# ---- people and overhead ----------------------------------------------------------------------------------


def staff_cost_per_min(role: Any, site: Any, rows: Rows) -> float:
    """A role's pay at a site [money/min]: the site's row, else the row for all sites."""
    for where in (name(site), ""):
        for row in rows["staff"]:
            if name(row["role"]) == name(role) and name(row.get("site")) == where:
                return float(row["yearly_cost"]) / (float(row["productive_hours"]) * 60)
    raise ValueError(f"no pay for {role} at {site}")


def expected_min(step: Row) -> float:
    """(low + 4 x likely + high) / 6 [min]; one figure stands for all three."""
    figures = [step.get("low_min"), step.get("likely_min"), step.get("high_min")]
    given = [float(figure) for figure in figures if not blank(figure)]
    if len(given) == 1:
        return given[0]
    if len(given) == 3:
        return (given[0] + 4 * given[1] + given[2]) / 6
    raise ValueError(f"one or three times are needed in {step}")


def steps_of(code: str, material: str, region: str, rows: Rows) -> list[Row]:
    """The steps of an item: its code's, else its material and region's, else its material's."""
    by_code, by_region, by_material = [], [], []
    for step in rows["chair_time"]:
        if not blank(step.get("code")):
            if str(step["code"]).strip() == code:
                by_code.append(step)
        elif material and name(step.get("material")) == material:
            if name(step.get("tooth_region")) in ("", "all"):
                by_material.append(step)
            elif name(step["tooth_region"]) == region:
                by_region.append(step)
    return by_code or by_region or by_material


def people_cost(steps: list[Row], site: str, rows: Rows) -> float:
    """The sum over steps and their roles of minutes x pay [money/unit]."""
    cost = 0.0
    for step in steps:
        for role in str(step["roles"]).split("+"):
            cost += expected_min(step) * staff_cost_per_min(role, site, rows)
    return cost


def chair_minutes(steps: list[Row]) -> float:
    """Minutes in which the chair is occupied."""
    return sum(expected_min(step) for step in steps if yes(step, "chair"))


def yearly_overhead(site: str, rows: Rows) -> float | None:
    """A site's ledger without what is costed per item; None without a ledger."""
    ledger = [row for row in rows.get("overhead", []) if name(row["site"]) == site]
    if not ledger:
        return None
    return sum(float(row["amount"]) for row in ledger if not yes(row, "costed_per_item"))


def overhead_per_chair_min(site: Row, rows: Rows) -> float:
    """Overhead of one chair minute at a site [money/min]."""
    yearly = yearly_overhead(name(site["site"]), rows)
    if yearly is None:
        base = need(rows, "sites", "site", settings(rows).get("base_site"))
        at_base = yearly_overhead(name(base["site"]), rows)
        if at_base is None:
            raise ValueError("the base site has no ledger")
        own_index = need(rows, "region_index", "region", site["region"])
        base_index = need(rows, "region_index", "region", base["region"])
        if int(own_index["year"]) != int(base_index["year"]):
            raise ValueError("the region indices are of different years")
        yearly = at_base * float(own_index["index"]) / float(base_index["index"])
    minutes = 60.0
    for factor in ("operatories", "weeks", "hours_per_week", "practical_capacity"):
        minutes *= float(site[factor])
    return yearly / minutes


# ---- remakes ----------------------------------------------------------------------------------------------


def remake_rate(material: Row, book: Book) -> float:
    """r: the own share of rejected makes, blended with the typed rate."""
    makes, rejected = 0.0, 0.0
    for line in book.lines:
        if line["mapped"] == name(material["material"]) and line["in_window"]:
            if is_unit(line) or is_remake(line):
                makes += line["units"]
            if is_remake(line):
                rejected += line["units"]
    r = blended(makes, mean(rejected, makes), float(material["remake_rate"]), book.rows)
    if r >= 1:
        raise ValueError(f"every {material['material']} is rejected")
    return r


# ---- unit cost --------------------------------------------------------------------------------------------


def bought_in(site: str, material: str, region: str, book: Book) -> Row | None:
    """Lab fee and alloy of an item; None: nothing to start from."""
    figures: Row = {
        "lab_fee": 0.0,
        "n": 0.0,
        "own_mean": None,
        "Z": 0.0,
        "alloy_g": 0.0,
        "alloy_price_per_g": 0.0,
        "alloy_cost": 0.0,
        "alloy_premium": None,
        "alloy_premium_basis": "",
    }
    if not material:
        return figures
    lab = lab_fee(site, material, region, book)
    if lab is None:
        return None
    figures.update(lab)
    alloy = alloy_of(material, book.rows)
    if alloy:
        grams = book.grams[material, region]
        if grams is None:
            return None
        figures.update(grams)
        value = metal_value_per_g(alloy, day(settings(book.rows)["pricing_date"]), book.rows)
        share, basis, _ = book.premiums[alloy]
        figures.update(alloy_premium=share, alloy_premium_basis=basis, alloy_price_per_g=value * (1 + share))
        figures["alloy_cost"] = figures["alloy_g"] * figures["alloy_price_per_g"]
    return figures


def unit_cost(row: Row, site: Row, book: Book) -> Row | None:
    """Every cost figure of one fee row at one site; None: nothing to start from."""
    material, region, where = name(row.get("material")), region_of_row(row), name(site["site"])
    item = bought_in(where, material, region, book)
    if item is None:
        return None
    typed = need(book.rows, "materials", "material", material) if material else {}
    steps = steps_of(str(row["code"]).strip(), material, region, book.rows)
    again = [step for step in steps if yes(step, "repeated")]
    per_min = overhead_per_chair_min(site, book.rows)
    item["supplies"] = number(typed, "supplies", 0.0)
    item["people_cost"] = people_cost(steps, where, book.rows)
    item["chair_min"] = chair_minutes(steps)
    item["overhead_per_chair_min"] = per_min
    item["overhead_cost"] = item["chair_min"] * per_min
    item["remake_rate"] = r = remake_rate(typed, book) if material else 0.0
    bought_again = (
        item["lab_fee"] * number(typed, "lab_share_on_remake", 0.0)
        + item["alloy_cost"] * number(typed, "alloy_share_on_remake", 0.0)
        + number(typed, "remake_supplies", 0.0)
    )
    done_again = people_cost(again, where, book.rows) + chair_minutes(again) * per_min
    item["remake_cost"] = r / (1 - r) * (bought_again + done_again)
    item["variable_remake_cost"] = r / (1 - r) * bought_again
    item["unit_cost"] = (
        item["lab_fee"]
        + item["alloy_cost"]
        + item["supplies"]
        + item["people_cost"]
        + item["overhead_cost"]
        + item["remake_cost"]
    )
    return item


# ---- net and needed fee -----------------------------------------------------------------------------------


def allowed_amount(plan: Any, code: str, rows: Rows) -> float | None:
    """What a plan allows for a code on the effective date; None: full fee."""
    best, best_day = None, None
    for row in rows.get("plan_fees", []):
        if name(row["plan"]) != name(plan) or str(row["code"]).strip() != code:
            continue
        since = date.min if blank(row.get("allowed_from")) else day(row["allowed_from"])
        if since <= day(settings(rows)["effective_date"]) and (best_day is None or since > best_day):
            best, best_day = float(row["allowed"]), since
    return best


def payers(code: str, rows: Rows) -> list[tuple[float, float | None]]:
    """Share and allowed amount of every payer of a code; those at full fee have None."""
    found: list[tuple[float, float | None]] = []
    full_share = 1.0
    if name(settings(rows).get("margin_basis")) != "full fee":
        for plan in rows.get("plans", []):
            found.append((float(plan["plan_share"]), allowed_amount(plan["plan"], code, rows)))
            full_share -= float(plan["plan_share"])
    return [*found, (full_share if abs(full_share) > 1e-9 else 0.0, None)]


def net(fee: float, code: str, rows: Rows) -> float:
    """The money a fee brings in, over all payers [money/unit]."""
    paid = 0.0
    for share, allowed in payers(code, rows):
        paid += share * (fee if allowed is None else min(fee, allowed))
    kept = float(settings(rows)["collected"]) * (1 - number(settings(rows), "card_cost", 0.0))
    return kept * paid


def needed_fee(goal: float, code: str, rows: Rows) -> tuple[float | str, float]:
    """The smallest fee whose net reaches the goal, and the shortfall if none does.

    Net is a line with kinks at the allowed amounts: walk up the kinks until the goal lies on the next piece.
    """
    if goal <= 0:
        return 0.0, 0.0
    kinks = sorted({allowed for _, allowed in payers(code, rows) if allowed is not None})
    below = 0.0
    for kink in kinks:
        if net(kink, code, rows) >= goal:
            break
        below = kink
    rising = sum(share for share, allowed in payers(code, rows) if allowed is None or allowed > below)
    if rising <= 1e-9:
        return CANNOT, goal - net(below, code, rows)
    kept = float(settings(rows)["collected"]) * (1 - number(settings(rows), "card_cost", 0.0))
    return below + (goal - net(below, code, rows)) / (kept * rising), 0.0


# ---- rules ------------------------------------------------------------------------------------------------


def decimal(value: float) -> Decimal:
    """A float by its 15 significant digits."""
    return Decimal(f"{value:.15g}")


def whole_steps(value: float, step: float, way: str) -> float:
    """The value moved to whole steps; the quotient keeps 8 digits, so that 28.999999999999996 is 29."""
    count = (decimal(value) / decimal(step)).quantize(Decimal("0.00000001"), ROUND_HALF_UP)
    return float(count.quantize(Decimal(1), way) * decimal(step))


def above(left: float, right: float) -> bool:
    """Whether left is more than right by more than floats blur."""
    return left > right + 1e-9 * max(1.0, abs(right))


def applies(rule: Row, item: Row) -> bool:
    """Whether a rule is for an item: named by material or code, or for all."""
    words = name(rule.get("applies_to"))
    return words in ("", name(item["code"])) or (item["material"] != "" and words == item["material"])


def lower_rung(rule: Row, item: Row, before: list[Row]) -> float | None:
    """The fee so far that a ladder names; None where there is no such row."""
    words = name(rule.get("not_under"))
    fees = []
    for other in before:
        by_code = name(other["code"]) == words
        by_material = "" not in (other["material"], item["material"]) and other["material"] == words
        named = by_code or (by_material and other["region"] == item["region"])
        if named and other["site"] == item["site"] and other["fee"] is not None:
            fees.append(other["fee"])
    return max(fees) if fees else None


def act(rule: Row, item: Row, before: list[Row]) -> None:
    """One rule on one item that is not held: a bound is kept, and the fee moves to it."""
    words, current = name(rule["rule"]), item["current"]
    lower, upper = None, None
    if words == "floor":
        lower = item["unit_cost"]
    elif words == "largest rise":
        upper = current * (1 + number(rule, "value")) if current else None
    elif words == "largest fall":
        lower = current * (1 - number(rule, "value", 0.0)) if current else None
    elif words == "ladder":
        lower = lower_rung(rule, item, before)
    elif words == "rounding":
        round_fee(rule, item)
    else:
        raise ValueError(f"no such rule: {rule['rule']}")
    if lower is not None:
        item["lowers"].append(lower)
        item["fee"] = max(item["fee"], lower)
    if upper is not None:
        item["uppers"].append(upper)
        item["fee"] = min(item["fee"], upper)


def round_fee(rule: Row, item: Row) -> None:
    """The fee on a whole step, inside the bounds so far; no step inside is a contradiction."""
    step = number(rule, "value")
    way = ROUND_CEILING if name(rule.get("way")) == "up" else ROUND_HALF_UP
    fee = whole_steps(item["fee"], step, way)
    least, most = max(item["lowers"], default=None), min(item["uppers"], default=None)
    if least is not None and fee < least:
        fee = whole_steps(least, step, ROUND_CEILING)
    if most is not None and fee > most:
        fee = whole_steps(most, step, ROUND_FLOOR)
    if (least is not None and above(least, fee)) or (most is not None and above(fee, most)):
        item["contradiction"] = True
    item["fee"] = fee


def act_all(items: list[Row], rows: Rows) -> None:
    """All rules in their order; each sees every fee as the rule before left it."""
    for rule in sorted(rows.get("rules", []), key=lambda row: float(row["order"])):
        before = [dict(item) for item in items]
        for item in items:
            if item["held"] or item["fee"] is None or not applies(rule, item):
                continue
            if name(rule["rule"]) == "hold":
                if not blank(rule.get("applies_to")):
                    item["held"], item["fee"] = True, item["current"]
            else:
                act(rule, item, before)
    for item in items:
        if item["held"]:
            item["contradiction"] = False
        else:
            least, most = max(item["lowers"], default=None), min(item["uppers"], default=None)
            if item["contradiction"] or (least is not None and most is not None and above(least, most)):
                item["contradiction"], item["fee"] = True, item["current"]


# ---- everything -------------------------------------------------------------------------------------------


def fee_row(code: str, site: Row, rows: Rows) -> Row | None:
    """The most specific fee row of a code for a site: its own, its region's, the one for all."""
    for wanted in ((name(site["site"]),), (name(site["region"]),), ("", "all")):
        for row in rows["fees"]:
            if str(row["code"]).strip() == code and name(row.get("site")) in wanted:
                return row
    return None


def add_margins(item: Row, rows: Rows) -> None:
    """Net, margin, markup and contribution at the new fee; None where a ratio has nothing under it."""
    for figure in ("net", "margin", "markup", "contribution", "contribution_per_chair_hour"):
        item[figure] = None
    item["new_fee"] = item["fee"]
    if item["new_fee"] is None:
        return
    item["net"] = money = net(item["new_fee"], item["code"], rows)
    if money != 0:
        item["margin"] = (money - item["unit_cost"]) / money
    if item["unit_cost"] != 0:
        item["markup"] = (money - item["unit_cost"]) / item["unit_cost"]
    varying = item["lab_fee"] + item["alloy_cost"] + item["supplies"] + item["variable_remake_cost"]
    item["contribution"] = money - varying
    if item["chair_min"] > 0:
        item["contribution_per_chair_hour"] = item["contribution"] / item["chair_min"] * 60


def start(row: Row, site: Row, costs: Row, rows: Rows) -> Row:
    """An item before the rules: its costs, its needed fee, and the current fee if it is held."""
    code = str(row["code"]).strip()
    item = {
        **costs,
        "code": code,
        "site": name(site["site"]),
        "material": name(row.get("material")),
        "region": region_of_row(row),
        "lowers": [],
        "uppers": [],
        "contradiction": False,
    }
    item["current"] = None if blank(row.get("current_fee")) else float(row["current_fee"])
    target = number(row, "target_margin", float(settings(rows)["target_margin"]))
    item["needed_fee"], item["shortfall"] = needed_fee(item["unit_cost"] / (1 - target), code, rows)
    item["held"] = yes(row, "hold") or item["needed_fee"] == CANNOT
    item["fee"] = item["current"] if item["held"] else item["needed_fee"]
    return item


def opened(rows: Rows) -> Book:
    """The practice with its lines read, its alloys' premiums and grams, and its lab fees' money and units."""
    book = Book(rows)
    for row in rows.get("invoice_lines", []):
        book.lines.append(read_line(row, rows))
    units: dict[tuple[str, str], list[Row]] = {}
    for line in book.lines:
        line["invoice_units"] = units.setdefault(line["invoice"], [])
        if is_unit(line) or is_remake(line):
            line["invoice_units"].append(line)
    for row in rows.get("alloys", []):
        book.premiums[name(row["alloy"])] = premium(name(row["alloy"]), book)
    for row in rows["materials"]:
        for region in scheduled_regions(name(row["material"]), rows):
            book.grams[name(row["material"]), region] = alloy_grams(name(row["material"]), region, book)
    add_lab_entries(book)
    return book


def fees_by_the_page(rows: Rows) -> dict[tuple[str, str], Row]:
    """Every figure of every code at every site, by (code, site) as they are typed."""
    book = opened(rows)
    result: dict[tuple[str, str], Row] = {}
    for code in dict.fromkeys(str(row["code"]).strip() for row in rows["fees"]):
        for site in rows["sites"]:
            row = fee_row(code, site, rows)
            if row is not None:
                costs = unit_cost(row, site, book)
                result[code, site["site"]] = dict(NOTHING) if costs is None else start(row, site, costs, rows)
    items = [item for item in result.values() if "problem" not in item]
    act_all(items, rows)
    for item in items:
        add_margins(item, rows)
    return result

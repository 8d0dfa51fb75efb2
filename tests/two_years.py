"""A small practice in two years: last year's rows, and this year's with other pay, minutes, prices, codes and overhead."""

from __future__ import annotations

import copy
import re
from pathlib import Path

from opened_book import OpenedBook, parts, write_parts
from practices import random_practice
from priced import Rows

SEED = 11
GONE, NEW = "C-2", "NEW-1"
NEW_ROLE, DEARER, DEAR_GOLD = "hygienist", 1.07, 1.3


def _last_year() -> Rows:
    """A random practice whose first lab bills one alloy apart."""
    rows = random_practice(SEED, sites=2, materials=3, lines=60, plans=1)
    rows["labs"][0]["alloy_billing"] = "apart"
    lab, last = rows["labs"][0]["lab"], rows["practice"][0]["pricing_date"]
    lines = rows["invoice_lines"]
    crown = next(
        line for line in lines if line["lab"] == lab and line["kind"] == "unit fee" and line["date"] < last
    )
    billed = {
        "product": "Alloy",
        "kind": "alloy",
        "alloy": rows["alloys"][0]["alloy"],
        "weight": 3.1,
        "weight_unit": "g",
    }
    lines.append({**crown, **billed, "units": None, "unit_price": None, "amount": 210.5})
    return rows


LAST_YEAR = _last_year()


def this_year() -> Rows:
    """The rows of this year: everything is dearer, one code is gone and one is new, and a role joins in."""
    rows = copy.deepcopy(LAST_YEAR)
    for role in rows["staff"]:
        role["yearly_cost"] *= DEARER
        role["productive_hours"] -= 20
    rows["staff"].append({**rows["staff"][1], "role": NEW_ROLE, "yearly_cost": 20000.0, "dentist": "no"})
    for number, step in enumerate(rows["chair_time"]):
        step["likely_min"] = (step["likely_min"] or 10) + 3
        step["low_min"] = step["high_min"] = None
        if number == 1:
            step["roles"] = f"{step['roles']} + {NEW_ROLE}"
    for account in rows["overhead"]:
        account["amount"] *= DEARER
    for price in rows["lab_prices"]:
        price["quoted_price"] *= DEARER
    for price in rows["metal_prices"]:
        price["price"] *= DEAR_GOLD if price["metal"] == "gold" else 1
    went = next(row for row in rows["fees"] if row["code"] == GONE)
    rows["fees"] = [row for row in rows["fees"] if row["code"] != GONE]
    rows["fees"].append({**went, "code": NEW, "site": "all", "current_fee": 500.0})
    rows["chair_time"] = [step for step in rows["chair_time"] if step["code"] != GONE]
    rows["rules"] = [rule for rule in rows["rules"] if rule.get("code") != GONE]
    rows["plan_fees"] = [row for row in rows.get("plan_fees", []) if row["code"] != GONE]
    return rows


def as_then(rows: Rows) -> Rows:
    """The rows with last year's pay; a role that was not there then keeps its own."""
    return {**rows, "staff": [*LAST_YEAR["staff"], *rows["staff"][len(LAST_YEAR["staff"]) :]]}


def with_cell(book: Path, to: Path, sheet: str, cell: str, inside: str, kind: str = "") -> Path:
    """The workbook with other XML inside one cell and no other change, as by a program that works nothing out."""
    contents = parts(book)
    part = OpenedBook(book).sheets[sheet].part
    pattern = rf'<c r="{cell}"[^>]*?(?:/>|>.*?</c>)'.encode()
    contents[part], count = re.subn(pattern, f'<c r="{cell}"{kind}>{inside}</c>'.encode(), contents[part])
    assert count == 1
    return write_parts(to, contents)


def with_words(book: Path, to: Path, old: str, new: str) -> Path:
    """The workbook with other words in place of its own, wherever they stand."""
    contents = {
        name: part.replace(f">{old}<".encode(), f">{new}<".encode()) for name, part in parts(book).items()
    }
    return write_parts(to, contents)


def with_row_put_in(book: Path, to: Path, sheet: str, at: int) -> Path:
    """The workbook with a blank row put in, by a program that moves no formulas."""
    contents = parts(book)
    part = OpenedBook(book).sheets[sheet].part

    def moved(found: re.Match[bytes]) -> bytes:
        row = int(found[2])
        return found[1] + str(row + (row >= at)).encode() + b'"'

    contents[part] = re.sub(rb'(<(?:row|c) r="[A-Z]*)(\d+)"', moved, contents[part])
    return write_parts(to, contents)

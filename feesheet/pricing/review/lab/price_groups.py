"""Units of one material that a lab bills at one and the same price above its list: one finding, not one a line."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab.alloy_rows import terms_of
from feesheet.pricing.review.lab.letters import counted, day_words, money_words
from feesheet.pricing.review.lab.line_tests import back_words, units_words
from feesheet.pricing.review.lab.paid_back import SHEET

GROUPS = "price_groups"

FEWEST = 3
"""Lines at one price that are one finding: what happens three times is a price, not a slip (common practice, no source)."""


REBATES = ("discount", "credit")
"""Kinds of line that a rebate on a whole invoice has."""


def group_numbers(
    rows: pd.DataFrame, list_price: np.ndarray, digits: int, days_over: Sequence[bool]
) -> list[int]:
    """The group of each tested line; 0 for a line of its own. `list_price` is the list's for each line, `days_over` whether
    the days to dispute it are over: what can still be disputed is not mixed with what can't."""
    price = (rows["amount"] / rows["units"]).round(digits)
    keys = pd.DataFrame(
        {"lab": rows["lab"].astype(str), "price_no": rows["price_no"], "price": price, "late": days_over}
    )
    over = (price.to_numpy() > list_price + 0.5 * 10.0**-digits).tolist()
    sizes = (
        keys.loc[np.array(over, dtype=bool)].groupby(["lab", "price_no", "price", "late"], sort=False).size()
    )
    numbers = {key: number for number, key in enumerate(sizes.index[sizes >= FEWEST], start=1)}
    named = keys.itertuples(index=False, name=None)
    return [numbers.get(key, 0) if above else 0 for key, above in zip(named, over, strict=True)]


def add_groups(model: Model, tests: str, rows: pd.DataFrame, groups: list[int]) -> None:
    """Add the groups of the block of tests, whose counter is `group_no`."""
    count = max(groups, default=0)
    first = [groups.index(number) for number in range(1, count + 1)]
    block = Block(
        GROUPS,
        SHEET,
        "Prices above the list, again and again",
        count,
        f"At least {FEWEST} lines of one material at one price: one finding each.",
        label=("group_lab", "group_material"),
    )
    block.number()
    for name, heading in (("lab", "Lab"), ("material", "Material")):
        block.given(f"group_{name}", heading, [str(rows[name].iloc[row]) for row in first])
    block.count("group_lines", "Lines", f"{tests}.group_no", "no")
    for name, heading, unit, source in (
        ("group_units", "Units", "units", "units"),
        ("group_amount", "Amount", "money", "amount"),
        ("money", "Money", "money", "money"),
    ):
        block.total(name, heading, unit, f"{tests}.{source}", f"{tests}.group_no", "no")
    model.add(block)


def found_groups(
    practice: Practice, parts: pd.DataFrame, numbers: Numbers, tests: str, least: float
) -> list[Finding]:
    """A finding for each group that costs more than the list."""
    group_no = np.asarray(numbers.of(tests, "group_no"), dtype=int)
    places = np.asarray(numbers.of(tests, "line_no"), dtype=int) - 1
    listed, billed, paid_back = (
        np.asarray(numbers.of(tests, name)) for name in ("list_price", "price_billed", "back_left")
    )
    result, rebating, terms = [], _labs_with_rebates(parts), terms_of(practice)
    for row, money in enumerate(np.asarray(numbers.of(GROUPS, "money"), dtype=float).tolist()):
        of = np.flatnonzero(group_no == row + 1)
        lines = parts.iloc[places[of]].sort_values("date", kind="stable")
        if money <= least:
            continue
        back = float(paid_back[of].sum())
        words = _words(practice, lines, float(billed[of[0]]), float(listed[of[0]]), money, back)
        last = lines.iloc[-1]
        rebates = " Rebates on whole invoices are not counted." if str(last["lab"]) in rebating else ""
        days = [terms.left(last["lab"], day) for day in (lines["date"].iloc[0], last["date"])]
        left = days[1] if days[0] is None or days[0] < 0 else days[0]
        result.append(
            Finding(
                "over the price list",
                str(last["lab"]),
                str(last["site"]) if lines["site"].astype(str).nunique() == 1 else "several",
                counted(lines["invoice"].astype(str).nunique(), "invoice"),
                tuple(int(line) for line in lines["line"]),
                GROUPS,
                row + 1,
                money,
                words + rebates,
                left,
            )
        )
    return result


def _labs_with_rebates(parts: pd.DataFrame) -> set[str]:
    """The labs that gave a rebate on a whole invoice in the period: money back that names neither teeth nor case."""
    whole = (parts["whole_teeth"] == "") & (parts["case_no"] == 0)
    given = (parts["amount"] < 0) & parts["kind"].isin(REBATES) & (parts["returned"] == "")
    return set(parts.loc[whole & given & parts["in_window"] & ~parts["copy"], "lab"].astype(str))


def _words(
    practice: Practice, lines: pd.DataFrame, billed: float, listed: float, money: float, back: float
) -> str:
    units = units_words(
        pd.Series({"units": float(lines["units"].sum()), "material": lines["material"].iloc[0]})
    )
    invoices = list(dict.fromkeys(lines["invoice"].astype(str)))
    since, until = (day_words(day) for day in (lines["date"].iloc[0], lines["date"].iloc[-1]))
    price, of_list, due = (money_words(practice, amount) for amount in (billed, listed, money))
    return (
        f"From {since} to {until}, {units} on {counted(len(invoices), 'invoice')} were billed at {price} each; your price list "
        f"has {of_list}.{back_words(practice, back)} Please credit {due}, or send us the list that holds. Invoices: {', '.join(invoices)}."
    )

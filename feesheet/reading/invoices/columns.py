"""Which column of a table holds what, where its headings leave it open: held against its rows and totals."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from feesheet.reading.gate import column_letters
from feesheet.reading.invoices import words
from feesheet.reading.invoices.context import Context
from feesheet.reading.invoices.evidence import Evidence
from feesheet.reading.invoices.headings import Heading
from feesheet.reading.invoices.rows import Item
from feesheet.reading.invoices.sections import Part, text_at

MOST_UNFIT = 0.02
"""Share of rows that may not fit a column taken from the evidence."""
MOST_ROWS = 5000
"""Rows that are looked at to find out what a column is."""
CENT = 0.0051


@dataclass
class Columns:
    """The column of each field ("amount" is the one that counts), and how amounts and quantities come about.

    `minus` is a column of credits. `without_tax` says that the amount holds the tax of its row, which is taken
    out; `with_tax` that amounts hold tax that can't be taken out row by row. `divides`: the quantity is
    amount / price; `multiplies`: the amount is quantity × price. `assumed` says so in words, `asks` is what
    could not be found out.
    """

    at: dict[str, int]
    minus: int = -1
    without_tax: bool = False
    with_tax: bool = False
    divides: bool = False
    multiplies: bool = False
    assumed: list[str] = field(default_factory=list)
    asks: str = ""

    def column(self, name: str) -> int:
        """The column of a field, -1 where there is none."""
        return self.at.get(name, -1)


class _Table:
    """The rows under one heading, as numbers of a column."""

    def __init__(self, part: Part, items: Sequence[Item], evidence: Evidence) -> None:
        self.rows = [part.grid.rows[item.row] for item in items[:MOST_ROWS]]
        self.evidence = evidence

    def numbers(self, at: int) -> list[float]:
        """The column's numbers, NaN where a row has none."""
        count = self.evidence.count
        return [count(row[at]) if at < len(row) else math.nan for row in self.rows]

    def share(self, test: Callable[..., bool], *columns: int) -> tuple[float, int]:
        """The share of rows with all those numbers that pass the test, and how many such rows there are."""
        lists = [self.numbers(at) for at in columns]
        full = [values for values in zip(*lists, strict=True) if not any(map(math.isnan, values))]
        return (sum(test(*values) for values in full) / len(full) if full else 0.0), len(full)

    def fits(self, test: Callable[..., bool], *columns: int) -> bool:
        """Whether enough rows have all those numbers and pass the test."""
        share, count = self.share(test, *columns)
        return share >= 1 - MOST_UNFIT and 2 * count >= len(self.rows) > 0


def resolved(
    part: Part,
    heading: Heading,
    items: Sequence[Item],
    totals: Iterable[float],
    evidence: Evidence,
    context: Context,
) -> Columns:
    """What the columns under a heading hold."""
    table = _Table(part, items, evidence)
    found = Columns(dict(heading.columns))
    _find_products(found, heading, table, context)
    _find_alloy(found, table)
    _find_amount(found, heading, table, set(totals))
    _find_quantity(found, heading, table)
    _find_price(found, heading, table)
    return found


def _product(quantity: float, price: float, amount: float) -> bool:
    return abs(abs(quantity * price) - abs(amount)) <= CENT


def _find_products(found: Columns, heading: Heading, table: _Table, context: Context) -> None:
    """Without a heading of products: the unknown column with the most words of the trade; asked if there is none."""
    if "description" in found.at:
        return

    def known(at: int) -> int:
        texts = dict.fromkeys(text_at(row, at) for row in table.rows[:200])
        return sum(words.product_of(text, context).strip("… ") != "" for text in texts if text)

    best = max(heading.unknown, key=known, default=-1)
    if best < 0 or not known(best):
        found.asks = "No column holds the products of the lines." if heading.of_lines else ""
    else:
        found.at["description"] = best
        found.assumed.append(f"Column {column_letters(best + 1)} is taken for the products.")


def _find_alloy(found: Columns, table: _Table) -> None:
    """A column headed "alloy" holds the alloy's name or its amount."""
    at = found.column("extra_text")
    if at >= 0 and "alloy_amount" not in found.at:
        full = [row[at] for row in table.rows if at < len(row) and row[at] not in ("", None)]
        if full and all(isinstance(table.evidence.number(cell), float) for cell in full):
            found.at["alloy_amount"] = found.at.pop("extra_text")


def _find_amount(found: Columns, heading: Heading, table: _Table, totals: set[float]) -> None:
    """Which column is the amount without tax; held against quantity × price, tax and totals."""
    at = found.at
    is_open = {"quantity", "net", "amount"} <= set(at) and "unit_price" not in at
    if is_open and table.fits(_product, at["quantity"], at["net"], at["amount"]):
        at["unit_price"] = at.pop("net")
    twice = [column for name, column in heading.doubles if name == "amount"]
    if twice and "amount" in at:
        at["amount"] = _likeliest(found, [at["amount"], *twice], table, totals)
    if "net" in at:
        at["amount"] = at["net"]
    elif "amount" not in at and "gross" in at:
        at["amount"] = at["gross"]
        found.without_tax, found.with_tax = "tax" in at, "tax" not in at
    elif "amount" in at and "gross" not in at and "tax" in at:
        _hold_against_totals(found, table, totals)
    if "amount" not in at and ("charges" in at or "credits" in at):
        found.minus = at.get("credits", -1)
        at["amount"] = at.get("charges", found.minus)
    if "amount" not in at:
        _without_amount(found, heading, table, totals)


def _likeliest(found: Columns, columns: list[int], table: _Table, totals: set[float]) -> int:
    """Of several columns of amounts: the one that is quantity × price, else the one whose sum is a total."""
    quantity, price = found.column("quantity"), found.column("unit_price")
    if quantity >= 0 and price >= 0:
        fit = [at for at in columns if table.fits(_product, quantity, price, at)]
        if fit:
            return fit[0]
    sums = {at: _total(table.numbers(at)) for at in columns}
    fit = [at for at in columns if any(abs(sums[at] - total) < CENT for total in totals)]
    best = min(fit or columns, key=lambda at: abs(sums[at]))
    found.assumed.append(
        f"Of the columns {' and '.join(column_letters(at + 1) for at in columns)}, "
        f"{column_letters(best + 1)} is taken for the amounts without tax."
    )
    return best


def _total(numbers: Iterable[float]) -> float:
    return math.fsum(number for number in numbers if not math.isnan(number))


def _hold_against_totals(found: Columns, table: _Table, totals: set[float]) -> None:
    """Whether amounts beside a column of tax hold that tax already: their sum or the sum with tax is a total."""
    amounts, tax = _total(table.numbers(found.at["amount"])), _total(table.numbers(found.at["tax"]))
    whole = any(abs(amounts - total) < CENT for total in totals)
    if tax and whole and not any(abs(amounts + tax - total) < CENT for total in totals):
        letter = column_letters(found.at["amount"] + 1)
        found.without_tax = True
        found.assumed.append(
            f"The amounts of column {letter} are taken to hold tax: they add up to the total with it."
        )


def _without_amount(found: Columns, heading: Heading, table: _Table, totals: set[float]) -> None:
    """No column of amounts: an unknown one that is quantity × price, else the product itself, or the price alone."""
    at = found.at
    price, quantity = found.column("unit_price"), found.column("quantity")
    if price < 0:
        fit = [one for one in heading.unknown if _is_sum(table, one, totals)]
        if fit:
            at["amount"] = fit[0]
            found.assumed.append(
                f"Column {column_letters(fit[0] + 1)} is taken for the amounts: it adds up to the total."
            )
        elif "alloy_amount" not in at:
            found.asks = "No column holds the amounts of the lines."
        return
    if quantity < 0:
        at["amount"] = at.pop("unit_price")
        return
    fit = [one for one in heading.unknown if table.fits(_product, quantity, price, one)]
    if fit:
        at["amount"] = fit[0]
        found.assumed.append(
            f"Column {column_letters(fit[0] + 1)} is taken for the amounts: it is quantity × price."
        )
    elif _is_sum(table, price, totals):
        at["amount"] = at.pop("unit_price")
        found.assumed.append("The prices are taken for the amounts of whole lines: they add up to the total.")
    else:
        found.multiplies = True
        found.assumed.append("No column of amounts: the amount is taken to be quantity × price.")


def _is_sum(table: _Table, at: int, totals: set[float]) -> bool:
    numbers = [number for number in table.numbers(at) if not math.isnan(number)]
    whole = math.fsum(numbers)
    return bool(numbers) and any(abs(whole - total) < CENT for total in totals)


def _find_quantity(found: Columns, heading: Heading, table: _Table) -> None:
    """Without a column of quantities, or of prices: an unknown one that makes quantity × price = amount."""
    at = found.at
    amount, price, quantity = found.column("amount"), found.column("unit_price"), found.column("quantity")
    free = [one for one in heading.unknown if one not in at.values()]
    if amount < 0 or found.multiplies or (quantity >= 0 and price >= 0):
        return
    if quantity >= 0:
        fit = [one for one in free if table.fits(_product, quantity, one, amount)]
        if fit:
            at["unit_price"] = fit[0]
            found.assumed.append(
                f"Column {column_letters(fit[0] + 1)} is taken for the prices: quantity × it = amount."
            )
    elif price >= 0:
        fit = [one for one in free if table.fits(_product, one, price, amount)]
        if fit:
            at["quantity"] = fit[0]
            found.assumed.append(
                f"Column {column_letters(fit[0] + 1)} is taken for the quantities: it × price = amount."
            )
        else:
            _divide(found, table, price, amount)


def _find_price(found: Columns, heading: Heading, table: _Table) -> None:
    """Of two columns of prices, such as the list's and the clinic's own: the one that makes quantity × price = amount."""
    quantity, price, amount = (found.column(name) for name in ("quantity", "unit_price", "amount"))
    if min(quantity, price, amount) < 0 or table.fits(_product, quantity, price, amount):
        return
    twice = [column for name, column in heading.doubles if name == "unit_price"]
    free = [one for one in (*twice, *heading.unknown) if one not in found.at.values()]
    fit = [one for one in free if table.fits(_product, quantity, one, amount)]
    if fit:
        found.at["unit_price"] = fit[0]
        found.assumed.append(
            f"Column {column_letters(fit[0] + 1)} is taken for the prices: quantity × it = amount."
        )


def _divide(found: Columns, table: _Table, price: int, amount: int) -> None:
    share, count = table.share(_is_multiple, price, amount)
    if count and share < 1 - MOST_UNFIT:
        found.asks = f"No column holds quantities, and the amount is no multiple of the price in {1 - share:.0%} of the rows."
    elif count:
        found.divides = True
        found.assumed.append("No column of quantities: the quantity is taken to be amount / price.")


def _is_multiple(price: float, amount: float) -> bool:
    """Whether the amount is a whole number of times the price, or some weight in tenths or hundredths times it."""
    if not price:
        return not amount
    times = round(amount / price, 2)
    return abs(times * price - amount) <= CENT and (times == round(times) or abs(times) < 50)

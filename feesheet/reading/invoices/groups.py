"""The rows of one paper as one document, or as one for each invoice number and clinic that its rows name."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from feesheet.reading.invoices import totals
from feesheet.reading.invoices.columns import CENT, Columns
from feesheet.reading.invoices.document import Document, Line
from feesheet.reading.invoices.rows import Walked
from feesheet.reading.invoices.sections import text_at
from feesheet.reading.invoices.total_rows import Check
from feesheet.reading.invoices.wordings import Reading

_CARRIED = frozenset({"balance", "payment"})
_WHOLE = frozenset({"total", "due"})


@dataclass
class Read:
    """The rows of one paper as lines: `by_row[n]` are those of the walk's item n."""

    walked: Walked
    by_row: list[list[Line]] = field(default_factory=list)
    columns: dict[int, Columns] = field(default_factory=dict)

    @property
    def lines(self) -> list[Line]:
        """All lines in the order of their rows."""
        return [line for some in self.by_row for line in some]

    @property
    def with_tax(self) -> bool:
        """Whether the amounts hold tax that can't be taken out row by row."""
        return any(columns.with_tax for columns in self.columns.values())


@dataclass
class Group:
    """The rows of one invoice: the numbers of its items in the walk, and its totals."""

    number: str
    lab: str
    clinic: str
    items: list[int] = field(default_factory=list)
    checks: list[Check] = field(default_factory=list)


def grouped(document: Document, read: Read, reading: Reading) -> list[Document]:
    """The documents of one paper, each with its lines and totals; totals of several together are checks."""
    groups = _groups(document.number, read, reading)
    if not groups:
        groups = [Group(document.number, "", "")]
    whole = _deal(groups, read, reading)
    found = [_made(group, document, read, reading) for group in groups]
    first = found[0]
    first.assumed = [*document.assumed, *first.assumed]
    if whole:
        rest = replace(document, lines=[], assumed=[], problems=[])
        _settle(rest, whole, range(len(read.by_row)), read, reading)
        first.lines += rest.lines
        _hold(found, whole, read, reading)
    if (
        len(found) > 1
        and all(math.isnan(one.total) for one in found)
        and not any(one.kind in _WHOLE for one in whole)
    ):
        what = (
            f"No total stands below these {len(found)} invoices, so nothing shows whether a line is missing."
        )
        reading.told.add(
            "does not match its total", what, "Nothing, if the lab gives none.", document.header_row - 1, -1
        )
    first.lines += [carried_line(check) for check in read.walked.checks if check.kind in _CARRIED]
    first.problems = [*document.problems, *reading.told.problems()]
    return found


def carried_line(check: Check) -> Line:
    """What was carried over or paid, as a line that is no cost."""
    product = "payment" if check.kind == "payment" else "previous balance"
    return Line(check.row + 1, "balance", product, check.amount)


def shown_currency(reading: Reading) -> str:
    """The currency that the cells show, "" where they show none or several."""
    shown = reading.currencies or reading.evidence.currencies
    return next(iter(shown)) if len(shown) == 1 else ""


def _groups(own: str, read: Read, reading: Reading) -> list[Group]:
    """The rows by invoice, lab and clinic. A row without a number is of the invoice above it."""
    found: dict[tuple[str, str, str], Group] = {}
    rows = reading.part.grid.rows
    number, lab, clinic = own, "", ""
    for place, (item, lines) in enumerate(zip(read.walked.items, read.by_row, strict=True)):
        if not lines:
            continue
        at = item.heading.columns
        row = rows[item.row]
        if lines[0].invoice and lines[0].invoice != number:
            number, lab, clinic = lines[0].invoice, "", ""
        lab, clinic = text_at(row, at.get("lab", -1)) or lab, text_at(row, at.get("clinic", -1)) or clinic
        key = number, lab, clinic
        if key not in found:
            found[key] = Group(*key)
        found[key].items.append(place)
    return list(found.values())


def _deal(groups: Sequence[Group], read: Read, reading: Reading) -> list[Check]:
    """Give each invoice its own totals; those of several together are returned."""
    if len(groups) == 1:
        groups[0].checks = read.walked.checks
        return []
    owner = {place: group for group in groups for place in group.items}
    numbers = {group.number: group for group in groups}
    whole: list[Check] = []
    begun = 0
    for check in read.walked.checks:
        named = numbers.get(_number(check, read, reading))
        above = {id(owner[place]): owner[place] for place in range(begun, check.before) if place in owner}
        group = named or (_nearer(next(iter(above.values())), check, read) if len(above) == 1 else None)
        (group.checks if group is not None else whole).append(check)
        begun = begun if check.kind in ("net", "tax") else check.before
    return whole


def _nearer(group: Group, check: Check, read: Read) -> Group | None:
    """The group alone above a total, None where the total comes nearer to all lines so far."""
    if check.kind not in ("total", "due"):
        return group
    own, so_far = (
        totals.sums_of([read.by_row[place] for place in places])
        for places in ([place for place in group.items if place < check.before], range(check.before))
    )
    tax = math.fsum(one.amount for one in group.checks if one.kind == "tax")
    sums = own.between(0, len(own.amounts))
    gap = min(abs(check.amount - one) for one in (*sums, sums[0] + tax))
    whole = min(abs(check.amount - one) for one in so_far.between(0, check.before))
    return group if gap <= max(whole, CENT) else None


def _number(check: Check, read: Read, reading: Reading) -> str:
    """The invoice number in the row of a total."""
    heading = read.walked.items[check.before - 1].heading if check.before else None
    at = heading.columns.get("invoice", -1) if heading is not None else -1
    return text_at(reading.part.grid.rows[check.row], at)


def _made(group: Group, document: Document, read: Read, reading: Reading) -> Document:
    """The document of one group."""
    made = replace(document, number=group.number, lines=[], assumed=[], problems=[])
    made.lines = [line for place in group.items for line in read.by_row[place]]
    for line in made.lines:
        line.invoice = ""
    made.lab = group.lab or document.lab
    made.accounts = [group.clinic] if group.clinic else document.accounts
    made.currency = document.currency or shown_currency(reading)
    if math.isnan(made.day) or group.number != document.number:
        days = {line.day for line in made.lines if not math.isnan(line.day)}
        made.day = days.pop() if len(days) == 1 else math.nan if days else document.day
    _settle(made, group.checks, group.items, read, reading)
    _turn(made)
    return made


def _settle(
    document: Document, checks: Sequence[Check], places: Sequence[int], read: Read, reading: Reading
) -> None:
    """Hold the totals to the lines of those places."""
    own = [replace(check, before=bisect_left(places, check.before)) for check in checks]
    begun = (*read.walked.starts, *(check.before for check in read.walked.checks))
    starts = [bisect_left(places, start) for start in begun]
    sums = totals.sums_of([read.by_row[place] for place in places])
    totals.settle(document, own, sums, starts, reading.told, read.with_tax)


def _turn(document: Document) -> None:
    """Signs that the paper leaves to words: a credit note's amounts, and a discount that its total takes off."""
    charges = [line for line in document.lines if line.kind != "balance" and not math.isnan(line.amount)]
    whole = math.fsum(line.amount for line in charges)
    if document.kind == "credit note" and whole > 0:
        for line in charges:
            line.amount = -line.amount
        document.total, document.net = -abs(document.total), -abs(document.net)
        return
    for line in charges:
        off = line.kind == "discount" and line.amount > 0
        if off and abs(whole - 2 * line.amount - document.total) < CENT:
            line.amount = -line.amount
            document.assumed.append("A discount is taken off: the total shows it.")
            return


def _hold(found: Sequence[Document], checks: Sequence[Check], read: Read, reading: Reading) -> None:
    """The total of several invoices together, held to all of their lines; an amount due, where nothing was carried over."""
    whole = totals.whole_of(checks, any(check.kind in _CARRIED for check in read.walked.checks))
    if whole is not None:
        sums = totals.sums_of([document.lines for document in found])
        fits = sums.between(0, len(found))
        if min(abs(whole.amount - sign * one) for one in fits for sign in _signs(found[0])) > CENT:
            totals.differs(whole, fits[1], reading.told)


def _signs(document: Document) -> tuple[int, ...]:
    """A credit note's amounts are negative, its total may be written without a sign."""
    return (1, -1) if document.kind == "credit note" else (1,)

"""The way from a figure of a delivered workbook to the figures behind it, each told once."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date
from typing import Any

from feesheet.uses.delivered import Delivered, Span, address
from feesheet.uses.engine import Engine
from feesheet.uses.figures import said
from feesheet.uses.references import Cell, Reader, Rows, bare
from feesheet.uses.told import Told

MOST_ROWS = 12
"""Rows behind a sum that are listed; the rest is counted and added up."""

FOLLOWED = 4
"""Up to so many rows behind a sum are each followed further; of more, only the largest."""

FEW = 3
"""Up to so many rows behind a sum of units are listed; more only where they add up money, grams or minutes."""

_NOISE = 1e-6
_COUNTED = ("", "units")
_ALTERNATIVE = re.compile(r" \([^()]* if (?:that is nought|there is none)\)")
_TECHNICAL = re.compile("digits|[A-Z]{3}")
"""Units of fixed numbers that say nothing about a fee: digits of roundings, amounts that stand for no limit."""

_ROUNDED = re.compile(r" rounded to Digits kept [a-z /]+ digits")
_TWICE = re.compile(r"\(\(([^()]*)\)\)")
_BRANCHES = re.compile(r"(.*) if (.*), else (.*)")
_OWN = ("schedule", "costs", "plan_items", "fee_rules", "margins", "path")
"""Tables with one row an item: their rows need no label where they are the item's own."""

_LINE = ("file", "sheet", "row", "date", "lab", "product")
"""What tells a person which invoice line it is."""


class Trail:
    """Tells figures of one item of the fee schedule (its code and site)."""

    def __init__(self, book: Delivered, engine: Engine, item: tuple[str, str]) -> None:
        """Nothing is told yet."""
        self._book, self._engine, self._item = book, engine, item
        names = engine.names()
        self._reader = Reader(self._value, names)
        digits = names.get("money_digits")
        self._digits = int(self._value(Cell(digits[0], digits[1], digits[2] - 1))) if digits else 2
        self._told: set[Cell] = set()
        self._rows_told: dict[str, set[int]] = {}
        self._later: set[Cell] = set()

    def short(self, cell: Cell) -> Told:
        """A figure without what is behind it."""
        span = self._span(cell)
        return Told(span.heading, self._said(cell), sheet=cell.sheet, cell=address(cell.row, cell.column))

    def rules(self, new_fee: Cell, reason: Cell, later: Iterable[Cell]) -> Told:
        """The new fee: what each rule made of the needed fee. The figures in `later` are told after it."""
        self._later |= {self._end(cell) for cell in later}
        told = self.short(new_fee)
        told.note = str(self._value(reason)).strip() or "no rule changed it"
        spans = self._book.block("fee_rules")
        row = self._row_of_item(spans["fee_before_rules"])
        fees = {name: Cell(span.sheet, row, span.column) for name, span in spans.items()}
        told.parts = [self.short(fees["fee_before_rules"])]
        needed = self._book.block("plan_items")["out_of_reach"]
        reached = self._value(Cell(needed.sheet, self._row_of_item(needed), needed.column)) != 1
        told.parts[0].note = (
            "the needed fee, told below" if reached else "the current fee: no fee reaches the margin"
        )
        before = fees["fee_before_rules"]
        self._told.add(before)
        for name, cell in fees.items():
            if re.fullmatch(r"fee_\d+", name):
                why = str(self._value(fees[name.replace("fee", "reason")])).strip()
                told.parts.append(self._rule(cell, why))
        return told

    def _row_of_item(self, span: Span) -> int:
        """The item's row in a table that has one row an item."""
        rows = (Cell(span.sheet, row, span.column) for row in range(span.first_row, span.last_row + 1))
        return next(cell.row for cell in rows if self._is_own_or_shared(cell))

    def _rule(self, cell: Cell, why: str) -> Told:
        """One rule's fee; if it changed the fee, with the figure that decided."""
        told = self.short(cell)
        told.note = why or "no change"
        self._told.add(cell)
        if why:
            fee = self._value(cell)
            reads = self._reader.read(self._formula(cell), cell.sheet)
            deciding = [one for one in reads if isinstance(one, Cell) and self._value(one) == fee]
            told.parts = self._parts(deciding, cell)
        return told

    def tell(self, cell: Cell, above: Cell | None = None, first: bool = False) -> Told | None:
        """A figure with all that is behind it; None for what only numbers rows or holds nothing."""
        end = self._end(cell)
        span, value = self._span(end), self._value(end)
        if span.counter or value == "" or self._is_technical(end):
            return None
        heading = (
            self._span(cell).heading if self._span(cell).block not in ("inputs", "fixed", "choices") else ""
        )
        told = Told(
            heading, self._said(end, self._span(cell)), sheet=end.sheet, cell=address(end.row, end.column)
        )
        told.of = self._label(end, above)
        if span.block in ("inputs", "choices", "fixed"):
            self._typed(told, end, span)
        elif end in self._later and not first:
            told.note = "told below"
        elif end in self._told:
            told.note = "see above" if span.calculated else ""
        elif span.calculated and self._is_own_or_shared(end):
            self._told.add(end)
            self._behind(told, end, span)
        return told

    def _behind(self, told: Told, cell: Cell, span: Span) -> None:
        """How a calculated figure comes about, and the figures it reads."""
        reads = self._reader.read(self._formula(cell), cell.sheet)
        sums = [one for one in reads if isinstance(one, Rows)]
        if len(sums) == 1 and len([one for one in reads if isinstance(one, Cell)]) == 0:
            self._sum(told, sums[0])
            return
        value = self._value(cell)
        if value == 0:
            return
        if isinstance(value, str):
            told.parts = self._parts(self._reader.read_all(self._formula(cell), cell.sheet), cell)
            return
        self._word(told, cell, span)
        if self._reader.decides(self._formula(cell), cell.sheet):
            self._decided(told, cell, reads)
        else:
            told.parts = self._parts(reads, cell)

    def _word(self, told: Told, cell: Cell, span: Span) -> None:
        """The calculation in words, of alternatives the one that was taken; what goes over plans by its meaning."""
        if "the plans" in span.words:
            told.note = span.meaning.partition(" Unit:")[0].rstrip(".")
            return
        words = _TWICE.sub(r"(\1)", _ROUNDED.sub("", _ALTERNATIVE.sub("", span.words)))
        branch = self._reader.branch(bare(self._formula(cell)), cell.sheet)
        found = _BRANCHES.fullmatch(words)
        if branch and found and words.count(" if ") == 1:
            words = found[1] if branch == 1 else found[3]
            words = words[1:-1] if words.startswith("(") and words.endswith(")") else words
        told.words = words

    def _decided(self, told: Told, cell: Cell, reads: Iterable[Cell | Rows]) -> None:
        """The largest or smallest of several: the one that decided is followed, the others are only said."""
        for one in reads:
            if isinstance(one, Cell) and self._value(self._end(one)) == self._value(cell):
                told.parts += self._parts([one], cell)
            elif isinstance(one, Cell) and not self._is_technical(self._end(one)):
                told.parts.append(self.short(one))

    def _parts(self, reads: Iterable[Cell | Rows], above: Cell) -> list[Told]:
        parts = []
        for one in reads:
            if isinstance(one, Cell) and self._book.span(one.sheet, one.row, one.column) is not None:
                parts.append(self.tell(one, above))
        return [part for part in parts if part is not None]

    def _sum(self, told: Told, rows: Rows) -> None:
        """The rows behind a sum or a count."""
        table = self._table(rows)
        if rows.column is None:
            told.words = f"the number of its rows in “{table.table}”"
            return
        filled = [row for row in rows.rows if self._value(Cell(rows.sheet, row, rows.column)) not in ("", 0)]
        many = f"{len(filled)} row{'' if len(filled) == 1 else 's'}"
        told.words = f"the sum of “{table.heading}” over {many} of “{table.table}”" if filled else ""
        if not filled:
            told.note = f"nothing in “{table.table}”"
        elif set(filled) <= self._rows_told.setdefault(rows.sheet, set()):
            told.note = "rows listed above"
        elif table.unit not in _COUNTED or len(filled) <= FEW:
            self._rows_told[rows.sheet].update(filled)
            told.parts = self._listed(rows.sheet, rows.column, filled)

    def _listed(self, sheet: str, column: int, rows: list[int]) -> list[Told]:
        cells = [Cell(sheet, row, column) for row in rows]
        largest = max(cells, key=lambda cell: abs(self._number(cell)))
        shown = cells if len(cells) <= MOST_ROWS else self._with(cells[:MOST_ROWS], largest)
        told = [self._row(cell, len(cells) <= FOLLOWED or cell == largest) for cell in shown]
        rest = [cell for cell in cells if cell not in shown]
        if rest:
            total = said(sum(self._number(cell) for cell in rest), self._span(rest[0]).unit, self._digits)
            told.append(Told("", "", of=f"… and {len(rest)} more, {total} in all"))
        return told

    def _with(self, cells: list[Cell], largest: Cell) -> list[Cell]:
        """The cells, the largest in place of the last if it is not among them."""
        return cells if largest in cells else [*cells[:-1], largest]

    def _row(self, cell: Cell, follow: bool) -> Told:
        span = self._span(cell)
        if span.block == "lines":
            return self._line(cell)
        told = self.tell(cell) if follow else None
        if told is None:
            told = Told("", self._said(cell), sheet=cell.sheet, cell=address(cell.row, cell.column))
        told.heading, told.of = "", self._row_label(cell)
        if len(told.parts) <= 1 and not any(part.parts or part.note for part in told.parts):
            told.words, told.parts = "", []
        return told

    def _line(self, cell: Cell) -> Told:
        """An invoice line: where it was read, and how much of it counts here."""
        spans = self._book.block("lines")
        amount = Cell(cell.sheet, cell.row, spans["amount"].column)
        told = Told("", self._said(cell), of=self._line_label(cell.row), sheet=cell.sheet)
        told.cell = address(cell.row, cell.column)
        if self._span(cell).unit == spans["amount"].unit:
            told.note = self._line_note(cell, amount, Cell(cell.sheet, cell.row, spans["share"].column))
        return told

    def _line_note(self, cell: Cell, amount: Cell, share: Cell) -> str:
        """Why not exactly the line's amount counts: a line split over several, charges on the whole invoice."""
        part, counted = self._number(share), self._number(cell)
        if abs(counted - self._number(amount)) < _NOISE:
            return ""
        note = (
            f"{self._said(amount)} on the line"
            if part == 1
            else f"{part:.1%} of {self._said(amount)} on the line"
        )
        charged = abs(counted - self._number(amount) * part) >= _NOISE
        return note + (" with its share of the whole invoice's charges" if charged else "")

    def _line_label(self, row: int) -> str:
        spans = self._book.block("lines")
        words = [self._book.value(spans[name].sheet, row, spans[name].column) for name in _LINE]
        words[2] = f"row {words[2]:g}" if isinstance(words[2], (int, float)) else words[2]
        return ", ".join(said(word, "") for word in words if word != "")

    def _row_label(self, cell: Cell) -> str:
        """Which row it is: the invoice line where the row points to one, else its words."""
        block = self._span(cell).block
        spans = self._book.block(block)
        if block == "lines":
            return self._line_label(cell.row)
        if "line_no" in spans:
            return self._line_label(self._pointed(cell, "line_no", "lines"))
        if "step_no" in spans:
            step, role = self._book.block("steps")["step"], spans["role"]
            done = self._book.value(step.sheet, self._pointed(cell, "step_no", "steps"), step.column)
            return f"{self._book.value(role.sheet, cell.row, role.column)}, {done}"
        words = [
            self._book.value(span.sheet, cell.row, span.column)
            for span in spans.values()
            if not span.calculated
        ]
        return ", ".join(said(word, "") for word in words if word != "" and isinstance(word, (str, date)))

    def _pointed(self, cell: Cell, counter: str, table: str) -> int:
        """The row of another table that a row points to by number."""
        number = self._number(
            Cell(cell.sheet, cell.row, self._book.block(self._span(cell).block)[counter].column)
        )
        return next(iter(self._book.block(table).values())).first_row + int(number) - 1

    def _label(self, cell: Cell, above: Cell | None) -> str:
        span = self._span(cell)
        if span.block in ("inputs", "choices", "fixed"):
            return ""
        if above is not None and self._row_label(above) == self._row_label(cell):
            return ""
        return "" if span.block in _OWN and self._is_own_or_shared(cell) else self._row_label(cell)

    def _is_own_or_shared(self, cell: Cell) -> bool:
        """Whether the cell is not another item's."""
        spans = self._book.block(self._span(cell).block)
        if not {"code", "site"} <= spans.keys():
            return True
        found = (str(self._book.value(cell.sheet, cell.row, spans[name].column)) for name in ("code", "site"))
        return tuple(found) == self._item

    def _typed(self, told: Told, cell: Cell, span: Span) -> None:
        """A figure of the Inputs sheet: where it was read, and whether it was typed over."""
        spans = self._book.block(span.block)

        def beside(name: str) -> Any:
            return self._book.value(span.sheet, cell.row, spans[name].column)

        told.heading = told.heading or str(beside("what"))
        unit = str(beside("unit")) if "unit" in spans else ""
        told.value = said(self._value(cell), unit, self._digits)
        if span.block == "fixed":
            told.note = "" if cell in self._told else str(beside("source"))
            self._told.add(cell)
        else:
            told.note = f"typed in {beside('source')}"
        issued = {"inputs": "as_issued", "choices": "basis_issued"}.get(span.block)
        if issued and beside(issued) != self._value(cell):
            told.note += (
                f"; typed over on the Inputs sheet, as issued {said(beside(issued), unit, self._digits)}"
            )

    def _is_technical(self, cell: Cell) -> bool:
        """Numbers of digits and the like, which say nothing about a fee."""
        span = self._span(cell)
        return span.block == "fixed" and bool(_TECHNICAL.fullmatch(self._unit_beside(cell)))

    def _unit_beside(self, cell: Cell) -> str:
        unit = self._book.block("fixed")["unit"]
        return str(self._book.value(unit.sheet, cell.row, unit.column))

    def _end(self, cell: Cell) -> Cell:
        """The cell that a figure really comes from: cells that only pass it on are left out."""
        while (span := self._book.span(cell.sheet, cell.row, cell.column)) is not None and span.calculated:
            onward = self._reader.passes_on(self._formula(cell), cell.sheet)
            if onward is None or self._book.span(onward.sheet, onward.row, onward.column) is None:
                return cell
            cell = onward
        return cell

    def _formula(self, cell: Cell) -> str:
        return self._engine.formula(cell.sheet, cell.row, cell.column + 1)

    def _table(self, rows: Rows) -> Span:
        column = rows.column
        spans = [
            s for s in self._book.spans if s.sheet == rows.sheet and (column is None or s.column == column)
        ]
        row = rows.rows[0] if rows.rows else 0
        return next((s for s in spans if s.first_row <= row <= s.last_row), spans[0])

    def _span(self, cell: Cell) -> Span:
        span = self._book.span(cell.sheet, cell.row, cell.column)
        if span is None:
            raise LookupError(f"{cell} belongs to no table")
        return span

    def _value(self, cell: Cell) -> Any:
        return self._book.value(cell.sheet, cell.row, cell.column)

    def _number(self, cell: Cell) -> float:
        value = self._value(cell)
        return float(value) if isinstance(value, (int, float)) else 0.0

    def _said(self, cell: Cell, span: Span | None = None) -> str:
        return said(self._value(cell), (span or self._span(cell)).unit, self._digits)

"""What a formula of a delivered workbook reads: single cells, the rows behind a sum, whole ranges.

Only the formulas that the workbook is written with are understood; of an IF only the branch that was taken.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from feesheet.reading import gate


@dataclass(frozen=True)
class Cell:
    """One cell; the row counts from 1, the column from 0."""

    sheet: str
    row: int
    column: int


@dataclass(frozen=True)
class Rows:
    """The rows that a sum adds up (`column` says which figures) or that a count counts (`column` is None)."""

    sheet: str
    column: int | None
    rows: tuple[int, ...]


Reference = Cell | Rows
ValueOf = Callable[[Cell], Any]

_R = r"(?:(?:'[^']+'|[A-Za-z_]\w*)!)?\$?[A-Z]{1,3}\$?\d+(?::\$?[A-Z]{1,3}\$?\d+)?(?![\w(])"
_READS = re.compile(
    rf"INDEX\((?P<list>{_R}),(?P<at>{_R})\)"
    rf"|SUMIFS\((?P<sum>{_R}),(?P<keys>{_R}),(?P<key>{_R})(?P<flags>(?:,{_R},1)*)\)"
    rf"|COUNTIFS\((?P<counted>{_R}),(?P<one>{_R})(?P<marks>(?:,{_R},1)*)\)"
    rf"|SUMPRODUCT\(\((?P<where>{_R})=(?P<is>{_R})\)\*(?P<a>{_R})\*(?P<b>{_R})\)"
    rf"|(?P<plain>{_R})"
    r"|(?P<name>[A-Za-z_]\w*)(?![\w(!])"
)
_PARTS = re.compile(
    r"(?:(?P<sheet>'[^']+'|[A-Za-z_]\w*)!)?\$?([A-Z]{1,3})\$?(\d+)(?::\$?([A-Z]{1,3})\$?(\d+))?"
)
_CONDITION = re.compile(rf"(ISNUMBER\()?({_R})\)?(>=1|>0|=0|=\"[^\"]*\")?")
_LINE_MOST = 60
"""A range across more cells than this is not told cell by cell."""


def bare(formula: str) -> str:
    """A formula without spaces outside quotes."""
    return "".join(
        part if position % 2 else part.replace(" ", "")
        for position, part in enumerate(re.split(r"('[^']*'|\"[^\"]*\")", formula))
    )


class Reader:
    """Reads formulas of one workbook. `names` are the cells that names stand for."""

    def __init__(self, value_of: ValueOf, names: dict[str, tuple[str, int, int]]) -> None:
        """Take the workbook's values and names."""
        self._value = value_of
        self._names = {name: Cell(sheet, row, column - 1) for name, (sheet, row, column) in names.items()}

    def passes_on(self, formula: str, sheet: str) -> Cell | None:
        """The one cell whose value a formula only passes on."""
        text = self.taken(bare(formula), sheet)
        found = _READS.fullmatch(text)
        if not found or not (found["plain"] or found["list"] or found["name"]):
            return None
        reads = list(self._reads(found, sheet))
        return reads[0] if len(reads) == 1 and isinstance(reads[0], Cell) else None

    def read(self, formula: str, sheet: str) -> list[Reference]:
        """What the formula reads, in its order, each once."""
        return self._all(self._without_noughts(self.taken(bare(formula), sheet), sheet), sheet)

    def read_all(self, formula: str, sheet: str) -> list[Reference]:
        """The same with the conditions and the branches that were not taken."""
        return self._all(bare(formula), sheet)

    def _all(self, formula: str, sheet: str) -> list[Reference]:
        text = re.sub(r'"[^"]*"', '""', formula)
        return list(
            dict.fromkeys(one for found in _READS.finditer(text) for one in self._reads(found, sheet))
        )

    def taken(self, text: str, sheet: str) -> str:
        """The branch of an IF or CHOOSE that was taken, as far as that can be told; else the text as it is."""
        while True:
            branch = self.branch(text, sheet)
            if branch is None:
                return text
            text = _split(text[text.index("(") + 1 : -1])[branch]

    def branch(self, text: str, sheet: str) -> int | None:
        """Which part of an IF or CHOOSE was taken: 1 for the first after the condition; None if it is neither."""
        word = text.partition("(")[0]
        if word not in ("IF", "CHOOSE") or _closes(text) != len(text) - 1:
            return None
        condition, *branches = _split(text[len(word) + 1 : -1])
        if word == "IF":
            truth = self._truth(condition, sheet)
            return None if truth is None or len(branches) != 2 else 2 - truth
        cell = self.passes_on(condition, sheet)
        number = self._value(cell) if cell else 0
        return int(number) if isinstance(number, (int, float)) and 1 <= number <= len(branches) else None

    def decides(self, formula: str, sheet: str) -> bool:
        """Whether the formula is the largest or the smallest of what it reads."""
        text = self.taken(bare(formula), sheet)
        return text.startswith(("MAX(", "MIN(")) and _closes(text) == len(text) - 1

    def _without_noughts(self, text: str, sheet: str) -> str:
        """The terms of a sum, of a product with a nought only the nought: the rest adds nothing."""
        terms = [_split(term, "*") for term in _split(text, "+-")]
        return "+".join("*".join(self._nought(factors, sheet) or factors) for factors in terms)

    def _nought(self, factors: list[str], sheet: str) -> list[str]:
        for factor in factors if len(factors) > 1 else ():
            cell = self.passes_on(factor, sheet)
            if cell is not None and self._value(cell) == 0:
                return [factor]
        return []

    def _truth(self, condition: str, sheet: str) -> bool | None:
        found = _CONDITION.fullmatch(condition)
        name = re.fullmatch(r"([A-Za-z_]\w*)=\"([^\"]*)\"", condition)
        if name and name[1] in self._names:
            return bool(self._value(self._names[name[1]]) == name[2])
        if not found or not (found[1] or found[3]):
            return None
        value = self._value(next(self._cells(found[2], sheet)))
        if found[1]:
            return isinstance(value, (int, float))
        if found[3].startswith('="'):
            return bool(value == found[3][2:-1])
        number = value if isinstance(value, (int, float)) else 0
        return {">=1": number >= 1, ">0": number > 0, "=0": number == 0}[found[3]]

    def _reads(self, found: re.Match[str], sheet: str) -> Iterator[Reference]:
        if found["list"]:
            yield from self._listed(found["list"], found["at"], sheet)
        elif found["sum"]:
            yield self._rows(found["sum"], found["keys"], found["key"], found["flags"], sheet)
        elif found["counted"]:
            yield self._rows("", found["counted"], found["one"], found["marks"], sheet)
        elif found["where"]:
            yield self._rows(found["a"], found["where"], found["is"], "", sheet)
            yield self._rows(found["b"], found["where"], found["is"], "", sheet)
        elif found["name"]:
            if found["name"] in self._names:
                yield self._names[found["name"]]
        else:
            yield from self._plain(found["plain"], sheet)

    def _listed(self, column: str, at: str, sheet: str) -> Iterator[Cell]:
        number = self._value(next(self._cells(at, sheet)))
        if isinstance(number, (int, float)) and number >= 1:
            first = next(self._cells(column, sheet))
            yield Cell(first.sheet, first.row + int(number) - 1, first.column)

    def _rows(self, amounts: str, keys: str, key: str, flags: str, sheet: str) -> Rows:
        wanted = self._value(next(self._cells(key, sheet)))
        cells = [cell for cell in self._cells(keys, sheet) if self._value(cell) == wanted]
        for flag in re.findall(rf",({_R}),1", flags):
            first = next(self._cells(flag, sheet))
            top = next(self._cells(keys, sheet)).row
            cells = [
                c for c in cells if self._value(Cell(first.sheet, first.row + c.row - top, first.column)) == 1
            ]
        if not amounts:
            return Rows(next(self._cells(keys, sheet)).sheet, None, tuple(cell.row for cell in cells))
        first, top = next(self._cells(amounts, sheet)), next(self._cells(keys, sheet)).row
        return Rows(first.sheet, first.column, tuple(first.row + cell.row - top for cell in cells))

    def _plain(self, text: str, sheet: str) -> Iterator[Reference]:
        cells = list(self._cells(text, sheet))
        if len({cell.row for cell in cells}) == 1 and len(cells) <= _LINE_MOST:
            yield from cells
        else:
            yield Rows(cells[0].sheet, cells[0].column, tuple(cell.row for cell in cells))

    def _cells(self, text: str, sheet: str) -> Iterator[Cell]:
        found = _PARTS.fullmatch(text)
        if found is None:
            raise ValueError(f"{text!r} is no reference")
        where = found["sheet"].strip("'") if found["sheet"] else sheet
        left, top = gate.column_number(found[2]) - 1, int(found[3])
        right = gate.column_number(found[4]) - 1 if found[4] else left
        bottom = int(found[5]) if found[5] else top
        for row in range(top, bottom + 1):
            for column in range(left, right + 1):
                yield Cell(where, row, column)


def _closes(text: str) -> int:
    """Where the first bracket of the text closes."""
    depth, quoted = 0, False
    for position, letter in enumerate(text):
        quoted ^= letter == '"'
        if not quoted:
            depth += (letter == "(") - (letter == ")")
            if depth == 0 and letter == ")":
                return position
    return -1


def _split(text: str, at: str = ",") -> list[str]:
    """The parts between these signs where they stand in no brackets and no quotes."""
    parts, depth, quote = [""], 0, ""
    for letter in text:
        if letter in "\"'":
            quote = "" if quote == letter else quote or letter
        depth += 0 if quote else (letter == "(") - (letter == ")")
        if letter in at and depth == 0 and not quote:
            parts.append("")
        else:
            parts[-1] += letter
    return parts

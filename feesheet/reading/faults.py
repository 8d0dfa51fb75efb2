"""What is wrong with one cell, what its neighbours tell, and how its content is shown."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any


@dataclass(frozen=True)
class Fault:
    """What is wrong with a cell's content: kind, what and do of a `Problem`."""

    kind: str
    what: str
    do: str


@dataclass(frozen=True)
class Evidence:
    """What the other cells tell: decimal marks seen, and orders of day and month, each with an example."""

    marks: dict[str, str]
    orders: dict[str, str]


def quoted(cell: Any) -> str:
    """A cell's content as a problem shows it, long ones cut short."""
    text = shortest(cell)
    return f'"{text[:40]}…"' if len(text) > 41 else f'"{text}"'


def shortest(cell: Any) -> str:
    """A cell's content as text: 451 for 451.0, a day as yyyy-mm-dd."""
    if isinstance(cell, bool):
        return "TRUE" if cell else "FALSE"
    if isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e15:
        return str(int(cell))
    if isinstance(cell, datetime) and not (cell.hour or cell.minute or cell.second):
        return cell.date().isoformat()
    return cell if isinstance(cell, str) else cell.isoformat() if isinstance(cell, date) else str(cell)

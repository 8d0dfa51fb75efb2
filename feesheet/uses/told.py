"""One figure told: its name, its value, how it comes about, and the figures behind it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any


@dataclass
class Told:
    """A figure of the workbook. `of` says which row of its table it is, `note` where it was read or told already."""

    heading: str
    value: str
    words: str = ""
    of: str = ""
    note: str = ""
    sheet: str = ""
    cell: str = ""
    parts: list[Told] = field(default_factory=list)

    def lines(self, depth: int = 0) -> list[str]:
        """This figure and those behind it, one line each, two spaces deeper each time."""
        name = f"{self.heading} for {self.of}" if self.of and self.heading else self.heading or self.of
        line = "  " * depth + (f"{name}: {self.value}" if self.value else name)
        line += f" = {self.words}" if self.words else ""
        line += f" ({self.note})" if self.note else ""
        return [line, *(below for part in self.parts for below in part.lines(depth + 1))]

    def record(self) -> dict[str, Any]:
        """The same for machines; what is empty is left out."""
        made = {key: value for key, value in vars(self).items() if value and key != "parts"}
        return made | ({"parts": [part.record() for part in self.parts]} if self.parts else {})

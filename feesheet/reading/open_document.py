"""What an ods file's own XML says that the fast reader cannot tell: error cells and several currencies."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from xml.parsers import expat

from feesheet.reading.sheet_facts import Cell, Facts

_CURRENCY = re.compile(rb"office:currency=[\"'](\w+)[\"']")
_CELLS = ("table:table-cell", "table:covered-table-cell")


@dataclass
class _Walk:
    """Where the parser stands, and what it has met on the sheet it is in."""

    row: int = 0
    column: int = 0
    repeats: int = 1
    errors: dict[str, dict[Cell, str]] = field(default_factory=dict)
    currency: dict[str, dict[Cell, str]] = field(default_factory=dict)
    sheet: str = ""

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """Note a cell that is an error or shows a currency; repeated cells are counted, noted once."""
        if tag == "table:table":
            self.sheet, self.row = attributes.get("table:name", ""), 0
        elif tag == "table:table-row":
            self.column, self.repeats = 0, int(attributes.get("table:number-rows-repeated", "1"))
        elif tag in _CELLS:
            place = (self.row, self.column)
            if "error" in (attributes.get("calcext:value-type"), attributes.get("office:value-type")):
                self.errors.setdefault(self.sheet, {})[place] = "an error"
            if "office:currency" in attributes:
                self.currency.setdefault(self.sheet, {})[place] = attributes["office:currency"]
            self.column += int(attributes.get("table:number-columns-repeated", "1"))

    def end(self, tag: str) -> None:
        """Count the row that is over."""
        if tag == "table:table-row":
            self.row += self.repeats


def facts(xml: bytes) -> dict[str, Facts]:
    """Error cells and, where there are several, currencies of each sheet; nothing for an ordinary file."""
    several = len(set(_CURRENCY.findall(xml))) > 1
    if not several and b'value-type="error"' not in xml:
        return {}
    walk = _Walk()
    parser = expat.ParserCreate()
    parser.StartElementHandler = walk.start
    parser.EndElementHandler = walk.end
    parser.Parse(xml, True)
    names = walk.errors.keys() | walk.currency.keys()
    return {
        name: Facts(errors=walk.errors.get(name, {}), currency=walk.currency.get(name, {}) if several else {})
        for name in names
    }

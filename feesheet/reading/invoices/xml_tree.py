"""XML of strangers -> a plain tree: no entities, no network, bounded in size, depth and number of parts."""

from __future__ import annotations

from typing import TypeAlias
from xml.etree.ElementTree import Element, TreeBuilder
from xml.parsers import expat

from feesheet.reading.gate import Refusal

MOST_BYTES = 32 * 2**20
MOST_DEPTH = 200
MOST_PARTS = 500_000
"""Elements and attributes together."""
MOST_ATTRIBUTES = 100
MOST_ATTRIBUTE = 65_536
"""The longest value that an attribute may have, in characters."""

LINE = "{}line"
"""The attribute that holds the line of the file where an element begins. No file can write it itself."""

_AGAIN = "Ask the lab to send the invoice again."
_Handler: TypeAlias = "expat.XMLParserType"


def read_xml(data: bytes) -> Element:
    """The root of the file; names of elements carry their namespaces, as in "{namespace}name".

    Raises `Refusal` for a file that is no well-formed XML, declares a document type or is beyond the limits.
    """
    if not data.strip(b"\0\t\r\n "):
        raise Refusal("not a workbook", "The file is empty.", _AGAIN)
    if len(data) > MOST_BYTES:
        raise Refusal("too large", f"The file is larger than {MOST_BYTES // 2**20} MB.", _AGAIN)
    parser = expat.ParserCreate(namespace_separator="}")
    builder = _Builder(parser)
    try:
        parser.Parse(data, True)
    except (expat.ExpatError, LookupError, ValueError) as fault:  # the last two: encodings it doesn't know
        what = "The file is cut short, damaged or no XML."
        raise Refusal("not a workbook", what, _AGAIN, cell=f"line {parser.CurrentLineNumber}") from fault
    return builder.tree.close()


def line_of(element: Element) -> int:
    """The line of the file where the element begins."""
    return int(element.get(LINE, "1"))


class _Builder:
    """Builds the tree while the parser reads, and stops it at whatever no invoice needs."""

    def __init__(self, parser: _Handler) -> None:
        self.parser, self.tree = parser, TreeBuilder()
        self.depth = self.count = 0
        parser.buffer_text = True
        parser.StartElementHandler = self.start
        parser.EndElementHandler = self.end
        parser.CharacterDataHandler = self.tree.data
        parser.StartDoctypeDeclHandler = self.declared
        parser.EntityDeclHandler = self.declared
        parser.ExternalEntityRefHandler = self.declared
        parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)

    def start(self, name: str, attributes: dict[str, str]) -> None:
        self.depth += 1
        self.count += 1 + len(attributes)
        if self.depth > MOST_DEPTH:
            raise self.refused("too large", f"The file nests more than {MOST_DEPTH} elements.")
        if self.count > MOST_PARTS:
            raise self.refused("too large", f"The file holds more than {MOST_PARTS:,} parts.")
        if len(attributes) > MOST_ATTRIBUTES or any(len(v) > MOST_ATTRIBUTE for v in attributes.values()):
            raise self.refused("too large", "An element has more or longer attributes than an invoice needs.")
        known = {_full(key): value for key, value in attributes.items()}
        self.tree.start(_full(name), {**known, LINE: str(self.parser.CurrentLineNumber)})

    def end(self, name: str) -> None:
        self.depth -= 1
        self.tree.end(_full(name))

    def declared(self, *_: object) -> int:
        raise self.refused("not a workbook", "The file declares a document type, which no invoice needs.")

    def refused(self, kind: str, what: str) -> Refusal:
        return Refusal(kind, what, _AGAIN, cell=f"line {self.parser.CurrentLineNumber}")


def _full(name: str) -> str:
    """A name as ElementTree writes it: its namespace in braces before it."""
    return f"{{{name}" if "}" in name else name

"""Who may know whom: imports go one way, from the command line down to the ground."""

from __future__ import annotations

import ast
from pathlib import Path

PACKAGE = Path(__file__).resolve().parent.parent / "feesheet"

LAYERS = {
    "problems": 0,
    "schema": 0,
    "paths": 0,
    "reference": 1,
    "tables": 2,
    "phrases": 2,
    "wording": 2,
    "number_words": 2,
    "teeth": 3,
    "practice": 3,
    "total_lines": 4,
    "formula": 4,
    "reading": 5,
    "costing": 5,
    "pricing": 6,
    "plugins": 7,
    "writing": 8,
    "uses": 9,
    "cli_options": 1,
    "cli_said": 10,
    "cli": 11,
    "__main__": 12,
    "__init__": 0,
}
"""A part may import parts with a smaller number; `costing` and `reading` share one and may not meet."""


def part(path: Path) -> str:
    """The part of the package that a file belongs to."""
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imports(path: Path) -> set[str]:
    """The parts of the package that a file imports."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "feesheet":
            pieces = node.module.split(".")
            found |= (
                {pieces[1]}
                if len(pieces) > 1
                else {alias.name for alias in node.names if alias.name != "__version__"}
            )
    return found


def import_map() -> dict[str, set[str]]:
    """Which part imports which others."""
    known: dict[str, set[str]] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        known.setdefault(part(path), set()).update(imports(path) - {part(path)})
    return known


def test_imports_go_one_way() -> None:
    """No part imports one above it or beside it."""
    wrong = {
        f"{upper} -> {lower}"
        for upper, lowers in import_map().items()
        for lower in lowers
        if LAYERS[lower] >= LAYERS[upper]
    }

    assert not wrong, import_map()


def test_reading_and_writing_never_meet() -> None:
    """Neither knows the other, though both know the tables."""
    known = import_map()

    assert "writing" not in known["reading"]
    assert "reading" not in known["writing"]


def test_costing_and_pricing_open_no_file() -> None:
    """Nothing in them calls open, or imports a reader or writer of files."""
    for folder in ("costing", "pricing", "formula"):
        for path in (PACKAGE / folder).glob("*.py"):
            text = path.read_text(encoding="utf-8")
            for word in ("open(", "xlsxwriter", "openpyxl", "calamine", "read_excel", "pathlib"):
                assert word not in text, (path.name, word)

"""A table of plain text: columns as wide as their longest cell, words left, figures right."""

from __future__ import annotations

from collections.abc import Collection, Sequence


def aligned(rows: Sequence[Sequence[str]], words: int, sums: Collection[int] = ()) -> list[str]:
    """The rows as lines, the first `words` columns left and the others right; a blank line after each row of `sums`.

    >>> aligned([("Lab", "Lines"), ("lab A", "7")], words=1)
    ['Lab    Lines', 'lab A      7']
    """
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    lines = []
    for at, row in enumerate(rows):
        cells = [
            cell.ljust(width) if column < words else cell.rjust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append("  ".join(cells).rstrip())
        if at in sums and at + 1 < len(rows):
            lines.append("")
    return lines

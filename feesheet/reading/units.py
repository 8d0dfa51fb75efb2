"""Units of mass that a person must be asked about."""

from __future__ import annotations

from feesheet import reference


def unit_problem(word: str) -> tuple[str, str, str] | None:
    """Kind, what and do of a `Problem` about a unit of mass, None for a unit that is clear."""
    if reference.grams_in(word) is not None:
        return None
    if not word:
        return "missing value", "The weight has no unit.", "Type gram, pennyweight or troy ounce."
    name = word.lower().lstrip("0123456789., ").rstrip(".")
    if name == "gr":
        return "unclear unit", f'"{word}" may be a gram or a grain (0.0648 g).', "Type gram or grain."
    if name in reference.UNCLEAR_UNITS:
        return (
            "unclear unit",
            f'"{word}" may be the troy ounce of 31.10 g or the avoirdupois ounce of 28.35 g.',
            'Type "troy ounce", or the grams (such as "28.35 g").',
        )
    return (
        "unclear unit",
        f'"{word[:40]}" is no unit of mass that is known here.',
        'Type gram, pennyweight, troy ounce, kilogram, or "30 g".',
    )

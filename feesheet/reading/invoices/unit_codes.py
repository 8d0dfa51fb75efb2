"""Units of measure and reasons for charges of electronic invoices, as codes of the United Nations."""

from __future__ import annotations

from decimal import Decimal

PIECES = frozenset({"", "C62", "EA", "H87", "NAR", "PCE", "XPP", "XUN"})
"""Codes that count pieces: one, each, piece, number of articles (UN/ECE Recommendations 20 and 21)."""

WEIGHTS: dict[str, tuple[str, Decimal]] = {
    "GRM": ("g", Decimal(1)),
    "MGM": ("g", Decimal("0.001")),
    "KGM": ("kg", Decimal(1)),
    "GRN": ("grain", Decimal(1)),
    "DWT": ("dwt", Decimal(1)),
    "APZ": ("ozt", Decimal(1)),
    "LBT": ("ozt", Decimal(12)),
    "ONZ": ("oz", Decimal(1)),
}
"""Unit of mass of each code and how many of it one is (UN/ECE Recommendation 20, revision 11e).

ONZ is the ounce of 28.35 g by the book, but a lab that bills gold by it may mean the troy ounce: it stays
the plain "oz" that a person is asked about.
"""

CHARGES = {
    "AAT": "rush",
    "ABD": "rush",
    "DL": "freight",
    "FAC": "freight",
    "FC": "freight",
    "FI": "finance charge",
    "HD": "freight",
    "SAA": "freight",
    "SH": "freight",
}
"""Kind of invoice line of the codes for charges that a lab may make (UNTDID 7161)."""

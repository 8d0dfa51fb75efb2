"""A linter for written workbooks: the rules of good spreadsheet models, each with its number in its docstring.

Sources: FAST Standard 02b; ICAEW Twenty principles and Financial Modelling Code; UK Government Analysis Function,
accessible spreadsheets; Powell, Baker and Lawson (2007) on errors in working spreadsheets.
"""

from __future__ import annotations

from pathlib import Path

from workbook import content_rules, formula_rules, sheet_rules
from workbook.subject import Finding, Subject

from feesheet.formula.model import Model
from feesheet.writing.layout import BookLayout

ALL_RULES = (*formula_rules.RULES, *content_rules.RULES, *sheet_rules.RULES)


def lint(path: Path, model: Model, layout: BookLayout) -> list[Finding]:
    """Every place where the workbook breaks a rule; the model and the layout are those that it was written from."""
    book = Subject(path, model, layout)
    return sorted((finding for rule in ALL_RULES for finding in rule(book)), key=lambda finding: finding.rule)

"""Where the reference tables and the blank templates lie, in a checkout and in an installed wheel."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def _carried(name: str) -> Path:
    inside = _PACKAGE / name
    return inside if inside.is_dir() else _PACKAGE.parent / name


EXAMPLE = _carried("examples") / "practice"
"""An invented practice to try everything on."""

SHARED = _carried("shared")
"""Published reference tables, each row with its source."""

TEMPLATES = _carried("templates")
"""Blank input workbooks, written by `feesheet templates`."""

"""The general layouts: tables of lines and statements as most labs write them, in six languages."""

from __future__ import annotations

from feesheet.reading.invoices.layout import Layout, reader

LAB_TABLE = reader(Layout("lab table"))
"""Invoices and credit notes with a table of lines."""

LAB_STATEMENT = reader(Layout("lab statement", statements=True))
"""Files that hold a statement, and invoices besides it."""

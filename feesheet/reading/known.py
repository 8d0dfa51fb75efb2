"""What the practice's tables tell those who read its labs' invoices."""

from __future__ import annotations

from collections.abc import Iterator

from feesheet.practice import Practice
from feesheet.reading.invoices.context import Context, LabKnown
from feesheet.schema import plain
from feesheet.wording import HIDDEN, practice_words


def context_of(practice: Practice, key: bytes) -> Context:
    """The practice's names and words; `key` is this run's own."""
    tables = practice.tables
    accounts = tables["lab_accounts"][["lab", "account", "site"]].astype(str)
    currency = practice.settings.get("currency")
    return Context(
        key,
        tuple(_labs(practice)),
        _names(practice, "sites", "site"),
        tuple((lab, account, site) for lab, account, site in accounts.itertuples(index=False)),
        _products(practice),
        _names(practice, "materials", "material"),
        _names(practice, "alloys", "alloy"),
        practice_words(tables),
        currency if isinstance(currency, str) else "",
    )


def _names(practice: Practice, table: str, column: str) -> tuple[str, ...]:
    return tuple(name for name in dict.fromkeys(practice.tables[table][column].astype(str)) if name)


def _labs(practice: Practice) -> Iterator[LabKnown]:
    for row in practice.tables["labs"].astype(str).itertuples():
        names = tuple(name.strip() for name in row.name_on_invoices.split(";") if name.strip())
        currency = row.lab_currency.upper()
        yield LabKnown(row.lab, names, row.tooth_notation, row.alloy_weight_unit, row.date_order, currency)
    for mill in _names(practice, "milling", "lab"):
        yield LabKnown(mill, (), "ISO")


def _products(practice: Practice) -> dict[tuple[str, str], tuple[str, str]]:
    """Material and line kind by lab ("" for all) and wording, of the rows that somebody confirmed."""
    rows = practice.tables["product_map"]
    rows = rows[rows["confirmed"]][["lab", "wording", "material", "kind"]].astype(str)
    return {
        (plain(lab), plain(wording)): (material, kind)
        for lab, wording, material, kind in rows.itertuples(index=False)
        if HIDDEN not in wording
    }

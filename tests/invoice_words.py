"""How labs in several countries write headings, numbers and days, for writing test invoices."""

from __future__ import annotations

from datetime import date
from typing import Any

HEADINGS: dict[str, dict[str, tuple[str, ...]]] = {
    "English": {
        "date": ("Date", "Invoice date"),
        "invoice": ("Invoice no.", "Invoice #", "Inv. No"),
        "site": ("Clinic", "Practice"),
        "case": ("Case no.", "Case #"),
        "patient": ("Patient", "Patient name"),
        "teeth": ("Tooth", "Teeth", "Tooth #"),
        "product": ("Description", "Product", "Item description"),
        "units": ("Qty", "Quantity", "Units"),
        "unit_price": ("Unit price", "Price each", "Rate"),
        "weight": ("Weight", "Alloy weight"),
        "weight_unit": ("Unit of weight", "Weight unit"),
        "amount": ("Amount", "Line total", "Net amount"),
        "net": ("Subtotal", "Sub-total"),
        "total": ("Total", "Invoice total", "Total due"),
        "case total": ("Case total",),
        "page total": ("Page total",),
        "carried": ("Carried forward",),
        "page": ("Page",),
        "work": ("Work done",),
        "money": ("Price",),
    },
    "German": {
        "date": ("Datum", "Rechnungsdatum"),
        "invoice": ("Rechnungsnr.", "Rechnung Nr."),
        "site": ("Praxis",),
        "case": ("Auftragsnr.", "Auftrag"),
        "patient": ("Patient",),
        "teeth": ("Zahn", "Zähne"),
        "product": ("Bezeichnung", "Leistung"),
        "units": ("Menge", "Anzahl"),
        "unit_price": ("Einzelpreis", "E-Preis"),
        "weight": ("Gewicht",),
        "weight_unit": ("Gewichtseinheit",),
        "amount": ("Betrag", "Gesamtpreis"),
        "net": ("Zwischensumme", "Nettobetrag"),
        "total": ("Gesamtbetrag", "Rechnungsbetrag"),
        "case total": ("Zwischensumme Auftrag",),
        "page total": ("Seitensumme",),
        "carried": ("Übertrag",),
        "page": ("Seite",),
        "work": ("Leistung",),
        "money": ("Preis",),
    },
    "French": {
        "date": ("Date", "Date de facture"),
        "invoice": ("N° facture", "Facture n°"),
        "site": ("Cabinet",),
        "case": ("N° dossier",),
        "patient": ("Patient",),
        "teeth": ("Dent", "Dents"),
        "product": ("Désignation", "Description"),
        "units": ("Qté", "Quantité"),
        "unit_price": ("Prix unitaire", "P.U."),
        "weight": ("Poids",),
        "weight_unit": ("Unité de poids",),
        "amount": ("Montant", "Montant HT"),
        "net": ("Sous-total", "Total HT"),
        "total": ("Total TTC", "Montant total"),
        "case total": ("Sous-total dossier",),
        "page total": ("Total page",),
        "carried": ("Report",),
        "page": ("Page",),
        "work": ("Travail",),
        "money": ("Prix",),
    },
    "Spanish": {
        "date": ("Fecha", "Fecha de factura"),
        "invoice": ("N.º factura", "Factura"),
        "site": ("Clínica",),
        "case": ("N.º caso",),
        "patient": ("Paciente",),
        "teeth": ("Diente", "Pieza"),
        "product": ("Descripción", "Concepto"),
        "units": ("Cantidad", "Cant."),
        "unit_price": ("Precio unitario", "Precio"),
        "weight": ("Peso",),
        "weight_unit": ("Unidad de peso",),
        "amount": ("Importe",),
        "net": ("Subtotal", "Base imponible"),
        "total": ("Total factura", "Total"),
        "case total": ("Subtotal caso",),
        "page total": ("Total página",),
        "carried": ("Suma y sigue",),
        "page": ("Página",),
        "work": ("Trabajo",),
        "money": ("Precio",),
    },
}
"""By language and what is meant, the words that may stand there."""

NUMBERS = ("typed", "1,234.56", "1.234,56", "1 234,56", "1'234.56", "1234,56")
"""Ways of writing a number: a number cell, or words that look like this."""

DATES = ("typed", "ISO", "day first", "month first", "words", "serial")
"""Ways of writing a day: a date cell, or words, or the number under which a spreadsheet keeps it."""

_GROUPS = {
    "1,234.56": (",", "."),
    "1.234,56": (".", ","),
    "1 234,56": ("\u00a0", ","),
    "1'234.56": ("'", "."),
}
_FIRST_SERIAL = date(1899, 12, 30)


def number(value: float, way: str, digits: int = 2) -> float | str:
    """A number as a lab of that country writes it."""
    if way == "typed":
        return value
    group, decimal = _GROUPS.get(way, ("", ","))
    text = f"{value:,.{digits}f}"
    return text.replace(",", "\0").replace(".", decimal).replace("\0", group)


def day(value: date, way: str) -> Any:
    """A day as a lab of that country writes it."""
    ways = {
        "typed": value,
        "ISO": value.isoformat(),
        "day first": f"{value:%d/%m/%Y}",
        "month first": f"{value:%m/%d/%Y}",
        "words": f"{value.day} {value:%B %Y}",
        "serial": (value - _FIRST_SERIAL).days,
    }
    return ways[way]

"""Tidy invoice lines as electronic invoices: UBL 2.1 and Cross Industry Invoice, the two syntaxes of EN 16931."""

from __future__ import annotations

from typing import Any
from xml.sax.saxutils import escape

from invoice_tables import LETTERHEAD, Lines

_UBL = "urn:oasis:names:specification:ubl:schema:xsd:"
_CII = "urn:un:unece:uncefact:data:standard:"
_UNIT_CODES = {"": "C62", "g": "GRM", "dwt": "DWT"}
"""UN/ECE Recommendation 20: one, gram, pennyweight."""


_EUR = ' currencyID="EUR"'


def _money(lines: Lines, tax: bool) -> float:
    return round(sum(line["amount"] for line in lines if (line["kind"] == "tax") == tax), 2)


def _counted(line: dict[str, Any]) -> tuple[str, str]:
    """How much of what unit: a weight of alloy, or units."""
    return f"{line['weight'] or line['units']:g}", _UNIT_CODES[line["weight_unit"] if line["weight"] else ""]


def _item(line: dict[str, Any]) -> str:
    teeth = line["teeth"].lstrip("#").replace(", ", ",").replace(" ", ",")
    return escape(f"{line['product']} #{teeth}" if teeth else line["product"])


def ubl(lines: Lines) -> str:
    """One invoice as UBL."""
    first, net, tax = lines[0], _money(lines, False), _money(lines, True)
    body = "".join(
        _ubl_line(at, line)
        for at, line in enumerate((line for line in lines if line["kind"] != "tax"), start=1)
    )
    totals = {"LineExtension": net, "TaxExclusive": net, "TaxInclusive": net + tax, "Payable": net + tax}
    money = "".join(
        f'<cbc:{name}Amount currencyID="EUR">{value:.2f}</cbc:{name}Amount>' for name, value in totals.items()
    )
    parties = "".join(
        f"<cac:Accounting{role}Party><cac:Party><cac:PartyName><cbc:Name>{name}</cbc:Name></cac:PartyName>"
        f"</cac:Party></cac:Accounting{role}Party>"
        for role, name in (("Supplier", LETTERHEAD[first["lab"]]), ("Customer", first["site"]))
    )
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><Invoice xmlns="{_UBL}Invoice-2" '
        f'xmlns:cac="{_UBL}CommonAggregateComponents-2" xmlns:cbc="{_UBL}CommonBasicComponents-2">'
        f"<cbc:ID>{first['invoice']}</cbc:ID><cbc:IssueDate>{first['date'].isoformat()}</cbc:IssueDate>"
        f"<cbc:InvoiceTypeCode>380</cbc:InvoiceTypeCode><cbc:DocumentCurrencyCode>EUR</cbc:DocumentCurrencyCode>"
        f'{parties}<cac:TaxTotal><cbc:TaxAmount currencyID="EUR">{tax:.2f}</cbc:TaxAmount></cac:TaxTotal>'
        f"<cac:LegalMonetaryTotal>{money}</cac:LegalMonetaryTotal>{body}</Invoice>"
    )


def _ubl_line(at: int, line: dict[str, Any]) -> str:
    count, unit = _counted(line)
    sign = -1 if line["unit_price"] < 0 else 1
    return (
        f'<cac:InvoiceLine><cbc:ID>{at}</cbc:ID><cbc:InvoicedQuantity unitCode="{unit}">{"-" if sign < 0 else ""}{count}'
        f'</cbc:InvoicedQuantity><cbc:LineExtensionAmount currencyID="EUR">{line["amount"]:.2f}'
        f"</cbc:LineExtensionAmount><cac:Item><cbc:Name>{_item(line)}</cbc:Name></cac:Item><cac:Price>"
        f'<cbc:PriceAmount currencyID="EUR">{sign * line["unit_price"]:.2f}</cbc:PriceAmount></cac:Price></cac:InvoiceLine>'
    )


def cii(lines: Lines) -> str:
    """One invoice as Cross Industry Invoice."""
    first, net, tax = lines[0], _money(lines, False), _money(lines, True)
    body = "".join(
        _cii_line(at, line)
        for at, line in enumerate((line for line in lines if line["kind"] != "tax"), start=1)
    )
    parties = "".join(
        f"<ram:{role}TradeParty><ram:Name>{name}</ram:Name></ram:{role}TradeParty>"
        for role, name in (("Seller", LETTERHEAD[first["lab"]]), ("Buyer", first["site"]))
    )
    totals = {
        "LineTotal": net,
        "TaxBasisTotal": net,
        "TaxTotal": tax,
        "GrandTotal": net + tax,
        "DuePayable": net + tax,
    }
    money = "".join(
        f"<ram:{name}Amount{_EUR if name == 'TaxTotal' else ''}>{value:.2f}</ram:{name}Amount>"
        for name, value in totals.items()
    )
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><rsm:CrossIndustryInvoice xmlns:rsm="{_CII}CrossIndustryInvoice:100" '
        f'xmlns:ram="{_CII}ReusableAggregateBusinessInformationEntity:100" xmlns:udt="{_CII}UnqualifiedDataType:100">'
        f"<rsm:ExchangedDocument><ram:ID>{first['invoice']}</ram:ID><ram:TypeCode>380</ram:TypeCode><ram:IssueDateTime>"
        f'<udt:DateTimeString format="102">{first["date"]:%Y%m%d}</udt:DateTimeString></ram:IssueDateTime>'
        f"</rsm:ExchangedDocument><rsm:SupplyChainTradeTransaction>{body}<ram:ApplicableHeaderTradeAgreement>{parties}"
        f"</ram:ApplicableHeaderTradeAgreement><ram:ApplicableHeaderTradeDelivery/><ram:ApplicableHeaderTradeSettlement>"
        f"<ram:InvoiceCurrencyCode>EUR</ram:InvoiceCurrencyCode><ram:SpecifiedTradeSettlementHeaderMonetarySummation>{money}"
        f"</ram:SpecifiedTradeSettlementHeaderMonetarySummation></ram:ApplicableHeaderTradeSettlement>"
        f"</rsm:SupplyChainTradeTransaction></rsm:CrossIndustryInvoice>"
    )


def _cii_line(at: int, line: dict[str, Any]) -> str:
    count, unit = _counted(line)
    sign = -1 if line["unit_price"] < 0 else 1
    return (
        f"<ram:IncludedSupplyChainTradeLineItem><ram:AssociatedDocumentLineDocument><ram:LineID>{at}</ram:LineID>"
        f"</ram:AssociatedDocumentLineDocument><ram:SpecifiedTradeProduct><ram:Name>{_item(line)}</ram:Name>"
        f"</ram:SpecifiedTradeProduct><ram:SpecifiedLineTradeAgreement><ram:NetPriceProductTradePrice><ram:ChargeAmount>"
        f"{sign * line['unit_price']:.2f}</ram:ChargeAmount></ram:NetPriceProductTradePrice></ram:SpecifiedLineTradeAgreement>"
        f'<ram:SpecifiedLineTradeDelivery><ram:BilledQuantity unitCode="{unit}">{"-" if sign < 0 else ""}{count}'
        f"</ram:BilledQuantity></ram:SpecifiedLineTradeDelivery><ram:SpecifiedLineTradeSettlement>"
        f"<ram:SpecifiedTradeSettlementLineMonetarySummation><ram:LineTotalAmount>{line['amount']:.2f}</ram:LineTotalAmount>"
        f"</ram:SpecifiedTradeSettlementLineMonetarySummation></ram:SpecifiedLineTradeSettlement>"
        f"</ram:IncludedSupplyChainTradeLineItem>"
    )


SYNTAXES = {"ubl": ubl, "cii": cii}
"""Writers of one invoice by the name of their syntax."""

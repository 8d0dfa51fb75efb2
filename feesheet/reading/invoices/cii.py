"""Cross Industry Invoices of UN/CEFACT (version 100), as EN 16931-1 and its extensions use them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal
from xml.etree.ElementTree import Element

from feesheet.reading.invoices.context import Context
from feesheet.reading.invoices.document import Document
from feesheet.reading.invoices.door import Content, InvoiceReader
from feesheet.reading.invoices.e_invoice import (
    CORRECTED_CODE,
    CREDIT_CODES,
    Adjustment,
    EInvoice,
    Position,
    TaxPart,
    TotalName,
)
from feesheet.reading.invoices.e_invoice_document import document
from feesheet.reading.invoices.xml_tree import line_of
from feesheet.reading.invoices.xml_values import Values, case_of, currency_of, joined

_DATA = "urn:un:unece:uncefact:data:standard:"
_SPACES = {
    "ram": f"{_DATA}ReusableAggregateBusinessInformationEntity:100",
    "rsm": f"{_DATA}CrossIndustryInvoice:100",
    "udt": f"{_DATA}UnqualifiedDataType:100",
}
_ROOT = f"{{{_SPACES['rsm']}}}CrossIndustryInvoice"

_PAPER = "rsm:ExchangedDocument"
_TRADE = "rsm:SupplyChainTradeTransaction"
_AGREED = f"{_TRADE}/ram:ApplicableHeaderTradeAgreement"
_DELIVERED = f"{_TRADE}/ram:ApplicableHeaderTradeDelivery"
_SETTLED = f"{_TRADE}/ram:ApplicableHeaderTradeSettlement"
_SUMS = f"{_SETTLED}/ram:SpecifiedTradeSettlementHeaderMonetarySummation"

_PARTY = (
    "ram:Name",
    "ram:SpecifiedLegalOrganization/ram:TradingBusinessName",
    "ram:ID",
    "ram:GlobalID",
    "ram:SpecifiedLegalOrganization/ram:ID",
    "ram:SpecifiedTaxRegistration/ram:ID",
    "ram:URIUniversalCommunication/ram:URIID",
)
_SELLER = tuple(f"{_AGREED}/ram:SellerTradeParty/{path}" for path in _PARTY)
_BUYER = tuple(f"{_AGREED}/ram:BuyerTradeParty/{path}" for path in _PARTY)
_DELIVERY = tuple(f"{_DELIVERED}/ram:ShipToTradeParty/ram:{name}" for name in ("Name", "ID", "GlobalID"))
_REFERENCES = (
    f"{_AGREED}/ram:BuyerReference",
    f"{_SETTLED}/ram:ReceivableSpecifiedTradeAccountingAccount/ram:ID",
)

_TOTALS: dict[TotalName, tuple[str, str]] = {
    "lines": ("LineTotalAmount", "sum of the lines"),
    "allowances": ("AllowanceTotalAmount", "sum of the allowances"),
    "charges": ("ChargeTotalAmount", "sum of the charges"),
    "net": ("TaxBasisTotalAmount", "total without tax"),
    "total": ("GrandTotalAmount", "total with tax"),
    "prepaid": ("TotalPrepaidAmount", "amount paid before"),
    "rounding": ("RoundingAmount", "rounding"),
    "due": ("DuePayableAmount", "amount due"),
}


def suits(content: Content, context: Context) -> int:
    """1 for the root of a Cross Industry Invoice, 0 for anything else."""
    return int(isinstance(content, Element) and content.tag == _ROOT)


def read(content: Content, context: Context) -> list[Document]:
    """The one document of a Cross Industry Invoice."""
    if not isinstance(content, Element):
        return []
    return [document(_invoice(content), context)]


CII = InvoiceReader("cii", suits, read)


def _invoice(root: Element) -> EInvoice:
    values = Values(_SPACES)
    values.currency = currency_of(values.text(root, f"{_SETTLED}/ram:InvoiceCurrencyCode"))
    invoice = EInvoice(values.text(root, f"{_PAPER}/ram:TypeCode") in CREDIT_CODES)
    invoice.replaces = values.text(root, f"{_PAPER}/ram:TypeCode") == CORRECTED_CODE
    invoice.repeats = bool(values.flag(root, f"{_PAPER}/ram:CopyIndicator/udt:Indicator"))
    invoice.number = values.text(root, f"{_PAPER}/ram:ID")
    invoice.day = values.day(root, f"{_PAPER}/ram:IssueDateTime/udt:DateTimeString")
    invoice.currency = values.currency
    invoice.names, invoice.buyers = values.texts(root, _SELLER), values.texts(root, _BUYER)
    invoice.deliveries, invoice.references = values.texts(root, _DELIVERY), values.texts(root, _REFERENCES)
    case, lines = _case_of_document(root, values), f"{_TRADE}/ram:IncludedSupplyChainTradeLineItem"
    invoice.positions = [_position(line, values, case) for line in values.all(root, lines)]
    invoice.adjustments = [
        *_adjustments(root, values, f"{_SETTLED}/ram:SpecifiedTradeAllowanceCharge"),
        *_freight(root, values),
    ]
    _read_totals(root, values, invoice)
    _read_tax(root, values, invoice)
    invoice.problems = values.problems
    return invoice


def _position(line: Element, values: Values, case: str) -> Position:
    """One line. Of notes, properties and identifiers of the item only teeth are read."""
    item, settled = "ram:SpecifiedTradeProduct", "ram:SpecifiedLineTradeSettlement"
    text = joined(values.text(line, f"{item}/ram:Name"), values.text(line, f"{item}/ram:Description"))
    position = Position(line_of(line), text, sort=_sort(line, values))
    billed = "ram:SpecifiedLineTradeDelivery/ram:BilledQuantity"
    quantity = values.first(line, billed)
    position.quantity = values.figure(line, billed, "quantity")
    position.unit = quantity.get("unitCode", "") if quantity is not None else ""
    price = "ram:SpecifiedLineTradeAgreement/ram:NetPriceProductTradePrice"
    position.price = values.figure(line, f"{price}/ram:ChargeAmount", "price")
    position.per = values.figure(line, f"{price}/ram:BasisQuantity", "quantity of the price")
    total = f"{settled}/ram:SpecifiedTradeSettlementLineMonetarySummation/ram:LineTotalAmount"
    position.amount = values.figure(line, total, "net amount of the line", must=position.sort == "detail")
    position.adjustments = list(_adjustments(line, values, f"{settled}/ram:SpecifiedTradeAllowanceCharge"))
    characteristic = f"{item}/ram:ApplicableProductCharacteristic"
    position.teeth = values.teeth(line, characteristic, "ram:Description", "ram:Value")
    position.case = _case_of_line(line, values) or case
    return position


def _sort(line: Element, values: Values) -> Literal["detail", "group", "information"]:
    """Whether the line is counted, sums up other lines or only informs (extended profiles)."""
    code = values.text(line, "ram:AssociatedDocumentLineDocument/ram:LineStatusReasonCode")
    return "group" if code == "GROUP" else "information" if code == "INFORMATION" else "detail"


def _adjustments(element: Element, values: Values, path: str) -> Iterator[Adjustment]:
    for found in values.all(element, path):
        yield Adjustment(
            values.figure(found, "ram:ActualAmount", "allowance or charge", must=True),
            values.flag(found, "ram:ChargeIndicator/udt:Indicator"),
            values.text(found, "ram:Reason"),
            values.text(found, "ram:ReasonCode"),
            line_of(found),
        )


def _freight(root: Element, values: Values) -> Iterator[Adjustment]:
    """Charges for freight, which extended profiles list apart; they are part of the sum of charges."""
    for found in values.all(root, f"{_SETTLED}/ram:SpecifiedLogisticsServiceCharge"):
        amount = values.figure(found, "ram:AppliedAmount", "charge for freight", must=True)
        yield Adjustment(amount, True, values.text(found, "ram:Description"), "FC", line_of(found))


def _case_of_document(root: Element, values: Values) -> str:
    """The object that the invoice is about (type 130 of UNTDID 1001), else the order."""
    for reference in values.all(root, f"{_AGREED}/ram:AdditionalReferencedDocument"):
        if values.text(reference, "ram:TypeCode") == "130":
            return values.text(reference, "ram:IssuerAssignedID")
    return values.text(root, f"{_AGREED}/ram:BuyerOrderReferencedDocument/ram:IssuerAssignedID")


def _case_of_line(line: Element, values: Values) -> str:
    order = "ram:SpecifiedLineTradeAgreement/ram:BuyerOrderReferencedDocument"
    about = "ram:SpecifiedLineTradeSettlement/ram:AdditionalReferencedDocument/ram:IssuerAssignedID"
    return case_of(
        values.text(line, about),
        values.text(line, f"{order}/ram:IssuerAssignedID"),
        values.text(line, f"{order}/ram:LineID"),
    )


def _read_totals(root: Element, values: Values, invoice: EInvoice) -> None:
    for name, (tag, title) in _TOTALS.items():
        figure = values.figure(root, f"{_SUMS}/ram:{tag}", title)
        if figure is not None:
            invoice.totals[name] = figure


def _read_tax(root: Element, values: Values, invoice: EInvoice) -> None:
    """The tax total in the document's currency and its breakdown; one in another currency is only noted."""
    for sums in values.all(root, _SUMS):
        for amount in values.all(sums, "ram:TaxTotalAmount"):
            currency = amount.get("currencyID", "")
            if "tax" in invoice.totals or (values.currency and currency and currency != values.currency):
                invoice.other_tax_row = line_of(amount)
                continue
            invoice.totals["tax"] = values.figure_of(amount, "tax")
    invoice.tax_parts = [
        _tax_part(part, values) for part in values.all(root, f"{_SETTLED}/ram:ApplicableTradeTax")
    ]


def _tax_part(part: Element, values: Values) -> TaxPart:
    return TaxPart(
        values.figure(part, "ram:BasisAmount", "taxable amount"),
        values.figure(part, "ram:RateApplicablePercent", "rate of tax"),
        values.figure(part, "ram:CalculatedAmount", "tax at one rate"),
    )

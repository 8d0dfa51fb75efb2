"""Invoices and credit notes of UBL 2.1 (OASIS; ISO/IEC 19845), as EN 16931-1 uses them."""

from __future__ import annotations

from collections.abc import Iterator
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

_SCHEMA = "urn:oasis:names:specification:ubl:schema:xsd:"
_SPACES = {"cbc": f"{_SCHEMA}CommonBasicComponents-2", "cac": f"{_SCHEMA}CommonAggregateComponents-2"}
_ROOTS = {
    f"{{{_SCHEMA}Invoice-2}}Invoice": "Invoice",
    f"{{{_SCHEMA}CreditNote-2}}CreditNote": "CreditNote",
}
_QUANTITIES = {"Invoice": "cbc:InvoicedQuantity", "CreditNote": "cbc:CreditedQuantity"}

_PARTY = (
    "cac:PartyName/cbc:Name",
    "cac:PartyLegalEntity/cbc:RegistrationName",
    "cac:PartyIdentification/cbc:ID",
    "cac:PartyLegalEntity/cbc:CompanyID",
    "cac:PartyTaxScheme/cbc:CompanyID",
    "cbc:EndpointID",
)
_SELLER = tuple(f"cac:AccountingSupplierParty/cac:Party/{path}" for path in _PARTY)
_BUYER = (
    *(f"cac:AccountingCustomerParty/cac:Party/{path}" for path in _PARTY),
    "cac:AccountingCustomerParty/cbc:SupplierAssignedAccountID",
    "cac:AccountingCustomerParty/cbc:CustomerAssignedAccountID",
)
_DELIVERY = (
    "cac:Delivery/cac:DeliveryParty/cac:PartyName/cbc:Name",
    "cac:Delivery/cac:DeliveryLocation/cbc:ID",
)
_REFERENCES = ("cbc:AccountingCost", "cbc:BuyerReference")

_TOTALS: dict[TotalName, tuple[str, str]] = {
    "lines": ("LineExtensionAmount", "sum of the lines"),
    "allowances": ("AllowanceTotalAmount", "sum of the allowances"),
    "charges": ("ChargeTotalAmount", "sum of the charges"),
    "net": ("TaxExclusiveAmount", "total without tax"),
    "total": ("TaxInclusiveAmount", "total with tax"),
    "prepaid": ("PrepaidAmount", "amount paid before"),
    "rounding": ("PayableRoundingAmount", "rounding"),
    "due": ("PayableAmount", "amount due"),
}


def suits(content: Content, context: Context) -> int:
    """1 for the root of a UBL invoice or credit note, 0 for anything else."""
    return int(isinstance(content, Element) and content.tag in _ROOTS)


def read(content: Content, context: Context) -> list[Document]:
    """The one document of a UBL file."""
    if not isinstance(content, Element):
        return []
    return [document(_invoice(content), context)]


UBL = InvoiceReader("ubl", suits, read)


def _invoice(root: Element) -> EInvoice:
    values, form = Values(_SPACES), _ROOTS[root.tag]
    values.currency = currency_of(values.text(root, "cbc:DocumentCurrencyCode"))
    code = values.text(root, "cbc:CreditNoteTypeCode") or values.text(root, "cbc:InvoiceTypeCode")
    invoice = EInvoice(form == "CreditNote" or code in CREDIT_CODES)
    invoice.replaces = code == CORRECTED_CODE
    invoice.repeats = bool(values.flag(root, "cbc:CopyIndicator"))
    invoice.number = values.text(root, "cbc:ID")
    invoice.day, invoice.currency = values.day(root, "cbc:IssueDate"), values.currency
    invoice.names, invoice.buyers = values.texts(root, _SELLER), values.texts(root, _BUYER)
    invoice.deliveries, invoice.references = values.texts(root, _DELIVERY), values.texts(root, _REFERENCES)
    case = _case_of_document(root, values)
    invoice.positions = [_position(line, values, form, case) for line in values.all(root, f"cac:{form}Line")]
    invoice.adjustments = list(_adjustments(root, values))
    _read_totals(root, values, invoice)
    _read_tax(root, values, invoice)
    invoice.problems = values.problems
    return invoice


def _position(line: Element, values: Values, form: str, case: str) -> Position:
    """One line with the lines within it. Of notes, properties and identifiers of the item only teeth are read."""
    item = joined(values.text(line, "cac:Item/cbc:Name"), values.text(line, "cac:Item/cbc:Description"))
    position = Position(line_of(line), item)
    quantity = values.first(line, _QUANTITIES[form])
    position.quantity = values.figure(line, _QUANTITIES[form], "quantity")
    position.unit = quantity.get("unitCode", "") if quantity is not None else ""
    position.price = values.figure(line, "cac:Price/cbc:PriceAmount", "price")
    position.per = values.figure(line, "cac:Price/cbc:BaseQuantity", "quantity of the price")
    position.amount = values.figure(line, "cbc:LineExtensionAmount", "net amount of the line", must=True)
    position.adjustments = list(_adjustments(line, values))
    position.teeth = values.teeth(line, "cac:Item/cac:AdditionalItemProperty", "cbc:Name", "cbc:Value")
    position.case = _case_of_line(line, values) or case
    position.parts = [
        _position(part, values, form, position.case) for part in values.all(line, f"cac:Sub{form}Line")
    ]
    return position


def _adjustments(element: Element, values: Values) -> Iterator[Adjustment]:
    for found in values.all(element, "cac:AllowanceCharge"):
        yield Adjustment(
            values.figure(found, "cbc:Amount", "allowance or charge", must=True),
            values.flag(found, "cbc:ChargeIndicator"),
            values.text(found, "cbc:AllowanceChargeReason"),
            values.text(found, "cbc:AllowanceChargeReasonCode"),
            line_of(found),
        )


def _case_of_document(root: Element, values: Values) -> str:
    """The object that the invoice is about (type 130 of UNTDID 1001), else the order."""
    for reference in values.all(root, "cac:AdditionalDocumentReference"):
        if values.text(reference, "cbc:DocumentTypeCode") == "130":
            return values.text(reference, "cbc:ID")
    return values.text(root, "cac:OrderReference/cbc:ID")


def _case_of_line(line: Element, values: Values) -> str:
    order = "cac:OrderLineReference"
    return case_of(
        values.text(line, "cac:DocumentReference/cbc:ID"),
        values.text(line, f"{order}/cac:OrderReference/cbc:ID"),
        values.text(line, f"{order}/cbc:LineID"),
    )


def _read_totals(root: Element, values: Values, invoice: EInvoice) -> None:
    for name, (tag, title) in _TOTALS.items():
        figure = values.figure(root, f"cac:LegalMonetaryTotal/cbc:{tag}", title)
        if figure is not None:
            invoice.totals[name] = figure


def _read_tax(root: Element, values: Values, invoice: EInvoice) -> None:
    """The tax total in the document's currency with its breakdown; one in another currency is only noted."""
    for total in values.all(root, "cac:TaxTotal"):
        amount = values.first(total, "cbc:TaxAmount")
        currency = amount.get("currencyID", "") if amount is not None else ""
        if "tax" in invoice.totals or (values.currency and currency and currency != values.currency):
            invoice.other_tax_row = line_of(total)
            continue
        figure = values.figure(total, "cbc:TaxAmount", "tax", must=True)
        if figure is not None:
            invoice.totals["tax"] = figure
        invoice.tax_parts += [_tax_part(part, values) for part in values.all(total, "cac:TaxSubtotal")]


def _tax_part(part: Element, values: Values) -> TaxPart:
    return TaxPart(
        values.figure(part, "cbc:TaxableAmount", "taxable amount"),
        values.figure(part, "cac:TaxCategory/cbc:Percent", "rate of tax"),
        values.figure(part, "cbc:TaxAmount", "tax at one rate"),
    )

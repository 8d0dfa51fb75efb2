"""Electronic invoices written from plain tuples, in both syntaxes of EN 16931: UBL 2.1 and Cross Industry Invoice.

What isn't given is worked out: sums, totals and the tax of each rate. `Paper.said` overrides a total, to
write an invoice that breaks its own rules.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from xml.sax.saxutils import escape, quoteattr

SCHEMA = "urn:oasis:names:specification:ubl:schema:xsd:"
DATA = "urn:un:unece:uncefact:data:standard:"


def money(value: str | Decimal) -> Decimal:
    """An amount to the cent, halves away from nought."""
    return Decimal(value).quantize(Decimal("0.01"), ROUND_HALF_UP)


@dataclass(frozen=True)
class Extra:
    """An allowance (`adds` false) or charge. `flag` is how the file writes what it is, if not true or false."""

    amount: str
    adds: bool
    reason: str = ""
    code: str = ""
    flag: str | None = None

    @property
    def said(self) -> str:
        """The words of the ChargeIndicator."""
        return self.flag if self.flag is not None else str(self.adds).lower()

    @property
    def signed(self) -> Decimal:
        """What it puts on, negative for what it takes off."""
        return Decimal(self.amount) * (1 if self.adds else -1)


@dataclass(frozen=True)
class Item:
    """One line: what it says, its net amount, its quantity in the unit code, its price for `per` of them.

    `note` and `properties` are places where a lab may write a patient's name. `status` is a line's standing
    in the extended profiles of Cross Industry Invoices; `parts` are lines within it (UBL only).
    """

    name: str
    amount: str
    quantity: str = "1"
    unit: str = "C62"
    price: str = ""
    per: str = ""
    description: str = ""
    note: str = ""
    properties: tuple[tuple[str, str], ...] = ()
    extras: tuple[Extra, ...] = ()
    reference: str = ""
    order: str = ""
    order_line: str = ""
    status: str = ""
    parts: tuple[Item, ...] = ()

    @property
    def price_said(self) -> str:
        """The price as given, else what the amount and the quantity make it."""
        before = Decimal(self.amount) - sum((extra.signed for extra in self.extras), Decimal(0))
        size = Decimal(self.quantity or "1") / Decimal(self.per or "1")
        return self.price or f"{(before / size if size else before).normalize():f}"


@dataclass(frozen=True)
class Paper:
    """One invoice (type code 380 and others) or credit note (381).

    `taxes` are (taxable amount, percent) or (taxable amount, percent, tax). `other_tax` is (currency, tax) in
    the currency of the tax office. `said` overrides totals by the names lines, allowances, charges, net, tax,
    total, prepaid, rounding and due; a blank leaves that total out.
    """

    items: tuple[Item, ...] = ()
    number: str = "A-1"
    day: str = "2026-03-04"
    code: str = "380"
    currency: str = "EUR"
    seller: str = "Lab A"
    seller_id: str = ""
    buyer: str = "North"
    buyer_id: str = ""
    delivered_to: str = ""
    account: str = ""
    buyer_reference: str = ""
    order: str = ""
    note: str = ""
    contact: str = ""
    copy: str = ""
    extras: tuple[Extra, ...] = ()
    taxes: tuple[tuple[str, ...], ...] = ()
    other_tax: tuple[str, str] | None = None
    prepaid: str = ""
    rounding: str = ""
    said: Mapping[str, str] = field(default_factory=dict)


def totals(paper: Paper) -> dict[str, str]:
    """The totals as the file says them, "" for one that is left out."""
    lines = sum((Decimal(item.amount) for item in paper.items if item.status in ("", "DETAIL")), Decimal(0))
    off = sum((-extra.signed for extra in paper.extras if not extra.adds), Decimal(0))
    on = sum((extra.signed for extra in paper.extras if extra.adds), Decimal(0))
    tax = sum((tax for _, _, tax in tax_parts(paper)), Decimal(0))
    net = lines - off + on
    due = net + tax - Decimal(paper.prepaid or "0") + Decimal(paper.rounding or "0")
    known = {
        "lines": lines,
        "allowances": off,
        "charges": on,
        "net": net,
        "tax": tax,
        "total": net + tax,
        "due": due,
    }
    found = {name: str(money(value)) for name, value in known.items()}
    return {**found, "prepaid": paper.prepaid, "rounding": paper.rounding, **paper.said}


def tax_parts(paper: Paper) -> list[tuple[str, str, Decimal]]:
    """Taxable amount, percent and tax of each rate."""
    return [
        (base, percent, money(tax[0]) if tax else money(Decimal(base) * Decimal(percent) / 100))
        for base, percent, *tax in paper.taxes
    ]


def _tag(name: str, words: str, **attributes: str) -> str:
    """One element with words in it, nothing for no words."""
    said = "".join(f" {key}={quoteattr(value)}" for key, value in attributes.items())
    return f"<{name}{said}>{escape(words)}</{name}>" if words else ""


def _box(name: str, *inside: str) -> str:
    """One element around others, each on a line of its own."""
    return "\n".join((f"<{name}>", *(part for part in inside if part), f"</{name}>"))


def ubl(paper: Paper) -> str:
    """The paper in UBL 2.1: a CreditNote for type code 381, an Invoice for every other."""
    form = "CreditNote" if paper.code == "381" else "Invoice"
    spaces = (
        f'xmlns="{SCHEMA}{form}-2" xmlns:cac="{SCHEMA}CommonAggregateComponents-2" '
        f'xmlns:cbc="{SCHEMA}CommonBasicComponents-2"'
    )
    body = [
        _tag("cbc:ID", paper.number),
        _tag("cbc:CopyIndicator", paper.copy),
        _tag("cbc:IssueDate", paper.day),
        _tag(f"cbc:{form}TypeCode", paper.code),
        _tag("cbc:Note", paper.note),
        _tag("cbc:DocumentCurrencyCode", paper.currency),
        _tag("cbc:TaxCurrencyCode", paper.other_tax[0] if paper.other_tax else ""),
        _tag("cbc:AccountingCost", paper.account),
        _tag("cbc:BuyerReference", paper.buyer_reference),
        _box("cac:OrderReference", _tag("cbc:ID", paper.order)) if paper.order else "",
        _ubl_party("Supplier", paper.seller, paper.seller_id),
        _ubl_party("Customer", paper.buyer, paper.buyer_id, paper.contact),
        _ubl_delivery(paper.delivered_to),
        *_ubl_extras(paper.extras, paper.currency),
        *_ubl_taxes(paper),
        _ubl_totals(paper),
        *(_ubl_line(item, str(count), form, paper.currency) for count, item in enumerate(paper.items, 1)),
    ]
    inside = "\n".join(part for part in body if part)
    return f'<?xml version="1.0" encoding="UTF-8"?>\n<{form} {spaces}>\n{inside}\n</{form}>\n'


def _ubl_party(role: str, name: str, number: str, contact: str = "") -> str:
    identified = _box("cac:PartyIdentification", _tag("cbc:ID", number)) if number else ""
    named = _box("cac:PartyName", _tag("cbc:Name", name)) if name else ""
    reached = _box("cac:Contact", _tag("cbc:Name", contact)) if contact else ""
    return _box(f"cac:Accounting{role}Party", _box("cac:Party", identified, named, reached))


def _ubl_delivery(place: str) -> str:
    named = _box("cac:DeliveryParty", _box("cac:PartyName", _tag("cbc:Name", place)))
    return _box("cac:Delivery", named) if place else ""


def _ubl_extras(extras: Iterable[Extra], currency: str) -> list[str]:
    return [
        _box(
            "cac:AllowanceCharge",
            _tag("cbc:ChargeIndicator", extra.said),
            _tag("cbc:AllowanceChargeReasonCode", extra.code),
            _tag("cbc:AllowanceChargeReason", extra.reason),
            _tag("cbc:Amount", extra.amount, currencyID=currency),
        )
        for extra in extras
    ]


def _ubl_taxes(paper: Paper) -> list[str]:
    parts = [
        _box(
            "cac:TaxSubtotal",
            _tag("cbc:TaxableAmount", base, currencyID=paper.currency),
            _tag("cbc:TaxAmount", str(tax), currencyID=paper.currency),
            _box("cac:TaxCategory", _tag("cbc:ID", "S"), _tag("cbc:Percent", percent)),
        )
        for base, percent, tax in tax_parts(paper)
    ]
    said = totals(paper)["tax"]
    found = (
        [_box("cac:TaxTotal", _tag("cbc:TaxAmount", said, currencyID=paper.currency), *parts)] if said else []
    )
    if paper.other_tax:
        currency, tax = paper.other_tax
        found.append(_box("cac:TaxTotal", _tag("cbc:TaxAmount", tax, currencyID=currency)))
    return found


def _ubl_totals(paper: Paper) -> str:
    said, names = (
        totals(paper),
        {
            "lines": "LineExtensionAmount",
            "net": "TaxExclusiveAmount",
            "total": "TaxInclusiveAmount",
            "allowances": "AllowanceTotalAmount",
            "charges": "ChargeTotalAmount",
            "prepaid": "PrepaidAmount",
            "rounding": "PayableRoundingAmount",
            "due": "PayableAmount",
        },
    )
    amounts = (_tag(f"cbc:{tag}", said[name], currencyID=paper.currency) for name, tag in names.items())
    return _box("cac:LegalMonetaryTotal", *amounts)


def _ubl_line(item: Item, number: str, form: str, currency: str) -> str:
    quantity = "InvoicedQuantity" if form == "Invoice" else "CreditedQuantity"
    unit = {"unitCode": item.unit} if item.unit else {}
    return _box(
        f"cac:{form}Line",
        _tag("cbc:ID", number),
        _tag("cbc:Note", item.note),
        _tag(f"cbc:{quantity}", item.quantity, **unit),
        _tag("cbc:LineExtensionAmount", item.amount, currencyID=currency),
        _ubl_order(item),
        _box("cac:DocumentReference", _tag("cbc:ID", item.reference)) if item.reference else "",
        *_ubl_extras(item.extras, currency),
        _box(
            "cac:Item",
            _tag("cbc:Description", item.description),
            _tag("cbc:Name", item.name),
            *(
                _box("cac:AdditionalItemProperty", _tag("cbc:Name", name), _tag("cbc:Value", value))
                for name, value in item.properties
            ),
        ),
        _box(
            "cac:Price",
            _tag("cbc:PriceAmount", item.price_said, currencyID=currency),
            _tag("cbc:BaseQuantity", item.per, **unit),
        ),
        *(
            _ubl_line(part, f"{number}.{count}", form, currency).replace(
                f"cac:{form}Line>", f"cac:Sub{form}Line>"
            )
            for count, part in enumerate(item.parts, 1)
        ),
    )


def _ubl_order(item: Item) -> str:
    order = _box("cac:OrderReference", _tag("cbc:ID", item.order)) if item.order else ""
    line = _tag("cbc:LineID", item.order_line or ("1" if item.order else ""))
    return _box("cac:OrderLineReference", line, order) if line else ""


def cii(paper: Paper) -> str:
    """The paper as a Cross Industry Invoice, version 100."""
    spaces = (
        f'xmlns:rsm="{DATA}CrossIndustryInvoice:100" '
        f'xmlns:ram="{DATA}ReusableAggregateBusinessInformationEntity:100" '
        f'xmlns:udt="{DATA}UnqualifiedDataType:100"'
    )
    inside = "\n".join((_cii_head(paper), _cii_trade(paper)))
    root = "rsm:CrossIndustryInvoice"
    return f'<?xml version="1.0" encoding="UTF-8"?>\n<{root} {spaces}>\n{inside}\n</{root}>\n'


def _cii_head(paper: Paper) -> str:
    day = _tag("udt:DateTimeString", paper.day.replace("-", ""), format="102")
    return _box(
        "rsm:ExchangedDocument",
        _tag("ram:ID", paper.number),
        _tag("ram:TypeCode", paper.code),
        _box("ram:IssueDateTime", day) if day else "",
        _box("ram:CopyIndicator", _tag("udt:Indicator", paper.copy)) if paper.copy else "",
        _box("ram:IncludedNote", _tag("ram:Content", paper.note)) if paper.note else "",
    )


def _cii_trade(paper: Paper) -> str:
    return _box(
        "rsm:SupplyChainTradeTransaction",
        *(_cii_line(item, str(count)) for count, item in enumerate(paper.items, 1)),
        _box(
            "ram:ApplicableHeaderTradeAgreement",
            _tag("ram:BuyerReference", paper.buyer_reference),
            _cii_party("Seller", paper.seller, paper.seller_id),
            _cii_party("Buyer", paper.buyer, paper.buyer_id, paper.contact),
            _box("ram:BuyerOrderReferencedDocument", _tag("ram:IssuerAssignedID", paper.order))
            if paper.order
            else "",
        ),
        _box(
            "ram:ApplicableHeaderTradeDelivery",
            _cii_party("ShipTo", paper.delivered_to, "") if paper.delivered_to else "",
        ),
        _cii_settled(paper),
    )


def _cii_party(role: str, name: str, number: str, contact: str = "") -> str:
    reached = _box("ram:DefinedTradeContact", _tag("ram:PersonName", contact)) if contact else ""
    return _box(f"ram:{role}TradeParty", _tag("ram:ID", number), _tag("ram:Name", name), reached)


def _cii_extras(extras: Iterable[Extra]) -> list[str]:
    return [
        _box(
            "ram:SpecifiedTradeAllowanceCharge",
            _box("ram:ChargeIndicator", _tag("udt:Indicator", extra.said)),
            _tag("ram:ActualAmount", extra.amount),
            _tag("ram:ReasonCode", extra.code),
            _tag("ram:Reason", extra.reason),
        )
        for extra in extras
    ]


def _cii_settled(paper: Paper) -> str:
    account = "ram:ReceivableSpecifiedTradeAccountingAccount"
    return _box(
        "ram:ApplicableHeaderTradeSettlement",
        _tag("ram:TaxCurrencyCode", paper.other_tax[0] if paper.other_tax else ""),
        _tag("ram:InvoiceCurrencyCode", paper.currency),
        *(
            _box(
                "ram:ApplicableTradeTax",
                _tag("ram:CalculatedAmount", str(tax)),
                _tag("ram:BasisAmount", base),
                _tag("ram:RateApplicablePercent", percent),
            )
            for base, percent, tax in tax_parts(paper)
        ),
        *_cii_extras(paper.extras),
        _cii_totals(paper),
        _box(account, _tag("ram:ID", paper.account)) if paper.account else "",
    )


def _cii_totals(paper: Paper) -> str:
    said = totals(paper)
    other = (
        _tag("ram:TaxTotalAmount", paper.other_tax[1], currencyID=paper.other_tax[0])
        if paper.other_tax
        else ""
    )
    return _box(
        "ram:SpecifiedTradeSettlementHeaderMonetarySummation",
        _tag("ram:LineTotalAmount", said["lines"]),
        _tag("ram:ChargeTotalAmount", said["charges"]),
        _tag("ram:AllowanceTotalAmount", said["allowances"]),
        _tag("ram:TaxBasisTotalAmount", said["net"]),
        _tag("ram:TaxTotalAmount", said["tax"], currencyID=paper.currency),
        other,
        _tag("ram:RoundingAmount", said["rounding"]),
        _tag("ram:GrandTotalAmount", said["total"]),
        _tag("ram:TotalPrepaidAmount", said["prepaid"]),
        _tag("ram:DuePayableAmount", said["due"]),
    )


def _cii_line(item: Item, number: str) -> str:
    unit = {"unitCode": item.unit} if item.unit else {}
    return _box(
        "ram:IncludedSupplyChainTradeLineItem",
        _box(
            "ram:AssociatedDocumentLineDocument",
            _tag("ram:LineID", number),
            _tag("ram:LineStatusReasonCode", item.status),
            _box("ram:IncludedNote", _tag("ram:Content", item.note)) if item.note else "",
        ),
        _box(
            "ram:SpecifiedTradeProduct",
            _tag("ram:Name", item.name),
            _tag("ram:Description", item.description),
            *(
                _box(
                    "ram:ApplicableProductCharacteristic",
                    _tag("ram:Description", name),
                    _tag("ram:Value", value),
                )
                for name, value in item.properties
            ),
        ),
        _box(
            "ram:SpecifiedLineTradeAgreement",
            _cii_order(item),
            _box(
                "ram:NetPriceProductTradePrice",
                _tag("ram:ChargeAmount", item.price_said),
                _tag("ram:BasisQuantity", item.per, **unit),
            ),
        ),
        _box("ram:SpecifiedLineTradeDelivery", _tag("ram:BilledQuantity", item.quantity, **unit)),
        _cii_line_settled(item),
    )


def _cii_order(item: Item) -> str:
    if not (item.order or item.order_line):
        return ""
    order, line = _tag("ram:IssuerAssignedID", item.order), _tag("ram:LineID", item.order_line)
    return _box("ram:BuyerOrderReferencedDocument", order, line)


def _cii_line_settled(item: Item) -> str:
    about = _tag("ram:IssuerAssignedID", item.reference)
    total = "ram:SpecifiedTradeSettlementLineMonetarySummation"
    return _box(
        "ram:SpecifiedLineTradeSettlement",
        *_cii_extras(item.extras),
        _box(total, _tag("ram:LineTotalAmount", item.amount)),
        _box("ram:AdditionalReferencedDocument", about) if about else "",
    )

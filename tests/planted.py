"""Invoices in which everything that may tell who a patient is has been planted, in every format and field."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import openpyxl
from openpyxl.comments import Comment

IDENTIFIERS: dict[str, tuple[str, ...]] = {
    "A names": ("Zwetschgenbaum", "QUILLFEATHER J", "Xqz", "Ångströmsson-Vögel"),
    "B places": ("8431 Wurzelgasse", "Oberwinkelstetten", "ZIP 97418-0042"),
    "C days": ("1961-05-17", "17/05/1961", "05/17/1961", "17 May 1961", "17.05.1961", "19610517"),
    "D telephones": ("555-867-5309", "+1 555 867 5310"),
    "E fax numbers": ("555-867-5399",),
    "F e-mail": ("zq.patient@mail.example",),
    "G social security": ("078-05-1120", "078051120"),
    "H medical records": ("CH-778812", "MRN4471023"),
    "I health plans": ("HPN-66120945",),
    "J accounts": ("ACCT-55102931",),
    "K certificates and licences": ("LIC-4471920",),
    "L vehicles": ("QXZ-8842",),
    "M devices": ("SN-55KX9931",),
    "N web addresses": ("https://portal.example/p/99817263",),
    "O internet addresses": ("203.0.113.177",),
    "P biometrics": ("FINGERPRINT-7F3A91",),
    "Q photographs": ("face_88213.jpg",),
    "R other numbers": ("CASE-90417-X", "PAN-31807"),
}
"""The eighteen classes of 45 CFR 164.514(b)(2)(i)(A) to (R), each with words that nothing else holds by chance."""

ALL = tuple(word for words in IDENTIFIERS.values() for word in words)

HEAD = (
    "Patient",
    "DOB",
    "Case no.",
    "Tooth",
    "Description",
    "Qty",
    "Unit price",
    "Amount",
    "Remarks",
    "Weight",
    "Unit of weight",
)


def descriptions() -> list[str]:
    """The lab's wording with one identifier each, before, within and after words that are known."""
    shapes: tuple[Callable[[str], str], ...] = (
        lambda word: f"{word} #30 FCZ crown A2",
        lambda word: f"FCZ crown for {word}",
        lambda word: f"FCZ {word} crown",
        lambda word: f"Custom stain ({word})",
        lambda word: f"FCZ crown, patient: {word}",
        lambda word: f"FCZ crown/{word}",
        lambda word: f"{word}: FCZ crown",
    )
    return [shapes[at % len(shapes)](word) for at, word in enumerate(ALL)]


def rows(number: str, mark: str = "") -> list[list[Any]]:
    """One invoice that adds up, as rows: letterhead, labels, lines, notes between them, totals, foot."""
    body: list[list[Any]] = []
    for at, text in enumerate(descriptions()):
        word = ALL[at]
        body.append(
            [word, "1961-05-17", "CASE-90417-X", "", text, 1, "10.00", "10.00", f"see {word}", "", word]
        )
        body.append(["", "", "", "", f"note: {word}", "", "", "", ""])
    total = f"{10 * len(ALL):.2f}"
    labels = [[f"{name}:", word] for name, word in zip(_LABELS, ALL, strict=False)]
    return [
        ["lab A"],
        ["Patient: Zwetschgenbaum, born 17/05/1961, 8431 Wurzelgasse"],
        *[[f"{name}: {word}"] for name, word in zip(_LABELS, reversed(ALL), strict=False)],
        *labels,
        ["Invoice no.:", f"{number}{mark}"],
        ["Invoice date:", "2026-03-24"],
        ["Clinic:", "North"],
        [],
        list(HEAD),
        *body,
        ["", "", "", "", "Patient total Zwetschgenbaum", "", "", total, ""],
        ["", "", "", "", "Total", "", "", total, ""],
        [],
        ["Thank you QUILLFEATHER J, call 555-867-5309"],
    ]


_LABELS = (
    *(
        "Patient",
        "Patient name",
        "Deliver to",
        "Ship to",
        "Attn",
        "DOB",
        "Date of birth",
        "Chart no.",
        "Ref",
        "PO no.",
    ),
    *(
        "Phone",
        "Fax",
        "E-mail",
        "SSN",
        "Case no.",
        "Pan no.",
        "Dentist",
        "Remarks",
        "Address",
        "Contact",
        "Account of",
    ),
    *("Received", "Due date", "Insurance no.", "Serial no.", "Web", "Your reference", "Notes", "City", "Job"),
)


def every_cell(number: str) -> list[list[Any]]:
    """An invoice with an identifier in place of each figure in turn: numbers, days, units, teeth and headings."""
    head = [
        "Date",
        "Tooth",
        "Description",
        "Qty",
        "Unit price",
        "Amount",
        "Weight",
        "Unit of weight",
        "Currency",
    ]
    good = ["2026-03-24", "30", "FCZ crown", "1", "10.00", "10.00", "2.1", "g", "USD"]
    body = [
        [word if column == at else cell for at, cell in enumerate(good)]
        for word in ALL
        for column in range(len(good))
    ]
    top = [["lab A"], ["Invoice no.:", number], ["Invoice date:", "2026-03-24"], ["Clinic:", "North"], []]
    return [*top, head, *body, ["", "", "Total", "", "", "999.99"]]


def write_text(path: Path, cells: list[list[Any]], mark: str = ",", encoding: str = "utf-8") -> None:
    """The rows as a text file."""
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=mark).writerows(cells)
    path.write_bytes(text.getvalue().encode(encoding))


def write_book(path: Path, cells: list[list[Any]]) -> None:
    """The rows as a workbook whose comments, properties, header, hidden sheet, names and links tell all, too."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Invoice"
    for row in cells:
        sheet.append([_typed(cell) for cell in row])
    sheet["A1"].comment = Comment("; ".join(ALL), "Zwetschgenbaum")
    sheet["A2"].hyperlink = "https://portal.example/p/99817263"
    sheet.oddHeader.center.text = "QUILLFEATHER J"
    hidden = book.create_sheet("Cases")
    hidden.sheet_state = "hidden"
    for word in ALL:
        hidden.append([word, "FCZ crown", 10])
    other = book.create_sheet("Contacts")
    for word in ALL:
        other.append([word])
    book.properties.creator = "Zwetschgenbaum"
    book.properties.description = "; ".join(ALL)
    book.save(path)


def _typed(cell: Any) -> Any:
    """Amounts as numbers, the rest as it stands."""
    return (
        float(cell)
        if isinstance(cell, str) and cell.count(".") == 1 and cell.replace(".", "").isdigit()
        else cell
    )


def plain_table() -> list[list[Any]]:
    """The same in the table of invoice lines that the templates bring, with columns of the lab's own."""
    head = [
        "Date",
        "Patient",
        "Born",
        "Case",
        "Invoice",
        "Lab",
        "Site",
        "Teeth",
        "Product",
        "Line kind",
        "Units",
        "Amount",
        "Weight unit",
    ]
    return [
        [*head, "Zwetschgenbaum"],
        *[
            [
                "2026-03-24",
                word,
                "1961-05-17",
                word,
                "P-1",
                "lab A",
                "North",
                "3",
                text,
                "unit fee",
                "1",
                "10.00",
                word,
                word,
            ]
            for word, text in zip(ALL, descriptions(), strict=True)
        ],
    ]


def plain_in_every_cell() -> list[list[Any]]:
    """The table of the templates with an identifier in place of each cell that is neither invoice, lab nor site."""
    head = [
        "Date",
        "Invoice",
        "Lab",
        "Site",
        "Teeth",
        "Product",
        "Line kind",
        "Units",
        "Amount",
        "Weight",
        "Weight unit",
    ]
    good = ["2026-03-24", "P-2", "lab A", "North", "3", "FCZ crown", "unit fee", "1", "10.00", "2.1", "g"]
    free = [at for at, name in enumerate(head) if name not in ("Invoice", "Lab", "Site")]
    body = [[word if at == here else cell for at, cell in enumerate(good)] for word in ALL for here in free]
    return [head, *body]


_UBL = "urn:oasis:names:specification:ubl:schema:xsd:"


def ubl() -> str:
    """A UBL 2.1 invoice with identifiers in notes, references, parties, addresses, items and their properties."""
    said = " | ".join(escape(word) for word in ALL)
    lines = "".join(
        f"<cac:InvoiceLine><cbc:ID>{at}</cbc:ID><cbc:Note>{escape(word)}</cbc:Note>"
        f'<cbc:InvoicedQuantity unitCode="C62">1</cbc:InvoicedQuantity>'
        f'<cbc:LineExtensionAmount currencyID="USD">10.00</cbc:LineExtensionAmount>'
        f"<cbc:AccountingCost>{escape(word)}</cbc:AccountingCost>"
        f"<cac:OrderLineReference><cbc:LineID>{escape(word)}</cbc:LineID></cac:OrderLineReference>"
        f"<cac:Item><cbc:Description>{escape(text)}</cbc:Description><cbc:Name>{escape(text)}</cbc:Name>"
        f"<cac:BuyersItemIdentification><cbc:ID>{escape(word)}</cbc:ID></cac:BuyersItemIdentification>"
        f"<cac:AdditionalItemProperty><cbc:Name>Patient</cbc:Name><cbc:Value>{escape(word)}</cbc:Value></cac:AdditionalItemProperty>"
        f"<cac:AdditionalItemProperty><cbc:Name>{escape(word)}</cbc:Name><cbc:Value>Tooth 30</cbc:Value></cac:AdditionalItemProperty>"
        f'</cac:Item><cac:Price><cbc:PriceAmount currencyID="USD">10.00</cbc:PriceAmount></cac:Price></cac:InvoiceLine>'
        for at, (word, text) in enumerate(zip(ALL, descriptions(), strict=True), start=1)
    )
    total = f"{10 * len(ALL):.2f}"
    person = "".join(
        f"<cbc:AdditionalStreetName>{escape(word)}</cbc:AdditionalStreetName>" for word in ALL[:1]
    )
    money = "".join(
        f'<cbc:{name} currencyID="USD">{total}</cbc:{name}>'
        for name in ("LineExtensionAmount", "TaxExclusiveAmount", "TaxInclusiveAmount", "PayableAmount")
    )
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><!-- {said.replace("--", "- ")} -->'
        f'<Invoice xmlns="{_UBL}Invoice-2" xmlns:cac="{_UBL}CommonAggregateComponents-2" '
        f'xmlns:cbc="{_UBL}CommonBasicComponents-2"><cbc:ID>U-1</cbc:ID><cbc:IssueDate>2026-03-24</cbc:IssueDate>'
        f"<cbc:InvoiceTypeCode>380</cbc:InvoiceTypeCode><cbc:Note>{said}</cbc:Note>"
        f"<cbc:DocumentCurrencyCode>USD</cbc:DocumentCurrencyCode><cbc:BuyerReference>CASE-90417-X</cbc:BuyerReference>"
        f"<cac:OrderReference><cbc:ID>PAN-31807</cbc:ID></cac:OrderReference>"
        f"<cac:AdditionalDocumentReference><cbc:ID>CH-778812</cbc:ID><cbc:DocumentDescription>{said}"
        f"</cbc:DocumentDescription></cac:AdditionalDocumentReference>"
        f"<cac:AccountingSupplierParty><cac:Party><cac:PartyName><cbc:Name>lab A</cbc:Name></cac:PartyName>"
        f"<cac:Contact><cbc:Name>Zwetschgenbaum</cbc:Name><cbc:Telephone>555-867-5309</cbc:Telephone>"
        f"<cbc:ElectronicMail>zq.patient@mail.example</cbc:ElectronicMail></cac:Contact></cac:Party></cac:AccountingSupplierParty>"
        f"<cac:AccountingCustomerParty><cac:Party><cac:PartyName><cbc:Name>North</cbc:Name></cac:PartyName>"
        f"<cac:PostalAddress><cbc:StreetName>8431 Wurzelgasse</cbc:StreetName>{person}<cbc:CityName>Oberwinkelstetten"
        f"</cbc:CityName></cac:PostalAddress></cac:Party></cac:AccountingCustomerParty>"
        f"<cac:Delivery><cbc:ActualDeliveryDate>1961-05-17</cbc:ActualDeliveryDate><cac:DeliveryParty><cac:PartyName>"
        f"<cbc:Name>QUILLFEATHER J</cbc:Name></cac:PartyName></cac:DeliveryParty></cac:Delivery>"
        f"<cac:PaymentTerms><cbc:Note>{said}</cbc:Note></cac:PaymentTerms>"
        f"<cac:LegalMonetaryTotal>{money}</cac:LegalMonetaryTotal>{lines}</Invoice>"
    )


_CII = "urn:un:unece:uncefact:data:standard:"


def cii() -> str:
    """A Cross Industry Invoice with identifiers in its notes, parties, products and their characteristics."""
    lines = "".join(
        f"<ram:IncludedSupplyChainTradeLineItem><ram:AssociatedDocumentLineDocument><ram:LineID>{at}</ram:LineID>"
        f"<ram:IncludedNote><ram:Content>{escape(word)}</ram:Content></ram:IncludedNote></ram:AssociatedDocumentLineDocument>"
        f"<ram:SpecifiedTradeProduct><ram:BuyerAssignedID>{escape(word)}</ram:BuyerAssignedID><ram:Name>{escape(text)}</ram:Name>"
        f"<ram:Description>{escape(text)}</ram:Description><ram:ApplicableProductCharacteristic><ram:Description>"
        f"{escape(word)}</ram:Description><ram:Value>{escape(word)}</ram:Value></ram:ApplicableProductCharacteristic>"
        f"</ram:SpecifiedTradeProduct><ram:SpecifiedLineTradeAgreement><ram:NetPriceProductTradePrice><ram:ChargeAmount>10.00"
        f"</ram:ChargeAmount></ram:NetPriceProductTradePrice></ram:SpecifiedLineTradeAgreement><ram:SpecifiedLineTradeDelivery>"
        f'<ram:BilledQuantity unitCode="C62">1</ram:BilledQuantity></ram:SpecifiedLineTradeDelivery>'
        f"<ram:SpecifiedLineTradeSettlement><ram:SpecifiedTradeSettlementLineMonetarySummation><ram:LineTotalAmount>10.00"
        f"</ram:LineTotalAmount></ram:SpecifiedTradeSettlementLineMonetarySummation></ram:SpecifiedLineTradeSettlement>"
        f"</ram:IncludedSupplyChainTradeLineItem>"
        for at, (word, text) in enumerate(zip(ALL, descriptions(), strict=True), start=1)
    )
    total, said = f"{10 * len(ALL):.2f}", " | ".join(escape(word) for word in ALL)
    party = "<ram:{0}><ram:Name>{1}</ram:Name><ram:DefinedTradeContact><ram:PersonName>Zwetschgenbaum</ram:PersonName></ram:DefinedTradeContact></ram:{0}>"
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><rsm:CrossIndustryInvoice xmlns:rsm="{_CII}CrossIndustryInvoice:100" '
        f'xmlns:ram="{_CII}ReusableAggregateBusinessInformationEntity:100" xmlns:udt="{_CII}UnqualifiedDataType:100">'
        f"<rsm:ExchangedDocument><ram:ID>Z-1</ram:ID><ram:TypeCode>380</ram:TypeCode><ram:IssueDateTime>"
        f'<udt:DateTimeString format="102">20260324</udt:DateTimeString></ram:IssueDateTime><ram:IncludedNote><ram:Content>{said}'
        f"</ram:Content></ram:IncludedNote></rsm:ExchangedDocument><rsm:SupplyChainTradeTransaction>{lines}"
        f"<ram:ApplicableHeaderTradeAgreement><ram:BuyerReference>CASE-90417-X</ram:BuyerReference>"
        f"{party.format('SellerTradeParty', 'lab A')}{party.format('BuyerTradeParty', 'North')}</ram:ApplicableHeaderTradeAgreement>"
        f"<ram:ApplicableHeaderTradeDelivery>{party.format('ShipToTradeParty', 'QUILLFEATHER J')}</ram:ApplicableHeaderTradeDelivery>"
        f"<ram:ApplicableHeaderTradeSettlement><ram:InvoiceCurrencyCode>USD</ram:InvoiceCurrencyCode>"
        f"<ram:SpecifiedTradeSettlementHeaderMonetarySummation><ram:LineTotalAmount>{total}</ram:LineTotalAmount>"
        f"<ram:TaxBasisTotalAmount>{total}</ram:TaxBasisTotalAmount><ram:GrandTotalAmount>{total}</ram:GrandTotalAmount>"
        f"<ram:DuePayableAmount>{total}</ram:DuePayableAmount></ram:SpecifiedTradeSettlementHeaderMonetarySummation>"
        f"</ram:ApplicableHeaderTradeSettlement></rsm:SupplyChainTradeTransaction></rsm:CrossIndustryInvoice>"
    )

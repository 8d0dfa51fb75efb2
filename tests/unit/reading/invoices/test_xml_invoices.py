"""What of an electronic invoice becomes which line, what is told, and what is never read."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import asdict, replace
from typing import Any

import pytest
from e_invoices import Extra, Item, Paper, cii, ubl

from feesheet.reading.invoices.cii import CII
from feesheet.reading.invoices.context import Context, LabKnown
from feesheet.reading.invoices.document import Document, Line
from feesheet.reading.invoices.ubl import UBL
from feesheet.reading.invoices.xml_tree import read_xml

CONTEXT = Context(
    b"key",
    labs=(LabKnown("lab A", ("A Lab of Ceramics",)),),
    sites=("North", "South"),
    accounts=(("lab A", "4711", "South"),),
    alloys=("alloy Y",),
    words=frozenset({"zirconia", "crown", "alloy", "full", "contour"}),
    currency="EUR",
)
CROWN = Item("Full contour zirconia crown", "142.00", description="tooth 16")
PLAIN = Paper(items=(CROWN,), taxes=(("142.00", "20"),))

BOTH = pytest.mark.parametrize("write", [ubl, cii])


def read(paper: Paper, write: Callable[[Paper], str] = ubl) -> Document:
    """The document that the paper makes."""
    return read_text(write(paper))


def read_text(text: str) -> Document:
    """The document of a file in either syntax."""
    root = read_xml(text.encode())
    (reader,) = [one for one in (UBL, CII) if one.suits(root, CONTEXT)]
    (document,) = reader.read(root, CONTEXT)
    return document


def only(document: Document, kind: str) -> Line:
    """The one line of that kind."""
    (line,) = [line for line in document.lines if line.kind == kind]
    return line


def kinds(document: Document) -> list[str]:
    """The kinds of the document's problems."""
    return [problem.kind for problem in document.problems]


def test_suits_only_their_own_roots() -> None:
    """A reader takes the root element of its own standard and neither grids nor any other XML."""
    roots = [read_xml(write(PLAIN).encode()) for write in (ubl, cii)]

    assert [[reader.suits(root, CONTEXT) for root in roots] for reader in (UBL, CII)] == [[1, 0], [0, 1]]
    assert UBL.suits([], CONTEXT) == CII.suits([], CONTEXT) == 0
    assert UBL.suits(read_xml(b"<Invoice/>"), CONTEXT) == 0


@BOTH
def test_head_of_an_invoice(write: Callable[[Paper], str]) -> None:
    """Number, day, currency, seller and buyer are the file's own."""
    paper = replace(PLAIN, seller="A Lab of Ceramics", seller_id="X9", buyer="North", buyer_id="77")

    document = read(paper, write)

    assert (document.kind, document.number, document.day) == ("invoice", "A-1", 20516.0)
    assert (document.currency, document.lab) == ("EUR", "A Lab of Ceramics")
    assert set(document.names) == {"A Lab of Ceramics", "X9"}
    assert set(document.accounts) == {"North", "77"}
    assert not document.repeats


@BOTH
def test_a_line(write: Callable[[Paper], str]) -> None:
    """A line has its amount, units, price and teeth, and the line of the file where it begins."""
    text = write(PLAIN)
    document = read_text(text)
    line = only(document, "unit fee")

    assert (line.amount, line.units, line.unit_price, line.teeth) == (142.0, 1.0, 142.0, "16")
    assert "zirconia crown" in line.product
    assert "Line" in text.splitlines()[line.row - 1]
    assert document.total_cell.startswith("line ")


@BOTH
def test_price_for_several(write: Callable[[Paper], str]) -> None:
    """A price for 100 pieces is divided by them."""
    document = read(Paper((Item("zirconia crown", "3.00", "2", price="150", per="100"),)), write)

    assert only(document, "unit fee").unit_price == 1.5
    assert document.problems == []


@BOTH
@pytest.mark.parametrize(
    ("unit", "weight", "word", "price"),
    [
        ("GRM", 2.5, "g", 60.0),
        ("MGM", 0.0025, "g", 60000.0),
        ("KGM", 2.5, "kg", 60.0),
        ("GRN", 2.5, "grain", 60.0),
        ("DWT", 2.5, "dwt", 60.0),
        ("APZ", 2.5, "ozt", 60.0),
        ("LBT", 30.0, "ozt", 5.0),
        ("ONZ", 2.5, "oz", 60.0),
    ],
)
def test_unit_codes_of_weight(
    write: Callable[[Paper], str], unit: str, weight: float, word: str, price: float
) -> None:
    """Codes of mass make a billed weight and a price for one of its units; a plain ounce stays a question."""
    item = Item("alloy", "150.00", "2.5", unit, price="60")

    line = only(read(replace(PLAIN, items=(item,)), write), "alloy")

    assert (line.weight, line.weight_unit, line.weight_basis) == (weight, word, "billed")
    assert line.unit_price == pytest.approx(price)
    assert math.isnan(line.units)


@pytest.mark.parametrize(("name", "weight"), [("alloy 2.1 dwt", 2.1), ("alloy 3,25 dwt", 3.25)])
def test_weight_in_words(name: str, weight: float) -> None:
    """A weight in the words of a line billed by the piece is found, with whichever decimal mark."""
    line = only(read(replace(PLAIN, items=(Item(name, "315.00"),))), "alloy")

    assert (line.weight, line.weight_unit) == (weight, "dwt")


@BOTH
def test_other_units_are_told(write: Callable[[Paper], str]) -> None:
    """Hours are no crowns: the amount counts, the quantity does not, and it is said."""
    document = read(replace(PLAIN, items=(replace(CROWN, unit="HUR"),)), write)

    assert math.isnan(document.lines[0].units)
    assert document.lines[0].amount == 142.0
    assert len(document.assumed) == 1


@BOTH
def test_allowances_of_a_line(write: Callable[[Paper], str]) -> None:
    """A line's own allowance is within its net amount: it is no line, and the price is what is left of it."""
    item = Item("zirconia crown", "252.00", "2", price="140", extras=(Extra("28.00", False),))

    document = read(replace(PLAIN, items=(item,), taxes=()), write)

    assert [(line.amount, line.unit_price) for line in document.lines] == [(252.0, 126.0)]
    assert document.problems == []


@BOTH
@pytest.mark.parametrize(
    ("extra", "kind", "amount"),
    [
        (Extra("5.00", False, "Loyal customer"), "discount", -5.0),
        (Extra("12.50", True, "Shipping"), "freight", 12.5),
        (Extra("12.50", True, "", "FC"), "freight", 12.5),
        (Extra("30.00", True, "", "AAT"), "rush", 30.0),
        (Extra("4.00", True, "Packaging"), "extra", 4.0),
        (Extra("4.00", True), "extra", 4.0),
    ],
)
def test_allowances_and_charges(
    write: Callable[[Paper], str], extra: Extra, kind: str, amount: float
) -> None:
    """An allowance on the whole invoice is a discount, a charge what its reason or its code says."""
    document = read(replace(PLAIN, extras=(extra,)), write)

    assert only(document, kind).amount == amount
    assert document.problems == []


@BOTH
def test_unmarked_allowance_is_told(write: Callable[[Paper], str]) -> None:
    """What is neither an allowance nor a charge is not counted, and is told with its amount."""
    document = read(replace(PLAIN, extras=(Extra("5.00", True, flag="perhaps"),)), write)

    (told,) = [problem for problem in document.problems if problem.kind == "not understood"]
    assert "5.00" in told.what
    assert math.fsum(line.amount for line in document.lines) == pytest.approx(170.4)


def test_freight_apart() -> None:
    """A charge for freight that an extended profile lists apart is a line like any other charge."""
    text = cii(replace(PLAIN, said={"charges": "9.00", "net": "151.00", "total": "179.40", "due": "179.40"}))
    apart = "<ram:SpecifiedLogisticsServiceCharge><ram:AppliedAmount>9.00</ram:AppliedAmount>"
    start = "<ram:SpecifiedTradeSettlementHeaderMonetarySummation>"

    document = read_text(text.replace(start, f"{apart}</ram:SpecifiedLogisticsServiceCharge>{start}"))

    assert only(document, "freight").amount == 9.0
    assert document.problems == []


@BOTH
def test_credit_note(write: Callable[[Paper], str]) -> None:
    """Everything of a credit note is given back: amounts, units, weights, discounts and tax."""
    items = (CROWN, Item("alloy", "60.00", "2", "GRM"))
    paper = Paper(
        items, code="381", extras=(Extra("2.00", False),), taxes=(("200.00", "20"),), prepaid="40.00"
    )

    document = read(paper, write)
    crown, alloy = document.lines[:2]

    assert document.kind == "credit note"
    assert (crown.amount, crown.units, crown.unit_price) == (-142.0, -1.0, 142.0)
    assert crown.kind != "unit fee"
    assert (alloy.amount, alloy.weight) == (-60.0, -2.0)
    assert only(document, "discount").amount == 2.0
    assert only(document, "tax").amount == -40.0
    assert only(document, "balance").amount == 40.0
    assert (document.net, document.total) == (-200.0, -240.0)
    assert document.problems == []


@BOTH
def test_negative_credit_note_is_told(write: Callable[[Paper], str]) -> None:
    """A credit note that asks for money is counted as it stands and told."""
    document = read(Paper((Item("crown", "-142.00", "-1"),), code="381"), write)

    assert document.total == 142.0
    assert any("negative" in words for words in document.assumed)


@BOTH
def test_corrected_invoice(write: Callable[[Paper], str]) -> None:
    """A corrected invoice (384) is an invoice; its amounts keep their signs."""
    document = read(replace(PLAIN, code="384"), write)

    assert (document.kind, document.total) == ("invoice", 170.4)


@BOTH
def test_copy(write: Callable[[Paper], str]) -> None:
    """A file that calls itself a copy is one."""
    assert read(replace(PLAIN, copy="1"), write).repeats
    assert not read(replace(PLAIN, copy="false"), write).repeats


@BOTH
def test_tax_in_another_currency(write: Callable[[Paper], str]) -> None:
    """Tax in the currency of the tax office is not counted beside the invoice's own, and it is told."""
    document = read(replace(PLAIN, other_tax=("SEK", "318.00")), write)

    assert only(document, "tax").amount == 28.4
    assert any("another currency" in words for words in document.assumed)
    assert document.problems == []


def test_tax_in_another_currency_first() -> None:
    """It doesn't matter which tax total comes first."""
    paper = replace(PLAIN, other_tax=("SEK", "318.00"))
    others = {
        ubl: '<cac:TaxTotal>\n<cbc:TaxAmount currencyID="SEK">318.00</cbc:TaxAmount>\n</cac:TaxTotal>\n',
        cii: '<ram:TaxTotalAmount currencyID="SEK">318.00</ram:TaxTotalAmount>\n',
    }
    for write, other in others.items():
        first = other.split(">")[0].split(" ")[0]
        rest = write(paper).replace(other, "")
        document = read_text(rest.replace(first, f"{other}{first}", 1))

        assert only(document, "tax").amount == 28.4
        assert len(document.assumed) == 1
        assert document.problems == []


@BOTH
def test_rounding_and_payments(write: Callable[[Paper], str]) -> None:
    """The rounding is a line so that sums agree; what was paid before is no cost."""
    document = read(replace(PLAIN, rounding="0.10", prepaid="100.00"), write)

    rounding = next(line for line in document.lines if line.product == "rounding")
    costs = [line.amount for line in document.lines if line.kind != "balance"]
    assert (rounding.kind, rounding.amount) == ("extra", 0.1)
    assert only(document, "balance").amount == -100.0
    assert math.fsum(costs) == pytest.approx(document.total) == 170.5
    assert document.problems == []


@BOTH
@pytest.mark.parametrize(
    ("said", "rule", "figures"),
    [
        ({"lines": "143.00", "net": "143.00", "total": "171.40", "due": "171.40"}, 10, ("143.00", "142.00")),
        ({"allowances": "1.00", "net": "141.00", "total": "169.40", "due": "169.40"}, 11, ("1.00", "0.00")),
        ({"charges": "1.00", "net": "143.00", "total": "171.40", "due": "171.40"}, 12, ("1.00", "0.00")),
        ({"net": "140.00", "total": "168.40", "due": "168.40"}, 13, ("140.00", "142.00")),
        ({"tax": "30.00", "total": "172.00", "due": "172.00"}, 14, ("30.00", "28.40")),
        ({"total": "172.00", "due": "172.00"}, 15, ("172.00", "170.40")),
        ({"due": "170.50"}, 16, ("170.50", "170.40")),
    ],
)
def test_broken_sums_are_told(
    write: Callable[[Paper], str], said: dict[str, str], rule: int, figures: tuple[str, str]
) -> None:
    """Each sum that EN 16931 promises is held to, both figures are shown, and nothing is rescaled."""
    document = read(replace(PLAIN, said=said), write)

    (told,) = document.problems
    assert told.kind == "does not match its total"
    assert f"BR-CO-{rule}" in told.what
    assert all(figure in told.what for figure in figures)
    assert told.cell.startswith("line ")
    assert document.lines[0].amount == 142.0


@BOTH
def test_wrong_tax_is_told(write: Callable[[Paper], str]) -> None:
    """Tax that is not base times rate, to half a cent, is told (BR-CO-17)."""
    fair = read(replace(PLAIN, items=(Item("crown", "0.50"),), taxes=(("0.50", "25", "0.12"),)), write)
    wrong = read(replace(PLAIN, taxes=(("142.00", "20", "30.00"),)), write)

    assert fair.problems == []
    assert [problem.what for problem in wrong.problems if "BR-CO-17" in problem.what]


@BOTH
def test_missing_allowance_total_is_nought(write: Callable[[Paper], str]) -> None:
    """An allowance that no total mentions breaks its rule; no allowance needs no total."""
    told = read(replace(PLAIN, extras=(Extra("5.00", False),), said={"allowances": ""}), write)
    plain = read(replace(PLAIN, said={"allowances": "", "charges": ""}), write)

    assert any("BR-CO-11" in problem.what for problem in told.problems)
    assert plain.problems == []


def test_lines_within_a_line() -> None:
    """Lines within a line stand for it where they add up to it; where not, it counts and that is told."""
    parts = (Item("zirconia crown", "100.00"), Item("alloy", "42.00", "2", "GRM"))
    whole = replace(CROWN, parts=parts)

    fits = read(replace(PLAIN, items=(whole,)))
    differs = read(replace(PLAIN, items=(replace(whole, parts=parts[:1]),)))

    assert [line.amount for line in fits.lines] == [100.0, 42.0, 28.4]
    assert fits.problems == []
    assert [line.amount for line in differs.lines] == [142.0, 28.4]
    assert kinds(differs) == ["does not match its total"]


def test_groups_and_information() -> None:
    """In extended profiles a group sums up other lines and information has no price: neither is a cost."""
    items = (
        Item("crowns", "142.00", status="GROUP"),
        replace(CROWN, status="DETAIL"),
        Item("crown", "142.00", status="INFORMATION"),
    )

    document = read(replace(PLAIN, items=items), cii)

    assert [line.kind for line in document.lines] == ["balance", "unit fee", "note", "tax"]
    assert document.problems == []


@BOTH
@pytest.mark.parametrize("place", ["reference", "order"])
def test_case_of_a_line(write: Callable[[Paper], str], place: str) -> None:
    """What a line refers to is its case, as a keyed hash."""
    item: Any = replace(CROWN, **{place: "C-778"})

    line = read(replace(PLAIN, items=(item,), order="P-1"), write).lines[0]

    assert line.case == CONTEXT.hashed("c-778")


@BOTH
def test_case_of_the_invoice(write: Callable[[Paper], str]) -> None:
    """Lines that refer to nothing take the invoice's order; a mere count of an order's lines is no case."""
    counted = replace(CROWN, order_line="1")

    with_order = read(replace(PLAIN, items=(counted,), order="P-1"), write)
    without = read(replace(PLAIN, items=(counted,)), write)
    numbered = read(replace(PLAIN, items=(replace(CROWN, order_line="20260417"),)), write)

    assert with_order.lines[0].case == CONTEXT.hashed("P-1")
    assert without.lines[0].case == ""
    assert numbered.lines[0].case == CONTEXT.hashed("20260417")


@BOTH
def test_site_by_delivery_and_account(write: Callable[[Paper], str]) -> None:
    """A place of delivery and an account stay only where the practice knows them by those words."""
    known = read(replace(PLAIN, delivered_to="South", account="4711", buyer="The Group"), write)
    strange = read(replace(PLAIN, delivered_to="Zebulon Quist", buyer_reference="Zebulon Quist"), write)

    assert (known.site, known.accounts) == ("South", ["The Group", "South", "4711"])
    assert (strange.site, strange.accounts) == ("", ["North"])


@BOTH
def test_nothing_of_a_patient_leaves(write: Callable[[Paper], str]) -> None:
    """A patient's name or number in notes, names, properties, references and contacts stands in no field."""
    item = replace(
        CROWN,
        name="QUIST Z #30 zirconia crown",
        description="Zebulon Quist",
        note="for Zebulon Quist, born 1961",
        properties=(("Patient", "Zebulon Quist"), ("Case", "PX55")),
        reference="PX55",
        extras=(Extra("0.00", True, "Quist"),),
    )
    paper = replace(
        PLAIN,
        items=(item,),
        note="Zebulon Quist",
        contact="Zebulon Quist",
        buyer_reference="Quist",
        account="PX55",
        order="Zebulon Quist",
        delivered_to="Z. Quist",
        extras=(
            Extra("5.00", True, "Courier to Quist"),
            Extra("5.00", False, "Quist"),
            Extra("1.00", True, "PX55", flag="x"),
        ),
        said={"total": "1.00"},
    )

    document = read(paper, write)

    said = str(asdict(document)).casefold()
    assert not any(word in said for word in ("quist", "zebulon", "px55", "1961"))
    assert document.problems


@BOTH
@pytest.mark.parametrize(
    ("amount", "kind"),
    [("", "missing value"), ("12,5O", "not a number"), ("1e3", "not a number"), ("٣", "not a number"),
     ("NaN", "not a number"), ("9999999999.00", "out of range")],
)  # fmt: skip
def test_amounts_that_cannot_be_read(write: Callable[[Paper], str], amount: str, kind: str) -> None:
    """A line without a readable amount stays, is told with its place, and checks that need it stay silent."""
    text = write(PLAIN)
    tag = "LineExtensionAmount" if write is ubl else "LineTotalAmount"
    start = text.rindex(f"{tag}") if write is cii else text.index(tag, text.index("InvoiceLine>"))
    if write is cii:
        start = text.index(tag)
    before, after = text[:start], text[start:].replace("142.00", amount, 1)

    document = read_text(before + after)

    assert math.isnan(document.lines[0].amount)
    assert kinds(document) == [kind]
    assert document.problems[0].cell.startswith("line ")


@BOTH
def test_two_currencies_are_told(write: Callable[[Paper], str]) -> None:
    """An amount in a currency other than the invoice's own is told."""
    text = write(PLAIN)
    if write is ubl:
        text = text.replace(
            '<cbc:LineExtensionAmount currencyID="EUR"', '<cbc:LineExtensionAmount currencyID="USD"', 1
        )
    else:
        text = text.replace("<ram:GrandTotalAmount>", '<ram:GrandTotalAmount currencyID="USD">')

    assert kinds(read_text(text)) == ["mixed currency"]


@BOTH
@pytest.mark.parametrize("day", ["2026-02-30", "04.03.2026", "1066-10-14", "soon"])
def test_days_that_are_none(write: Callable[[Paper], str], day: str) -> None:
    """A date that can't be read is told; the rest is read."""
    document = read(replace(PLAIN, day=day), write)

    assert math.isnan(document.day)
    assert kinds(document) == ["not a date"]


@BOTH
def test_missing_parts(write: Callable[[Paper], str]) -> None:
    """A file without number, day, parties, quantity or totals is read as far as it goes."""
    names = ("lines", "allowances", "charges", "net", "tax", "total", "due")
    item = Item("zirconia crown", "142.00", "", "")
    paper = Paper((item,), "", "", "", "", "", buyer="", said=dict.fromkeys(names, ""))

    document = read(paper, write)

    assert [line.amount for line in document.lines] == [142.0]
    assert (document.number, document.lab, document.currency) == ("", "", "")
    assert math.isnan(document.total)
    assert kinds(document) == ["does not match its total"]


@pytest.mark.parametrize("root", [ubl(PLAIN).splitlines()[1], cii(PLAIN).splitlines()[1]])
def test_bare_root(root: str) -> None:
    """A root with nothing in it makes a document without lines, not a breakdown."""
    document = read_text(root.replace(">", "/>"))

    assert document.lines == []
    assert kinds(document) == ["does not match its total"]


def test_prefixes_do_not_matter() -> None:
    """The same UBL file with other prefixes, or with a prefixed root, reads the same."""
    text = ubl(PLAIN)
    renamed = (
        text.replace("cbc:", "b:").replace(":cbc=", ":b=").replace("cac:", "agg:").replace(":cac=", ":agg=")
    )
    prefixed = renamed.replace("<Invoice xmlns=", "<inv:Invoice xmlns:inv=").replace(
        "</Invoice>", "</inv:Invoice>"
    )

    assert str(read_text(renamed)) == str(read_text(prefixed)) == str(read_text(text))


def test_default_namespace_in_between() -> None:
    """A Cross Industry Invoice that declares its namespaces element by element reads the same."""
    text = cii(PLAIN)
    space = "urn:un:unece:uncefact:data:standard:ReusableAggregateBusinessInformationEntity:100"
    bare = text.replace(f'xmlns:ram="{space}"', f'xmlns="{space}"').replace("ram:", "")

    assert str(read_text(bare)) == str(read_text(text))


def test_other_namespaces_are_not_read() -> None:
    """An amount in a stranger's namespace is no amount of the standard."""
    text = ubl(PLAIN).replace("CommonBasicComponents-2", "OtherComponents-2")

    document = read_text(text)

    assert math.isnan(document.lines[0].amount)
    assert "missing value" in kinds(document)


@pytest.mark.parametrize("codec", ["utf-8", "utf-16", "windows-1252", "iso-8859-1"])
def test_encodings(codec: str) -> None:
    """The encoding that a file declares is the one it is read in."""
    text = ubl(replace(PLAIN, seller="Lab Münch")).replace("UTF-8", codec)
    (document,) = UBL.read(read_xml(text.encode(codec)), CONTEXT)

    assert document.lab == "Lab Münch"


@BOTH
def test_quantity_times_price(write: Callable[[Paper], str]) -> None:
    """3 × 145.00 charged as 425.00 is kept as charged and told; two cents for rounded prices are not."""
    told = read(Paper((Item("zirconia crown", "425.00", "3", price="145.00"),)), write)
    fair = read(Paper((Item("zirconia crown", "100.00", "3", price="33.33"),)), write)

    assert told.lines[0].amount == 425.0
    assert [("10.00" in problem.what, problem.kind) for problem in told.problems] == [
        (True, "does not match its total")
    ]
    assert fair.problems == []


@BOTH
@pytest.mark.parametrize(
    ("name", "value", "teeth"),
    [("Tooth", "14", "14"), ("Zahn", "UR6", "UR6"), ("Patient", "14", ""), ("Tooth", "Quist", "")],
)
def test_teeth_as_a_property(write: Callable[[Paper], str], name: str, value: str, teeth: str) -> None:
    """Teeth may stand in a property of the item; no other property is read, nor words that are no teeth."""
    item = Item("zirconia crown", "142.00", properties=(("Shade", "A2"), (name, value)))

    assert read(Paper((item,)), write).lines[0].teeth == teeth


@BOTH
def test_credit_of_a_mapped_product(write: Callable[[Paper], str]) -> None:
    """Work that the practice's own list calls a unit fee is a credit on a credit note, a remake a remake credit."""
    products = {
        ("", "zirconia crown"): ("zirconia", "unit fee"),
        ("", "second crown"): ("zirconia", "remake"),
    }
    paper = Paper((Item("zirconia crown", "142.00"), Item("second crown", "71.00")), code="381")
    root = read_xml(write(paper).encode())

    (document,) = (UBL if write is ubl else CII).read(root, replace(CONTEXT, products=products))

    assert [line.kind for line in document.lines] == ["credit", "remake credit"]


@BOTH
def test_weight_in_words_is_given_back(write: Callable[[Paper], str]) -> None:
    """A weight in the words of a credit note has the sign of its amount."""
    (line,) = read(Paper((Item("alloy 2.1 dwt", "315.00"),), code="381"), write).lines

    assert (line.amount, line.weight, line.weight_unit) == (-315.0, -2.1, "dwt")

"""What the words of an invoice line mean: kinds, products, alloys, classes and totals."""

from __future__ import annotations

import math

import pytest

from feesheet.reading.invoices.context import Context, LabKnown
from feesheet.reading.invoices.words import (
    alloy_of,
    class_of,
    is_crown,
    is_total,
    kind_of,
    product_of,
)
from feesheet.wording import known_words

BLANK = math.nan
CONTEXT = Context(
    labs=(LabKnown("lab A"), LabKnown("lab B")),
    materials=("zirconia, monolithic", "lithium disilicate"),
    alloys=("yellow casting alloy", "Testalloy 52"),
    products={
        ("", "prettycrown x"): ("zirconia, monolithic", ""),
        ("lab a", "gizmo"): ("", "rush"),
        ("", "shell"): ("not a crown", ""),
        ("", "margin fcz special"): ("zirconia, monolithic", "unit fee"),
    },
    words=known_words(["FCZ crown", "Prettycrown", "gizmo", "shell", "Testalloy 52", "yellow casting alloy"]),
)


@pytest.mark.parametrize(
    ("text", "amount", "kind"),
    [
        ("FCZ crown #30", 185, "unit fee"),
        ("SMITH J #30 FCZ A2", 185, "unit fee"),
        ("RUSH J #30 FCZ A2", 185, "unit fee"),
        ("GROSS J #30 FCZ A2", 185, "unit fee"),
        ("PORT J #30 FCZ A2", 185, "unit fee"),
        ("PFM semi-precious", 150, "unit fee"),
        ("PFM noble, porcelain margin", 165, "unit fee"),
        ("Screw-retained zirconia crown", 285, "unit fee"),
        ("Shade A2 FCZ crown", 165, "unit fee"),
        ("Tray 214 FCZ crown", 165, "unit fee"),
        ("FCZ crown (excl. VAT)", 185, "unit fee"),
        ("Pontic FCZ #4", 165, "unit fee"),
        ("Metal-ceramic unit, cobalt-chromium", 158, "unit fee"),
        ("ZrO2 full anatomic", 158, "unit fee"),
        ("Zirkonkrone", 160, "unit fee"),
        ("Die Krone 16", 160, "unit fee"),
        ("Couronne céramo-métallique", 160, "unit fee"),
        ("Total contour zirconia crown", 160, "unit fee"),
        ("Something never seen", 40, "unit fee"),
        ("Freight", 12, "freight"),
        ("Shipping for 2 crowns", 12, "freight"),
        ("Versandkosten", 9, "freight"),
        ("Rush fee, FCZ crown", 46, "rush"),
        ("Expresszuschlag", 46, "rush"),
        ("Volume rebate 4 %", -96, "discount"),
        ("Rebate on PFM noble", -12, "discount"),
        ("Skonto 2 %", -3, "discount"),
        ("Credit for error", -20, "credit"),
        ("FCZ crown", -185, "credit"),
        ("Something never seen", -40, "credit"),
        ("Gutschrift", -20, "credit"),
        ("GST 5 % on crowns", 9, "tax"),
        ("MwSt 19 %", 20, "tax"),
        ("TVA 20 %", 20, "tax"),
        ("Late fee", 5, "finance charge"),
        ("Porcelain margin", 25, "extra"),
        ("Porcelain butt margin #8 PFM", 25, "extra"),
        ("Occlusal metal", 15, "extra"),
        ("Post-solder", 30, "extra"),
        ("Stump shade ND3", 5, "extra"),
        ("Custom stain for FCZ crown", 18, "extra"),
        ("Shade visit", 40, "extra"),
        ("Ti base for crown #30", 55, "extra"),
        ("Zirconia abutment", 195, "extra"),
        ("Screw", 12, "extra"),
        ("Implant analog", 22, "extra"),
        ("Cast-to cylinder", 60, "extra"),
        ("Model and die", 14, "extra"),
        ("Articulation", 5, "extra"),
        ("Scan fee", 10, "extra"),
        ("CAD design", 10, "extra"),
        ("Noble surcharge", 35, "alloy surcharge"),
        ("Alloy surcharge 8 %", 12, "alloy surcharge"),
        ("Noble metal surcharge for PFM crown", 25, "alloy surcharge"),
        ("Alloy", 138.6, "alloy"),
        ("Previous balance", 1204.5, "balance"),
        ("Payment received, thank you", -1204.5, "balance"),
        ("SMITH total", 227.3, "balance"),
        ("Over 60 days", 50, "balance"),
    ],
)
def test_kinds(text: str, amount: float, kind: str) -> None:
    """Each kind of line of the trade is told by its words, and a crown's name beside them does not mislead."""
    assert kind_of(text, amount, CONTEXT) == kind


@pytest.mark.parametrize(
    ("text", "amount", "kind"),
    [
        ("Zirconia crown #30, remake 50 %", 92.5, "remake"),
        ("Remake zirconia crown", -185, "remake credit"),
        ("Credit for remake", -92.5, "remake credit"),
        ("No charge remake, FCZ", 0, "remake"),
        ("Re-made crown", BLANK, "remake"),
        ("Finance charge 2 %", 8, "finance charge"),
        ("Rush 25 %", 46, "rush"),
        ("Return deposit", 50, "deposit"),
        ("Crown return deposit", -50, "deposit"),
        ("Deposit, old crown not returned", 50, "deposit"),
        ("Cancelled mid-production, zirconia crown", 60, "extra"),
        ("Cancelled", -60, "credit"),
    ],
)
def test_hard_cases_of_charges(text: str, amount: float, kind: str) -> None:
    """Remakes cost and are counted, their credits are told from them, a deposit is never a crown, a cancelled case no unit."""
    assert kind_of(text, amount, CONTEXT) == kind


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("Neuanfertigung 50 %", "remake"),
        ("Neuanfertigung Zirkonkrone 16", "remake"),
        ("Nachlieferung/Wiederholung", "remake"),
        ("réfection", "remake"),
        ("repetición", "remake"),
        ("rifacimento", "remake"),
        ("Fuel surcharge", "freight"),
        ("Fuel charge per crown", "freight"),
        ("Delivery surcharge", "freight"),
        ("Treibstoffzuschlag", "freight"),
        ("Technology fee", "extra"),
        ("Small order fee", "extra"),
        ("Case fee", "extra"),
        ("Minimum billing", "extra"),
        ("Restocking fee", "extra"),
        ("Energy surcharge", "extra"),
        ("Administration fee", "extra"),
        ("Administration fee for 2 crowns", "extra"),
        ("Bearbeitungsgebühr", "extra"),
        ("Energiezuschlag", "extra"),
        ("Materialkosten", "extra"),
        ("Something never seen fee", "extra"),
        ("Something never seen surcharge", "extra"),
        ("Rush surcharge", "rush"),
        ("Late fee", "finance charge"),
        ("Goldzuschlag", "alloy surcharge"),
        ("Noble surcharge", "alloy surcharge"),
        ("Crown fee", "unit fee"),
        ("Unit fee", "unit fee"),
        ("FCZ fee", "unit fee"),
        ("Night guard fee", "unit fee"),
    ],
)
def test_charges_without_a_product(text: str, kind: str) -> None:
    """A fee or surcharge that names no product is an extra, what is for fuel or delivery freight; remakes have many words."""
    assert kind_of(text, 40, CONTEXT) == kind


def test_a_product_made_again_has_the_products_wording() -> None:
    """The word for a remake is no part of the name, whatever its language."""
    assert product_of("Neuanfertigung Zirkonkrone 50 %", CONTEXT) == "Zirkonkrone"
    assert product_of("Réfection de couronne", CONTEXT) == "couronne"
    assert product_of("Zirkonkrone (Wiederholung)", CONTEXT) == "Zirkonkrone"


def test_alloy_by_weight() -> None:
    """A weight makes a line of metal an alloy line, but not a crown that includes its metal, nor a surcharge."""
    for text in ("High noble alloy 2.1 dwt", "Gold 2.5 g", "Gold alloy for bridge 4.2 g", "Legierung 3,2 g"):
        assert kind_of(text, 315, CONTEXT, has_weight=True) == "alloy"
    assert kind_of("PFM noble crown, alloy incl. 1.5 g", 240, CONTEXT, has_weight=True) == "unit fee"
    assert kind_of("High noble", 120, CONTEXT) == "alloy surcharge"


@pytest.mark.parametrize("amount", [0, BLANK])
def test_nothing_charged(amount: float) -> None:
    """A blank beside a crown stays a unit to be asked about; words that name no product are a note."""
    assert kind_of("FCZ crown", amount, CONTEXT) == "unit fee"
    assert kind_of("N/C", amount, CONTEXT) == "note"
    assert kind_of("Please return the old crown", amount, CONTEXT) == "note"
    assert kind_of("Net 30 days", amount, CONTEXT) == "note"


def test_the_practices_own_map_comes_first() -> None:
    """A kind on the map decides, for its lab only; a mapped product is a crown whatever its words."""
    assert kind_of("Gizmo", 12, CONTEXT, "lab A") == "rush"
    assert kind_of("Gizmo", 12, CONTEXT, "lab B") == "unit fee"
    assert kind_of("Margin FCZ special #3", 12, CONTEXT) == "unit fee"
    assert kind_of("Prettycrown X", -12, CONTEXT) == "credit"


@pytest.mark.parametrize(
    ("text", "total"),
    [
        ("Case total 227.30", "subtotal"),
        ("TOTAL:", "total"),
        ("TOTAL USD 392.30", "total"),
        ("Summe", "total"),
        ("Zwischensumme", "subtotal"),
        ("SMITH total", "subtotal"),
        ("Total excl. VAT", "net"),
        ("Total incl. VAT", "total"),
        ("Total HT", "net"),
        ("Total TTC", "total"),
        ("zzgl. MwSt. 19 %", "tax"),
        ("Total tax", "tax"),
        ("Previous balance", "balance"),
        ("31-60", "balance"),
        ("Payment, thank you", "payment"),
        ("Amount due", "due"),
        ("Net à payer", "due"),
        ("New balance", "due"),
        ("FCZ crown", ""),
        ("Total contour crown", ""),
        ("GROSS J FCZ", ""),
        ("Volume rebate", ""),
        ("", ""),
    ],
)
def test_totals(text: str, total: str) -> None:
    """What a row of totals is, in the languages of the lists, and never a line of a crown."""
    assert is_total(text) == total


@pytest.mark.parametrize(
    ("text", "product"),
    [
        ("SMITH J #30 FCZ A2", "FCZ"),
        ("FCZ crown SMITH J", "FCZ crown"),
        ("FCZ SMITH crown", "FCZ … crown"),
        ("Testbrand crown #3", "… crown"),
        ("Testbrand", "…"),
        ("Zirconia crown, posterior #30, A2", "Zirconia crown, posterior"),
        ("Smith, Anna: PFM noble #14,15 2 units", "PFM noble"),
        ("2.1 dwt @ 150.00/dwt high noble alloy", "high noble alloy"),
        ("Case 48213 FCZ", "FCZ"),
        ("Remake FCZ crown 50 %", "FCZ crown"),
        ("Remake credit", "Remake credit"),
        ("ZrO2 full anatomic 36", "ZrO2 full anatomic"),
        ("5Y zirconia crown", "5Y zirconia crown"),
        ("Shade: A3.5 PFM", "PFM"),
        ("3/4 crown gold", "three-quarter crown gold"),
        ("Full cast crown, yellow", "Full cast crown, yellow"),
        ("Custom stain SMITH", "Custom stain"),
        ("Prettycrown X #3", "Prettycrown X"),
        ("Prettycrown X (SMITH) #3", "Prettycrown X"),
        ("SMITH J, Prettycrown X", "Prettycrown X"),
        ("Layered Prettycrown X SMITH", "Layered Prettycrown …"),
        ("PFM noble Smith, John", "PFM noble"),
        ("PFM high noble Smith, John", "PFM high noble"),
        ("Vollzirkonkrone Schmidt, 16", "Vollzirkonkrone"),
        ("#30", ""),
        ("", ""),
    ],
)
def test_products(text: str, product: str) -> None:
    """Teeth, shade, figures and people go; a product whose name is not known keeps its mark."""
    assert product_of(text, CONTEXT) == product


@pytest.mark.parametrize(
    ("text", "product"),
    [
        ("Full contour zirconia crown for Smith, John", "Full contour zirconia crown"),
        ("Full contour zirconia crown for patient Smith", "Full contour zirconia crown"),
        ("Testbrand crown, patient Smith J", "… crown"),
        ("Testbrand crown patient", "… crown"),
        ("Testbrand for Smith", "…"),
        ("crown for Mr. Smith by Dr. Jones", "crown"),
        ("Patient: Smith J, FCZ", "FCZ"),
        ("For Smith: Testbrand crown", "… crown"),
        ("Krone für Schmidt", "Krone"),
        ("couronne pour Dubois", "couronne"),
        ("corona para Lopez", "corona"),
        ("FCZ crown attn Dr Smith ref", "FCZ crown"),
        ("porcelain fused to metal", "porcelain fused to metal"),
        ("for Smith", "…"),
        ("corona de circonio de la Cruz", "corona de circonio"),
    ],
)
def test_words_that_lead_to_a_name_go_with_it(text: str, product: str) -> None:
    """Small words at the ends, such as "for" and "patient", leave no tail of a note where the name was."""
    assert product_of(text, CONTEXT) == product


def test_one_product_has_one_wording() -> None:
    """Whoever it is for, whatever tooth, shade and case, a product's wording is the same."""
    texts = (
        "FCZ crown #3",
        "FCZ crown #14,15 A2",
        "Miller K FCZ crown 3M2",
        "FCZ crown MRN-204",
        "case 7: FCZ crown",
        "O'Neill, FCZ crown tooth 16",
    )
    assert {product_of(text, CONTEXT) for text in texts} == {"FCZ crown"}


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("high noble", "high noble"),
        ("precious", "high noble"),
        ("semi-precious", "noble"),
        ("PFM noble", "noble"),
        ("non-precious", "predominantly base"),
        ("NEM", "predominantly base"),
        ("CoCr", "predominantly base"),
        ("titanium 90 %", "titanium"),
        ("semi-précieux", "noble"),
        ("PFM", ""),
        ("gold", ""),
        ("Ti base", ""),
        ("Titanium abutment", ""),
        ("noble or high noble", ""),
    ],
)
def test_alloy_classes(text: str, name: str) -> None:
    """Labs' three words for the classes; titanium is its own; what names none or two is not guessed.

    Source of the classes: ADA Council on Scientific Affairs (2003); the words are common practice, no source.
    """
    assert class_of(text) == name


def test_alloys_of_the_practice() -> None:
    """An alloy is named whole, or by all its words apart; a word of it alone names none."""
    assert alloy_of("Testalloy 52, 3.2 g", CONTEXT) == "Testalloy 52"
    assert alloy_of("alloy, yellow, casting", CONTEXT) == "yellow casting alloy"
    assert alloy_of("alloy", CONTEXT) == alloy_of("", CONTEXT) == ""
    two = Context(alloys=("gold one", "gold two"))
    assert alloy_of("gold one gold two", two) == ""


def test_crowns_are_told_from_the_rest() -> None:
    """Areas, guards and parts are no crowns (hard case 40); mapped names are what the map says."""
    for text in ("FCZ #30", "zirconia", "PFM noble", "pontic", "Prettycrown X", "lithium disilicate"):
        assert is_crown(text, CONTEXT), text
    for text in ("Q1", "UL", "upper", "Night guard", "Ti base", "Shell", "Freight for 2 crowns", "Alloy", ""):
        assert not is_crown(text, CONTEXT), text

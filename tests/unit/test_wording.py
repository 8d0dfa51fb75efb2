"""The allow-list of words: what the trade or the practice says is kept, and nothing else."""

from __future__ import annotations

import random

import pytest

from feesheet import reference
from feesheet.wording import clean, known_words, trade_words

OWN = known_words(["Testalloy 52", "FCZ crown"])
SURNAMES = (
    "Smith Johnson Williams Brown Jones Garcia Miller Davis Rodriguez Martinez Hernandez Lopez Gonzalez Wilson Anderson "
    "Thomas Taylor Moore Jackson Martin Lee Perez Thompson Harris Sanchez Clark Ramirez Lewis Robinson Walker Young "
    "Allen King Wright Scott Torres Nguyen Hill Flores Green Adams Nelson Baker Hall Rivera Campbell Mitchell Carter "
    "Roberts Müller Schmidt Schneider Fischer Weber Meyer Wagner Becker Schulz Hoffmann Koch Bauer Richter Klein Wolf "
    "Dubois Durand Leroy Moreau Lefebvre Rossi Russo Ferrari Esposito Bianchi Jansen Visser Bakker Smit Mulder Bos "
    "Khan Patel Singh Kumar Ali Chen Wang Li Zhang Kim Park Tanaka Sato O'Brien Murphy Kelly Stone Wood Day Page Long "
    "Short Bell Mason Cook Cooper Fisher Archer Rose Reed Banks Brooks Woods Rivers Marsh Frost Bush Berry Lamb Fox"
)
GIVEN = (
    "James Mary Robert Patricia John Jennifer Michael Linda David Elizabeth William Barbara Richard Susan Joseph Anna "
    "Peter Paul Maria Hans Karl Ute Jean Pierre Marie Luc Carlos José Ana Luigi Marco Giulia Jan Piet Sanne Grace Faith "
    "Hope Joy Ruby Amber Pearl Jade May June April August Will Mark Bill Grant Drew Frank Art Gene Ray Dean Earl Rich"
)


@pytest.mark.parametrize("name", [*SURNAMES.split(), *GIVEN.split()])
def test_a_common_name_is_no_word_of_the_trade(name: str) -> None:
    """Neither common surnames nor given names are on the list, so that they are hidden wherever they stand."""
    assert clean(f"{name} crown", OWN) == "… crown"
    assert clean(f"FCZ, {name.upper()}", OWN) == "FCZ, …"


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("SMITH J #30 FCZ A2", "… #30 FCZ A2"),
        ("Gold, Anna: crown", "…: crown"),
        ("White J FCZ", "… FCZ"),
        ("Smith-White crown", "… crown"),
        ("Das, Anna: crown", "…: crown"),
        ("crown, Zahn Karl", "crown, …"),
        ("FCZ von Smith", "FCZ …"),
        ("O'Brien crown", "… crown"),
        ("anna_smith_FCZ", "…_FCZ"),
        ("Mu\u0308ller crown", "… crown"),
        ("सिंह crown", "… crown"),
        ("王小明 crown", "… crown"),
        ("Anna\u200bSmith crown", "… crown"),
    ],
)
def test_names_are_hidden(text: str, shown: str) -> None:
    """Whatever the script, the accents and the marks round it; words that are surnames too go with their neighbour."""
    assert clean(text, OWN) == shown


@pytest.mark.parametrize(
    "secret",
    [
        "CH48213",
        "MRN-204",
        "2026-14",
        "P4711A",
        "#204",
        "90210",
        "SW1A 1AA",
        "D-80331",
        "1234 AB",
        "+49 89 123456",
        "(212) 555-0134",
        "06 12 34 56 78",
        "anna@example.org",
        "www.example.org",
        "https://example.org/x",
        "17/05/1961",
        "1961-05-17",
        "17.5.61",
        "19610517",
    ],
)
def test_ids_and_addresses_are_hidden_whole(secret: str) -> None:
    """Case and record numbers, post codes, telephones, addresses and dates leave nothing behind."""
    assert clean(f"crown {secret}", OWN) == "crown …"
    assert clean(f"{secret} crown", OWN) == "… crown"


@pytest.mark.parametrize(
    "text",
    [
        "FCZ crown #30 A2",
        "3M2",
        "BL2 OM1",
        "ZrO2 full anatomic",
        "5Y zirconia",
        "3Y-TZP",
        "UR6 crown",
        "29-x-31 bridge",
        "#14,15 crown",
        "3-unit bridge",
        "Tax 6 %",
        "semi-precious",
        "Brücke",
        "BRÜCKE",
        "COURONNE CERAMIQUE",
        "corona de circonio",
        "Testalloy 52",
        "Gold alloy",
        "crown (posterior)",
    ],
)
def test_words_of_the_trade_stay(text: str) -> None:
    """Shades, materials, teeth and counts are kept whole, accents or none, and so are the practice's own words."""
    assert clean(text, OWN) == text


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("PFM noble Smith, John", "PFM noble …"),
        ("PFM high noble Smith, John", "PFM high noble …"),
        ("PFM HIGH NOBLE, SMITH", "PFM HIGH NOBLE, …"),
        ("PFM noble, Smith", "PFM noble, …"),
        ("FCC precious Smith", "FCC precious …"),
        ("full cast gold Smith", "full cast gold …"),
        ("PFM Noble, John", "PFM …, …"),
        ("Noble, John PFM", "… PFM"),
        ("crown, Noble John", "crown, …"),
        ("crown Noble John", "crown …"),
        ("Smith noble PFM", "… PFM"),
    ],
)
def test_a_class_of_alloy_after_a_word_of_the_trade_is_no_name(text: str, shown: str) -> None:
    """The class stays where it follows "high" or PFM, whoever the crown is for; elsewhere Noble may be a surname."""
    assert clean(text, OWN).replace("… …", "…") == shown.replace("…, …", "…")


GERMAN = (
    "Vollzirkonkrone Vollzirkon Zirkonkrone Modellherstellung Materialkosten Modellguss Verblendkrone Vollgusskrone "
    "Teilkrone Brückenglied Brückenanker Provisorium Schiene Versandkosten Goldlegierung NEM Teleskopkronen "
    "Zirkonbrückenglied Implantatbrücke Kunststoffschiene Legierungszuschlag Materialzuschlag Bearbeitungsgebühr"
)


@pytest.mark.parametrize("word", GERMAN.split())
def test_german_words_in_one_are_known_by_their_parts(word: str) -> None:
    """A word that is two or three of the trade in one names nobody, whatever its case and umlauts."""
    assert clean(f"{word} Schmidt", OWN) == f"{word} …"
    assert clean(word.upper(), OWN) == word.upper()


MADE_NAMES = (
    "Goldberg Goldschmidt Silbermann Kronenberg Zahnbauer Brückner Stiftung Modelski Metallmann Goldguss"
)


@pytest.mark.parametrize("name", MADE_NAMES.split())
def test_a_surname_with_a_word_of_the_trade_in_it_is_hidden(name: str) -> None:
    """One part that is no word of the trade, or parts that are all surnames, make a name."""
    assert clean(f"{name} crown", OWN) == "… crown"


EVERYDAY = (
    "soft trim fuel at technology administration restocking minimum energy small from to by this fee only new model sent "
    "received ready lingual buccal prep digital file sports bleaching clear hard thick survey"
)


def test_everyday_words_on_invoices_are_known() -> None:
    """Plain words of charges and notes hide nothing."""
    assert clean(EVERYDAY, OWN) == EVERYDAY
    assert clean("gouttière céramométallique férula impronta tandtechniek", OWN).count("…") == 0


def test_only_known_words_are_ever_shown() -> None:
    """Whatever letters are strung together, every word of letters that is left is known."""
    rng = random.Random(7)
    letters = "abcdefghijklmnopqrstuvwxyzäéßñ'-. _/,;:()#0123456789ÀÖ\u0301中\u200d"
    for _ in range(3_000):
        text = "".join(rng.choice(letters) for _ in range(rng.randrange(1, 40)))
        cleaned = clean(f"{text} crown", frozenset({"crown"}))
        words = ["".join(filter(str.isalpha, word)) for word in cleaned.replace("_", " ").split()]
        assert all(len(word) <= 3 or word == "crown" for word in words), (text, cleaned)


def test_cleaning_again_changes_nothing() -> None:
    """A cleaned wording is clean."""
    for text in ("SMITH J #30 FCZ A2", "Gold, Anna: crown", "crown 17 May 1961", "FCZ (SMITH) #3-5"):
        assert clean(clean(text, OWN), OWN) == clean(text, OWN)


def test_a_single_letter_is_never_known() -> None:
    """An initial in one of the practice's own lists lets no other initial out."""
    assert not {word for word in known_words(["J", "lab A"]) if len(word) == 1}


def test_the_list_says_what_each_word_is() -> None:
    """Every word has a meaning and a source, stands once, and is one word."""
    rows = reference.rows("trade_words")
    assert len({row["word"] for row in rows}) == len(rows)
    assert all(row["meaning"] and row["source"] and row["word"].isalpha() for row in rows)
    assert {row["also_a_name"] for row in rows} == {"", "yes"}
    assert trade_words() >= {"crown", "brücke", "brucke", "couronne", "metal", "métal", "or", "circonio"}

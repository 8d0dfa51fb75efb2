"""Lab wordings without the names of people: only words that the practice or the trade is known to use are kept."""

from __future__ import annotations

import re

import pandas as pd

from feesheet import reference
from feesheet.practice import Practice
from feesheet.schema import plain

_TRADE_WORDS = frozenset(
    [
        "crown",
        "crowns",
        "bridge",
        "unit",
        "units",
        "retainer",
        "pontic",
        "implant",
        "abutment",
        "post",
        "core",
        "coping",
        "inlay",
        "onlay",
        "veneer",
        "full",
        "partial",
        "cast",
        "metal",
        "ceramic",
        "porcelain",
        "fused",
        "zirconia",
        "zirc",
        "disilicate",
        "lithium",
        "resin",
        "hybrid",
        "layered",
        "monolithic",
        "contour",
        "pressed",
        "milled",
        "printed",
        "gold",
        "silver",
        "palladium",
        "platinum",
        "titanium",
        "alloy",
        "noble",
        "high",
        "base",
        "precious",
        "semi",
        "non",
        "yellow",
        "white",
        "shade",
        "stain",
        "custom",
        "margin",
        "butt",
        "model",
        "die",
        "scan",
        "design",
        "articulation",
        "freight",
        "shipping",
        "handling",
        "delivery",
        "courier",
        "postage",
        "rush",
        "express",
        "remake",
        "credit",
        "discount",
        "rebate",
        "return",
        "deposit",
        "finance",
        "charge",
        "interest",
        "late",
        "fee",
        "tax",
        "vat",
        "gst",
        "total",
        "subtotal",
        "balance",
        "previous",
        "payment",
        "amount",
        "due",
        "invoice",
        "case",
        "statement",
        "note",
        "copy",
        "temporary",
        "provisional",
        "wax",
        "try",
        "in",
        "night",
        "guard",
        "repair",
        "month",
        "monthly",
        "volume",
        "for",
        "of",
        "and",
        "the",
        "on",
        "per",
        "with",
    ]
)
_TOKEN = re.compile(r"[^\W\d_]+(?:['’.-][^\W\d_]+)*", re.UNICODE)


def without_names(practice: Practice, wordings: pd.Series) -> pd.Categorical:
    """Each wording with every unknown word made "…", so that no patient's name leaves an invoice.

    Known are the words of the practice's own lists (product names, materials, alloys, labs, price lists) and of the trade.
    """
    known = _known_words(practice)
    column = wordings.astype("category")
    cleaned = {str(wording): clean(str(wording), known) for wording in column.cat.categories}
    return pd.Categorical(column.astype(object).map(cleaned))


def clean(wording: str, known: frozenset[str]) -> str:
    """One wording with its unknown words and long numbers hidden.

    >>> clean("SMITH J #30 FCZ crown", frozenset({"fcz", "crown"}))
    '… #30 FCZ crown'
    """
    hidden = _TOKEN.sub(lambda word: word[0] if plain(word[0]) in known else "…", wording)
    hidden = re.sub(r"\d{4,}|\d+[-/.]\d+[-/.]\d+", "…", hidden)
    return re.sub(r"…(?:[\s,.]*…)+", "…", hidden)


def _known_words(practice: Practice) -> frozenset[str]:
    tables = practice.tables
    lists = (
        *tables["product_map"]["wording"],
        *tables["materials"]["material"],
        *tables["alloys"]["alloy"],
        *tables["labs"]["lab"],
        *reference.line_kinds(),
        *reference.metals(),
        *reference.tooth_regions(),
    )
    return _TRADE_WORDS | {plain(token) for words in lists for token in _TOKEN.findall(str(words))}

"""Lab wordings as they may be shown: without the names of people."""

from __future__ import annotations

import pandas as pd

from feesheet import reference
from feesheet.practice import Practice
from feesheet.wording import clean, known_words


def without_names(practice: Practice, wordings: pd.Series) -> pd.Categorical:
    """Each wording with every unknown word made "…", so that no patient's name leaves an invoice.

    Known are the words of the practice's own lists (product names, materials, alloys, labs) and of the trade.
    """
    known = practice_words(practice)
    column = wordings.astype("category")
    cleaned = {str(wording): clean(str(wording), known) for wording in column.cat.categories}
    return pd.Categorical(column.astype(object).map(cleaned))


def practice_words(practice: Practice) -> frozenset[str]:
    """The words of the practice's own lists and of the trade, as `wording.clean` compares them."""
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
    return known_words(str(words) for words in lists)

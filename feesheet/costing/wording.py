"""Lab wordings as they may be shown: without the names of people."""

from __future__ import annotations

import pandas as pd

from feesheet.practice import Practice
from feesheet.wording import clean, practice_words


def without_names(practice: Practice, wordings: pd.Series) -> pd.Categorical:
    """Each wording with every unknown word made "…", so that no patient's name leaves an invoice.

    Known are the words of the practice's own lists (product names, materials, alloys) and of the trade.
    """
    known = practice_words(practice.tables)
    column = wordings.astype("category")
    cleaned = {str(wording): clean(str(wording), known) for wording in column.cat.categories}
    return pd.Categorical(column.astype(object).map(cleaned))

"""What the words of an invoice line mean: its kind, its product, its alloy and class. Pure functions on strings.

The rules stand in `shared/line_words.csv`, the first that holds decides. A row's columns: `words` (phrases with |
between them, blank for any text), `also` (one of these must be there too), `unless` (none of these may), `sign` of
the amount (negative, positive, none), `crown` (see `_placed`), `weight` (yes or no), `total` (what a totals row is).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from functools import lru_cache

from feesheet import reference
from feesheet.phrases import concepts, ends, first, spaced, starts
from feesheet.reading.invoices.context import Context
from feesheet.reading.invoices.tooth_words import teeth_in
from feesheet.reading.invoices.weight_words import without_weight
from feesheet.schema import plain
from feesheet.tables import NOT_A_CROWN
from feesheet.wording import HIDDEN, SHADE, clean, trade_words

_NOWHERE = 1_000_000
_FOR = re.compile(
    r" (?:for|on|under|per|each|fur|auf|je|pro|pour|sur|par|para|sobre|voor|op|su)(?: \w+){0,2}$"
)
"""Words after which a crown is not what is charged for, as in "freight for 2 crowns"."""
_LABELLED = re.compile(
    r"\b(?:case|pan|tray|job|order|ord|inv|invoice|po|ref|rx|acct|account|patient|pt|chart|id|box|auftrag|fall)"
    r"\s*(?:no|nr|number|id|#)?\s*[.:#]*\s*(?=\S*\d)",
    re.IGNORECASE,
)
_SHADED = re.compile(
    rf"(?:\b(?:shade|shd|farbe|zahnfarbe|teinte|colou?r|kleur)\s*[:#]?\s*)?(?<![\w.-])(?:{SHADE})(?![\w-])",
    re.IGNORECASE,
)
_THREE_QUARTER = re.compile(r"(?<![\w#/])3/4(?=[\s-]*(?:crown|crn|cast|gold|krone))", re.IGNORECASE)
_MATERIAL_SIGN = re.compile(r"ZrO[2₂]|Al2O3|[345]Y(?:-?(?:TZP|PSZ))?", re.IGNORECASE)
_WITH_FIGURE = re.compile(
    r"\b\d+\s*(?:units?|pcs?|pieces|ea|x|×)\b|[^\s,;()\[\]]*\d(?:[^\s,;()\[\]]|[.,](?=\d))*\s*%?"
)


def kind_of(text: str, amount: float, context: Context, lab: str = "", has_weight: bool = False) -> str:
    """The kind of a line, a first word of `shared/line_kinds.csv`. `amount` is NaN for a blank.

    A kind that the practice's product names give comes first. What no rule knows is a unit fee, so that it is
    asked about, or a note where it charges nothing.

    >>> kind_of("Zirconia crown #30, remake 50 %", 92.5, Context()), kind_of("Remake", -185, Context())
    ('remake', 'remake credit')
    >>> kind_of("High noble alloy 2.1 dwt", 315, Context(), has_weight=True), kind_of("Return deposit", 50, Context())
    ('alloy', 'deposit')
    """
    material, kind = _on_the_map(text, context, lab)
    if kind:
        return reference.line_kinds()[plain(kind)][0] if plain(kind) in reference.line_kinds() else kind
    sign = "none" if math.isnan(amount) or amount == 0 else "negative" if amount < 0 else "positive"
    mapped = bool(material) and plain(material) != NOT_A_CROWN
    return _ruled(spaced(text), sign, has_weight, mapped or _names_material(text, context))


def is_total(text: str) -> str:
    """What a row of totals is: "total", "subtotal", "net", "tax", "balance", "payment", "due"; "" for any other row.

    "total" is what an invoice, or the charges of a statement's month, come to with tax; "due" is what is asked for
    with balances; "subtotal" is that of a case or page; "balance" is one carried over or one by its age.

    >>> is_total("Case total"), is_total("TOTAL:"), is_total("Previous balance"), is_total("Total contour crown")
    ('subtotal', 'total', 'balance', '')
    """
    words = spaced(text)
    for row in reference.rows("line_words"):
        if row["total"] and first(words, row["unless"]) < 0 and _begins(row, words, _crown_at(words)):
            return row["total"]
    return ""


def is_crown(text: str, context: Context) -> bool:
    """Whether the text names a crown, a unit of a bridge or the like, so that a blank amount beside it is no nought.

    >>> is_crown("FCZ #30", Context()), is_crown("Freight for 2 crowns", Context()), is_crown("Night guard", Context())
    (True, False, False)
    """
    material, _ = _on_the_map(text, context, "")
    if material:
        return plain(material) != NOT_A_CROWN
    return _names_material(text, context) or _crown_at(spaced(text)) < _NOWHERE


def class_of(text: str) -> str:
    """The alloy class that a text names: "high noble", "noble", "predominantly base", "titanium"; "" for none or several.

    Labs write precious, semi-precious and non-precious for the first three. No class is read out of "PFM" or "gold".

    >>> class_of("PFM semi-precious"), class_of("non-precious"), class_of("precious"), class_of("PFM")
    ('noble', 'predominantly base', 'high noble', '')
    """
    found = concepts(text, "class")
    return next(iter(found)) if len(found) == 1 else ""


def alloy_of(text: str, context: Context) -> str:
    """The practice's alloy that a text names, all its words side by side or, failing that, apart; "" for none or several."""
    words = spaced(text)
    whole = [alloy for alloy in context.alloys if spaced(alloy).strip() and spaced(alloy) in words]
    apart = [
        alloy
        for alloy in context.alloys
        if spaced(alloy).strip() and set(spaced(alloy).split()) <= set(words.split())
    ]
    found = whole or apart
    longest = [
        alloy
        for alloy in found
        if all(set(spaced(other).split()) <= set(spaced(alloy).split()) for other in found)
    ]
    return longest[0] if len(longest) == 1 else ""


def without_people(text: str, context: Context) -> str:
    """Any text with everything hidden that is not known to name no person."""
    return clean(text, _known(context))


def product_of(text: str, context: Context) -> str:
    """The lab's wording of a product: without teeth, shade, weights, figures and unknown words; "" if nothing is left.

    Unknown words at the ends are dropped where the rest says what it is, as a patient's name is; where it does
    not, "…" shows that the product's own name is not known.

    >>> product_of("SMITH J #30 FCZ A2", Context()), product_of("Testbrand crown #3", Context())
    ('FCZ', '… crown')
    """
    rest = _THREE_QUARTER.sub("three-quarter", teeth_in(text)[1])
    rest = _LABELLED.sub(" ", _SHADED.sub(" ", without_weight(rest)))
    rest = _WITH_FIGURE.sub(
        lambda found: found[0] if _MATERIAL_SIGN.fullmatch(found[0].strip()) else " ", rest
    )
    shown = clean(rest, _known(context))
    if is_crown(text, Context()):
        shown = _REMADE.sub(" ", shown)
    words = [word for word in (_edged(word) for word in shown.split()) if word]
    if any(word != HIDDEN for word in words) and _says_what(" ".join(words), context):
        while words[0] == HIDDEN:
            words.pop(0)
        while words[-1] == HIDDEN:
            words.pop()
    return re.sub(r"…(?: …)+", HIDDEN, " ".join(words)).strip(" ,;:-–")


_REMADE = re.compile(r"[\s,:(-]*\b(?:re-?makes?|re-?made|re-?do|at|no charge)\b[\s):-]*", re.IGNORECASE)


def _edged(word: str) -> str:
    """A word without loose signs; a comma after it stays."""
    bare = re.sub(r"^[^\w…]+|[^\w…,]+$", "", word)
    return "" if not re.search(r"[^\W\d_]|…", bare) and not _MATERIAL_SIGN.fullmatch(bare) else bare


def _known(context: Context) -> frozenset[str]:
    return context.words or trade_words()


def _says_what(words: str, context: Context) -> bool:
    """Whether the words name a material, a charge or one of the practice's own products, not merely a crown."""
    if any(concepts(words, group) for group in ("use", "family", "class")):
        return True
    if _on_the_map(words, context, "")[0] or _names_material(words, context) or alloy_of(words, context):
        return True
    return _ruled(spaced(words), "positive", False, False) != "unit fee"


def _on_the_map(text: str, context: Context, lab: str) -> tuple[str, str]:
    """Material and line kind that the practice's product names give a text, as it stands or cleaned."""
    if not context.products:
        return "", ""
    labs = [plain(lab), ""] if lab else ["", *(plain(one.name) for one in context.labs)]
    for wording in dict.fromkeys((plain(text), *_cleaned(text, context))):
        for of in labs:
            if (of, wording) in context.products:
                return context.products[(of, wording)]
    return "", ""


def _cleaned(text: str, context: Context) -> Iterator[str]:
    """The text as the map may have it, if it is more than figures and unknown words."""
    rest = _LABELLED.sub(" ", _SHADED.sub(" ", without_weight(teeth_in(text)[1])))
    yield plain(rest)
    yield plain(clean(_WITH_FIGURE.sub(" ", rest), _known(context)).strip(f" {HIDDEN},;:"))


def _names_material(text: str, context: Context) -> bool:
    """Whether a material's name stands in the text word for word."""
    words = spaced(text)
    return any(spaced(material).strip() and spaced(material) in words for material in context.materials)


@lru_cache(maxsize=20_000)
def _ruled(words: str, sign: str, has_weight: bool, crown_named: bool) -> str:
    """The kind that the first rule gives which holds."""
    crown = 0 if crown_named else _crown_at(words)
    return next(
        row["kind"] for row in reference.rows("line_words") if _holds(row, words, sign, has_weight, crown)
    )


def _holds(row: dict[str, str], words: str, sign: str, has_weight: bool, crown: int) -> bool:
    if row["sign"] not in ("", sign) or row["weight"] not in ("", "yes" if has_weight else "no"):
        return False
    at = first(words, row["words"]) if row["words"] else 0
    if at < 0 or (row["also"] and first(words, row["also"]) < 0) or first(words, row["unless"]) >= 0:
        return False
    return _placed(row, words, at, crown)


def _begins(row: dict[str, str], words: str, crown: int) -> bool:
    """Whether a row of totals has its words where a total has them."""
    if row["crown"] == "end":
        return ends(words, row["words"])
    return starts(words, row["words"]) and (row["crown"] != "alone" or crown == _NOWHERE)


def _placed(row: dict[str, str], words: str, at: int, crown: int) -> bool:
    """Whether a rule's words stand where the rule wants them beside a crown that is named at `crown`.

    any: wherever; no: no crown may be named; yes, names: one must be; first: before the crown; start: the text begins so;
    alone: it begins so and no crown is named; end: it ends so.
    """
    where = row["crown"]
    if where in ("start", "alone", "end"):
        return _begins(row, words, crown)
    if where == "first":
        return at < crown
    return where == "any" or (crown < _NOWHERE) == (where != "no")


def _crown_at(words: str) -> int:
    """Where the spaced words name a crown that is charged for, a large number where they don't."""
    places = [_NOWHERE]
    for row in reference.rows("line_words"):
        if row["crown"] == "names" and first(words, row["unless"]) < 0:
            at = first(words, row["words"])
            if at >= 0 and not _FOR.search(words[:at]):
                places.append(at)
    return min(places)

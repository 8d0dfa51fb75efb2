"""What the words of an invoice line mean: its kind, its product, its alloy and class. Pure functions on strings."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from feesheet import reference
from feesheet.phrases import LONGEST, concepts, spaced
from feesheet.reading.invoices.context import Context
from feesheet.reading.invoices.line_rules import names_crown, ruled, total_of
from feesheet.reading.invoices.tooth_words import teeth_in
from feesheet.reading.invoices.weight_words import without_weight
from feesheet.schema import plain
from feesheet.tables import NOT_A_CROWN
from feesheet.wording import HIDDEN, SHADE, clean, trade_words

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
_BRACKETED = re.compile(r"[\(\[].*?[\)\]]")
_LOOSE = " ,;:-–"
_REMADE = re.compile(
    r"[\s,:/(-]*\b(?:re-?makes?|re-?made|re-?do|no charge|neuanfertigung|nachlieferung|nachfertigung|wiederholung"
    r"|r[ée]fection|repetici[óo]n|rifacimento|herhaling)\b(?:\s(?:of|of the|de|di|von)\b)?[\s):/-]*",
    re.IGNORECASE,
)
_LITTLE = (
    r"(?:for|patients?|pt|mr|mrs|ms|dr|doctor|ref|reference|name|of|by|to|from|attn|and|with|per|fur|für|von|pour|para?|por|del|voor|van)"
    r"[,:]?"
)
_TO_A_NAME = re.compile(
    rf"(?P<front>^{_LITTLE}\s(?:{_LITTLE}\s)*…,?\s(?:(?:{_LITTLE}|…,?)\s)*)|(?:^|\s){_LITTLE}(?:\s(?:{_LITTLE}|…,?))*$",
    re.IGNORECASE,
)
"""Words at either end that lead to a person's name, with the hidden name: "for …", "patient … of"."""
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
    return ruled(spaced(text), sign, has_weight, mapped or _names_material(text, context))


def is_total(text: str) -> str:
    """What a row of totals is: "total", "subtotal", "net", "tax", "balance", "payment", "due"; "" for any other row.

    "total" is what an invoice, or the charges of a statement's month, come to with tax; "due" is what is asked for
    with balances; "subtotal" is that of a case or page; "balance" is one carried over or one by its age.

    >>> is_total("Case total"), is_total("TOTAL:"), is_total("Previous balance"), is_total("Total contour crown")
    ('subtotal', 'total', 'balance', '')
    """
    return total_of(spaced(text))


def is_crown(text: str, context: Context) -> bool:
    """Whether the text names a crown, a unit of a bridge or the like, so that a blank amount beside it is no nought.

    >>> is_crown("FCZ #30", Context()), is_crown("Freight for 2 crowns", Context()), is_crown("Night guard", Context())
    (True, False, False)
    """
    material, _ = _on_the_map(text, context, "")
    if material:
        return plain(material) != NOT_A_CROWN
    return _names_material(text, context) or names_crown(spaced(text))


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


def product_of(text: str, context: Context) -> str:
    """The lab's wording of a product: without teeth, shade, weights, figures and unknown words; "" if nothing is left.

    Unknown words at the ends are dropped where the rest says what it is, as a patient's name is; where it does
    not, "…" shows that the product's own name is not known.

    >>> product_of("SMITH J #30 FCZ A2", Context()), product_of("Testbrand crown #3", Context())
    ('FCZ', '… crown')
    """
    rest = _THREE_QUARTER.sub("three-quarter", teeth_in(text[:LONGEST])[1])
    rest = _LABELLED.sub(" ", _SHADED.sub(" ", without_weight(rest)))
    own = " ".join(_BRACKETED.sub(" ", rest).split()).strip(_LOOSE)
    if own and _listed(own, context):
        return own
    rest = _WITH_FIGURE.sub(_only_material, rest)
    shown = clean(rest, _known(context))
    if is_crown(text, Context()):
        shown = _REMADE.sub(" ", shown)
    words = _without_little(" ".join(filter(None, map(_edged, shown.split())))).split()
    product = re.sub(r"…,?(?: …,?)+", HIDDEN, " ".join(_without_ends(words, context))).strip(_LOOSE)
    return (_own_name(own, context) or product) if HIDDEN in product else product


def _listed(wording: str, context: Context) -> bool:
    """Whether the practice's product names have the wording, for all labs or for one."""
    labs = ["", *(plain(one.name) for one in context.labs)]
    return any((lab, plain(wording)) in context.products for lab in labs)


def _own_name(text: str, context: Context) -> str:
    """The longest name on the practice's map that stands in a text of otherwise unknown words, "" if none does."""
    words = text.split()[:12] if context.products else []
    spans = [(start, end) for start in range(len(words)) for end in range(start + 1, len(words) + 1)]
    for start, end in sorted(spans, key=lambda span: span[0] - span[1]):
        name, outside = (
            " ".join(words[start:end]).strip(_LOOSE),
            clean(" ".join(words[:start] + words[end:]), _known(context)),
        )
        if _listed(name, context) and not re.search(r"[^\W\d_]", outside):
            return name
    return ""


def _only_material(found: re.Match[str]) -> str:
    """A sign of a material such as ZrO2 as it is; a blank for other words with figures."""
    return found[0] if _MATERIAL_SIGN.fullmatch(found[0].strip()) else " "


def _without_ends(words: list[str], context: Context) -> list[str]:
    """The words without hidden ones at the ends, if those between say what the product is."""
    inner = " ".join(words).strip(f" {HIDDEN},;:")
    return inner.split() if inner and _says_what(inner, context) else words


def _without_little(words: str) -> str:
    """The words without those at the ends that lead to a name; a mark is left at the front, where a product may follow."""
    shorter = _TO_A_NAME.sub(lambda found: f"{HIDDEN} " if found["front"] else "", words).strip()
    return shorter or (HIDDEN if HIDDEN in words else words)


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
    return ruled(spaced(words), "positive", False, False) != "unit fee"


def _on_the_map(text: str, context: Context, lab: str) -> tuple[str, str]:
    """Material and line kind that the practice's product names give a text, as it stands or cleaned."""
    if not context.products:
        return "", ""
    labs = [plain(lab), ""] if lab else ["", *(plain(one.name) for one in context.labs)]
    for wording in dict.fromkeys((plain(text[:LONGEST]), *_cleaned(text, context))):
        for of in labs:
            if (of, wording) in context.products:
                return context.products[(of, wording)]
    return "", ""


def _cleaned(text: str, context: Context) -> Iterator[str]:
    """The text as the map may have it, if it is more than figures and unknown words."""
    rest = _LABELLED.sub(" ", _SHADED.sub(" ", without_weight(teeth_in(text[:LONGEST])[1])))
    yield plain(rest)
    known = _known(context)
    yield " ".join(word for word in plain(_WITH_FIGURE.sub(" ", rest)).split() if word in known)


def _names_material(text: str, context: Context) -> bool:
    """Whether a material's name stands in the text word for word."""
    words = spaced(text)
    return any(spaced(material).strip() and spaced(material) in words for material in context.materials)

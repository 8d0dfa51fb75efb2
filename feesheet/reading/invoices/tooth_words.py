"""Teeth in a lab's description, and how they are used. Only what is clearly teeth is taken: never counts, shades or prices."""

from __future__ import annotations

import re

from feesheet import reference
from feesheet.phrases import LONGEST, first, spaced
from feesheet.teeth import parse_teeth

_QUADRANT = r"(?:UR|UL|LL|LR)[1-8A-E]"
_NAME = rf"#?(?:{_QUADRANT}|[1-8]?\d|[A-T])(?!(?!x#?\d)[\w%])(?!\.\d)"
_MEASURED = r"(?!\s*(?:units?\b|pcs?\b|pieces|ea\b|@|×|x\s|g\b|gr\b|dwt|mm\b|%|stück))"
_COUNTED = rf"(?!\d+,[05]0\b)(?![1-4]\s+(?:crowns|copings|veneers|pontics|retainers|kronen|couronnes|coronas)\b){_NAME}{_MEASURED}"
_CLOSE = rf"(?:[-–—](?:x[-–—])*|x|[,/&+;]){_NAME}"
_SPAN = rf"\s(?:to|thru|through|bis|à|tot)\s{_NAME}"
_APART = rf"(?:\s?[-–—]\s?|\s?[,/&+;]\s?|\s(?:and|und|et)\s){_COUNTED}"
_LIST = rf"{_NAME}(?:{_CLOSE}|{_SPAN}|{_APART})*"
_LOOSE = rf"{_LIST}(?:\s{_COUNTED}(?:{_CLOSE}|{_SPAN}|{_APART})*)*"
_SIGN = rf"(?:#\s?s\s|#s\s?|#\s?)(?P<sign>{_LIST})"
_WORD = (
    r"\b(?:tooth|teeth|tth|zahn|zähne|zaehne|dents?|dientes?|piezas?|denti?|elementi|tand|tanden|regio|region|FDI)\b"
    rf"\.?:?\s?(?:(?:nos?|nrs?|numbers?|n°|nº)\b\.?:?\s?|#\s?s?\s?)?(?P<word>{_LOOSE})"
)
_PLAIN = rf"(?<![\w.,-])(?P<plain>{_QUADRANT}(?!\w)(?:\s?[-–—,/&+]\s?(?:{_QUADRANT}|[1-8](?!\s))(?![\w.]))*|\d{{1,2}}(?:-x)+(?:-\d{{1,2}})+(?![\w.]))"
_CORNER = r"(?P<drawn>(?<!\w)[1-8A-E]{1,8}\s?[⏌┘┙┚┛╯⏋┐┑┒┓╮](?:\s?[⎿└┕┖┗╰⎾┌┍┎┏╭]\s?[1-8A-E]{1,8})?|[⎿└┕┖┗╰⎾┌┍┎┏╭]\s?[1-8A-E]{1,8}(?!\w))"
_FURTHER = re.compile(
    rf"\s(?P<next>[1-8]\d)(?![\w%./:-]|,\d){_MEASURED}"
    r"(?!\s*(?:[$€£]|(?:mins?|minutes|hours?|days?)\b|(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)))",
    re.IGNORECASE,
)
"""One more tooth of two digits after a sign and its teeth, as in "#14 15"; never a count, a date or a price."""
_TEETH = re.compile("|".join((_CORNER, _WORD, _SIGN, _PLAIN)), re.IGNORECASE)
_LABEL = re.compile(
    r"\b(?:case|inv|invoice|order|po|ref|reference|check|cheque|pan|tray|box|rx|job|lot|acct|account|pt|patient|chart|id|ticket|auftrag|fall|rechnung)"
    r"\s*(?:no|nr|number)?\.?:?\s*$",
    re.IGNORECASE,
)


def teeth_in(text: str) -> tuple[str, str]:
    """The teeth that a description names, as written, and the rest of it.

    >>> teeth_in("SMITH J #30 FCZ A2"), teeth_in("Bridge 29-x-31, 3 units"), teeth_in("2 crowns A3, case #12")
    (('30', 'SMITH J FCZ A2'), ('29-x-31', 'Bridge, 3 units'), ('', '2 crowns A3, case #12'))
    """
    found: list[str] = []
    rest, end = "", 0
    for match in _TEETH.finditer(text[:LONGEST]):
        words = next(group for group in match.groups() if group)
        if _LABEL.search(text[: match.start()]) or not _are_teeth(words):
            continue
        rest += text[end : match.start()].rstrip(" (")
        words, last = _further(words, text, match.end()) if match["sign"] else (words, match.end())
        end = last + (text[last : last + 1] == ")")
        found.append(_tidy(words))
    rest = " ".join((rest + " " + text[end:].lstrip() if found else text).split())
    return " ".join(found), re.sub(r"\s+([,.;:])", r"\1", rest).strip(" ,;")


def _further(words: str, text: str, end: int) -> tuple[str, int]:
    """The teeth after a sign with those that follow a space, all of one notation, and where they end."""
    while (more := _FURTHER.match(text, end)) and _are_teeth(f"{words} {more['next']}"):
        words, end = f"{words} {more['next']}", more.end()
    return words, end


def role_of(text: str, teeth: str, units: float) -> str:
    """How the teeth of a line are used: "single", "bridge", "retainer", "pontic" or "implant"; "" where nothing says it.

    A line of crowns makes single ones where it has a unit for each tooth; a span named a bridge is one.
    """
    words = spaced(text)
    roles = [row["role"] for row in reference.rows("role_words") if _says(words, row)]
    count = _count(teeth)
    if "implant" in roles:
        return "implant"
    if re.search(r"\dx?-x-", teeth, re.IGNORECASE) or ("bridge" in roles and (count > 1 or len(roles) == 1)):
        return "bridge"
    if "pontic" in roles and "retainer" in roles:
        return "bridge"
    of_bridge = [role for role in roles if role in ("retainer", "pontic")]
    if of_bridge:
        return of_bridge[0]
    crowns = "single" in roles and (count <= 1 or units == count)
    return "single" if crowns else ""


def _says(words: str, row: dict[str, str]) -> bool:
    return first(words, row["words"]) >= 0 and first(words, row["unless"]) < 0


def _are_teeth(words: str) -> bool:
    """Whether the words are teeth in one notation or the other."""
    tidy = _tidy(words)
    return bool(parse_teeth(tidy, "universal") or parse_teeth(tidy, "ISO"))


def _tidy(words: str) -> str:
    """Teeth as written, without signs and loose spaces."""
    return " ".join(words.replace("#", " ").split())


def _count(teeth: str) -> int:
    """How many teeth there are, 0 where it can't be told; where both notations understand them they agree mostly."""
    counts = {len(codes) for way in ("universal", "ISO") if (codes := parse_teeth(teeth, way)) is not None}
    return counts.pop() if len(counts) == 1 else 0

"""Which lab sent a paper, and which clinic it is for: by the practice's own lists, or a question."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache

from feesheet.problems import Problem
from feesheet.reading import currency_words
from feesheet.reading.invoices.context import Context, LabKnown
from feesheet.reading.invoices.document import Document
from feesheet.schema import plain

NO_CHARGES = frozenset({"note", "balance"})
"""Kinds of line that cost nobody anything, wherever and whenever they were written."""
_OF_NO_CLINIC = NO_CHARGES | {"finance charge", "deposit"}
"""Kinds of line that are in no crown's cost, so that they need no clinic."""


def lab_of(document: Document, file: str, context: Context, above: str = "") -> list[Problem]:
    """Set the document's lab to the practice's name for it, and its currency; what is wrong if no lab is meant.

    `above` is the lab of the paper above it on the same sheet, whose letterhead stands for both.
    """
    problems: list[Problem] = []
    found = _settled(([document.lab], document.names, _path_words(file)), _lab_names(context.labs))
    if len(found) > 1:
        problems.append(_asked(document, file, f"The paper can be of {' or '.join(found)}", _LAB))
    elif not found and (above or len(context.labs) == 1):
        found = [above or context.labs[0].name]
    elif not found:
        problems.append(_asked(document, file, 'Nothing on the paper names a lab of the sheet "Labs"', _LAB))
    document.lab = found[0] if len(found) == 1 else ""
    known = context.lab(document.lab)
    billed = known.currency if known and known.currency else context.currency
    document.currency = _currency(document.currency, billed)
    return problems


def _currency(said: str, billed: str) -> str:
    """The currency that a paper names; the one `billed` as a rule where it names none, a word that nobody knows, or "$" alone."""
    if code := currency_words.code_of(said, billed):
        return code
    is_told = (len(said) == 3 and said.isalpha()) or (currency_words.is_known(said) and said.strip() != "$")
    return said if is_told else billed


def lab_in_path(file: str, context: Context) -> str:
    """The lab that the file's name or folder names, "" for none or several."""
    found = _settled((_path_words(file),), _lab_names(context.labs))
    return found[0] if len(found) == 1 else ""


def _lab_names(labs: Sequence[LabKnown]) -> list[tuple[str, str]]:
    return [(lab.name, name) for lab in labs for name in (lab.name, *lab.on_invoices)]


def site_of(document: Document, file: str, context: Context) -> list[Problem]:
    """Set the document's site to the practice's name for it; what is wrong if it has crowns or charges on them and no site is meant."""
    lists = [(site, site) for site in context.sites]
    lists += [(site, words) for lab, words, site in context.accounts if lab in ("", document.lab)]
    problems: list[Problem] = []
    found = _settled(([document.site], document.accounts, _path_words(file)), lists)
    of_one = [line for line in document.lines if line.kind not in _OF_NO_CLINIC]
    if len(found) > 1:
        problems.append(_asked(document, file, f"The paper can be for {' or '.join(found)}", _SITE))
    elif not found and len(context.sites) == 1:
        found = [context.sites[0]]
    elif not found and of_one:
        problems.append(_clinic_asked(document, file, context, of_one[0].row))
    document.site = found[0] if len(found) == 1 else ""
    return problems


_LAB = 'Type what the letterhead calls the lab into "Name on invoices" of the sheet "Labs".'
_SITE = 'Type the account number or the name that the paper gives the clinic into the sheet "Lab accounts".'


def _clinic_asked(document: Document, file: str, context: Context, row: int) -> Problem:
    """Which clinic a paper is for; on a statement, which is for all clinics, the one that its first such line is for."""
    if document.kind != "statement":
        return _asked(document, file, "Nothing on the paper names one of the clinics", _SITE)
    what = "This line of the statement may be in a crown's cost, and nothing on the statement names one of the clinics."
    named = context.sites[0] if context.sites else "North"
    do = (
        f'Write "Clinic" and its name beside it, such as {named}, above the headings of the statement, or type the '
        'account number or the name that the paper gives the clinic into the sheet "Lab accounts".'
    )
    return Problem("unknown name", what, do, file, document.sheet, f"row {row}")


def _asked(document: Document, file: str, what: str, do: str) -> Problem:
    return Problem("unknown name", f"{what}.", do, file, document.sheet, f"row {document.header_row}")


def _path_words(file: str) -> list[str]:
    """The words of the folders and of the file's own name, the nearest first."""
    folders, _, name = file.rpartition("/")
    return [name.rpartition(".")[0], *reversed(folders.split("/"))]


def _settled(words: Iterable[Sequence[str]], lists: Sequence[tuple[str, str]]) -> list[str]:
    """The own names that the first telling group of words stands for; one word that is the name counts before the rest."""
    for group in words:
        found = _meant(tuple(group), tuple(lists))
        if found:
            return list(found)
    return []


@lru_cache(maxsize=2_000)
def _meant(group: tuple[str, ...], lists: tuple[tuple[str, str], ...]) -> tuple[str, ...]:
    """The same for one group of words, which stand on paper after paper of a lab."""
    said = [plain(word) for word in group if word]
    names = [(own, plain(name)) for own, name in lists]
    for fits in (_is, _holds) if said else ():
        lengths: dict[str, int] = {}
        for own, name in names:
            length = max((len(name) for word in said if fits(word, name)), default=0)
            lengths[own] = max(lengths.get(own, 0), length)
        longest = max(lengths.values(), default=0)
        if longest:
            return tuple(own for own, length in lengths.items() if length == longest)
    return ()


def _is(word: str, name: str) -> bool:
    return bool(name) and word == name


def _holds(word: str, name: str) -> bool:
    return bool(name) and f" {name} " in f" {word} "

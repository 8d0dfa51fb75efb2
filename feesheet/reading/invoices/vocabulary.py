"""Words that labs put over columns, before values and on top of their papers -> what each of them means."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import NamedTuple, TypeVar

from feesheet import reference
from feesheet.reading.invoices import words
from feesheet.schema import plain as plain_words

MOST_WORDS = 6
"""A title has no more words; a longer text is a sentence."""
LONGEST = 80
"""Letters of the longest label or heading."""
MOST_KEPT = 50_000
"""Texts whose meaning is remembered."""
_TITLE = "title:"
REFERENCE = "reference"
"""Headings of numbers that are those of invoices, unless the letterhead has the invoice's own."""
_NUMBERED = frozenset({"invoice", "case", "account", "statement"})
"""Labels that a number may follow without a colon, as in "Invoice 1042"."""
_APART = str.maketrans("_/-:.", "     ")
"""Signs that part words."""
_SHARE = re.compile(r"\d+(?:[.,]\d+)?\s*%")
_DISCOUNT = {"discount": "discount"}
"""Headings that may name their share, as in "Disc 10%"."""
_BRACKETS = str.maketrans("()[]", "    ")
Answer = TypeVar("Answer")
_NOISE = frozenset({"usd", "eur", "cad", "gbp", "chf", "aud", "in", "the", "n", "us"})


def plain(text: str) -> str:
    """A text made plain as headings are, and without the sign of "N.º"."""
    return plain_words(text.replace("º", " ").replace("ª", " "))


def _kept(answers: dict[str, Answer], text: str, answer: Answer) -> Answer:
    """Keep an answer; of very many texts all are forgotten, so that a long file does not fill the memory."""
    if len(answers) >= MOST_KEPT:
        answers.clear()
    answers[text] = answer
    return answer


class Label(NamedTuple):
    """A label of the letterhead: the field that it announces, and the value if it stands in the same cell."""

    field: str
    value: str


class Title(NamedTuple):
    """What a paper says that it is: its kind ("" if not said), whether it is a copy, and whether it corrects another."""

    kind: str
    copy: bool
    corrects: bool = False


@dataclass
class Vocabulary:
    """The general words and those of one layout, which come first. Answers are remembered by text."""

    headings: Mapping[str, str]
    labels: Mapping[str, str]
    titles: Mapping[str, str]
    copies: frozenset[str]
    totals: frozenset[str]
    own: frozenset[str] = frozenset()
    heading_words: frozenset[str] = frozenset()
    label_words: frozenset[str] = frozenset()
    title_words: frozenset[str] = frozenset()
    _headings: dict[str, str] = field(default_factory=dict)
    _labels: dict[str, Label | None] = field(default_factory=dict)
    _titles: dict[str, Title | None] = field(default_factory=dict)
    _names: dict[str, bool] = field(default_factory=dict)
    _totals: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Keep the single words of headings and titles and the first of labels: other texts are passed quickly."""
        self.heading_words = frozenset(word for words_ in self.headings for word in words_.split())
        self.label_words = frozenset(words_.split()[0] for words_ in self.labels if words_)
        self.title_words = self.copies.union(*(name.split() for name in self.titles))

    @staticmethod
    def _starts_unlike(text: str, known: frozenset[str], most: int) -> bool:
        """Whether none of the text's first words is known."""
        first = text[:LONGEST].lower().translate(_APART)
        return not any(part.strip(".,;#*()[]'’°º€£") in known for part in first.split()[:most])

    def heading(self, text: str) -> str:
        """The field that a heading names, "" for a text that is no known heading."""
        found = self._headings.get(text)
        if found is None:
            found = _kept(self._headings, text, self._heading(text))
        return found

    def _heading(self, text: str) -> str:
        if not text or len(text) > LONGEST or self._starts_unlike(text, self.heading_words, 3):
            return ""
        known = self.headings.get(" ".join(text.lower().split())) or self.headings.get(plain(text))
        known = known or _DISCOUNT.get(self.headings.get(plain(_SHARE.sub("", text)), ""), "")
        if known:
            return known
        short = " ".join(word for word in plain(text).split() if word not in _NOISE)
        return self.headings.get(short) or ("person" if self._names_people(short) else "")

    def _names_people(self, text: str) -> bool:
        return any(self.headings.get(word) in ("patient", "person") for word in text.split()[:3])

    def label(self, text: str) -> Label | None:
        """The label that a cell holds, None for a cell that holds none."""
        if text in self._labels:
            return self._labels[text]
        return _kept(self._labels, text, self._label(text))

    def _label(self, text: str) -> Label | None:
        text = copied().sub("", text)
        if len(text) > LONGEST or self._starts_unlike(text, self.label_words, 1):
            return None
        head, colon, rest = text.partition(":")
        known = self.labels.get(plain(head.replace("#", " ")))
        if known:
            return Label(known, rest.strip()) if colon else Label(known, "")
        parts = text.split()
        for count in (3, 2, 1):
            known = self.labels.get(plain(" ".join(parts[:count]).replace("#", " ")))
            if known in _NUMBERED and len(parts) > count:
                return self._numbered(known, parts[count:])
        return None

    def _numbered(self, known: str, rest: Sequence[str]) -> Label | None:
        value = rest[0].lstrip("#").strip(",;")
        return Label(known, value) if any(sign.isdigit() for sign in value) else None

    def title(self, text: str) -> Title | None:
        """What the text says that the paper is, None for a text that is no title."""
        if text in self._titles:
            return self._titles[text]
        return _kept(self._titles, text, self._title(plain(text.translate(_BRACKETS)).split()))

    def _title(self, parts: Sequence[str]) -> Title | None:
        if not parts or len(parts) > MOST_WORDS or self.title_words.isdisjoint(parts):
            return None
        copy = any(part in self.copies for part in parts)
        spaced = f" {' '.join(parts)} "
        found = max((name for name in self.titles if f" {name} " in spaced), key=len, default="")
        corrects = not label_words("corrected").isdisjoint(parts)
        return Title(self.titles.get(found, ""), copy, corrects) if found or copy else None

    def may_name(self, text: str) -> bool:
        """Whether a text of a letterhead may name the lab: it is no label, no heading and no bare title."""
        if text in self._names:
            return self._names[text]
        return _kept(self._names, text, self._may_name(text))

    def _may_name(self, text: str) -> bool:
        return (
            len(text) > 2
            and any(sign.isalpha() for sign in text)
            and not self.heading(text)
            and self.label(text) is None
            and (self.title(text) is None or len(text.split()) > 2)
        )

    def total(self, text: str) -> str:
        """What a row of totals is that begins with the text ("total", "subtotal", "net", …), "" for none."""
        found = self._totals.get(text)
        if found is None:
            found = _kept(self._totals, text, self._own_total(text) or _total(text))
        return found

    def _own_total(self, text: str) -> str:
        words_ = plain(text) if len(text) <= LONGEST else ""
        return "total" if words_ in self.totals else "subtotal" if words_ in label_words("subtotal") else ""


def _total(text: str) -> str:
    """A count of units is no total of money."""
    is_short = len(text) <= LONGEST and any(sign.isalpha() for sign in text)
    return words.is_total(text) if is_short and "units" not in plain(text).split() else ""


def vocabulary(
    headings: Mapping[str, Sequence[str]], labels: Mapping[str, Sequence[str]], totals: Sequence[str]
) -> Vocabulary:
    """The general words of `shared/`, with a layout's own words before them."""
    own = {plain(word): name for name, some in headings.items() for word in some}
    return Vocabulary(
        {**general_headings(), **own},
        {**general_labels(), **{plain(word): name for name, some in labels.items() for word in some}},
        {word: name for name, some in _rows("invoice_labels").items() if name.startswith(_TITLE)
         for word, name in ((plain(one), name.removeprefix(_TITLE)) for one in some)},
        frozenset(label_words("copy")),
        frozenset(plain(word) for word in (*totals, *label_words("total"))),
        frozenset(own),
    )  # fmt: skip


@cache
def copied() -> re.Pattern[str]:
    """Words of a copy before a label or after a number, as in "Duplicate of invoice 1" or "1 (COPY)"."""
    some = "|".join(re.escape(word) for word in _rows("invoice_labels")["copy"])
    before = rf"^\W*(?:{some})\W+(?:(?:of|de|der|di|van|zu|the)\W+)*(?=\w)"
    return re.compile(rf"{before}|[\s(\[*]+(?:{some})[\s)\]*.!]*$", re.IGNORECASE)


@cache
def _rows(name: str) -> dict[str, tuple[str, ...]]:
    return {row["field"]: tuple(row["words"].split("|")) for row in reference.rows(name)}


@cache
def general_headings() -> dict[str, str]:
    """The field by each heading word of `shared/invoice_headings.csv`; the first row wins."""
    found: dict[str, str] = {}
    for name, some in _rows("invoice_headings").items():
        for word in some:
            found.setdefault(word if "$" in word else plain(word), "invoice" if name == REFERENCE else name)
    return found


@cache
def is_reference(text: str) -> bool:
    """Whether a heading may be of invoice numbers or of jobs, as "Ref" may."""
    return plain(text) in {plain(word) for word in _rows("invoice_headings")[REFERENCE]}


@cache
def general_labels() -> dict[str, str]:
    """The field by each label word of `shared/invoice_labels.csv`."""
    apart = ("copy", "corrected", "charges", "ageing", "total", "subtotal")
    return {
        plain(word): name
        for name, some in _rows("invoice_labels").items()
        if not name.startswith(_TITLE) and name not in apart
        for word in some
    }


@cache
def label_words(name: str) -> frozenset[str]:
    """The words of one field of `shared/invoice_labels.csv`, made plain."""
    return frozenset(plain(word) for word in _rows("invoice_labels")[name])

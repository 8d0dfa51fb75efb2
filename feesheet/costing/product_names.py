"""What the practice's own list says of the labs' wordings: their material, their kind, or that they are no crown."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.schema import plain
from feesheet.tables import NOT_A_CROWN
from feesheet.wording import HIDDEN, clean, practice_words


@dataclass(frozen=True)
class Meaning:
    """What a wording means: a material or "", a kind of line or "", and whether it is named as no crown."""

    material: str = ""
    kind: str = ""
    no_crown: bool = False


class ProductNames:
    """The confirmed rows of the product-name list and the materials' own names, by lab and wording."""

    def __init__(self, practice: Practice) -> None:
        """Reads the list once."""
        spelled = {plain(material): str(material) for material in practice.tables["materials"]["material"]}
        self._known = practice_words(practice.tables)
        self._own = {words: Meaning(material) for words, material in spelled.items()}
        self._listed = {
            (plain(row.wording), plain(row.lab)): Meaning(
                spelled.get(plain(row.material), ""), str(row.kind), plain(row.material) == NOT_A_CROWN
            )
            for row in practice.tables["product_map"].itertuples()
            if row.confirmed and HIDDEN not in str(row.wording)
        }

    def meaning(self, lab: str, wording: str) -> Meaning:
        """The meaning of the wording as it stands, else of what is left of it without unknown words."""
        said = self._found(lab, plain(wording))
        if said is None and wording:
            left = clean(wording, self._known)
            names_nothing = HIDDEN in left and plain(left) in reference.line_kinds()
            said = None if names_nothing else self._found(lab, plain(left))
        return said or Meaning()

    def _found(self, lab: str, words: str) -> Meaning | None:
        """The lab's own row first, then the row for all labs, then a material of that name."""
        of_lab = self._listed.get((words, plain(lab)), self._listed.get((words, "")))
        return self._own.get(words) if of_lab is None else of_lab


def named(practice: Practice, frame: pd.DataFrame) -> tuple[np.ndarray[Any, Any], np.ndarray[Any, Any]]:
    """The material of each line, "" where its wording means none, and whether it is named as no crown."""
    names = ProductNames(practice)
    pairs, where = distinct(frame, "lab", "product")
    meanings = [names.meaning(lab, wording) for lab, wording in pairs]
    materials = np.array([meaning.material for meaning in meanings], dtype=object)
    return materials[where], np.array([meaning.no_crown for meaning in meanings], dtype=bool)[where]


def with_kinds(practice: Practice) -> Practice:
    """The practice with the kind of line that its product-name list gives to a wording, where it gives one."""
    if not any(practice.tables["product_map"]["kind"] != ""):
        return practice
    frame, names = practice.tables["invoice_lines"], ProductNames(practice)
    pairs, where = distinct(frame, "lab", "product")
    given = np.array([names.meaning(lab, wording).kind for lab, wording in pairs], dtype=object)[where]
    kinds = pd.Categorical(np.where(given == "", frame["kind"].astype(object), given))
    return replace(practice, tables={**practice.tables, "invoice_lines": frame.assign(kind=kinds)})


def unconfirmed(practice: Practice) -> list[Problem]:
    """Rows of the list that are not used: guesses that nobody has confirmed, and wordings that still hide words."""
    rows = practice.tables["product_map"]
    confirmed = rows["confirmed"].to_numpy(dtype=bool)
    return [*_waiting(practice, np.flatnonzero(~confirmed)), *_hiding(practice, np.flatnonzero(confirmed))]


def _hiding(practice: Practice, confirmed: np.ndarray[Any, Any]) -> list[Problem]:
    """Confirmed rows whose wording says nothing: it would mean every product whose words are hidden."""
    wordings = practice.tables["product_map"]["wording"].astype(str)
    rows = [int(row) for row in confirmed if HIDDEN in wordings.iloc[row]]
    if not rows:
        return []
    what = f'{len(rows)} confirmed product name(s), the first here, still hold "{HIDDEN}" in place of words: they are not used.'
    do = "Look at the invoice line, and type the product's own words, without anybody's name."
    return [Problem("not understood", what, do, *practice.place("product_map", rows[0], "wording"))]


def _waiting(practice: Practice, waiting: np.ndarray[Any, Any]) -> list[Problem]:
    if not len(waiting):
        return []
    what = (
        f"{len(waiting)} product name(s), the first here, are guesses that wait for you: they are not used."
    )
    place = practice.place("product_map", int(waiting[0]), "confirmed")
    return [Problem("not understood", what, 'Look at each, correct it, and type "yes".', *place)]


def distinct(frame: pd.DataFrame, *columns: str) -> tuple[list[tuple[str, ...]], np.ndarray[Any, Any]]:
    """The distinct combinations of columns of words, and which one each row has."""
    joint = np.zeros(len(frame), dtype=np.int64)
    for column in columns:
        codes = frame[column].cat.codes.to_numpy().astype(np.int64)
        joint = joint * max(len(frame[column].cat.categories), 1) + codes
        joint = np.unique(joint, return_inverse=True)[1].astype(np.int64)
    _, firsts, where = np.unique(joint, return_index=True, return_inverse=True)
    words = [frame[column].iloc[firsts].astype(str) for column in columns]
    return list(zip(*words, strict=True)), where

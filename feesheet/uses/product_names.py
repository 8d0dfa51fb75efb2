"""Lab wordings that stand on no row of "Product names", put into a workbook with a best guess, to be confirmed once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.costing.guesses import guess
from feesheet.costing.product_names import Meaning, ProductNames
from feesheet.costing.wording import without_names
from feesheet.practice import Practice, line_treatments
from feesheet.problems import Problem, as_records, errors
from feesheet.reading.folder import read_folder
from feesheet.reading.line_facts import teeth_named
from feesheet.schema import plain
from feesheet.tables import NOT_A_CROWN
from feesheet.wording import HIDDEN
from feesheet.writing.names_to_confirm import NOT_CHOSEN, NameRow, write_names
from feesheet.writing.place import free_stem, write_whole

STEM = "Product names to confirm"
MAKES = frozenset({"unit", "remake"})
"""Treatments of the lines whose money is in no fee until their product is known."""
EXTRA = "extra"
"""The kind of line that is asked about only where its words may mean a crown after all."""
MOST_PLACES = 3
"""Places of one wording that are named."""


@dataclass(frozen=True)
class NamesToConfirm:
    """What `feesheet map` found: the rows to confirm and their workbook, and the rows that wait for a yes already.

    `read` is whether there are invoice lines at all. `waiting` counts, by file, the rows that are not
    used yet. `problems` are those of the whole folder.
    """

    read: bool = True
    currency: str = ""
    workbook: Path | None = None
    rows: list[NameRow] = field(default_factory=list)
    waiting: Mapping[str, int] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    @property
    def clean(self) -> bool:
        """Whether the folder was read without an error."""
        return not errors(self.problems)

    def lines(self) -> list[str]:
        """The result as a person reads it."""
        return [*self._found(), *self._waiting(), *self._elsewhere()]

    def _found(self) -> list[str]:
        if not self.read:
            return ["No lab invoices were read in this folder."]
        if not self.rows:
            return [] if self.waiting else ["Every wording is known."]
        digits = reference.minor_digits().get(self.currency, 2)
        money = f"{self.currency} {sum(row.money for row in self.rows):,.{digits}f}".strip()
        what = f"{_counted(len(self.rows), 'wording')} not known yet, worth {money} on the labs' invoices"
        if self.workbook is None:
            return [f"{what}.", 'There is no list of materials to choose from: fill in "Materials" first.']
        return [
            f"{what}; now in {self.workbook}",
            "Type yes in Confirmed where a row is right, correct it where it isn't, save, and run feesheet update.",
        ]

    def _waiting(self) -> list[str]:
        return [
            f"{_counted(count, 'row')} in {file} {'waits' if count == 1 else 'wait'} for a yes in Confirmed, or for the words behind a …"
            for file, count in self.waiting.items()
        ]

    def _elsewhere(self) -> list[str]:
        found = len(errors(self.problems))
        return [f"The folder has {_counted(found, 'problem')} to mend: feesheet check"] if found else []

    def record(self) -> dict[str, Any]:
        """The result as machines read it (`--json`)."""
        return {
            "workbook": str(self.workbook) if self.workbook else None,
            "wordings": [asdict(row) for row in self.rows],
            "waiting": dict(self.waiting),
            "problems": as_records(self.problems),
        }


def _counted(count: int, word: str) -> str:
    """The count with its word, in the plural where there are several."""
    return f"{count:,} {word}{'' if count == 1 else 's'}"


def name_products(folder: Path, progress: Callable[[str, int, int], None] | None = None) -> NamesToConfirm:
    """Write the workbook of wordings to confirm into the folder, if there are any. Nothing is overwritten."""
    practice, problems = read_folder(folder, progress)
    currency = str(practice.settings.get("currency") or "")
    rows, materials = unknown_names(practice), _materials(practice)
    workbook = None
    if rows and materials:
        workbook = folder / f"{free_stem(folder, STEM, ('.xlsx',))}.xlsx"
        digits = reference.minor_digits().get(currency, 2)
        write_whole(workbook, lambda path: write_names(path, rows, materials, digits))
    read = len(practice.tables["invoice_lines"]) > 0
    return NamesToConfirm(read, currency, workbook, rows, _waiting(practice), problems)


def unknown_names(practice: Practice) -> list[NameRow]:
    """Every wording of a crown that no row of "Product names" and no material answers to, by money, largest first.

    Lines are told by lab and cleaned wording, so that no patient's name is shown. A lab that is on no list is
    left blank: the row then holds for all.
    """
    lines = _asking(practice)
    materials = _materials(practice)
    rows = [
        _row(practice, group, materials)
        for _, group in lines.groupby(["lab", "plainly"], observed=True, sort=True)
    ]
    wanted = [row for row in rows if row.kind != EXTRA or row.material in materials]
    return sorted(wanted, key=lambda row: (-abs(row.money), row.lab, row.wording))


def _materials(practice: Practice) -> tuple[str, ...]:
    return tuple(str(material) for material in practice.tables["materials"]["material"] if material)


def _labs(practice: Practice) -> set[str]:
    return {str(lab) for table in ("labs", "milling") for lab in practice.tables[table]["lab"]}


def _asking(practice: Practice) -> pd.DataFrame:
    """The lines whose wording is not known: their lab, cleaned wording, units and money, and where they stand."""
    frame = practice.tables["invoice_lines"]
    treatment, kinds = line_treatments(frame), _kinds(frame)
    lines = pd.DataFrame(
        {
            "at": np.arange(len(frame)),
            "lab": frame["lab"].astype(object).where(frame["lab"].isin(_labs(practice)), ""),
            "raw": frame["product"].astype(object),
            "wording": pd.Series(without_names(practice, frame["product"])).astype(object),
            "makes": np.isin(treatment, list(MAKES)),
            "units": _units(practice),
            "money": frame["amount"].fillna(0.0),
            "alloy_class": frame["alloy_class"].astype(object),
        }
    )
    lines = lines[(lines["makes"] | (kinds == EXTRA)) & (lines["raw"] != "")]
    lines["plainly"] = lines["wording"].map(_same)
    return lines[~_known(practice, lines)]


def _kinds(frame: pd.DataFrame) -> np.ndarray[Any, Any]:
    """The kind of each line by the first of its names, "" where it is not known."""
    kinds = reference.line_kinds()
    names = [kinds[plain(word)][0] if plain(word) in kinds else "" for word in frame["kind"].cat.categories]
    return np.asarray(np.array(names, dtype=object)[frame["kind"].cat.codes.to_numpy()])


def _units(practice: Practice) -> np.ndarray[Any, Any]:
    """Units as typed; a blank counts the line's teeth, or one."""
    typed = practice.tables["invoice_lines"]["units"].to_numpy(dtype=float)
    return np.asarray(np.where(np.isnan(typed), np.maximum(teeth_named(practice), 1), typed))


def _known(practice: Practice, lines: pd.DataFrame) -> pd.Series:
    """Whether the wording has a meaning already, or is on a row that waits for a yes or for its words."""
    names, waiting = ProductNames(practice), _asked_already(practice)
    pairs = lines[["lab", "raw", "wording"]].drop_duplicates()
    known = {
        (lab, raw): names.meaning(lab, raw) != Meaning()
        or any((plain(of), _same(word)) in waiting for of in (lab, "") for word in (raw, cleaned))
        for lab, raw, cleaned in pairs.itertuples(index=False, name=None)
    }
    return pd.Series(
        [known[pair] for pair in zip(lines["lab"], lines["raw"], strict=True)], index=lines.index, dtype=bool
    )


def _same(wording: str) -> str:
    """What wordings of one meaning share; "… crown" is another than "crown"."""
    return f"{HIDDEN if HIDDEN in wording else ''}{plain(wording)}"


def _open_rows(practice: Practice) -> pd.DataFrame:
    """The rows of "Product names" that are not used: nobody has said yes, or their words are still hidden."""
    table = practice.tables["product_map"]
    hidden = table["wording"].astype(str).str.contains(HIDDEN, regex=False)
    return table[~table["confirmed"].astype(bool) | hidden]


def _asked_already(practice: Practice) -> set[tuple[str, str]]:
    rows = _open_rows(practice)
    return {
        (plain(lab), _same(word)) for lab, word in zip(rows["lab"], rows["wording"].astype(str), strict=True)
    }


def _row(practice: Practice, lines: pd.DataFrame, materials: tuple[str, ...]) -> NameRow:
    """The lines of one wording of one lab, and what it may mean."""
    wording = str(lines["wording"].iloc[0])
    classes = Counter(name for name in lines["alloy_class"] if name)
    best = guess(wording, materials, classes.most_common(1)[0][0] if classes else "")
    return NameRow(
        wording,
        best.material if best.material in (*materials, NOT_A_CROWN) else NOT_CHOSEN,
        str(lines["lab"].iloc[0]),
        "" if lines["makes"].any() else EXTRA,
        len(lines),
        float(lines["units"].sum()),
        round(float(lines["money"].sum()), 6),
        best.reason,
        tuple(
            ", ".join(filter(None, practice.place("invoice_lines", at, "product")))
            for at in lines["at"][:MOST_PLACES]
        ),
    )


def _waiting(practice: Practice) -> dict[str, int]:
    """How many rows of "Product names" are not used yet, by file."""
    return dict(Counter(practice.sources[source].file for source in _open_rows(practice)["source"]))

"""Remakes and return deposits, and the credits that pay them back: each credit is linked once.

A credit belongs to a claim of the same lab and case; else to one of the same lab and teeth, at most
`LONGEST_DAYS` before it, of its own site if there is one; a deposit's return else to a deposit of the same amount.
Two cases that differ are two patients: neither teeth nor amounts link them. A plain credit beside a unit, by its case or by teeth
on its invoice, is for that unit. A credit for more than one claim goes on to the next of the same case or teeth.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from feesheet.costing.meaning import REMAKE, UNIT
from feesheet.practice import Practice
from feesheet.schema import plain

LONGEST_DAYS = 180
"""Days between a remake and a credit that may be linked by the tooth alone (common practice, no source)."""

BY_CASE, BY_TOOTH, BY_AMOUNT = "by case", "by tooth", "by amount"
DEPOSIT = "deposit"
_NOTHING = 1e-6
"""Money under any currency's smallest coin."""


def add_returns(practice: Practice, lines: pd.DataFrame) -> None:
    """Give the lines `whole_teeth`, all of a line's teeth as words, and `returned`: how a credit's claim was found, "" for no such credit."""
    lines["whole_teeth"] = lines["iso"].map(lambda teeth: " ".join(map(str, sorted(teeth))))
    found = links(lines, pd.Timestamp(practice.day("pricing_date")))
    how = dict(zip(found["credit"], found["how"], strict=True))
    lines["returned"] = [how.get(line, "") for line in lines["line"]]


def claims(lines: pd.DataFrame, pricing: pd.Timestamp) -> pd.DataFrame:
    """What the practice may get back by that day: remakes that were charged, deposits that were paid."""
    wanted = (lines["treatment"] == REMAKE) | (lines["kind"] == DEPOSIT)
    return _counting(lines, wanted & (lines["amount"] > 0), pricing)


def credits(lines: pd.DataFrame, pricing: pd.Timestamp) -> pd.DataFrame:
    """What may pay them back: credits for remakes, other credits, deposits returned."""
    wanted = lines["kind"].isin(("remake credit", "credit", "remake", DEPOSIT))
    return _counting(lines, wanted & (lines["amount"] < 0), pricing)


def _counting(lines: pd.DataFrame, wanted: pd.Series, pricing: pd.Timestamp) -> pd.DataFrame:
    few = lines[wanted & ~lines["copy"] & (lines["date"] <= pricing)]
    few = few.assign(lab_key=few["lab"].astype(str).map(plain), deposit=few["kind"] == DEPOSIT)
    return few.sort_values(["date", "line"], kind="stable")


def links(lines: pd.DataFrame, pricing: pd.Timestamp) -> pd.DataFrame:
    """One row for each claim and credit that belong together: `claim` and `credit` (line numbers), `of_credit`, its share, `how`."""
    given = credits(lines, pricing)
    given = given.assign(
        own=given["amount"] * -1, toothed=(given["whole_teeth"] != "") & ~_of_a_unit(given, lines)
    )
    found = _Linking(claims(lines, pricing))
    found.link(given[given["case_no"] > 0], "case_no", BY_CASE)
    found.link(given[given["toothed"]], "whole_teeth", BY_TOOTH, LONGEST_DAYS)
    found.link(given[given["deposit"]], "own", BY_AMOUNT, LONGEST_DAYS)
    return pd.DataFrame([vars(link) for link in found.links], columns=["claim", "credit", "of_credit", "how"])


def _of_a_unit(given: pd.DataFrame, lines: pd.DataFrame) -> pd.Series:
    """Whether a plain credit stands beside a unit with its teeth on the invoice, or of its case: it is for that one."""
    made = lines[lines["treatment"] == UNIT]
    beside = set(zip(made["invoice_no"], made["whole_teeth"], strict=True))
    places = zip(given["invoice_no"], given["whole_teeth"], strict=True)
    found = np.array([place in beside for place in places], dtype=bool)
    of_case = given["case_no"].isin(made.loc[made["case_no"] > 0, "case_no"])
    return (given["kind"] == "credit") & (found | of_case)


@dataclass(frozen=True)
class Link:
    """A share of a credit that pays back a claim."""

    claim: int
    credit: int
    of_credit: float
    how: str


class _Linking:
    """The claims while credits are given to them."""

    def __init__(self, claimed: pd.DataFrame) -> None:
        self.claimed = claimed.assign(own=claimed["amount"])
        self.open = dict(zip(claimed["line"], claimed["amount"].astype(float), strict=True))
        self.day = dict(zip(claimed["line"], claimed["date"], strict=True))
        self.case = dict(zip(claimed["line"], claimed["case_no"], strict=True))
        self.site = dict(zip(claimed["line"], claimed["site"].astype(str), strict=True))
        self.links: list[Link] = []

    def link(self, given: pd.DataFrame, column: str, how: str, most_days: int | None = None) -> None:
        """Give each credit that has no claim yet to claims of its lab and sort that have the same in the column."""
        waiting: dict[tuple[object, ...], list[int]] = {}
        place = ["lab_key", "deposit", column]
        for claim, *key in self.claimed[["line", *place]].itertuples(index=False, name=None):
            waiting.setdefault(tuple(key), []).append(claim)
        done = {link.credit for link in self.links}
        columns = ["line", "date", "case_no", "site", "own", *place]
        for credit, day, case, site, own, *key in given[columns].itertuples(index=False, name=None):
            if credit not in done:
                same = [claim for claim in waiting.get(tuple(key), ()) if self._may_be_of(claim, case)]
                near = [claim for claim in same if self._near(claim, day, most_days)]
                self.links += [
                    Link(claim, credit, part / own, how) for claim, part in self._shares(near, own, str(site))
                ]

    def _may_be_of(self, claim: int, case: int) -> bool:
        """Whether the claim is of the credit's case, as far as both have one."""
        return case == self.case[claim] or 0 in (case, self.case[claim])

    def _near(self, claim: int, day: pd.Timestamp, most_days: int | None) -> bool:
        """Whether something of the claim is open and, where days are counted, the credit follows in time."""
        in_time = most_days is None or 0 <= (day - self.day[claim]).days <= most_days
        return self.open[claim] > _NOTHING and in_time

    def _shares(self, waiting: list[int], whole: float, site: str) -> Iterator[tuple[int, float]]:
        """The claims of its site first, among them one of the same amount, then the oldest; what is left over stays with the last one."""
        waiting = sorted(
            waiting, key=lambda claim: (self.site[claim] != site, abs(self.open[claim] - whole) > _NOTHING)
        )
        left = whole
        for number, claim in enumerate(waiting, start=1):
            part = left if number == len(waiting) else min(left, self.open[claim])
            if part <= _NOTHING:
                return
            self.open[claim] -= part
            left -= part
            yield claim, part

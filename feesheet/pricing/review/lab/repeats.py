"""The same work on two invoices of one lab: which lines repeat which.

One case is one patient's work: the same unit, or the same weighed alloy, of one case and teeth on two invoices is one
work billed twice. Without a case a tooth says little: a site that has twelve crowns of one tooth and price a year from
fifty invoice days will see such a pair on one day by chance (12 × 11 / 2 / 50 = 1.3 a year), and within weeks many.
So such lines repeat each other only where the papers say more: the later number is the earlier one with an ending
(A-1042 and A-1042-R), or the invoices are the same line for line and hold three lines with teeth or more, or two on
the same day of which one is weighed alloy. Lines that were credited whole, remakes and copies are left out.
"""

from __future__ import annotations

import re

import pandas as pd

from feesheet import reference
from feesheet.costing.cases import LONGEST_DAYS
from feesheet.costing.meaning import ALLOY, CONTROL, COST, TAX, UNIT
from feesheet.costing.reconciliation import keys_of
from feesheet.pricing.review.lab.paid_back import NOTHING, SURCHARGE, credits_of_lines
from feesheet.schema import plain

_ALIKE = ["kind", "what", "whole_teeth", "cents", "weighed", "site_key"]
"""What two lines for the same work have in common."""
_PAIR = ["earlier_paper", "later_paper"]
_ENDING = re.compile(r"(.*?\w)(?:[\W_]*[a-z]{1,6}|[\W_]+\d)", re.IGNORECASE)
"""An invoice number and the ending that a second issue has: -R, A, copy, /2."""
_TELLING = 3
"""Lines with teeth that no two patients' invoices share by chance (common practice, no source)."""


def repeated(parts: pd.DataFrame) -> pd.DataFrame:
    """One row for each line of the period that repeats an earlier one: `later` and `earlier`, both numbers of lines."""
    lines = _charges(parts)
    by_case = _by_case(lines)
    units = by_case[by_case["treatment"] == UNIT]
    papers = pd.concat([units[[*_PAIR, "case_no"]].assign(whole=False), _papers(parts, lines)])
    found = pd.concat(
        [by_case[["later", "earlier"]], _on_both(lines, papers.drop_duplicates([*_PAIR, "case_no"]))]
    )
    recent = set(lines.loc[lines["in_window"], "line"])
    found = found[found["later"].isin(recent)].drop_duplicates("later")
    return found.sort_values("later").astype(int).reset_index(drop=True)


def _charges(parts: pd.DataFrame) -> pd.DataFrame:
    """The charges that may be repeated, one row a line, in the order of their days, with what makes them alike."""
    lines = parts.drop_duplicates("line")
    wanted = lines["treatment"].isin((UNIT, COST, ALLOY, TAX)) | (lines["kind"] == SURCHARGE)
    lines = lines[wanted & ~lines["copy"] & (lines["amount"] > 0)]
    back = credits_of_lines(parts)
    amounts = parts["amount"].to_numpy()
    money = pd.Series(amounts[back["credit_line_no"] - 1] * back["credit_share"].to_numpy(), dtype=float)
    whole = money.groupby(parts["line"].to_numpy()[back["for_line_no"] - 1]).sum()
    left = lines["amount"] + lines["line"].map(whole).fillna(0.0)
    lines = _told(lines[left > NOTHING])
    lines = lines.sort_values(["date", "line"], kind="stable")
    return lines.assign(rank=lines.groupby(["paper", "case_no", *_ALIKE]).cumcount())


def _told(lines: pd.DataFrame) -> pd.DataFrame:
    """The lines with their paper (lab and number) and what makes them alike."""
    words = {
        word: plain(word) for name in ("product", "lab", "site") for word in lines[name].astype(str).unique()
    }
    named = {name: lines[name].astype(str).map(words) for name in ("product", "lab", "site")}
    return lines.assign(
        paper=keys_of(lines),
        lab_key=named["lab"],
        site_key=named["site"],
        kind=lines["kind"].astype(str),
        what=lines["material"].astype(str).where(lines["material"] != "", named["product"]),
        cents=lines["amount"].round(4),
        weighed=lines["weight"].fillna(0.0).round(4),
    )


def _by_case(lines: pd.DataFrame) -> pd.DataFrame:
    """Units and alloy of one case that stand on a second paper."""
    known = lines[(lines["case_no"] > 0) & (lines["whole_teeth"] != "")]
    known = known[known["treatment"].isin((UNIT, ALLOY)) | (known["kind"] == SURCHARGE)]
    groups = known.groupby(["case_no", *_ALIKE, "rank"], sort=False)
    before = groups[["line", "paper", "date"]].shift(1)
    near = (known["date"] - before["date"]).dt.days <= LONGEST_DAYS
    found = known.assign(
        later=known["line"], earlier=before["line"], later_paper=known["paper"], earlier_paper=before["paper"]
    )
    return found[before["line"].notna() & near]


def _papers(parts: pd.DataFrame, lines: pd.DataFrame) -> pd.DataFrame:
    """Pairs of papers that the papers themselves show to be one: `whole` where every line is the same."""
    every = parts.drop_duplicates("line")
    every = _told(
        every[(every["treatment"] != CONTROL) & ~every["copy"] & (every["amount"].fillna(0.0) != 0)]
    )
    facts = ["\n".join(map(str, of)) for of in zip(*(every[name] for name in _ALIKE), strict=True)]
    papers = every.assign(facts=facts).groupby("paper", sort=False).agg(
        lab_key=("lab_key", "first"), invoice=("invoice", "first"), date=("date", "first"),
        cases=("case_no", "max"), said=("facts", lambda of: "\n\n".join(sorted(of))),
    )  # fmt: skip
    toothed = lines[(lines["whole_teeth"] != "") & lines["treatment"].isin((UNIT, ALLOY))]
    papers["telling"] = toothed.groupby("paper").size().reindex(papers.index).fillna(0)
    papers["alloy"] = toothed[toothed["weighed"] > 0].groupby("paper").size().reindex(papers.index).fillna(0)
    papers = papers[papers["cases"] == 0].reset_index().sort_values("date", kind="stable")
    return pd.concat([_same_line_for_line(papers), _second_issues(papers)]).assign(case_no=0)


def _same_line_for_line(papers: pd.DataFrame) -> pd.DataFrame:
    before = papers.groupby(["lab_key", "said"], sort=False)[["paper", "date"]].shift(1)
    days = (papers["date"] - before["date"]).dt.days
    telling = (papers["telling"] >= _TELLING) & (days <= reference.fixed("duplicate_days"))
    weighed = (papers["telling"] > 1) & (papers["alloy"] > 0) & (days == 0)
    found = papers.assign(earlier_paper=before["paper"], later_paper=papers["paper"], whole=True)
    return found.loc[telling | weighed, [*_PAIR, "whole"]]


def _second_issues(papers: pd.DataFrame) -> pd.DataFrame:
    """Papers whose number is that of another with an ending."""
    at = {(lab, str(number).casefold()): place
          for place, (lab, number) in enumerate(zip(papers["lab_key"], papers["invoice"], strict=True))}  # fmt: skip
    rows = []
    for later in papers.itertuples():
        ending = _ENDING.fullmatch(str(later.invoice))
        place = at.get((later.lab_key, ending[1].casefold())) if ending else None
        earlier = papers.iloc[place] if place is not None else None
        if earlier is not None and 0 <= (later.date - earlier["date"]).days <= reference.fixed(
            "duplicate_days"
        ):
            rows.append((earlier["paper"], later.paper, earlier["said"] == later.said))
    return pd.DataFrame(rows, columns=[*_PAIR, "whole"])


def _on_both(lines: pd.DataFrame, papers: pd.DataFrame) -> pd.DataFrame:
    """Lines that are alike on both papers of a pair: of its case or with teeth; all of them where the papers are the same."""
    if papers.empty:
        return pd.DataFrame({"later": [], "earlier": []})
    first = papers.merge(lines, left_on="earlier_paper", right_on="paper", suffixes=("", "_of_line"))
    second = papers.merge(lines, left_on="later_paper", right_on="paper", suffixes=("", "_of_line"))
    both = first.merge(
        second, on=[*_PAIR, "case_no", "case_no_of_line", "rank", *_ALIKE], suffixes=("", "_later")
    )
    of_case = (both["case_no"] > 0) & (both["case_no"] == both["case_no_of_line"])
    same = (both["case_no"] == 0) & ((both["whole_teeth"] != "") | both["whole"].astype(bool))
    both = both[of_case | same]
    return pd.DataFrame({"later": both["line_later"], "earlier": both["line"]})

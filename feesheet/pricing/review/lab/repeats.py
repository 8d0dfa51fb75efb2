"""The same work on two invoices of one lab, or twice on one: which lines repeat which.

One case is one patient's work: the same unit, or the same weighed alloy, of one case and teeth on two invoices is one
work billed twice. So is a unit that stands on one invoice again in the same words, beyond one for each of its teeth; its
alloy goes with it. Two lines of different words or amounts may be two stages of one work; an invoice of which every line
stands on a sheet again may have been typed in twice, as reading tells.

Without a case a tooth says little: a site that has twelve crowns of one tooth and price a year from fifty invoice days
will see such a pair on one day by chance (12 × 11 / 2 / 50 = 1.3 a year), and within weeks many.
So such lines repeat each other only where the papers say more: the later number is the earlier one with an ending
(A-1042 and A-1042-R), or the invoices are the same line for line and hold three lines with teeth or more, or two on
the same day of which one is weighed alloy.

Or the alloy tells: a crown weighs what no other does. Weights of one tooth spread by 15 to 20 %, some 30 hundredths of
a gram or pennyweight either way, so that two crowns of one tooth and alloy weigh the same to the hundredth once in about
100 (1 / (2 × √π × 30)); with the same amount only while the lab keeps its price. A site with 100 cast crowns a year on
all teeth, in three alloys, has some 20 pairs of one tooth and alloy within `duplicate_days`, half of them at one price at a
lab that sets it monthly: one innocent pair in ten years, and fewer where the price follows the day. To the tenth it would be
one a year: labs whose weights are not to the hundredth are left out. So the same alloy of the same weight and amount on
two invoices, with a unit alike on both, is one work, unless both have a case: two cases are two patients.

Lines that were credited whole, remakes and copies are left out.
"""

from __future__ import annotations

import re

import pandas as pd

from feesheet import reference
from feesheet.costing.cases import LONGEST_DAYS
from feesheet.costing.meaning import ALLOY, CONTROL, COST, TAX, UNIT
from feesheet.costing.reconciliation import keys_of
from feesheet.pricing.review.lab.cases_of_lines import SURCHARGE, with_cases
from feesheet.pricing.review.lab.paid_back import NOTHING, credits_of_lines
from feesheet.schema import plain

_ALIKE = ["kind", "what", "whole_teeth", "cents", "weighed", "site_key"]
"""What two lines for the same work have in common."""
_PAIR = ["earlier_paper", "later_paper"]
_ENDING = re.compile(r"(.*?\w)(?:[\W_]*[a-z]{1,6}|[\W_]+\d)", re.IGNORECASE)
"""An invoice number and the ending that a second issue has: -R, A, copy, /2."""
_TELLING = 3
"""Lines with teeth that no two patients' invoices share by chance (common practice, no source)."""
_COARSE = 5
"""Hundredths: a lab whose weights are mostly whole numbers of these does not weigh to the hundredth."""


def repeated(parts: pd.DataFrame) -> pd.DataFrame:
    """One row for each line of the period that repeats an earlier one: `later` and `earlier`, both numbers of lines."""
    parts = with_cases(parts)
    lines = _charges(parts)
    by_case = _by_case(lines)
    units = by_case[by_case["treatment"] == UNIT]
    papers = pd.concat([units[[*_PAIR, "case_no"]].assign(whole=False), _papers(parts, lines)])
    on_both = _on_both(lines, papers.drop_duplicates([*_PAIR, "case_no"]))
    found = pd.concat([by_case[["later", "earlier"]], on_both, _same_weight(lines), _on_one(parts, lines)])
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
    lines = lines.assign(fine=_fine(lines)).sort_values(["date", "line"], kind="stable")
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
        words=named["product"],
        what=lines["material"].astype(str).where(lines["material"] != "", named["product"]),
        cents=lines["amount"].round(4),
        weighed=lines["weight"].fillna(0.0).round(4),
    )


def _fine(lines: pd.DataFrame) -> pd.Series:
    """Whether a line is alloy whose weight tells: its lab weighs to the hundredth."""
    weights = lines.loc[(lines["treatment"] == ALLOY) & (lines["weighed"] > 0), ["lab_key", "weighed"]]
    hundredths = (100 * weights["weighed"]).round()
    fine = (hundredths % _COARSE != 0).groupby(weights["lab_key"]).transform("mean") > 1 / 2
    return fine.reindex(lines.index, fill_value=False).astype(bool)


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


def _on_one(parts: pd.DataFrame, lines: pd.DataFrame) -> pd.DataFrame:
    """Units of one case that stand on their invoice again, beyond one for each tooth, and as much of their alloy."""
    same = ["invoice_no", "source", "case_no", "site_key", "whole_teeth"]
    known = lines[(lines["case_no"] > 0) & (lines["whole_teeth"] != "")]
    sheets = pd.MultiIndex.from_frame(known[["invoice_no", "source"]])
    known = known[~sheets.isin(_typed_twice(parts))]
    groups = known.groupby([*same, "kind", "what", "words", "cents", "weighed"], sort=False)
    known = known.assign(
        earlier=groups["line"].transform("first"), before=groups.cumcount(), so_far=groups["units"].cumsum()
    )
    known = known[known["before"] > 0]
    beyond = known["so_far"] > known["whole_teeth"].astype(str).str.split().map(len)
    units = known[(known["treatment"] == UNIT) & beyond]
    metal = known[known["treatment"] == ALLOY].merge(
        units.groupby(same).size().rename("again").reset_index(), on=same
    )
    found = pd.concat([units, metal[metal["before"] <= metal["again"]]])
    return found.rename(columns={"line": "later"})[["later", "earlier"]]


def _typed_twice(parts: pd.DataFrame) -> pd.MultiIndex:
    """Invoice and sheet of those of whose lines, two or more, every one stands there again."""
    lines = parts[(parts["treatment"] != CONTROL) & ~parts["copy"]].drop_duplicates("line")
    sheet = ["invoice_no", "source"]
    said = [*sheet, "product", "kind", "units", "amount", "weight", "teeth", "site", "alloy"]
    counts = lines.groupby(said, dropna=False, observed=True).size().groupby(sheet).agg(["min", "size"])
    return counts.index[(counts["min"] > 1) & (counts["size"] > 1)]


def _same_weight(lines: pd.DataFrame) -> pd.DataFrame:
    """Alloy of the same weight on two invoices with a unit alike on both, and that unit, where not both have a case."""
    toothed = lines[lines["whole_teeth"] != ""]
    alike, place = ["lab_key", *_ALIKE, "rank"], ["paper", "site_key", "whole_teeth"]
    facts = toothed[["line", "paper", "date", "case_no", "alloy_used", *alike]]
    alloys, units = facts[toothed["fine"]], facts[toothed["treatment"] == UNIT]
    metal = alloys.merge(alloys, on=[*alike, "alloy_used"], suffixes=("", "_later"))
    days = (metal["date_later"] - metal["date"]).dt.days
    after = (days > 0) | ((days == 0) & (metal["line_later"] > metal["line"]))
    metal = metal[
        (metal["paper"] != metal["paper_later"]) & after & (days <= reference.fixed("duplicate_days"))
        & ((metal["case_no"] == 0) | (metal["case_no_later"] == 0))
    ]  # fmt: skip
    of_both = metal[[*place, "paper_later"]].drop_duplicates().merge(units, on=place)
    later = units.rename(columns={"paper": "paper_later", "line": "line_later"})
    made = of_both.merge(later, on=["paper_later", *alike], suffixes=("", "_of_later"))
    metal = metal.merge(made[[*place, "paper_later"]].drop_duplicates(), on=[*place, "paper_later"])
    found = pd.concat([metal, made]).sort_values("line", ascending=False)
    return found.rename(columns={"line_later": "later", "line": "earlier"})[["later", "earlier"]]


def _papers(parts: pd.DataFrame, lines: pd.DataFrame) -> pd.DataFrame:
    """Pairs of papers that the papers themselves show to be one: `whole` where every line is the same."""
    every = parts.drop_duplicates("line")
    every = _told(
        every[(every["treatment"] != CONTROL) & ~every["copy"] & (every["amount"].fillna(0.0) != 0)]
    )
    columns = (every[name] for name in (*_ALIKE, "alloy_used"))
    facts = ["\n".join(map(str, of)) for of in zip(*columns, strict=True)]
    papers = every.assign(facts=facts).groupby("paper", sort=False).agg(
        lab_key=("lab_key", "first"), invoice=("invoice", "first"), date=("date", "first"),
        cases=("case_no", "max"), said=("facts", lambda of: "\n\n".join(sorted(of))),
    )  # fmt: skip
    made = every[
        (every["whole_teeth"] != "") & every["treatment"].isin((UNIT, ALLOY)) & (every["amount"] > 0)
    ]
    toothed = lines[lines["line"].isin(made["line"])]
    papers["telling"] = toothed.groupby("paper").size().reindex(papers.index).fillna(0)
    settled = papers.index.isin(made["paper"]) & (papers["telling"] == 0)
    papers["said"] = papers["said"].where(~settled, papers.index.to_series())
    for name, of in (("alloy", toothed["weighed"] > 0), ("fine", toothed["fine"])):
        papers[name] = toothed[of].groupby("paper").size().reindex(papers.index).fillna(0)
    papers = papers[papers["cases"] == 0].reset_index().sort_values("date", kind="stable")
    return pd.concat([_same_line_for_line(papers), _second_issues(papers)]).assign(case_no=0)


def _same_line_for_line(papers: pd.DataFrame) -> pd.DataFrame:
    before = papers.groupby(["lab_key", "said"], sort=False)[["paper", "date"]].shift(1)
    days = (papers["date"] - before["date"]).dt.days
    near = days <= reference.fixed("duplicate_days")
    telling = (papers["telling"] >= _TELLING) & near
    weighed = (papers["telling"] > 1) & (
        ((papers["alloy"] > 0) & (days == 0)) | ((papers["fine"] > 0) & near)
    )
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

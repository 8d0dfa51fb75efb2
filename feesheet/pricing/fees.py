"""The rules applied in the order of the Rules sheet: one column a bound, one a fee so far, one a reason."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from feesheet.costing.components import item_facts
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model, Setting, figure
from feesheet.formula.operations import (
    any_of,
    as_text,
    joined,
    known,
    larger,
    ratio,
    round_to,
    same,
    smaller,
    step_down,
    when,
)
from feesheet.formula.tree import Name, Node, Traced, added, node
from feesheet.practice import Practice
from feesheet.pricing.rules import (
    HOLD,
    Rule,
    highest_step,
    lowest_step,
    names,
    not_over,
    not_under,
    on_a_step,
    step_function,
)
from feesheet.problems import Problem
from feesheet.reference import fixed
from feesheet.schema import plain

PATH_YEARS = 5
"""Years that the path to a needed fee is shown for."""


@dataclass(frozen=True)
class RuleRow:
    """One row of the Rules sheet: its rule, and the items that it acts on.

    `named` says that the row names them. `rungs` has the item numbers of each item's lower rungs, one row a rung (0: none).
    """

    number: int
    rule: Rule
    value: float
    way: str
    acts_on: np.ndarray
    named: bool
    rungs: np.ndarray
    place: str


def rule_rows(
    practice: Practice, who: Roster, known: Mapping[str, Rule]
) -> tuple[list[RuleRow], list[Problem]]:
    """The rules in order, and what is wrong with them."""
    table = practice.tables["rules"]
    rows: list[RuleRow] = []
    problems: list[Problem] = []
    for position in np.argsort(table["order"].to_numpy(), kind="stable"):
        row = table.iloc[int(position)]
        file, sheet, cell = practice.place("rules", int(position), "rule")
        rule = known.get(plain(row["rule"]))
        wrong = _wrong(row, rule, who, known)
        if wrong or rule is None:
            what, cure = wrong or ("", "")
            problems.append(Problem("rule refused", what, cure, file, sheet, cell))
            continue
        value = float(row["value"]) if not np.isnan(row["value"]) else float(rule.default or 0.0)
        applies = plain(row["applies_to"])
        rows.append(
            RuleRow(
                len(rows) + 1,
                rule,
                value,
                str(row["way"]),
                _matching(who, applies),
                bool(applies),
                _rungs(who, applies, plain(row["not_under"])),
                f"{file}, {sheet}, {cell}",
            )
        )
    return rows, problems


def _wrong(
    row: pd.Series, rule: Rule | None, who: Roster, known: Mapping[str, Rule]
) -> tuple[str, str] | None:
    if rule is None:
        return (
            f'"{row["rule"]}" is not a rule that is known here.',
            f"Type one of: {names(list(known.values()))}.",
        )
    takes_value = "rule_value" in rule.bound.__code__.co_varnames
    if takes_value and rule.default is None and np.isnan(row["value"]):
        return (
            f"The rule {rule.name} has no value.",
            "Type it in the Value column, for example 0.08 for a rise of 8 % or 5 for steps of 5.",
        )
    if rule.acts == "round" and not row["value"] > 0:
        return "A rounding step of nought can't be.", "Type the step in money, for example 5."
    for column in ("applies_to", "not_under"):
        name = plain(row[column])
        if name and not _matching(who, name).any():
            return (
                f'"{row[column]}" is neither a material nor a code of the fee schedule.',
                "Type one that is, or leave it blank.",
            )
    if rule.acts == "ladder" and not plain(row["not_under"]):
        return "A ladder needs the lower rung.", 'Type a material or a code in the column "Not under".'
    return None


def _matching(who: Roster, name: str) -> np.ndarray:
    """The items that a material or code names; all for a blank."""
    items = who.items
    if not name:
        return np.ones(len(items), dtype=bool)
    return np.array(
        [name in (plain(m), plain(c)) for m, c in zip(items["material"], items["code"], strict=True)]
    )


def _rungs(who: Roster, applies: str, rung: str) -> np.ndarray:
    """The item numbers of each item's lower rungs, one row a rung: that code at the same site, that material at site and region."""
    items = who.items
    places: dict[tuple[str, ...], list[int]] = {}
    facts = zip(items["code"], items["material"], items["region"], items["site"], strict=True)
    for n, (code, material, region, site) in enumerate(facts, 1):
        if rung == plain(code):
            places.setdefault((site,), []).append(n)
        elif rung and rung == plain(material):
            places.setdefault((site, region), []).append(n)
    acts, found = _matching(who, applies), []
    for n, (region, site) in enumerate(zip(items["region"], items["site"], strict=True), 1):
        under = [*places.get((site,), ()), *places.get((site, region), ())]
        found.append([other for other in under if other != n and acts[n - 1] and rung])
    width = max((len(under) for under in found), default=0)
    return (
        np.array([[*under, *[0] * (width - len(under))] for under in found], dtype=np.int64)
        .reshape(len(items), width)
        .T
    )


@figure("Fee before rules", "money")
def fee_before_rules(out_of_reach: Traced, needed_fee: Traced, current_fee: Traced) -> Traced:
    """The needed fee; the current fee where none reaches the margin. Unit: money."""
    return when(out_of_reach >= 1, current_fee, needed_fee)


@figure("Held", "whole")
def held_at_first(hold: Traced, out_of_reach: Traced) -> Traced:
    """1 if the item keeps its current fee: typed so, or no fee reaches the margin."""
    return any_of(hold >= 1, out_of_reach >= 1)


@figure("Held from here", "whole")
def held_from_here(held: Traced, acts: Traced) -> Traced:
    """1 if the item keeps its current fee from this rule on: held before, or named by the rule."""
    return any_of(held >= 1, acts >= 1)


@figure("Fee", "money")
def fee_held(held: Traced, current_fee: Traced, fee: Traced) -> Traced:
    """The current fee of a held item, else the fee so far. Unit: money."""
    return when(held >= 1, current_fee, fee)


@figure("No step inside", "whole")
def no_step(lowest_step: Traced, highest_step: Traced, step_digits: Traced = fixed("step_digits")) -> Traced:
    """1 if no step of the rounding lies between the floors and the caps so far. Unit: 0 or 1."""
    return round_to(lowest_step - highest_step, step_digits) > 0


@figure("Crossed", "whole")
def crossed(lowest: Traced, highest: Traced, step_digits: Traced = fixed("step_digits")) -> Traced:
    """1 if the fee would have to be over its floors and under its caps at once. Unit: 0 or 1."""
    return round_to(lowest - highest, step_digits) > 0


@figure("Rules contradict", "whole")
def contradiction(held: Traced, crossed: Traced, between_steps: Traced) -> Traced:
    """1 if no fee, or no step, is over the floors and under the caps; a held item is spared. Unit: 0 or 1."""
    return (1 - held) * larger(crossed, between_steps)


@figure("New fee", "money")
def new_fee(kept: Traced, current_fee: Traced, fee: Traced) -> Traced:
    """The fee after all rules; the current one where the item is held or its rules contradict each other. Unit: money."""
    return when(kept >= 1, current_fee, fee)


@figure("Is a number", "whole")
def is_number(new_fee: Traced) -> Traced:
    """1 if the new fee is a number."""
    return known(new_fee)


@figure("Outside", "whole")
def outside(
    kept: Traced, new_fee: Traced, lowest: Traced, highest: Traced, step_digits: Traced = fixed("step_digits")
) -> Traced:
    """1 if the new fee breaks a floor or a cap though it is not kept."""
    return (1 - kept) * any_of(
        round_to(lowest - new_fee, step_digits) > 0, round_to(new_fee - highest, step_digits) > 0
    )


@figure("Kept", "whole")
def kept(held: Traced, contradiction: Traced) -> Traced:
    """1 if the current fee stays: the item is held, or its rules contradict each other."""
    return any_of(held >= 1, contradiction >= 1)


def fee_rules_block(model: Model, who: Roster, rows: Sequence[RuleRow]) -> Block:
    """The fee rules: each bound, the fee after it and the reason it gives, left to right in the order of the Rules sheet."""
    block = Block(
        "fee_rules",
        "Fee rules",
        "From the needed fee to the new fee",
        len(who.items),
        aligned="items",
        label=("code", "site"),
        note="Rules act from left to right, in the order of the Rules sheet.",
    )
    item_facts(block, who)
    block.given(
        "current_fee",
        "Current fee",
        list(who.items["current_fee"]),
        "money",
        meaning="The fee in force; none shows as 0.",
    )
    block.counter(
        "hold", "Hold", [int(mark) for mark in who.items["hold"]], "1 if the fee is to stay as it is."
    )
    block.worked(held_at_first)
    block.worked(fee_before_rules)
    state = _State(model, block, "fee_before_rules", [], [], [])
    state.keep(
        RuleRow(
            0, HOLD, 0.0, "", np.ones(len(who.items), dtype=bool), False, np.zeros((0, len(who.items))), ""
        )
    )
    for row in rows:
        state.apply(row)
    state.finish()
    return block


@dataclass
class _State:
    """The block as it grows: the column of the fee so far, the bounds so far, the reasons so far."""

    model: Model
    block: Block
    fee: str
    lows: list[str]
    highs: list[str]
    reasons: list[str]
    between: list[str] = field(default_factory=list)
    extremes: dict[tuple[int, int], str] = field(default_factory=dict)
    held: str = "held_at_first"

    def apply(self, row: RuleRow) -> None:
        """Add the columns of one rule."""
        if "rule_value" in row.rule.bound.__code__.co_varnames:
            unit = "money" if row.rule.acts == "round" else "fraction"
            name = f"rule_value_{row.number}"
            self.model.settings[name] = Setting(
                name,
                f"Rule {row.number}: {row.rule.name}",
                unit,
                row.value,
                row.place,
                0.0,
                1e6 if unit == "money" else 10.0,
            )
        getattr(self, {"at_least": "bound", "at_most": "bound"}.get(row.rule.acts, row.rule.acts))(row)

    def hold(self, row: RuleRow) -> None:
        """From here on the items that the rule names keep their current fee; rows marked as held do so anyway."""
        if row.named:
            before, self.held = self.held, f"held_{row.number}"
            self.block.counter(
                f"acts_{row.number}",
                f"{row.number} acts",
                row.acts_on.astype(int),
                "1 if the rule is for this item.",
            )
            self.block.worked(held_from_here, name=self.held, held=before, acts=f"acts_{row.number}")
            self.keep(row)

    def keep(self, row: RuleRow) -> None:
        """Held items are at their current fee."""
        self._then(row, fee_held, held=self.held)

    def ladder(self, row: RuleRow) -> None:
        """The lower rung's fee so far is a floor; the dearest where there are several."""
        rungs = []
        for place, numbers in enumerate(row.rungs, 1):
            name = f"{row.number}" if len(row.rungs) == 1 else f"{row.number}_{place}"
            rungs.append(Name(f"rung_fee_of_{name}"))
            self.block.counter(
                f"rung_{name}",
                f"Rung {name.replace('_', ', ')}",
                list(numbers),
                "Row of the item that this one may not be under; 0: none.",
            )
            self.block.fetch(
                rungs[-1].name,
                f"Fee of rung {name.replace('_', ', ')}",
                "money",
                f"fee_rules.{self.fee}",
                f"rung_{name}",
                0,
            )
        self.block.tree(
            f"rung_fee_{row.number}",
            f"{row.number} lower rung",
            "money",
            larger(*rungs, 0) if rungs else node(0),
            "The fee so far that this one may not be under; 0: none.",
        )
        self.bound(row)

    def bound(self, row: RuleRow) -> None:
        """A floor or a cap."""
        name, k = f"bound_{row.number}", row.number
        made = {"rule_value": f"rule_value_{k}", "fee": self.fee, "rung_fee": f"rung_fee_{k}"}
        self.block.worked(row.rule.bound, name=name, heading=f"{k} {row.rule.name}: bound", **made)
        most = row.rule.acts == "at_most"
        if not row.acts_on.all() and row.rule.acts != "ladder":
            self.block.counter(
                f"acts_{k}", f"{k} acts", row.acts_on.astype(int), "1 if the rule is for this item."
            )
            self.block.worked(
                _only_if_capped if most else _only_if, name=f"kept_bound_{k}", bound=name, acts=f"acts_{k}"
            )
            name = f"kept_bound_{k}"
        (self.highs if most else self.lows).append(name)
        self._then(row, not_over if most else not_under, bound=name, held=self.held)

    def round(self, row: RuleRow) -> None:
        """Rounding, inside the floors and caps so far."""
        k = row.number
        value = {"rule_value": f"rule_value_{k}"}
        self._extremes(f"_{k}")
        self.block.worked(
            step_function(row.way), name=f"stepped_{k}", heading=f"{k} rounded", fee=self.fee, **value
        )
        self.block.worked(lowest_step, name=f"lowest_step_{k}", lowest=f"lowest_{k}", **value)
        self.block.worked(highest_step, name=f"highest_step_{k}", highest=f"highest_{k}", **value)
        self.block.worked(
            no_step, name=f"no_step_{k}", lowest_step=f"lowest_step_{k}", highest_step=f"highest_step_{k}"
        )
        self.between.append(f"no_step_{k}")
        self._then(
            row,
            on_a_step,
            stepped=f"stepped_{k}",
            lowest_step=f"lowest_step_{k}",
            highest_step=f"highest_step_{k}",
            held=self.held,
        )

    def _then(self, row: RuleRow, function, **renamed: str) -> None:  # type: ignore[no-untyped-def]
        """The fee after the rule, and the reason that it gives."""
        before, self.fee = self.fee, f"fee_{row.number}"
        self.block.worked(
            function,
            name=self.fee,
            heading=f"Fee after {row.number or ''} {row.rule.name}".replace("  ", " "),
            fee=before,
            **renamed,
        )
        reason = when(same(Name(self.fee), Name(before)), "", row.rule.reason)
        self.block.tree(
            f"reason_{row.number}",
            f"Reason {row.number or 'hold'}",
            "text",
            reason,
            "What the rule did to the fee.",
        )
        self.reasons.append(f"reason_{row.number}")

    def _extremes(self, suffix: str) -> None:
        """The tightest bounds so far; those of an earlier column if none has come since."""
        since = self.extremes.setdefault((len(self.lows), len(self.highs)), suffix)
        lows: list[Node] = [Name(name) for name in self.lows]
        highs: list[Node] = [Name(name) for name in self.highs]
        lowest = larger(*lows, 0) if lows else node(0)
        highest = smaller(*highs, Name("no_limit")) if highs else Name("no_limit")
        self.block.tree(
            f"lowest{suffix}",
            f"Lowest allowed{suffix.replace('_', ' ')}",
            "money",
            lowest if since == suffix else Name(f"lowest{since}"),
            "The highest of the floors so far.",
        )
        self.block.tree(
            f"highest{suffix}",
            f"Highest allowed{suffix.replace('_', ' ')}",
            "money",
            highest if since == suffix else Name(f"highest{since}"),
            "The lowest of the caps so far.",
        )

    def finish(self) -> None:
        """The new fee, and the reason in full."""
        self._extremes("")
        block = self.block
        block.worked(crossed)
        block.tree(
            "between_steps",
            "Between two steps",
            "whole",
            larger(*map(Name, self.between), 0) if self.between else node(0),
            "1 if a rounding found no step between the floors and the caps.",
        )
        block.worked(contradiction, held=self.held)
        block.worked(kept, held=self.held)
        block.worked(new_fee, fee=self.fee)
        block.worked(is_number)
        block.worked(outside)
        between_words = when(Name("crossed") >= 1, "", ", and no step between")
        block.tree("reason_step", "Reason: no step", "text", between_words, "Whether a step is wanting too.")
        shown = [Name(reason) for reason in self.reasons]
        both = joined(
            "Rules contradict: at least ",
            as_text(Name("lowest"), Name("money_digits")),
            ", at most ",
            as_text(Name("highest"), Name("money_digits")),
            Name("reason_step"),
            "; left on hold. ",
        )
        block.tree(
            "reason_both",
            "Reason: contradiction",
            "text",
            when(Name("contradiction") >= 1, both, ""),
            "Both outcomes.",
        )
        block.tree(
            "reason_reach",
            "Reason: out of reach",
            "text",
            when(Name("out_of_reach") >= 1, "The margin cannot be reached by the fee. ", ""),
            "No full-fee patients.",
        )
        block.tree(
            "reason_none",
            "Reason: no fee yet",
            "text",
            when(Name("current_fee") > 0, "", "No current fee: caps don't act. "),
            "A missing fee.",
        )
        block.tree(
            "reason",
            "Reason",
            "text",
            joined(*shown, *(Name(f"reason_{r}") for r in ("both", "reach", "none"))),
            "What the rules did, in order.",
        )


@figure("Bound here", "money")
def _only_if(bound: Traced, acts: Traced) -> Traced:
    """The bound, where the rule is for the item. Unit: money."""
    return bound * acts


@figure("Bound here", "money")
def _only_if_capped(bound: Traced, acts: Traced, no_limit: Traced = fixed("no_limit")) -> Traced:
    """The bound, where the rule is for the item; else no limit. Unit: money."""
    return when(acts >= 1, bound, no_limit)


@figure("Growth a year", "number")
def growth(highest_cap: Traced, current_fee: Traced) -> Traced:
    """How much a fee may grow in a year, as a factor: the cap over the current fee."""
    return ratio(highest_cap, current_fee, 1)


@figure("Aim", "money")
def path_aim(needed_fee: Traced, new_fee: Traced, kept: Traced) -> Traced:
    """What the path leads to: the needed fee, or the new fee where the item is kept or already there. Unit: money."""
    return when(kept >= 1, new_fee, larger(needed_fee, new_fee))


@figure("Next year", "money")
def next_year(
    previous: Traced,
    aim_step: Traced,
    growth: Traced,
    step: Traced,
    step_digits: Traced = fixed("step_digits"),
    money_digits: Traced = 2,
) -> Traced:
    """Next year's fee on the path: as far as the cap lets it, on a step, until the needed fee is reached. Unit: money."""
    return larger(previous, smaller(aim_step, step_down(previous * growth, step, step_digits, money_digits)))


def path_block(who: Roster, rows: Sequence[RuleRow]) -> Block | None:
    """The year-by-year path to the needed fee of items that the largest rise holds back; None without caps and steps."""
    caps = [row for row in rows if row.rule.acts == "at_most"]
    rounding = [row for row in rows if row.rule.acts == "round"]
    if not caps or not rounding:
        return None
    block = Block(
        "path",
        "Path",
        "Year by year to the needed fee",
        len(who.items),
        aligned="items",
        label=("code", "site"),
        note="If costs stood still: the fees that the largest rise allows each year until the needed fee is reached.",
    )
    item_facts(block, who)
    last = rounding[-1]
    bounds = [
        Name(f"bound_{row.number}" if row.acts_on.all() else f"kept_bound_{row.number}") for row in caps
    ]
    block.tree("highest_cap", "Cap", "money", smaller(*bounds, Name("no_limit")), "The lowest of the caps.")
    block.worked(growth)
    block.worked(path_aim)
    step = {"rule_value": f"rule_value_{last.number}"}
    block.worked(step_function(last.way), name="aim_rounded", heading="Aim, rounded", fee="path_aim", **step)
    block.tree(
        "aim_step",
        "Aim on a step",
        "money",
        when(Name("kept") >= 1, Name("new_fee"), larger(Name("aim_rounded"), Name("new_fee"))),
        "The rounded aim; a kept fee stays.",
    )
    block.tree("year_1", "Year 1", "money", Name("new_fee"), "The new fee.")
    for year in range(2, PATH_YEARS + 1):
        block.worked(
            next_year,
            name=f"year_{year}",
            heading=f"Year {year}",
            previous=f"year_{year - 1}",
            step=f"rule_value_{last.number}",
        )
    late = [Name(f"year_{year}") < Name("aim_step") for year in range(1, PATH_YEARS)]
    block.tree(
        "years",
        "Years to the needed fee",
        "whole",
        added([1, *late]),
        "Years until the needed fee is reached at the largest rise; 1 means with this schedule.",
    )
    return block


def add_fees(model: Model, who: Roster, rows: Sequence[RuleRow]) -> None:
    """Add the fee rules and the path."""
    model.add(fee_rules_block(model, who, rows))
    path = path_block(who, rows)
    if path is not None:
        model.add(path)

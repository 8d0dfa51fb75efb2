"""The rules applied in the order of the Rules sheet: one column a bound, one a fee so far, one a reason."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from feesheet.costing.components import item_facts
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model, Setting
from feesheet.formula.operations import (
    as_text,
    joined,
    larger,
    same,
    smaller,
    when,
)
from feesheet.formula.tree import Name, Node, Traced, node
from feesheet.pricing.fee_figures import (
    contradiction,
    crossed,
    fee_before_rules,
    fee_held,
    held_at_first,
    held_from_here,
    is_number,
    kept,
    new_fee,
    no_step,
    only_if,
    only_if_capped,
    outside,
)
from feesheet.pricing.path import path_block
from feesheet.pricing.rule_rows import RuleRow
from feesheet.pricing.rules import (
    HOLD,
    highest_step,
    lowest_step,
    not_over,
    not_under,
    on_a_step,
    step_function,
)


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
            unit = row.rule.value_unit
            name = f"rule_value_{row.number}"
            self.model.settings[name] = Setting(
                name,
                f"Rule {row.number}: {row.rule.name}",
                unit,
                row.value,
                row.place,
                0.0,
                1e6 if unit == "money" else 1.0,
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
        self.block.worked(row.rule.bound, name=name, heading=f"{k} {row.rule.name}: limit", **made)
        most = row.rule.acts == "at_most"
        if not row.acts_on.all() and row.rule.acts != "ladder":
            self.block.counter(
                f"acts_{k}", f"{k} acts", row.acts_on.astype(int), "1 if the rule is for this item."
            )
            self.block.worked(
                only_if_capped if most else only_if, name=f"kept_bound_{k}", bound=name, acts=f"acts_{k}"
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

    def _then(self, row: RuleRow, function: Callable[..., Traced], **renamed: str) -> None:
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
            "limited",
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
        self._reasons()

    def _reasons(self) -> None:
        """What each rule did, then what stands in the way, joined to the reason in full."""
        block = self.block
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


def add_fees(model: Model, who: Roster, rows: Sequence[RuleRow]) -> None:
    """Add the fee rules and the path."""
    model.add(fee_rules_block(model, who, rows))
    path = path_block(who, rows)
    if path is not None:
        model.add(path)

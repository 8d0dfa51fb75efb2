"""What the table of surcharge bands says beside its figures, for the head and the foot of its sheet."""

from __future__ import annotations

EDGE_RULE = (
    "A band holds from its lower price up to, but not at, its upper price. "
    "At exactly an edge the higher band holds."
)
HOW_TO = "Find the band of the day's metal price, then the item's row: add that much to the full fee; a minus sign takes it off."
DROP_RULE = (
    "When the price falls back, the add-on falls with it: none in the band around the reference, "
    "and an amount taken off in the bands under it."
)
REFERENCE_RULE = (
    "The reference is the metal's price on the Inputs sheet, at which the current fees stand as they are. "
    "Type a new price there only together with new fees."
)
OUTSIDE_RULE = "At a price outside the bands, work the fees out again; the table doesn't say."
ONE_DAY = "Settle beforehand which day's price counts, and use that day for every patient."
WHO_PAYS = "Only patients who pay the full fee pay the add-on, and get what is taken off."
PLANS = (
    "A plan's allowed amount can't take an add-on unless the plan's contract allows a line for alloy: "
    "without that, bill none. Nothing is worked out for plans here."
)
CONTRACTS_FIRST = "Payer contracts come before this table."
LAW_FIRST = "Local law on surcharges and on showing prices comes before this table."
NO_ADVICE = (
    "The table recommends no material: which one is used is the dentist's choice, whatever its margin."
)

HIDDEN = (
    "Where a lab's unit fee holds the alloy, its part is estimated from grams: ask the lab when its fee follows the metal, "
    "before an add-on is billed for it."
)
FULL_FEE = "The margin that a band keeps is that of a patient who pays the full fee; a plan brings the same whatever the metal costs."

HEAD = (EDGE_RULE, HOW_TO, DROP_RULE)
"""For the head of the printed sheet."""

FOOT = (
    WHO_PAYS,
    FULL_FEE,
    PLANS,
    HIDDEN,
    CONTRACTS_FIRST,
    LAW_FIRST,
    NO_ADVICE,
    REFERENCE_RULE,
    OUTSIDE_RULE,
    ONE_DAY,
)
"""For its foot."""

HOLDS = "Holds: all within the tolerance."
HOLDS_NOT = "Does not hold: type a smaller width or step, or allow more."

"""What the quote safety says beside its figures."""

from __future__ import annotations

BY_HISTORY = "Rise, historical simulation"
BY_FORMULA = "Rise, parametric"

TOO_SHORT, INSIDE, OUTSIDE, TOO_FEW = "too short to test", "as expected", "not as expected", "too few to tell"
"""What the test on the held-back half says."""

OWN_LINES, FEW_LINES = "the practice's weighed alloy lines", "too few weighed lines: counted as 0"
"""Where the weight over the mean comes from."""

NOTES = (
    "Historical simulation: of all times in the history that a quote could have been held, the rise that the chosen share did not pass.",
    "Parametric: the rise that a normal spread of the history's own daily moves would not pass with that chance. "
    "No drift is assumed: the price is as likely to rise as to fall.",
    "The larger of the two is used. Where they are far apart, the history had moves that a normal spread does not have.",
    "Both are rises to the last day of the hold. Within the hold the price may have stood higher: whoever buys the metal on "
    "another day may pay more.",
    "A history is one path. The next year's moves may be of a kind that it does not hold, larger ones among them.",
    "Windows that overlap tell much the same thing twice. The test therefore takes windows of the second half that do not "
    "overlap, and asks how often they passed the rise that the first half gave.",
    "Days without a quote are gaps: a hold that starts or ends in one is left out, and no price is carried over it.",
    "Metals in one alloy are taken as if they rose together, which is cautious.",
    "A metal without a figure adds nothing to the price part: the column before it says how much of the alloy has one.",
    "Weights and prices are taken as independent of each other; both together are the square root of the sum of squares, "
    "an approximation.",
    "The alloy of a bridge is spread evenly over its units on the invoice, which hides some of the spread of weights.",
    "A plan's allowed amount can't take a buffer: it can only stand in a quote that the patient pays in full. "
    "Payer contracts and local law on quotes come first.",
    "The buffer says what a quote may have to withstand. It recommends no material and no fee.",
)
"""For the foot of the sheet."""

"""What a what-if takes where nobody says otherwise, and the limits of what can be said: choices of this program."""

from __future__ import annotations

HOLD_DAYS = 30
"""Days for which a quote stands."""

LONGEST_HOLD = 365
"""The longest hold that can be asked about, in days."""

LEVEL = 0.95
"""Share of the holds of the past that a buffer should withstand."""

LEVELS = (0.5, 0.999)
"""The lowest and the highest level that can be asked for."""

TOLERANCE = 0.01
"""Share of the money received that a surcharge band may move a margin by: a margin point is what a page shows."""

"""What the lines of lab invoices mean: material, teeth, place in the costs, or why a line is set aside.

One row per part of a line: a line over teeth of several regions has a part for each. Everything is done
over whole tables; nothing here is arithmetic of money.
"""

from __future__ import annotations

import pandas as pd

from feesheet.costing import cases, meaning
from feesheet.costing.belonging import take_material_of_case, take_teeth_of_case
from feesheet.costing.included_alloy import included_alloy
from feesheet.costing.line_notices import line_notices
from feesheet.costing.line_uses import uses
from feesheet.costing.parts import in_parts
from feesheet.costing.product_names import named, unconfirmed
from feesheet.costing.regions import is_primary, regions_in_use
from feesheet.practice import Practice
from feesheet.problems import Problem


def understand(practice: Practice) -> tuple[pd.DataFrame, list[Problem]]:
    """Every invoice line with its meaning, and the notices about lines that are in no cost.

    The table has one row per line and tooth region, rows of one invoice together: the line's facts, and
    `material`, `region` ("" if not known), `share` of the line, `iso` teeth and their `role`, `in_window`,
    `use`, `treatment`, and what `cases.add_returns` tells of credits.
    """
    frame = practice.tables["invoice_lines"]
    lines = meaning.facts(practice, frame)
    lines["material"], lines["no_crown"] = named(practice, frame)
    lines["iso"], lines["roles"] = meaning.teeth(practice, frame)
    lines["copy"] = meaning.copies(lines)
    take_material_of_case(lines)
    take_teeth_of_case(lines)
    lines["primary"] = [any(is_primary(tooth) for tooth in teeth) for teeth in lines["iso"]]
    lines["units"] = meaning.units(lines)
    lines["alloy_used"] = meaning.alloys(practice, lines)
    cases.add_returns(practice, lines)
    parts = in_parts(lines, regions_in_use(practice.tables["fees"]))
    parts["use"] = uses(parts)
    order = parts["invoice_no"].to_numpy().argsort(kind="stable")
    parts = parts.iloc[order].reset_index(drop=True)
    notices = [*line_notices(practice, parts), *included_alloy(practice, parts)]
    return parts, [*unconfirmed(practice), *notices]

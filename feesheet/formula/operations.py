"""The one table of operations: what each does with numbers, in a spreadsheet and in words.

Number and formula can only part ways inside one row of this table, and one property test visits every row.
Patterns name their parts {0}, {1}…; {all} is every part with the list separator between,
{rest} every part but the first.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any

import numpy as np

from feesheet.formula.tree import Node, Traced, call

ATOM = 9
"""Binding power of a function call or a single reference: never needs brackets."""


@dataclass(frozen=True)
class Operation:
    """One operation. `binds` is how tightly its formula holds together; a part that binds less gets brackets.

    `strict` parts (the right side of minus and divided by) get brackets when they bind the same.
    """

    number: Callable[..., Any]
    excel: str
    words: str
    binds: int = ATOM
    strict: bool = False
    separator: str = ","


_DOUBT = 1e-13
"""Share of a number within which its 15 decimal digits may tell another half than its binary ones: the digits count then."""


def rounded(x: Any, digits: Any) -> Any:
    """Halves away from zero on the 15 significant decimal digits, as a spreadsheet's ROUND does.

    Neither Python's `round` nor numpy's does so: they take halves to the even digit of the binary number.

    >>> float(rounded(2.675, 2)), float(rounded(-1.475, 2))
    (2.68, -1.48)
    """
    scale = 10.0 ** np.asarray(digits, dtype=float)
    size = np.asarray(np.abs(np.asarray(x, dtype=float)) * scale)
    near = np.abs(size - np.floor(size) - 0.5) <= _DOUBT * size
    if near.any():
        exact, scales = (np.broadcast_to(part, size.shape)[near] for part in (np.abs(x), scale))
        size[near] = fifteen(fifteen(exact) * scales)
    return np.sign(x) * np.floor(size + 0.5) / scale + 0.0


def fifteen(x: Any) -> Any:
    """The number on its first 15 significant decimal digits, all that a spreadsheet compares and rounds by."""
    return np.char.mod("%.15g", np.asarray(x, dtype=float)).astype(float)


def _steps(turn: Callable[[Any], Any]) -> Callable[..., Any]:
    def to_step(x: Any, step: Any, step_digits: Any, money_digits: Any) -> Any:
        return rounded(turn(rounded(np.asarray(x, dtype=float) / step, step_digits)) * step, money_digits)

    return to_step


def _away(x: Any) -> Any:
    return np.sign(x) * np.ceil(np.abs(x))


def _toward(x: Any) -> Any:
    return np.sign(x) * np.floor(np.abs(x))


def _ratio(a: Any, b: Any, if_zero: Any) -> Any:
    safe = np.where(np.asarray(b) == 0, 1.0, b)
    return _when(np.asarray(b) == 0, if_zero, a / safe)


def _when(condition: Any, a: Any, b: Any) -> Any:
    words = any(np.asarray(part).dtype.kind in "OU" for part in (a, b))
    if words:
        a, b = np.asarray(a, dtype=object), np.asarray(b, dtype=object)
    return np.where(np.asarray(condition, dtype=bool), a, b)


def _pick(index: Any, *choices: Any) -> Any:
    kind = object if any(np.asarray(choice).dtype.kind in "OU" for choice in choices) else float
    arrays = np.broadcast_arrays(np.asarray(index), *(np.asarray(choice, dtype=kind) for choice in choices))
    return np.choose(arrays[0].astype(int) - 1, arrays[1:])


def _as_text(x: Any, digits: Any) -> Any:
    figures, digits = np.broadcast_arrays(rounded(x, digits), np.asarray(digits))
    return np.array(
        [f"{f:,.{int(d)}f}" for f, d in zip(figures.flat, digits.flat, strict=True)], dtype=object
    ).reshape(figures.shape)


def _joined(*parts: Any) -> Any:
    total: Any = np.asarray("", dtype=object)
    for part in parts:
        total = total + np.asarray(part, dtype=object)
    return total


def _all_of(*parts: Any) -> Any:
    return np.logical_and.reduce(np.broadcast_arrays(*parts)).astype(float)


def _any_of(*parts: Any) -> Any:
    return np.logical_or.reduce(np.broadcast_arrays(*parts)).astype(float)


def _known(x: Any) -> Any:
    return (~np.isnan(np.asarray(x, dtype=float))).astype(float)


def _compare(test: Callable[[Any, Any], Any]) -> Callable[[Any, Any], Any]:
    return lambda a, b: np.asarray(test(a, b)).astype(float)


def _same(a: Any, b: Any) -> Any:
    a, b = np.asarray(a), np.asarray(b)
    if a.dtype.kind in "if" and b.dtype.kind in "if":
        same = np.asarray(a == b)
        near = ~same & (np.abs(a - b) <= _DOUBT * np.abs(a))
        if near.any():
            one, other = (np.broadcast_to(part, near.shape)[near] for part in (a, b))
            same[near] = fifteen(one) == fifteen(other)
        return same.astype(float)
    return np.asarray(np.asarray(a, dtype=object) == np.asarray(b, dtype=object)).astype(float)


def _normal_quantile(chance: Any) -> Any:
    known = NormalDist()
    quantile = np.vectorize(lambda p: known.inv_cdf(p) if 0 < p < 1 else np.nan, otypes=[float])
    return quantile(np.asarray(chance, dtype=float))


def _beta_quantile(chance: Any, a: Any, b: Any) -> Any:
    """NaN where a spreadsheet has an error: a or b is not above nought."""
    from scipy.special import betaincinv  # a tenth of a second to import, and few runs need it

    return betaincinv(a, b, chance)


OPERATIONS: dict[str, Operation] = {
    "add": Operation(lambda a, b: a + b, "{0}+{1}", "{0} + {1}", 4),
    "subtract": Operation(lambda a, b: a - b, "{0}-{1}", "{0} - {1}", 4, strict=True),
    "multiply": Operation(lambda a, b: a * b, "{0}*{1}", "{0} × {1}", 5),
    "divide": Operation(lambda a, b: a / b, "{0}/{1}", "{0} / {1}", 5, strict=True),
    "less": Operation(_compare(lambda a, b: a < b), "{0}<{1}", "{0} is less than {1}", 2, strict=True),
    "at_most": Operation(_compare(lambda a, b: a <= b), "{0}<={1}", "{0} is at most {1}", 2, strict=True),
    "more": Operation(_compare(lambda a, b: a > b), "{0}>{1}", "{0} is more than {1}", 2, strict=True),
    "at_least": Operation(_compare(lambda a, b: a >= b), "{0}>={1}", "{0} is at least {1}", 2, strict=True),
    "same": Operation(_same, "{0}={1}", "{0} is {1}", 2, strict=True),
    "when": Operation(_when, "IF({0},{1},{2})", "{1} if {0}, else {2}"),
    "larger": Operation(
        lambda *p: np.maximum.reduce(np.broadcast_arrays(*p)), "MAX({all})", "the larger of {all}"
    ),
    "smaller": Operation(
        lambda *p: np.minimum.reduce(np.broadcast_arrays(*p)), "MIN({all})", "the smaller of {all}"
    ),
    "size": Operation(np.abs, "ABS({0})", "{0} without its sign"),
    "ratio": Operation(_ratio, "IF({1}=0,{2},{0}/{1})", "{0} / {1} ({2} if that is nought)"),
    "all_of": Operation(_all_of, "AND({all})", "{all} at once", separator=","),
    "any_of": Operation(_any_of, "OR({all})", "any of {all}"),
    "round_to": Operation(rounded, "ROUND({0},{1})", "{0} rounded to {1} digits"),
    "step_nearest": Operation(
        _steps(lambda x: rounded(x, 0)),
        "ROUND(ROUND(ROUND({0}/{1},{2}),0)*{1},{3})",
        "{0} to the nearest {1}",
    ),
    "step_up": Operation(
        _steps(_away), "ROUND(ROUNDUP(ROUND({0}/{1},{2}),0)*{1},{3})", "{0} up to the next {1}"
    ),
    "step_down": Operation(
        _steps(_toward), "ROUND(ROUNDDOWN(ROUND({0}/{1},{2}),0)*{1},{3})", "{0} down to the last {1}"
    ),
    "known": Operation(_known, "ISNUMBER({0})", "{0} is known"),
    "pick": Operation(_pick, "CHOOSE({all})", "the one numbered {0} of {rest}"),
    "as_text": Operation(_as_text, "FIXED({0},{1})", "{0}"),
    "joined": Operation(_joined, "{all}", "{all}", 3, separator="&"),
    "sum_across": Operation(
        lambda each: np.sum(each, axis=0), "SUMPRODUCT({0})", "the sum of {0} over the plans"
    ),
    "largest_across": Operation(
        lambda each: np.max(each, axis=0), "MAX({0})", "the largest {0} of the plans"
    ),
    "lesser_each": Operation(np.minimum, "(({0}<={1})*{0}+({0}>{1})*{1})", "the smaller of {0} and {1}"),
    "where_at_most": Operation(
        lambda each, limit: np.asarray(each <= limit).astype(float),
        "({0}<={1})",
        "those with {0} at most {1}",
    ),
    "times_each": Operation(lambda a, b: a * b, "{0}*{1}", "{0} × {1}", 5),
    "natural_log": Operation(np.log, "LN({0})", "the natural logarithm of {0}"),
    "exponential": Operation(np.exp, "EXP({0})", "e to the power of {0}"),
    "square_root": Operation(np.sqrt, "SQRT({0})", "the square root of {0}"),
    "normal_quantile": Operation(
        _normal_quantile, "NORMSINV({0})", "the figure that a standard normal one stays under with chance {0}"
    ),
    "beta_quantile": Operation(
        _beta_quantile,
        "BETAINV({0},{1},{2})",
        "the figure that a beta one with {1} and {2} stays under with chance {0}",
    ),
}
"""Operations on figures of one row. Those on whole columns are in `COLUMN_OPERATIONS`."""


def _numbers_in(column: Any) -> Any:
    """The numbers of a column, in order; words and blanks left out."""
    cells = column if isinstance(column, np.ndarray) else np.asarray(column, dtype=object)
    if cells.dtype.kind == "O":
        cells = np.array([cell for cell in cells.tolist() if isinstance(cell, (int, float))], dtype=float)
    cells = cells.astype(float)
    return cells[~np.isnan(cells)]


def _nth_smallest(column: Any, place: Any) -> Any:
    """NaN where a spreadsheet has an error: there are not so many numbers."""
    ranked = np.sort(_numbers_in(column))
    place = np.asarray(place, dtype=int)
    inside = (place >= 1) & (place <= len(ranked))
    return np.append(ranked, np.nan)[np.where(inside, place - 1, len(ranked))]


def _standard_deviation(column: Any) -> Any:
    numbers = _numbers_in(column)
    return np.asarray(np.std(numbers, ddof=1) if len(numbers) > 1 else np.nan)


def _count_over(column: Any, limit: Any) -> Any:
    """The limit is read on the 15 digits that a spreadsheet's criterion has."""
    ranked = np.sort(_numbers_in(column))
    return len(ranked) - np.searchsorted(ranked, fifteen(limit), side="right").astype(float)


def _lookup(column: Any, position: Any) -> Any:
    return np.asarray(column)[..., np.asarray(position, dtype=int) - 1]


def _lookup_or(column: Any, position: Any, if_none: Any) -> Any:
    position = np.asarray(position, dtype=int)
    column = np.asarray(column)
    if column.shape[-1] == 0:
        return np.broadcast_to(np.asarray(if_none), position.shape)
    found = column[..., np.maximum(position, 1) - 1]
    return _when(position == 0, if_none, found)


def _total(column: Any, keys: Any, key: Any, *flags: Any) -> Any:
    keys, key = np.asarray(keys, dtype=int), np.asarray(key, dtype=int)
    weights = np.asarray(column, dtype=float)
    for flag in flags:
        weights = np.where(np.asarray(flag) == 1, weights, 0.0)
    size = int(max(keys.max(initial=0), key.max(initial=0))) + 1
    if weights.ndim == 1:
        return np.bincount(keys, weights=weights, minlength=size)[key]
    cases = np.arange(len(weights))[:, None] * size
    sums = np.bincount((keys + cases).ravel(), weights=weights.ravel(), minlength=len(weights) * size)
    return sums.reshape(len(weights), size)[:, key]


def _count(keys: Any, key: Any, *flags: Any) -> Any:
    return _total(np.ones(len(np.asarray(keys))), keys, key, *flags)


def _total_product(column: Any, weights: Any, keys: Any, key: Any) -> Any:
    return _total(np.asarray(column, dtype=float) * np.asarray(weights, dtype=float), keys, key)


COLUMN_OPERATIONS: dict[str, Operation] = {
    "lookup": Operation(_lookup, "INDEX({0},{1})", "{0} of number {1}"),
    "lookup_or": Operation(
        _lookup_or, "IF({1}=0,{2},INDEX({0},{1}))", "{0} of number {1} ({2} if there is none)"
    ),
    "total": Operation(_total, "SUMIFS({0},{1},{2}{flags})", "the sum of {0} where {1} is {2}{flags}"),
    "count": Operation(_count, "COUNTIFS({0},{1}{flags})", "the number of rows where {0} is {1}{flags}"),
    "total_product": Operation(
        _total_product, "SUMPRODUCT(({2}={3})*{0}*{1})", "the sum of {0} × {1} where {2} is {3}"
    ),
    "grand_total": Operation(lambda c: np.asarray(float(np.sum(c))), "SUM({0})", "the sum of {0}"),
    "grand_product": Operation(
        lambda a, b: np.asarray(float(np.sum(np.asarray(a) * np.asarray(b)))),
        "SUMPRODUCT({0},{1})",
        "the sum of {0} × {1}",
    ),
    "tally": Operation(
        lambda c, word: np.asarray(float(np.sum(np.asarray(c, dtype=object) == word))),
        "COUNTIF({0},{1})",
        "the number of {0} that are {1}",
    ),
    "count_above": Operation(
        lambda c: np.asarray(float(np.sum(np.asarray(c, dtype=float) > 0))),
        "SUMPRODUCT(({0}>0)*1)",
        "the number of {0} above nought",
    ),
    "count_below": Operation(
        lambda c: np.asarray(float(np.sum(np.asarray(c, dtype=float) < 0))),
        "SUMPRODUCT(({0}<0)*1)",
        "the number of {0} below nought",
    ),
    "height": Operation(lambda c: np.asarray(float(len(c))), "ROWS({0})", "the number of rows of {0}"),
    "smallest": Operation(
        lambda c: np.asarray(float(np.min(c))) if len(c) else np.asarray(0.0), "MIN({0})", "the smallest {0}"
    ),
    "largest": Operation(
        lambda c: np.asarray(float(np.max(c))) if len(c) else np.asarray(0.0), "MAX({0})", "the largest {0}"
    ),
    "nth_smallest": Operation(
        _nth_smallest, "SMALL({0},{1})", "number {1} of {0} from the smallest, words left out"
    ),
    "standard_deviation": Operation(
        _standard_deviation, "STDEV({0})", "the sample standard deviation of {0}, words left out"
    ),
    "count_numbers": Operation(
        lambda c: np.asarray(float(len(_numbers_in(c)))), "COUNT({0})", "how many numbers are in {0}"
    ),
    "count_over": Operation(_count_over, 'COUNTIF({0},">"&{1})', "how many numbers of {0} are over {1}"),
}
"""Operations that take whole columns of another block."""

ALL_OPERATIONS = OPERATIONS | COLUMN_OPERATIONS


def _word(name: str) -> Callable[..., Traced]:
    def operation(*parts: Traced) -> Traced:
        if any(isinstance(part, Node) for part in parts):
            return call(name, *parts)
        result = ALL_OPERATIONS[name].number(*parts)
        return np.asarray(result).item() if np.ndim(result) == 0 else result

    operation.__name__ = name
    operation.__doc__ = ALL_OPERATIONS[name].words
    return operation


same = _word("same")
when = _word("when")
larger = _word("larger")
smaller = _word("smaller")
size = _word("size")
ratio = _word("ratio")
all_of = _word("all_of")
any_of = _word("any_of")
round_to = _word("round_to")
step_nearest = _word("step_nearest")
step_up = _word("step_up")
step_down = _word("step_down")
known = _word("known")
pick = _word("pick")
as_text = _word("as_text")
joined = _word("joined")
sum_across = _word("sum_across")
largest_across = _word("largest_across")
lesser_each = _word("lesser_each")
where_at_most = _word("where_at_most")
times_each = _word("times_each")
lookup = _word("lookup")
lookup_or = _word("lookup_or")
total = _word("total")
count = _word("count")
total_product = _word("total_product")
grand_total = _word("grand_total")
grand_product = _word("grand_product")
tally = _word("tally")
count_above = _word("count_above")
count_below = _word("count_below")
height = _word("height")
smallest = _word("smallest")
largest = _word("largest")
natural_log = _word("natural_log")
exponential = _word("exponential")
square_root = _word("square_root")
normal_quantile = _word("normal_quantile")
beta_quantile = _word("beta_quantile")
nth_smallest = _word("nth_smallest")
standard_deviation = _word("standard_deviation")
count_numbers = _word("count_numbers")
count_over = _word("count_over")

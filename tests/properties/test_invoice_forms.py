"""Whatever a lab's files look like, the same lines come out of them, once, and no money is lost on the way."""

from __future__ import annotations

import random
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from invoice_files import FORMATS, write_invoices
from invoice_layouts import LAYOUTS, Style
from invoice_tables import Facts, Lines, facts, facts_read, sample_lines, write_context
from invoice_words import DATES, HEADINGS, NUMBERS

from feesheet.costing import lines as costed
from feesheet.costing.line_uses import USED
from feesheet.costing.meaning import CONTROL
from feesheet.practice import Practice
from feesheet.problems import Problem, errors
from feesheet.reading.folder import read_folder

ROUNDS = settings(max_examples=6, deadline=None, derandomize=True, phases=[Phase.generate])
"""Each case reads a folder in a process of its own: few cases, the same each time, and none made smaller."""
STYLES = st.builds(
    Style,
    layout=st.sampled_from(sorted(LAYOUTS)),
    language=st.sampled_from(sorted(HEADINGS)),
    numbers=st.sampled_from(NUMBERS),
    dates=st.sampled_from(DATES),
    seed=st.integers(0, 9999),
)
ONCE = ("copy", "assumed")
"""Kinds of notice that say that a paper was met again, or what was taken from the evidence."""


@pytest.fixture(scope="module")
def known(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The practice that every case's invoices are put beside."""
    return write_context(tmp_path_factory.mktemp("known"))


def folders(known: Path) -> Iterator[Path]:
    """A folder with the practice in it, for one case."""
    with tempfile.TemporaryDirectory() as folder:
        shutil.copy(known / "all.xlsx", folder)
        yield Path(folder)


def read(folder: Path) -> tuple[Practice, list[Facts], list[Problem]]:
    """What the folder holds: the practice, its lines' facts, and what is wrong."""
    practice, problems = read_folder(folder)
    return practice, facts_read(practice), [*problems, *costed.understand(practice)[1]]


def sums(found: list[Facts]) -> dict[str, float]:
    """The money of each invoice."""
    totals: dict[str, float] = {}
    for _, _, invoice, _, _, amount, *_ in found:
        totals[invoice] = round(totals.get(invoice, 0.0) + amount, 2)
    return totals


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("layout", sorted(LAYOUTS))
@settings(ROUNDS, max_examples=3)
@given(style=STYLES, labs=st.integers(1, 2))
def test_any_layout_and_format_reads_back_as_the_lines_it_was_made_of(
    known: Path, layout: str, form: str, style: Style, labs: int
) -> None:
    """Kind, units, amount, teeth, invoice, day, lab, site and grams of every line, whatever the paper."""
    chosen = Style(layout, style.language, style.numbers, style.dates, style.seed)
    lines = sample_lines(random.Random(style.seed), style.language, 3, labs)
    for folder in folders(known):
        write_invoices(folder, lines, chosen, form)
        _, found, problems = read(folder)
        assert not errors(problems), [str(problem) for problem in problems]
        assert found == facts(lines)


@ROUNDS
@given(style=STYLES)
def test_another_name_and_order_of_files_changes_nothing(known: Path, style: Style) -> None:
    """Files renamed so that they are met the other way round hold the same lines and lead to the same words."""
    lines = sample_lines(random.Random(style.seed), style.language, 4, 2)
    results = []
    for names in (("a", "z"), ("z", "a")):
        for folder in folders(known):
            for lab, name in zip(("lab A", "lab B"), names, strict=True):
                own = [line for line in lines if line["lab"] == lab]
                write_invoices(folder, own, style, "xlsx", f"{name} {lab}")
            _, found, problems = read(folder)
            results.append((found, sorted((problem.kind, problem.what) for problem in problems)))
    assert results[0] == results[1]


@ROUNDS
@given(style=STYLES, form=st.sampled_from(FORMATS))
def test_another_order_of_lines_changes_nothing(known: Path, style: Style, form: str) -> None:
    """Lines of an invoice in another order are the same lines."""
    rng = random.Random(style.seed)
    lines = sample_lines(rng, style.language, 2, 1)
    mixed: Lines = []
    for invoice in dict.fromkeys(line["invoice"] for line in lines):
        own = [line for line in lines if line["invoice"] == invoice]
        rng.shuffle(own)
        mixed += own
    for folder in folders(known):
        write_invoices(folder, mixed, style, form)
        assert read(folder)[1] == facts(lines)


@ROUNDS
@given(style=STYLES, form=st.sampled_from(FORMATS))
def test_a_copy_of_a_file_adds_nothing_but_a_notice(known: Path, style: Style, form: str) -> None:
    """The same paper under another name costs nothing more, and is told."""
    lines = sample_lines(random.Random(style.seed), style.language, 2, 1)
    for folder in folders(known):
        written = write_invoices(folder, lines, style, form)
        practice, _, before = read(folder)
        used = charged(practice)
        for path in written:
            shutil.copy(path, path.with_stem(f"{path.stem} copy"))
        practice, _, after = read(folder)
        assert not errors(after), [str(problem) for problem in after]
        assert charged(practice) == used
        assert {problem.kind for problem in after} - {problem.kind for problem in before} <= set(ONCE)
        assert "copy" in {problem.kind for problem in after}


def charged(practice: Practice) -> dict[tuple[str, str], float]:
    """The money of each invoice that comes into a cost, once the lines are understood."""
    parts, _ = costed.understand(practice)
    used = parts[parts["use"].isin(USED)]
    money = (used["amount"] * used["share"]).groupby([used["lab"].astype(str), used["invoice"].astype(str)])
    return {key: round(value, 2) for key, value in money.sum().items() if round(value, 2)}


@ROUNDS
@given(style=STYLES, form=st.sampled_from(FORMATS))
def test_no_money_is_lost_between_reading_and_costing(known: Path, style: Style, form: str) -> None:
    """Lines used and lines set aside add up to the lines read, in each invoice and in all."""
    lines = sample_lines(random.Random(style.seed), style.language, 4, 2)
    for folder in folders(known):
        write_invoices(folder, lines, style, form)
        practice, found, _ = read(folder)
        parts, _ = costed.understand(practice)
        kept = parts[parts["treatment"] != CONTROL]
        money = (kept["amount"] * kept["share"]).groupby(kept["invoice"].astype(str)).sum()
        assert {name: round(value, 2) for name, value in money.items()} == sums(found)
        assert sums(found) == sums(facts(lines))


@ROUNDS
@given(style=STYLES)
def test_a_statement_that_lists_every_line_again_adds_nothing(known: Path, style: Style) -> None:
    """A month's statement in a file of its own, invoices and all their lines listed once more."""
    lines = sample_lines(random.Random(style.seed), style.language, 3, 1)
    for folder in folders(known):
        write_invoices(folder, lines, style, "xlsx")
        practice, _, _ = read(folder)
        used = charged(practice)
        again = Style("statement", style.language, style.numbers, style.dates, style.seed)
        write_invoices(folder, lines, again, "xlsx", "statement")
        practice, _, problems = read(folder)
        assert charged(practice) == used
        assert "copy" in {problem.kind for problem in problems}


@ROUNDS
@given(style=STYLES)
def test_reading_twice_reads_the_same(known: Path, style: Style) -> None:
    """Nothing depends on chance: not the lines, not the words, not their order."""
    lines = sample_lines(random.Random(style.seed), style.language, 3, 2)
    for folder in folders(known):
        write_invoices(folder, lines, style, "xlsx")
        once, again = read(folder), read(folder)
        assert once[1:] == again[1:]

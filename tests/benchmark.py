"""How much a whole update costs beside the least that reading and writing the same cells can cost.

Run it from a checkout with the test environment: `python tests/benchmark.py` (about ten minutes), or
`python tests/benchmark.py --lines 10000 --rounds 1` for a quick look. It prints tables in Markdown.

The floor is the fastest reader (python-calamine) turning every input workbook into lists, and the writer that
feesheet uses writing the very cells of the finished workbook again: no costs, no fees, no checks. Whole runs and
floors are measured in turn, each in a process of its own; ratios are those of the medians. Peak memory is that
of the command and of its reading process together.

`--what-if` measures something else: ten thousand paths of metal prices over some 500 items, in one go, beside the
finished workbook worked out again for each path by an outside engine, of which some dozens are timed and scaled up.

`--review` measures whole reviews beside whole updates of the same folder, in turn.
"""

from __future__ import annotations

import argparse
import json
import pickle
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any, TypeAlias

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "examples")]

CHUNK = 50_000
"""Cells that are fetched at a time, the clock stopped, while the floor writes them."""

Cell: TypeAlias = tuple[str, str, int, int, int, Any, tuple[Any, ...]]
"""Sheet, way of writing, row, column, which format, content, and a formula's value."""

WRITES = ("write_string", "write_number", "write_formula", "write_blank", "write_datetime")


def main() -> None:
    """Measure and print; the other jobs are its own processes."""
    jobs = {"make": make, "record": record, "whole": whole, "floor": floor, "read": read, "paths": paths}
    if sys.argv[1:2] and sys.argv[1] in jobs:
        jobs[sys.argv[1]](*sys.argv[2:])
        return
    options = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    options.add_argument("--lines", type=int, default=100_000, help="invoice lines")
    options.add_argument("--rounds", type=int, default=3, help="rounds, of which the median is taken")
    options.add_argument(
        "--reading", action="store_true", help="only reading, from papers and from plain tables"
    )
    options.add_argument("--what-if", action="store_true", help="only price paths beside outside engines")
    options.add_argument("--review", action="store_true", help="only whole reviews beside whole updates")
    chosen = options.parse_args()
    if chosen.review:
        review_runs(chosen.lines, chosen.rounds)
        return
    if chosen.what_if:
        what_if_runs(chosen.rounds)
        return
    if not chosen.reading:
        whole_runs(chosen.lines, chosen.rounds)
    print("\n| Reading | To plain | Papers, s | Plain, s | Peak memory, MiB |\n|---|---|---|---|---|")
    for form in ("by month", "by case"):
        for books, each in ((max(chosen.lines // 100, 1), 100), (1, chosen.lines)):
            name = f"{chosen.lines:,} lines on labs' papers {form} in {books:,} workbook(s)"
            print(messy_case(name, chosen.lines, each, chosen.rounds, form), flush=True)


def whole_runs(lines: int, rounds: int) -> None:
    """The table of whole runs beside their floors."""
    print("| Case | Whole run to floor | Whole run, s | Floor, s | Peak memory, MiB |\n|---|---|---|---|---|")
    for books, each in ((max(lines // 100, 1), 100), (1, lines)):
        print(case(f"{lines:,} lines in {books:,} workbook(s)", lines, each, rounds), flush=True)
    print(help_case(), flush=True)


def case(name: str, lines: int, each: int, rounds: int) -> str:
    """One row of the table, for so many lines in workbooks of so many lines each."""
    with tempfile.TemporaryDirectory() as folder:
        practice, cells = f"{folder}/practice", f"{folder}/cells"
        job("make", practice, lines, each)
        job("record", practice, f"{folder}/recorded", cells)
        runs, floors = [], []
        for number in range(rounds):
            runs.append(job("whole", practice, f"{folder}/whole {number}"))
            floors.append(job("floor", practice, f"{folder}/floor {number}.xlsx", cells))
    whole_s, floor_s = (statistics.median(found["seconds"] for found in of) for of in (runs, floors))
    peak = max(found["peak_mib"] for found in runs)
    return f"| {name} | {whole_s / floor_s:.2f} | {whole_s:.1f} | {floor_s:.1f} | {peak:,.0f} |"


def messy_case(name: str, lines: int, each: int, rounds: int, papers: str) -> str:
    """The row that holds reading labs' papers against reading the same lines from plain tables."""
    with tempfile.TemporaryDirectory() as folder:
        forms = (papers, "plain")
        for form in forms:
            job("make", f"{folder}/{form}", lines, each, form)
        runs: dict[str, list[Any]] = {form: [] for form in forms}
        for _ in range(rounds):
            for form in forms:
                runs[form].append(job("read", f"{folder}/{form}"))
    messy_s, plain_s = (statistics.median(found["seconds"] for found in runs[form]) for form in forms)
    peak = max(found["peak_mib"] for found in runs[papers])
    if len({found["lines"] for form in forms for found in runs[form]}) > 1:
        name += " (LINES MISSING)"
    return f"| {name} | {messy_s / plain_s:.2f} | {messy_s:.1f} | {plain_s:.1f} | {peak:,.0f} |"


def review_runs(lines: int, rounds: int) -> None:
    """The table of whole reviews beside whole updates, for a tenth of the lines and for all of them."""
    print("| Case | Review to update | Review, s | Update, s | Peak memory, MiB |\n|---|---|---|---|---|")
    for count in (max(lines // 10, 1), lines):
        with tempfile.TemporaryDirectory() as folder:
            practice = f"{folder}/practice"
            job("make", practice, count, 100)
            runs: dict[str, list[Any]] = {"review": [], "update": []}
            for number in range(rounds):
                for command, found in runs.items():
                    found.append(job("whole", practice, f"{folder}/{command} {number}", command))
        review_s, update_s = (statistics.median(run["seconds"] for run in found) for found in runs.values())
        peak = max(run["peak_mib"] for run in runs["review"])
        print(
            f"| {count:,} lines | {review_s / update_s:.2f} | {review_s:.1f} | {update_s:.1f} | {peak:,.0f} |",
            flush=True,
        )


PATHS, SAMPLE = 10_000, 40
"""Price paths that are worked out, and those of them that each engine is timed on."""

MANY = {"seed": 18, "sites": 10, "materials": 18, "lines": 600, "plans": 3}
"""The drawn practice: some 500 items."""


def what_if_runs(rounds: int) -> None:
    """The table of price paths, each round in a process of its own; medians of seconds, ratios within one round."""
    runs = [job("paths") for _ in range(rounds)]
    first = runs[0]
    print(
        f"{PATHS:,} paths of {first['metals']} over {first['items']} items, {first['formulas']:,} formulas\n"
    )
    print(
        "| Wanted | Paths, s | Engine | Engine, s a path | Engine, s for all (scaled) | Ratio |\n|---|---|---|---|---|---|"
    )
    for wanted in first["seconds"]:
        for engine in first["engines"]:
            took = statistics.median(run["seconds"][wanted] for run in runs)
            each = statistics.median(run["engines"][engine] for run in runs)
            ratio = statistics.median(run["engines"][engine] * PATHS / run["seconds"][wanted] for run in runs)
            print(f"| {wanted} | {took:.2f} | {engine} | {each:.4f} | {each * PATHS:,.0f} | {ratio:,.0f} |")
    print(f"\nLargest relative difference in the figures compared: {max(run['apart'] for run in runs):.1e}")


def help_case(rounds: int = 9) -> str:
    """The row that holds `feesheet --help` against the bare import of the library that makes command lines."""
    commands = {"whole": ["-m", "feesheet", "--help"], "floor": ["-c", "import typer"]}
    took: dict[str, list[float]] = {name: [] for name in commands}
    for _ in range(rounds):
        for name, command in commands.items():
            start = time.perf_counter()
            subprocess.run([sys.executable, *command], cwd=ROOT, stdout=subprocess.DEVNULL, check=True)
            took[name].append(time.perf_counter() - start)
    shown, bare = (statistics.median(took[name]) for name in commands)
    return f"| `feesheet --help` beside `import typer` | {shown / bare:.2f} | {shown:.2f} | {bare:.2f} | |"


def job(name: str, *arguments: object) -> Any:
    """What one process of this script says last; `seconds` is the process's whole life unless it took its own time."""
    command = [sys.executable, str(Path(__file__).resolve()), name, *map(str, arguments)]
    start = time.perf_counter()
    done = subprocess.run(command, stdout=subprocess.PIPE, encoding="utf-8", check=True)
    took = time.perf_counter() - start
    return {"seconds": took, **json.loads(done.stdout.splitlines()[-1])}


def make(folder: str, lines: str, each: str, form: str = "plain") -> None:
    """Write the practice, its invoices as plain tables or as labs' papers."""
    from big_practice import write_big_practice

    write_big_practice(Path(folder), int(lines), int(each), form)
    print("{}")


def whole(practice: str, out: str, command: str = "update") -> None:
    """Run the command, and say how much memory it and its reading process took at most."""
    from feesheet import cli

    sys.argv = ["feesheet", command, practice, "--out", out]
    try:
        cli.main()
    except SystemExit as end:
        if end.code:
            raise
    print(json.dumps({"peak_mib": peak_mib()}))


def peak_mib() -> float:
    """The most memory that this process and its reading process took, together."""
    import resource

    own = next(
        line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM")
    )
    readers = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    return (int(own.split()[1]) + readers) / 1024


def read(practice: str) -> None:
    """Read a folder, and say how long that took; how many charges were read."""
    from feesheet.reading.folder import read_folder

    start = time.perf_counter()
    found, _ = read_folder(Path(practice))
    took = time.perf_counter() - start
    lines = int((found.tables["invoice_lines"]["kind"] != "balance").sum())
    print(json.dumps({"seconds": took, "peak_mib": peak_mib(), "lines": lines}))


def paths() -> None:
    """Time the price paths and the engines on one practice, and compare their figures."""
    import numpy as np
    from practices import random_practice
    from priced import read_rows
    from written_books import written

    from feesheet.formula.paths import figures_of_paths
    from feesheet.pricing.what_if.tornado import priced_metals
    from feesheet.uses.annual_update import price
    from feesheet.writing.book import Schedule

    practice = read_rows(random_practice(**MANY))
    priced, problems = price(practice)
    schedule = Schedule(practice, priced.model, priced.numbers, priced.inputs, problems)
    metals, numbers = priced_metals(priced.model, priced.numbers), priced.numbers
    now = np.asarray(numbers.of("metals", "price"), dtype=float)
    moves = np.exp(np.random.default_rng(1).normal(0, 0.25, (PATHS, len(now))))
    moved = {("metals", "price"): now * moves}
    cost, needed, margin = ("costs", "unit_cost"), ("plan_items", "needed_fee"), ("margins", "margin_now")
    seconds, found = {}, {}
    for words, wanted in (
        ("unit cost and margin", [cost, margin]),
        ("and needed fee", [cost, needed, margin]),
    ):
        start = time.perf_counter()
        found = figures_of_paths(numbers, moved, wanted)
        seconds[words] = time.perf_counter() - start
    engines, apart = {}, 0.0
    with tempfile.TemporaryDirectory() as folder:
        book = written(schedule, Path(folder) / "book.xlsx")
        for name, engine in (("formualizer", FormualizerBook), ("ironcalc", IroncalcBook)):
            took, figures = timed(engine(book), schedule, moved["metals", "price"][:SAMPLE])
            engines[name] = took
            for key, theirs in zip((cost, margin), figures, strict=True):
                apart = max(
                    apart,
                    float(np.max(np.abs(theirs - found[key][:SAMPLE]) / np.maximum(np.abs(theirs), 1e-9))),
                )
    formulas = sum(
        c.values is None
        for b in priced.model.blocks.values()
        for c in b.columns.values()
        for _ in range(b.rows)
    )
    told = {"items": len(priced.who.items), "metals": ", ".join(metals), "formulas": formulas}
    print(json.dumps({**told, "seconds": seconds, "engines": engines, "apart": apart}))


def timed(book: Any, schedule: Any, prices: Any) -> tuple[float, list[Any]]:
    """Seconds that one path takes in an engine (the median): prices set, everything worked out, three columns read; unit costs and margins."""
    import numpy as np

    from feesheet.writing.book import layout_of

    places = layout_of(schedule).places
    inputs, items = places["inputs"], schedule.model.blocks["costs"].rows
    rows = [row for row, one in enumerate(schedule.inputs) if (one.block, one.column) == ("metals", "price")]
    columns = [
        (places[block].sheet, places[block].first_row, places[block].columns[column] + 1)
        for block, column in (("costs", "unit_cost"), ("margins", "margin_now"), ("plan_items", "needed_fee"))
    ]
    seconds, read = [], []
    for path in prices:
        start = time.perf_counter()
        for row, value in zip(rows, path, strict=True):
            book.put("Inputs", inputs.first_row + row, inputs.columns["value"] + 1, float(value))
        book.work_out()
        read.append([book.column(sheet, first, column, items) for sheet, first, column in columns])
        seconds.append(time.perf_counter() - start)
    return statistics.median(seconds[1:]), [np.array([one[at] for one in read], dtype=float) for at in (0, 1)]


class FormualizerBook:
    """A workbook in formualizer."""

    def __init__(self, path: Path) -> None:
        """Load it and work it out once."""
        import formualizer

        self._range, self._book = formualizer.RangeAddress, formualizer.load_workbook(str(path))
        self._book.evaluate_all()

    def put(self, sheet: str, row: int, column: int, value: float) -> None:
        """Type a number."""
        self._book.set_value(sheet, row, column, value)

    def work_out(self) -> None:
        """Work out what has changed."""
        self._book.evaluate_all()

    def column(self, sheet: str, first: int, column: int, rows: int) -> list[Any]:
        """The figures of a column."""
        area = self._range(sheet, first, column, first + rows - 1, column)
        return [row[0] for row in self._book.sheet(sheet).get_values(area)]


class IroncalcBook:
    """A workbook in ironcalc."""

    def __init__(self, path: Path) -> None:
        """Load it and work it out once."""
        import ironcalc

        self._book = ironcalc.load_from_xlsx(str(path), "en", "UTC", "en")
        self._sheets = {one["name"]: at for at, one in enumerate(self._book.get_worksheets_properties())}
        self._book.evaluate()

    def put(self, sheet: str, row: int, column: int, value: float) -> None:
        """Type a number."""
        self._book.update_cell_with_number(self._sheets[sheet], row, column, value)

    def work_out(self) -> None:
        """Work out everything."""
        self._book.evaluate()

    def column(self, sheet: str, first: int, column: int, rows: int) -> list[Any]:
        """The figures of a column."""
        at = self._sheets[sheet]
        return [self._book.get_cell_value(at, row, column) for row in range(first, first + rows)]


def record(practice: str, out: str, cells: str) -> None:
    """Write down every cell that the command writes, as (sheet, way of writing, row, column, format, content)."""
    from feesheet.uses import annual_update
    from feesheet.writing import book

    with Path(cells).open("wb") as file:
        seen: list[Cell] = []
        book.PlainWorksheet = recording(book.PlainWorksheet, seen, file)  # type: ignore[misc]
        annual_update.update(Path(practice), Path(out))
        pickle.dump(seen, file)
    print("{}")


def recording(kind: type[Any], seen: list[Cell], file: Any) -> type[Any]:
    """A worksheet that also writes down what is written to it."""

    def recorded(name: str) -> Any:
        def write(self: Any, row: int, column: int, content: Any, look: Any = None, *value: Any) -> Any:
            seen.append((self.name, name, row, column, id(look), content, value))
            if len(seen) == CHUNK:
                pickle.dump(seen, file)
                seen.clear()
            return getattr(kind, name)(self, row, column, content, look, *value)

        return write

    return type("Recording", (kind,), {name: recorded(name) for name in WRITES})


def floor(practice: str, out: str, cells: str) -> None:
    """Read every input and write every cell again, and say how long that took."""
    import gc

    from feesheet.reading.folder import input_files

    files = [path for path in input_files(Path(practice)) if path.suffix == ".xlsx"]
    gc.disable()  # as feesheet does while it writes; the floor is the least
    start = time.perf_counter()
    read_all(files)
    took = time.perf_counter() - start
    took += write_again(Path(out), Path(cells))
    print(json.dumps({"seconds": took}))


def read_all(files: list[Path]) -> None:
    """Every sheet of every file as lists of cells."""
    from python_calamine import load_workbook

    for path in files:
        read = load_workbook(path)
        for sheet in read.sheet_names:
            read.get_sheet_by_name(sheet).to_python(skip_empty_area=False)


def write_again(path: Path, cells: Path) -> float:
    """Write a workbook of those cells; the seconds that took, without fetching the cells."""
    import xlsxwriter

    from feesheet.writing.sheet import PlainWorksheet

    took = -time.perf_counter()
    book = xlsxwriter.Workbook(str(path))
    sheets: dict[str, Any] = {}
    looks: dict[int, Any] = {}
    took += time.perf_counter()
    for chunk in chunks(cells):
        took -= time.perf_counter()
        for name, way, row, column, look, content, value in chunk:
            if name not in sheets:
                sheets[name] = book.add_worksheet(name, worksheet_class=PlainWorksheet)
            if look not in looks:
                looks[look] = book.add_format({"font_size": 8 + len(looks)})
            getattr(sheets[name], way)(row, column, content, looks[look], *value)
        took += time.perf_counter()
    took -= time.perf_counter()
    book.close()
    return took + time.perf_counter()


def chunks(cells: Path) -> Iterator[list[Cell]]:
    """The cells as they were written down, so many at a time."""
    with cells.open("rb") as file:
        while file.peek(1):
            yield pickle.load(file)


if __name__ == "__main__":
    main()

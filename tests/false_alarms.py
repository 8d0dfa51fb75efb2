"""How many planted faults the lab audit finds, and how often it cries wolf at labs that bill cleanly.

Run it from a checkout with the test environment: `python tests/false_alarms.py --practices 100` (about a quarter of an hour). It
prints tables in Markdown. Practices are those of `clean_labs.py` from the first seed on; each is audited as it is, and
once more with `--each` faults of every kind in it (`planted_faults.py`). A fault is over its tolerance as stated there;
it counts as found when a finding of a right kind names its lines and its money.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests"), str(ROOT / "examples")]

from audited import audited, others, outcomes  # noqa: E402
from clean_labs import clean_labs  # noqa: E402
from planted_faults import LEAST, NOTES, Planter  # noqa: E402

from feesheet.pricing.review.findings import KINDS  # noqa: E402

PROCESSES = 2


@dataclass
class Tally:
    """What was seen in some practices: counts by kind of finding and by kind of fault."""

    practices: int = 0
    lines: int = 0
    quiet: int = 0
    alarms: Counter[str] = field(default_factory=Counter)
    money: Counter[str] = field(default_factory=Counter)
    planted: Counter[tuple[str, bool]] = field(default_factory=Counter)
    found: Counter[tuple[str, bool]] = field(default_factory=Counter)
    beside: int = 0
    wrong: list[str] = field(default_factory=list)

    def add(self, other: Tally) -> None:
        """Take in what another saw."""
        for name in ("practices", "lines", "quiet", "beside"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        for name in ("alarms", "money", "planted", "found"):
            getattr(self, name).update(getattr(other, name))
        self.wrong += other.wrong


def seen(seed: int, each: int) -> Tally:
    """The practice of a seed, audited clean and with so many faults of each kind."""
    clean = clean_labs(seed)
    before = audited(clean.practice(), clean.last)
    tally = Tally(1, before.lines, int(not before.findings))
    tally.alarms.update(one.kind for one in before.findings)
    for one in before.findings:
        tally.money[one.kind] += one.money
    faults = Planter(clean, seed).plant(each)
    after = audited(clean.practice(), clean.last).findings
    for outcome in outcomes(faults, after):
        key = outcome.fault.kind, outcome.fault.sure
        tally.planted[key] += 1
        tally.found[key] += not outcome.wrong
        if outcome.wrong and outcome.fault.sure:
            tally.wrong.append(
                f"seed {seed}, invoice {outcome.fault.invoice}: {outcome.fault.kind} of {outcome.fault.money:.2f}: {outcome.wrong}"
            )
    known = {(one.kind, one.lines, one.invoice) for one in before.findings}
    tally.beside = sum((one.kind, one.lines, one.invoice) not in known for one in others(faults, after))
    return tally


def main() -> None:
    """Measure and print."""
    options = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    options.add_argument("--practices", type=int, default=100, help="how many practices")
    options.add_argument("--seed", type=int, default=1000, help="the first one's seed")
    options.add_argument("--each", type=int, default=2, help="faults of each kind in a practice")
    chosen = options.parse_args()
    seeds = range(chosen.seed, chosen.seed + chosen.practices)
    tally = Tally()
    with ProcessPoolExecutor(PROCESSES) as pool:
        for one in pool.map(seen, seeds, [chosen.each] * len(seeds)):
            tally.add(one)
    print(
        f"python tests/false_alarms.py --practices {chosen.practices} --seed {chosen.seed} --each {chosen.each}\n"
    )
    print("\n".join([*alarm_table(tally), "", *recall_table(tally)]))
    if tally.wrong:
        print("\nNot found, or not right:\n" + "\n".join(f"- {line}" for line in tally.wrong))


def alarm_table(tally: Tally) -> list[str]:
    """Findings at labs that bill cleanly, by kind."""
    rows = [
        f"| {kind} | {tally.alarms[kind]} | {1000 * tally.alarms[kind] / tally.lines:.2f} | {mean(tally, kind)} |"
        for kind in KINDS
    ]
    every = sum(tally.alarms.values())
    return [
        f"Clean practices: {tally.practices}, with {tally.lines:,} invoice lines. Without any finding: "
        f"{tally.quiet} ({tally.quiet / tally.practices:.0%}).\n",
        "| Finding at labs that bill cleanly | Number | Per 1,000 lines | Mean money |",
        "|---|---|---|---|",
        *rows,
        f"| All | {every} | {1000 * every / tally.lines:.2f} | |",
    ]


def mean(tally: Tally, kind: str) -> str:
    """The mean money of the findings of a kind; "" where there are none."""
    return f"{tally.money[kind] / tally.alarms[kind]:.2f}" if tally.alarms[kind] else ""


def recall_table(tally: Tally) -> list[str]:
    """Planted faults and how many of them were found right, by kind, over and under the stated tolerance."""
    rows = [
        f"| {kind} | {least} | {of(tally, kind, True)} | {of(tally, kind, False)} |"
        for kind, least in LEAST.items()
    ]
    over = [sum(counts[kind, True] for kind in LEAST) for counts in (tally.found, tally.planted)]
    return [
        "| Planted fault | Over the tolerance is | Found over it | Found under it |",
        "|---|---|---|---|",
        *rows,
        f"| All | | {over[0]} of {over[1]} | |",
        "",
        *NOTES,
        f"\nFindings beside them that the clean practices did not have: {tally.beside}.",
    ]


def of(tally: Tally, kind: str, sure: bool) -> str:
    """So many of so many; "" where none was planted."""
    planted = tally.planted[kind, sure]
    return f"{tally.found[kind, sure]} of {planted}" if planted else ""


if __name__ == "__main__":
    main()

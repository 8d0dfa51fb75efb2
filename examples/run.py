"""Work out the fees of the example practice and say where to look: `python examples/run.py`."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import environment

PRACTICE = Path(__file__).resolve().parent / "practice"
OUT = PRACTICE / "Fee schedules"


def main() -> int:
    """Run the yearly update on the example; the exit code is the command's own."""
    feesheet = [str(environment.python()), "-m", "feesheet"]
    command = [*feesheet, "update", str(PRACTICE), "--out", str(OUT), "--json"]
    done = subprocess.run(command, stdout=subprocess.PIPE, encoding="utf-8", check=False)
    if done.returncode:
        print(done.stdout)
        return done.returncode
    _show(json.loads(done.stdout))
    return 0


def _show(result: dict) -> None:
    print("Written:")
    print(f"  {result['workbook']}")
    print(f"  {result['export']}")
    print("\nThe five figures to look at first:")
    widest = max(len(figure["heading"]) for figure in result["figures"])
    for figure in result["figures"]:
        print(f"  {figure['heading']:<{widest}}  {figure['text']}")
    print("\nOpen the workbook in any spreadsheet program. Every figure is a formula: click and follow.")
    print(f"The inputs it came from are the workbooks in {PRACTICE}")


if __name__ == "__main__":
    sys.exit(main())

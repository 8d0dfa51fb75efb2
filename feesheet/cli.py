"""The command line: arguments, printing and exit codes, and nothing else.

Exit codes: 0 all is well, 1 there are problems, 2 the command was used wrongly.
Heavy libraries are imported inside the commands, so that help is quick.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from feesheet.pricing.what_if.defaults import HOLD_DAYS, LEVEL, TOLERANCE
from feesheet.problems import Problem, as_records, as_text, errors, notices

if TYPE_CHECKING:
    from feesheet.practice import Practice
    from feesheet.uses.review import Review
    from feesheet.uses.what_if import Answer

app = typer.Typer(
    add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False, no_args_is_help=False
)

Folder = Annotated[Path, typer.Argument(help="The practice's folder.", exists=True, file_okay=False)]
Book = Annotated[Path, typer.Argument(help="A workbook that feesheet wrote.", exists=True, dir_okay=False)]
AsJson = Annotated[bool, typer.Option("--json", help="Print for machines.")]

Words = Annotated[
    list[str] | None,
    typer.Argument(metavar="[FOLDER] [CHANGE]...", help="The practice's folder, then changes."),
]
Metals = Annotated[list[str] | None, typer.Option(help="A change of a metal's price, such as gold=4500.")]
Scenarios = Annotated[
    Path | None, typer.Option(help='A file with the table "Scenarios".', exists=True, dir_okay=False)
]
History = Annotated[
    Path | None,
    typer.Option(help="A file of metal prices; default: the folder's.", exists=True, dir_okay=False),
]
Title = Annotated[str, typer.Option(help="The scenario's title; default: its changes.")]
Reason = Annotated[str, typer.Option(help="Why you ask.")]
Origin = Annotated[str, typer.Option(help="Where the figures are from.")]
Day = Annotated[str, typer.Option("--date", help="The day of the figures, yyyy-mm-dd.")]
Save = Annotated[bool, typer.Option("--save", help='Keep the scenario in "Scenarios" in the folder.')]
Watch = Annotated[str, typer.Option(help="The metal of the bands; default: the one that costs most.")]
Grid = Annotated[list[str] | None, typer.Option(help="A driver of the grid, such as gold; twice.")]
Code = Annotated[str, typer.Option(help="The fee of the grid; default: where the metal costs most.")]
Site = Annotated[str, typer.Option(help="Its site.")]
Hold = Annotated[int, typer.Option(help="Days for which a quote stands.")]
Level = Annotated[float, typer.Option(help="Share of the past's rises that a quote withstands.")]
Tolerance = Annotated[float, typer.Option(help="Share that a band may move a margin by.")]
Screen = Annotated[bool, typer.Option("--screen", help="Answer on the screen, without a workbook.")]
WhatIfOut = Annotated[
    Path | None, typer.Option(help='Where to write; default: "What-if" in the folder.', file_okay=False)
]

To = Annotated[str, typer.Option(help="The period's last day, yyyy-mm-dd; default: the pricing date.")]
Months = Annotated[
    int, typer.Option(help="Months of both periods; default: the invoice months.", show_default=False)
]
Against = Annotated[
    str,
    typer.Option(
        help='Last day of the comparison period; default: the day before the period; "none" for none.'
    ),
]
LastYearBook = Annotated[
    Path | None,
    typer.Option(help="Last year's fee schedule, to compare with it instead.", exists=True, dir_okay=False),
]
Least = Annotated[float, typer.Option(help="Smallest money of a finding.")]
ReviewOut = Annotated[
    Path | None, typer.Option(help='Where to write; default: "Reviews" in the folder.', file_okay=False)
]


@app.callback(invoke_without_command=True)
def start(context: typer.Context) -> None:
    """Cost-plus crown fees from a practice's own invoices, minutes and metal prices.

    Alone, it says what it finds in this folder and what to do next.
    """
    if context.invoked_subcommand is None:
        _survey(Path.cwd())


@app.command()
def check(folder: Folder = Path(), as_json: AsJson = False) -> None:
    """Read everything in a folder and say what is wrong, all in one go.

    Example: feesheet check "My practice"
    """
    from feesheet.uses import annual_update

    practice, priced, problems = annual_update.check(folder, _progress(as_json))
    if as_json:
        shown = dict(annual_update.figures(priced)) if priced else {}
        share = annual_update.understood(priced) if priced else None
        _print_json({"problems": as_records(problems), "figures": shown, "money_understood": share})
    else:
        _say_problems(problems)
        if not errors(problems):
            typer.echo(
                f"{len(practice.files)} files read, no errors. Next: feesheet update {_quoted(folder)}".rstrip()
            )
        if priced:
            _say_understood(annual_update.understood(priced))
        _say_unknown(practice, folder)
    _leave(problems)


@app.command()
def update(
    folder: Folder = Path(),
    out: Annotated[
        Path | None,
        typer.Option(help='Where to write; default: "Fee schedules" in the folder.', file_okay=False),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Work out the new fees and write the fee-schedule workbook. Nothing is overwritten.

    Example: feesheet update "My practice"
    """
    from feesheet.uses import annual_update

    outcome = annual_update.update(folder, out or folder / "Fee schedules", _progress(as_json))
    if as_json:
        _print_json(
            {
                "workbook": str(outcome.workbook) if outcome.workbook else None,
                "export": str(outcome.export) if outcome.export else None,
                "figures": [{"heading": heading, "text": text} for heading, text in outcome.figures],
                "money_understood": outcome.understood,
                "problems": as_records(outcome.problems),
            }
        )
    else:
        _say_problems(outcome.problems)
        _say_outcome(outcome.workbook, outcome.export, outcome.figures)
        if outcome.understood is not None:
            _say_understood(outcome.understood)
    _leave(outcome.problems)


@app.command()
def invoices(folder: Folder = Path(), as_json: AsJson = False) -> None:
    """Say what was read of the labs' invoices, lab by lab and month by month, what was inferred, and what is asked.

    Example: feesheet invoices "My practice"
    """
    from feesheet.uses.import_summary import import_summary

    result = import_summary(folder, _progress(as_json))
    if not as_json:
        typer.echo("\n".join(result.lines()) + "\n")
        _say_problems(result.problems)
        _leave(result.problems)
    _say_result(result, as_json)


@app.command()
def map(folder: Folder = Path(), as_json: AsJson = False) -> None:
    """List the labs' product names that are not known yet in a workbook, with best guesses to confirm.

    Example: feesheet map "My practice"
    """
    from feesheet.uses.product_names import name_products

    _say_result(name_products(folder, _progress(as_json)), as_json)


@app.command()
def whatif(
    words: Words = None,
    metal: Metals = None,
    scenario: Scenarios = None,
    title: Title = "",
    reason: Reason = "",
    source: Origin = "",
    day: Day = "",
    save: Save = False,
    watch: Watch = "",
    grid: Grid = None,
    code: Code = "",
    site: Site = "",
    hold: Hold = HOLD_DAYS,
    level: Level = LEVEL,
    history: History = None,
    tolerance: Tolerance = TOLERANCE,
    out: WhatIfOut = None,
    screen: Screen = False,
    as_json: AsJson = False,
) -> None:
    """Say what other metal prices, lab fees, minutes or terms would do. The fees in force are not touched.

    Changes in words: gold=4500, gold=+40%, "lab fees=+5%", "minutes of zirconia=-10%", "remake rate=4%",
    "target margin=25%", "alloy of cast crown=low-gold alloy". Without any, the saved scenarios are compared.

    Example: feesheet whatif "My practice" gold=4500 "lab fees=+5%"
    """
    from feesheet.uses.what_if import what_if
    from feesheet.uses.what_if_asked import Asked

    folder, moves = _folder_and_changes(words or [])
    drivers = tuple(grid or ())
    asked = Asked(
        (*moves, *(metal or ())), scenario, title, reason, source, day, save, watch, drivers, code, site
    )
    asked = replace(asked, hold_days=hold, level=level, tolerance=tolerance, history=history, screen=screen)
    tell = None if as_json else _say_answer
    answer = what_if(folder, asked, out or folder / "What-if", _progress(as_json), tell)
    _say_written(answer, as_json)
    _leave(answer.problems)


@app.command()
def review(
    folder: Folder = Path(),
    to: To = "",
    months: Months = 0,
    against: Against = "",
    last_year: LastYearBook = None,
    least: Least = 1.0,
    out: ReviewOut = None,
    as_json: AsJson = False,
) -> None:
    """Say what each crown earned, why it changed, and whether the labs charged what they should: a workbook that can be taken apart.

    The period is compared with the one before it, or with last year's workbook. Findings go into a .csv list too.

    Example: feesheet review "My practice" --months 6
    """
    from feesheet.uses.review import review as reviewed
    from feesheet.uses.review_asked import ReviewAsked

    asked = ReviewAsked(to, months, against, last_year, least)
    tell = None if as_json else _say_answer
    result = reviewed(folder, asked, out or folder / "Reviews", _progress(as_json), tell)
    if as_json:
        _print_json(
            {
                "workbook": str(result.workbook) if result.workbook else None,
                "list": str(result.export) if result.export else None,
                **result.figures,
                "problems": as_records(result.problems),
            }
        )
    else:
        _say_problems(errors(result.problems))
        for heading, path in (("Workbook:", result.workbook), ("Findings:", result.export)):
            if path:
                typer.echo(f"{heading:<12}{path}")
    _leave(result.problems)


@app.command()
def explain(
    book: Book,
    code: Annotated[str, typer.Argument(help="The fee's code.")],
    site: Annotated[str | None, typer.Option(help="The site, where there are several.")] = None,
    as_json: AsJson = False,
) -> None:
    """Print one fee from the top down to the invoice lines behind it.

    Example: feesheet explain "Fees 2027-01-01.xlsx" CR-CHN-M --site North
    """
    from feesheet.uses.explain import explain as explained

    _say_result(explained(book, code, site), as_json)


@app.command()
def audit(book: Book, as_json: AsJson = False) -> None:
    """Work out every formula of a workbook again with another program's engine; name each cell that differs or was typed over.

    Example: feesheet audit "Fees 2027-01-01.xlsx"
    """
    from feesheet.uses.audit import audit as audited

    _say_result(audited(book), as_json)


@app.command()
def templates(
    folder: Annotated[Path, typer.Argument(help="Where to write; made if it is not there.", file_okay=False)],
) -> None:
    """Write blank input workbooks, each column with its help, limits and an example.

    Example: feesheet templates "My practice"
    """
    from feesheet.writing.blank import write_templates

    try:
        written = write_templates(folder)
    except FileExistsError as taken:
        typer.echo(f"{taken} is there already; nothing was written. Name another folder.", err=True)
        raise typer.Exit(1) from None
    typer.echo("\n".join(str(path) for path in written))
    typer.echo(f"Fill them in, add your lab invoices, then: feesheet check {_quoted(folder)}")


@app.command()
def example(folder: Annotated[Path, typer.Argument(help="Where to put it; must not be there yet.")]) -> None:
    """Put an invented practice into a new folder, to try everything on.

    Example: feesheet example "Example practice"
    """
    import shutil

    from feesheet.paths import EXAMPLE

    if folder.exists():
        typer.echo(f"{folder} is there already; nothing was written. Name another folder.", err=True)
        raise typer.Exit(1)
    shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns("Fee schedules", "What if *.xlsx"))
    count = sum(path.is_file() for path in folder.rglob("*"))
    typer.echo(f"{count} files put into {folder}. Next: feesheet update {_quoted(folder)}")


def _survey(folder: Path) -> None:
    """What a folder holds, what is missing, and the next command."""
    from feesheet.reading.folder import survey
    from feesheet.tables import TABLES

    found = [sheet for sheet in survey(folder) if sheet.table]
    if not found:
        typer.echo(
            "There are no tables of a practice in this folder.\n"
            "To begin:           feesheet templates .\n"
            'To try an example:  feesheet example "Example practice"\n'
            "All commands:       feesheet --help"
        )
        return
    typer.echo("In this folder:")
    for name, table in TABLES.items():
        sheets = [sheet for sheet in found if sheet.table == name]
        if sheets:
            files = (
                f"{sheets[0].file}"
                if len({s.file for s in sheets}) == 1
                else f"{len({s.file for s in sheets})} files"
            )
            typer.echo(f"  {table.sheet:<18}{sum(sheet.rows for sheet in sheets):>8,} rows  {files}")
    missing = [
        table.sheet
        for name, table in TABLES.items()
        if table.required and name not in {sheet.table for sheet in found}
    ]
    if missing:
        typer.echo(f"Missing: {', '.join(missing)}. Blank sheets for them: feesheet templates Blank")
        typer.echo("Next: feesheet check")
    else:
        typer.echo("Nothing that is needed is missing. Next: feesheet update")


def _quoted(path: Path) -> str:
    """A path as one would type it; nothing for the present folder."""
    text = "" if path == Path() else str(path)
    return f'"{text}"' if " " in text else text


def _folder_and_changes(words: Sequence[str]) -> tuple[Path, list[str]]:
    """The folder, if the first word is one and no change, and the changes."""
    if words and "=" not in words[0]:
        folder = Path(words[0])
        if not folder.is_dir():
            typer.echo(f'{words[0]} is no folder, and no change such as "gold=4500".', err=True)
            raise typer.Exit(2)
        return folder, list(words[1:])
    return Path(), list(words)


def _say_answer(answer: Answer | Review) -> None:
    """The answers of a what-if or a review, before the workbook is written."""
    _say_problems(answer.noticed)
    typer.echo("\n".join(answer.lines))


def _say_written(answer: Answer, as_json: bool) -> None:
    """What a what-if wrote; everything at once for machines; only the problems where there is no answer."""
    if as_json:
        _print_json(
            {
                "workbook": str(answer.workbook) if answer.workbook else None,
                "scenario": str(answer.saved) if answer.saved else None,
                "answers": answer.figures,
                "problems": as_records(answer.problems),
            }
        )
        return
    _say_problems(errors(answer.problems))
    for heading, path in (("Workbook:", answer.workbook), ("Scenario:", answer.saved)):
        if path:
            typer.echo(f"{heading:<12}{path}")


def _say_problems(problems: Sequence[Problem]) -> None:
    """Errors, then notices, each under a line that counts them."""
    for found, words in ((errors(problems), "problem(s) to mend"), (notices(problems), "notice(s)")):
        if found:
            typer.echo(f"{len(found)} {words}:")
            typer.echo(as_text(found) + "\n")


def _say_unknown(practice: Practice, folder: Path) -> None:
    """Where there are product names that nobody has explained: what lists them, and what shows the rest."""
    from feesheet.uses.product_names import unknown_names

    count = len(unknown_names(practice))
    if count:
        where = _quoted(folder)
        typer.echo(
            f"{count} product name(s) not known: feesheet map {where}".rstrip()
            + f". What was read of each lab: feesheet invoices {where}".rstrip()
        )


def _say_outcome(workbook: Path | None, export: Path | None, figures: Sequence[tuple[str, str]]) -> None:
    if workbook is None:
        typer.echo("Nothing was written. Mend the problems above and run the command again.")
        return
    for heading, text in figures:
        typer.echo(f"{heading:<26}{text}")
    typer.echo(f"\nWorkbook:   {workbook}\nPlain list: {export}")
    typer.echo(f"To follow one fee: feesheet explain {_quoted(workbook)} CODE")


def _say_understood(share: float) -> None:
    """Told until all of the invoices' money is understood, or accepted by name."""
    from feesheet.uses.annual_update import percent

    if share < 1:
        typer.echo(
            f"{percent(share):.1f} % of the invoices' money is understood. The rest is in no fee: "
            'add its wordings to "Product names".'
        )


def _say_result(result: Any, as_json: bool) -> None:
    """What a question about a workbook answered: its lines, or its record; exit 1 unless it is clean."""
    if as_json:
        _print_json(result.record())
    else:
        typer.echo("\n".join(result.lines()))
    raise typer.Exit(0 if result.clean else 1)


def _print_json(record: object) -> None:
    typer.echo(json.dumps(record, ensure_ascii=False, indent=2))


def _leave(problems: Sequence[Problem]) -> None:
    raise typer.Exit(1 if errors(problems) else 0)


def _progress(quiet: bool) -> Any:
    """A line that tells how far reading has come, on a terminal only."""
    if quiet or not sys.stderr.isatty():
        return None

    def show(name: str, done: int, total: int) -> None:
        typer.echo(f"\r\033[K{name} ({done} of {total})" if done < total else "\r\033[K", nl=False, err=True)

    return show


def main() -> None:
    """Run the command line; a place that can't be written to is told in a line."""
    try:
        app()
    except OSError as fault:
        if fault.filename is None:
            raise
        typer.echo(
            f"{fault.filename}: {fault.strerror}. Name another folder with --out, or free this one.", err=True
        )
        raise SystemExit(1) from None

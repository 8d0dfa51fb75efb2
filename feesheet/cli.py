"""The command line: arguments, printing and exit codes, and nothing else.

Exit codes: 0 all is well, 1 there are problems, 2 the command was used wrongly.
Heavy libraries are imported inside the commands, so that help is quick.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from feesheet.cli_options import (
    Against,
    AsJson,
    Book,
    Code,
    Day,
    Folder,
    Grid,
    History,
    Hold,
    LastYearBook,
    Least,
    Level,
    Metals,
    Months,
    Origin,
    Reason,
    ReviewOut,
    Save,
    Scenarios,
    Screen,
    Site,
    Title,
    To,
    Tolerance,
    Watch,
    WhatIfOut,
    Words,
)
from feesheet.cli_said import (
    folder_and_changes,
    leave,
    print_json,
    progress,
    quoted,
    say_answer,
    say_outcome,
    say_problems,
    say_result,
    say_survey,
    say_understood,
    say_unknown,
    say_written,
)
from feesheet.pricing.what_if.defaults import HOLD_DAYS, LEVEL, TOLERANCE
from feesheet.problems import as_records, errors

if TYPE_CHECKING:
    pass

app = typer.Typer(
    add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False, no_args_is_help=False
)


@app.callback(invoke_without_command=True)
def start(context: typer.Context) -> None:
    """Cost-plus crown fees from a practice's own invoices, minutes and metal prices.

    Alone, it says what it finds in this folder and what to do next.
    """
    if context.invoked_subcommand is None:
        say_survey(Path.cwd())


@app.command()
def check(folder: Folder = Path(), as_json: AsJson = False) -> None:
    """Read everything in a folder and say what is wrong, all in one go.

    Example: feesheet check "My practice"
    """
    from feesheet.uses import annual_update

    practice, priced, problems = annual_update.check(folder, progress(as_json))
    if as_json:
        shown = dict(annual_update.figures(priced)) if priced else {}
        share = annual_update.understood(priced) if priced else None
        print_json({"problems": as_records(problems), "figures": shown, "money_understood": share})
    else:
        say_problems(problems)
        if not errors(problems):
            typer.echo(
                f"{len(practice.files)} files read, no errors. Next: feesheet update {quoted(folder)}".rstrip()
            )
        if priced:
            say_understood(annual_update.understood(priced))
        say_unknown(practice, folder)
    leave(problems)


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

    outcome = annual_update.update(folder, out or folder / "Fee schedules", progress(as_json))
    if as_json:
        print_json(
            {
                "workbook": str(outcome.workbook) if outcome.workbook else None,
                "export": str(outcome.export) if outcome.export else None,
                "figures": [{"heading": heading, "text": text} for heading, text in outcome.figures],
                "money_understood": outcome.understood,
                "problems": as_records(outcome.problems),
            }
        )
    else:
        say_problems(outcome.problems)
        say_outcome(outcome.workbook, outcome.export, outcome.figures)
        if outcome.understood is not None:
            say_understood(outcome.understood)
    leave(outcome.problems)


@app.command()
def invoices(folder: Folder = Path(), as_json: AsJson = False) -> None:
    """Say what was read of the labs' invoices, lab by lab and month by month, what was inferred, and what is asked.

    Example: feesheet invoices "My practice"
    """
    from feesheet.uses.import_summary import import_summary

    result = import_summary(folder, progress(as_json))
    if not as_json:
        typer.echo("\n".join(result.lines()) + "\n")
        say_problems(result.problems)
        leave(result.problems)
    say_result(result, as_json)


@app.command()
def map(folder: Folder = Path(), as_json: AsJson = False) -> None:
    """List the labs' product names that are not known yet in a workbook, with best guesses to confirm.

    Example: feesheet map "My practice"
    """
    from feesheet.uses.product_names import name_products

    say_result(name_products(folder, progress(as_json)), as_json)


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

    folder, moves = folder_and_changes(words or [])
    drivers = tuple(grid or ())
    asked = Asked(
        (*moves, *(metal or ())), scenario, title, reason, source, day, save, watch, drivers, code, site
    )
    asked = replace(asked, hold_days=hold, level=level, tolerance=tolerance, history=history, screen=screen)
    tell = None if as_json else say_answer
    answer = what_if(folder, asked, out or folder / "What-if", progress(as_json), tell)
    say_written(answer, as_json)
    leave(answer.problems)


@app.command()
def review(
    folder: Folder = Path(),
    to: To = "",
    months: Months = None,
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
    tell = None if as_json else say_answer
    result = reviewed(folder, asked, out or folder / "Reviews", progress(as_json), tell)
    if as_json:
        print_json(
            {
                "workbook": str(result.workbook) if result.workbook else None,
                "list": str(result.export) if result.export else None,
                **result.figures,
                "problems": as_records(result.problems),
            }
        )
    else:
        say_problems(errors(result.problems))
        for heading, path in (("Workbook:", result.workbook), ("Findings:", result.export)):
            if path:
                typer.echo(f"{heading:<12}{path}")
    if result.misused:
        raise typer.Exit(2)
    leave(result.problems)


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

    say_result(explained(book, code, site), as_json)


@app.command()
def audit(book: Book, as_json: AsJson = False) -> None:
    """Work out every formula of a workbook again with another program's engine; name each cell that differs or was typed over.

    Example: feesheet audit "Fees 2027-01-01.xlsx"
    """
    from feesheet.uses.audit import audit as audited

    say_result(audited(book), as_json)


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
    typer.echo(f"Fill them in, add your lab invoices, then: feesheet check {quoted(folder)}")


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
    typer.echo(f"{count} files put into {folder}. Next: feesheet update {quoted(folder)}")


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

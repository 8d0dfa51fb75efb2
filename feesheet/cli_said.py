"""What the commands say: problems, answers and what was written, in lines or for machines."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from feesheet.problems import Problem, as_records, as_text, errors, notices

if TYPE_CHECKING:
    from feesheet.practice import Practice
    from feesheet.uses.review import Review
    from feesheet.uses.what_if import Answer


def say_survey(folder: Path) -> None:
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


def quoted(path: Path) -> str:
    """A path as one would type it; nothing for the present folder."""
    text = "" if path == Path() else str(path)
    return f'"{text}"' if " " in text else text


def folder_and_changes(words: Sequence[str]) -> tuple[Path, list[str]]:
    """The folder, if the first word is one and no change, and the changes."""
    if words and "=" not in words[0]:
        folder = Path(words[0])
        if not folder.is_dir():
            typer.echo(f'{words[0]} is no folder, and no change such as "gold=4500".', err=True)
            raise typer.Exit(2)
        return folder, list(words[1:])
    return Path(), list(words)


def say_answer(answer: Answer | Review) -> None:
    """The answers of a what-if or a review, before the workbook is written."""
    say_problems(answer.noticed)
    typer.echo("\n".join(answer.lines))


def say_written(answer: Answer, as_json: bool) -> None:
    """What a what-if wrote; everything at once for machines; only the problems where there is no answer."""
    if as_json:
        print_json(
            {
                "workbook": str(answer.workbook) if answer.workbook else None,
                "scenario": str(answer.saved) if answer.saved else None,
                "answers": answer.figures,
                "problems": as_records(answer.problems),
            }
        )
        return
    say_problems(errors(answer.problems))
    for heading, path in (("Workbook:", answer.workbook), ("Scenario:", answer.saved)):
        if path:
            typer.echo(f"{heading:<12}{path}")


def say_problems(problems: Sequence[Problem]) -> None:
    """Errors, then notices, each under a line that counts them."""
    for found, words in ((errors(problems), "problem(s) to mend"), (notices(problems), "notice(s)")):
        if found:
            typer.echo(f"{len(found)} {words}:")
            typer.echo(as_text(found) + "\n")


def say_unknown(practice: Practice, folder: Path) -> None:
    """Where there are product names that nobody has explained: what lists them, and what shows the rest."""
    from feesheet.uses.product_names import unknown_names

    count = len(unknown_names(practice))
    if count:
        where = quoted(folder)
        typer.echo(
            f"{count} product name(s) not known: feesheet map {where}".rstrip()
            + f". What was read of each lab: feesheet invoices {where}".rstrip()
        )


def say_outcome(workbook: Path | None, export: Path | None, figures: Sequence[tuple[str, str]]) -> None:
    """The five figures of an update, and what it wrote."""
    if workbook is None:
        typer.echo("Nothing was written. Mend the problems above and run the command again.")
        return
    for heading, text in figures:
        typer.echo(f"{heading:<26}{text}")
    typer.echo(f"\nWorkbook:   {workbook}\nPlain list: {export}")
    typer.echo(f"To follow one fee: feesheet explain {quoted(workbook)} CODE")


def say_understood(share: float) -> None:
    """Told until all of the invoices' money is understood, or accepted by name."""
    from feesheet.uses.annual_update import percent

    if share < 1:
        typer.echo(
            f"{percent(share):.1f} % of the invoices' money is understood. The rest is in no fee: "
            'add its wordings to "Product names".'
        )


def say_result(result: Any, as_json: bool) -> None:
    """What a question about a workbook answered: its lines, or its record; exit 1 unless it is clean."""
    if as_json:
        print_json(result.record())
    else:
        typer.echo("\n".join(result.lines()))
    raise typer.Exit(0 if result.clean else 1)


def print_json(record: object) -> None:
    """A record as machines read it."""
    typer.echo(json.dumps(record, ensure_ascii=False, indent=2))


def leave(problems: Sequence[Problem]) -> None:
    """End with 1 where a problem is an error, else with 0."""
    raise typer.Exit(1 if errors(problems) else 0)


def progress(quiet: bool) -> Any:
    """A line that tells how far reading has come, on a terminal only."""
    if quiet or not sys.stderr.isatty():
        return None

    def show(name: str, done: int, total: int) -> None:
        typer.echo(f"\r\033[K{name} ({done} of {total})" if done < total else "\r\033[K", nl=False, err=True)

    return show

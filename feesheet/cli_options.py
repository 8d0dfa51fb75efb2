"""What may be typed after the commands: every argument and option with its help, once."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

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
    int | None, typer.Option(help="Months of both periods; default: the invoice months.", show_default=False)
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

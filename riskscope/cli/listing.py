"""A result table as lines of a terminal, or as CSV or JSON for machines."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

import click
import pandas as pd

from riskscope import files
from riskscope.cli.say import say
from riskscope.words.plain import as_csv
from riskscope.words.render import Units, number, quantity

MOST = 40
KINDS = {"difference": "rise", "temperature": "temperature", "torque": "torque"}


def show(
    frame: pd.DataFrame,
    columns: Sequence[tuple[str, str, str]],
    form: str,
    out: Path | None,
    units: Units,
    nothing: str,
    most: int = MOST,
) -> None:
    """Print a table: its chosen columns as text, or all of it as CSV or JSON.

    Parameters
    ----------
    frame : DataFrame
    columns : sequence of (name, title, kind)
        Kind as `riskscope.words.render.quantity` has it, or ``slope``.
    form : str
        ``text``, ``csv`` or ``json``.
    out : Path or None
        Write all of it there too, as CSV.
    units : Units
    nothing : str
        What to say of an empty table.
    most : int
        Rows shown as text.
    """
    if out is not None:
        files.write({out: as_csv(frame)}, make_folders=False)
    if form == "csv":
        click.echo(as_csv(frame), nl=False)
    elif form == "json":
        rows = json.loads(frame.to_json(orient="records", date_format="iso", force_ascii=False))
        click.echo(json.dumps(rows, ensure_ascii=False, indent=2))
    elif frame.empty:
        click.echo(nothing)
    else:
        _text(frame.head(most), columns, units)
        if len(frame) > most:
            click.echo(f"  and {len(frame) - most:,} more: --out FILE or --format csv lists them all")


def _text(frame: pd.DataFrame, columns: Sequence[tuple[str, str, str]], units: Units) -> None:
    cells = [_cells(frame[name], kind, units) for name, _, kind in columns]
    titles = [title for _, title, _ in columns]
    wide = [max(len(title), *map(len, column)) for title, column in zip(titles, cells, strict=True)]
    right = [kind not in {"text", "day"} for _, _, kind in columns]
    for row in [titles, *zip(*cells, strict=True)]:
        line = "  ".join(
            cell.rjust(width) if to_right else cell.ljust(width)
            for cell, width, to_right in zip(row, wide, right, strict=True)
        )
        say(f"  {line}".rstrip())


def _cells(values: pd.Series, kind: str, units: Units) -> list[str]:
    if kind == "slope":
        factor = 1.8 if units.temperature == "°F" else 1.0
        shown = number(values.astype("float64") * factor, 1)
        return [cell if cell == "–" else f"{cell} {units.difference}/year" for cell in shown]
    return [str(cell) for cell in quantity(values, kind, units)]

"""template: a workbook to fill in for one table."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from riskscope import files
from riskscope.errors import WrongUsage, nearest
from riskscope.intake.files import Source
from riskscope.intake.options import ReadOptions
from riskscope.intake.read import read_files
from riskscope.report.documents import templates
from riskscope.schema import TABLES


def template(table: str, out: Path, *, on: dt.date, connections: Path | None = None) -> int:
    """Write the workbook; the number of rows already filled in.

    Parameters
    ----------
    table : str
    out : Path
        Must end in .xlsx and not exist.
    connections : Path, optional
        A register whose connections are filled in.

    Raises
    ------
    RiskscopeError
        If there is no such table, the register cannot be read or the file cannot be written.
    """
    if table not in TABLES:
        raise WrongUsage(
            f"there is no table {table!r}; there are {', '.join(TABLES)}.", hint=nearest(table, list(TABLES))
        )
    if out.suffix.casefold() != ".xlsx":
        raise WrongUsage(f"--out must end in .xlsx; got {str(out)!r}.")
    rows = None
    if connections is not None:
        if "connection_id" not in TABLES[table].by_name:
            raise WrongUsage(f"table {table} has no connections to fill in.")
        read = read_files([Source(connections, ReadOptions(table="connections"))], on=on)
        rows = read["connections"]
    data = templates.template(TABLES[table], rows)
    files.write({out: data}, overwrite=False, make_folders=False)
    return 0 if rows is None else len(rows)

"""template: a workbook to fill in for one table."""

from __future__ import annotations

import os
from pathlib import Path

from riskscope.errors import UnusableInput, WrongUsage, nearest
from riskscope.intake.options import Ways
from riskscope.intake.read import Wanted, read_files
from riskscope.report.documents import templates
from riskscope.schema import TABLES


def template(table: str, out: Path, connections: Path | None = None) -> int:
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
    if out.exists():
        raise UnusableInput("already exists; give another name.", file=str(out))
    rows = None
    if connections is not None:
        if "connection_id" not in TABLES[table].by_name:
            raise WrongUsage(f"table {table} has no connections to fill in.")
        read = read_files([Wanted(connections, Ways(table="connections"), named=True)])
        rows = read["connections"]
    data = templates.template(TABLES[table], rows)
    scratch = out.with_name(f".{out.name}.part")
    try:
        scratch.write_bytes(data)
        os.replace(scratch, out)
    except OSError as error:
        raise UnusableInput(f"cannot be written ({error.strerror}).", file=str(out)) from error
    return 0 if rows is None else len(rows)

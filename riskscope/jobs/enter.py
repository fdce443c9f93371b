"""enter: a finding or a deferral typed by hand comes in as a small file, with a source and an undo."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Mapping, Sequence

from riskscope.errors import UnusableInput
from riskscope.intake.files import FileContent
from riskscope.intake.options import Limits, ReadOptions
from riskscope.intake.read import check_file
from riskscope.intake.readers.by_ending import grids
from riskscope.jobs.bring_in import Decision, FileOutcome, one_file
from riskscope.schema import TABLES
from riskscope.store.database import Store
from riskscope.store.stamp import Stamp


def enter(store: Store, table: str, row: Mapping[str, str], *, on: dt.date, stamp: Stamp) -> FileOutcome:
    """One row of a table, typed by hand; see `enter_rows`."""
    return enter_rows(store, table, [row], on=on, stamp=stamp)


def enter_rows(
    store: Store, table: str, rows: Sequence[Mapping[str, str]], *, on: dt.date, stamp: Stamp
) -> FileOutcome:
    """Rows of a table, typed by hand.

    Parameters
    ----------
    rows : sequence of mapping of str to str
        Column -> what was typed; columns that are empty in all rows are left out.

    Raises
    ------
    UnusableInput
        If a row is rejected: the reasons.
    """
    columns = [column.name for column in TABLES[table].columns if any(row.get(column.name, "").strip() for row in rows)]
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([[row.get(name, "").strip() for name in columns] for row in rows])
    data = buffer.getvalue().encode()
    name = f"{table} typed by {stamp.actor} {stamp.at}.csv".replace("/", "-")
    content = FileContent(name, data, ReadOptions(table=table, day_first=True, decimal="point"))
    checked = check_file(content, on=on, limits=Limits(), reader=grids)  # our own file: read in place
    refused = [reason for sheet in checked.sheets for reason in sheet.rejected.query("kind == 'rejected'")["reason"]]
    if refused:
        raise UnusableInput("; ".join(dict.fromkeys(refused)) + ".")
    beside = Decision(beside=True)
    return one_file(store, content, on=on, limits=Limits(), stamp=stamp, decision=beside, checked=checked)

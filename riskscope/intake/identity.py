"""Row keys: what makes a row of a table the same row again, in another file or another year."""

from __future__ import annotations

import pandas as pd

from riskscope.schema import TABLES


def row_keys(table: str, frame: pd.DataFrame) -> pd.Series:
    """The key of each row of a checked table, as text.

    Ids are compared without case. Where a table may hold several rows that agree in all its key
    columns (two readings, the fasteners of one joint), the key ends in which of them a row is, in
    order of the file.

    Parameters
    ----------
    table : str
    frame : DataFrame
        Accepted rows, as the intake returns them.

    Returns
    -------
    Series of str
    """
    columns = {column.name: column for column in TABLES[table].columns}
    key = pd.Series("", index=frame.index, dtype="str")
    for name in TABLES[table].key:
        if name in frame:
            values = frame[name]
            if columns[name].kind == "date":
                text = values.dt.strftime("%Y-%m-%d")
            elif columns[name].kind == "id":
                text = values.str.casefold()
            else:
                text = values.astype("str")
            text = text.astype("str").fillna("")
        else:
            text = pd.Series("", index=frame.index, dtype="str")
        key = key + text.str.replace("|", "||", regex=False) + " | "
    if TABLES[table].counted:
        key = key + (frame.groupby(key, sort=False).cumcount() + 1).astype("str")
    return key

"""What makes a row of a table the same row again, in another file or another year."""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riskscope.intake.registers import among
from riskscope.schema import TABLES
from riskscope.schema.common import AT


def row_keys(table: str, frame: pd.DataFrame) -> pd.Series:
    """The key of each row of a checked table within its site, as text.

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
        nth = frame.groupby([_sites(frame), key], sort=False).cumcount() + 1
        key = key + nth.astype("str")
    return key


def shared(table: str, new: pd.DataFrame, held: pd.DataFrame) -> NDArray[np.bool_]:
    """Which rows of a new frame are rows of one that is held already.

    A row that does not say its site may be a row of any site: it is taken for the same.
    """
    ours, theirs = row_keys(table, new), row_keys(table, held)
    site, their_site = _sites(new), _sites(held)
    same_site = among(ours + AT + site, theirs + AT + their_site)
    of_any_site = (site == "") | among(ours, theirs[their_site == ""])
    return (among(ours, theirs) & (same_site | of_any_site)).to_numpy(dtype=bool)


def _sites(frame: pd.DataFrame) -> pd.Series:
    """The site of each row, without case; empty where it says none."""
    if "site" not in frame:
        return pd.Series("", index=frame.index, dtype="str")
    return frame["site"].str.casefold().fillna("").astype("str")

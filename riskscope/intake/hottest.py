"""The reasons of rows that are refused and may matter, readings and records of work: whose they are, of which day."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.intake.cells.parsed import is_filled
from riskscope.intake.sheet import FIRST_DAY, Work
from riskscope.schema.common import AT, ID_PARTS
from riskscope.schema.notes import AGAIN, HOTTEST, MEND, PART, PLACE

HEAT = ("connection_c", "rise_similar_k", "rise_ambient_k")  # how hot the connection itself was
DAYS = {"survey": ("survey_date", AGAIN), "installs": ("work_date", MEND), "findings": ("work_date", MEND)}
MOST_OF_A_NAME = 200  # characters of a connection's name that a reason repeats


def may_be(reasons: pd.Series, work: Work) -> pd.Series:
    """Reasons of readings that are refused though a temperature or rise is written in them: nobody knows how hot."""
    heat = [work.body[match.position] for match in work.headers.matches if match.column.name in HEAT]
    if not heat:
        return reasons
    written = np.logical_or.reduce([is_filled(cells) for cells in heat])
    mask = written & (reasons != "") & ~reasons.str.contains(HOTTEST, regex=False)
    return reasons.where(~mask, reasons + f"; it {HOTTEST}: {AGAIN}")


def whose(reasons: pd.Series, work: Work) -> pd.Series:
    """Reasons of readings off the scale and of records of work, each with whose it is and of which day, if known.

    Where there is no id, the place of the joint stands for it; a day that cannot be is not known.
    """
    date, marker = DAYS[work.table.name]
    if marker == MEND:
        reasons = reasons.where(reasons == "", reasons + f"; {MEND}")
    off, frame = reasons.str.contains(marker, regex=False).to_numpy(dtype=bool), work.frame
    if not off.any():
        return reasons
    nothing = pd.Series(pd.NA, index=reasons.index[off], dtype="str")
    name = frame["connection_id"][off].astype("str") if "connection_id" in frame else nothing
    name = name.fillna(PLACE + _place({part: frame[part][off] for part in ID_PARTS if part in frame}, nothing))
    site = frame["site"][off].astype("str") if "site" in frame else nothing
    name = name + (AT + site).fillna("").where(~name.str.contains(AT, regex=False).fillna(False).astype(bool), "")
    when = frame[date][off] if date in frame else pd.Series(pd.NaT, name.index)
    when = when.where((when >= pd.Timestamp(FIRST_DAY)) & (when <= work.tomorrow))
    day = when.dt.strftime("%Y-%m-%d")
    tail = (" (" + name + (", " + day).fillna("") + ")").where(name.str.len() <= MOST_OF_A_NAME)
    said = reasons.copy()
    parts_ = reasons[off].str.partition(marker)
    said[off] = parts_[0] + parts_[1] + tail.fillna("") + parts_[2]
    return said


def _place(rows: Mapping[str, pd.Series], nothing: pd.Series) -> pd.Series:
    """Where each row is, part by part; missing where its board, or its circuit and device, are not said."""
    text = nothing.fillna("")
    for part, values in rows.items():
        text += (PART + part + " " + values.astype("str")).fillna("")
    board, circuit, device = (rows.get(part, nothing).isna() for part in ("equipment", "circuit", "device"))
    return text.str.removeprefix(PART).mask(board | (circuit & device))

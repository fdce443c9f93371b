"""The reasons of rows that are refused and may matter, readings and records of work: whose they are, of which day."""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riskscope.intake.cells.parsed import is_any_word, is_filled
from riskscope.intake.layout.non_records import TOTAL_WORDS
from riskscope.intake.sheet import FIRST_DAY, MAX_CELL_CHARACTERS, Work
from riskscope.schema.common import AT, ID_PARTS, SAID
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


def said(work: Work, mask: NDArray[np.bool_]) -> pd.DataFrame:
    """What each of these rows says of whose it is, where, and of which day, as far as that can be read."""
    frame = {name: work.frame[name][mask] for name in (*SAID, "survey_date", "work_date") if name in work.frame}
    texts = {name: frame[name].astype("str") for name in SAID if name in frame}
    made = {name: text.where(text.str.len() <= MAX_CELL_CHARACTERS) for name, text in texts.items()}
    made = _without_totals(made)
    date, _ = DAYS.get(work.table.name, ("", ""))
    if date in frame:
        day = frame[date]
        made["day"] = day.where((day >= pd.Timestamp(FIRST_DAY)) & (day <= work.tomorrow))
    return pd.DataFrame(made, index=work.body.index[mask])


def _without_totals(said: dict[str, pd.Series]) -> dict[str, pd.Series]:
    """What rows say of whose they are without words for a total: these are no id and no board, and no circuit or device
    where nothing else tells of which joint."""
    words = {name: is_any_word(text.fillna(""), TOTAL_WORDS, ":.") for name, text in said.items()}
    says = [said[name].notna() & ~words[name] for name in (*SAID[:1], *ID_PARTS[1:]) if name in said]
    alone = ~np.logical_or.reduce(says) if says else True
    never = (SAID[0], "equipment")
    return {name: text.mask(words[name] & (True if name in never else alone)) for name, text in said.items()}


def whose(reasons: pd.Series, work: Work, said: pd.DataFrame) -> pd.Series:
    """Reasons of readings off the scale and of records of work, each with whose it is and of which day, if known.

    Where there is no id, the place of the joint stands for it; a day that cannot be is not known.

    Parameters
    ----------
    said : DataFrame
        From `said`.
    """
    _, marker = DAYS[work.table.name]
    if marker == MEND:
        reasons = reasons.where(reasons == "", reasons + f"; {MEND}")
    off = reasons.str.contains(marker, regex=False).to_numpy(dtype=bool)
    if not off.any():
        return reasons
    rows = said.loc[reasons.index[off]]
    nothing = pd.Series(pd.NA, index=rows.index, dtype="str")
    name = rows.get("connection_id", nothing).fillna(PLACE + _place(rows, nothing))
    site = rows.get("site", nothing)
    name = name + (AT + site).fillna("").where(~name.str.contains(AT, regex=False).fillna(False).astype(bool), "")
    day = rows["day"].dt.strftime("%Y-%m-%d") if "day" in rows else nothing
    tail = (" (" + name + (", " + day).fillna("") + ")").where(name.str.len() <= MOST_OF_A_NAME)
    told = reasons.copy()
    parts_ = reasons[off].str.partition(marker)
    told[off] = parts_[0] + parts_[1] + tail.fillna("") + parts_[2]
    return told


def _place(rows: pd.DataFrame, nothing: pd.Series) -> pd.Series:
    """Where each row is, part by part; missing where its board, or its circuit and device, are not said."""
    text = nothing.fillna("")
    for part in ID_PARTS:
        text += (PART + part + " " + rows.get(part, nothing)).fillna("")
    board, circuit, device = (rows.get(part, nothing).isna() for part in ("equipment", "circuit", "device"))
    return text.str.removeprefix(PART).mask(board | (circuit & device))

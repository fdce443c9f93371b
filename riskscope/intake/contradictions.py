"""What rows of a survey say of where their connections are: what cannot be true, what is left out in some."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.intake.sheet import Work
from riskscope.schema.common import AT
from riskscope.schema.names import apart

APART = {"equipment": "board", "phase": "phase"}  # one id at several of these is several connections
WITHIN = {"circuit": "circuit", "device": "device"}
NEEDED = {"equipment": "board", "circuit": "circuit"}


def at_several_places(work: Work) -> None:
    """Rejects the readings of an id that stands at several boards, or phases, on one day; warns of several circuits.

    Where most ids do so, the board or the phase was joined to each before; what is left is a slip in one of the rows.
    """
    if not {"connection_id", "survey_date"} <= work.frame.keys():
        return
    rows = pd.DataFrame({"id": work.frame["connection_id"].str.casefold(), "day": work.frame["survey_date"]})
    if "site" in work.frame:  # an id is of its site: on another it is another connection
        rows["id"] += AT + work.frame["site"].fillna("").str.casefold()
    if not rows.duplicated().any():
        return
    for name, called in APART.items():
        text = _several(work, rows, name, called)
        wrong = text.notna().to_numpy()
        work.fault(wrong, text + f", where others stand at one: mend the {called}, or give each its own id")
    for name, called in WITHIN.items():
        text = _several(work, rows, name, called)
        if text.notna().any():
            words = f"{text.dropna().iloc[0]}: of one connection the worse counts, so give each its own id"
            work.note("warning", words, name, text.notna().to_numpy())


def _several(work: Work, rows: pd.DataFrame, name: str, called: str) -> pd.Series:
    """What is wrong with the rows whose id stands at several of these on their day; missing of the others."""
    nothing = pd.Series(np.nan, index=rows.index, dtype="str")
    if name not in work.frame:
        return nothing
    said = rows.assign(part=work.frame[name], key=apart(work.frame[name])).dropna()
    distinct = said.drop_duplicates(["id", "day", "key"])
    several = distinct[distinct.duplicated(["id", "day"], keep=False)]
    if several.empty:
        return nothing
    parts = several.groupby(["id", "day"])["part"].agg(" and ".join)
    words = pd.Series(parts.reindex(pd.MultiIndex.from_frame(rows)).array, index=rows.index, dtype="str")
    return (f"on that day this connection_id stands at {called} " + words).where(work.frame[name].notna())


def left_out_of_some(work: Work, other: str) -> None:
    """Warns of rows without the board or circuit that others of their sheet say: nothing is compared with them."""
    grouped = work.frame["group"].notna().to_numpy() if "group" in work.frame else np.zeros(len(work.body), dtype=bool)
    for name, called in NEEDED.items():
        if name in work.frame:
            blank = work.frame[name].isna().to_numpy() & ~grouped
            if blank.any() and not blank.all():
                text = f"no {called} in some rows: unless {other} says it, no sibling is compared with them"
                merged = " (a merged cell fills only its first row)" if work.grid.sheet else ""
                work.note("warning", text + merged, name, blank)

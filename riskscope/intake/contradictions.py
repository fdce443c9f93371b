"""Rows of a survey that cannot all be true of the connection they name."""

from __future__ import annotations

import pandas as pd

from riskscope.intake.sheet import Work
from riskscope.schema.common import AT

PLACES = {"equipment": "board", "phase": "phase"}


def at_several_places(work: Work) -> None:
    """Rejects the readings of an id that stands at several boards, or phases, on one day.

    Where most ids do so, the board or the phase was joined to each before; what is left is a slip in one of the rows.
    """
    if not {"connection_id", "survey_date"} <= work.frame.keys():
        return
    rows = pd.DataFrame({"id": work.frame["connection_id"].str.casefold(), "day": work.frame["survey_date"]})
    if "site" in work.frame:  # an id is of its site: on another it is another connection
        rows["id"] += AT + work.frame["site"].fillna("").str.casefold()
    if not rows.duplicated().any():
        return
    for name, called in PLACES.items():
        if name not in work.frame:
            continue
        said = rows.assign(part=work.frame[name], key=work.frame[name].str.casefold()).dropna()
        distinct = said.drop_duplicates(["id", "day", "key"])
        several = distinct[distinct.duplicated(["id", "day"], keep=False)]
        if several.empty:
            continue
        parts = several.groupby(["id", "day"])["part"].agg(" and ".join)
        words = pd.Series(parts.reindex(pd.MultiIndex.from_frame(rows)).array, index=rows.index, dtype="str")
        wrong = words.notna().to_numpy() & work.frame[name].notna().to_numpy()
        text = f"on that day this connection_id stands at {called} " + words
        work.fault(wrong, text + f", where others stand at one: mend the {called}, or give each its own id")

"""Sheets to fill in on site: the next survey's field sheet and the findings sheet."""

from __future__ import annotations

import pandas as pd

from riskscope.analysis.years.due import NO_LONGER
from riskscope.report.documents.templates import template
from riskscope.schema import TABLES
from riskscope.schema.tables import WHY
from riskscope.words.render import Units, quantity


def field_sheet(due: pd.DataFrame, register: pd.DataFrame) -> bytes:
    """A survey sheet with the connections that are due or await proof, board by board, and why.

    Beside each stand its siblings, due or not: a joint read alone cannot be compared.

    Parameters
    ----------
    due : DataFrame
        From `riskscope.analysis.years.due.due`.
    register : DataFrame
        One row a connection, `connection_id`, where it is and its set of siblings (``set_code``); of the rest only the
        survey's columns are used.
    """
    rows = due[due["due"] != "put off"].drop_duplicates("connection_id")  # nothing to survey for that alone
    why = rows["due"] + rows["work_state"].fillna("").map(lambda state: f" ({state})" if state else "")
    why = why.where(rows["urgency"] != "now", "NOW: " + why)
    limits = quantity(rows["limited_to_a"], "limit", Units())
    limit = [f" to {limit}" if ampere > 0 else "" for limit, ampere in zip(limits, rows["limited_to_a"], strict=True)]
    safe = rows["made_safe"].notna() & (rows["made_safe"] != NO_LONGER)
    why = why.where(
        ~safe, why + "; DO NOT RESTORE: " + rows["made_safe"].astype("str") + pd.Series(limit, rows.index, "str")
    )
    why = pd.Series(why.to_numpy(), index=rows["connection_id"])
    places = register.set_index("connection_id")
    sets = places["set_code"]
    wanted = set(sets.reindex(why.index).dropna()) - {-1}
    beside = sets[sets.isin(list(wanted)) & ~sets.index.isin(why.index)].index
    why = pd.concat([why, pd.Series("to compare with", index=beside, dtype="str")])
    order = places.reindex(why.index)[[name for name in ("site", "equipment") if name in places]]
    why = why.loc[order.assign(name=order.index).sort_values([*order, "name"], kind="stable").index]
    about = _about(why.index.to_series(), register, "survey")
    about[WHY] = why.to_numpy()
    return template(TABLES["survey"], about, beside=[WHY])


def findings_sheet(first: pd.DataFrame, actions: pd.DataFrame, register: pd.DataFrame) -> bytes:
    """A findings sheet with the connections of the work list, in its order, and their sites.

    Parameters
    ----------
    first, actions : DataFrame
        The work list: `retighten_first` and `other_actions`.
    register : DataFrame
        As for `field_sheet`.
    """
    ids = pd.concat([first["connection_id"], actions["connection_id"]]).drop_duplicates()
    return template(TABLES["findings"], _about(ids, register, "findings"))


def _about(ids: pd.Series, register: pd.DataFrame, table: str) -> pd.DataFrame:
    known = [
        name
        for name in ("site", "equipment", "circuit", "device", "side", "phase", "group", "point", "rated_a")
        if name in register and name in TABLES[table].by_name
    ]
    rows = register.drop_duplicates("connection_id").set_index("connection_id")[known]
    return rows.reindex(ids).reset_index(names="connection_id")

"""Sheets to fill in on site: the next survey's field sheet and the findings sheet."""

from __future__ import annotations

import pandas as pd

from riskscope.report.documents.templates import template
from riskscope.schema import TABLES
from riskscope.schema.tables import WHY


def field_sheet(due: pd.DataFrame, register: pd.DataFrame) -> bytes:
    """A survey sheet with the connections that are due or await proof, board by board, and why.

    Parameters
    ----------
    due : DataFrame
        From `riskscope.analysis.years.due.due`.
    register : DataFrame
        One row a connection, `connection_id` and where it is; only the survey's columns are used.
    """
    rows = due[due["due"] != "put off"].drop_duplicates("connection_id")  # nothing to survey for that alone
    about = _about(rows["connection_id"], register, "survey")
    about[WHY] = (
        rows["due"] + rows["work_state"].fillna("").map(lambda state: f" ({state})" if state else "")
    ).to_numpy()
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

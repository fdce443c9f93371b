"""What could be done in an outage, what each piece is worth, and why the rest cannot be planned."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd

from riskscope.analysis.frames import floats
from riskscope.planning.settings import Planning
from riskscope.schema.codes import ACTIONS
from riskscope.units import Floats

PLANNED = tuple(action.name for action in ACTIONS.values() if action.planned)
MAIN_WORDS = "incom|main|supply|infeed"


def candidates(
    connections: pd.DataFrame, tables: Mapping[str, pd.DataFrame], settings: Planning, must_not: Sequence[str] = ()
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Connections whose action needs an outage, and those of them that cannot be planned.

    Parameters
    ----------
    connections : DataFrame
        From `riskscope.assess`.
    tables : mapping
        The same tables; `connections` and `equipment` give minutes and isolation points.
    settings : Planning
    must_not : sequence of str
        Connections that are left out.

    Returns
    -------
    DataFrame
        Sorted by id: ``connection_id equipment isolated_by action section severity severity_as_found
        urgency minutes chance benefit criticality voltage_v``.
    DataFrame
        ``connection_id equipment action severity urgency why`` of those that are never planned.
    """
    rows = connections[connections["action"].isin(PLANNED)].sort_values("connection_id", kind="stable")
    rows = rows.reset_index(drop=True)
    board = rows["equipment"].astype("str")
    isolated = _isolated_by(rows, board)
    loose = floats(rows, "likelihood_loose")
    chance = np.where(rows["action"] == "remake", settings.cure_remake, loose * settings.cure_retighten)
    severity = floats(rows, "severity")
    weight = settings.severity_base ** np.where(np.isnan(severity), 0.0, severity)
    importance = floats(rows, "criticality") / settings.criticality_middle
    made = pd.DataFrame(
        {
            "connection_id": rows["connection_id"],
            "equipment": board,
            "isolated_by": isolated.astype("str"),
            "action": rows["action"],
            "section": np.where(rows["action"] == "check torque", "b", "a"),
            "severity": severity,
            "severity_as_found": floats(rows, "severity_as_found"),
            "urgency": rows["urgency"],
            "minutes": _minutes(rows, settings),
            "chance": chance,
            "benefit": chance * weight * importance,
            "criticality": floats(rows, "criticality"),
            "voltage_v": _voltage(rows, tables, board),
        }
    )
    why = pd.Series("", index=made.index, dtype="str")
    why[board.isna() | (board == "nan")] = "board not recorded"
    why[(why == "") & made["isolated_by"].isna()] = "isolation point not recorded"
    why[made["connection_id"].isin(must_not)] = "left out on request"
    barred = made[why != ""][["connection_id", "equipment", "action", "severity", "urgency"]].assign(why=why[why != ""])
    return made[why == ""].reset_index(drop=True), barred.reset_index(drop=True)


def _minutes(rows: pd.DataFrame, settings: Planning) -> Floats:
    """How long each piece takes: as recorded, else by its action. [min]"""
    by_action = {
        "retighten": settings.minutes_retighten,
        "remake": settings.minutes_remake,
        "check torque": settings.minutes_check,
    }
    own = floats(rows, "minutes")
    return np.where(np.isnan(own), rows["action"].map(by_action).to_numpy(dtype=float), own)


def _isolated_by(rows: pd.DataFrame, board: pd.Series) -> pd.Series:
    """What must be off: as recorded, else the board itself; unknown on the line side of a main device."""
    stated = rows["isolated_by"] if "isolated_by" in rows else pd.Series(np.nan, index=rows.index, dtype="str")
    words = pd.Series("", index=rows.index, dtype="str")
    for name in ("device", "circuit"):
        if name in rows:
            words = words + " " + rows[name].astype("str").fillna("")
    main = words.str.contains(MAIN_WORDS, case=False, regex=True)
    line = (rows["side"] == "line") if "side" in rows else pd.Series(False, index=rows.index)
    unknown = (line & main).fillna(False) & (stated.isna() | (stated == board))
    return stated.where(stated.notna(), board).where(~unknown.astype(bool))


def _voltage(rows: pd.DataFrame, tables: Mapping[str, pd.DataFrame], board: pd.Series) -> pd.Series:
    equipment = tables.get("equipment")
    if equipment is None or "voltage_v" not in equipment:
        return pd.Series(np.nan, index=rows.index)
    by_board = equipment.drop_duplicates("equipment").set_index("equipment")["voltage_v"]
    return board.map(by_board).astype("float64")


def boards(tables: Mapping[str, pd.DataFrame], names: Sequence[str], settings: Planning) -> pd.DataFrame:
    """Minutes to isolate and restore each board, by name."""
    equipment = tables.get("equipment", pd.DataFrame({"equipment": pd.Series(dtype="str")}))
    known = equipment.drop_duplicates("equipment").set_index("equipment").reindex(list(names))
    made = pd.DataFrame(index=known.index)
    for name, default in (("setup_min", settings.setup_min), ("restore_min", settings.restore_min)):
        made[name] = known[name].fillna(default) if name in known else default
    made["outage_cost"] = known.get("outage_cost", np.nan)
    return made

"""Readings, work and entries of one joint A beside B and C, put together as people would type them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd

from riskscope.analysis.assess import assess
from riskscope.intake.options import ReadOptions
from riskscope.intake.read import read_frames
from riskscope.results.describe import described
from riskscope.words.render import Units

Event = tuple[str, dict[str, Any]]
DAY = dt.date(2026, 6, 1)
FINDING_DAY = "2026-05-04"
PERCENT = ReadOptions(load="percent")


def read(day: str, celsius: float, load: float = 80, **more: Any) -> Event:
    """A at this temperature beside B at 35 and C at 34 °C in 30 °C air."""
    return "survey", {"survey_date": day, "celsius": celsius, "load_pct": load, **more}


def tighten(day: str, applied: float | str | None = 25.0, **more: Any) -> Event:
    """A row of installs: 25 N·m required, with T1, which is in calibration from 10 January 2026 on."""
    row = {"connection_id": "A", "work_date": day, "required_torque": 25.0, "torque_unit": "N·m", "tool_id": "T1"}
    return "installs", {**row, **({} if applied is None else {"applied_torque": applied}), **more}


def visit(day: str, as_found: str, action: str, **more: Any) -> Event:
    return "findings", {"connection_id": "A", "work_date": day, "as_found": as_found, "action": action, **more}


def right(day: str, as_found: str, action: str, **more: Any) -> Event:
    """A finding that leaves the joint at the 25 N·m that an earlier record requires."""
    return visit(day, as_found, action, as_left_torque=25.0, torque_unit="N·m", tool_id="T1", **more)


def asks(day: str, required: str, **more: Any) -> Event:
    """A look at the joint that says what its label asks, in N·m, and leaves it."""
    said = {"required_torque": required, "required_source": "label", "torque_unit": "N·m"}
    return visit(day, "tight", "none", **{**said, **more})


def defer(decided: str, until: str, **more: Any) -> Event:
    row = {"connection_id": "A", "decided_on": decided, "deferred_by": "P. Lowe", "until": until}
    return "deferrals", {**row, "reason": "no spare part", **more}


def tell(day: str, **more: Any) -> Event:
    return "notices", {"connection_id": "A", "told_on": day, "told": "R. Fenwick", "by": "P. Lowe", **more}


def renamed(day: str, **more: Any) -> Event:
    how = {"renamed_by": "P. Lowe", "reason": "new labels", **more}
    return "renamings", {"connection_id": "A", "was_id": "OLD", "renamed_on": day, **how}


def register(**more: Any) -> Event:
    return "connections", {"connection_id": "A", "circuit": "F1", "phase": "A", **more}


def tool(**more: Any) -> Event:
    return "tools", more


def told_of(cases: Mapping[str, Sequence[Event]], on: dt.date = DAY) -> dict[str, tuple[str, str, str, str]]:
    """Work state, urgency, record now and words of joint A of each case, assessed at once, each on its own board."""
    rows = assessed(cases, on).set_index("connection_id")
    columns = rows[["work_state", "urgency", "record_now", "work"]].fillna("").astype(str)
    return {case: tuple(columns.loc[f"{n}/A"]) for n, case in enumerate(cases) if f"{n}/A" in columns.index}


def assessed(cases: Mapping[str, Sequence[Event]], on: dt.date = DAY) -> pd.DataFrame:
    """Every joint of the cases with its sentences; the nth case on board n, its ids and tools begin with n."""
    rows: dict[str, list[dict[str, Any]]] = {"tools": []}
    for number, events in enumerate(cases.values()):
        rows["tools"].append(_on_board(number, "tools", TOOL | tool_of(events)))
        for table, given in events:
            for row in _rows(table, given):
                rows.setdefault(table, []).append(_on_board(number, table, row))
    made = {name: pd.DataFrame(of_table) for name, of_table in rows.items()}
    return described(assess(read_frames(on=on, read_options=PERCENT, **made), on=on), Units())


def _rows(table: str, given: Mapping[str, Any]) -> list[dict[str, Any]]:
    """What is written down of an event: of a reading the siblings too."""
    if table == "tools":
        return []
    row = dict(given)
    if table != "survey":
        return [row]
    heats = (row.pop("celsius"), *row.pop("siblings", (35.0, 34.0)))
    names = (row.pop("known_as", "A"), "B", "C")
    common = {"circuit": "F1", "ambient_c": 30.0, "survey_id": f"S-{row['survey_date']}", **row}
    each = zip(names, "ABC", heats, strict=False)
    return [{"connection_id": n, "phase": p, "connection_c": c, **common} for n, p, c in each]


def _on_board(number: int, table: str, row: Mapping[str, Any]) -> dict[str, Any]:
    named = {name: f"{number}/{row[name]}" for name in ("connection_id", "was_id", "tool_id") if row.get(name)}
    name = row.get("equipment", "B")  # two cases on one board, or on none with one circuit, would be siblings
    place = {"equipment": f"{number} {name}"} if name else {"circuit": f"{number} {row['circuit']}"}
    return {**row, **named, **(place if table in ("survey", "connections") else {})}


TOOL = {"tool_id": "T1", "range_min": 5, "range_max": 50, "torque_unit": "N·m", "calibrated_on": "2026-01-10"}


def tool_of(events: Sequence[Event]) -> dict[str, Any]:
    """What is said of the tool, over what is usual."""
    said: dict[str, Any] = {}
    for table, row in events:
        said |= row if table == "tools" else {}
    return said

"""All sheets together: one frame a table, ids spelled one way, surveys named."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.intake.notes import Note
from riskscope.schema import TABLES

# Whose spelling of an id stands, first to last.
SPELLING_ORDER = ("connections", "survey", "installs", "findings", "equipment", "inspections", "tools",
                "surveys", "outages", "boxes", "thermograms")  # fmt: skip
ID_FAMILIES = {"isolated_by": "equipment"}


def spell_ids_one_way(frames: dict[str, pd.DataFrame]) -> list[Note]:
    """Ids that differ only in case are one id: the first spelling stands, every merge is listed."""
    notes: list[Note] = []
    places: dict[str, list[tuple[str, str]]] = {}
    for table in SPELLING_ORDER:
        if table in frames:
            for column in TABLES[table].columns:
                if column.kind == "id" and column.name in frames[table]:
                    family = ID_FAMILIES.get(column.name, column.name)
                    places.setdefault(family, []).append((table, column.name))
    for family, where in places.items():
        distinct = pd.unique(
            pd.concat([frames[t][c] for t, c in where]).dropna().astype("str").array
        )
        spelled = pd.Series(distinct, dtype="str")
        key = spelled.str.casefold()
        if key.is_unique:
            continue
        first = spelled.groupby(key, sort=False).transform("first")
        changed = (first != spelled).to_numpy()
        merge = dict(zip(spelled[changed], first[changed], strict=True))
        for table, name in where:
            values = frames[table][name]
            frames[table][name] = (
                values.map(merge).astype("str").where(values.isin(list(merge)), values)
            )
        for old, new in merge.items():
            notes.append(Note("merge", f"{family} {old!r} and {new!r} taken for one: {new!r}"))
    return notes


def name_surveys(frames: dict[str, pd.DataFrame], gap_days: int) -> list[Note]:
    """Fill `survey_id` where it is not given: one per file and site, split at long gaps."""
    survey = frames["survey"]
    if "survey_id" not in survey:
        survey["survey_id"] = pd.Series(np.nan, index=survey.index, dtype="str")
    open_ = survey["survey_id"].isna()
    if not open_.any():
        return []
    site = (
        survey["site"] if "site" in survey else pd.Series(np.nan, index=survey.index, dtype="str")
    )
    if "connections" in frames and "site" in frames["connections"]:
        register = frames["connections"].set_index("connection_id")["site"]
        site = site.where(site.notna(), survey["connection_id"].map(register))
    rows = pd.DataFrame({
        "file": survey["source_file"].str.cat(survey["source_sheet"], sep=" ").str.strip(),
        "site": site.astype("str").fillna(""), "date": survey["survey_date"],
    })[open_]  # fmt: skip
    rows = rows.sort_values(["file", "site", "date"], kind="stable")
    same = (rows["file"] == rows["file"].shift()) & (rows["site"] == rows["site"].shift())
    far = same & (rows["date"].diff().dt.days > gap_days) & (gap_days > 0)
    part = (far | ~same).cumsum()
    begins = rows.groupby(part)["date"].transform("min").dt.strftime("%Y-%m-%d")
    named = rows["file"].str.cat(rows["site"].where(rows["site"] == "", " / " + rows["site"]))
    split = far.groupby([rows["file"], rows["site"]]).transform("any")
    survey.loc[rows.index, "survey_id"] = named.where(~split, named + ", from " + begins)
    notes = []
    if far.any():
        files = rows.loc[far[far].index, "file"].unique()
        notes.append(Note("assumed", f"readings more than {gap_days} days apart taken for separate "
                          "surveys (setting survey_gap_days)", "survey", ", ".join(files)))  # fmt: skip
    return notes

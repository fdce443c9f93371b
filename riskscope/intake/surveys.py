"""Which survey a reading is of, where it does not say."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.intake.cells.parsed import everywhere
from riskscope.schema.names import apart
from riskscope.schema.notes import Note
from riskscope.schema.tables import refused

MOST_NAMED = 3


def name_surveys(frames: dict[str, pd.DataFrame], gap_days: int, rejected: pd.DataFrame | None = None) -> list[Note]:
    """Fill `survey_id` where it is not given: one per file and site, split at long gaps.

    Files that hold readings of one circuit, device or group of one day are parts of one survey: a joint is compared
    with its siblings in whatever file they are.

    Parameters
    ----------
    rejected : DataFrame, optional
        Rows that were rejected: one of the register still says where its connection is.
    """
    survey = frames["survey"]
    nowhere = everywhere(None, survey.index)
    rejected = refused() if rejected is None else rejected
    stated, site = survey.get("survey_id", nowhere), survey.get("site", nowhere)
    open_ = stated.isna().to_numpy()
    filled: list[Note] = []
    if open_.any() and not open_.all():
        stated, filled = _of_their_sheet(frames, stated, gap_days, rejected)
        open_ = stated.isna().to_numpy()
    if not open_.any():
        survey["survey_id"] = stated
        return filled
    if "connections" in frames and "site" in frames["connections"] and site.isna().any():
        register = frames["connections"].drop_duplicates("connection_id").set_index("connection_id")["site"]
        site = site.where(site.notna(), survey["connection_id"].map(register))
    named_by = [survey["source_file"], survey["source_sheet"], site]
    dates = survey["survey_date"]
    if not open_.all():
        named_by, dates = [column[open_] for column in named_by], dates[open_]
    file_code, sheet_code, site_code = (pd.factorize(column)[0] + 1 for column in named_by)
    in_file = file_code * (sheet_code.max() + 1) + sheet_code
    source = pd.factorize(in_file * (site_code.max() + 1) + site_code)[0]
    day = dates.to_numpy(dtype="datetime64[D]").astype(np.int64)
    order = np.lexsort((day, source))
    new = np.append(True, source[order][1:] != source[order][:-1])
    far = ~new & (np.append(0, np.diff(day[order])) > gap_days) & (gap_days > 0)
    part = np.cumsum(new | far) - 1
    split = np.bincount(source[order], weights=far) > 0
    names = []
    for position in order[np.flatnonzero(new | far)]:
        file, sheet, place = ("" if pd.isna(word) else word for word in (c.iloc[position] for c in named_by))
        name = " / ".join(word for word in (f"{file} {sheet}".strip(), place) if word)
        names.append(f"{name}, from {dates.iloc[position].date()}" if split[source[position]] else name)
    place_of = np.empty(len(day), dtype=np.int64)
    place_of[order] = part
    named = pd.Series(pd.array(names, dtype="str").take(place_of), index=dates.index)
    named, notes = _joined(named, frames, rejected)
    survey["survey_id"] = named if open_.all() else stated.where(~open_, named)
    notes = [*filled, *notes]
    if not far.any():
        return notes
    files = named_by[0].iloc[order[far]].unique()
    return [
        *notes,
        Note(
            "assumed",
            f"readings more than {gap_days} days apart taken for separate surveys (setting survey_gap_days)",
            "survey",
            ", ".join(files),
        ),
    ]


def _of_their_sheet(
    frames: dict[str, pd.DataFrame], stated: pd.Series, gap_days: int, rejected: pd.DataFrame
) -> tuple[pd.Series, list[Note]]:
    """The survey that some rows of a sheet say, of its other rows too: of that day, where those of its circuit say just
    one, or of the days about theirs; else where all of that day do, or of the sheet."""
    survey = frames["survey"]
    sheet = [survey["source_file"], survey["source_sheet"]]
    day = survey["survey_date"].where(stated.notna()).groupby(sheet)
    gap = pd.Timedelta(days=gap_days)
    near = survey["survey_date"].between(day.transform("min") - gap, day.transform("max") + gap)
    circuit = _sets(survey, _register(frames, rejected)).groupby(level=0).first().reindex(survey.index)
    made = stated.fillna(_just_one(stated, [*sheet, survey["survey_date"], circuit]))
    made = made.fillna(_just_one(stated, [*sheet, circuit]).where(near))
    made = made.fillna(_just_one(stated, [*sheet, survey["survey_date"]]))
    made = made.fillna(_just_one(stated, sheet).where(near))
    some = "survey_id in some rows only"
    filled = f"{some} (a merged cell fills only its first row): taken for all of those days"
    open_ = f"{some}: which survey the others are of is not known, so nothing is compared across them"
    told = {
        ("assumed", filled): made.notna() & stated.isna(),
        ("warning", open_): made.isna() & stated.groupby(sheet).transform("count").gt(0),
    }
    return made, [
        Note(kind, text, "survey", file)
        for (kind, text), which in told.items()
        for file in survey["source_file"][which].unique()
    ]


def _just_one(names: pd.Series, keys: list[pd.Series]) -> pd.Series:
    """Of each row the name that the rows of its keys say, where they say just one."""
    first, last = (names.groupby(keys).transform(which) for which in ("min", "max"))
    return first.where(first == last)


def _joined(named: pd.Series, frames: dict[str, pd.DataFrame], rejected: pd.DataFrame) -> tuple[pd.Series, list[Note]]:
    """The names of surveys, one for those that share a set of siblings on a day."""
    rows = frames["survey"].loc[named.index]
    days = rows.groupby(named, sort=False)["survey_date"].agg(["min", "max"]).sort_values("min")
    if len(days) < 2 or not (days["min"].iloc[1:].to_numpy() <= days["max"].cummax().iloc[:-1].to_numpy()).any():
        return named, []
    key = (
        _sets(rows, _register(frames, rejected))
        .to_frame("set")
        .join(pd.DataFrame({"day": rows["survey_date"], "name": named}))
    )
    names = key.drop_duplicates().groupby(["set", "day"], sort=False)["name"].agg(list)
    of = {name: {name} for name in days.index}
    for several in names[names.str.len() > 1]:
        one_survey = set().union(*(of[name] for name in several))
        of |= dict.fromkeys(one_survey, one_survey)
    new = {name: _of_several(sorted(of[name])) for name in of if len(of[name]) > 1}
    if not new:
        return named, []
    text = "readings of one circuit and day are in several files, taken for one survey"
    notes = [Note("assumed", text, "survey", name) for name in dict.fromkeys(new.values())]
    return named.map(new).where(named.isin(list(new)), named).astype("str"), notes


def _register(frames: dict[str, pd.DataFrame], rejected: pd.DataFrame) -> pd.DataFrame:
    """What the register says of each connection, and its rows that were rejected."""
    out = rejected[(rejected["table"] == "connections") & (rejected["kind"] == "rejected")]
    return pd.concat([frames["connections"], out]) if "connections" in frames else out


def _of_several(names: list[str]) -> str:
    if len(names) <= MOST_NAMED:
        return " and ".join(names)
    return f"{', '.join(names[:MOST_NAMED])} and {len(names) - MOST_NAMED} more"


def _sets(rows: pd.DataFrame, register: pd.DataFrame) -> pd.Series:
    """Of which circuit, or else device, and of which group each reading is, as it says or the register does.

    A row for each that is known, labelled as the reading. What tells joints of one circuit apart keeps no files apart.
    """
    known = register.drop_duplicates("connection_id").set_index("connection_id")
    places = {}
    for name in ("site", "equipment", "circuit", "device", "group"):
        own = rows.get(name, everywhere(None, rows.index)).astype("str")
        its = rows["connection_id"].map(known[name]) if name in known else everywhere(None, rows.index)
        text = own.where(own.notna(), its.astype("str"))
        places[name] = text if name == "site" else apart(text).where(text.notna())
    where = places["site"].fillna("").str.cat(places["equipment"].fillna(""), sep="\x1f")
    within = places["circuit"].fillna("\x1f" + places["device"])
    keys = [where.str.cat(within, sep="\x1f"), where.str.cat(places["group"], sep="\x1f\x1f\x1f")]
    return pd.concat([key[key.notna()] for key in keys])

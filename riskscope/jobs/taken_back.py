"""taken back: what no longer counts when an import is undone or replaced, said before it is done."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping, Sequence

import pandas as pd

from riskscope.analysis.assessment import Assessment
from riskscope.analysis.proof.register import former_names
from riskscope.errors import UnusableInput
from riskscope.intake.combine import AnySheet
from riskscope.intake.options import ReadOptions
from riskscope.jobs.assessed import of_store
from riskscope.jobs.request import Request, assess_tables, terms
from riskscope.jobs.unanswered import places, unanswered
from riskscope.schema import TABLES
from riskscope.store import reading as held
from riskscope.store.database import Store
from riskscope.store.stamp import Actor
from riskscope.words.render import Units, many

SEEN = {"survey": ("survey_date", "reading"), "findings": ("work_date", "finding"),
        "installs": ("work_date", "torque record"), "deferrals": ("decided_on", "deferral"),
        "notices": ("told_on", "notice"), "renamings": ("renamed_on", "renaming")}  # fmt: skip
MORE = ("survey_time", "work_time", "site")  # that tell two rows of one connection and day apart
MOST_NAMED, MOST_URGENT = 5, 50
UNPROVED = ("awaiting proof", "proved in part", "repair in doubt", "not cured", "cool, record in doubt")


def taken_back(
    store: Store, actor: Actor, going: Collection[int], coming: Sequence[Sequence[AnySheet]] = (), *, on: dt.date
) -> str:
    """Sentences of what must not wait now and no longer would, or the contrary, and of the rows that go with imports.

    Empty where every row is elsewhere too, and what must not wait is the same.

    Parameters
    ----------
    going : collection of int
        The imports to be undone or replaced.
    coming : sequence of sequence of CheckedSheet
        The sheets of each file that replaces them.
    """
    actor.needs("viewer")
    if not coming:
        going = sorted({other for number in going for other in held.together(store, number)})
    sheets = [sheet for file in coming for sheet in file]
    parts, lost = [], []
    for table, (date, noun) in SEEN.items():
        columns = [name for name in ("connection_id", date, *MORE) if name in TABLES[table].by_name]
        mine, theirs = held.going_and_staying(store, going, table, columns)
        there = [_as_stored(sheet.accepted, columns, date) for sheet in sheets if sheet.table.name == table]
        only = _not_among(mine, pd.concat([theirs, *there], ignore_index=True))
        if len(only):
            parts.append(many(len(only), noun))
            lost.append(only["connection_id"])
    urgent = changed(store, actor, going, coming, on=on)
    words = [urgent] if urgent else []
    if parts:
        one_row = len(parts) == 1 and parts[0].startswith("1 ")
        words.append(
            f"{', '.join(parts)} that only import{'' if len(going) == 1 else 's'} {listed_numbers(going)} "
            f"{'has' if len(going) == 1 else 'have'} no longer "
            f"count{'s' if one_row else ''}: of {_named(pd.concat(lost).drop_duplicates(), MOST_NAMED)}."
        )
    if any("renaming" in part for part in parts):
        words.append("What was entered since under the new name stays of the new name: correct it by hand.")
    return " ".join(words)


def listed_numbers(numbers: Collection[int]) -> str:
    """Numbers of imports in words: 19, 20 and 22."""
    *most, last = map(str, sorted(numbers))
    return f"{', '.join(most)} and {last}" if most else last


def changed(
    store: Store,
    actor: Actor,
    going: Collection[int] = (),
    coming: Sequence[Sequence[AnySheet]] = (),
    mended: Mapping[int, Sequence[AnySheet]] | None = None,
    *,
    on: dt.date,
) -> str:
    """Sentences of what must be known first and would be another if sheets took the place of imports; else empty.

    Parameters
    ----------
    mended : mapping of int to sequence of CheckedSheet, optional
        By import its sheets with cells corrected, which stay where they stand.
    """
    actor.needs("viewer")
    request = _request(store, on)
    try:
        before = of_store(request, lambda text: None)
    except UnusableInput:  # there is no survey
        return ""
    return _told(before, _with(store, request, going, coming, mended), "now", "this")


def changed_by_cells(
    store: Store,
    actor: Actor,
    came: Sequence[Sequence[AnySheet]],
    mended: Sequence[Sequence[AnySheet]],
    going: Collection[int] = (),
    *,
    on: dt.date,
) -> str:
    """Sentences as of `changed`, of files that are to come in as they came and as their cells were mended.

    Parameters
    ----------
    came, mended : sequence of sequence of CheckedSheet
        The sheets of each of the same files.
    going : collection of int
        The imports that they are to replace.
    """
    actor.needs("viewer")
    request = _request(store, on)
    before = _with(store, request, going, came)
    if before is None:
        return ""
    return _told(before, _with(store, request, going, mended), "with the files as they came", "the cells mended here")


def _request(store: Store, on: dt.date) -> Request:
    return Request(None, {}, ReadOptions(), {}, None, on, Units(), store.address)


def _with(
    store: Store,
    request: Request,
    going: Collection[int],
    coming: Sequence[Sequence[AnySheet]],
    mended: Mapping[int, Sequence[AnySheet]] | None = None,
) -> Assessment | None:
    """What would be if sheets took the place of imports; None where there would be no survey."""
    made = terms(request)
    tables = held.tables(store, made.settings.survey_gap_days, without=going, beside=coming, mended=mended)
    return assess_tables(tables, request, made, lambda text: None) if "survey" in tables else None


def _told(before: Assessment, after: Assessment | None, when: str, this: str) -> str:
    others = _others(before, after, when, this).items()
    return " ".join(f"{text}: {_named(ids, MOST_URGENT)}. Make sure." for text, ids in others if len(ids))


def _as_stored(rows: pd.DataFrame, columns: Sequence[str], date: str) -> pd.DataFrame:
    """Checked rows as `riskscope.store.reading.going_and_staying` has them."""
    return rows.reindex(columns=list(columns)).assign(**{date: rows[date].dt.strftime("%Y-%m-%d")})


def _not_among(mine: pd.DataFrame, theirs: pd.DataFrame) -> pd.DataFrame:
    """Rows that are not among the others."""
    own, other = (rows.astype("object").where(rows.notna(), "").astype("str") for rows in (mine, theirs))
    return mine[~pd.MultiIndex.from_frame(own).isin(pd.MultiIndex.from_frame(other))]


def _named(ids: pd.Series, most: int) -> str:
    more = f" and {len(ids) - most:,} more" if len(ids) > most else ""
    return ", ".join(ids.head(most)) + more


def _others(before: Assessment, after: Assessment | None, when: str, this: str) -> dict[str, pd.Series]:
    """The connections of which what must be known first would be another, by what it is."""
    old = before.connections
    new = old.iloc[:0] if after is None else after.connections
    renamed = {name: was for was, name in former_names(before.tables, old["connection_id"]).items()}
    now, then = (rows[rows["urgency"] == "now"] for rows in (old, new))
    safe, safe_then = (rows[rows["made_safe"].notna() & rows["work_state"].notna()] for rows in (old, new))
    asked = dict(zip(places(then), then["action"], strict=True))
    asked |= {(name, ""): action for (name, _), action in asked.items() if (name, "") not in asked}
    other = [
        asked.get(place, asked.get((place[0], ""), action) if not place[1] else action) != action
        for place, action in zip(places(now), now["action"], strict=True)
    ]
    return {
        f"What must not wait {when}, and by {this} no longer would": _without(now, then, renamed),
        f"What by {this} would be new among what must not wait": _without(then, now, {}, renamed),
        f"Of what must not wait, by {this} something else would be asked": now.loc[
            other, "connection_id"
        ].sort_values(),
        f"What is made safe on record, and by {this} no longer would be": _without(safe, safe_then, renamed),
        f"What by {this} would be said to be made safe": _without(safe_then, safe, {}, renamed),
        f"What awaits proof or is in doubt, and by {this} would be proved": old.loc[
            old["work_state"].isin(UNPROVED) & old["connection_id"].isin(_proved(new)), "connection_id"
        ].sort_values(),
        f"What was refused and may be the hottest, and by {this} would go with no reading in its place": unanswered(
            before, after, renamed
        ),
    }


def _proved(rows: pd.DataFrame) -> pd.Series:
    return rows.loc[rows["work_state"] == "proved", "connection_id"]


def _without(
    rows: pd.DataFrame,
    others: pd.DataFrame,
    renamed: Mapping[str, str],
    others_renamed: Mapping[str, str] | None = None,
) -> pd.Series:
    """The connections that are not among the others, under their name or the one they had before a renaming."""
    there = {*places(others), *_former(others, others_renamed or {})}
    names = {name for name, _ in there}

    def is_there(place: tuple[str, str]) -> bool:  # a site that was not said may be any
        name, site = place
        return place in there or (name, "") in there or (not site and name in names)

    own = zip(places(rows), _former(rows, renamed), strict=True)
    gone = [not is_there(place) and (not was[0] or not is_there(was)) for place, was in own]
    return rows.loc[gone, "connection_id"].sort_values()


def _former(rows: pd.DataFrame, renamed: Mapping[str, str]) -> list[tuple[str, str]]:
    """Name and site before a renaming that is taken back; where there was none the name is empty."""
    return places(rows.assign(connection_id=rows["connection_id"].map(renamed).astype("str")))

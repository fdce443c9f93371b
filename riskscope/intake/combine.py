"""All sheets together: one frame a table, ids spelled one way, surveys named."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Protocol

import pandas as pd

from riskscope.intake.cells.parsed import everywhere, has_doubles
from riskscope.intake.known_names import look_twice
from riskscope.intake.renamed import keep_history
from riskscope.intake.sites import tell_apart, with_bad_news
from riskscope.intake.surveys import name_surveys
from riskscope.intake.typed_names import FILE, bare_references, sites_named, take_off
from riskscope.schema import TABLES, Table
from riskscope.schema.notes import Note
from riskscope.schema.tables import InputFile, Tables, refused

SHEET = "sheet: "  # which of the sheets a row is of, while they are put together


class AnySheet(Protocol):
    """One sheet that was checked, just now or when it came into a store."""

    @property
    def table(self) -> Table: ...
    @property
    def file(self) -> str: ...
    @property
    def sheet(self) -> str: ...
    @property
    def accepted(self) -> pd.DataFrame: ...
    @property
    def rejected(self) -> pd.DataFrame: ...
    @property
    def notes(self) -> list[Note]: ...
    @property
    def counts(self) -> dict[str, int]: ...
    def original(self, line: int) -> list[str]:
        """The cells of a line as they stand in the file."""
        ...


def combine(checked: Sequence[AnySheet], notes: list[Note], files: list[InputFile], gap_days: int) -> Tables:
    """All sheets together: one frame a table, ids spelled one way, surveys named."""
    parts: dict[str, list[pd.DataFrame]] = {}
    counts: dict[str, dict[str, int]] = {}
    for number, (sheet, file) in enumerate(zip(checked, _files_apart(checked), strict=True)):
        rows = sheet.accepted.copy(deep=False)
        rows[SHEET], rows[FILE] = number, everywhere(file, rows.index)
        parts.setdefault(sheet.table.name, []).append(rows)
        counted = sheet.counts
        total = counts.setdefault(sheet.table.name, dict.fromkeys(counted, 0))
        for key, value in counted.items():
            total[key] += value
        notes = [*notes, *sheet.notes]
    frames = {
        name: pd.concat(parts[name], ignore_index=True) if len(parts[name]) > 1 else parts[name][0]
        for name in TABLES
        if name in parts
    }
    notes += take_off(frames)
    notes += spell_ids_one_way(frames)
    notes += tell_apart(frames)
    bare_references(frames)
    notes += keep_history(frames, gap_days)
    notes += look_twice(frames)
    notes += boards_of_one_id(frames)
    taken_out = reject_doubles(frames)
    all_refused = [sheet.rejected for sheet in checked]
    if len(taken_out):
        all_refused.append(_taken_out(checked, taken_out, counts))
    listed = [part for part in all_refused if len(part)]
    rejected = pd.concat(listed, ignore_index=True) if listed else refused()
    if "survey" in frames:
        notes += name_surveys(frames, gap_days, rejected)
    frames = {name: frame.drop(columns=[SHEET, FILE]) for name, frame in frames.items()}
    return Tables(frames, rejected, notes, counts, files)


def with_renamings(frames: dict[str, pd.DataFrame]) -> tuple[dict[str, pd.DataFrame], list[Note]]:
    """Tables that were put together before, with renamings that are new in them: as `combine` would make them."""
    made = {name: frame.assign(**{SHEET: 0}) for name, frame in frames.items()}
    notes = keep_history(made, 0)
    reject_doubles(made)
    return {name: frame.drop(columns=SHEET) for name, frame in made.items()}, notes


def _files_apart(checked: Sequence[AnySheet]) -> list[str]:
    """The file of each sheet; files of one name are told apart by a number."""
    names = []
    seen: dict[tuple[str, str], int] = {}
    for sheet in checked:
        seen[sheet.file, sheet.sheet] = nth = seen.get((sheet.file, sheet.sheet), 0) + 1
        names.append(sheet.file if nth == 1 else f"{sheet.file}, {nth}")
    return names


def _taken_out(checked: Sequence[AnySheet], gone: pd.DataFrame, counts: dict[str, dict[str, int]]) -> pd.DataFrame:
    """Rows that cannot stand beside the others, as rejected rows with their original cells."""
    rows = []
    for double in gone.to_dict("records"):
        sheet = checked[double[SHEET]]
        cells = json.dumps(sheet.original(double["source_line"]), ensure_ascii=False)
        place = {"table": double["table"], "file": sheet.file, "sheet": sheet.sheet, "line": double["source_line"]}
        rows.append({"kind": "rejected", **place, "reason": double["reason"], "cells": cells})
        counts[double["table"]]["accepted"] -= 1
        counts[double["table"]]["rejected"] += 1
    return refused(pd.DataFrame(rows))


def spell_ids_one_way(frames: dict[str, pd.DataFrame]) -> list[Note]:
    """Ids that differ only in case are one id, spelled as their register does, else as first met; each is listed.

    Where there are several sites it is one spelling: they are told apart by their sites afterwards.
    """
    notes: list[Note] = []
    text = "{} {!r} and {!r} taken for one: {!r}" if len(sites_named(frames)) < 2 else "{} {!r} and {!r} spelled {!r}"
    places: dict[str, list[tuple[str, str]]] = {}
    for declared in sorted(TABLES.values(), key=lambda table: not table.is_register):
        for column in declared.columns if declared.name in frames else ():
            if column.kind == "id" and column.name in frames[declared.name]:
                places.setdefault(column.names or column.name, []).append((declared.name, column.name))
    for family, where in places.items():
        names = pd.concat([frames[t][c].astype("str") for t, c in where]).dropna().drop_duplicates().to_list()
        if len({name.casefold() for name in names}) == len(names):
            continue
        spelled = pd.Series(names, dtype="str")
        key = spelled.str.casefold()
        first = spelled.groupby(key, sort=False).transform("first")
        changed = (first != spelled).to_numpy()
        merge = dict(zip(spelled[changed], first[changed], strict=True))
        for table, name in where:
            values = frames[table][name]
            frames[table][name] = values.map(merge).astype("str").where(values.isin(list(merge)), values)
        for old, new in merge.items():
            notes.append(Note("merge", text.format(family, old, new, new)))
    return notes


def reject_doubles(frames: dict[str, pd.DataFrame]) -> pd.DataFrame:
    """Rows whose key an earlier row has already are taken out: two truths about one thing are none.

    Returns
    -------
    DataFrame
        ``table source_line reason`` and the number of the sheet, of the rows taken out.
    """
    refused = []
    for table, frame in list(frames.items()):
        if not TABLES[table].unique:
            continue
        keys = [key for key in TABLES[table].key if key in frame]
        again = frame.duplicated(keys, keep="first").to_numpy()
        if again.any():
            frame = with_bad_news(frame, [frame[key] for key in keys])
            place = frame["source_file"] + ", line " + frame["source_line"].astype("str")
            first = place.groupby([frame[key] for key in keys], dropna=False, sort=False).transform("first")
            reason = "the same " + " and ".join(keys) + " is already in " + first
            refused.append(frame[again][[SHEET, "source_line"]].assign(table=table, reason=reason[again]))
            frames[table] = frame[~again].reset_index(drop=True)
    return pd.concat(refused, ignore_index=True) if refused else pd.DataFrame({"table": []})


def boards_of_one_id(frames: dict[str, pd.DataFrame]) -> list[Note]:
    """Ids that the survey puts on several boards: perhaps they are several connections."""
    survey = frames.get("survey")
    if survey is None or "equipment" not in survey:
        return []
    if not has_doubles(survey["connection_id"]):
        return []
    pairs = survey[["connection_id", "equipment"]].dropna().drop_duplicates()
    several = pairs[pairs["connection_id"].duplicated(keep=False)]
    if several.empty:
        return []
    shown = several.groupby("connection_id", sort=True)["equipment"].agg(" and ".join).head(3)
    words = "; ".join(f"{name} on {boards}" for name, boards in shown.items())
    count = several["connection_id"].nunique()
    stand = "1 id stands on several boards and is taken for one connection"
    if count > 1:
        stand = f"{count} ids stand on several boards and are taken for one connection each"
    return [Note("warning", f"{stand}: {words}", "survey")]

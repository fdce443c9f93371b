"""The overview `riskscope rank` prints: urgent first, then what was read, the worst, the counts."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

import pandas as pd

from riskscope.cli.say import cautions, wrapped
from riskscope.jobs.rank import Assessment
from riskscope.results.lists import rejected_first
from riskscope.results.tables import left_out, results
from riskscope.results.work import why_and_where
from riskscope.results.years import out_of_use, said_first, told_words
from riskscope.words import codes
from riskscope.words.render import Units, amount

WORST = 10
REFUSED, MOST_CELLS = 8, 6
HOTTEST = 5
LONGEST_NAME = 40
URGENT = 20


def overview(assessment: Assessment, units: Units, out: Path, written: Sequence[Path]) -> str:
    """The whole overview as text."""
    criteria = assessment.criteria
    lines = [
        f"Assessed as of {amount(assessment.on, 'day', units)} by {criteria.title} ({criteria.edition})",
        *_run_out(assessment, units),
        *_urgent(assessment, units),
        *_gone(assessment, units),
        *_read(assessment, units),
        *_refused(assessment, units),
        *_worst(assessment, units),
        *_hottest_unrated(assessment, units),
        *_counts(assessment, units),
        "",
        f"Written to {out}: {', '.join(path.name for path in written)}",
        "",
        *cautions(),
    ]
    return "\n".join(lines)


def _title(text: str) -> list[str]:
    return ["", text.upper()]


def _run_out(assessment: Assessment, units: Units) -> list[str]:
    """What has run out, before all."""
    return [line for words in said_first(assessment, units) for line in ["", *wrapped(words, "")]]


def _urgent(assessment: Assessment, units: Units) -> list[str]:
    ids = results(assessment, units).summary["now"]
    open_ = _still_open(assessment)
    if not ids:
        return [*_title("Now: no joint that could be rated calls for action today"), *open_]
    rows = _rows(assessment, units, ids[:URGENT]).set_index("connection_id").loc[ids[:URGENT]]
    lines = _title(f"Now: {len(ids)} that must not wait")
    lines += wrapped(codes.URGENCY["now"], "")
    lines += wrapped(told_words(assessment.connections.query("urgency == 'now'")), "")
    lines += open_
    for (connection, row), why in zip(rows.iterrows(), why_and_where(rows), strict=True):
        name = _short(str(connection))
        lines += ["", f"  {name}{_where(row)}: {row['action'].upper()}, {_bands(row)}"]
        lines += wrapped(why, "      ")
    if len(ids) > URGENT:
        lines += ["", f"  and {len(ids) - URGENT} more: all of them stand first in riskscope due"]
    return lines


def _gone(assessment: Assessment, units: Units) -> list[str]:
    """What is out of use by the register: it is in no other list."""
    gone = out_of_use(assessment, units)
    if not gone:
        return []
    lines = _title(f"Out of use by the register: {len(gone)}, in retired.csv and in no other list")
    for words in gone[:URGENT]:
        lines += wrapped(words, "  ")
    return lines + ([f"  and {len(gone) - URGENT} more"] if len(gone) > URGENT else [])


def _still_open(assessment: Assessment) -> list[str]:
    said = left_out(assessment)
    return wrapped(f"{said} See below.", "") if said else []


def _short(name: str) -> str:
    return name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 1]}…"


def _rows(assessment: Assessment, units: Units, ids: list[str]) -> pd.DataFrame:
    """Some connections with their sentence columns, surveyed or not."""
    columns = ["connection_id", "equipment", "urgency", "severity", "severity_as_found", "action", "reason", "work"]
    tables = [results(assessment, units)[name] for name in ("ranking", "not_surveyed", "retighten_first")]
    named = [table[table["connection_id"].isin(ids)].reindex(columns=columns) for table in tables]
    return pd.concat(named).drop_duplicates("connection_id")


def _where(row: pd.Series) -> str:
    return "" if pd.isna(row["equipment"]) else f" ({row['equipment']})"


def _bands(row: pd.Series) -> str:
    as_found = "not rated" if pd.isna(row["severity_as_found"]) else f"{row['severity_as_found']:.0f}"
    full = "not rated" if pd.isna(row["severity"]) else f"{row['severity']:.0f}"
    return f"severity as found {as_found}, at full load {full}"


def _read(assessment: Assessment, units: Units) -> list[str]:
    lines = _title("Read")
    for table, counts in assessment.tables.counts.items():
        rejected = f"{counts['rejected']:,} REJECTED" if counts["rejected"] else "none rejected"
        lines.append(
            f"  {table:<12} {counts['read']:>9,} rows: {counts['accepted']:,} accepted, {rejected}, "
            f"{counts['set_aside']:,} set aside"
        )
    for note in assessment.tables.notes:
        if note.kind == "not read":
            lines += wrapped(str(note), "  ")
    said = [note for note in assessment.tables.notes if note.kind in {"warning", "assumed", "merge"}]
    said.sort(key=lambda note: note.kind != "warning")
    if said:
        lines.append(f"  {len(said)} assumption(s) and warning(s):")
        for note in said[:6]:
            lines += wrapped(f"- {note}", "    ")
        if len(said) > 6:
            lines.append(f"    and {len(said) - 6} more: notes in summary.json")
    return lines


def _refused(assessment: Assessment, units: Units) -> list[str]:
    refused = results(assessment, units)["rejected"]
    refused = refused[refused["kind"] == "rejected"]
    if refused.empty:
        return []
    lines = _title(f"Rejected rows: {len(refused):,}, with their cells in rejected.csv")
    for _, row in rejected_first(refused).head(REFUSED).iterrows():
        sheet = "" if pd.isna(row["sheet"]) else f", sheet {row['sheet']}"
        every = json.loads(row["cells"])
        cells = ", ".join([*map(_short, every[:MOST_CELLS]), *(["…"] if len(every) > MOST_CELLS else [])])
        lines += wrapped(f"{row['file']}{sheet}, line {row['line']}: {row['reason']}. Cells: {cells}", "  ")
    if len(refused) > REFUSED:
        lines.append(f"  and {len(refused) - REFUSED:,} more")
    return lines


def _worst(assessment: Assessment, units: Units) -> list[str]:
    rows = results(assessment, units)["ranking"]
    rows = rows[rows["rank"].notna() & (rows["severity"] > 0)].head(WORST)
    if rows.empty:
        return _title("No connection is rated above 0")
    count = f"{len(rows)} worst" if len(rows) > 1 else "worst"
    lines = _title(f"The {count} of {len(results(assessment, units)['ranking']):,} read")
    wide = max(10, *(len(_short(name)) for name in rows["connection_id"]))
    lines.append(
        f"  {'#':>3}  {'connection':<{wide}}  as found  at full load  rated rise (low to high)    record         action"
    )
    for _, row in rows.iterrows():
        as_found = "–" if pd.isna(row["severity_as_found"]) else row["severity_as_found"]
        low, high = (amount(row[name], "full rise", units)[:-2] for name in ("rise_low_k", "rise_high_k"))
        rise = amount(row["rise_rated_k"], "full rise", units) + (f" ({low} to {high})" if low != high else "")
        lines.append(
            f"  {row['rank']:>3}  {_short(row['connection_id']):<{wide}}  {as_found!s:^8}  {row['severity']!s:^12}  "
            f"{rise:<26}  {row['record_now']:<13}  {row['action']}"
        )
        lines += wrapped(str(row["reason"]), "       ")
    return lines


def _hottest_unrated(assessment: Assessment, units: Units) -> list[str]:
    """The hottest of the connections that were read and could not be rated."""
    as_found = assessment.connections
    rows = as_found[
        as_found["surveyed"].astype(bool) & as_found["severity"].isna() & as_found["severity_before_work"].isna()
    ]
    if rows.empty:
        return []
    rows = rows.sort_values(["connection_c", "connection_id"], ascending=[False, True], kind="stable").head(HOTTEST)
    lines = _title("Hottest of those read and not rated")
    for _, row in rows.iterrows():
        lines.append(
            f"  {_short(row['connection_id'])}: {amount(row['connection_c'], 'temperature', units)}, "
            f"{row['quality_flags']}; {row['action']} ({row['urgency']})"
        )
    return lines


def _counts(assessment: Assessment, units: Units) -> list[str]:
    summary = results(assessment, units).summary
    bands = summary["bands"]
    lines = _title("Counts")
    changed = {name: place for name, place in assessment.origin.items() if place != "default"}
    if changed:
        lines += wrapped(
            "Settings not at their default: " + ", ".join(f"{name} (from {place})" for name, place in changed.items()),
            "  ",
        )
    lines.append(
        "  Severity at full load:  " + "   ".join(f"{value}: {bands[str(value)]}" for value in (4, 3, 2, 1, 0))
    )
    lines.append(f"  Not rated (that is not 0): {bands['not rated']}, listed after the ranked rows in ranking.csv")
    lines.append(f"  Never read: {summary['not_surveyed']}, in not_surveyed.csv")
    lines.append(
        "  Actions:  " + ", ".join(f"{action} {count}" for action, count in summary["actions"].items() if count)
    )
    lines.append("  Records:  " + ", ".join(f"{state} {count}" for state, count in summary["records"].items() if count))
    return lines

"""The overview `riskscope rank` prints: urgent first, then what was read, the worst, the counts."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from pathlib import Path

import pandas as pd

from riskscope.jobs.rank import Ranked
from riskscope.words import codes
from riskscope.words.chain import one
from riskscope.words.render import Reader

WIDTH = 100
WORST = 10
REFUSED = 8
URGENT = 20


def overview(ranked: Ranked, out: Path, written: Sequence[Path], reader: Reader) -> str:
    """The whole overview as text."""
    criteria = ranked.criteria
    lines = [
        f"Assessed as of {one(ranked.on, 'day', reader)} by {criteria.title} ({criteria.edition})",
        *_urgent(ranked, reader),
        *_read(ranked),
        *_refused(ranked),
        *_worst(ranked, reader),
        *_counts(ranked),
        "",
        f"Written to {out}: {', '.join(path.name for path in written)}",
        "",
        *_wrap(f"Caution: {codes.CAUTION}", ""),
    ]
    return "\n".join(lines)


def _wrap(text: str, indent: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent)


def _title(text: str) -> list[str]:
    return ["", text.upper()]


def _urgent(ranked: Ranked, reader: Reader) -> list[str]:
    ids = ranked.results.summary["now"]
    if not ids:
        return _title("Now: nothing that cannot wait")
    rows = _rows(ranked).set_index("connection_id").loc[ids[:URGENT]]
    lines = _title(f"Now: {len(ids)} that must not wait")
    lines += _wrap(codes.URGENCY["now"], "")
    for connection, row in rows.iterrows():
        lines += ["", f"  {connection}{_where(row)}: {row['action'].upper()}, {_bands(row)}"]
        lines += _wrap(str(row["reason"]), "      ")
    if len(ids) > URGENT:
        lines += ["", f"  and {len(ids) - URGENT} more: urgency now in ranking.csv"]
    return lines


def _rows(ranked: Ranked) -> pd.DataFrame:
    """Every connection with its sentence columns, surveyed or not."""
    tables = ranked.results
    columns = [
        "connection_id",
        "equipment",
        "urgency",
        "severity",
        "severity_as_found",
        "action",
        "reason",
    ]
    both = [tables["ranking"][columns], tables["not_surveyed"].reindex(columns=columns),
            tables["retighten_first"][columns]]  # fmt: skip
    return pd.concat(both).drop_duplicates("connection_id")


def _where(row: pd.Series) -> str:
    return "" if pd.isna(row["equipment"]) else f" ({row['equipment']})"


def _bands(row: pd.Series) -> str:
    found = "not rated" if pd.isna(row["severity_as_found"]) else f"{row['severity_as_found']:.0f}"
    full = "not rated" if pd.isna(row["severity"]) else f"{row['severity']:.0f}"
    return f"severity as found {found}, at full load {full}"


def _read(ranked: Ranked) -> list[str]:
    lines = _title("Read")
    for table, counts in ranked.intake.counts.items():
        rejected = f"{counts['rejected']:,} REJECTED" if counts["rejected"] else "none rejected"
        lines.append(
            f"  {table:<12} {counts['read']:>9,} rows: {counts['accepted']:,} accepted, {rejected}, "
            f"{counts['set_aside']:,} set aside"
        )
    said = [
        note
        for note in ranked.intake.notes
        if note.kind in {"assumed", "warning", "merge", "not read"}
    ]
    if said:
        lines.append(f"  {len(said)} assumption(s) and warning(s):")
        for note in said[:6]:
            lines += _wrap(f"- {note}", "    ")
        if len(said) > 6:
            lines.append(f"    and {len(said) - 6} more: notes in summary.json")
    return lines


def _refused(ranked: Ranked) -> list[str]:
    refused = ranked.results["rejected"]
    refused = refused[refused["kind"] == "rejected"]
    if refused.empty:
        return []
    lines = _title(f"Rejected rows: {len(refused):,}, with their cells in rejected.csv")
    for _, row in refused.head(REFUSED).iterrows():
        sheet = "" if pd.isna(row["sheet"]) else f", sheet {row['sheet']}"
        lines += _wrap(f"{row['file']}{sheet}, line {row['line']}: {row['reason']}", "  ")
    if len(refused) > REFUSED:
        lines.append(f"  and {len(refused) - REFUSED:,} more")
    return lines


def _worst(ranked: Ranked, reader: Reader) -> list[str]:
    rows = ranked.results["ranking"]
    rows = rows[rows["rank"].notna() & (rows["severity"] > 0)].head(WORST)
    if rows.empty:
        return _title("No connection is rated above 0")
    lines = _title(f"The {len(rows)} worst of {len(ranked.results['ranking']):,} read")
    wide = max(10, *(len(str(name)) for name in rows["connection_id"]))
    lines.append(
        f"  {'#':>3}  {'connection':<{wide}}  as found  at full load  rated rise (low to high)    record         action"
    )
    for _, row in rows.iterrows():
        found = "–" if pd.isna(row["severity_as_found"]) else row["severity_as_found"]
        rise = (
            f"{one(row['rise_rated_k'], 'rise', reader)} ({one(row['rise_low_k'], 'rise', reader)[:-2]} to "
            f"{one(row['rise_high_k'], 'rise', reader)[:-2]})"
        )  # fmt: skip
        lines.append(
            f"  {row['rank']:>3}  {row['connection_id']:<{wide}}  {found!s:^8}  {row['severity']!s:^12}  "
            f"{rise:<26}  {row['install_state']:<13}  {row['action']}"
        )
        lines += _wrap(str(row["reason"]), "       ")
    return lines


def _counts(ranked: Ranked) -> list[str]:
    summary = ranked.results.summary
    bands = summary["bands"]
    lines = _title("Counts")
    lines.append(
        "  Severity at full load:  "
        + "   ".join(f"{value}: {bands[str(value)]}" for value in (4, 3, 2, 1, 0))
    )
    lines.append(
        f"  Not rated (that is not 0): {bands['not rated']}, listed after the ranked rows in ranking.csv"
    )
    lines.append(f"  Never read: {summary['not_surveyed']}, in not_surveyed.csv")
    lines.append(
        "  Actions:  "
        + ", ".join(f"{action} {count}" for action, count in summary["actions"].items() if count)
    )
    lines.append(
        "  Records:  "
        + ", ".join(f"{state} {count}" for state, count in summary["records"].items() if count)
    )
    return lines

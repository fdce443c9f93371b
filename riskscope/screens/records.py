"""Records: gaps and doubts, tools in doubt, imports with undo, corrections, method, settings."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from riskscope.errors import RiskscopeError
from riskscope.jobs import keep, settings, sites
from riskscope.jobs.bring_in import Edit, limits_of, mend
from riskscope.jobs.learn import explained, learn
from riskscope.report.blocks import Show
from riskscope.report.documents.parts import METHOD, WHERE
from riskscope.results.years import gaps, recall
from riskscope.schema.codes import STATES
from riskscope.screens.parts import frame, lists
from riskscope.screens.parts.frame import Here
from riskscope.words import codes

MOST_TO_SETTLE = 200
VIEWS = {
    "gaps": "Torque records that are not verified",
    "coverage": "Coverage by board",
    "recall": "Tools in doubt",
    "imports": "Imports, and undo",
    "rejected": "Rejected rows to settle",
    "learn": "What findings teach",
    "method": "Method and sources",
    "settings": "Settings in force",
}


def show_gaps(at: Here) -> None:
    rows = gaps(frame.assessment(at, frame.needed(at)))
    lists.facts([(state, codes.STATES[state]) for state in STATES if state in set(rows["record_now"])])
    shown = lists.narrowed(rows, [*lists.WHERE, lists.RECORD])
    columns = [
        *WHERE,
        Show("record_now", "record"),
        Show("record_now_reasons", "why"),
        Show("required_nm", "required", "torque"),
        Show("applied_now_nm", "applied", "torque"),
        Show("severity", "at full load", "severity"),
        Show("action", "action"),
    ]
    lists.show(shown, columns, at, total=len(rows), empty="Every record is verified.")
    lists.download(shown, columns, at, "gaps")


def show_coverage(at: Here) -> None:
    rows = frame.listed(at, frame.needed(at), "coverage")
    known = [Show(state.column, state.name, "count") for state in STATES.values() if rows[state.column].any()]
    shown_columns = [
        Show("equipment", "board"),
        Show("connections", "joints", "count"),
        Show("surveyed", "read", "count"),
        Show("inspected_on", "looked at", "day"),
        *known,
    ]
    shown = lists.narrowed(rows, lists.WHERE)
    lists.show(shown, shown_columns, at, total=len(rows))
    lists.download(shown, shown_columns, at, "coverage")


def show_recall(at: Here) -> None:
    assessment = frame.assessment(at, frame.needed(at))
    st.write(
        "Every connection tightened with a tool since its last good date. Without a name: each tool that was "
        "found out of tolerance."
    )
    left, right = st.columns(2)
    tool = left.text_input("Torque tool", value=st.query_params.get("tool", ""))
    since = right.text_input("Good until (a date such as 2025-03-08)", help="Where the tool list does not say.")
    try:
        day = pd.Timestamp(since).date() if since.strip() else None
    except ValueError:
        st.error(frame.md(f"“{since}” is not a date such as 2025-03-08."))
        return
    rows = recall(assessment, tool.strip() or None, day)
    lists.show(
        rows,
        [
            Show("tool_id", "tool"),
            *WHERE,
            Show("work_date", "tightened", "day"),
            Show("applied_nm", "applied", "torque"),
            Show("severity", "at full load", "severity"),
            Show("action", "action"),
            Show("reworked", "worked on since"),
        ],
        at,
        empty="No connection was tightened with a tool in doubt.",
    )


def _state(entry: keep.Import) -> str:
    return f"superseded by {entry.superseded_by}" if entry.superseded_by else entry.state


def show_imports(at: Here) -> None:
    imports = keep.listed(at.store)
    rows = pd.DataFrame(
        {
            "id": [entry.id for entry in imports],
            "name": [entry.name for entry in imports],
            "state": [_state(entry) for entry in imports],
            "site": [entry.read_options.site or "" for entry in imports],
            "at": [entry.at.replace("T", " ")[:16] + " UTC" for entry in imports],
            "actor": [entry.actor for entry in imports],
            "holds": [
                "; ".join(
                    f"{table} {counts['accepted']:,} rows, {counts['rejected']:,} rejected"
                    for table, counts in entry.tables.items()
                )
                for entry in imports
            ],
        }
    ).iloc[::-1]
    lists.show(
        rows,
        [
            Show("id", "import", "count"),
            Show("name", "file"),
            Show("holds", "holds"),
            *([Show("site", "given for site")] if rows["site"].any() else []),
            Show("state", "state"),
            Show("at", "brought in"),
            Show("actor", "by"),
        ],
        at,
        empty="Nothing has been brought in yet.",
    )
    not_counted = sites.open_sites(at.store)
    if not_counted:
        st.warning(frame.md(not_counted))
    active = [entry for entry in imports if entry.state == "active"][::-1]
    if not active:
        return
    st.subheader("Undo an import")
    st.write("Its rows no longer count; those it replaced count again. Nothing is deleted.")
    chosen = st.selectbox("Import", active, format_func=lambda entry: f"{entry.id}: {entry.name}")
    sure = st.checkbox(f"Yes, take back import {chosen.id}")
    if st.button("Undo this import", disabled=not sure):
        _, again = keep.undo(at.store, chosen.id, at.stamp)
        st.session_state["undone"] = f"Import {chosen.id} no longer counts." + (
            f" Import {', '.join(map(str, again))} counts again." if again else ""
        )
        st.rerun()
    if "undone" in st.session_state:
        st.success(st.session_state.pop("undone"))
    say_site(at, active)


def say_site(at: Here, active: list[keep.Import]) -> None:
    """For imports whose rows do not all say on which site they are."""
    open_ = set(sites.unsaid(at.store))
    choice = [entry for entry in active if entry.id in open_]
    if "given" in st.session_state:
        st.success(frame.md(st.session_state.pop("given")))
    if not choice:
        return
    st.subheader("Say the site of imports")
    st.write(
        "For rows that do not say their own. The kept file is read again for that site and takes the place of "
        "the import; undo brings it back as it was."
    )
    known = sites.named(at.store)
    with st.form("say_site"):
        chosen = st.multiselect("Imports", choice, format_func=lambda entry: f"{entry.id}: {entry.name}")
        site = st.text_input("Site", help=f"There are: {', '.join(known)}." if known else None).strip()
        said = st.form_submit_button("Read them again for this site")
    if said and not (chosen and site):
        st.error("Choose the imports and write the name of their site.")
    elif said:
        made = []
        try:
            for entry in chosen:
                made.append(sites.give_site(at.store, entry.id, site, limits=limits_of(at.store), stamp=at.stamp).id)
        except RiskscopeError as error:
            done = f" Read again: now import {', '.join(map(str, made))}." if made else ""
            st.error(frame.md(f"Not read again: {error}{done}"))
            return
        st.session_state["given"] = f"Read again for {site}: now import {', '.join(map(str, made))}."
        st.rerun()


def show_rejected(at: Here) -> None:
    rows = keep.refused(at.store)
    rows = rows[(rows["kind"] == "rejected")]
    open_ = rows[rows["state"] == "open"]
    lists.show(
        open_,
        [
            Show("import_id", "import", "count"),
            Show("file", "file"),
            Show("line", "line", "count"),
            Show("reason", "why", "text", 4),
            Show("cells", "original cells"),
        ],
        at,
        empty="No row is open.",
    )
    if len(open_):
        settle(at, open_)
    show_refused_together(at, rows)
    done = rows[rows["state"] != "open"]
    if len(done):
        st.subheader("Settled")
        lists.show(
            done,
            [
                Show("file", "file"),
                Show("line", "line", "count"),
                Show("state", "state"),
                Show("note", "note"),
                Show("actor", "by"),
            ],
            at,
            paged=False,
        )


def show_refused_together(at: Here, refused_alone: pd.DataFrame) -> None:
    """Rows that were good in their own file, and are not beside the rows of the others."""
    record = frame.record(at)
    if record is None:
        return
    place = ["file", "sheet", "line"]
    rows = frame.listed(at, record, "rejected")
    rows = rows[rows["kind"] == "rejected"].fillna({"sheet": ""})
    alone = pd.MultiIndex.from_frame(refused_alone[place].fillna({"sheet": ""}))
    rows = rows[~pd.MultiIndex.from_frame(rows[place]).isin(alone)]
    if rows.empty:
        return
    st.subheader("Refused beside the rows of other files")
    st.write("Say the site of an import, or correct its file and bring it in again.")
    lists.show(
        rows,
        [
            Show("file", "file"),
            Show("line", "line", "count"),
            Show("reason", "why", "text", 4),
            Show("cells", "original cells"),
        ],
        at,
        paged=False,
    )


def settle(at: Here, rows: pd.DataFrame) -> None:
    st.subheader("Mend a row or dismiss it")
    names = {
        int(row.id): f"{row.file}, line {row.line}: {row.reason}" for row in rows.head(MOST_TO_SETTLE).itertuples()
    }
    if len(rows) > MOST_TO_SETTLE:
        st.write(
            f"The first {MOST_TO_SETTLE} of {len(rows):,} open rows can be chosen; "
            "the next come up as these are settled."
        )
    chosen = st.selectbox("Row", list(names), format_func=lambda key: names[key])
    row = rows[rows["id"] == chosen].iloc[0]
    cells = keep.cells_of(at.store, int(row["import_id"]), row["sheet"], int(row["line"]))
    known = len(keep.edits(at.store, int(row["import_id"])))
    with st.form(f"mend_{chosen}_{known}"):
        typed = [
            st.text_input(frame.md(head or f"Cell {place + 1}"), value=text, key=f"fix_{chosen}_{place}_{known}")
            for place, head, text in cells
        ]
        mended = st.form_submit_button("Use these cells", type="primary")
    if mended:
        edits = [
            Edit(row["sheet"], int(row["line"]), place, text, new)
            for (place, _, text), new in zip(cells, typed, strict=True)
            if new != text
        ]
        try:
            if edits:
                mend(at.store, int(row["import_id"]), edits, limits=limits_of(at.store), stamp=at.stamp)
            st.rerun()
        except RiskscopeError as error:
            st.error(frame.md(f"Not changed: {error}"))
    with st.form(f"dismiss_{chosen}", clear_on_submit=True):
        note = st.text_input("Why it needs nothing more")
        if st.form_submit_button("Dismiss with this note"):
            try:
                keep.dismiss(at.store, int(chosen), note, at.stamp)
                st.rerun()
            except RiskscopeError as error:
                st.error(frame.md(f"Not changed: {error}"))


def show_method(at: Here) -> None:
    record = frame.needed(at)
    criteria = frame.assessment(at, record).criteria
    lists.items(METHOD)
    st.subheader("Severity table")
    st.write(f"{criteria.title}, {criteria.edition}")
    bands = pd.DataFrame(
        [(band.basis, band.printed, band.severity, band.meaning, band.status) for band in criteria.bands],
        columns=["basis", "printed", "severity", "meaning", "status"],
    )
    lists.show(
        bands,
        [
            Show("basis", "rise over"),
            Show("printed", "as printed"),
            Show("severity", "severity", "severity"),
            Show("meaning", "meaning"),
            Show("status", "how sure"),
        ],
        at,
        paged=False,
    )
    st.subheader("Files read")
    files = pd.DataFrame(
        [(file["file"], ", ".join(file["tables"]), file["sha256"]) for file in record.summary["input_files"]],
        columns=["file", "tables", "sha256"],
    )
    lists.show(files, [Show("file", "file"), Show("tables", "tables"), Show("sha256", "SHA-256")], at, paged=False)
    st.subheader("Assumed while reading")
    lists.items(record.summary["notes"] or ["Nothing."])


def show_settings(at: Here) -> None:
    in_force = settings.in_force({}, at.store.home)
    rows = pd.DataFrame(
        [
            (setting.name, f"{setting.value} {setting.unit}".strip(), setting.help, setting.origin)
            for setting in in_force
        ],
        columns=["name", "value", "help", "origin"],
    )
    st.write(
        "To change a setting write it under [settings] into riskscope.toml beside "
        "the store, or set a variable RISKSCOPE_NAME."
    )
    lists.show(
        rows,
        [Show("name", "setting"), Show("value", "value"), Show("help", "meaning"), Show("origin", "from")],
        at,
        paged=False,
    )


def show_learned(at: Here) -> None:
    record = frame.needed(at)
    st.write("What electricians found, against what was assumed of each kind of torque record.")
    if not st.button("Learn from the findings"):
        return
    assessment = frame.assessment(at, record)
    with st.spinner("Learning …"):
        learned = learn(assessment)
    lists.items(learned.sentences)
    lists.show(
        learned.table,
        [
            Show("state", "torque record"),
            Show("prior", "assumed", "share"),
            Show("findings", "findings", "count"),
            Show("loose", "found loose", "count"),
            Show("mean", "with findings", "share"),
            Show("low", "from", "share"),
            Show("high", "to", "share"),
        ],
        at,
        paged=False,
    )
    st.subheader("Likeliest now")
    lists.show(
        explained(learned, assessment),
        [
            Show("connection_id", "connection"),
            Show("likelihood", "likelihood", "share"),
            Show("why", "because of", "text", 4),
        ],
        at,
        paged=False,
    )


SHOWN = {
    "learn": show_learned,
    "gaps": show_gaps,
    "coverage": show_coverage,
    "recall": show_recall,
    "imports": show_imports,
    "rejected": show_rejected,
    "method": show_method,
    "settings": show_settings,
}

here = frame.here()
st.title("Records")
view = lists.bound("view", list(VIEWS), "Show", VIEWS.get)
if view not in SHOWN:
    view = "gaps"
st.header(VIEWS[view])
SHOWN[view](here)

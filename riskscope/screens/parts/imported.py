"""Imports with undo, their site, refused rows to mend or to dismiss: views of the page Records."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd
import streamlit as st

from riskscope.errors import RiskscopeError
from riskscope.jobs import keep, sites
from riskscope.jobs.bring_in import Ready, limits_of
from riskscope.jobs.draft import CheckedSheet
from riskscope.jobs.taken_back import changed_by_cells, listed_numbers, taken_back
from riskscope.report.blocks import Show
from riskscope.screens.parts import frame, lists
from riskscope.screens.parts.asking import is_sure, once
from riskscope.screens.parts.frame import Here
from riskscope.screens.parts.mending import settle


def _states(at: Here, imports: Sequence[keep.Import]) -> list[str]:
    """Whether each import counts, and which took its place."""
    later = {entry.superseded_by for entry in imports if entry.superseded_by}
    words = {number: f"superseded by {listed_numbers(keep.together(at.store, at.actor, number))}" for number in later}
    return [words.get(entry.superseded_by or 0, entry.state) for entry in imports]


def show_imports(at: Here) -> None:
    imports = keep.listed(at.store, at.actor)
    rows = pd.DataFrame(
        {
            "id": [entry.id for entry in imports],
            "name": [entry.name for entry in imports],
            "state": _states(at, imports),
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
    not_counted = sites.open_sites(at.store, at.actor)
    if not_counted:
        st.warning(frame.md(not_counted))
    active = [entry for entry in imports if entry.state == "active"][::-1]
    if not active:
        return
    st.subheader("Undo an import")
    st.write("Its rows no longer count; those it replaced count again. Nothing is deleted.")
    chosen = st.selectbox(
        "Import", active, index=None, placeholder="Choose", format_func=lambda entry: f"{entry.id}: {entry.name}"
    )
    if chosen is not None:
        _undo(at, chosen)
    if "undone" in st.session_state:
        st.success(st.session_state.pop("undone"))
    say_site(at, active)


def gone_with(at: Here, numbers: Sequence[int], coming: Sequence[Ready] = ()) -> str:
    """What no longer counts when imports are undone, or replaced by drafts."""
    files = _sheets(coming)
    what = ("gone", numbers, _read(coming))
    return once(at, what, lambda: taken_back(at.store, at.actor, numbers, files, on=at.on))


def by_cells_mended(at: Here, numbers: Sequence[int], came: Sequence[Ready], mended: Sequence[Ready]) -> str:
    """What would be another by the cells mended in drafts that are to replace imports."""
    files = _sheets(came), _sheets(mended)
    what = ("cells", numbers, _read(mended))
    return once(at, what, lambda: changed_by_cells(at.store, at.actor, *files, numbers, on=at.on))


def _sheets(files: Sequence[Ready]) -> list[list[CheckedSheet]]:
    return [file.checked.sheets for file in files]


def _read(files: Sequence[Ready]) -> list[tuple[object, ...]]:
    """What files are, and how they are read; two may have one name."""
    return [(file.content.sha256, file.content) for file in files]


def _undo(at: Here, chosen: keep.Import) -> None:
    """What goes with an import is said before it is taken back."""
    going = keep.together(at.store, at.actor, chosen.id)
    state = {entry.id: entry for entry in keep.listed(at.store, at.actor)}
    listed = f"import{'s' if len(going) > 1 else ''} {listed_numbers(going)}"
    replaced = [state[number] for number in going if state[number].state != "active"]
    if replaced:
        st.write(
            f"It came in together with {listed_numbers([entry.id for entry in replaced])}, in place of others, "
            f"and can only be undone after import {replaced[0].superseded_by}, which took the place of that."
        )
        return
    gone = gone_with(at, going)
    if gone:
        st.warning(frame.md(gone))
    if len(going) > 1:
        st.write(f"{listed.capitalize()} came in together in place of others: they are taken back together.")
    words = f"Yes, take back {listed}"
    sure = st.checkbox(words, key=f"sure {words} {gone}")  # a tick is of what was read, of no other
    if st.button("Undo this import", disabled=not sure) and sure:
        _, again = keep.undo(at.store, chosen.id, at.stamp)
        gone = f"{listed.capitalize()} no longer count{'s' if len(going) == 1 else ''}."
        back = f" Import {', '.join(map(str, again))} counts again." if again else ""
        st.session_state["undone"] = gone + back
        st.rerun()


def say_site(at: Here, active: list[keep.Import]) -> None:
    """For imports whose rows do not all say on which site they are."""
    open_ = set(sites.unsaid(at.store, at.actor))
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
    known = sites.named(at.store, at.actor)
    chosen = st.multiselect("Imports", choice, format_func=lambda entry: f"{entry.id}: {entry.name}")
    site = st.text_input("Site", help=f"There are: {', '.join(known)}." if known else None).strip()
    try:
        changes = _site_changes(at, [entry.id for entry in chosen], site) if chosen and site else ""
    except RiskscopeError as error:
        st.error(f"Not possible: {frame.told(error)}")
        return
    sure = is_sure(changes, f"Yes, import {', '.join(str(entry.id) for entry in chosen)} is of {site}")
    said = st.button("Read them again for this site", disabled=not sure)
    if said and not (chosen and site):
        st.error("Choose the imports and write the name of their site.")
    elif said:
        numbers = [entry.id for entry in chosen]
        try:
            made = sites.give_site(at.store, numbers, site, limits=limits_of(at.store), stamp=at.stamp)
        except RiskscopeError as error:
            st.error(f"Not read again: {frame.told(error)}")
            return
        now = ", ".join(str(entry.id) for entry in made)
        st.session_state["given"] = f"Read again for {site}: now import {now}."
        st.rerun()


def _site_changes(at: Here, numbers: Sequence[int], site: str) -> str:
    """What reading imports again for a site would change: once for a state of the store."""
    limits = limits_of(at.store)
    return once(
        at,
        ("site", numbers, site),
        lambda: sites.site_changes(at.store, numbers, site, limits=limits, actor=at.actor, on=at.on),
    )


def show_rejected(at: Here) -> None:
    rows = keep.refused(at.store, at.actor)
    rows = rows[(rows["kind"] == "rejected")]
    open_ = rows[rows["state"] == "open"]
    lists.show(
        open_,
        [
            Show("import_id", "import", "count"),
            Show("file", "file"),
            *_sheet(open_),
            Show("line", "line", "count"),
            Show("reason", "why", "text", 4),
            Show("cells", "original cells"),
        ],
        at,
        empty="No row is open.",
    )
    mendable = pd.concat([open_, rows[(rows["state"] == "resolved") & (rows["note"] == "corrected")]])
    if len(mendable):
        settle(at, mendable)
    show_refused_together(at, rows)
    done = rows[rows["state"] != "open"]
    if len(done):
        st.subheader("Settled")
        lists.show(
            done,
            [
                Show("file", "file"),
                *_sheet(done),
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
            *_sheet(rows),
            Show("line", "line", "count"),
            Show("reason", "why", "text", 4),
            Show("cells", "original cells"),
        ],
        at,
        paged=False,
    )


def _sheet(rows: pd.DataFrame) -> list[Show]:
    """The column of the sheet, where a row has one."""
    return [Show("sheet", "sheet")] if rows["sheet"].fillna("").any() else []

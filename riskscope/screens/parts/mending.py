"""A row that was refused: mended cell by cell, or dismissed, once it is said what that changes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd
import streamlit as st

from riskscope.errors import RiskscopeError, UnusableInput
from riskscope.jobs import keep
from riskscope.jobs.bring_in import limits_of
from riskscope.jobs.mend import Edit, mend, mend_changes
from riskscope.schema.notes import HOTTEST, MEND
from riskscope.screens.parts import frame
from riskscope.screens.parts.asking import is_sure, once
from riskscope.screens.parts.frame import Here

MOST_TO_SETTLE = 200
SETTLING = "row that is being settled"
Place = tuple[int, str, int]  # import, sheet, line


def settle(at: Here, rows: pd.DataFrame) -> None:
    """Mend a row, or dismiss it: open rows first, then those that were corrected, to be corrected again."""
    st.subheader("Mend a row or dismiss it")
    lines = rows.drop_duplicates(["import_id", "sheet", "line"])
    names = {
        (int(row.import_id), row.sheet or "", int(row.line)): f"import {row.import_id}: {_place_of(row)}"
        + ("" if row.state == "open" else ": corrected, correct it again")
        for row in lines.head(MOST_TO_SETTLE).itertuples()
    }
    if len(lines) > MOST_TO_SETTLE:
        st.write(
            f"The first {MOST_TO_SETTLE} of {len(lines):,} rows can be chosen; the next come up as these are settled."
        )
    if "mended" in st.session_state:
        is_good, words = st.session_state.pop("mended")
        (st.success if is_good else st.warning)(words)
    place = _chosen(names)
    if place is None:
        return
    import_id, sheet, line = place
    its = rows[(rows["import_id"] == import_id) & (rows["sheet"].fillna("") == sheet) & (rows["line"] == line)]
    row = its.iloc[0]
    open_ = its.loc[its["state"] == "open", "reason"]
    if len(open_):
        st.write(frame.md(f"{_place_of(row)}: {'; '.join(open_)}"))
    version = st.session_state.get(f"version_{place}", 0)
    drawn = st.session_state.setdefault(  # as it was first shown: what somebody else corrects since is no edit of ours
        f"drawn_{place}_{version}", keep.cells_of(at.store, at.actor, import_id, sheet, line)
    )
    asked, words, was_unsure = st.session_state.get("preview", (None, "", False))
    asked, sure = asked == place, False
    with st.form(f"mend_{place}_{version}"):
        typed = [
            st.text_input(frame.md(head or f"Cell {n + 1}"), value=text, key=f"fix_{place}_{n}_{version}")
            for n, head, text in drawn
        ]
        if asked:
            sure = is_sure(words, "Yes, it is so")
            if was_unsure and not sure:
                st.error("Not kept: tick that it is so, or change the cells.")
        if st.form_submit_button("Keep these cells" if asked else "Use these cells", type="primary"):
            edits = [
                (head or f"Cell {n + 1}", Edit(sheet, line, n, text, new))
                for (n, head, text), new in zip(drawn, typed, strict=True)
                if new != text
            ]
            _mend(at, row, edits, place, told=words if asked and sure else "", before=words)
    if len(open_):
        _dismiss(at, row, place, of=len(open_))


def _chosen(names: Mapping[Place, str]) -> Place | None:
    """The row to settle: it stays chosen when others settle theirs, and with it what is typed."""
    before: Place | None = st.session_state.get(SETTLING)
    if before is not None and before not in names:
        st.warning("The row you had chosen was settled by somebody else meanwhile: what you typed is not kept.")
        before = None
    st.session_state[SETTLING] = st.selectbox(
        "Row",
        list(names),
        index=None if before is None else list(names).index(before),
        placeholder="Choose",
        format_func=lambda place: names[place],
    )
    chosen: Place | None = st.session_state[SETTLING]
    return chosen


def _dismiss(at: Here, row: pd.Series, place: object, of: int) -> None:
    """Of several reasons of a line, each of a phase of its own, the first is dismissed."""
    number, drawn = int(row["id"]), f"dismissing_{place}"
    if st.session_state.get(drawn, number) != number:
        st.warning("What is refused of this line has changed meanwhile. Read what is left before you dismiss it.")
    st.session_state[drawn] = number
    with st.form(f"dismiss_{place}_{number}", clear_on_submit=True):  # of this row, of no other of its line
        if of > 1:
            st.write(frame.md(f"Dismissed is the first of the {of}: {row['reason']}"))
        if HOTTEST in row["reason"]:
            st.write("Dismissed it asks for nothing more, but still stands against a cool reading of that day.")
        elif MEND in row["reason"]:
            st.write("Dismissed it still leaves its joint's record in doubt, until later work: mend it if it can be.")
        note = st.text_input("Why it needs nothing more")
        if st.form_submit_button("Dismiss with this note"):
            try:
                keep.dismiss(at.store, number, note, at.stamp)
                del st.session_state[drawn]
                if of == 1:
                    del st.session_state[SETTLING]
                st.rerun()
            except RiskscopeError as error:
                st.error(f"Not changed: {frame.told(error)}")


def _mend(
    at: Here, row: pd.Series, typed: Sequence[tuple[str, Edit]], place: object, *, told: str, before: str
) -> None:
    """Correct the cells of a row, once somebody is sure of what that changes, and say what became of it.

    What is kept is what stands in the fields; where that, or what it changes by now, is another than what was told
    and ticked, it is asked again.
    """
    edits = [edit for _, edit in typed]
    if not edits:
        st.error("Nothing was changed: type the cells as they should be.")
        return
    number, limits, shown = int(row["import_id"]), limits_of(at.store), _place_of(row)
    were_open = len(_open_of(at, row))
    try:
        changes = once(
            at,
            ("mend", number, edits),
            lambda: mend_changes(at.store, number, edits, limits=limits, actor=at.actor, on=at.on),
        )
        cells = "; ".join(f"{head} “{edit.new}” for “{edit.old}”" for head, edit in typed)
        words = f"Kept would be {cells}. {changes}" if changes else ""
        if words and words != told:
            st.session_state["preview"] = (place, words, words == before)
            st.rerun()
        mend(at.store, number, edits, limits=limits, stamp=at.stamp)
    except UnusableInput as error:  # what was typed stays, to be typed better
        st.error(f"Not changed: {frame.told(error)}")
        return
    except RiskscopeError as error:
        st.session_state["mended"] = (False, f"Not changed: {frame.told(error)}")
    else:
        still = _open_of(at, row)
        in_part = "counts now in part; " if len(still) < were_open else ""
        settled = _open_of(at, row, "dismissed")
        but = f", but for what is dismissed of it: {'; '.join(settled)}." if len(settled) else "."
        said = f"{in_part}still cannot be used: {'; '.join(still)}." if len(still) else f"counts now{but}"
        st.session_state["mended"] = (still.empty, frame.md(f"{shown} {said}"))
        if still.empty:
            st.session_state.pop(SETTLING, None)
    for name in ("preview", f"dismissing_{place}"):
        st.session_state.pop(name, None)
    version = f"version_{place}"
    st.session_state[version] = st.session_state.get(version, 0) + 1
    st.rerun()


def _open_of(at: Here, row: pd.Series, state: str = "open") -> pd.Series:
    """Why what was refused of a line is refused still, or dismissed: of a wide sheet it may be several phases."""
    refused = keep.refused(at.store, at.actor)
    same = (refused["import_id"] == row["import_id"]) & (refused["line"] == row["line"])
    same &= (refused["sheet"].fillna("") == (row["sheet"] or "")) & (refused["kind"] == "rejected")
    reasons: pd.Series = refused.loc[same & (refused["state"] == state), "reason"]
    return reasons


def _place_of(row: Any) -> str:
    """Where a row stands: file, sheet if it has one, line."""
    return f"{row.file}, " + (f"sheet {row.sheet}, " if row.sheet else "") + f"line {row.line}"

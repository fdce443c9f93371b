"""Drop in files, see how they are understood, answer what is open, mend cells, accept."""

from __future__ import annotations

import dataclasses
import functools
import hashlib
from collections.abc import Sequence
from pathlib import Path

import streamlit as st

from riskscope.errors import Ambiguous, RiskscopeError, UnusableInput
from riskscope.jobs import background, draft
from riskscope.jobs.bring_in import (
    Decision,
    Edit,
    FileOutcome,
    Limits,
    ReadOptions,
    Ready,
    already,
    limits_of,
    overlap_words,
    overlapping,
    several,
    to_write,
)
from riskscope.jobs.draft import Draft, DraftView, Grid, grids_apart
from riskscope.jobs.mend import others_changed
from riskscope.jobs.rank import Progress
from riskscope.jobs.sites import doubt, site_question
from riskscope.report.blocks import Show
from riskscope.schema import TABLES
from riskscope.screens.parts import frame, lists, start, work
from riskscope.screens.parts.asking import is_sure
from riskscope.screens.parts.frame import UPLOADER, Here, Store, md, told
from riskscope.screens.parts.imported import by_cells_mended, gone_with
from riskscope.words.render import many

KINDS = ["csv", "tsv", "txt", "xlsx", "xlsm", "parquet"]
AS_UNDERSTOOD = "as understood"
MOST_REJECTED = 200
KEPT_WHILE = "Go to other pages by the menu alone: to load a page anew drops it, with the cells mended here."
UNDECIDED = "not decided yet"
LEFT_OPEN = (
    "{} cannot be read as it came, without the cells mended here ({}): what they change cannot be worked out. "
    "Look at each of them, and at how the other lines are read. Make sure."
)


@st.cache_data(show_spinner=False, max_entries=20)
def _grids(sha256: str, name: str, sheet: str | None, _data: bytes, _ways: ReadOptions, _limits: Limits) -> list[Grid]:
    return grids_apart(_data, name, _ways, _limits)


def cached(data: bytes, name: str, read_options: ReadOptions, limits: Limits) -> list[Grid]:
    """The sheets of a file, read once in a process apart."""
    return _grids(hashlib.sha256(data).hexdigest(), name, read_options.sheet, data, read_options, limits)


def drafts() -> dict[str, Draft]:
    """The files dropped in and not yet accepted, by the hash of their content."""
    held: dict[str, Draft] = st.session_state.setdefault("drafts", {})
    return held


def take(uploaded: Sequence[object]) -> None:
    """Keep new uploads as drafts, beside those left from before; drop those taken away again.

    An uploader is empty when one comes back to its page: what it held then stays, as left.
    """
    if not st.session_state.get(UPLOADER):
        st.session_state["left"] = drafts()
    st.session_state[UPLOADER] = True
    now = {key: drafts().get(key, made) for key, made in st.session_state.get("left", {}).items()}
    for upload in uploaded:
        made = Draft(upload.name, upload.getvalue())  # type: ignore[attr-defined]
        now[made.sha256] = drafts().get(made.sha256, made)
    st.session_state["drafts"] = now


def show_held(key: str, held: Draft) -> None:
    """What was said of a file before: that it was left, which of its cells were mended."""
    if key in st.session_state.get("left", {}):
        st.write(f"Left from before: not accepted yet. {KEPT_WHILE}")
        if st.button("Leave this file out", key=f"out_{key}"):
            keep_only({other: kept for other, kept in drafts().items() if other != key})
            st.rerun()
    if held.edits:
        st.info(md(f"Cells mended here: {mended_words(held.edits)}."))


def show_draft(at: Here, key: str, held: Draft, limits: Limits) -> tuple[DraftView, Decision | None]:
    """One file: what it was taken for, what is open, what is not used; what is decided of overlaps."""
    st.subheader(md(held.name))
    show_held(key, held)
    looked = draft.look(held, at.on, limits, cached)
    if there := already(at.store, at.actor, held):
        st.warning(md(there))
    if looked.error is not None:
        st.error(told(looked.error))
    choose_table(key, held, looked)
    if looked.error is not None:
        choose_sheet(key, held, looked)
        unread = draft.headers_of_unread(held, limits, cached)
        if unread and held.read_options.table is not None:
            st.write("Say what its headers mean:")
            choose_headers(key, 0, held, held.read_options.table, unread)
    for note in looked.checked.notes:
        st.info(md(note.text))
    for question in looked.open:
        answer(key, held, question)
    for number, sheet in enumerate(looked.sheets):
        show_sheet(at, key, number, held, sheet)
    if not looked.is_ready or not is_on_a_site(at, key, held, looked):
        return looked, None
    decision = decide(at, key, looked)
    if decision is not None:
        try:
            doubt(at.store, held.name, looked.sheets, decision.supersedes)
        except UnusableInput as error:
            st.error(told(error))
            return looked, None
    return looked, decision


def is_on_a_site(at: Here, key: str, held: Draft, looked: DraftView) -> bool:
    """Whether it is known on which site a file's rows are; asks where it is not."""
    known = True
    try:
        site_question(at.store, held.name, looked.sheets)
    except Ambiguous as question:
        st.warning(md(f"This file {question.message}"))
        known = False
    if known and held.read_options.site is None:
        return True
    typed = st.text_input(
        "Site of the rows that do not say theirs", value=held.read_options.site or "", key=f"site_{key}"
    )
    if typed.strip() != (held.read_options.site or ""):
        drafts()[key] = held.answered("site", typed.strip() or None)
        st.rerun()
    return known


def choose_table(key: str, held: Draft, looked: DraftView) -> None:
    understood = ", ".join(dict.fromkeys(sheet.table.title for sheet in looked.sheets))
    titles = {name: table.title for name, table in TABLES.items()}
    titles = {AS_UNDERSTOOD: f"{understood} ({AS_UNDERSTOOD})" if understood else "not known: choose", **titles}
    current = held.read_options.table or AS_UNDERSTOOD
    chosen = st.selectbox(
        "This file holds",
        list(titles),
        index=list(titles).index(current),
        key=f"table_{key}",
        format_func=lambda name: titles[name],
    )
    if chosen != current:
        drafts()[key] = held.answered("table", None if chosen == AS_UNDERSTOOD else chosen)
        st.rerun()


def choose_sheet(key: str, held: Draft, looked: DraftView) -> None:
    if looked.error is None or not (looked.error.toml or "").startswith("sheet"):
        return
    sheet = st.text_input("Sheet to read (all reads them all)", key=f"sheet_{key}")
    if sheet:
        drafts()[key] = held.answered("sheet", sheet)
        st.rerun()


def answer(key: str, held: Draft, question: draft.Open) -> None:
    st.warning(md(f"To be answered: {question.words}"))
    options = draft.ANSWERS.get(question.key, ())
    words = {str(value): text for value, text in options}
    chosen = st.radio("Your answer", list(words), index=None, format_func=words.get, key=f"{question.key}_{key}")
    if chosen is not None:
        value = next(value for value, _ in options if str(value) == chosen)
        drafts()[key] = held.answered(question.key, value)
        st.rerun()


def _or_as_understood(understood: str, name: str) -> str:
    return f"{understood} ({AS_UNDERSTOOD})" if name == AS_UNDERSTOOD else name


def choose_headers(key: str, number: int, held: Draft, table: str, meanings: list[draft.HeaderMeaning]) -> None:
    """What each header means, to be corrected by choice."""
    columns = [AS_UNDERSTOOD, *draft.columns_of(table), draft.UNUSED]
    for place, header in enumerate(meanings):
        stated = held.read_options.mapping.get(header.header)
        chosen = st.selectbox(
            md(f"“{header.header}” is"),
            columns,
            index=columns.index(stated) if stated in columns else 0,
            key=f"header_{key}_{number}_{place}_{header.header}",
            help=md(header.how),
            format_func=functools.partial(_or_as_understood, header.column or "not used"),
        )
        if chosen != (stated or AS_UNDERSTOOD):
            drafts()[key] = held.mapped(header.header, None if chosen == AS_UNDERSTOOD else chosen)
            st.rerun()


def show_sheet(at: Here, key: str, number: int, held: Draft, sheet: draft.CheckedSheet) -> None:
    counts = sheet.counts
    where = f", sheet {sheet.grid.sheet}" if sheet.grid.sheet else ""
    st.markdown(
        f"**{sheet.table.title}**: {many(counts['accepted'], 'row')} accepted, **{counts['rejected']:,} rejected**, "
        f"{counts['set_aside']:,} set aside (titles, totals, blank lines)."
    )
    with st.expander(f"How each header was understood{where}"):
        choose_headers(key, number, held, sheet.table.name, draft.headers(sheet))
    notes = [note.in_file for note in sheet.notes]
    if notes:
        with st.expander(f"{many(len(notes), 'thing')} assumed or to know"):
            lists.items(notes)
    show_rejected(key, number, held, sheet)


def show_rejected(key: str, number: int, held: Draft, sheet: draft.CheckedSheet) -> None:
    rows = draft.rejected(sheet)
    if rows.empty:
        return
    st.markdown("Rows that are not used, with the reason. Mend a cell here, or leave them: they stay listed.")
    if len(rows) > MOST_REJECTED:
        st.write(
            f"The first {MOST_REJECTED:,} of {len(rows):,} reasons; the others are "
            "listed under Records once the file is in."
        )
    lists.show(
        rows.head(MOST_REJECTED), [Show("line", "line", "count"), Show("reason", "why")], frame.here(), paged=False
    )
    if not draft.can_be_mended(sheet):
        st.write("This sheet was made long from columns of phases: mend its cells in the file and drop it in again.")
        return
    lines = list(dict.fromkeys(rows["line"].head(MOST_REJECTED).tolist()))
    line = st.selectbox("Row to mend", lines, format_func=lambda value: f"line {value}", key=f"line_{key}_{number}")
    with st.form(f"mend_{key}_{number}_{line}_{len(held.edits)}"):
        cells = draft.cells(sheet, line)
        typed = {
            place: st.text_input(md(header), value=text, key=f"cell_{key}_{number}_{line}_{place}_{len(held.edits)}")
            for place, header, text in cells
        }
        if st.form_submit_button("Use these cells"):
            edits = [
                Edit(sheet.grid.sheet, int(line), place, text, typed[place])
                for place, _, text in cells
                if typed[place] != text
            ]
            if edits:
                drafts()[key] = held.corrected(edits)
                st.rerun()


def decide(at: Here, key: str, looked: DraftView) -> Decision | None:
    """What is to become of earlier imports that share rows; None while it is open."""
    overlaps = overlapping(at.store, at.actor, looked.draft, looked.sheets)
    if not overlaps:
        return Decision()
    for overlap in overlaps:
        words = overlap_words(overlap)
        st.warning(md(f"This file {words}"))
    numbers = tuple(dict.fromkeys(overlap.import_id for overlap in overlaps))
    listed = " and ".join(str(number) for number in numbers)
    choices: dict[str, Decision | None] = {
        UNDECIDED: None,
        f"It replaces import {listed}": Decision(numbers),
        "Keep both": Decision(beside=True),
    }
    return choices[st.radio("What shall become of them?", list(choices), key=f"overlap_{key}")]


def as_ready(ready: list[tuple[DraftView, Decision]]) -> list[Ready]:
    return [Ready(looked.draft, looked.checked, decision) for looked, decision in ready]


def changed_by(at: Here, new: Sequence[Ready], limits: Limits) -> str:
    """What all that comes in together changes: of two files each alone may take nothing away."""
    going = sorted({number for file in new for number in file.decision.supersedes})
    gone = gone_with(at, going, new) if going else ""
    if not any(file.content.edits for file in new):
        return gone
    as_dropped = [Draft(file.content.name, file.content.data, file.content.read_options) for file in new]
    looked = [draft.look(one_file, at.on, limits, cached) for one_file in as_dropped]
    came, words = [], [gone]
    for view, file in zip(looked, new, strict=True):
        if view.is_ready:
            came.append(dataclasses.replace(file, checked=view.checked))
            words.append(others_changed(file.content.name, view.sheets, file.checked.sheets, file.content.edits))
            continue
        came.append(file)  # of the others all is asked
        if file.content.edits:
            words.append(LEFT_OPEN.format(file.content.name, mended_words(file.content.edits)))
    return " ".join(text for text in (*words, by_cells_mended(at, going, came, new)) if text)


def mended_words(edits: Sequence[Edit]) -> str:
    return "; ".join(f"line {edit.line}: “{edit.new}” for “{edit.old}”" for edit in edits)


def outcome_words(made: FileOutcome) -> str:
    words = {"there": "is there already", "new": "brought in", "no table": "holds no table"}[made.outcome]
    dead = made.made is not None and made.made.state != "active"
    return f"{made.file} {words}{', BUT ITS ROWS DO NOT COUNT' if dead else ''}"


def accept(at: Here, ready: list[tuple[DraftView, Decision]]) -> None:
    """Bring in all that is ready or nothing, as one job that goes on when the page is left; the others stay drafts."""
    stamp, on = at.stamp, at.on
    files = as_ready(ready)

    def bring(store: Store, progress: Progress) -> str:
        progress(f"bringing in {', '.join(file.content.name for file in files)}")
        done = several(store, files, on=on, stamp=stamp)
        return ", ".join(outcome_words(made) for made in done)

    work.follow(background.start(at.store.address, "bring in", stamp, bring, frame.now))
    gone = {file.content.sha256 for file in files}
    keep_only({key: held for key, held in drafts().items() if key not in gone})


def keep_only(left: dict[str, Draft]) -> None:
    """These drafts alone, and an uploader without files."""
    st.session_state["drafts"] = st.session_state["left"] = left
    st.session_state["uploads"] = st.session_state.get("uploads", 0) + 1


at = frame.here()
st.title("Bring in files")
work.watch(at)
if done := work.done():
    st.success(md(f"Done: {done}."))
    for page, words in (("survey", "See the survey results"), ("work", "See the work list")):
        st.page_link(Path(__file__).with_name(f"{page}.py"), label=words)  # a link of text would drop what is left here
st.write(
    "Survey, torque records, tool list, register, findings: as you keep them, several at once. "
    "Nothing is kept until you accept it."
)
uploaded = st.file_uploader(
    "Files", type=KINDS, accept_multiple_files=True, key=f"uploader_{st.session_state.get('uploads', 0)}"
)
take(uploaded)
limits = limits_of(at.store)
results = [(key, *show_draft(at, key, held, limits)) for key, held in list(drafts().items())]
if results:
    st.divider()
    ready = [(looked, decision) for _, looked, decision in results if looked.is_ready and decision is not None]
    waiting = len(results) - len(ready)
    if done:  # the page stays where the button was
        st.success(md(f"Done: {done}."))
    if waiting:
        st.write(
            f"{waiting} of {many(len(results), 'file')} cannot come in yet: see above. "
            f"What is not accepted stays here, and does not count. {KEPT_WHILE}"
        )
    label = "Accept this file" if len(results) == 1 else f"Accept {len(ready)} of {len(results)} files"
    try:
        new = to_write(at.store, at.actor, as_ready(ready))
        sure = is_sure(changed_by(at, new, limits), "Yes, accept it so" if len(ready) == 1 else "Yes, accept them so")
    except RiskscopeError as error:  # each can be read, and not both beside what is there
        st.error(told(error))
        sure = False
    if st.button(label, type="primary", disabled=not (ready and sure), key="accept") and sure:
        accept(at, ready)
        st.rerun()
    if st.button("Cancel: keep none of them"):
        keep_only({})
        st.rerun()
else:
    with st.expander("Workbooks to fill in"):
        start.workbooks()

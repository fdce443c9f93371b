"""For the planner: outages and crews, the plan, what did not fit, job cards, findings afterwards."""

from __future__ import annotations

import functools
import json

import streamlit as st

from riskscope.errors import RiskscopeError
from riskscope.jobs import background, enter, plan
from riskscope.jobs.plan import Choices, OutagePlan
from riskscope.jobs.rank import Assessment, Progress
from riskscope.report import charts
from riskscope.report.blocks import Show
from riskscope.report.documents.cards import in_order, the_rest
from riskscope.report.documents.parts import SEVERITY
from riskscope.screens.parts import frame, lists, work
from riskscope.screens.parts.frame import Here, Store, link
from riskscope.screens.parts.reports import MIME
from riskscope.words import codes

MOST_NAMED = 8


def one_line_each(text: str) -> tuple[str, ...]:
    """Names typed one a line or with commas between."""
    return tuple(name.strip() for line in text.splitlines() for name in line.split(",") if name.strip())


def enter_outage(at: Here, boards: list[str]) -> None:
    """A new outage, a row for each board that is isolated."""
    with st.expander("Enter an outage"), st.form("new_outage", clear_on_submit=True):
        left, right = st.columns(2)
        name = left.text_input("Name of the outage")
        start = right.date_input("It begins on", value=at.on)
        hours = left.number_input("Hours", min_value=0.5, max_value=240.0, value=8.0, step=0.5)
        crews = right.number_input("Crews", min_value=1, max_value=50, value=1)
        per_board = left.number_input("Crews on one board at once", min_value=1, max_value=10, value=1)
        remakes = right.text_input("Most remakes", help="Empty: as many as fit.")
        isolated = st.multiselect("Boards that are isolated", boards)
        if st.form_submit_button("Keep this outage"):
            common = {
                "outage_id": name,
                "start": start.isoformat(),
                "hours": f"{hours:g}",
                "crews": f"{crews:g}",
                "crews_per_board": f"{per_board:g}",
                "max_remakes": remakes,
            }
            try:
                if not isolated:
                    st.error("Choose the boards that are isolated.")
                    return
                enter.enter_rows(
                    at.store,
                    "outages",
                    [{**common, "equipment": board} for board in isolated],
                    on=at.on,
                    stamp=at.stamp,
                )
                st.session_state["outage_kept"] = name
                st.rerun()
            except RiskscopeError as error:
                st.error(f"Not kept: {frame.told(error)}")


def solve(at: Here, choices: Choices) -> None:
    """Plan as a job that goes on when the page is left; the result is held for this session."""
    assessment = frame.assessment(at, frame.needed(at))
    request, held = at.request, st.session_state.setdefault("plans", {})

    def run(store: Store, progress: Progress) -> str:
        held["plan"] = plan.make(assessment, request, choices, progress)
        return f"{len(held['plan'].work)} pieces of work planned"

    work.follow(background.start(at.store.address, "plan", at.stamp, run, frame.now))


def _cards(planned: OutagePlan, assessment: Assessment, at: Here, form: str) -> bytes:
    return plan.documents(planned, assessment, at.request, (form,))[form]


CREWS = (
    Show("outage_id", "outage"),
    Show("crew", "crew", "count"),
    Show("board", "board"),
    Show("begins_min", "from minute", "count"),
    Show("ends_min", "to minute", "count"),
    Show("joints", "joints", "count"),
)
WORK = (
    Show("outage_id", "outage"),
    Show("crew", "crew", "count"),
    Show("start_min", "minute", "count"),
    Show("connection_id", "connection"),
    Show("action", "action"),
    SEVERITY,
    Show("required_nm", "torque", "torque"),
    Show("tool_id", "tool"),
)
NOT_PLANNED = (
    Show("connection_id", "connection"),
    Show("equipment", "board"),
    Show("action", "action"),
    SEVERITY,
    Show("urgency", "urgency"),
    Show("why", "why", "text", 4),
)
NEXT = (Show("connection_id", "connection"), Show("instead_of", "instead of"), Show("outage_id", "outage"))


def show_plan(at: Here, planned: OutagePlan) -> None:
    made = planned.plan
    lists.figures(
        [
            (f"{len(planned.work):,}", "pieces of work planned", ""),
            (f"{made.boards['board'].nunique():,}", "boards opened", ""),
            (f"{len(made.left):,}", "not planned", ""),
            (f"{100 * made.gap:.1f} %", "below the best at most", ""),
        ]
    )
    lists.items(plan.sentences(planned))
    st.header("Who does what")
    lists.show(made.boards, CREWS, at, paged=False, empty="No board is opened.")
    lists.chart(charts.timeline(made.boards), "No board is opened.")
    st.header("In order of the work")
    lists.show(planned.work, WORK, at, empty="Nothing can be planned.")
    st.header("What is not in the plan, and why")
    left, most = in_order(made.left)
    if words := the_rest(left, most):
        st.write(words)
    lists.show(left.head(most), NOT_PLANNED, at, paged=False, empty="Everything fits.")
    if len(made.swaps):
        st.write("These would come next:")
        lists.show(made.swaps, NEXT, at, paged=False)
    hand_out(at, planned)


def hand_out(at: Here, planned: OutagePlan) -> None:
    """Job cards, findings sheet and the plan for a machine."""
    st.header("Job cards")
    assessment = frame.assessment(at, frame.needed(at))
    for form in ("pdf", "html", "xlsx"):
        st.download_button(
            f"Job cards ({form.upper()})",
            functools.partial(_cards, planned, assessment, at, form),
            file_name=f"job_cards.{form}",
            mime=MIME[form],
            on_click="ignore",
            key=f"cards_{form}",
        )
    st.download_button(
        "Findings sheet for the crews (XLSX)",
        lambda: plan.findings_sheet(planned),
        file_name="findings_sheet.xlsx",
        mime=MIME["xlsx"],
        on_click="ignore",
    )
    st.download_button(
        "The plan for a machine (JSON)",
        lambda: json.dumps(planned.as_data(), ensure_ascii=False, indent=2, default=str),
        file_name="plan.json",
        mime="application/json",
        on_click="ignore",
    )
    st.html(
        f'<p>Afterwards: <a href="{link("work")}" target="_self">enter what was found</a>, or '
        f'<a href="{link("bring-in")}" target="_self">bring in the filled findings sheet</a>.</p>'
    )


at = frame.here()
st.title("Outage plan")
known = frame.assessment(at, frame.needed(at))
urgent = known.connections[known.connections["urgency"] == "now"]
if len(urgent):
    names = ", ".join(urgent["connection_id"].head(MOST_NAMED))
    more = f" and {len(urgent) - MOST_NAMED:,} more" if len(urgent) > MOST_NAMED else ""
    st.html(
        f'<div class="rs-now"><strong>Do not wait</strong>{len(urgent):,} must be dealt with before any outage: '
        f"{frame.safe(names)}{more}.</div>"
    )
    if more:
        with st.expander(f"All {len(urgent):,} that must not wait"):
            lists.show(
                urgent,
                [
                    Show("connection_id", "connection"),
                    Show("equipment", "board"),
                    Show("severity_as_found", "as found", "severity"),
                    SEVERITY,
                    Show("action", "action"),
                ],
                at,
                paged=False,
            )
if "outage_kept" in st.session_state:
    st.success(frame.md(f"Kept: {st.session_state.pop('outage_kept')}."))
outages = plan.outage_rows(known.tables)
lists.caution([codes.CAUTION])
st.header("Outages to come")
lists.show(
    outages,
    [
        Show("outage_id", "outage"),
        Show("start", "begins", "day"),
        Show("hours", "hours", "ratio"),
        Show("crews", "crews", "count"),
        Show("isolates", "isolates"),
    ],
    at,
    paged=False,
    empty="No outage is known yet.",
)
enter_outage(at, sorted(known.connections["equipment"].dropna().unique()))
work.watch(at)
if done := work.done():
    st.success(frame.md(f"Done: {done}."))
if len(outages):
    with st.expander("What must, and what must not be in the plan"):
        must = st.text_area("Has to be in the plan, one name a line")
        must_not = st.text_area("May not be in the plan, one name a line")
        alone = st.checkbox("Open boards for torque records alone too")
        more_hour = st.checkbox("Say what one more crew-hour would gain (solves again)")
    if st.button("Plan the outages", type="primary"):
        try:
            solve(at, Choices(one_line_each(must), one_line_each(must_not), alone, more_hour))
            st.rerun()
        except RiskscopeError as error:
            st.error(frame.told(error))
if "plan" in st.session_state.get("plans", {}):
    show_plan(at, st.session_state["plans"]["plan"])

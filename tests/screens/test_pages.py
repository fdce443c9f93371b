"""What every page and every view says, of the demo site and of an empty store, without a browser.

Numbers are those of ``planted.csv``, written by hand from the method, as they stand on 1 June 2026:
its findings of later days do not count yet.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
import io
import shutil
import time
from collections.abc import Sequence
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pandas as pd
import pytest
from PIL import Image
from streamlit.testing.v1 import AppTest

from riskscope.analysis.assessment import Assessment
from riskscope.cli.main import run
from riskscope.errors import UnusableInput
from riskscope.intake.options import Limits
from riskscope.jobs import keep, sites
from riskscope.jobs.bring_in import Decision
from riskscope.jobs.mend import Edit, mend
from riskscope.screens.entry import PAGES
from riskscope.screens.parts.asking import once
from riskscope.screens.parts.frame import UPLOADER
from riskscope.settings import Settings
from riskscope.store import reading
from riskscope.store.database import Store
from tests import of_demo
from tests.claims import unchecked
from tests.screens import pages
from tests.screens.pages import fill, page, press, row_of, said, tables
from tests.screens.serving import TOP
from tests.store.build import ANN, BOB, add

DEMO = TOP / "demo_data"
pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::ResourceWarning")

# (page, view): words it must say, in any order
SAYS: dict[tuple[str, str], Sequence[str]] = {
    ("overview", ""): (
        "7 connections must be dealt with now, on MCC-2 (3), MCC-1 (1), MSB (1), SWB-1 (1), GEN-1 (1).",
        "Tell the responsible person today; they reduce load or switch off. Do not wait for the outage.",
        "9 rated 4 at full load", "5 rated 3", "7 read, not rated", "0 never read", "of 255 records not verified",
        "These numbers do not say when a joint will fail or how likely that is", "[Torque records by board.",
    ),
    ("bring_in", ""): ("Nothing is kept until you accept it.", "Infrared survey (XLSX)", "Findings (XLSX)"),
    ("thermogram", ""): ("The table of boxes is the truth; the picture shows it.", "Day of the picture"),
    ("survey", "hot"): ("7 must be dealt with now.", "Rows 1 to 50 of 255", "Field sheet for the next survey (XLSX)"),
    ("survey", "resurvey"): ("Rows 1 to 14 of 14", "worked on the day of the survey, before or after is not known"),
    ("survey", "not surveyed"): ("Every connection on record has a reading.",),
    ("survey", "due"): ("why it is due", "past its interval", "open finding"),
    ("survey", "unusable"): ("is in the future", "set aside", "original cells"),
    ("work", "a"): (
        "7 must be dealt with now: do not wait for the outage.", "Lock out and tag, and verify the absence of voltage",
        "Qualified persons only", "The maker's instructions and the local code govern.", "Enter what happened",
    ),
    ("work", "b"): ("Rows 1 to 50 of", "Lock out and tag", "below required"),
    ("work", "other"): ("measure neutral and harmonic current", "Lock out and tag"),
    ("work", "proof"): ("stands at", "open", "MSB/F1/A"),
    ("work", "resurvey"): ("read at 30 % load: survey again at a higher load",),
    ("plan", ""): ("Do not wait 7 must be dealt with before any outage:", "MSB/F1/A", "Plan the outages"),
    ("connection", ""): ("Type the name of a connection",),
    ("records", "names"): ("No connection has been renamed here.", "Rename a connection, or merge two names of one"),
    ("records", "gaps"): ("Torque records that are not verified", "under-torqued Tightened to less than required."),
    ("records", "coverage"): ("Coverage by board", "Rows 1 to 14 of 14"),
    ("records", "recall"): ("Every connection tightened with a tool since its last good date.", "Rows 1 to 1 of 1"),
    ("records", "imports"): ("Its rows no longer count; those it replaced count again. Nothing is deleted.",),
    ("records", "rejected"): ("Rows 1 to 7 of 7", "Mend a row or dismiss it"),
    ("records", "learn"): ("What electricians found, against what was assumed of each kind of torque record.",),
    ("records", "method"): (
        "Not rated is not 0: a closed cover, no load or no reference gives no severity", "ANSI/NETA table 100.18",
    ),
    ("records", "settings"): ("To change a setting write it under [settings] into riskscope.toml beside the store",),
}  # fmt: skip
WITHOUT_A_SURVEY = {
    "overview": ("Bring in the demo site",), "bring_in": ("Nothing is kept until you accept it.",),
    "thermogram": ("The table of boxes is the truth",),
}  # fmt: skip


@pytest.fixture(scope="module")
def demo_store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return of_demo.store(tmp_path_factory.mktemp("pages") / "store.db")


@pytest.fixture
def own_store(demo_store: Path, tmp_path: Path) -> Path:
    """A copy of the demo store that a test may change."""
    return Path(shutil.copy(demo_store, tmp_path / "own.db"))


@pytest.fixture(scope="module")
def demo() -> Assessment:
    return of_demo.ranked()


@pytest.mark.parametrize(("module", "view"), SAYS, ids=lambda part: part or "-")
def test_every_view_says_its_words_and_no_number_that_no_list_holds(
    module: str, view: str, demo_store: Path, demo: Assessment, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = page(module, demo_store, monkeypatch, **({"view": view} if view else {}))
    words = said(app)
    assert [one for one in SAYS[module, view] if one not in words] == [], words
    assert unchecked(said(app, tables=False), demo) == []


def test_no_view_is_left_out() -> None:
    known = {(module, view) for module, *_ in PAGES for view in pages.views(module)}
    assert known - set(SAYS) == set(), "give what it says an entry in SAYS"
    assert set(SAYS) - known == set(), "no such view"


@pytest.mark.parametrize("module", [module for module, *_ in PAGES])
def test_an_empty_store_says_what_to_do(module: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page(module, tmp_path / "empty.db", monkeypatch)
    words = said(app)
    first = ("There is no survey yet.", "Bring in files or try the demo site")
    for one in WITHOUT_A_SURVEY.get(module, first):
        assert one in words
    assert tables(app) == []


def test_an_empty_store_has_no_import(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    words = said(page("records", tmp_path / "empty.db", monkeypatch, view="imports"))
    assert "Nothing has been brought in yet." in words


def test_overview_names_every_joint_that_must_not_wait(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("overview", demo_store, monkeypatch)
    now, before, cured = tables(app)
    assert {(row["connection"], row["at full load"], row["as found"], row["action"]) for row in now} == {
        ("MSB/F1/A", "4", "4", "remake"),
        ("MCC-1/F1/A", "4", "4", "retighten"),
        ("GEN-1/F1/A", "4", "4", "retighten"),
        ("SWB-1/F4/A", "4", "4", "remake"),
        ("MCC-2/F1/A", "4", "4", "remake"),
        ("MCC-2/F1/B", "4", "4", "remake"),
        ("MCC-2/F1/C", "4", "4", "remake"),
    }
    rated = [(row["severity"], row["latest reading"]) for row in before if row["severity"] in "34"]
    assert rated == [("4", "9"), ("3", "4")]
    assert [(row["work"], row["done"], row["cured"]) for row in cured] == [("tightened", "1", "0")]
    for body in ("survey?band=4", "survey?band=3", "survey?view=not+surveyed", "records?view=gaps", "survey?view=due"):
        assert any(body in one.proto.body for one in app.get("html"))


def test_survey_results_row_by_row(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """13 K over similar at 80 % is 2 as found; 20.3 K at full load, low end 16.1 K, is 4; crimped."""
    app = page("survey", demo_store, monkeypatch, find="DB-4/F2/")
    row = row_of(app, "DB-4/F2/A")
    why = row.pop("why")
    assert row == {
        "connection": "DB-4/F2/A",
        "board": "DB-4",
        "at full load": "4",
        "as found": "2",
        "load": "80 %",
        "over similar": "13.0 K",
        "over air": "25.0 K",
        "action": "remake",
    }
    assert "13.0 K over similar at 80 % load" in why
    assert next(one["connection"] for one in tables(app)[0]) == "DB-4/F2/A", "worst first"


@pytest.mark.parametrize(
    ("query", "ids"),
    [
        ({"band": "3"}, {"MCC-1/F2/body", "MCC-4/F1/A", "UPS-1/F2/A", "UPS-1/F2/B", "DB-5/F1/A"}),
        ({"band": "not rated"}, {"MSB/F3/C", *(f"{way}/{phase}" for way in ("DB-2/F1", "DB-3/F4") for phase in "ABC")}),
        ({"urgency": "now", "board": "MCC-2"}, {"MCC-2/F1/A", "MCC-2/F1/B", "MCC-2/F1/C"}),
        ({"action": "balance load"}, {"SWB-1/F2/A"}),
        ({"find": "no such words"}, set()),
    ],
    ids=["3", "not rated", "now on a board", "an action", "nothing"],
)
def test_survey_filters(
    query: dict[str, str], ids: set[str], demo_store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = page("survey", demo_store, monkeypatch, **query)
    assert {row["connection"] for table in tables(app) for row in table} == ids
    assert ids or "No row fits these filters." in said(app)


def test_pages_of_a_long_list(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shown = []
    for number in ("1", "6", "99", "x"):
        app = page("survey", demo_store, monkeypatch, page=number)
        shown.append((said(app).partition("Rows ")[2].partition(" of")[0], len(tables(app)[0])))
    assert shown == [("1 to 50", 50), ("251 to 255", 5), ("251 to 255", 5), ("1 to 50", 50)]
    app = press(page("survey", demo_store, monkeypatch), "Next rows")
    assert "Rows 51 to 100 of 255" in said(app)


def test_what_to_survey_again_and_why(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("survey", demo_store, monkeypatch, view="resurvey")
    assert [row["connection"] for row in tables(app)[0]][:3] == ["MSB/F3/C", "SWB-2/F3/A", "UPS-1/F2/A"]
    assert "the joint was not seen" in row_of(app, "DB-2/F1/A")["why"]
    assert row_of(app, "DB-2/F1/A")["at full load"] == "not rated"
    assert "no load" in row_of(app, "DB-3/F4/A")["why"] or "not loaded" in row_of(app, "DB-3/F4/A")["why"]
    assert "measure the current in each phase first" in row_of(app, "UPS-1/F2/C")["why"]


def test_due_what_must_not_wait_then_in_route_order(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Read on 13 May 2025 with an interval of 12 months; rated 4 on 12 May, 20 days before 1 June."""
    app = page("survey", demo_store, monkeypatch, view="due")
    rows = tables(app)[0]
    place = [0 if row["urgency"] == "now" else 1 if "open finding" in row["why it is due"] else 2 for row in rows]
    listed = list(zip(place, (row["connection"] for row in rows), strict=True))
    assert listed == sorted(listed)
    assert set(place) == {0, 1, 2}
    past, open_ = row_of(app, "DB-3/F2/A"), row_of(app, "DB-4/F2/A")
    assert (past["why it is due"], past["last seen"]) == ("past its interval", "13 May 2025")
    assert (open_["why it is due"], open_["at full load"]) == ("open finding for 20 days; look again", "4")


def test_rows_not_used_say_why(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("survey", demo_store, monkeypatch, view="unusable", kind="rejected")
    rows = tables(app)[0]
    assert sorted((row["file"], row["line"]) for row in rows if row["file"] != "survey_2026.xlsx") == [
        ("findings.csv", "7"),
        ("findings.csv", "8"),
        ("installs.csv", "160"),
        ("installs.csv", "161"),
    ]
    assert sum(row["file"] == "survey_2026.xlsx" for row in rows) == 3
    assert "“hand tight” is not a number" in said(app)


def test_rows_not_used_begin_with_what_may_be_the_hottest(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    rows = tables(page("survey", demo_store, monkeypatch, view="unusable"))[0]
    assert "off the instrument's scale" in rows[0]["why"]
    kinds = [row["kind"] for row in rows]
    assert kinds == sorted(kinds), "rejected before set aside"


def test_work_list_in_order_of_work(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("work", demo_store, monkeypatch)
    rows = tables(app)[0]
    assert [row["order"] for row in rows] == [str(number) for number in range(1, len(rows) + 1)]
    assert {row["action"] for row in rows} == {"retighten", "remake"}
    now = {"MSB/F1/A", "MCC-1/F1/A", "GEN-1/F1/A", "SWB-1/F4/A", "MCC-2/F1/A", "MCC-2/F1/B", "MCC-2/F1/C"}
    assert {row["connection"] for row in rows[:7]} == now, "what must not wait stands first"
    mild = row_of(app, "MCC-3/F1/A")
    assert (mild["action"], mild["at full load"], mild["as found"]) == ("retighten", "2", "2")
    assert (mild["required"], mild["likely loose"]) == ("31.0 N·m", "high")
    assert "DB-5/F3/A" not in said(app), "its finding is of a day to come"
    by_board = [row["board"] for row in tables(page("work", demo_store, monkeypatch, sort="board"))[0]]
    assert by_board == sorted(by_board)
    by_age = tables(page("work", demo_store, monkeypatch, sort="age"))[0]
    assert {row["connection"] for row in by_age} == {row["connection"] for row in rows}


def test_records_to_check(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Three quarters of 31 N·m applied; 275 recorded in N·m is 8.87 times 31: the figure in lbf·in."""
    app = page("work", demo_store, monkeypatch, view="b", board="MCC-1")
    row = row_of(app, "MCC-1/F5/A")
    assert (row["record"], row["required"], row["likely loose"]) == ("under-torqued", "31.0 N·m", "low")
    assert "23.2 N·m applied of 31.0 N·m" in row["why"]
    mixed = row_of(page("work", demo_store, monkeypatch, view="b", board="MCC-2"), "MCC-2/F5/A")
    assert (mixed["record"], "likely unit mix-up" in mixed["why"]) == ("doubtful", True)


@pytest.mark.parametrize(
    ("connection", "action", "severity", "found"),
    [
        ("UPS-1/F2/C", "check circuit", "0", "0"), ("SWB-1/F2/A", "balance load", "0", "3"),
        ("DB-2/F1/A", "inspect", "not rated", "not rated"), ("MCC-1/F2/body", "check load", "3", "3"),
        ("GEN-1/F1/B", "check load", "0", "0"), ("DB-1/F1/N", "monitor", "1", "1"),
    ],
)  # fmt: skip
def test_other_actions(
    connection: str, action: str, severity: str, found: str, demo_store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    row = row_of(page("work", demo_store, monkeypatch, view="other"), connection)
    assert (row["action"], row["at full load"], row["as found"]) == (action, severity, found)


def test_a_finding_typed_wrongly_is_told(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("work", demo_store, monkeypatch)
    fill(app, "Connection", "NOPE")
    app.run()
    assert any("NOPE" in error.value for error in app.error)


def test_a_finding_is_kept_and_counts(own_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Found loose today and left so: what stands in the list was even and unrecorded."""
    app = page("work", own_store, monkeypatch)
    fill(app, "Connection", "mcc-1/f5/a")
    app.run()
    press(app, "See what this finding changes")
    assert "Not yet: say the day, how it was found, what was done." in [error.value for error in app.error]
    choose(app, "As found", "loose")
    choose(app, "Done", "none")
    next(one for one in app.date_input if one.label == "Day of the visit").set_value(pages.ON)
    press(app, "See what this finding changes")
    assert "MCC-1/F5/A NEXT OUTAGE becomes SOON" in said(app)
    press(app, "Keep this entry")
    assert "Kept: MCC-1/F5/A." in said(app)
    row = row_of(page("work", own_store, monkeypatch), "MCC-1/F5/A")
    assert (row["action"], row["at full load"]) == ("retighten", "0")


def test_what_was_typed_can_be_changed_before_it_is_kept(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("work", demo_store, monkeypatch, id="MSB/F1/A", day="2026-05-20")
    for label, words in (("Who decided it", "P. Lowe"), ("Why it can wait", "no spare prat")):
        fill(app, label, words)
    next(one for one in app.date_input if one.label == "Put off until").set_value(dt.date(2026, 9, 1))
    press(app, "See what putting it off changes")
    assert "decided on: 20 May 2026" in said(app)
    press(app, "Go back and change it")
    assert "not kept yet" not in said(app)
    fill(app, "Why it can wait", "no spare part")
    press(app, "See what putting it off changes")
    words = "MSB/F1/A stays NOW: put off by P. Lowe until 1 September 2026: no spare part"
    assert words in said(app)
    press(app, "Drop it")
    assert [one.value for one in app.text_input if one.label == "Why it can wait"] == [""]


@pytest.mark.parametrize(("then", "goes_along"), [("MSB/F1/A", True), ("MSB/F1/B", False)])
def test_a_photograph_goes_along_with_its_own_joint_only(
    then: str, goes_along: bool, demo_store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    picture = io.BytesIO()
    Image.new("RGB", (32, 20), "#884422").save(picture, "JPEG")
    app = page("work", demo_store, monkeypatch, id="MSB/F1/A", day="2026-05-20")
    choose(app, "As found", "loose")
    choose(app, "Done", "none")
    app.file_uploader[0].set_value(("IMG_1.jpg", picture.getvalue(), "image/jpeg"))
    press(app, "See what this finding changes")
    assert "Photograph to be kept" in said(app)
    press(app, "Go back and change it")
    fill(app, "Connection", then)
    press(app, "See what this finding changes")
    assert ("Photograph to be kept" in said(app)) == goes_along


def choose(app: AppTest, label: str, value: str) -> None:
    next(one for one in app.selectbox if one.label == label).set_value(value)


@pytest.mark.parametrize("label", ["As found", "Done", "Unit of the torque", "Was it made safe, and how?"])
def test_nothing_is_preselected(label: str, demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("work", demo_store, monkeypatch, id="MSB/F1/A")
    assert next(one for one in app.selectbox if one.label == label).value is None
    assert [one.value for one in app.date_input] == [None] * 4


def test_put_off_it_stays_now_and_says_so(own_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("work", own_store, monkeypatch, id="MSB/F1/A", day="2026-05-20")
    for label, words in (("Who decided it", "P. Lowe"), ("Why it can wait", "no spare part")):
        fill(app, label, words)
    next(one for one in app.date_input if one.label == "Put off until").set_value(dt.date(2026, 9, 1))
    press(app, "See what putting it off changes")
    words = "MSB/F1/A stays NOW: put off by P. Lowe until 1 September 2026: no spare part"
    assert words in said(app)
    press(app, "Keep this entry")
    assert "MSB/F1/A" in said(page("overview", own_store, monkeypatch))
    assert words.split(": ", 1)[1] in said(page("connection", own_store, monkeypatch, id="MSB/F1/A"))


def test_a_remake_by_what_the_label_asks_awaits_proof(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing on record says what MSB/F1/A requires: who stands before it reads the label."""
    app = page("work", demo_store, monkeypatch, id="MSB/F1/A", day="2026-05-20")
    choose(app, "As found", "damaged")
    choose(app, "Done", "remade")
    fill(app, "Torque tool, or die of a crimp", "T-06")
    fill(app, "Required torque, where it is not on record", "31")
    press(app, "See what this finding changes")
    lacking = "Not yet: say the unit of the torque, the torque it was left at, where the required torque is from."
    assert lacking in [error.value for error in app.error]
    fill(app, "Torque it was left at", "31")
    choose(app, "Unit of the torque", "N·m")
    choose(app, "Where the required torque is from", "label")
    press(app, "See what this finding changes")
    assert "MSB/F1/A NOW becomes SOON" in said(app)
    assert "required torque: 31" in said(app)


def test_what_the_label_asks_is_kept_of_who_only_looked(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("work", demo_store, monkeypatch, id="MSB/F1/A", day="2026-05-20")
    choose(app, "As found", "not checked")
    choose(app, "Done", "none")
    fill(app, "Required torque, where it is not on record", "31")
    choose(app, "Unit of the torque", "N·m")
    choose(app, "Where the required torque is from", "label")
    press(app, "See what this finding changes")
    assert not app.error
    assert "required torque: 31" in said(app)


def test_a_notice_that_does_nothing_new_says_so(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever made the joint safe before stands; that it does no longer is an answer of its own."""
    app = page("work", demo_store, monkeypatch, id="MSB/F1/A", day="2026-05-20")
    fill(app, "Who was told", "M. Fenn")
    fill(app, "Who told them", "P. Lowe")
    choose(app, "Was it made safe, and how?", "nothing new was done to make it safe")
    press(app, "See what this notice changes")
    assert "made safe: nothing new was done to make it safe" in said(app)


def planned(app: AppTest) -> AppTest:
    """The plan page once the outages are planned: the work goes on in a thread of its own."""
    press(app, "Plan the outages")
    end = time.monotonic() + pages.LONGEST_S
    while "Who does what" not in said(app) and time.monotonic() < end:
        app.run()
    return app


def test_plan_lists_outages_and_plans_them(own_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("plan", own_store, monkeypatch)
    first, second = tables(app)[0]
    assert first == {
        "outage": "OUT-1",
        "begins": "6 February 2027",
        "hours": "8.0",
        "crews": "2",
        "isolates": "MCC-1, MCC-2, DB-4, DB-5, UPS-1",
    }
    assert (second["outage"], second["hours"], second["crews"]) == ("OUT-2", "12.0", "3")
    words = said(planned(app))
    assert "pieces of work planned" in words
    assert "What is not in the plan, and why" in words
    _, boards, work, *_ = tables(app)
    isolates = {"OUT-1": first["isolates"], "OUT-2": second["isolates"]}
    assert all(row["board"] in isolates[row["outage"]].split(", ") for row in boards)
    assert {"MCC-1/F1/A", "MCC-2/F1/A", "MSB/F1/A"} <= {row["connection"] for row in work}
    assert {row["action"] for row in work} <= {"retighten", "remake", "check torque"}


@pytest.mark.long
def test_a_long_list_of_what_is_not_planned_is_cut_with_a_word(
    own_store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """120 pairs of which A is 20 K over B, and 60 healthy ones, on a board that no outage isolates."""
    head = "connection_id,survey_date,connection_c,ambient_c,load_pct,equipment,circuit,phase\n"
    rows = "".join(
        f"ZZ/F{n}/A,2026-05-20,{60 if n < 120 else 40},30,90,ZZ,F{n},A\nZZ/F{n}/B,2026-05-20,40,30,90,ZZ,F{n},B\n"
        for n in range(180)
    )
    with keep.opened(str(own_store)) as store:
        add(store, head + rows, "zz.csv")
    app = planned(page("plan", own_store, monkeypatch))
    words = said(app)
    count = int(words.partition(" boards opened")[2].partition(" not planned")[0].replace(",", ""))
    assert count >= 360
    assert f"200 of {count} that are not planned are listed here" in words
    assert f"{count - 200} torque records to check" in words
    left = next(table for table in tables(app) if table and "urgency" in table[0])
    assert len(left) == 200
    hot = {row["connection"] for row in left if row["action"] == "retighten"}
    assert hot >= {f"ZZ/F{n}/A" for n in range(120)}, "every hot joint that no outage isolates"


@pytest.mark.long
def test_an_outage_needs_its_boards(own_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("plan", own_store, monkeypatch)
    fill(app, "Name of the outage", "Autumn stop")
    press(app, "Keep this outage")
    assert [error.value for error in app.error] == ["Choose the boards that are isolated."]
    fill(app, "Name of the outage", "Autumn stop")
    app.multiselect[0].set_value(["DB-1"])
    press(app, "Keep this outage")
    assert "Kept: Autumn stop." in said(app)
    assert row_of(app, "Autumn stop")["isolates"] == "DB-1"


def test_one_connection_from_reading_to_action(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """48 °C beside 42 °C at 85 %: 6 K as found; ÷ 0.85² = 8.3 K at full load; 18 K over the air."""
    words = said(page("connection", demo_store, monkeypatch, id="mcc-3/f1/a"))
    for one in (
        "Severity at full load 2 as found 2",
        "connection 48.0 °C, air 30.0 °C",
        "85.0 %",
        "8.3 K (n = 2)",
        "MCC-3/F1/B: 42.0 °C",
        "Pattern: one joint hot.",
        "State: unrecorded.",
        "tightened by feel",
        "tighten to 31.0 N·m (record, equipment label)",
        "Prove dead, open and inspect.",
        "ANSI/NETA table 100.18",
        "never a chance of failure",
        "Lock out and tag",
        "[Rise by day, over similar at 85 % load:",
    ):
        assert one in words, one


def test_one_connection_that_must_not_wait(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("connection", demo_store, monkeypatch, id="MSB/F1/A")
    words = said(app)
    assert "Tell the responsible person today" in words
    assert "over its limit of 90.0 °C" in words
    assert any('class="rs-now"' in one.proto.body and "Remake" in one.proto.body for one in app.get("html"))


def test_one_connection_that_was_not_seen(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert "not rated" in said(page("connection", demo_store, monkeypatch, id="DB-2/F1/A"))


def test_a_part_of_a_name_lists_those_that_hold_it(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("connection", demo_store, monkeypatch, id="F2/body")
    assert "There is no connection called “F2/body”." in said(app)
    assert [row["connection"] for row in tables(app)[0]] == ["MCC-1/F2/body"]


def test_gaps_of_the_records(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("records", demo_store, monkeypatch, view="gaps", board="MCC-1")
    row = row_of(app, "MCC-1/F5/A")
    assert (row["record"], row["required"], row["applied"]) == ("under-torqued", "31.0 N·m", "23.2 N·m")
    assert row_of(app, "MCC-1/F1/A")["why"] == "no tightening on record"
    assert "verified" not in {one["record"] for one in tables(app)[0]}


def test_coverage_adds_up(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    rows = tables(page("records", demo_store, monkeypatch, view="coverage"))[0]
    states = ("unrecorded", "under-torqued", "doubtful", "verified")
    for row in rows:
        assert sum(int(row[state]) for state in states) == int(row["joints"]), row["board"]
        assert row["looked at"] == "12 May 2026"
    assert sum(int(row["joints"]) for row in rows) == sum(int(row["read"]) for row in rows) == 255


@pytest.mark.parametrize(
    ("query", "ids"),
    [({}, {"MCC-3/F4/A"}), ({"tool": "t-05"}, {"MCC-3/F4/A"})],
    ids=["found out of tolerance", "by name"],
)
def test_tools_in_doubt(
    query: dict[str, str], ids: set[str], demo_store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = page("records", demo_store, monkeypatch, view="recall", **query)
    assert {row["connection"] for row in tables(app)[0]} == ids
    assert row_of(app, "MCC-3/F4/A")["tightened"] == "17 September 2024"


def test_a_date_that_is_none_is_told(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("records", demo_store, monkeypatch, view="recall", tool="T-05")
    fill(app, "Good until (a date such as 2025-03-08)", "last spring")
    app.run()
    assert [error.value for error in app.error] == ["“last spring” is not a date such as 2025-03-08."]


def test_an_import_is_taken_back_only_when_sure(own_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("records", own_store, monkeypatch, view="imports")
    rows = {row["file"]: row for row in tables(app)[0]}
    assert rows["tools.csv"]["holds"] == "tools 35 rows, 0 rejected"
    assert rows["findings.csv"]["holds"] == "findings 6 rows, 2 rejected"
    assert {row["state"] for row in rows.values()} == {"active"}
    assert not [one for one in app.button if one.label == "Undo this import"], "nothing is chosen beforehand"
    (chosen,) = (one for one in app.selectbox if one.label == "Import")
    chosen.select(next(option for option in chosen.options if "findings.csv" in option))
    app.run()
    assert "6 findings that only import" in " ".join(one.value for one in app.warning)
    (undo,) = (one for one in app.button if one.label == "Undo this import")
    assert undo.disabled
    app.checkbox[0].check()
    app.run()
    press(app, "Undo this import")
    assert "no longer counts." in said(app)
    assert row_of(app, "findings.csv")["state"] != "active"


@pytest.mark.long
def test_imports_are_read_again_for_their_site(own_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("records", own_store, monkeypatch, view="imports")
    press(app, "Read them again for this site")
    assert [error.value for error in app.error] == ["Choose the imports and write the name of their site."]
    (imports,) = (entry for entry in app.multiselect if entry.label == "Imports")
    imports.select(next(option for option in imports.options if "findings.csv" in option))
    fill(app, "Site", " Harrow  Fen Works (invented)")
    press(app, "Read them again for this site")
    assert "now import 12." in said(app)
    rows = {row["import"]: row for row in tables(app)[0]}
    assert (rows["12"]["file"], rows["12"]["given for site"], rows["12"]["state"]) == (
        "findings.csv",
        "Harrow Fen Works (invented)",
        "active",
    )
    assert [row["state"] for row in rows.values() if row["file"] == "findings.csv"] == ["active", "superseded by 12"]


def test_what_is_of_no_known_site_is_said_and_stays_hot(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place = tmp_path / "s.db"
    head = "connection_id,survey_date,connection_c,ambient_c,load_pct\n"
    with keep.opened(str(place), create=True) as store:
        add(store, f"{head}C1,2026-05-12,95,30,60\n", "w.csv")
        (made,) = sites.give_site(store, [1], "Works", limits=Limits(), stamp=ANN)
        add(store, f"{head}C1,2026-05-13,32,30,60\n", "y.csv", site="Yard")
        keep.undo(store, made.id, ANN)
    app = page("overview", place, monkeypatch)
    assert "1 connection must be dealt with now" in said(app)
    assert [row["connection"] for row in tables(app)[0]] == ["C1 @ ? (w.csv)"]
    app = page("records", place, monkeypatch, view="imports")
    assert "Kept apart, as NAME @ ?: import 1 of the store does not say the site of 'C1'." in said(app)


@pytest.mark.long
def test_rows_refused_beside_those_of_other_files_are_shown(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each list is good alone; together they say two things of one joint."""
    place = tmp_path / "s.db"
    with keep.opened(str(place), create=True) as store:
        add(store, "connection_id,survey_date,connection_c,ambient_c\nC1,2026-05-12,OL,30\nC2,2026-05-12,40,30\n")
        add(store, "connection_id,limit_c\nC1,60\n", "a.csv")
        add(store, "connection_id,limit_c\nC1,90\nC3,90\n", "b.csv", decision=Decision(beside=True))
    assert "Not in this list: 1 reading rejected, perhaps the hottest (C1)" in said(
        page("overview", place, monkeypatch)
    )
    app = page("records", place, monkeypatch, view="rejected")
    assert [(row["file"], row["line"]) for row in tables(app)[-1]] == [("b.csv", "2")]


def row_to_settle(app: AppTest, name: str = "findings.csv, line 7") -> AppTest:
    """The page with this row chosen; none is before somebody chooses, and no two are called the same."""
    box = next(one for one in app.selectbox if one.label == "Row")
    assert box.value is None
    assert len(set(box.options)) == len(box.options)
    (place,) = (n for n, option in enumerate(box.options) if option.partition(": ")[2] == name)
    return box.select_index(place).run()


@pytest.mark.long
def test_a_rejected_row_is_dismissed_with_a_reason(own_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = row_to_settle(page("records", own_store, monkeypatch, view="rejected"))
    press(app, "Dismiss with this note")
    assert ["Not changed" in error.value for error in app.error] == [True]
    fill(app, "Why it needs nothing more", "entered twice")
    press(app, "Dismiss with this note")
    assert "Rows 1 to 6 of 6" in said(app)
    assert [(row["file"], row["line"], row["note"]) for row in tables(app)[1]] == [
        ("findings.csv", "7", "entered twice")
    ]


@pytest.mark.long
def test_a_rejected_row_is_mended(own_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Found loose on 20 May and left so: it counts as soon as its day is right."""
    app = row_to_settle(page("records", own_store, monkeypatch, view="rejected"))
    fill(app, "work_date", "2026-05-20")
    press(app, "Use these cells")
    assert "Rows 1 to 6 of 6" in said(app)
    row = row_of(page("work", own_store, monkeypatch), "DB-5/F3/A")
    assert (row["action"], row["at full load"]) == ("retighten", "0")


CIRCUIT = "connection_id,survey_date,connection_c,ambient_c,load_pct,equipment,circuit,phase\n"
HOT_A = CIRCUIT + "A,2026-05-04,62,30,80,P,F1,A\nB,2026-05-04,35,30,80,P,F1,B\n"
OFF_A = CIRCUIT + "A,2026-05-25,OL,30,80,P,F1,A\nB,2026-05-25,35,30,80,P,F1,B\nB,2026-05-2x,35,30,80,P,F1,B\n"


@pytest.fixture
def off_store(tmp_path: Path) -> Path:
    """A is hot on 4 May and off the scale on 25 May."""
    place = tmp_path / "s.db"
    with keep.opened(str(place), create=True) as store:
        add(store, HOT_A, "may.csv")
        add(store, OFF_A, "off.csv")
    return place


def test_a_cell_that_would_let_a_joint_go_is_asked_about_first(
    off_store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = row_to_settle(page("records", off_store, monkeypatch, view="rejected"), "off.csv, line 2")
    fill(app, "connection_c", "34")
    press(app, "Use these cells")
    words = (
        "Kept would be connection_c “34” for “OL”. What must not wait now, and by this no longer would: A. Make sure."
    )
    assert [words in warning.value for warning in app.warning] == [True]
    press(app, "Keep these cells")
    assert "Rows 1 to 2 of 2" in said(app), "nobody was sure yet"
    assert ["Not kept: tick that it is so" in error.value for error in app.error] == [True]
    tick(app, "Yes, it is so")
    fill(app, "connection_c", "33")
    press(app, "Keep these cells")
    assert ["Kept would be connection_c “33” for “OL”" in warning.value for warning in app.warning] == [True], (
        "asked anew"
    )
    tick(app, "Yes, it is so")
    press(app, "Keep these cells")
    assert any("off.csv, line 2 counts now." in words.value for words in app.success)


@pytest.mark.parametrize("nothing", ["", "-", "n/a"])
def test_an_emptied_cell_is_asked_about_whatever_it_changes(
    nothing: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A value that could not be read, under no header: without it the row counts, and nothing that is now changes."""
    place = tmp_path / "s.db"
    with keep.opened(str(place), create=True) as store:
        head, rows = CIRCUIT.split("\n")[0] + ",", ("A,2026-05-04,35,30,80,P,F1,A,OL", "B,2026-05-04,35,30,80,P,F1,B,")
        add(store, "\n".join((head, *rows, "C,2026-05-04,35,30,80,P,F1,C,41", "")), "strays.csv")
    app = row_to_settle(page("records", place, monkeypatch, view="rejected"), "strays.csv, line 2")
    fill(app, "Cell 9", nothing)
    press(app, "Use these cells")
    words = f"Kept would be Cell 9 “{nothing}” for “OL”. What stood in an emptied cell counts for nothing then."
    assert [warning.value for warning in app.warning if "Kept would be" in warning.value] == [words]
    tick(app, "Yes, it is so")
    press(app, "Keep these cells")
    assert any("strays.csv, line 2 " in words.value for words in [*app.success, *app.warning])


def test_what_was_worked_out_is_of_the_settings_there_were(tmp_path: Path) -> None:
    with keep.opened(str(tmp_path / "s.db"), create=True) as store:
        at: Any = SimpleNamespace(store=store, actor=ANN.actor, on=pages.ON)
        assert [once(at, "this", lambda: "one"), once(at, "this", lambda: "two")] == ["one", "one"]
        assert once(at, "that", lambda: "two") == "two"
        (tmp_path / "riskscope.toml").write_text("survey_gap_days = 10\n")
        assert once(at, "this", lambda: "three") == "three"


@pytest.mark.long
def test_a_tick_is_of_what_stood_above_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Between the tick and the button somebody brings in that C was hot: then the cells would let C go, too."""
    place, head = tmp_path / "s.db", "Panel,Circuit,Date,Air temp (°C),A temp (°C),B temp (°C),C temp (°C)"
    with keep.opened(str(place), create=True) as store:
        add(store, f"{head},Load A (%),Load B (%),Load C (%)\nP,F,2026-05-12,25,36,OL,36,80,80,\n", "wide.csv")
    app = row_to_settle(page("records", place, monkeypatch, view="rejected"), "wide.csv, line 2")
    fill(app, "B temp (°C)", "95")
    fill(app, "Load C (%)", "80")
    press(app, "Use these cells")
    cells = "Kept would be B temp (°C) “95” for “OL”; Load C (%) “80” for “”."
    assert [warning.value for warning in app.warning] == [
        f"{cells} What by this would be new among what must not wait: P/F/B. Make sure."
    ]
    tick(app, "Yes, it is so")
    with keep.opened(str(place)) as store:
        rows = [
            f"P/F/{name},2026-04-01,{celsius},25,80,P,F,{name}"
            for name, celsius in zip("ABC", (36, 36, 95), strict=True)
        ]
        add(store, CIRCUIT + "\n".join(rows), "april.csv")
    press(app, "Keep these cells")
    assert ["no longer would: P/F/C" in warning.value for warning in app.warning] == [True]
    tick(app, "Yes, it is so")
    press(app, "Keep these cells")
    assert any("wide.csv, line 2 counts now." in words.value for words in app.success)


@pytest.mark.long
def test_a_note_is_of_the_phase_it_was_written_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Somebody else dismisses phase A meanwhile: what was written for A does not dismiss B."""
    place, head = tmp_path / "s.db", "Panel,Circuit,Date,Air temp (°C),A temp (°C),B temp (°C),Load A (%),Load B (%)"
    with keep.opened(str(place), create=True) as store:
        add(store, f"{head}\nP,F,2026-05-12,25,OL,>250,80,80\nP,G,2026-05-12,25,36,36,80,80\n", "wide.csv")
    app = row_to_settle(page("records", place, monkeypatch, view="rejected"), "wide.csv, line 2")
    assert "Dismissed is the first of the 2: phase A" in said(app)
    fill(app, "Why it needs nothing more", "phase A: lens cap on")
    with keep.opened(str(place)) as store:
        rows = keep.refused(store, ANN.actor).query("state == 'open' and line == 2")
        keep.dismiss(store, int(rows["id"].iloc[0]), "read again", ANN)
    press(app, "Dismiss with this note")
    assert any("has changed meanwhile" in warning.value for warning in app.warning)
    with keep.opened(str(place)) as store:
        (left,) = keep.refused(store, ANN.actor).query("state == 'open' and line == 2")["reason"]
    assert left.startswith("phase B")


@pytest.mark.long
def test_a_line_with_a_phase_that_is_still_open_is_called_open(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place, head = tmp_path / "s.db", "Panel,Circuit,Date,Air temp (°C),A temp (°C),B temp (°C),Load A (%),Load B (%)"
    with keep.opened(str(place), create=True) as store:
        add(store, f"{head}\nP,F,2026-05-12,25,OL,>250,80,80\nP,G,2026-05-12,25,36,36,80,80\n", "wide.csv")
        mend(store, 1, [Edit("", 2, 5, ">250", "39")], limits=Limits(), stamp=ANN)
    row_to_settle(page("records", place, monkeypatch, view="rejected"), "wide.csv, line 2")
    with keep.opened(str(place)) as store:
        (left,) = keep.refused(store, ANN.actor).query("state == 'open' and line == 2")["id"]
        keep.dismiss(store, int(left), "lens cap on", ANN)
    row_to_settle(page("records", place, monkeypatch, view="rejected"), "wide.csv, line 2: corrected, correct it again")


@pytest.mark.long
def test_an_import_is_not_taken_back_by_an_older_tick(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """After the tick a cell of it is mended that makes B one that must not wait: that goes with it, too."""
    place = tmp_path / "s.db"
    rows = "A,2026-05-04,95,30,80,P,F1,A\nB,2026-05-04,OL,30,80,P,F1,B\nC,2026-05-04,35,30,80,P,F1,C\n"
    with keep.opened(str(place), create=True) as store:
        add(store, CIRCUIT + "C,2026-04-04,35,30,80,P,F1,C\n", "april.csv")
        add(store, CIRCUIT + rows, "may.csv")
    app = page("records", place, monkeypatch, view="imports")
    box = next(one for one in app.selectbox if one.label == "Import")
    box.select_index(box.options.index("2: may.csv")).run()
    tick(app, "Yes, take back import 2")
    app.run()
    with keep.opened(str(place)) as store:
        mend(store, 2, [Edit("", 3, 2, "OL", "99")], limits=Limits(), stamp=ANN)
    press(app, "Undo this import")
    assert any("B" in warning.value for warning in app.warning)
    with keep.opened(str(place)) as store:
        assert [entry.state for entry in keep.listed(store, ANN.actor)] == ["active", "active"]


def states_of(place: Path, count: int) -> list[str]:
    """The states of the imports of a store, as soon as there are so many: they come in a thread of its own."""
    end = time.monotonic() + pages.LONGEST_S
    with keep.opened(str(place)) as store:
        while len(listed := keep.listed(store, ANN.actor)) < count and time.monotonic() < end:
            time.sleep(0.1)
        return [entry.state for entry in listed]


@pytest.mark.long
def test_a_survey_split_by_board_takes_the_place_of_the_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place, boards = (
        tmp_path / "s.db",
        {"p.csv": "X,2026-05-12,120,30,80,P,F1,A\n", "q.csv": "Y,2026-05-12,36,30,80,Q,F1,A\n"},
    )
    with keep.opened(str(place), create=True) as store:
        add(store, CIRCUIT + "".join(boards.values()), "whole.csv")
    app = page("bring_in", place, monkeypatch)
    files = [(name, (CIRCUIT + text).encode(), "text/csv") for name, text in boards.items()]
    app.file_uploader[0].set_value([*files, ("again.csv", (CIRCUIT + boards["q.csv"] + "\n").encode(), "text/csv")])
    app.run()
    for box in app.radio:
        box.set_value("It replaces import 1")
    app.run()
    assert any("has 1 row that is in" in error.value for error in app.error)
    assert next(shown for shown in app.button if shown.label == "Accept 3 of 3 files").disabled
    app.file_uploader[0].set_value(files)
    app.run()
    press(app, "Accept 2 of 2 files")
    assert states_of(place, 3) == ["superseded", "active", "active"]
    app = page("records", place, monkeypatch, view="imports")
    assert row_of(app, "whole.csv")["state"] == "superseded by 2 and 3"
    box = next(shown for shown in app.selectbox if shown.label == "Import")
    box.select_index(box.options.index("2: p.csv")).run()
    assert any("are taken back together" in text.value for text in app.markdown)
    tick(app, "Yes, take back imports 2 and 3")
    app.run()
    press(app, "Undo this import")
    assert [shown.value for shown in app.success] == ["Imports 2 and 3 no longer count. Import 1 counts again."]


LATER = "A,2026-05-28,{},30,80,P,F1,A\n"
WOULD = "and by this no longer would: A. Make sure."


@pytest.mark.long
def test_of_two_files_of_one_name_each_is_asked_about(off_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As after a cell was put right in the spreadsheet and the file dropped in again."""
    app = page("bring_in", off_store, monkeypatch)
    for celsius, is_asked in (("62.5", False), ("36", True)):
        text = HOT_A.replace(",62,", f",{celsius},")
        app.file_uploader[0].set_value([("hot.csv", text.encode(), "text/csv")])
        app.run()
        app.radio[0].set_value("It replaces import 1")
        app.run()
        assert any(WOULD in warning.value for warning in app.warning) is is_asked
        assert next(one for one in app.button if one.label == "Accept this file").disabled is is_asked


def on_empty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[AppTest, Path]:
    """The page to bring files in, on a store that holds nothing, and where that is."""
    place = tmp_path / "s.db"
    with keep.opened(str(place), create=True):
        pass
    return page("bring_in", place, monkeypatch), place


GOES = "What must not wait with the files as they came, and by the cells mended here no longer would: A. Make sure."
NOT_READ = "and by the cells mended here would go with no reading in its place: A. Make sure."


@pytest.mark.parametrize(
    ("place", "typed", "asked"), [("connection_c", "", GOES), ("connection_id", "B", NOT_READ)], ids=["emptied", "id"]
)
def test_a_cell_mended_before_a_file_is_accepted_is_asked_about(
    tmp_path: Path, place: str, typed: str, asked: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is off the scale keeps A among what must not wait, beside a cool reading of that day."""
    store = tmp_path / "s.db"
    with keep.opened(str(store), create=True) as made:
        add(made, HOT_A, "hot.csv")
    app = page("bring_in", store, monkeypatch)
    text = CIRCUIT + LATER.format("34") + LATER.format(">150") + LATER.format("35").replace("A", "B")
    app.file_uploader[0].set_value([("later.csv", text.encode(), "text/csv")])
    app.run()
    assert not next(one for one in app.button if one.label == "Accept this file").disabled
    fill(app, place, typed)
    press(app, "Use these cells")
    assert any(asked in warning.value for warning in app.warning)
    assert next(one for one in app.button if one.label == "Accept this file").disabled


def test_cells_mended_where_a_question_was_open_are_always_asked_about(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app, _ = on_empty(tmp_path, monkeypatch)
    text = CIRCUIT + "A,05/04/2026,40,30,80,P,F1,A\nB,05/04/2026,>150,30,80,P,F1,B\n"
    app.file_uploader[0].set_value([("open.csv", text.encode(), "text/csv")])
    app.run()
    fill(app, "survey_date", "25/04/2026")
    press(app, "Use these cells")
    assert "Cells mended here: line 3: “25/04/2026” for “05/04/2026”." in said(app)
    assert any("open.csv cannot be read as it came" in warning.value for warning in app.warning)
    assert next(one for one in app.button if one.label == "Accept this file").disabled


@pytest.mark.long
def test_what_was_dropped_in_is_there_when_one_comes_back_to_the_page(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = tmp_path / "s.db"
    with keep.opened(str(store), create=True) as made:
        add(made, HOT_A, "hot.csv")
    app = page("bring_in", store, monkeypatch)
    text = CIRCUIT + LATER.format(">150") + LATER.format("35").replace("A", "B")
    app.file_uploader[0].set_value([("later.csv", text.encode(), "text/csv")])
    app.run()
    fill(app, "connection_c", "85")
    press(app, "Use these cells")
    del app.session_state[UPLOADER]  # as on every other page
    app.file_uploader[0].set_value([])
    app.run()
    assert "Cells mended here: line 2: “85” for “>150”." in said(app)
    press(app, "Leave this file out")
    assert "later.csv" not in said(app)


@pytest.mark.long
def test_beside_such_a_file_the_others_are_asked_about_and_a_tick_is_of_the_cells_it_was_given_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = tmp_path / "s.db"
    with keep.opened(str(store), create=True) as made:
        add(made, HOT_A, "hot.csv")
    app = page("bring_in", store, monkeypatch)
    later = CIRCUIT + LATER.format(">150") + LATER.format("35").replace("A", "B")
    open_ = CIRCUIT + "X,05/04/2026,40,30,80,P,F9,A\nY,05/04/2026,>150,30,80,P,F9,B\nZ,05/04/2026,OL,30,80,P,F9,C\n"
    files = [(name, text.encode(), "text/csv") for name, text in (("later.csv", later), ("open.csv", open_))]
    app.file_uploader[0].set_value(files)
    app.run()
    fill(app, "connection_c", "36", 0)
    press(app, "Use these cells", 0)
    fill(app, "survey_date", "25/04/2026")
    press(app, "Use these cells")
    (asked,) = [warning.value for warning in app.warning if "Make sure" in warning.value]
    assert "open.csv cannot be read as it came" in asked
    assert GOES in asked
    tick(app, "Yes, accept them so")
    app.run()
    assert not next(shown for shown in app.button if shown.label == "Accept 2 of 2 files").disabled
    fill(app, "connection_c", "41")
    press(app, "Use these cells")
    assert next(shown for shown in app.button if shown.label == "Accept 2 of 2 files").disabled


def test_a_mended_cell_that_changes_how_other_lines_are_read_is_asked_about(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An id mended into that of another phase: both are told apart by their phase, and so the other has a new id."""
    app, _ = on_empty(tmp_path, monkeypatch)
    rows = "D,2026-05-04,OL,30,80,P,F1,A\nE,2026-05-04,41,30,80,P,F1,B\n"
    app.file_uploader[0].set_value([("d.csv", (CIRCUIT + rows).encode(), "text/csv")])
    app.run()
    fill(app, "connection_id", "E")
    fill(app, "connection_c", "41")
    press(app, "Use these cells")
    asked = " ".join(warning.value for warning in app.warning)
    assert "other lines of it change, which nobody mended: line 3 (E/B) read otherwise now" in asked


def test_a_file_that_is_not_accepted_stays_with_its_answers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app, store = on_empty(tmp_path, monkeypatch)
    open_ = CIRCUIT + "C,1/2/2026,95,30,80,Q,F1,A\nD,1/2/2026,35,30,80,Q,F1,B\n"
    app.file_uploader[0].set_value([("good.csv", HOT_A.encode(), "text/csv"), ("open.csv", open_.encode(), "text/csv")])
    app.run()
    assert "What is not accepted stays here, and does not count." in said(app)
    press(app, "Accept 1 of 2 files")
    end = time.monotonic() + pages.LONGEST_S
    while "good.csv brought in" not in said(app) and time.monotonic() < end:
        app.run()
    assert "open.csv" in said(app)
    assert not app.file_uploader[0].value
    assert "Left from before: not accepted yet." in said(app)
    next(box for box in app.radio if box.label == "Your answer").set_value("True")
    app.run()
    press(app, "Accept this file")
    while "open.csv brought in" not in said(app) and time.monotonic() < end:
        app.run()
    assert "Accept" not in said(app)
    with keep.opened(str(store)) as made:
        assert [entry.name for entry in keep.listed(made, ANN.actor)] == ["good.csv", "open.csv"]


@pytest.mark.long
def test_two_files_that_replace_two_imports_are_asked_about_together(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """X is hot in either; each file alone takes nothing away, as the other has it still. Y is in a third one, too."""
    place = tmp_path / "s.db"
    rest = "{a},2026-05-{day},35,30,80,P,F1,{a}\n"
    texts = {}
    with keep.opened(str(place), create=True) as store:
        for name, day, more in (("ann.csv", "12", "BCDE"), ("bob.csv", "13", "FGHI")):
            texts[name] = CIRCUIT + "".join(rest.format(a=a, day=day) for a in more)
            hot = f"X,2026-05-{day},120,30,80,Q,F1,A\n" + (
                "Y,2026-05-12,120,30,80,R,F1,A\n" if name == "ann.csv" else ""
            )
            add(store, texts[name] + hot, name)
        add(store, CIRCUIT + "Y,2026-05-14,120,30,80,R,F1,A\n", "carl.csv")
    app = page("bring_in", place, monkeypatch)
    app.file_uploader[0].set_value([(name, text.encode(), "text/csv") for name, text in texts.items()])
    app.run()
    for box in app.radio:
        box.set_value(next(option for option in box.options if option.startswith("It replaces")))
    app.run()
    asked = "What must not wait now, and by this no longer would: X."
    assert sum(asked in warning.value for warning in app.warning) == 1
    assert next(one for one in app.button if one.label == "Accept 2 of 2 files").disabled
    tick(app, "Yes, accept them so")
    app.run()
    with keep.opened(str(place)) as store:
        keep.undo(store, 3, ANN)
    press(app, "Accept 2 of 2 files")
    assert any("no longer would: X, Y." in warning.value for warning in app.warning), (
        "that of the third is gone meanwhile"
    )
    with keep.opened(str(place)) as store:
        assert len(keep.listed(store, ANN.actor)) == 3
    tick(app, "Yes, accept them so")
    app.run()
    press(app, "Accept 2 of 2 files")
    assert states_of(place, 5) == ["superseded", "superseded", "undone", "active", "active"]


def two_boards(folder: Path) -> Path:
    """A workbook with a sheet for each of two boards, the first row of each off the scale."""
    place = folder / "boards.xlsx"
    with pd.ExcelWriter(place) as book:
        for board in ("B3", "B4"):
            row = (f"{board}/A", "2026-05-12", "OL", 25, 80, board, "F1", "A")
            pd.DataFrame([row], columns=CIRCUIT.strip().split(",")).to_excel(book, sheet_name=board, index=False)
    return place


def test_rows_of_one_line_of_several_sheets_are_told_apart(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place = tmp_path / "s.db"
    assert run(["store", "add", str(two_boards(tmp_path)), "--sheet", "all", "--store", str(place)]) == 0
    for board in ("B3", "B4"):
        app = row_to_settle(page("records", place, monkeypatch, view="rejected"), f"boards.xlsx, sheet {board}, line 2")
        assert f"boards.xlsx, sheet {board}, line 2: " in said(app)
        fill(app, "Why it needs nothing more", f"{board} was read again")
        press(app, "Dismiss with this note")
    settled = tables(page("records", place, monkeypatch, view="rejected"))[-1]
    assert {row["sheet"]: row["note"] for row in settled} == {"B3": "B3 was read again", "B4": "B4 was read again"}


def tick(app: AppTest, label: str) -> None:
    (box,) = (box for box in app.checkbox if box.label == label)
    assert not box.value
    box.check()


def _refused_of(store: Store, file: str) -> int:
    return int(keep.refused(store, ANN.actor).query(f"kind == 'rejected' and file == {file!r}")["id"].iloc[0])


@pytest.mark.long
def test_a_row_stays_chosen_with_what_is_typed_when_others_settle_theirs(
    off_store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with keep.opened(str(off_store)) as store:
        add(store, OFF_A.replace("A,", "B,"), "other.csv")
    app = row_to_settle(page("records", off_store, monkeypatch, view="rejected"), "off.csv, line 2")
    fill(app, "connection_c", "85")
    with keep.opened(str(off_store)) as store:
        keep.dismiss(store, _refused_of(store, "other.csv"), "lens cap", BOB)
    press(app, "Use these cells")
    assert "Kept would be connection_c “85”" in said(app)
    with keep.opened(str(off_store)) as store:
        keep.dismiss(store, _refused_of(store, "off.csv"), "lens cap", BOB)
    app.run()
    assert any("settled by somebody else meanwhile" in warning.value for warning in app.warning)


def test_a_wrong_setting_is_said_on_every_page(
    demo_store: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = shutil.copy(demo_store, tmp_path / "s.db")
    app = page("overview", Path(place), monkeypatch)
    (tmp_path / "riskscope.toml").write_text('[settings]\nlimit_default_c = "sixty"\n')
    app.run()
    assert ["must be a number; got 'sixty'" in error.value for error in app.error] == [True]


@pytest.mark.long
def test_after_a_correction_that_is_none_the_same_row_stays_chosen(
    off_store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = row_to_settle(page("records", off_store, monkeypatch, view="rejected"), "off.csv, line 4")
    fill(app, "survey_date", "2026-05-3x")
    press(app, "Use these cells")
    assert any("off.csv, line 4 still cannot be used" in words.value for words in app.warning)
    box = next(box for box in app.selectbox if box.label == "Row")
    assert box.value[2] == 4


def test_a_connection_out_of_use_has_a_page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place = tmp_path / "s.db"
    with keep.opened(str(place), create=True) as store:
        add(store, HOT_A, "may.csv")
        add(store, "connection_id,retired_on,retired_by\nA,2026-05-20,A. Boss\n", "register.csv")
    app = page("connection", place, monkeypatch, id="a")
    assert "is out of use by the register since 20 May 2026, says A. Boss; its urgency was “now”" in said(app)
    assert [(row["connection"], row["at full load"]) for row in tables(app)[0]] == [("A", "4")]


def test_a_site_that_would_let_a_joint_go_is_asked_about_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its limit is 60 °C on Works; on Wroks nobody knows its limit and its record."""
    place = tmp_path / "s.db"
    with keep.opened(str(place), create=True) as store:
        add(store, "connection_id,site,limit_c\nA,Works,60\n", "register.csv")
        add(store, CIRCUIT + "A,2026-05-04,62,30,80,P,F1,A\nB,2026-05-04,61,30,80,P,F1,B\n", "may.csv")
    app = page("records", place, monkeypatch, view="imports")
    (imports,) = (entry for entry in app.multiselect if entry.label == "Imports")
    imports.select(next(option for option in imports.options if "may.csv" in option))
    fill(app, "Site", "Wroks")
    app.run()
    (words,) = (warning.value for warning in app.warning if "Wroks" in warning.value)
    assert "Site 'Wroks' is new in this store, which knows Works: is it spelled so?" in words
    assert "What must not wait now, and by this no longer would: A. Make sure." in words
    assert next(button for button in app.button if button.label == "Read them again for this site").disabled


@pytest.mark.long
def test_what_findings_teach(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = press(page("records", demo_store, monkeypatch, view="learn"), "Learn from the findings")
    learned, likeliest = tables(app)
    assumed = {row["torque record"]: row["assumed"] for row in learned}
    assert assumed["unrecorded"] == "30 %"
    assert assumed["verified"] == "3 %"
    assert sum(int(row["findings"]) for row in learned) == 6
    assert likeliest


def test_method_shows_the_published_bands_and_the_files(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """ANSI/NETA table 100.18, from tests/published/severity_edges.csv."""
    bands, files = tables(page("records", demo_store, monkeypatch, view="method"))
    assert [(row["rise over"], row["as printed"], row["severity"]) for row in bands] == [
        ("similar", "1-3", "1"),
        ("similar", "4-15", "2"),
        ("similar", ">15", "4"),
        ("ambient", "1-10", "1"),
        ("ambient", "11-20", "2"),
        ("ambient", "21-40", "3"),
        ("ambient", ">40", "4"),
    ]
    sums = {row["file"]: row["SHA-256"] for row in files}
    assert sums["installs.csv"] == hashlib.sha256((DEMO / "installs.csv").read_bytes()).hexdigest()


def test_settings_say_where_they_come_from(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RISKSCOPE_LIMIT_DEFAULT_C", "85")
    app = page("records", demo_store, monkeypatch, view="settings")
    load, limit = row_of(app, "low_load"), row_of(app, "limit_default_c")
    assert (load["value"], load["from"]) == ("0.4", "default")
    assert limit["value"] == "85.0 °C"
    assert limit["from"] == "environment"
    assert {row["setting"] for row in tables(app)[0]} >= {field.name for field in dataclasses.fields(Settings)}


@pytest.mark.long
def test_units_of_the_reader(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """31 N·m is 274.4 lbf·in; 48 °C is 118.4 °F; a rise of 13 K is 23.4 °F."""
    app = page("work", demo_store, monkeypatch, q="lbf·in", find="MCC-3/F1/A")
    assert row_of(app, "MCC-3/F1/A")["required"] == "274 lbf·in"
    assert "118.4 °F" in said(page("connection", demo_store, monkeypatch, id="MCC-3/F1/A", t="°F"))
    rise = row_of(page("survey", demo_store, monkeypatch, find="DB-4/F2/A", t="°F"), "DB-4/F2/A")
    assert rise["over similar"] == "23.4 °F"


def test_files_are_understood_questioned_and_refused(own_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("bring_in", own_store, monkeypatch)
    header = "connection_id,survey_date,connection_c,ambient_c,load_pct"
    rows = f"{header}\nZ1/F1/A,2026-05-20,62,30,80\nZ1/F1/B,2026-05-20,OL,30,80\n"
    app.file_uploader[0].set_value([("late.csv", rows.encode(), "text/csv"), ("empty.csv", b"", "text/csv")])
    app.run()
    words = said(app)
    assert "Infrared survey**: 1 row accepted, **1 rejected**" in words
    assert "off the instrument's scale" in words
    assert "1 of 2 files cannot come in yet: see above." in words
    assert [error.value for error in app.error] == ["empty.csv: is empty."]
    press(app, "Cancel: keep none of them")
    assert "Accept" not in said(app)


@pytest.mark.long
def test_a_file_of_one_of_several_sites_is_asked_which(own_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    header = "connection_id,survey_date,connection_c,ambient_c,load_pct,site"
    with keep.opened(str(own_store)) as store:
        yard = f"{header}\nY1/F1/A,2026-05-20,35,30,80,Yard\n"
        unsited = sites.unsaid(store, ANN.actor)
        with pytest.raises(UnusableInput, match="do not say the site of"):
            add(store, yard, "yard.csv")
        for survey in unsited:
            sites.give_site(store, [survey], sites.named(store, ANN.actor)[0], limits=Limits(), stamp=ANN)
        add(store, yard, "yard.csv")
    app = page("bring_in", own_store, monkeypatch)
    rows = "connection_id,work_date,as_found,action\nNEW/F1/A,2026-05-21,tight,none\n"
    app.file_uploader[0].set_value([("findings.csv", rows.encode(), "text/csv")])
    app.run()
    assert "does not say the site of 'NEW/F1/A'" in said(app)
    assert "1 of 1 file cannot come in yet" in said(app)
    next(field for field in app.text_input if field.label.startswith("Site of the rows")).set_value("Yard").run()
    assert "does not say the site of" not in said(app)
    press(app, "Accept this file")
    with keep.opened(str(own_store)) as store:
        for _ in range(100):
            if len(keep.listed(store, ANN.actor)[-1].tables.get("findings", {})):
                break
            time.sleep(0.1)
        assert reading.tables(store, 30)["findings"]["site"].tolist()[-1] == "Yard"


def test_a_thermogram_and_its_boxes(own_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("thermogram", own_store, monkeypatch)
    name = "ir_001.csv"
    app.file_uploader[0].set_value((name, (DEMO / "thermograms" / name).read_bytes(), "text/csv"))
    app.text_area[0].set_value("A; T1/F1/A; 32,57 38,63; 0.95")
    app.run()
    assert row_of(app, "T1/F1/A")["box"] == "A"
    app.text_area[0].set_value("A; T1/F1/A")
    app.run()
    assert [error.value for error in app.error] == [
        "line 1 of the boxes needs a name, a connection and corners, with ; between."
    ]


@pytest.mark.long
def test_a_connection_is_renamed_after_what_it_changes_is_said(
    own_store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = page("records", own_store, monkeypatch, view="names", id="MCC-3/F1/A", day="2026-05-20")
    assert "No connection has been renamed here." in said(app)
    press(app, "See what the new name changes")
    assert [error.value for error in app.error] == ["Not yet: say its name from now on, who decided it, why."]
    fill(app, "Name from now on", "MCC-3/F01/A")
    fill(app, "Who decided it", "P. Lowe")
    fill(app, "Why they are one connection", "new labels")
    press(app, "See what the new name changes")
    assert "MCC-3/F1/A is called MCC-3/F01/A; what is known of either is of it." in said(app)
    press(app, "Keep this entry")
    assert "Kept: MCC-3/F01/A." in said(app)
    assert [row["name now"] for row in tables(app)[0]] == ["MCC-3/F01/A"]
    assert "MCC-3/F01/A" in said(page("connection", own_store, monkeypatch, id="MCC-3/F1/A")), "by its old name, too"


def test_an_open_page_says_that_the_store_has_changed(own_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = AppTest.from_function(_watched, default_timeout=30)
    monkeypatch.setenv("RISKSCOPE_STORE", str(own_store))
    monkeypatch.setenv("RISKSCOPE_ON", "2026-06-01")
    app.run()
    assert not app.warning
    with keep.opened(str(own_store)) as store:
        add(store, "connection_id,survey_date,connection_c,ambient_c\nNEW,2026-05-12,40,30\n", "new.csv")
    app.run()
    assert app.warning[0].value.startswith("The store has changed since this page was drawn, last by ann")
    assert [button.label for button in app.button] == ["Show it as it is now"]


def _watched() -> None:
    import streamlit as st

    from riskscope.jobs import keep
    from riskscope.screens.parts import changed, frame

    at = frame.here()
    drawn = st.session_state.setdefault("drawn", keep.state(at.store, at.actor))
    changed.watch(at, drawn)

"""A reading off the scale stands against a cool one of that day, in whatever file and under whatever name."""

from __future__ import annotations

import datetime as dt
import io
from pathlib import Path

import pandas as pd
import pytest

from riskscope.analysis.assess import assess
from riskscope.analysis.assessment import Assessment
from riskscope.analysis.proof import refused
from riskscope.analysis.proof.whose import whose
from riskscope.intake.files import Source
from riskscope.intake.options import ReadOptions
from riskscope.intake.read import read_files, read_frames
from riskscope.results.describe import described
from riskscope.schema.common import ID_PARTS, SAID
from riskscope.words.render import Units
from tests.build import phases
from tests.examples import part

ON = dt.date(2026, 6, 1)
HEAD = "connection_id,survey_date,site,equipment,circuit,phase,connection_c,ambient_c,load_pct\n"
REST = "P/F1/B,{day},W,P,F1,B,35,30,80\nP/F1/C,{day},W,P,F1,C,34,30,80\n"
FILES = {
    "survey_may.csv": HEAD + "P/F1/A,2026-05-04,W,P,F1,A,62,30,80\n" + REST.format(day="2026-05-04"),
    "survey_cool.csv": HEAD + "P/F1/A,2026-05-25,W,P,F1,A,34.5,30,80\n" + REST.format(day="2026-05-25"),
    "installs.csv": "connection_id,work_date,site,required_torque,applied_torque,torque_unit,tool_id\n"
    "P/F1/A,2026-02-01,W,25,10,N·m,T1\nP/F1/A,2026-05-20,W,25,25,N·m,T1\n",
    "tools.csv": "tool_id,site,range_min,range_max,torque_unit,calibrated_on\nT1,W,5,50,N·m,2026-01-10\n",
}
OFF = HEAD + "P/F1/A,2026-05-25,W,P,F1,A,OL,30,80\n"
BUILT = "survey_date,site,equipment,circuit,phase,connection_c,ambient_c,load_pct\n2026-05-25,W,P,F1,A,OL,30,80\n"
WIDE = (
    "Panel,Circuit,Date,Site,Air (°C),A temp (°C),B temp (°C),C temp (°C),Load A (A),Load B (A),Load C (A)\n"
    "P,F1,2026-05-25,W,30,OL,35,34,80,80,80\n"
)
RENAMED = "was_id,connection_id,renamed_on,renamed_by,reason\nOLD,P/F1/A,2026-05-26,P. Lowe,new labels\n"
ELSEWHERE = HEAD + "Q/F1/A,2026-05-25,V,Q,F1,A,35,30,80\n"
SECOND = HEAD + "P/F1/A,2026-05-25,V,P,F1,A,35,30,80\n"


def state(folder: Path, **more: str) -> str:
    for name, text in {**FILES, **{f"{name}.csv": text for name, text in more.items()}}.items():
        (folder / name).write_text(text, "utf-8")
    sources = [Source(path, ReadOptions(day_first=False)) for path in sorted(folder.iterdir())]
    made = assess(read_files(sources, on=ON), on=ON).connections.set_index("connection_id")
    (name,) = (name for name in made.index if name.startswith("P/F1/A") and not name.endswith("@ V"))
    return str(made.loc[name, "work_state"])


@pytest.mark.parametrize(
    ("more", "expected"),
    part(
        [
            ({}, "proved"),
            ({"survey_off": OFF}, "awaiting proof"),
            ({"survey_off": OFF.replace("OL", ">150")}, "awaiting proof"),
            ({"survey_off": OFF.replace("P/F1/A", " p/f1/a ")}, "awaiting proof"),
            ({"survey_off": OFF.replace("05-25", "05-24")}, "proved"),
            ({"survey_off": OFF.replace("P/F1/A", "P/F1/B").replace("F1,A", "F1,B")}, "proved"),
            ({"survey_off": BUILT}, "awaiting proof"),
            ({"survey_off": WIDE}, "awaiting proof"),
            ({"survey_off": OFF.replace("P/F1/A", "OLD"), "renamings": RENAMED}, "awaiting proof"),
            ({"survey_off": OFF, "survey_other": SECOND}, "awaiting proof"),
            ({"survey_off": OFF.replace("P/F1/A", "p-f1 / A"), "survey_other": SECOND}, "awaiting proof"),
            (
                {"survey_off": OFF.replace("P/F1/A", "P/F1/A @ w").replace(",W,", ",,"), "survey_v": ELSEWHERE},
                "awaiting proof",
            ),
            ({"survey_off": OFF.replace("P/F1/A", "o-ld"), "renamings": RENAMED}, "awaiting proof"),
            ({"survey_off": OFF.replace(",2026-05-25,", ",2026-05-32,")}, "awaiting proof"),
            ({"survey_off": OFF.replace("OL", "250+")}, "awaiting proof"),
            ({"survey_off": OFF.replace("OL", "off scale")}, "awaiting proof"),
            ({"survey_off": OFF.replace("OL,30,80", "95,30,-5")}, "awaiting proof"),
            ({"survey_off": OFF.replace("OL,30,80", ",30,-5")}, "proved"),
            ({"survey_off": OFF.replace("2026-05-25", "2062-05-25").replace("OL", "95")}, "awaiting proof"),
            ({"survey_off": OFF.replace("2026-05-25", "1926-05-25").replace("OL", "95")}, "awaiting proof"),
            ({"survey_off": OFF.replace("P/F1/A", "").replace("OL", "95")}, "awaiting proof"),
            ({"survey_off": OFF.replace("P/F1/A", "").replace("F1,A", "F1,").replace("OL", "95")}, "awaiting proof"),
            ({"survey_off": OFF.replace("P/F1/A", "").replace("F1,A", "F2,A").replace("OL", "95")}, "proved"),
            ({"survey_off": OFF.replace("P/F1/A", ""), "survey_v": SECOND}, "awaiting proof"),
            ({"survey_off": OFF.replace(",W,", ",V,"), "survey_v": SECOND}, "proved"),
        ],
        12,
    ),
    ids=part(
        [
            "none",
            "in another file",
            "a bound",
            "spelled otherwise",
            "another day",
            "a sibling",
            "its id is built",
            "a wide sheet",
            "a former name",
            "two sites",
            "two sites, and spelled otherwise",
            "with its site behind it, though it is on one only",
            "a former name, spelled otherwise",
            "of a day that is none",
            "with a plus behind it",
            "in words",
            "refused for its load",
            "without a temperature",
            "of a year to come",
            "of a year long past",
            "without an id, but with its place",
            "without an id and a phase",
            "without an id, of another circuit",
            "without an id, on one of two sites",
            "of the other site",
        ],
        12,
    ),
)
def test_a_cool_reading_beside_it_proves_nothing(tmp_path: Path, more: dict[str, str], expected: str) -> None:
    assert state(tmp_path, **more) == expected


def test_a_joint_that_is_cool_by_its_other_reading_says_that_one_was_refused() -> None:
    rows = phases(34.0, 35.0, 34.5, ambient_c=30.0, load_pct=80)
    off = rows.head(1).assign(connection_c="OL", survey_time="14:00")
    made = assess(read_frames(on=ON, survey=pd.concat([rows, off])), on=ON)
    reasons = described(made, Units()).set_index("connection_id")["reason"]
    words = "another reading of it was refused and may be the hottest: read it again"
    assert [words in reasons[name] for name in "ABC"] == [True, False, False]


LONG = "connection_id,survey_date,equipment,circuit,phase,connection_c,ambient_c,load_pct"


def assessed(*rows: str, register: str = "") -> Assessment:
    tables = {"survey": pd.read_csv(io.StringIO("\n".join((LONG, *rows))), dtype=str)}
    if register:
        tables["connections"] = pd.read_csv(io.StringIO("connection_id\n" + register), dtype=str)
    return assess(read_frames(on=ON, **tables), on=ON)


def joints(*rows: str, register: str = "") -> pd.DataFrame:
    """Every joint with its sentences, by name."""
    return described(assessed(*rows, register=register), Units()).set_index("connection_id")


def beside_off_scale(*rows: str, register: str = "") -> list[str]:
    """The joints of which a reading stands beside a refused one of that day."""
    readings = assessed(*rows, register=register).readings
    return sorted(readings.loc[readings["beside off scale"], "connection_id"].unique())


SOUND = ("P/F1/A,2026-04-04,P,F1,A,35,30,80", "P/F1/B,2026-04-04,P,F1,B,35,30,80", "P/F1/B,2026-05-04,P,F1,B,35,30,80")


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("P/F1/A,2026-05-04,P,F1,A,OL,30,80", "its reading of 4 May 2026 was refused and may be the hottest"),
        ("P/F1/A,2026-05-04,P,F1,A,120,30,-5", "its reading of 4 May 2026 was refused and may be the hottest"),
        ("P/F1/A,2026-05-34,P,F1,A,120,30,80", "a reading of it was refused, of a day nobody knows"),
        ("P/F1/A,2026-04-01,P,F1,A,OL,30,80", ""),
        ("P/F1/A,2026-05-04,P,F1,A,35,30,80", ""),
    ],
    ids=["off the scale", "refused for its load", "of no day", "before its last reading", "read"],
)
def test_a_joint_whose_last_reading_was_refused_is_to_be_read_again(row: str, reason: str) -> None:
    made = joints(*SOUND, row)
    assert reason in str(made.loc["P/F1/A", "resurvey_reason"])
    assert bool(made.loc["P/F1/A", "resurvey"]) == bool(reason)
    assert "refused" not in str(made.loc["P/F1/B", "resurvey_reason"])


@pytest.mark.parametrize("register", ["", "Q/F2/A\nP/F1/B"], ids=["in no register", "in the register"])
def test_a_joint_whose_only_reading_was_refused_is_there_and_is_to_be_read(register: str) -> None:
    made = joints(*SOUND, "Q/F2/A,2026-05-04,Q,F2,A,OL,30,80", register=register)
    assert not made.loc["Q/F2/A", "surveyed"]
    assert "its reading of 4 May 2026 was refused and may be the hottest" in made.loc["Q/F2/A", "resurvey_reason"]


@pytest.mark.parametrize(("by", "asks"), [(None, True), ("Ann", False)])
def test_a_row_somebody_dismissed_stands_against_a_cool_reading_and_asks_no_more(by: str | None, asks: bool) -> None:
    rows = (
        "P/F1/A,2026-03-04,P,F1,A,62,30,80",
        "P/F1/B,2026-03-04,P,F1,B,35,30,80",
        "P/F1/A,2026-05-25,P,F1,A,34,30,80",
        "P/F1/B,2026-05-25,P,F1,B,35,30,80",
        "P/F1/A,2026-05-25,P,F1,A,OL,30,80",
        "P/F1/B,2026-05-26,P,F1,B,OL,30,80",
    )
    tables = read_frames(on=ON, survey=pd.read_csv(io.StringIO("\n".join((LONG, *rows))), dtype=str))
    tables.refused["dismissed_by"] = pd.Series(by, tables.refused.index, dtype="str")
    made = described(assess(tables, on=ON), Units()).set_index("connection_id")
    assert made.loc["P/F1/A", "urgency"] == "now"
    assert made.loc["P/F1/B", "resurvey"] == asks


WORKED = (*SOUND[:2], "P/F1/A,2026-05-04,P,F1,A,62,30,80", SOUND[2])
INSTALLS = ["connection_id,work_date,required_torque,applied_torque,torque_unit,tool_id"]
RIGHT = "P/F1/A,2026-05-20,25,25,N·m,T1"
TOOLS = "tool_id,range_min,range_max,torque_unit,calibrated_on\nT1,5,50,N·m,2026-01-10"


@pytest.mark.parametrize(
    ("table", "row", "state"),
    [
        ("findings", "P/F1/A,2026-05-22,burnt,cleaned", "repair in doubt"),
        ("findings", "p f1 a,2026-05-22,burnt,cleaned", "repair in doubt"),
        ("findings", "P/F1/A,2026-05-20,burnt,cleaned", "repair in doubt"),
        ("findings", "P/F1/A,2026-05-12,burnt,cleaned", "awaiting proof"),
        ("findings", "P/F1/A,2026-05-32,burnt,cleaned", "repair in doubt"),
        ("findings", "P/F1/A,2014-05-30,burnt,cleaned", "repair in doubt"),
        ("findings", "P/F1/B,2026-05-22,burnt,cleaned", "awaiting proof"),
        ("installs", "P/F1/A,2026-05-20,25,1O,N·m,T1", "repair in doubt"),
        ("installs", "P/F1/A,2026-05-19,25,1O,N·m,T1", "awaiting proof"),
    ],
)
def test_a_record_of_work_that_was_refused_puts_the_repair_in_doubt(table: str, row: str, state: str) -> None:
    """62 °C on 4 May, tightened right on 20 May; a record of before may say that it was hot though tight."""
    head = "connection_id,work_date,as_found,action"
    texts = {
        "survey": "\n".join((LONG, *WORKED)),
        "installs": "\n".join((*INSTALLS, RIGHT, *([row] if table == "installs" else []))),
        "findings": "\n".join((head, row if table == "findings" else "P/F1/B,2026-05-01,tight,none")),
        "tools": TOOLS,
    }
    tables = {name: pd.read_csv(io.StringIO(text), dtype=str) for name, text in texts.items()}
    made = described(assess(read_frames(on=ON, **tables), on=ON), Units()).set_index("connection_id").loc["P/F1/A"]
    assert made["work_state"] == state
    assert (made["urgency"] == "now") == (state == "repair in doubt")
    assert ("another record of it was rejected: mend it" in made["work"]) == (state == "repair in doubt")


@pytest.mark.parametrize(
    ("typed", "blocked"), [("MCC-1/11/A", ["MCC-1/11/A"]), ("MCC 1/11.A", ["MCC-1/11/A", "MCC-11/1/A"])]
)
def test_a_name_that_is_written_as_it_is_is_of_no_other(typed: str, blocked: list[str]) -> None:
    rows = [
        f"MCC-{n}/{f}/A,2026-{day},MCC-{n},{f},A,{celsius},30,80"
        for n, f in ((1, 11), (11, 1))
        for day, celsius in (("03-04", 95), ("05-25", 34))
    ]
    made = joints(*rows, f"{typed},2026-05-25,,,A,OL,30,80")
    assert made.index[made["urgency"] == "now"].tolist() == blocked


@pytest.mark.parametrize(("known", "typed"), [("F1.11", "F11.1"), ("PV1/S1-", "PV1/S1+"), ("P1/1A", "P/11A")])
def test_a_name_that_only_looks_like_another_is_a_connection_of_its_own(known: str, typed: str) -> None:
    made = joints(f"{known},2026-05-04,P,F1,A,35,30,80", f"{typed},2026-05-04,P,F1,A,OL,30,80")
    assert not made.loc[typed, "surveyed"]


@pytest.mark.parametrize("day", part(["2026-05-32", "2026-02-30", "2026-13-01", "0000-00-00"], 2))
@pytest.mark.parametrize("said", [True, False], ids=["it says whose", "a row kept before rows said so"])
def test_a_day_that_is_none_is_one_nobody_knows(day: str, said: bool) -> None:
    texts = {
        "survey": "\n".join((LONG, *WORKED)),
        "installs": "\n".join((*INSTALLS, RIGHT, RIGHT.replace("2026-05-20", day))),
        "tools": TOOLS,
    }
    tables = read_frames(on=ON, **{name: pd.read_csv(io.StringIO(text), dtype=str) for name, text in texts.items()})
    if not said:
        tables.refused[list(SAID)] = None
    made = assess(tables, on=ON).connections.set_index("connection_id").loc["P/F1/A"]
    assert made["work_state"] == "repair in doubt"


def test_a_record_that_was_refused_says_nothing_before_its_day() -> None:
    texts = {"survey": "\n".join((LONG, *WORKED)), "installs": "\n".join((*INSTALLS, RIGHT)), "tools": TOOLS}
    texts["installs"] += "\n" + RIGHT.replace("05-20", "05-28").replace("25,25", "25,x")
    tables = read_frames(on=ON, **{name: pd.read_csv(io.StringIO(text), dtype=str) for name, text in texts.items()})
    for day, state in ((27, "awaiting proof"), (28, "repair in doubt")):
        made = assess(tables, on=dt.date(2026, 5, day)).connections.set_index("connection_id")
        assert made.loc["P/F1/A", "work_state"] == state


PIECE = ("P", "F1", "Q1", "load", "A")


@pytest.mark.parametrize(
    ("row", "place", "is_its"),
    [
        (PIECE, PIECE, True),
        (("P", "F1", None, None, "A"), PIECE, True),
        (("P", "F1", None, "load", "A"), PIECE, True),
        (("P", None, "Q1", "load", "A"), PIECE, True),
        (("P", "F1", "Q1", None, None), PIECE, True),
        (("p ", "F-1", "q1", None, None), PIECE, True),
        (PIECE, ("P", "F1", None, None, "A"), True),
        (PIECE, ("P", None, "Q1", None, None), True),
        (("P", "F1", None, None, "A"), ("P", "F1", None, None, None), True),
        (("P", "F1", None, "load", "A"), ("P", "F1", "Q1", None, "A"), True),
        (("P/1", "F1", "Q1", "load", "A"), ("P/1", "F1", None, None, "A"), True),
        (("P", "F1", "Q2", None, "A"), PIECE, False),
        (("P", "F1", None, "line", "A"), PIECE, False),
        (("P", "F1", None, None, "B"), PIECE, False),
        (("R", "F1", None, None, "A"), PIECE, False),
        (("P", None, None, None, "A"), PIECE, False),
        (("P", None, None, "load", "A"), PIECE, False),
        (("P", "F1", None, None, "A"), ("P", None, None, None, "A"), False),
        ((None, "F1", "Q1", "load", "A"), PIECE, False),
    ],
)
def test_of_a_place_the_row_or_the_joint_may_say_more(
    row: tuple[str | None, ...], place: tuple[str | None, ...], is_its: bool
) -> None:
    cells = dict(zip(ID_PARTS, row, strict=True))
    survey = pd.DataFrame([{"connection_id": None, "survey_date": "2026-05-25", **cells, "connection_c": "OL"}])
    refused_rows = read_frames(on=ON, survey=survey).refused
    joint = pd.DataFrame([("X", *place)], columns=["connection_id", *ID_PARTS], dtype="str")
    said = whose(refused.may_be_hottest(refused_rows), {"survey": joint})
    assert said["connection_id"].eq("X").any() == is_its


COOLED = "J1,2026-03-04,{at},62,30,80", "J1,2026-05-25,{now},34.5,30,80"
BESIDE = ("J2,2026-03-04,{at},35,30,80", "J2,2026-05-25,{now},35,30,80")


@pytest.mark.parametrize(
    ("part", "name"),
    [
        ("equipment", "Hall · North"),
        ("equipment", "P @ W"),
        ("circuit", "P · circuit F9"),
        ("circuit", "F1); x"),
        ("id", "P (old); x"),
        ("id", "P, 2026-01-01)"),
    ],
)
def test_whose_a_row_is_is_known_whatever_signs_are_in_its_names(part: str, name: str) -> None:
    board, circuit = (name if part == which else plain for which, plain in (("equipment", "P"), ("circuit", "F1")))
    own = name if part == "id" else "J1"
    read = [(own, "A", "62"), ("J2", "B", "35"), (own, "A", "34.5"), ("J2", "B", "35"), (None, "A", "OL")]
    rows = pd.DataFrame(read, columns=["connection_id", "phase", "connection_c"])
    rows["connection_id"] = rows["connection_id"].fillna(own) if part == "id" else rows["connection_id"]
    days = ["2026-03-04"] * 2 + ["2026-05-25"] * 3
    rows = rows.assign(survey_date=days, equipment=board, circuit=circuit, ambient_c=30, load_pct=80)
    made = assess(read_frames(on=ON, survey=rows), on=ON).connections.set_index("connection_id")
    assert made["urgency"].tolist().count("now") == 1
    assert made.index[made["urgency"] == "now"][0].startswith(own.partition(" @ ")[0])


@pytest.mark.parametrize("now", ["P,,A", "P,F1b,A", ",,"], ids=["no circuit", "another circuit", "no place"])
def test_a_joint_is_at_every_place_that_was_ever_said_of_it(now: str) -> None:
    at = "P,F1,A"
    made = joints(
        *(row.format(at=at, now=now) for row in (*COOLED, "J2,2026-03-04,P,F1,B,35,30,80")), OFF_AT.format(at)
    )
    assert made.loc["J1", "urgency"] == "now"


OFF_AT = ",2026-05-25,{},OL,30,80"


@pytest.mark.parametrize(("typed", "blocked"), [("L1", True), ("1", True), ("A", True), ("B", False), ("N", False)])
def test_a_phase_lettered_otherwise_may_be_any_line_phase_of_its_circuit(typed: str, blocked: bool) -> None:
    rows = ("J1,2026-03-04,P,F1,A,62,30,80", "J1,2026-05-25,P,F1,A,34.5,30,80", "J2,2026-05-25,P,F1,C,35,30,80")
    assert ("J1" in beside_off_scale(*rows, OFF_AT.format(f"P,F1,{typed}"))) == blocked


@pytest.mark.parametrize(
    ("place", "blocked"),
    [
        ("P,F1.1,A", ["K1"]),
        ("P,F11,A", ["J1"]),
        ("P,F-1-1,A", ["J1", "K1"]),
        ("P1,1,A", []),
        ("P,F1.2,A", []),
        ("P,F11,", ["J1"]),
    ],
)
def test_a_place_that_is_written_as_that_of_a_joint_is_of_no_other(place: str, blocked: list[str]) -> None:
    rows = [
        f"{name},2026-{day},P,{circuit},A,{celsius},30,80"
        for name, circuit in (("J1", "F11"), ("K1", "F1.1"))
        for day, celsius in (("03-04", 91), ("05-25", 34))
    ]
    assert beside_off_scale(*rows, OFF_AT.format(place)) == blocked


def test_a_place_at_which_no_joint_is_known_is_one_to_be_read_again() -> None:
    rows = ("J1,2026-03-04,P,F1,A,35,30,80", OFF_AT.format("P,F9,A"), OFF_AT.format("p,F9,a"), OFF_AT.format("P,,A"))
    made = joints(*rows)
    assert made.index.tolist() == ["J1", "P/F9/A"]
    assert "was refused" in made.loc["P/F9/A", "resurvey_reason"]


@pytest.mark.parametrize("board", ["MCC-11", ""])
def test_an_id_that_reads_like_a_place_is_of_the_board_it_says(board: str) -> None:
    """MCC-11/1 reads like circuit 11 of MCC-1."""
    place = f"{board},1,A" if board else ",,"
    made = beside_off_scale(f"MCC-11/1,2026-05-25,{place},34,30,80", OFF_AT.format("MCC-1,11,"))
    assert made == ([] if board else ["MCC-11/1"])


@pytest.mark.parametrize("register", ["", "MCC-1/11"])
def test_a_joint_that_was_never_read_takes_the_rows_that_are_written_as_it_is_called(register: str) -> None:
    rows = ("MCC-11/1,2026-03-04,MCC-11,1,A,91,30,80", "MCC-11/1,2026-05-25,MCC-11,1,A,34,30,80")
    off = "MCC-1/11,2026-05-25,MCC-1,11,A,OL,30,80"
    assert beside_off_scale(*rows, off, register=register) == ([] if register else ["MCC-11/1"])
    assert "was refused" in joints(*rows, off, register=register).loc["MCC-1/11", "resurvey_reason"]


PLACED = ("J2,2026-05-04,P,F1,B,62,30,80", "J3,2026-05-04,P,F1,C,35,30,80", "J2,2026-05-25,P,F1,B,34.5,30,80",
          "J3,2026-05-25,P,F1,C,35,30,80", ",2026-05-25,P,F1,{phase},OL,30,80")  # fmt: skip


@pytest.mark.parametrize(("phase", "name"), [("", "P/F1"), ("B", "P/F1/B"), ("B", "X1")])
def test_an_id_that_reads_like_a_place_takes_no_row_from_the_joint_there(phase: str, name: str) -> None:
    """J2 is cool on the day on which a row of its place was off the scale."""
    made = joints(*PLACED[:-1], PLACED[-1].format(phase=phase), f"{name},2026-05-25,P,F1,A,35,30,80")
    assert made.loc["J2", "urgency"] == "now"


TWO = (
    HEAD + "J/A,2026-05-04,South,P,F1,A,62,30,80\nJ/B,2026-05-04,South,P,F1,B,35,30,80\n"
    "K/A,2026-04-20,North,P,F1,A,34,30,80\n"
)
BAD = (
    "connection_id,site,work_date,required_torque,applied_torque,torque_unit,tool_id\n"
    "J/A,South,2026-05-10,25,25,N·m,T1\n"
)


def made_of(folder: Path, **texts: str) -> pd.DataFrame:
    for name, text in texts.items():
        (folder / f"{name}.csv").write_text(text, "utf-8")
    sources = [Source(path, ReadOptions(day_first=False)) for path in sorted(folder.iterdir())]
    return assess(read_files(sources, on=ON), on=ON).connections.set_index("connection_id")


@pytest.mark.parametrize("renamed", ["", "K/A,North,J/A", "J/A,South,K/A"])
def test_a_renaming_is_of_its_site(tmp_path: Path, renamed: str) -> None:
    """A record of J/A at South was rejected, under the name it had if it had another; K/A at North is another joint."""
    typed = "K/A" if "South" in renamed else "J/A"
    made = made_of(
        tmp_path,
        survey=TWO,
        installs=BAD + f"{typed},South,2026-05-12,25,2x5,N·m,T1\n",
        tools=TOOLS,
        renamings=f"connection_id,site,was_id,renamed_on,renamed_by,reason\n{renamed},2026-05-15,P,labels\n",
    )
    (name,) = (name for name in made.index if name.startswith("J/A"))
    assert made.loc[name, ["urgency", "work_state"]].tolist() == ["now", "repair in doubt"]


def test_a_former_name_of_one_site_is_no_name_of_another(tmp_path: Path) -> None:
    """P/F1/A at North was OLD; what was off the scale at South under the name OLD is no reading of P/F1/A at South."""
    joint = "{name},2026-05-25,{site},P,F1,{phase},{celsius},30,80\n"
    rows = [joint.format(name="P/F1/A", site=site, phase="A", celsius=34) for site in ("North", "South")]
    rows += [joint.format(name="OLD", site="South", phase="B", celsius="OL")]
    renaming = "connection_id,site,was_id,renamed_on,renamed_by,reason\nP/F1/A,North,OLD,2026-05-15,P,labels\n"
    made = made_of(tmp_path, survey=HEAD + "".join(rows), renamings=renaming)
    assert made["beside off scale"].to_dict() == {
        "P/F1/A @ North": False,
        "P/F1/A @ South": False,
        "OLD @ South": False,
    }
    assert made["refused_on"].notna().to_dict() == {
        "P/F1/A @ North": False,
        "P/F1/A @ South": False,
        "OLD @ South": True,
    }


def test_one_more_row_that_was_rejected_takes_no_other_from_its_joint(tmp_path: Path) -> None:
    """PF1A is P/F1/A by its letters: its record and its reading both are of that joint."""
    texts = {
        "survey": "\n".join((LONG, *WORKED, "PF1A,2026-05-25,P,F1,A,OL,30,80")),
        "installs": "\n".join((*INSTALLS, RIGHT, "PF1A,2026-05-22,25,2x5,N·m,T1")),
        "tools": TOOLS,
    }
    made = made_of(tmp_path, **texts)
    assert made.loc["P/F1/A", ["urgency", "work_state"]].tolist() == ["now", "repair in doubt"]
    assert str(made.loc["P/F1/A", "refused_on"])[:10] == "2026-05-25"


OF_OLD = "MCC-11/1,2026-05-04,Q,F,A,95,30,80\nMCC-11/1,2026-05-25,Q,F,A,34.5,30,80\n"


@pytest.mark.parametrize("typed", ["MCC 11/1", "MCC-11/1", "mcc-11/1 "])
def test_a_former_name_takes_no_row_that_only_reads_like_it(tmp_path: Path, typed: str) -> None:
    """K-1 was MCC-1/11."""
    renaming = "connection_id,was_id,renamed_on,renamed_by,reason\nK-1,MCC-1/11,2026-05-10,P,moved\n"
    rows = f"K-1,2026-05-25,R,F,A,34,30,80\n{typed},2026-05-25,,,,OL,30,80\n"
    made = made_of(tmp_path / "", survey=f"{LONG}\n{OF_OLD}{rows}", renamings=renaming)
    assert str(made.loc["MCC-11/1", "refused_on"])[:10] == "2026-05-25"


def test_a_joint_that_only_a_rejected_row_names_is_no_other_that_had_a_name_like_it(tmp_path: Path) -> None:
    renaming = "connection_id,was_id,renamed_on,renamed_by,reason\nK-1,MCC-1/11,2026-05-10,P,moved\n"
    rows = "K-1,2026-05-25,R,F,A,34,30,80\nMCC-11/1,2026-05-25,,,,OL,30,80\n"
    made = made_of(tmp_path, survey=f"{LONG}\n{rows}", renamings=renaming)
    assert made.loc["MCC-11/1", "only refused"]


@pytest.mark.parametrize(
    ("name", "found_out", "state"),
    [
        ("T1", "2026-05-32", "repair in doubt"),
        (" t1 ", "2026-05-32", "repair in doubt"),
        ("T–1", "2026-05-32", "repair in doubt"),
        ("T1", "2026-05-30", "repair in doubt"),
        ("T1", "", "awaiting proof"),
        ("T2", "2026-05-32", "awaiting proof"),
    ],
    ids=["rejected", "in small letters", "with a dash", "accepted", "not found out", "another tool"],
)
def test_a_rejected_row_of_a_tool_puts_what_it_tightened_in_doubt(name: str, found_out: str, state: str) -> None:
    """It may say that the tool was out of tolerance."""
    tools = f"{TOOLS},\nT2,5,50,N·m,2026-01-10,\n{name},5,50,N·m,2026-02-10,{found_out}"
    texts = {
        "survey": "\n".join((LONG, *WORKED)),
        "installs": "\n".join((*INSTALLS, RIGHT)),
        "tools": tools.replace("calibrated_on", "calibrated_on,found_out_of_tolerance_on"),
    }
    tables = {table: pd.read_csv(io.StringIO(text), dtype=str) for table, text in texts.items()}
    made = assess(read_frames(on=ON, **tables), on=ON).connections.set_index("connection_id").loc["P/F1/A"]
    assert (made["work_state"], made["urgency"] == "now") == (state, state == "repair in doubt")
    rejected = "a row of its tool was rejected: mend it" in (made["record_now_reasons"] or "")
    assert rejected == (found_out == "2026-05-32" and name != "T2")


@pytest.mark.parametrize(("under", "state"), [("T1", "repair in doubt"), ("T2", "awaiting proof")])
def test_a_row_that_names_no_tool_is_of_the_one_above_it(under: str, state: str) -> None:
    """A merged cell fills only its first row; the second says that it was found out of tolerance."""
    head, first = TOOLS.replace("calibrated_on", "calibrated_on,found_out_of_tolerance_on").split("\n")
    tools = [f"{first},", "T2,5,50,N·m,2026-01-10,"]
    tools.insert(1 if under == "T1" else 2, ",5,50,N·m,2026-05-10,2026-05-30")
    texts = {
        "survey": "\n".join((LONG, *WORKED)),
        "installs": "\n".join((*INSTALLS, RIGHT)),
        "tools": "\n".join([head, *tools]),
    }
    tables = {table: pd.read_csv(io.StringIO(text), dtype=str) for table, text in texts.items()}
    made = assess(read_frames(on=ON, **tables), on=ON).connections.set_index("connection_id").loc["P/F1/A"]
    assert made["work_state"] == state


def test_a_rejected_row_of_a_tool_makes_no_remake_a_tightening() -> None:
    """Verified in January and hot in May: the joint is bad, whatever the rejected row says of T1."""
    texts = {
        "survey": "\n".join((LONG, *WORKED)),
        "installs": "\n".join((*INSTALLS, "P/F1/A,2026-01-15,25,25,N·m,T1", "P/F1/A,2026-05-20,25,25,N·m,T2")),
        "tools": f"{TOOLS}\nT2,5,50,N·m,2026-01-10\nT1,5,50,N·m,2026-13-10",
    }
    tables = {table: pd.read_csv(io.StringIO(text), dtype=str) for table, text in texts.items()}
    made = assess(read_frames(on=ON, **tables), on=ON).connections.set_index("connection_id").loc["P/F1/A"]
    assert (made["work_state"], made["urgency"], made["install_state"]) == ("repair in doubt", "now", "verified")

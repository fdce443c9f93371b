"""Sheets and files together: surveys are named, the next file is read while one is checked."""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest

from riskscope import apart
from riskscope.analysis.assess import assess
from riskscope.errors import Ambiguous, UnusableInput
from riskscope.intake import read as reading
from riskscope.intake.files import Source
from riskscope.intake.options import Limits, ReadOptions
from riskscope.intake.read import read_files, read_frames
from riskscope.intake.surveys import name_surveys
from riskscope.schema import TABLES
from riskscope.schema.tables import Tables

ON = dt.date(2026, 6, 1)
HEAD = "connection_id,survey_date,connection_c,ambient_c,load_pct"


def survey(**columns: list[object]) -> pd.DataFrame:
    count = len(next(iter(columns.values())))
    file = {"source_file": ["may.xlsx"] * count, "source_sheet": [""] * count}
    rows = {"connection_id": [f"C{n}" for n in range(count)], "survey_date": ["2026-05-04"] * count, **file, **columns}
    frame = pd.DataFrame(rows).astype({"source_file": "str", "source_sheet": "str"})
    return frame.assign(survey_date=pd.to_datetime(frame["survey_date"]))


def names(gap_days: int = 30, **columns: list[object]) -> list[object]:
    frames = {"survey": survey(**columns)}
    name_surveys(frames, gap_days)
    return frames["survey"]["survey_id"].tolist()


@pytest.mark.parametrize(
    ("columns", "expected"),
    [
        ({"source_sheet": ["A", "B", "A"]}, ["may.xlsx A", "may.xlsx B", "may.xlsx A"]),
        ({"site": ["Works", "Yard", None]}, ["may.xlsx / Works", "may.xlsx / Yard", "may.xlsx"]),
        (
            {"source_file": ["a", "a", "b", "b"], "site": ["Works", "Yard", "Works", "Yard"]},
            ["a / Works", "a / Yard", "b / Works", "b / Yard"],
        ),
        (
            {"source_file": ["a", "b", "a", "b"], "source_sheet": ["1", "1", "2", "2"], "site": ["W", None, None, "W"]},
            ["a 1 / W", "b 1", "a 2", "b 2 / W"],
        ),
        ({"survey_id": ["S1", None, "S2"]}, ["S1", "may.xlsx", "S2"]),
        (
            {"survey_date": ["2026-05-04", "2025-05-04", "2026-05-20"]},
            ["may.xlsx, from 2026-05-04", "may.xlsx, from 2025-05-04", "may.xlsx, from 2026-05-04"],
        ),
    ],
    ids=["sheets", "sites", "files and sites", "all three", "stated", "a year apart"],
)
def test_surveys_are_named_by_file_sheet_and_site(columns: dict[str, list[object]], expected: list[str]) -> None:
    assert names(**columns) == expected


@pytest.mark.parametrize(
    ("ids", "days", "expected", "kind"),
    [
        (["S1", None, "S2", None], ["04", "04", "11", "11"], ["S1", "S1", "S2", "S2"], "assumed"),
        (["S1", None, None], ["04", "04", "11"], ["S1", "S1", "S1"], "assumed"),
        (["S1", "S2", None], ["04", "04", "04"], ["S1", "S2", "may.xlsx"], "warning"),
        (["S1", None, "S2"], ["04", "05", "06"], ["S1", "may.xlsx", "S2"], "warning"),
    ],
    ids=["one on each day", "one in the sheet", "two on the day", "a day that says none"],
)
def test_a_survey_that_its_first_row_says_is_that_of_its_day(
    ids: list[object], days: list[str], expected: list[str], kind: str
) -> None:
    frames = {"survey": survey(survey_id=ids, survey_date=[f"2026-05-{day}" for day in days])}
    notes = name_surveys(frames, 30)
    assert frames["survey"]["survey_id"].tolist() == expected
    assert [note.kind for note in notes] == [kind]


@pytest.mark.parametrize("place", ["circuit", "device", "group"])
def test_a_survey_that_its_first_row_says_is_that_of_its_circuit(place: str) -> None:
    """Two surveys on a day, an id per circuit in a merged cell: what is of a third circuit is of neither."""
    ids, places = ["S1", None, "S2", None, None], ["F1", "F 1", "F2", "F2", "F3"]
    frames = {"survey": survey(survey_id=ids, **{place: places})}
    assert [note.kind for note in name_surveys(frames, 30)] == ["assumed", "warning"]
    assert frames["survey"]["survey_id"].tolist() == ["S1", "S1", "S2", "S2", "may.xlsx"]


def test_a_survey_over_midnight_stays_one() -> None:
    """B of the first board is read after midnight, when the second board begins."""
    days, boards = ["2026-05-12", "2026-05-13", "2026-05-13", "2026-05-13"], ["M1", "M1", "M2", "M2"]
    frames = {"survey": survey(survey_id=["S1", None, "S2", None], survey_date=days, equipment=boards, circuit="F1")}
    name_surveys(frames, 30)
    assert frames["survey"]["survey_id"].tolist() == ["S1", "S1", "S2", "S2"]


def test_a_survey_without_rows_has_names_of_none() -> None:
    frames = {"survey": survey(connection_id=[])}
    name_surveys(frames, 30)
    assert frames["survey"]["survey_id"].tolist() == []


# ------------------------------------------------------------------ the next file


def files(folder: Path, **texts: str) -> list[Source]:
    made = []
    for name, text in texts.items():
        (folder / f"{name}.csv").write_text(text, "utf-8")
        made.append(Source(folder / f"{name}.csv", ReadOptions(table=name if name in TABLES else "survey")))
    return made


def rows(*ids: str) -> str:
    return "\n".join([HEAD, *(f"{name},2026-05-04,40,30,50" for name in ids)]) + "\n"


def read(sources: list[Source], **limits: float) -> Tables:
    return read_files(sources, on=ON, limits=Limits(**limits))  # type: ignore[arg-type]


def test_files_are_taken_in_their_order(tmp_path: Path) -> None:
    made = read(files(tmp_path, c=rows("C"), a=rows("A"), b=rows("B"), d=rows("D")))
    assert made["survey"]["connection_id"].tolist() == ["C", "A", "B", "D"]
    assert [file.name for file in made.files] == ["c.csv", "a.csv", "b.csv", "d.csv"]


@pytest.mark.parametrize(
    ("texts", "fault", "words"),
    [
        ({"a": "x,y\n1,2\n", "b": "x,y\n1,2\n"}, UnusableInput, "a.csv"),
        ({"a": rows("A"), "b": "x,y\n1,2\n", "c": "\n"}, UnusableInput, "b.csv"),
        ({"a": rows("A").replace("2026-05-04", "1/2/2026"), "b": rows("B")}, Ambiguous, "a.csv"),
    ],
    ids=["both", "the second", "a question"],
)
def test_the_first_fault_in_order_is_said(
    texts: dict[str, str], fault: type[Exception], words: str, tmp_path: Path
) -> None:
    with pytest.raises(fault, match=words):
        read(files(tmp_path, **texts))


def test_a_file_that_is_gone_is_said_at_its_turn(tmp_path: Path) -> None:
    sources = files(tmp_path, a="x,y\n1,2\n", b=rows("B"))
    (tmp_path / "b.csv").unlink()
    with pytest.raises(UnusableInput, match=r"a\.csv"):
        read(sources)


def slow(*_: object) -> None:
    time.sleep(60)


def test_a_fault_does_not_wait_for_the_next_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The file after the one at fault takes a minute to read; nobody waits for it, and its process is ended."""
    asked: list[apart.Asked] = []
    ask: Callable[..., apart.Asked] = reading._asked

    def second_is_slow(*given: object) -> apart.Asked:
        asked.append(ask(*given) if not asked else apart.Asked("tests.intake.test_together.slow", ()))
        return asked[-1]

    monkeypatch.setattr(reading, "_asked", second_is_slow)
    begin = time.monotonic()
    with pytest.raises(UnusableInput, match=r"a\.csv"):
        read(files(tmp_path, a="x,y\n1,2\n", b=rows("B")))
    assert time.monotonic() - begin < 30
    assert asked[1].process.popen.poll() is not None


def test_a_row_with_a_cell_nobody_understands_is_refused_and_not_taken_for_one_to_fill_in(tmp_path: Path) -> None:
    path = tmp_path / "survey.csv"
    path.write_text(f"{HEAD},mystery,site\nA,2026-05-04,41,30,80,,W\nB,,,,,91,W\nC,,,,,,W\n", "utf-8")
    tables = read_files([Source(path)], on=ON)
    assert dict(zip(tables.refused["line"], tables.refused["kind"], strict=True)) == {
        1: "set aside",
        3: "rejected",
        4: "set aside",
    }


PLACED = "connection_id,survey_date,equipment,circuit,phase,connection_c,ambient_c,load_pct\n"


@pytest.mark.parametrize(
    ("day", "board", "expected"),
    [("04", "P", "a.csv and b.csv"), ("05", "P", "b.csv"), ("04", "Q", "b.csv")],
    ids=["one circuit and day", "another day", "another board"],
)
def test_siblings_in_two_files_of_a_day_are_of_one_survey(tmp_path: Path, day: str, board: str, expected: str) -> None:
    """B is 18 K over A and C, that were written into another file."""
    cool = "P/F1/A,2026-05-04,P,F1,A,32,30,80\nP/F1/C,2026-05-04,P,F1,C,32,30,80\n"
    hot = f"P/F1/B,2026-05-{day},{board},F1,B,50,30,80\n"
    made = read(files(tmp_path, a=PLACED + cool, b=PLACED + hot))
    assert made["survey"].set_index("connection_id").loc["P/F1/B", "survey_id"] == expected
    assert any("taken for one survey" in note.text for note in made.notes) == (expected != "b.csv")
    found = assess(made, on=ON).connections.set_index("connection_id")
    assert (found.loc["P/F1/B", "urgency"] == "now") == (expected != "b.csv")


def test_the_circuits_of_the_register_say_which_files_are_of_one_survey(tmp_path: Path) -> None:
    head = "connection_id,survey_date,connection_c,ambient_c,load_pct\n"
    register = "connection_id,equipment,circuit,phase\nA,P,F1,A\nB,P,F1,B\n"
    one, other = head + "A,2026-05-04,32,30,80\n", head + "B,2026-05-04,50,30,80\n"
    made = read(files(tmp_path, a=one, b=other, connections=register))
    assert made["survey"]["survey_id"].unique().tolist() == ["a.csv and b.csv"]


@pytest.mark.parametrize(
    ("more", "warned"),
    [
        ({}, True),
        ({"group": [None, None]}, True),
        ({"group": [None, "G"]}, False),
        ({"equipment": [None, None]}, False),
    ],
    ids=["no board in a row", "no group either", "but a group", "no board in any"],
)
def test_a_board_that_is_left_out_in_some_rows_is_said(more: dict[str, list[object]], warned: bool) -> None:
    rows = pd.DataFrame(
        {"connection_id": ["A", "B"], "survey_date": "2026-05-04", "connection_c": 35.0, "circuit": "F1"}
    )
    made = read_frames(on=dt.date(2026, 6, 1), survey=rows.assign(**{"equipment": ["MCC", None], **more}))
    assert any("no board in some rows" in note.text for note in made.notes) == warned


def test_surveys_and_sites_that_read_alike_are_said() -> None:
    """Nothing is compared from IR-26 to IR26."""
    rows = survey(survey_id=["IR-26", "IR26", "S"], site=["Works 1", "Works1", "Yard"], connection_c=35.0)
    notes = read_frames(on=dt.date(2026, 6, 1), survey=rows.drop(columns=["source_file", "source_sheet"])).notes
    assert [note.text.partition(":")[2] for note in notes if "alike" in note.text] == [
        " IR-26 and IR26: where it is one survey, spell it one way",
        " Works 1 and Works1: where it is one site, spell it one way",
    ]


def test_tools_that_read_alike_are_said() -> None:
    """A recall of T2 may be meant of T-2."""
    tools = pd.DataFrame({"tool_id": ["T-2", "T2", "X and Y"], "range_min": 5, "range_max": 50, "torque_unit": "N·m"})
    rows = pd.DataFrame({"connection_id": ["A"], "survey_date": "2026-05-04", "connection_c": 35.0, "ambient_c": 30.0})
    notes = read_frames(on=dt.date(2026, 6, 1), survey=rows, tools=tools.astype(str)).notes
    assert [note.text for note in notes if "alike" in note.text] == [
        "tools that read alike: T-2 and T2: where it is one tool, spell it one way"
    ]

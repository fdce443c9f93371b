"""Two sites with the same names in one store stay apart: in lists, stories, reports, exports and plans."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pandas as pd
import pytest

from riskscope.cli.main import run
from riskscope.errors import Ambiguous, UnusableInput, WrongUsage
from riskscope.intake.options import Limits, ReadOptions
from riskscope.jobs import keep, sites
from riskscope.jobs.bring_in import Decision
from riskscope.jobs.mend import Edit, mend
from riskscope.store import reading
from riskscope.store.database import Store
from tests.examples import part
from tests.store.build import ANN, add
from tests.store.conftest import place_of

ON = ["--on", "2026-06-01"]
HEAD = "connection_id,equipment,circuit,phase,survey_date,connection_c,ambient_c,load_pct"
WORKS = "\n".join([HEAD, *(f"MSB/F1/{p},MSB,F1,{p},2026-05-04,35,30,80" for p in "ABC")]) + "\n"
YARD = WORKS.replace("F1,A,2026-05-04,35", "F1,A,2026-05-04,62")
RECORD = "connection_id,work_date,as_found,action\nMSB/F1/A,2026-05-10,loose,none\n"
OUTAGE = "outage_id,start,hours,equipment,site\nJuly,2026-07-01,8,MSB,Yard\n"


@pytest.fixture(params=part(["sqlite", "postgres"], 1))  # how a database keeps rows is tried in test_imports
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    yield from place_of(request.param, tmp_path)


@pytest.fixture
def folders(tmp_path: Path) -> tuple[Path, Path]:
    """The files of each site in a folder of its own; none says its site."""
    for name, text in (("works", WORKS), ("yard", YARD)):
        (tmp_path / name).mkdir()
        (tmp_path / name / "survey.csv").write_text(text, "utf-8")
    return tmp_path / "works", tmp_path / "yard"


@pytest.fixture
def two_sites(folders: tuple[Path, Path], tmp_path: Path) -> str:
    place = str(tmp_path / "s.db")
    for folder, site in zip(folders, ("Works", "Yard"), strict=True):
        assert run(["store", "add", str(folder), "--site", site, "--store", place, *ON]) == 0
    return place


def ranking(place: str, out: Path) -> pd.DataFrame:
    assert run(["rank", "--store", place, "--out", str(out), *ON]) == 0
    return pd.read_csv(out / "ranking.csv").set_index("connection_id")


def test_they_are_ranked_apart(two_sites: str, tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    rows = ranking(two_sites, tmp_path / "out")
    assert rows.loc["MSB/F1/A @ Yard", ["site", "equipment", "severity"]].tolist() == ["Yard", "MSB @ Yard", 4]
    assert rows.loc["MSB/F1/A @ Works", ["site", "equipment", "severity"]].tolist() == ["Works", "MSB @ Works", 0]
    assert len(rows) == 6
    capsys.readouterr()
    assert run(["explain", "MSB/F1/A", "--store", two_sites, *ON]) == 1
    assert "several sites: MSB/F1/A @ Works, MSB/F1/A @ Yard" in capsys.readouterr().err
    assert run(["explain", "msb/f1/a @ yard", "--store", two_sites, *ON]) == 0
    assert "MSB/F1/A @ Works" not in capsys.readouterr().out


def test_rows_of_two_sites_are_not_the_same_list_again(two_sites: str) -> None:
    with keep.opened(two_sites) as store:
        assert [held.state for held in keep.listed(store, ANN.actor)] == ["active", "active"]
        assert keep.check(store, ANN.actor) == (2, [])


def test_a_file_that_does_not_say_is_asked(two_sites: str, tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    path = tmp_path / "findings.csv"
    path.write_text(RECORD, "utf-8")
    assert run(["store", "add", str(path), "--store", two_sites, *ON]) == 1
    assert "does not say the site of 'MSB/F1/A'; there are Works, Yard. Give --site NAME" in (capsys.readouterr().out)
    assert run(["store", "add", str(path), "--site", "Works", "--store", two_sites, *ON]) == 0
    rows = ranking(two_sites, tmp_path / "out")
    assert rows.loc["MSB/F1/A @ Works", "record_now"] == "found loose"
    assert rows.loc["MSB/F1/A @ Yard", "install_state"] == "unrecorded"


@pytest.mark.parametrize("text", [RECORD.replace("F1/A", "F1/A @ Yard"), RECORD.replace("F1/A", "F9/A")])
def test_what_is_settled_and_what_is_not(text: str, two_sites: str) -> None:
    with keep.opened(two_sites) as store:
        if "@" in text:
            assert add(store, text, "f.csv").outcome == "new"
        else:
            with pytest.raises(Ambiguous, match="does not say the site of 'MSB/F9/A'"):
                add(store, text, "f.csv")


def test_one_site_is_never_asked(store: Store) -> None:
    add(store, WORKS, "works.csv", site="Works")
    assert add(store, RECORD, "f.csv").outcome == "new"
    assert sites.named(store, ANN.actor) == ["Works"]
    assert sites.open_sites(store, ANN.actor) == ""


def test_a_list_brought_in_without_and_then_with_its_site_is_not_doubled(store: Store) -> None:
    add(store, WORKS, "works.csv")
    with pytest.raises(Exception, match="is the same list again: 3 of its 3 rows"):
        add(store, WORKS.replace("\n", "\r\n"), "works again.csv", site="Works")


@pytest.mark.long
def test_an_export_comes_back_as_it_was(two_sites: str, tmp_path: Path) -> None:
    assert run(["store", "export", "--out", str(tmp_path / "export"), "--store", two_sites]) == 0
    again = str(tmp_path / "again.db")
    assert run(["store", "add", str(tmp_path / "export"), "--store", again, *ON]) == 0
    pd.testing.assert_frame_equal(ranking(again, tmp_path / "b"), ranking(two_sites, tmp_path / "a"))


def test_a_report_names_each_joint_with_its_site(two_sites: str, tmp_path: Path) -> None:
    out = tmp_path / "reports"
    assert run(["report", "survey", "--store", two_sites, "--format", "html", "--out", str(out), *ON]) == 0
    page = (out / "survey_report.html").read_text("utf-8")
    assert "MSB/F1/A @ Yard" in page
    assert "MSB/F1/A @ Works: " not in page, "it is healthy: it has no part of its own"


def test_an_outage_of_one_site_plans_nothing_of_the_other(two_sites: str, tmp_path: Path) -> None:
    path = tmp_path / "outages.csv"
    path.write_text(OUTAGE, "utf-8")
    assert run(["store", "add", str(path), "--store", two_sites, *ON]) == 0
    out = tmp_path / "plan"
    assert run(["plan", "--store", two_sites, "--out", str(out), *ON]) == 0
    plan = json.loads((out / "plan.json").read_text("utf-8"))
    assert {row["board"] for row in plan["work"]} == {"MSB @ Yard"}
    assert {row["why"] for row in plan["left"] if row["equipment"] == "MSB @ Works"} == {
        "its isolation point is in no outage"
    }


def test_read_options_of_an_older_store_know_no_site() -> None:
    assert ReadOptions().site is None


@pytest.mark.long
def test_another_site_waits_until_the_rows_before_it_say_theirs(
    folders: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture
) -> None:
    """Yard is hot and was brought in first, without a site; the cool list of Works must not stand for it."""
    works, yard = folders
    place = ["--store", str(tmp_path / "s.db")]
    assert run(["store", "add", str(yard), *place, *ON]) == 0
    cool = works / "survey.csv"
    cool.write_text(WORKS.replace("2026-05-04", "2026-05-11"), "utf-8")
    for _ in range(2):
        assert run(["store", "add", str(cool), "--site", "Works", *place, *ON]) == 1
        assert "import 1 of the store does not say the site of 'MSB/F1/A' and 2 more" in capsys.readouterr().out
    assert run(["store", "site", "Yard", "1", *place]) == 0
    assert "import 1 is import 2 now, on Yard: survey 3 rows" in capsys.readouterr().out
    assert run(["store", "add", str(cool), "--site", "Works", *place, *ON]) == 0
    rows = ranking(place[1], tmp_path / "out")
    assert rows["severity"].to_dict()["MSB/F1/A @ Yard"] == 4
    assert rows["severity"].to_dict()["MSB/F1/A @ Works"] == 0


def test_imports_are_given_a_site_all_or_none(store: Store) -> None:
    """The second cannot be: what the first would change was not said yet."""
    add(store, WORKS, "works.csv", site="North")
    add(store, WORKS.replace("2026-05", "2026-04"), "later.csv", site="Mill")
    add(store, WORKS.replace("2026-05", "2026-04"), "later.csv", site="Works", decision=Decision(beside=True))
    for numbers, said in (([1, 1], "import 1 is named twice"), ([2, 3], "imports 2 and 3 are one file")):
        with pytest.raises(UnusableInput, match=said):
            sites.give_site(store, numbers, "Yard", limits=Limits(), stamp=ANN)
    assert [entry.state for entry in keep.listed(store, ANN.actor)] == ["active"] * 3
    made = sites.give_site(store, [1, 2], "Yard", limits=Limits(), stamp=ANN)
    assert [entry.id for entry in made] == [4, 5]
    keep.undo(store, 5, ANN)
    states = [entry.state for entry in keep.listed(store, ANN.actor)]
    assert states == ["superseded", "active", "active", "active", "undone"]


def test_a_site_given_later_can_be_taken_back(store: Store) -> None:
    add(store, WORKS, "works.csv")
    (made,) = sites.give_site(store, [1], "Works", limits=Limits(), stamp=ANN)
    assert sites.named(store, ANN.actor) == ["Works"]
    assert sites.unsaid(store, ANN.actor) == []
    with pytest.raises(UnusableInput, match="import 1 does not count now"):
        sites.give_site(store, [1], "Yard", limits=Limits(), stamp=ANN)
    with pytest.raises(UnusableInput, match="import 2 holds this file for site 'works' already"):
        sites.give_site(store, [made.id], "works", limits=Limits(), stamp=ANN)
    _, again = keep.undo(store, made.id, ANN)
    assert again == [1]
    assert sites.named(store, ANN.actor) == []
    assert sites.unsaid(store, ANN.actor) == [1]


@pytest.mark.long
def test_the_first_site_of_an_old_store_is_asked_before_a_second_comes(tmp_path: Path) -> None:
    """Its register says one site, its surveys none."""
    place = tmp_path / "old.db"
    place.write_bytes((Path(__file__).parent.parent / "baselines" / "store_0_2_0.db").read_bytes())
    with keep.opened(str(place)) as store:
        [first] = sites.named(store, ANN.actor)
        name = reading.names(store)["survey"]["connection_id"].iloc[0]
        other = f"connection_id,survey_date,connection_c,ambient_c\n{name},2026-05-11,35,30\n"
        with pytest.raises(UnusableInput, match="do not say the site of") as said:
            add(store, other, "yard.csv", site="Yard")
        numbers = [int(word) for word in str(said.value).rpartition("NAME ")[2].split()]
        for number in numbers:
            sites.give_site(store, [number], first, limits=Limits(), stamp=ANN)
        before = reading.tables(store, 30).refused
        assert add(store, other, "yard.csv", site="Yard").outcome == "new"
        after = reading.tables(store, 30).refused
        assert (after["kind"] == "rejected").sum() == (before["kind"] == "rejected").sum()


def test_one_list_of_two_sites_comes_in_twice(store: Store) -> None:
    add(store, WORKS, "w.csv", site="Works")
    assert add(store, WORKS, "y.csv", site="Yard").outcome == "new"
    assert [add(store, WORKS, "again.csv", site=site).outcome for site in ("yard", "Works", None)] == ["there"] * 3


def test_a_list_of_two_sites_at_once_does_not_refuse_what_was_there_before(store: Store) -> None:
    """Its names are others, but no reading without a site counts once there are two."""
    add(store, YARD, "before.csv")
    both = f"site,{HEAD}\nWorks,W1,WB,F1,A,2026-05-11,35,30,80\nYard,Y1,YB,F1,A,2026-05-11,35,30,80\n"
    with pytest.raises(UnusableInput, match="import 1 of the store does not say the site of 'MSB/F1/A'"):
        add(store, both, "both.csv")
    sites.give_site(store, [1], "Yard", limits=Limits(), stamp=ANN)
    assert add(store, both, "both.csv").outcome == "new"
    assert (reading.tables(store, 30).refused["kind"] != "rejected").all()


def test_a_tool_that_is_listed_on_one_site_is_asked_for_its_other_calibration(two_sites: str) -> None:
    tools = "tool_id,calibrated_on\nT1,2025-01-10\n"
    with keep.opened(two_sites) as store:
        assert add(store, tools, "works tools.csv", site="Works").outcome == "new"
        with pytest.raises(Ambiguous, match="does not say the site of 'T1'"):
            add(store, tools.replace("2025", "2026"), "tools.csv")


def test_a_tool_brought_in_without_a_site_waits_for_one_of_its_name(two_sites: str) -> None:
    tools = "tool_id,calibrated_on\nT1,2025-01-10\n"
    with keep.opened(two_sites) as store:
        assert add(store, tools, "tools.csv").outcome == "new"
        with pytest.raises(UnusableInput, match="import 3 of the store does not say the site of 'T1'"):
            add(store, tools.replace("2025", "2026"), "works tools.csv", site="Works")


def test_a_site_spelled_in_two_ways_is_named_once(two_sites: str) -> None:
    with keep.opened(two_sites) as store:
        add(store, RECORD, "f.csv", site="works")
        with pytest.raises(Ambiguous, match=r"there are Works, Yard\."):
            add(store, RECORD.replace("05-10", "05-11"), "g.csv")


@pytest.mark.long
def test_a_findings_sheet_says_the_site_and_comes_back_whole(
    two_sites: str, tmp_path: Path, capsys: pytest.CaptureFixture
) -> None:
    out = tmp_path / "sheets"
    assert run(["report", "findings-sheet", "--store", two_sites, "--out", str(out), *ON]) == 0
    path = out / "findings_sheet.xlsx"
    book = openpyxl.load_workbook(path)
    head, *rows = book["findings"].iter_rows(values_only=True)
    place = {name: column for column, name in enumerate(head)}
    assert [(row[place["connection_id"]], row[place["site"]]) for row in rows][:2] == [
        ("MSB/F1/A @ Yard", "Yard"),
        ("MSB/F1/A @ Works", "Works"),
    ]
    book["findings"].delete_rows(3, len(rows))
    for name, value in (("work_date", "2026-05-20"), ("as_found", "loose"), ("action", "none")):
        book["findings"].cell(2, place[name] + 1).value = value
    book.save(path)
    capsys.readouterr()
    assert run(["store", "add", str(path), "--store", two_sites, *ON]) == 0
    assert "NOT READ" not in capsys.readouterr().out
    assert ranking(two_sites, tmp_path / "out").loc["MSB/F1/A @ Yard", "record_now"] == "found loose"


@pytest.mark.long
def test_taking_a_site_back_says_what_is_of_no_known_site(
    folders: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture
) -> None:
    """Import 1 is hot and of Works; once its site is taken back it is no older reading of Yard."""
    works, yard = folders
    (works / "survey.csv").write_text(YARD, "utf-8")
    (yard / "survey.csv").write_text(WORKS.replace("2026-05-04", "2026-05-11"), "utf-8")
    place = ["--store", str(tmp_path / "s.db")]
    assert run(["store", "add", str(works), *place, *ON]) == 0
    assert run(["store", "site", "Works", "1", *place]) == 0
    assert run(["store", "add", str(yard), "--site", "Yard", *place, *ON]) == 0
    capsys.readouterr()
    assert run(["store", "undo", "2", *place]) == 0
    said = "Kept apart, as NAME @ ?: import 1 of the store does not say the site of 'MSB/F1/A' and 2 more."
    assert said in capsys.readouterr().out
    assert run(["store", "list", *place]) == 0
    assert said in capsys.readouterr().out
    assert run(["rank", "--out", str(tmp_path / "out"), *place, *ON]) == 0
    assert ranking(place[1], tmp_path / "out")["severity"].to_dict()["MSB/F1/A @ ? (survey.csv)"] == 4


@pytest.mark.parametrize("first", ["works", "yard"])
def test_neither_order_lets_a_reading_without_a_site_join_one_with(first: str, store: Store) -> None:
    files = {"works": (YARD, None), "yard": (WORKS.replace("2026-05-04", "2026-05-11"), "Yard")}
    second = "yard" if first == "works" else "works"
    add(store, files[first][0], "a.csv", site=files[first][1])
    with pytest.raises(UnusableInput, match="not say the site of 'MSB/F1/A' and 2 more"):
        add(store, files[second][0], "b.csv", site=files[second][1])


def test_a_register_that_is_superseded_by_one_that_settles_less_is_asked_about(store: Store) -> None:
    registers = ["connection_id,site\nMSB/F1/A,Works\nMSB/F1/B,Works\nMSB/F1/C,Works\nZ,Depot\n"]
    registers.append("connection_id,site\nMSB/F1/B,Works\nMSB/F1/C,Works\nZ,Depot\n")
    add(store, registers[0], "register.csv")
    add(store, YARD, "survey.csv")
    with pytest.raises(UnusableInput, match="import 2 of the store does not say the site of 'MSB/F1/A'"):
        add(store, registers[1], "register 2.csv", decision=Decision(supersedes=(1,)))


def test_a_cell_mended_leaves_no_row_without_its_site(store: Store) -> None:
    add(store, "connection_id,site\nMSB/F1/A,Works\nMSB/F1/B,Works\nMSB/F1/C,Works\n", "register.csv")
    add(store, YARD, "survey.csv")
    add(store, WORKS.replace("2026-05-04", "2026-05-11"), "later.csv", site="Works")
    with pytest.raises(UnusableInput, match="import 2 of the store does not say the site of 'MSB/F1/A'"):
        mend(store, 1, [Edit("", 2, 1, "Works", "Depot")], limits=Limits(), stamp=ANN)


def test_a_site_is_one_name_whatever_its_blanks(store: Store) -> None:
    add(store, WORKS, "a.csv", site="Works ")
    add(store, YARD.replace("2026-05-04", "2026-05-11"), "b.csv", site=" Works")
    assert sites.named(store, ANN.actor) == ["Works"]
    with pytest.raises(WrongUsage, match="site must be a name; got ''"):
        ReadOptions(site=" ")


def test_a_site_given_twice_and_back_says_what_to_undo(store: Store) -> None:
    add(store, WORKS, "works.csv")
    for site in ("Works", "Depot"):
        (made,) = sites.give_site(store, [len(keep.listed(store, ANN.actor))], site, limits=Limits(), stamp=ANN)
    with pytest.raises(UnusableInput, match="import 2 held this file for site 'Works' and was superseded by import 3"):
        sites.give_site(store, [made.id], "Works", limits=Limits(), stamp=ANN)


@pytest.mark.parametrize("names", [("2025.csv", "2026.csv", "register.csv"), ("z 2025.csv", "z 2026.csv", "a.csv")])
def test_a_register_of_the_same_folder_settles_a_survey_whatever_their_order(
    names: tuple[str, str, str], tmp_path: Path
) -> None:
    folder = tmp_path / "site"
    folder.mkdir()
    with_site = [f"{line},{'Works' if place else 'site'}" for place, line in enumerate(WORKS.splitlines())]
    register = ["connection_id,site", *(f"MSB/F1/{p},Works" for p in "ABC")]
    texts = ["\n".join(with_site), YARD.replace("2026-05-04", "2026-05-20"), "\n".join(register)]
    for name, text in zip(names, texts, strict=True):
        (folder / name).write_text(text, "utf-8")
    place = str(tmp_path / "s.db")
    assert run(["store", "add", str(folder), "--store", place, *ON]) == 0
    assert ranking(place, tmp_path / "out")["severity"].to_dict()["MSB/F1/A"] == 4


def test_a_record_whose_name_ends_in_no_site_is_asked_about(store: Store) -> None:
    add(store, WORKS, "works.csv", site="Works")
    with pytest.raises(Ambiguous, match="does not say the site of 'L1 @ MCB 12'"):
        add(store, RECORD.replace("MSB/F1/A", "L1 @ MCB 12"), "f.csv")


def test_a_site_is_given_one_import_at_a_time_and_what_it_leaves_open_is_said(store: Store) -> None:
    """Two years without a site: neither has to be said before the other."""
    for number, day in enumerate(("2026-05-04", "2026-05-11"), 1):
        add(store, WORKS.replace("2026-05-04", day), f"{number}.csv")
    sites.give_site(store, [1], "Works", limits=Limits(), stamp=ANN)
    assert sites.open_sites(store, ANN.actor) == (
        "Kept apart, as NAME @ ?: import 2 of the store does not say the site of 'MSB/F1/A' and 2 more."
    )
    sites.give_site(store, [2], "Works", limits=Limits(), stamp=ANN)
    assert sites.open_sites(store, ANN.actor) == ""


@pytest.mark.long
def test_an_export_of_rows_of_no_known_site_comes_back(store: Store, tmp_path: Path) -> None:
    add(store, YARD, "a.csv")
    (made,) = sites.give_site(store, [1], "Works", limits=Limits(), stamp=ANN)
    add(store, WORKS.replace("2026-05-04", "2026-05-11"), "b.csv", site="Yard")
    keep.undo(store, made.id, ANN)
    keep.export_tables(store, ANN.actor, tmp_path / "export", "csv", {})
    assert run(["store", "add", str(tmp_path / "export"), "--store", str(tmp_path / "again.db"), *ON]) == 0
    rows = ranking(str(tmp_path / "again.db"), tmp_path / "out")
    assert rows["severity"].to_dict()["MSB/F1/A @ ? (a.csv)"] == 4


def test_what_is_of_no_known_site_already_keeps_no_other_file_out(store: Store) -> None:
    add(store, YARD, "a.csv")
    (made,) = sites.give_site(store, [1], "Works", limits=Limits(), stamp=ANN)
    add(store, WORKS.replace("2026-05-04", "2026-05-11"), "b.csv", site="Yard")
    keep.undo(store, made.id, ANN)
    assert sites.open_sites(store, ANN.actor)
    assert add(store, WORKS.replace("MSB/F1", "P/F1"), "c.csv", site="Yard").outcome == "new"

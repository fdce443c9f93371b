"""A cell corrected by hand: the file's own ways count, no other line is read another way, words are of the page."""

from __future__ import annotations

from pathlib import Path

import pytest

from riskscope.errors import UnusableInput
from riskscope.jobs import keep
from riskscope.jobs.bring_in import limits_of
from riskscope.jobs.mend import Edit, mend
from tests.store.build import ANN, add, readings

COMMAS = (
    "connection_id;survey_date;connection_c;ambient_c;load_pct\n"
    "A;2026-05-04;62,5;30,0;80\nB;2026-05-04;OL;30,0;80\nC;2026-05-04;34,1;30,0;80\n"
)
POINTS = COMMAS.replace(",", ".").replace(";", ",")
A, B = (POINTS.splitlines()[n].split(",") for n in (1, 2))
WHOLE = POINTS.replace("62.5", "62").replace("30.0", "30").replace("34.1", "34")


@pytest.mark.parametrize(
    ("file", "typed", "celsius", "still"),
    [
        (COMMAS, "41,5", 41.5, ""),
        (POINTS, "41.5", 41.5, ""),
        (COMMAS, "41", 41.0, ""),
        (WHOLE, "41,5", 41.5, ""),
        (COMMAS, "41.5", None, "is not a number with a decimal comma: write 41,5"),
        (POINTS, "41,5", None, "is not a number with a decimal point: write 41.5"),
    ],
)
def test_a_typed_number_has_the_decimal_sign_of_its_file(
    tmp_path: Path, file: str, typed: str, celsius: float | None, still: str
) -> None:
    with keep.opened(str(tmp_path / "s.db"), create=True) as store:
        add(store, file, "may.csv")
        mend(store, 1, [Edit("", 3, 2, "OL", typed)], limits=limits_of(store), stamp=ANN)
        rows = readings(store).set_index("connection_id")["connection_c"]
        assert rows.get("B") == celsius
        assert (rows["A"], rows["C"]) == (62 if file is WHOLE else 62.5, 34 if file is WHOLE else 34.1)
        open_ = keep.refused(store, ANN.actor).query("kind == 'rejected' and state == 'open'")["reason"]
        assert still in " ".join(open_)
        assert keep.check(store, ANN.actor) == (1, []), "the file with its edits reads the same again"


def test_what_can_be_read_two_ways_is_asked_in_words_of_the_page(tmp_path: Path) -> None:
    text = POINTS.replace("B,2026-05-04,OL", "B,,35")
    with keep.opened(str(tmp_path / "s.db"), create=True) as store:
        add(store, text, "may.csv")
        with pytest.raises(UnusableInput, match="dates like '1/2/2026' can be read two ways") as error:
            mend(store, 1, [Edit("", 3, 1, "", "1/2/2026")], limits=limits_of(store), stamp=ANN)
        assert "--" not in str(error.value)
        assert "2026-02-01" in str(error.value)


def test_a_correction_changes_no_other_line(tmp_path: Path) -> None:
    """Typed without its unit, the load would make the column one of fractions."""
    head = "connection_id,survey_date,connection_c,ambient_c,load\n"
    with keep.opened(str(tmp_path / "s.db"), create=True) as store:
        add(store, head + "A,2026-05-04,62,30,1.2\nB,2026-05-04,40,30,x\n", "may.csv", load=None)
        before = readings(store)["load_fraction"].tolist() if "load_fraction" in readings(store) else None
        with pytest.raises(UnusableInput, match=r"line 2|two ways|percent"):
            mend(store, 1, [Edit("", 3, 4, "x", "80")], limits=limits_of(store), stamp=ANN)
        after = readings(store)["load_fraction"].tolist() if "load_fraction" in readings(store) else None
        assert after == before


@pytest.mark.parametrize(
    ("edits", "words"),
    [
        ([Edit("", 1, 2, "connection_c", "foo")], "line 1 is no row of a table"),
        ([Edit("zz", 3, 2, "OL", "41")], "line 3 is no row of a table"),
        ([Edit("", 2, 2, "62.5", "OL")], "with this line 2, which counts now, would no longer count: connection_c"),
        ([Edit("", 2, n, text, "") for n, text in enumerate(A)], "no longer count"),
    ],
    ids=["a header", "another sheet", "off the scale", "emptied"],
)
def test_no_row_that_counts_is_lost_by_a_correction(tmp_path: Path, edits: list[Edit], words: str) -> None:
    with keep.opened(str(tmp_path / "s.db"), create=True) as store:
        add(store, POINTS, "may.csv")
        with pytest.raises(UnusableInput, match=words):
            mend(store, 1, edits, limits=limits_of(store), stamp=ANN)
        assert readings(store)["connection_id"].tolist() == ["A", "C"]


def test_a_refused_row_that_is_emptied_stays_refused_and_shows_what_the_file_says(tmp_path: Path) -> None:
    with keep.opened(str(tmp_path / "s.db"), create=True) as store:
        add(store, POINTS, "may.csv")
        emptied = [Edit("", 3, n, text, "") for n, text in enumerate(B)]
        mend(store, 1, emptied, limits=limits_of(store), stamp=ANN)
        (row,) = keep.refused(store, ANN.actor).query("kind == 'rejected'").to_dict("records")
        assert (row["line"], row["state"]) == (3, "open")
        assert row["cells"] == '["B", "2026-05-04", "OL", "30.0", "80"]'


def test_the_day_order_is_that_of_the_file_and_not_of_a_typed_cell(tmp_path: Path) -> None:
    head = "connection_id,survey_date,connection_c,ambient_c,load_pct\n"
    with keep.opened(str(tmp_path / "s.db"), create=True) as store:
        add(store, head + "A,5/28/2026,OL,30,80\nB,5/12/2026,40,30,80\n", "may.csv")
        typed = [Edit("", 2, 2, "OL", "43"), Edit("", 2, 1, "5/28/2026", "2026-05-28")]
        mend(store, 1, typed, limits=limits_of(store), stamp=ANN)
        assert readings(store)["survey_date"].dt.strftime("%Y-%m-%d").tolist() == ["2026-05-28", "2026-05-12"]


def test_a_correction_made_by_a_slip_is_taken_back_row_by_row(tmp_path: Path) -> None:
    """B came off the scale: typed 41 it counts, as it came it does not; A came as 62.5 and cannot be lost."""
    with keep.opened(str(tmp_path / "s.db"), create=True) as store:
        add(store, POINTS, "may.csv")
        mend(store, 1, [Edit("", 3, 2, "OL", "41"), Edit("", 2, 2, "62.5", "63.5")], limits=limits_of(store), stamp=ANN)
        assert readings(store)["connection_id"].tolist() == ["A", "B", "C"]
        mend(store, 1, [Edit("", 3, 2, "41", "OL")], limits=limits_of(store), stamp=ANN)
        assert readings(store)["connection_id"].tolist() == ["A", "C"]
        (row,) = keep.refused(store, ANN.actor).query("kind == 'rejected'").to_dict("records")
        assert (row["line"], row["state"]) == (3, "open")
        assert "may be the hottest" in row["reason"]
        with pytest.raises(UnusableInput, match="with this line 2, which counts now, would no longer count"):
            mend(store, 1, [Edit("", 2, 2, "63.5", "OL")], limits=limits_of(store), stamp=ANN)
        assert keep.check(store, ANN.actor) == (1, [])


WIDE = (
    "Panel,Circuit,Date,Air temp (°C),A temp (°C),B temp (°C),C temp (°C),Load A (%),Load B (%),Load C (%)\n"
    "P1,F1,2026-05-12,25,OL,95,36,80,80,80\nP1,F2,2026-05-12,25,36,OL,36,80,80,\n"
)


@pytest.mark.parametrize("typed", ["", "OL"])
def test_of_a_line_of_several_phases_none_that_counts_goes(tmp_path: Path, typed: str) -> None:
    """Phase A is mended, by a slip phase B emptied: its 95 °C would be gone."""
    with keep.opened(str(tmp_path / "s.db"), create=True) as store:
        add(store, WIDE, "wide.csv")
        edits = [Edit("", 2, 4, "OL", "41"), Edit("", 2, 5, "95", typed)]
        with pytest.raises(UnusableInput, match="line 2, which counts now, would no longer count: phase B"):
            mend(store, 1, edits, limits=limits_of(store), stamp=ANN)
        mend(store, 1, edits[:1], limits=limits_of(store), stamp=ANN)
        rows = readings(store).set_index("connection_id")["connection_c"]
        assert rows.filter(like="P1/F1").to_dict() == {"P1/F1/A": 41.0, "P1/F1/B": 95.0, "P1/F1/C": 36.0}
        mend(store, 1, [Edit("", 3, 5, "OL", "95"), Edit("", 3, 9, "", "80")], limits=limits_of(store), stamp=ANN)
        assert readings(store).set_index("connection_id").loc["P1/F2/B", "connection_c"] == 95.0


def test_a_phase_that_was_mended_can_be_mended_again_whatever_becomes_of_the_others(tmp_path: Path) -> None:
    """39 for 139 is a slip of the hand: the line stays to be chosen."""
    text = WIDE.replace("OL,95,36,", "OL,>250,36,")
    with keep.opened(str(tmp_path / "s.db"), create=True) as store:
        add(store, text, "wide.csv")
        mend(store, 1, [Edit("", 2, 5, ">250", "39")], limits=limits_of(store), stamp=ANN)
        first, second = (row for row in keep.refused(store, ANN.actor).query("line == 2").itertuples())
        assert {row.reason[:7]: row.state for row in (first, second)} == {"phase A": "open", "phase B": "resolved"}
        keep.dismiss(store, next(row.id for row in (first, second) if row.state == "open"), "lens cap", ANN)
        mend(store, 1, [Edit("", 2, 5, "39", "139")], limits=limits_of(store), stamp=ANN)
        rows = keep.refused(store, ANN.actor).query("line == 2")
        assert sorted(zip(rows["state"], rows["note"], strict=True)) == [
            ("dismissed", "lens cap"),
            ("resolved", "corrected"),
        ]
        assert readings(store).set_index("connection_id").loc["P1/F1/B", "connection_c"] == 139.0
        assert keep.check(store, ANN.actor) == (1, [])

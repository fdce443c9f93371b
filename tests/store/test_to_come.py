"""Files that are to come, told apart by name as they will be."""

from __future__ import annotations

import datetime as dt

from riskscope.intake.files import FileContent
from riskscope.intake.options import Limits
from riskscope.intake.read import check_file
from riskscope.store.to_come import to_come

TEXT = "connection_id,survey_date,connection_c\n{},2026-05-04,40\n"


def test_no_two_files_have_one_name_whatever_their_sheets() -> None:
    on, limits = dt.date(2026, 6, 1), Limits()
    files = [
        check_file(FileContent(name, TEXT.format(joint).encode()), on=on, limits=limits).sheets
        for name, joint in (("may.csv", "A"), ("june.csv", "B"), ("june.csv", "C"))
    ]
    made = to_come([[*files[0], *files[0]], *files[1:]], {"may.csv"})
    assert [sheet.file for sheet in made] == ["may.csv (to come, 1)"] * 2 + ["june.csv", "june.csv (to come, 3)"]
    assert [set(sheet.accepted["source_file"]) for sheet in made] == [{sheet.file} for sheet in made]

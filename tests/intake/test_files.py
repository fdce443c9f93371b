"""The one planner of files: which are read, once each, and with which options."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from riskscope.errors import UnusableInput, WrongUsage
from riskscope.intake.files import Source, load_bytes, sources
from riskscope.intake.options import Limits, ReadOptions

TOML = """[files."b.csv"]
table = "installs"
day_first = true
decimal = "comma"
[files."notes.csv"]
table = "none"
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in ("b.csv", "a.xlsx", "notes.csv", "old.xls", ".hidden.csv", "~$a.xlsx", "photo.jpg"):
        (tmp_path / name).write_bytes(b"")
    (tmp_path / "riskscope.toml").write_text(TOML, "utf-8")
    return tmp_path


def of(found: list[Source], name: str) -> Source:
    return next(source for source in found if source.path.name == name)


def test_the_data_files_of_a_folder_in_order_and_what_is_not_read(folder: Path) -> None:
    plan = sources([folder])
    assert [source.path.name for source in plan.files] == ["a.xlsx", "b.csv", "notes.csv"]
    assert [(note.file, note.text[:8]) for note in plan.notes] == [("old.xls", "NOT READ")]
    assert of(plan.files, "notes.csv").is_no_table


def test_what_is_stated_goes_before_the_toml_beside_a_file(folder: Path) -> None:
    stated = ReadOptions(day_first=False)
    for plan in (sources([folder], stated), sources([folder / "b.csv"], stated)):
        read_options = of(plan.files, "b.csv").read_options
        assert (read_options.table, read_options.day_first, read_options.decimal) == ("installs", False, "comma")


def test_a_table_that_is_named_goes_before_all(folder: Path) -> None:
    plan = sources([], ReadOptions(table="tools"), {"survey": [folder / "b.csv"]})
    [source] = plan.files
    assert source.read_options == ReadOptions(table="survey", day_first=True, decimal="comma")
    assert source.named


def test_a_file_without_a_stated_table_may_hold_none(folder: Path) -> None:
    assert not of(sources([folder]).files, "a.xlsx").named
    assert of(sources([folder]).files, "b.csv").named


def test_a_section_of_another_file_stops_nobody_who_names_a_file(folder: Path) -> None:
    (folder / "b.csv").unlink()
    (folder / "c.csv").write_bytes(b"")
    assert len(sources([folder / "c.csv"]).files) == 1
    with pytest.raises(UnusableInput, match=r'\[files."b.csv"\]: there is no such file'):
        sources([folder])


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('[files]\n"b.csv" = 3\n', "must be a section"),
        ('[files."b.csv"]\ndecimal = "dot"\n', "decimal must be point or comma"),
        ('[files."b.csv"]\nskin = 1\n', "there is no way of reading called skin"),
    ],
    ids=["no section", "a wrong value", "an unknown key"],
)
def test_faults_of_the_toml_are_the_same_for_a_folder_and_a_file(text: str, words: str, folder: Path) -> None:
    (folder / "riskscope.toml").write_text(text, "utf-8")
    for path in (folder, folder / "b.csv"):
        with pytest.raises((UnusableInput, WrongUsage), match=words):
            sources([path])


def test_what_is_no_file_is_said(folder: Path) -> None:
    (folder / "may.csv").mkdir()
    (folder / "june.csv").symlink_to(folder / "nowhere.csv")
    notes = {note.file: note.text for note in sources([folder]).notes}
    assert set(notes) == {"old.xls", "may.csv", "june.csv"}
    assert notes["june.csv"].startswith("NOT READ: it is no file")


def test_only_regular_files_are_read(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.csv")
    with pytest.raises(UnusableInput, match="is no regular file"):
        load_bytes(tmp_path / "pipe.csv", Limits())

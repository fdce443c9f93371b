"""The same data in every form gives the same ranking, to the byte."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest

from riskscope.intake.options import ReadOptions
from riskscope.jobs.rank import Request, rank
from riskscope.results import tables as results
from riskscope.words.render import Units
from tests.examples import part

ON = dt.date(2026, 6, 1)
Rows = list[dict[str, str]]
DATE = "2026-05-14"  # its day is above 12, so that 14.05.2026 settles the day order


def data() -> Rows:
    """Twelve circuits of three phases, as strings with a fixed number of digits."""
    rows = []
    for circuit in range(12):
        load = Decimal(30 + 5 * circuit)
        for number, phase in enumerate("ABC"):
            hot = Decimal("17.3") if circuit % 4 == 0 and number == 0 else Decimal("0.4") * number
            rows.append(
                {
                    "equipment": "P1",
                    "circuit": f"F{circuit:02d}",
                    "phase": phase,
                    "survey_date": DATE,
                    "connection_c": str(Decimal("38.1") + hot + Decimal("0.1") * circuit),
                    "ambient_c": "30.5",
                    "load_pct": str(load),
                }
            )
    return rows


def write_text(path: Path, rows: Rows, separator: str = ",", encoding: str = "utf-8") -> None:
    buffer = io.StringIO()
    writer = csv.DictWriter(buffer, list(rows[0]), delimiter=separator, lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    path.write_bytes(buffer.getvalue().encode(encoding))


def comma_csv(folder: Path) -> None:
    write_text(folder / "survey.csv", data())


def semicolon_csv(folder: Path) -> None:
    rows = [
        {name: cell.replace(".", ",") if name != "survey_date" else "14.05.2026" for name, cell in row.items()}
        for row in data()
    ]
    write_text(folder / "survey.csv", rows, ";")


def utf16_tsv(folder: Path) -> None:
    write_text(folder / "survey.tsv", data(), "\t", "utf-16")


def numbers(row: dict[str, str]) -> list[object]:
    return [
        float(cell) if name.endswith(("_c", "_pct")) else dt.date.fromisoformat(cell) if name == "survey_date" else cell
        for name, cell in row.items()
    ]


def xlsx(folder: Path) -> None:
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    page.append(["Survey of May"])
    page.append(list(data()[0]))
    for row in data():
        page.append(numbers(row))
    book.save(folder / "survey.xlsx")


def wide_xlsx(folder: Path) -> None:
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    page.append(
        [
            "Panel",
            "Circuit",
            "Date",
            "Air temp (°C)",
            "A temp (°C)",
            "B temp (°C)",
            "C temp (°C)",
            "Load A %",
            "Load B %",
            "Load C %",
        ]
    )
    rows = data()
    for first in range(0, len(rows), 3):
        three = rows[first : first + 3]
        page.append(
            [
                "P1",
                three[0]["circuit"],
                dt.date.fromisoformat(DATE),
                30.5,
                *(float(row["connection_c"]) for row in three),
                *(float(row["load_pct"]) for row in three),
            ]
        )
    book.save(folder / "survey.xlsx")


def fahrenheit(folder: Path) -> None:
    rows = [
        {
            {"connection_c": "Connection temp (°F)", "ambient_c": "Ambient (°F)"}.get(name, name): str(
                Decimal(cell) * 9 / 5 + 32
            )
            if name.endswith("_c")
            else cell
            for name, cell in row.items()
        }
        for row in data()
    ]
    write_text(folder / "survey.csv", rows)


def fractions(folder: Path) -> None:
    rows = [
        {name: str(Decimal(cell) / 100) if name == "load_pct" else cell for name, cell in row.items()} for row in data()
    ]
    write_text(folder / "survey.csv", rows)


def parquet(folder: Path) -> None:
    import pandas as pd

    pd.DataFrame([numbers(row) for row in data()], columns=list(data()[0])).to_parquet(folder / "survey.parquet")


def ranking(folder: Path, form: Callable[[Path], None]) -> bytes:
    folder.mkdir()
    form(folder)
    assessment = rank(Request(folder, {}, ReadOptions(), {}, None, ON))
    results.write(results.results(assessment, Units()), folder / "out")
    return (folder / "out" / "ranking.csv").read_bytes()


@pytest.mark.parametrize(
    "form",
    part([semicolon_csv, utf16_tsv, xlsx, wide_xlsx, fahrenheit, fractions, parquet], 4),
    ids=lambda f: f.__name__,
)
def test_form_gives_the_same_bytes(form: Callable[[Path], None], tmp_path: Path) -> None:
    plain = ranking(tmp_path / "plain", comma_csv)
    assert plain.count(b"\n") == 37
    assert b"P1/F00/A" in plain
    assert ranking(tmp_path / "other", form) == plain

"""Reading 100,000 + 100,000 CSV rows and assessing them; an XLSX of 100,000 rows.

Run by hand: ``python -m tests.benchmarks.intake``. Denominators are the same files in the same run:
read as text plus to_numeric on the numeric columns; the workbook reader alone.
"""

from __future__ import annotations

import io
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import xlsxwriter
from python_calamine import CalamineWorkbook

from riskscope.analysis.assess import assess as assess_tables
from riskscope.intake.files import Source
from riskscope.intake.options import Limits
from riskscope.intake.read import read_files
from riskscope.intake.readers import xlsx
from tests.benchmarks.assess import ON, tables

SIZE = 100_000
NUMERIC = {"connection_c", "ambient_c", "load_pct", "rated_a", "required_torque", "applied_torque"}


def best(work: Callable[[], object], times: int = 3) -> float:
    taken = []
    for _ in range(times):
        begin = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begin)
    return min(taken)


def write_csv(folder: Path) -> list[Path]:
    frames = tables(SIZE)
    survey = frames["survey"].round(1).drop(columns="survey_id")
    installs = frames["installs"].rename(columns={"required_low_nm": "required_torque", "applied_nm": "applied_torque"})
    installs = installs.drop(columns="required_high_nm").round(1).assign(torque_unit="N·m")
    tools = (
        frames["tools"]
        .rename(columns={"range_min_nm": "range_min", "range_max_nm": "range_max"})
        .assign(torque_unit="N·m")
    )
    paths = []
    for name, frame in (("survey", survey), ("installs", installs), ("tools", tools)):
        paths.append(folder / f"{name}.csv")
        frame.to_csv(paths[-1], index=False, date_format="%Y-%m-%d")
    return paths


def plain(paths: list[Path]) -> None:
    for path in paths:
        frame = pd.read_csv(path, dtype=str, keep_default_na=False)
        for name in NUMERIC & set(frame.columns):
            pd.to_numeric(frame[name], errors="coerce")


def write_workbook() -> bytes:
    frame = tables(SIZE)["survey"].round(1)
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer, {"constant_memory": True}) as book:
        page = book.add_worksheet("survey")
        day = book.add_format({"num_format": "yyyy-mm-dd"})
        page.write_row(0, 0, list(frame.columns))
        for line, row in enumerate(frame.itertuples(index=False), 1):
            for column, value in enumerate(row):
                if isinstance(value, pd.Timestamp):
                    page.write_datetime(line, column, value.to_pydatetime(), day)
                else:
                    page.write(line, column, value)
    return buffer.getvalue()


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        paths = write_csv(Path(name))
        wanted = [Source(path) for path in paths]
        base = best(lambda: plain(paths))
        read = best(lambda: read_files(wanted, on=ON))
        both = best(lambda: assess_tables(read_files(wanted, on=ON), on=ON))
    print(f"text plus to_numeric of {SIZE:,} + {SIZE:,} rows: {base:5.2f} s")
    print(f"intake {read:5.2f} s, intake plus assess {both:5.2f} s: ratio {both / base:.1f} (goal 4)")
    data = write_workbook()

    def alone() -> None:
        CalamineWorkbook.from_filelike(io.BytesIO(data)).get_sheet_by_index(0).to_python()

    base, ours = best(alone), best(lambda: xlsx.read(data, "survey.xlsx", Limits()))
    print(
        f"workbook of {SIZE:,} rows: the reader alone {base:5.2f} s, ours "
        f"{ours:5.2f} s: ratio {ours / base:.1f} (goal 3)"
    )


if __name__ == "__main__":
    main()

"""The demo site shows what was planted in it, and its generator makes it again."""

from __future__ import annotations

import csv
import datetime as dt
import importlib.util
from pathlib import Path

import pandas as pd
import pytest

import riskscope
from riskscope import demo
from riskscope.analysis.assess import assess as assess_tables

FOLDER = Path(__file__).parent.parent / "demo_data"
ON = dt.date(2026, 11, 1)
PLANTED = list(csv.DictReader((FOLDER / "planted.csv").read_text("utf-8").splitlines()))


@pytest.fixture(scope="module")
def found() -> pd.DataFrame:
    tables = riskscope.read(FOLDER, on=ON)
    return assess_tables(tables, on=ON).connections.set_index("connection_id")


@pytest.mark.parametrize("planted", PLANTED, ids=lambda row: row["connection_id"])
def test_planted_situation_shows(planted: dict[str, str], found: pd.DataFrame) -> None:
    row = found.loc[planted["connection_id"]]
    shown = {name: row[name] for name in ("pattern", "install_state", "action", "urgency")} | {
        name: "" if pd.isna(row[name]) else f"{row[name]:.0f}" for name in ("severity_as_found", "severity")
    }
    assert shown == {name: planted[name] for name in shown}, planted["why"]


def test_background_is_healthy(found: pd.DataFrame) -> None:
    """What was not planted is never hot: the invented joints obey exponent 1.75, not 2."""
    planted_circuits = {row["connection_id"].rsplit("/", 1)[0] for row in PLANTED}
    rest = found[[name.rsplit("/", 1)[0] not in planted_circuits for name in found.index]]
    assert len(rest) > 150
    assert not rest["pattern"].isin(["one joint hot", "all hot beyond load", "one cold"]).any()
    assert (rest["severity"].dropna() <= 1).all()


def test_size_of_the_site(found: pd.DataFrame) -> None:
    assert 250 <= len(found) <= 270
    assert found["equipment"].nunique() == 14
    recorded = found["install_state"] != "unrecorded"
    assert 0.5 < recorded.mean() < 0.75


def test_generator_makes_the_same_files(tmp_path: Path) -> None:
    spec = importlib.util.spec_from_file_location("make_demo", FOLDER / "make_demo.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    module.make(tmp_path)
    made = sorted(path.name for path in tmp_path.iterdir())
    kept = sorted(path.name for path in FOLDER.iterdir() if path.suffix in demo.ENDINGS)
    assert [name for name in kept if name in made] == made
    for name in made:
        if name.endswith(".xlsx"):
            pd.testing.assert_frame_equal(
                *(pd.read_excel(at / name, header=None, engine="openpyxl") for at in (tmp_path, FOLDER))
            )
        else:
            assert (tmp_path / name).read_bytes() == (FOLDER / name).read_bytes(), name


def test_demo_copy_refuses_a_folder_in_use(tmp_path: Path) -> None:
    demo.copy(tmp_path / "a")
    assert (tmp_path / "a" / "planted.csv").is_file()
    with pytest.raises(riskscope.RiskscopeError, match="already holds something"):
        demo.copy(tmp_path / "a")

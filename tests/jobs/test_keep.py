"""Export then import gives an equal store, whatever is in it."""

from __future__ import annotations

import csv
import io
import tempfile
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from riskscope.errors import UnusableInput
from riskscope.jobs import keep
from riskscope.jobs.bring_in import bring_in, sources
from riskscope.store import export
from riskscope.store import reading as held
from riskscope.store.database import Store
from tests.examples import examples
from tests.store.build import ANN, ON, SURVEY, add

words = st.text(st.one_of(st.characters(codec="utf-8", exclude_categories=("C", "Z")), st.just(" ")), max_size=12)
texts = st.one_of(st.sampled_from(["=1+1", "-x", "+", "@a", "'=q", "it's", "N/A", "Ω µ", "a,b", 'say "x"']), words)
ids = st.builds(lambda n, w: f"P{n}/{w.strip() or 'x'}", st.integers(1, 3), texts)
numbers = st.floats(0.01, 250.0, allow_nan=False)
days = st.dates(pd.Timestamp("2020-01-01").date(), ON).map(str)
maybe = lambda kind: st.one_of(st.just(""), kind)  # noqa: E731

SURVEYS = st.fixed_dictionaries(
    {
        "connection_id": ids,
        "survey_date": days,
        "connection_c": numbers.map(repr),
        "ambient_c": maybe(st.floats(-40, 60).map(repr)),
        "load_pct": maybe(st.floats(4.0, 290.0).map(repr)),
        "survey_time": maybe(st.times().map(lambda t: t.strftime("%H:%M:%S"))),
        "one_image": maybe(st.sampled_from(["yes", "no"])),
        "comment": texts,
        "tape colour": texts,
    }
)
INSTALLS = st.fixed_dictionaries(
    {
        "connection_id": ids,
        "work_date": days,
        "torque_unit": st.sampled_from(["N·m", "lbf·in"]),
        "required_torque": maybe(
            st.one_of(numbers.map(repr), st.tuples(numbers, numbers).map(lambda p: f"{min(p):.3f}-{max(p):.3f}"))
        ),
        "applied_torque": maybe(numbers.map(repr)),
        "fastener_no": maybe(st.integers(1, 9).map(str)),
    }
)


def as_csv(rows: list[dict[str, str]]) -> str:
    buffer = io.StringIO()
    writer = csv.DictWriter(buffer, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return buffer.getvalue()


def tables(store: Store) -> dict[str, pd.DataFrame]:
    """What counts, without where it came from; empty columns mean nothing."""
    frames = {}
    for name, frame in held.tables(store, 30).accepted.items():
        plain = frame.drop(columns=["source_file", "source_sheet", "source_line"])
        frames[name] = plain.dropna(axis="columns", how="all")[sorted(plain.dropna(axis="columns", how="all"))]
    return frames


def same_again(store: Store, folder: Path, form: str) -> None:
    keep.export_tables(store, ANN.actor, folder / "out", form, {})
    files = sources([folder / "out"]).files
    with keep.opened(str(folder / "again.db"), create=True) as other:
        done = bring_in(other, files, on=ON, options={}, stamp=ANN)
        assert [one.error for one in done if one.error] == []
        ours, theirs = tables(store), tables(other)
        assert list(ours) == list(theirs)
        for name, frame in ours.items():
            pd.testing.assert_frame_equal(theirs[name], frame, check_exact=True)
        assert not (held.tables(other, 30).refused["kind"] == "rejected").any()


@examples(5)
@given(
    survey=st.lists(SURVEYS, min_size=1, max_size=8),
    installs=st.lists(INSTALLS, max_size=8),
    form=st.sampled_from(export.FORMS),
)
def test_export_then_import_gives_an_equal_store(
    survey: list[dict[str, str]], installs: list[dict[str, str]], form: str
) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with keep.opened(str(folder / "s.db"), create=True) as store:
            add(store, as_csv(survey), day_first=False, load="percent", decimal="point", temperature_unit="C")
            if installs:
                add(store, as_csv(installs), "installs.csv", decimal="point")
            if tables(store).get("survey", pd.DataFrame()).empty:
                return
            same_again(store, folder, form)


@pytest.mark.long
@pytest.mark.parametrize("form", export.FORMS)
def test_the_demo_site_again(form: str, tmp_path: Path) -> None:
    demo = Path(__file__).parent.parent.parent / "demo_data"
    with keep.opened(str(tmp_path / "s.db"), create=True) as store:
        files = sources([demo]).files
        bring_in(store, files, on=ON, options={}, stamp=ANN)
        same_again(store, tmp_path, form)


def test_an_export_overwrites_nothing(tmp_path: Path) -> None:
    with keep.opened(str(tmp_path / "s.db"), create=True) as store:
        add(store, SURVEY)
        keep.export_tables(store, ANN.actor, tmp_path / "out", "csv", {})
        before = (tmp_path / "out" / "survey.csv").read_bytes()
        with pytest.raises(UnusableInput, match="nothing is overwritten"):
            keep.export_tables(store, ANN.actor, tmp_path / "out", "csv", {})
    assert (tmp_path / "out" / "survey.csv").read_bytes() == before

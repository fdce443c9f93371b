"""Every page through the entry, without a browser."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from riskscope.intake.settings import Ways
from riskscope.jobs import keep
from riskscope.jobs.bring_in import bring_in, wanted
from riskscope.screens.entry import PAGES
from tests.screens.conftest import TOP
from tests.store.build import ANN

DEMO = TOP / "demo_data"
ON = dt.date(2026, 6, 1)
pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::ResourceWarning")


@pytest.fixture(scope="module")
def demo_store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("pages") / "store.db"
    with keep.opened(str(place), create=True) as store:
        files, _ = wanted([DEMO], Ways())
        bring_in(store, files, on=ON, options={}, stamp=ANN)
    return place


def page(module: str, place: Path, monkeypatch: pytest.MonkeyPatch, **query: str) -> AppTest:
    monkeypatch.setenv("RISKSCOPE_STORE", str(place))
    monkeypatch.setenv("RISKSCOPE_ON", ON.isoformat())
    app = AppTest.from_file(str(TOP / "app.py"), default_timeout=60)
    for name, value in query.items():
        app.query_params[name] = value
    app.run()
    if module != "overview":
        app.switch_page(str(TOP / "riskscope" / "screens" / f"{module}.py"))
        for name, value in query.items():
            app.query_params[name] = value
        app.run()
    assert not app.exception
    assert [error.value for error in app.error] == []
    return app


@pytest.mark.parametrize("module", [module for module, *_ in PAGES])
def test_every_page_runs(module: str, demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    page(module, demo_store, monkeypatch)


@pytest.mark.parametrize("module", [module for module, *_ in PAGES])
def test_every_page_runs_on_an_empty_store(
    module: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    page(module, tmp_path / "empty.db", monkeypatch)


@pytest.mark.parametrize(
    "view", ["gaps", "coverage", "recall", "imports", "rejected", "method", "settings"]
)
def test_every_view_of_the_records(
    view: str, demo_store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    page("records", demo_store, monkeypatch, view=view)


def test_a_finding_typed_wrongly_is_told(demo_store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = page("work", demo_store, monkeypatch)
    next(box for box in app.text_input if box.label == "Connection").set_value("NOPE")
    next(button for button in app.button if button.label == "Keep this finding").click()
    app.run()
    assert any("Not kept" in error.value and "NOPE" in error.value for error in app.error)

"""A page through the entry without a browser, and what it says: words, and tables as cells."""

from __future__ import annotations

import ast
import datetime as dt
import functools
import html
import re
from collections.abc import Iterable, Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from streamlit.components.v2 import manifest_scanner
from streamlit.testing.v1 import AppTest

from riskscope.screens.entry import PAGES
from tests.screens.serving import TOP

SCREENS = TOP / "riskscope" / "screens"
ON = dt.date(2026, 6, 1)
LONGEST_S = 60
# Asked anew for each page, and most of its time: which distributions of this machine bring parts for pages.
manifest_scanner.scan_component_manifests = functools.cache(manifest_scanner.scan_component_manifests)
RENAMED = [module for module, _, path in PAGES if path and path != module]


def page(module: str, place: Path, monkeypatch: pytest.MonkeyPatch, **query: str) -> AppTest:
    """A page of the app on a store, run; it raised nothing and shows no error."""
    monkeypatch.setenv("RISKSCOPE_STORE", str(place))
    monkeypatch.setenv("RISKSCOPE_ON", ON.isoformat())
    app = AppTest.from_file(str(TOP / "app.py"), default_timeout=LONGEST_S)
    for name, value in query.items():
        app.query_params[name] = value
    if module in RENAMED:  # known only to an app that ran once
        app.run()
    if module != "overview":  # which the entry opens by itself
        app.switch_page(str(SCREENS / f"{module}.py"))
    app.run()
    assert not app.exception
    assert [error.value for error in app.error] == []
    return app


def views(module: str) -> list[str]:
    """The keys of a page's VIEWS; a page without is one view."""
    for node in ast.parse((SCREENS / f"{module}.py").read_text("utf-8")).body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "VIEWS":
            return list(ast.literal_eval(node.value))
    return [""]


def _leaves(block: Any) -> Iterator[Any]:
    for child in block.children.values():
        if hasattr(child, "children"):
            yield from _leaves(child)
        else:
            yield child


def _bodies(app: AppTest) -> Iterator[str]:
    for one in _leaves(app.main):
        if one.type == "html":
            yield re.sub(r"<style>.*?</style>", "", one.proto.body, flags=re.S)
        elif one.type == "download_button":
            yield html.escape(one.proto.label)
        elif isinstance(value := getattr(one, "value", None), str):
            yield html.escape(f"{getattr(one, 'label', '')} {value}")
        elif hasattr(one, "label"):
            yield html.escape(one.label)


def said(app: AppTest, *, tables: bool = True) -> str:
    """All words of the main part of a page on one line, those of pictures in brackets; with its tables or without."""
    text = " ".join(_bodies(app))
    if not tables:
        text = re.sub(r"<table.*?</table>", " . ", text, flags=re.S)
    text = re.sub(r'<img alt="([^"]*)"[^>]*>', r"[\1]", text)
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", text))).strip()


class _Cells(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tables: list[list[list[str]]] = []
        self.inside = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "table":
            self.tables.append([])
        elif tag == "tr":
            self.tables[-1].append([])
        elif tag in ("td", "th"):
            self.tables[-1][-1].append("")
            self.inside = True

    def handle_endtag(self, tag: str) -> None:
        if tag in ("td", "th"):
            self.inside = False

    def handle_data(self, data: str) -> None:
        if self.inside:
            self.tables[-1][-1][-1] += data


def tables(app: AppTest) -> list[list[dict[str, str]]]:
    """The tables of a page in order, each a list of rows by heading."""
    units = _Cells()
    for body in _bodies(app):
        if "<table" in body:
            units.feed(body)
    return [[dict(zip(heads, row, strict=True)) for row in rows] for heads, *rows in units.tables]


def row_of(app: AppTest, value: str, table: int = 0) -> dict[str, str]:
    """The one row of a table that has such a cell."""
    (found,) = (row for row in tables(app)[table] if value in row.values())
    return found


def press(app: AppTest, label: str, nth: int | None = None) -> AppTest:
    """Press the button of that label, of several the nth."""
    _that(app.button, label, nth).click()
    app.run()
    assert not app.exception
    return app


def fill(app: AppTest, label: str, text: str, nth: int | None = None) -> None:
    """Type into the text field of that label, of several the nth."""
    _that(app.text_input, label, nth).set_value(text)


def _that(parts: Iterable[Any], label: str, nth: int | None) -> Any:
    named = [part for part in parts if part.label == label]
    assert nth is not None or len(named) == 1
    return named[nth or 0]

"""One served app and one real browser for each module of tests."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.conftest import lacking
from tests.screens.serving import CHROMIUM, Served, served

OURS = ("http://127.0.0.1", "ws://127.0.0.1", "data:", "blob:")


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with served(tmp_path_factory.mktemp("app")) as running:
        yield running


@pytest.fixture(scope="module")
def context(app: Served) -> Iterator[object]:
    """One browser with one cache: the app's own files are fetched once."""
    if CHROMIUM is None:
        lacking("chromium", "no chromium on this machine")
    sync_api = pytest.importorskip("playwright.sync_api")
    sync_api.expect.set_options(timeout=30_000)
    with sync_api.sync_playwright() as playwright:
        running = playwright.chromium.launch(
            executable_path=CHROMIUM,
            args=[
                "--no-sandbox",
                "--disable-gpu",
                "--disable-background-networking",
                "--disable-component-update",
                "--disable-sync",
            ],
        )
        opened = running.new_context(viewport={"width": 1280, "height": 800})
        opened.set_default_timeout(30_000)
        yield opened
        running.close()


@pytest.fixture
def page(context: object) -> Iterator[object]:
    asked: list[str] = []
    opened = context.new_page()  # type: ignore[attr-defined]
    opened.on("request", lambda request: asked.append(request.url))
    yield opened
    opened.close()
    assert [url for url in asked if not url.startswith(OURS)] == [], "a request left the machine"

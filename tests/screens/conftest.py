"""The app served as a user serves it, and a real browser on it."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.conftest import lacking

TOP = Path(__file__).parent.parent.parent
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")


@dataclass
class Served:
    """A running app: its address, its store, its log."""

    address: str
    store: Path
    log: Path
    process: subprocess.Popen[bytes]


def serve(folder: Path, on: str = "2026-06-01") -> Served:
    """Start the app on an empty store in a folder of its own."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    store, log = folder / "store.db", folder / "log.txt"
    environment = {**os.environ, "PYTHONPATH": str(TOP), "HOME": str(folder)}
    command = [
        sys.executable,
        "-m",
        "riskscope",
        "serve",
        "--store",
        str(store),
        "--port",
        str(port),
        "--on",
        on,
    ]
    with log.open("wb") as out:
        process = subprocess.Popen(
            command, cwd=folder, env=environment, stdout=out, stderr=subprocess.STDOUT
        )
    address = f"http://127.0.0.1:{port}"
    for _ in range(240):
        if process.poll() is not None:
            break
        try:
            with urllib.request.urlopen(f"{address}/_stcore/health", timeout=1) as answer:
                if answer.status == 200:
                    return Served(address, store, log, process)
        except OSError:
            time.sleep(0.25)
    process.kill()
    raise AssertionError(log.read_text())


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    served = serve(tmp_path_factory.mktemp("app"))
    yield served
    served.process.terminate()
    served.process.wait(timeout=20)


@pytest.fixture(scope="module")
def browser() -> Iterator[object]:
    if CHROMIUM is None:
        lacking("chromium", "no chromium on this machine")
    sync_api = pytest.importorskip("playwright.sync_api")
    sync_api.expect.set_options(timeout=30_000)
    with sync_api.sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield running
        running.close()


@pytest.fixture
def page(browser: object) -> Iterator[object]:
    context = browser.new_context(viewport={"width": 1280, "height": 800})  # type: ignore[attr-defined]
    context.set_default_timeout(30_000)
    asked: list[str] = []
    opened = context.new_page()
    opened.on("request", lambda request: asked.append(request.url))
    yield opened
    context.close()
    outside = [
        url
        for url in asked
        if not url.startswith(("http://127.0.0.1", "data:", "blob:", "ws://127.0.0.1"))
    ]
    assert outside == [], "a request left the machine"

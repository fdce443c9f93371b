"""The app served as a user serves it, from this checkout or another."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

TOP = Path(__file__).parent.parent.parent
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
LONGEST_S, AGAIN_S = 60.0, 0.1


@dataclass
class Served:
    """A running app: its address, its store, its log."""

    address: str
    store: Path
    log: Path
    process: subprocess.Popen[bytes]


@contextmanager
def served(folder: Path, on: str = "2026-06-01", *, top: Path = TOP, python: str = sys.executable) -> Iterator[Served]:
    """The app of a checkout on the store in a folder, made empty if there is none, until it is let go."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    store, log = folder / "store.db", folder / "log.txt"
    environment = {**os.environ, "PYTHONPATH": str(top), "HOME": str(folder)}
    command = [python, "-m", "riskscope", "serve", "--store", str(store), "--port", str(port), "--on", on]
    with log.open("wb") as out:
        process = subprocess.Popen(command, cwd=folder, env=environment, stdout=out, stderr=subprocess.STDOUT)
    try:
        app = Served(f"http://127.0.0.1:{port}", store, log, process)
        wait_for(app)
        yield app
    finally:
        process.terminate()
        process.wait(timeout=20)


def wait_for(app: Served) -> None:
    """Until the server answers; its log where it does not."""
    end = time.monotonic() + LONGEST_S
    while time.monotonic() < end and app.process.poll() is None:
        try:
            with urllib.request.urlopen(f"{app.address}/_stcore/health", timeout=1) as answer:
                if answer.status == 200:
                    return
        except OSError:
            time.sleep(AGAIN_S)
    raise AssertionError(app.log.read_text())

"""unexpected: an error that is our own fault, kept for us, told in one sentence."""

from __future__ import annotations

import datetime as dt
import os
import traceback
from pathlib import Path

import riskscope


def log_unexpected(error: BaseException, now: dt.datetime) -> tuple[str, Path]:
    """Write an unexpected error to the log; its id and the log's place."""
    name = f"{now:%Y%m%d-%H%M%S}-{os.getpid()}"
    base = os.environ.get("XDG_STATE_HOME") or Path.home() / ".local" / "state"
    path = Path(base) / "riskscope" / "errors.log"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("a", encoding="utf-8") as log:
            log.write(f"{name} riskscope {riskscope.__version__}\n")
            log.write("".join(traceback.format_exception(error)) + "\n")
    except OSError:
        path = Path("the log could not be written")
    return name, path

"""The demo site, read and assessed once for all tests of a process; not to be written to."""

from __future__ import annotations

import datetime as dt
import functools
import shutil
import tempfile
from pathlib import Path

import riskscope
from riskscope.analysis.assessment import Assessment
from riskscope.jobs import keep
from riskscope.jobs.bring_in import bring_in, sources
from tests.store.build import ANN

DEMO = Path(__file__).parent.parent / "demo_data"
ON = dt.date(2026, 6, 1)


@functools.cache
def ranked(on: dt.date = ON) -> Assessment:
    """The demo site on a day; on that of most tests if none is given."""
    return riskscope.rank(DEMO, on=on.isoformat())


def store(place: Path, on: dt.date = ON) -> Path:
    """A store of the demo site, brought in on a day: rows of later ones are refused."""
    return Path(shutil.copy(Path(_made(on).name) / "store.db", place))


@functools.cache
def _made(on: dt.date) -> tempfile.TemporaryDirectory[str]:
    folder = tempfile.TemporaryDirectory()
    with keep.opened(str(Path(folder.name) / "store.db"), create=True) as made:
        bring_in(made, sources([DEMO]).files, on=on, options={}, stamp=ANN)
    return folder

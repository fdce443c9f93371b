"""The store kept from version 0.2.0: ``python -m tests.baselines.make_store``, in a checkout of that version.

It holds what a store in use holds: a survey that was superseded, one taken back, cells mended by
hand, a row dismissed, findings and a deferral typed in, a picture, assessments, jobs. Later versions
open a copy of it (and bring it up to their own shape), so it is never made again.
"""

from __future__ import annotations

import datetime as dt

import riskscope
from riskscope.intake.grid import Edit
from riskscope.intake.options import Limits, ReadOptions
from riskscope.jobs import assessed, enter, keep
from riskscope.jobs.bring_in import Decision, FileContent, bring_in, one_file, sources
from riskscope.jobs.mend import mend
from riskscope.jobs.rank import Request
from riskscope.store import tasks
from riskscope.store.stamp import Actor, Stamp
from tests.baselines.rankings import SITES, STORE

ON = dt.date(2026, 6, 1)
ANN = Stamp(Actor("ann"), "2026-06-01T08:00:00+00:00")
BOB = Stamp(Actor("bob"), "2026-06-01T09:30:00+00:00")
EXTRA = """connection_id,survey_date,connection_c,ambient_c,load_pct,equipment,circuit,phase
B1/W1/A,2026-05-28,52,24,60,B1,W1,A
B1/W1/B,2026-05-28,41,24,60,B1,W1,B
B9/W1/A,2026-05-28,oops,24,60,B9,W1,A
B9/W1/B,2026-05-28,40,24,60,B9,W1,B
B9/W1/C,2026-05-28,OL,24,60,B9,W1,C
"""
PIXEL = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de0000000c49444154789c63f8cfc000000301010018dd8db0"
    "0000000049454e44ae426082"
)


def main() -> None:
    assert riskscope.__version__ == "0.2.0", "this store is of version 0.2.0"
    if STORE.exists():
        raise SystemExit(f"{STORE.name} is kept already, and it is never made again.")
    with keep.opened(str(STORE), create=True) as store:
        files = sources([SITES["works"]]).files
        bring_in(store, files, on=ON, options={}, stamp=ANN)

        def add(name: str, text: str, decision: Decision | None = None) -> int:
            content = FileContent(name, text.encode(), ReadOptions(table="survey"))
            made = one_file(store, content, on=ON, limits=Limits(), stamp=BOB, decision=decision)
            assert made.made is not None
            return made.made.id

        first = add("late.csv", EXTRA)
        second = add("late, corrected.csv", EXTRA.replace(",52,", ",53,"), Decision((first,)))
        mend(store, second, [Edit("", 4, 2, "oops", "44")], limits=Limits(), stamp=BOB)
        refused = keep.refused(store, ANN.actor)
        open_ = refused[
            (refused["import_id"] == second) & (refused["state"] == "open") & (refused["kind"] == "rejected")
        ]
        keep.dismiss(store, int(open_["id"].iloc[0]), "instrument off its scale, read again in June", BOB)
        taken_back = add("mistaken.csv", EXTRA.replace("2026-05-28", "2026-05-29").replace("W1", "W2"))
        keep.undo(store, taken_back, ANN)
        typed = {
            "connection_id": "B9/W1/B",
            "work_date": "2026-05-30",
            "as_found": "loose",
            "action": "none",
            "deferred_by": "P. Lowe",
            "deferred_until": "2026-09-01",
            "comment": "no spare lug until the shutdown",
        }
        enter.enter(store, "findings", typed, on=ON, stamp=ANN)
        keep.keep_picture(store, "ir_900.csv", PIXEL, ANN)
        request = Request(None, {}, ReadOptions(), {}, None, ON, store=store.address, stamp=ANN)
        assessed.current(store, request)
        task = tasks.begin(store, "bring in", ANN)
        tasks.end(store, task.id, "2026-06-01T08:00:05+00:00", "late.csv brought in", failed=False)
    for rest in STORE.parent.glob(f"{STORE.name}-*"):
        rest.unlink()


if __name__ == "__main__":
    main()

"""Assessments: made once for one state of the store, kept with what made them, never changed."""

from __future__ import annotations

import hashlib
import io
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd
from sqlalchemy import Row, func, insert, select

from riskscope.errors import UnusableInput
from riskscope.store.database import Store
from riskscope.store.model import ASSESSMENTS, EDITS, IMPORTS, LISTS, REFUSED
from riskscope.store.stamp import Stamp


@dataclass(frozen=True)
class AssessmentRecord:
    """An assessment that is kept: what made it and what it says; its lists are read when asked for."""

    id: int
    fingerprint: str
    as_of: str
    made: Mapping[str, Any]
    summary: Mapping[str, Any]
    actor: str
    at: str


def state_of(store: Store) -> str:
    """What rows count now, as a hash: it changes with every import, undo, correction, dismissal."""
    with store.reading() as connection:
        active = connection.execute(
            select(IMPORTS.c.id, IMPORTS.c.sha256).where(IMPORTS.c.state == "active").order_by(IMPORTS.c.id)
        ).all()
        corrected = connection.execute(select(func.max(EDITS.c.id))).scalar()
        dismissed = connection.execute(
            select(func.count()).select_from(REFUSED).where(REFUSED.c.state == "dismissed")
        ).scalar()
    return fingerprint({"imports": [list(row) for row in active], "edits": corrected, "dismissed": dismissed})


def fingerprint(made: Mapping[str, Any]) -> str:
    """A hash of what makes an assessment."""
    text = json.dumps(made, sort_keys=True, ensure_ascii=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()


def find(store: Store, made: Mapping[str, Any]) -> AssessmentRecord | None:
    """The assessment that was made of just this, if there is one."""
    with store.reading() as connection:
        row = connection.execute(
            select(ASSESSMENTS).where(ASSESSMENTS.c.fingerprint == fingerprint(made))
        ).one_or_none()
    return None if row is None else _record(row)


def listed(store: Store) -> list[AssessmentRecord]:
    """Every assessment, oldest first."""
    with store.reading() as connection:
        rows = connection.execute(select(ASSESSMENTS).order_by(ASSESSMENTS.c.id)).all()
    return [_record(row) for row in rows]


def _record(row: Row[Any]) -> AssessmentRecord:
    return AssessmentRecord(
        row.id, row.fingerprint, row.as_of, json.loads(row.made), json.loads(row.summary), row.actor, row.at
    )


def save(
    store: Store,
    *,
    as_of: str,
    made: Mapping[str, Any],
    summary: Mapping[str, Any],
    lists: Mapping[str, pd.DataFrame],
    stamp: Stamp,
) -> AssessmentRecord:
    """Keep an assessment; where the same one is there already, that one stands."""
    packed = {name: _pack(frame) for name, frame in lists.items()}
    mark = fingerprint(made)
    with store.writing() as connection:
        there = connection.execute(select(ASSESSMENTS.c.id).where(ASSESSMENTS.c.fingerprint == mark)).scalar()
        if there is None:
            number = int(connection.execute(select(func.max(ASSESSMENTS.c.id))).scalar() or 0) + 1
            connection.execute(
                insert(ASSESSMENTS).values(
                    id=number,
                    fingerprint=mark,
                    as_of=as_of,
                    made=_text(made),
                    summary=_text(summary),
                    actor=stamp.who,
                    at=stamp.at,
                )
            )
            connection.execute(
                insert(LISTS),
                [
                    {"assessment_id": number, "name": name, "rows": len(lists[name]), "content": content}
                    for name, content in packed.items()
                ],
            )
    record = find(store, made)
    assert record is not None
    return record


def _text(value: Mapping[str, Any]) -> str:
    return json.dumps(value, ensure_ascii=False, default=str)


def _pack(frame: pd.DataFrame) -> bytes:
    buffer = io.BytesIO()
    frame.to_parquet(buffer, index=False)
    return buffer.getvalue()


def read(store: Store, assessment_id: int, name: str) -> pd.DataFrame:
    """One list of an assessment, as it was made.

    Raises
    ------
    UnusableInput
        If there is none.
    """
    with store.reading() as connection:
        content = connection.execute(
            select(LISTS.c.content).where(LISTS.c.assessment_id == assessment_id, LISTS.c.name == name)
        ).scalar()
    if content is None:
        raise UnusableInput(f"assessment {assessment_id} has no list {name!r}.", file=store.place)
    return pd.read_parquet(io.BytesIO(bytes(content)))

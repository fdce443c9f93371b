"""Every table read, together: the accepted rows, and all that was not accepted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from riskscope.schema.notes import Note
from riskscope.schema.results import REJECTED

PERHAPS = "perhaps of another site"  # 1 in a row of the register that may only make its joint stricter
FORMER = "former_name"  # of a reading that was written down under a name its connection had before
WHY = "why it is on this sheet"  # a column of our own sheets to fill in, which says nothing of the joint
EXTRA = "extra: "  # begins the name of a column that is kept with its rows and not used


@dataclass(frozen=True)
class InputFile:
    """A file that was read, known again by its hash."""

    name: str
    sha256: str
    tables: tuple[str, ...]


@dataclass
class Tables(Mapping[str, pd.DataFrame]):
    """Every table read: a mapping of table name to accepted rows, and all that was not accepted.

    Attributes
    ----------
    accepted : dict of str to DataFrame
        Accepted rows in the units used inside, with `source_file`, `source_sheet`, `source_line`.
    refused : DataFrame
        Rejected and set-aside rows with place, reasons and original cells.
    notes : list of Note
    counts : dict of str to dict
        Per table: read, accepted, rejected, set_aside, warnings.
    files : list of InputFile

    Examples
    --------
    >>> import pandas as pd, riskscope
    >>> survey = pd.DataFrame({"connection_id": ["A", "B"], "survey_date": "2026-05-04", "connection_c": [35, "OL"]})
    >>> tables = riskscope.read(survey, on="2026-06-01")
    >>> print(tables.counts["survey"]["accepted"], "row accepted;", tables.refused["reason"].iloc[-1][29:])
    1 row accepted; instrument's scale: it may be the hottest, read it again (B, 2026-05-04)
    """

    accepted: dict[str, pd.DataFrame]
    refused: pd.DataFrame
    notes: list[Note] = field(default_factory=list)
    counts: dict[str, dict[str, int]] = field(default_factory=dict)
    files: list[InputFile] = field(default_factory=list)

    def __getitem__(self, table: str) -> pd.DataFrame:
        return self.accepted[table]

    def __iter__(self) -> Iterator[str]:
        return iter(self.accepted)

    def __len__(self) -> int:
        return len(self.accepted)


def refused(columns: Mapping[str, Any] | None = None) -> pd.DataFrame:
    """Refused rows as a frame, by the columns of table `rejected` that are known of them; without any, none."""
    kinds = {"integer": "int64", "date": "datetime64[us]"}
    rows = pd.DataFrame({"line": []} if columns is None else dict(columns))
    return rows.reindex(columns=[column.name for column in REJECTED.columns]).astype(
        {column.name: kinds.get(column.kind, "str") for column in REJECTED.columns}
    )

"""CSV as it is written, byte for byte."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.words.plain import as_csv, plain_each


def test_csv_byte_for_byte() -> None:
    """The format others read: held here, so that it changes only on purpose."""
    frame = pd.DataFrame(
        {
            "name": pd.Series(["MSB/F1/A", 'said "loose"', "=1+1", "ö, –", None], dtype="str"),
            "rise_k": [15.0, 0.1, 1e-7, -2.5, np.nan],
            "rank": pd.Series([1, 2, 3, None, 1000000], dtype="Int64"),
            "day": pd.to_datetime(["2026-06-01", None, "1999-12-31", "2026-02-28", "2026-06-30"]),
        }
    )
    assert as_csv(frame).decode("utf-8") == (
        '"name","rise_k","rank","day"\n'
        '"MSB/F1/A",15,1,2026-06-01\n'
        '"said ""loose""",0.1,2,\n'
        '"\'=1+1",1e-7,3,1999-12-31\n'
        '"ö, –",-2.5,,2026-02-28\n'
        ",,1000000,2026-06-30\n"
    )


def test_csv_of_no_rows_is_its_heading() -> None:
    assert as_csv(pd.DataFrame({"a": pd.Series([], dtype="str"), "b": pd.Series([], dtype="float64")})) == b'"a","b"\n'


def test_a_column_is_made_plain_text_by_text() -> None:
    texts = pd.Series(["a\x07b", None, "a\x07b", "\u202ec", "d"], index=[3, 1, 4, 5, 9], dtype="str")
    made = plain_each(texts)
    assert made.tolist()[:1] + made.tolist()[2:] == ["a\ufffdb", "a\ufffdb", "\ufffdc", "d"]
    assert made.isna().tolist() == [False, True, False, False, False]
    assert made.index.tolist() == [3, 1, 4, 5, 9]

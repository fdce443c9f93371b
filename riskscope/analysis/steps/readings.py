"""Which readings count, and what the register adds to them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import codes, days, filled, floats, kept, positions, take, texts, with_columns
from riskscope.analysis.frames import table as get_table
from riskscope.schema import TABLES

SURVEY = TABLES["survey"]
FROM_FILE = ("source_file", "source_sheet", "source_line")


def counted(tables: Mapping[str, pd.DataFrame], on: dt.date) -> pd.DataFrame:
    """One row for each connection and survey: the reading that counts.

    The later reading where dates differ or all have a time, else the hotter. Where the survey does
    not say where a connection is, the register does.

    Reads
        every column of `survey`; of `connections` its places and ``rated_a``; of `equipment` ``site``.
    Writes
        every column of `survey`, ``register_rated_a``, ``id_rank`` (order of ids), ``other_readings``
        (readings of the same survey that do not count), ``hottest_other_c`` (hottest of them all).
    """
    survey = get_table(tables, "survey")
    survey = survey[[name for name in survey if name in SURVEY.stored or name in FROM_FILE]]
    survey = kept(survey, (survey["survey_date"] <= pd.Timestamp(on)).to_numpy())
    survey = _fill_places(survey, tables)
    id_code, _ = pd.factorize(survey["connection_id"], sort=True)
    pair = codes(pd.Series(id_code), texts(survey, "survey_id"))
    counts = np.bincount(pair)
    others = (counts[pair] - 1).astype(np.int32)
    hottest = _hottest_other(floats(survey, "connection_c"), pair) if others.any() else np.nan
    frame = with_columns(
        survey, {"id_rank": id_code.astype(np.int32), "other_readings": others, "hottest_other_c": hottest}
    )
    return _choose(frame, pair) if others.any() else frame


def _choose(frame: pd.DataFrame, pair: np.ndarray) -> pd.DataFrame:
    """Of several readings of a connection in a survey the one that counts."""
    day = days(frame["survey_date"])
    latest = pd.Series(day).groupby(pair).transform("max").to_numpy()
    time = floats(frame, "survey_time")
    same_day = day == latest
    all_timed = pd.Series(~np.isnan(time) | ~same_day).groupby(pair).transform("all").to_numpy()
    heat = floats(frame, "connection_c")
    for rise in ("rise_similar_k", "rise_ambient_k"):
        heat = np.where(np.isnan(heat), floats(frame, rise), heat)
    order = np.lexsort(
        (
            frame["source_line"].to_numpy() if "source_line" in frame else np.arange(len(frame)),
            np.nan_to_num(heat, nan=-np.inf),
            np.where(all_timed, time, 0.0),
            day,
            pair,
        )
    )
    last = np.append(pair[order][1:] != pair[order][:-1], True)
    return frame.iloc[np.sort(order[last])].reset_index(drop=True)


def _hottest_other(temperature: np.ndarray, pair: np.ndarray) -> np.ndarray:
    """Hottest reading of each row's connection and survey, where there are several. [°C]"""
    hottest = np.full(int(pair.max(initial=0)) + 1, np.nan)
    np.fmax.at(hottest, pair, temperature)
    return np.where(np.bincount(pair)[pair] > 1, hottest[pair], np.nan)


def _fill_places(survey: pd.DataFrame, tables: Mapping[str, pd.DataFrame]) -> pd.DataFrame:
    register = get_table(tables, "connections")
    at = positions(register["connection_id"], survey["connection_id"])
    places: dict[str, object] = {
        name: filled(texts(survey, name), take(texts(register, name), at)) for name in SURVEY.places
    }
    site, board = places["site"], places["equipment"]
    assert isinstance(site, pd.Series)
    assert isinstance(board, pd.Series)
    if site.isna().any():
        equipment = get_table(tables, "equipment")
        at_board = positions(equipment["equipment"], board)
        places["site"] = filled(site, take(texts(equipment, "site"), at_board))
    rated = take(texts(register, "rated_a"), at)
    return with_columns(survey, {**places, "register_rated_a": rated})

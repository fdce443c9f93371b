"""A suitable torque tool for each piece of work: calibrated on the day, the torque in its range."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import floats
from riskscope.settings import Settings


def suitable(
    required_nm: pd.Series, days: pd.Series, sites: pd.Series, tables: Mapping[str, pd.DataFrame], settings: Settings
) -> pd.DataFrame:
    """The tool of the site for each torque on a day, the one with the smallest range that holds it.

    Parameters
    ----------
    required_nm : Series
        Required torque. [N·m]
    days : Series of datetime64
        Day of the work.
    sites : Series of str
        Site of the work. A tool that is listed for no site serves all.
    tables : mapping
        `tools` lists one row for each calibration.

    Returns
    -------
    DataFrame
        ``tool_id tool_unit``; missing where no tool on record is there, calibrated on the day and has the
        torque in its range.
    """
    tools = tables.get("tools", pd.DataFrame())
    made = pd.DataFrame(
        {
            "tool_id": pd.Series(np.nan, index=required_nm.index, dtype="str"),
            "tool_unit": pd.Series(np.nan, index=required_nm.index, dtype="str"),
        }
    )
    if tools.empty or "calibrated_on" not in tools:
        return made
    begins = tools["calibrated_on"]
    ends = tools["calibration_due"] if "calibration_due" in tools else pd.Series(pd.NaT, index=tools.index)
    ends = pd.to_datetime(ends).fillna(begins + pd.DateOffset(months=settings.calibration_months))
    top = floats(tools, "range_max_nm")
    low = floats(tools, "range_min_nm")
    low = np.where(np.isnan(low), top * settings.tool_range_low_pct / 100.0, low)
    failed = (
        pd.to_datetime(tools["found_out_of_tolerance_on"])
        if "found_out_of_tolerance_on" in tools
        else pd.Series(pd.NaT, index=tools.index)
    )
    bad_since = failed.groupby(tools["tool_id"]).transform("max")
    at = tools["site"] if "site" in tools else pd.Series(np.nan, index=tools.index, dtype="str")
    unit = tools["torque_unit"] if "torque_unit" in tools else pd.Series(np.nan, index=tools.index, dtype="str")
    order = np.lexsort((tools["tool_id"].astype("str"), top - low))
    for row in required_nm.index:
        torque, on = required_nm[row], days[row]
        if pd.isna(torque):
            continue
        fits = (begins <= on) & (ends >= on) & (low <= torque) & (torque <= top)
        fits &= at.isna() | (at == sites[row])
        fits &= bad_since.isna() | (begins > bad_since)
        good = [place for place in order if fits.iloc[place]]
        if good:
            made.loc[row, "tool_id"] = tools["tool_id"].iloc[good[0]]
            made.loc[row, "tool_unit"] = unit.iloc[good[0]] if not pd.isna(unit.iloc[good[0]]) else "N·m"
    return made

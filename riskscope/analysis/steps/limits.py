"""Temperature at full load against the limit."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import floats, named, positions, take, texts
from riskscope.analysis.frames import table as get_table
from riskscope.physics.load import rise_at_full_load
from riskscope.physics.uncertainty import u_single
from riskscope.schema.tables import PERHAPS
from riskscope.settings import Settings
from riskscope.standards import limits as standard_limits
from riskscope.units import Floats, edge

READS = ("connection_id", "connection_c", "ambient_c", "rise_ambient_found_k", "scale_fraction",
         "as_found_only", "u_load", "load_fraction", "u_radiometric_k")  # fmt: skip
WRITES = ("limit_c", "limit_from", "rise_ambient_full_k", "projected_c", "margin_k", "over_limit_now",
          "over_limit_low", "nearly over its limit", "may exceed its limit at full load", "rated_low_over_air_k",
          "limit_rise_k", "limit_low_k", "limit_high_k", "permitted_rise_k", "ambient_low_k",
          "ambient_high_k")  # fmt: skip

DEFAULT_FROM = "our default, none on record"


def limits(readings: pd.DataFrame, tables: Mapping[str, pd.DataFrame], settings: Settings) -> dict[str, object]:
    """Temperature each connection would reach at full load, and the limit it is held against.

    Limits are stated at 40 °C air: cooler air is no margin. Above full load the rise found counts. Below 40 % load what
    is held against the limit is the low end of the rise by the factor of 40 %; as the air in a board may be warmer than
    that beside it, what is over but for that is nearly over its limit.

    Reads
        `READS`; of `connections` ``limit_c`` and ``limit_class``.
    Writes
        `WRITES`
    """
    limit, limit_from = limit_of(readings["connection_id"], tables, settings)
    rise, load = floats(readings, "rise_ambient_found_k"), floats(readings, "scale_fraction")
    u_load, scaled = floats(readings, "u_load"), ~readings["as_found_only"].to_numpy()
    reach, u_optical = settings.coverage, floats(readings, "u_radiometric_k")
    u_air, u_light = (np.full(len(rise), u) for u in (settings.u_ambient_k, settings.u_ambient_light_k))
    u_whole = np.hypot(u_air, u_optical)
    full = rise_at_full_load(rise, load, settings.exponent)
    low, _ = _interval(rise, load, u_load, u_air, settings)  # to know an emissivity makes no joint look better
    low_end, high = _interval(rise, load, u_load, u_whole, settings)  # what is shown
    over_load = load > 1
    air = np.fmax(settings.design_ambient_c, floats(readings, "ambient_c"))
    projected = np.where(scaled, air + np.where(over_load, np.fmax(full, rise), full), np.nan)
    light = (edge(floats(readings, "load_fraction")) < settings.low_load) & scaled  # else as found: the least it can be
    raised = np.where(light, settings.low_load, load)
    light_low, _ = _interval(rise, raised, u_load, u_light, settings)
    light_low_end, light_high = _interval(rise, raised, u_load, np.hypot(u_light, u_optical), settings)
    nearly = light & (edge(air + _interval(rise, raised, u_load, u_air, settings)[0]) > edge(limit))
    over_low = edge(air + np.where(light, light_low, low)) > edge(limit)
    return {
        "limit_c": limit,
        "limit_from": limit_from,
        "rise_ambient_full_k": np.where(scaled, full, np.nan),
        "projected_c": projected,
        "margin_k": limit - projected,
        "over_limit_now": edge(floats(readings, "connection_c")) > edge(limit),
        "over_limit_low": over_low,
        "nearly over its limit": nearly & ~over_low,
        "may exceed its limit at full load": (edge(projected) > edge(limit)) & ~over_low & ~nearly,
        "rated_low_over_air_k": np.where(scaled, low, np.nan),
        "limit_rise_k": np.where(light, light_low, np.where(np.isnan(projected), rise, projected - air)),
        "limit_low_k": np.where(light, light_low_end, np.where(scaled, low_end, np.nan)),
        "limit_high_k": np.where(light, light_high, np.where(scaled, high, np.nan)),
        "permitted_rise_k": limit - air,
        "ambient_low_k": rise - reach * u_whole,
        "ambient_high_k": rise + reach * u_whole,
    }


def _interval(rise: Floats, load: Floats, u_load: Floats, u_air: Floats, settings: Settings) -> tuple[Floats, Floats]:
    """Low and high end of a rise over the air at full load, over all exponents. [K]"""
    reach, over_load = settings.coverage, load > 1
    rated = [(rise_at_full_load(rise, load, n), n) for n in settings.exponents]
    ends = [(at_n, reach * u_single(at_n, load, u_air, u_load, n)) for at_n, n in rated]
    low, high = np.min([at - u for at, u in ends], axis=0), np.max([at + u for at, u in ends], axis=0)
    found_low = rise - reach * u_air  # at full load or less the rise found is the least it can be
    low = np.where(over_load, np.fmin(low, found_low), np.fmax(low, found_low))
    return low, np.where(over_load, np.fmax(high, rise + reach * u_air), high)


def limit_of(ids: pd.Series, tables: Mapping[str, pd.DataFrame], settings: Settings) -> tuple[np.ndarray, pd.Series]:
    """Limit of each connection and where it comes from: register, its class, else the setting.

    A class that chooses ampacity, that is not in the table or that is only known from memory is
    not used: the setting stands and says so. So it does over a higher limit that may be another joint's.
    """
    register = get_table(tables, "connections")
    position = positions(register["connection_id"], ids)
    own = take(texts(register, "limit_c"), position).to_numpy(dtype=float)
    wanted = take(texts(register, "limit_class"), position)
    default = settings.limit_default_c
    values = np.where(np.isnan(own), default, own)
    words = [DEFAULT_FROM, "register"]
    said = (~np.isnan(own)).astype(np.int64)
    for name in wanted.dropna().unique():
        rows = (wanted == name).to_numpy() & np.isnan(own)
        said[rows] = len(words)
        printed = standard_limits.find(name)
        if printed is None:
            words.append(f"{DEFAULT_FROM} (no class {name} in the table)")
        elif not printed.is_surface_limit:
            words.append(f"{DEFAULT_FROM} (class {name} chooses ampacity)")
        elif printed.status == "memory":
            words.append(f"{DEFAULT_FROM} (class {name} is known from memory only)")
        else:
            values[rows] = printed.total_c
            words.append(f"{printed.source} ({printed.key})")
    perhaps = (take(texts(register, PERHAPS), position) == 1.0).to_numpy(dtype=bool) & (values > default)
    values[perhaps], said[perhaps] = default, len(words)
    words.append("our default: its site is not known, and the limit a register has is higher")
    return values, named(words, said)

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
from riskscope.units import edge

READS = ("connection_id", "connection_c", "ambient_c", "rise_ambient_found_k", "scale_fraction",
         "as_found_only", "u_load", "load_fraction")  # fmt: skip
WRITES = ("limit_c", "limit_from", "rise_ambient_full_k", "projected_c", "margin_k", "over_limit_now",
          "over_limit_low", "may exceed its limit at full load", "rated_low_over_air_k", "rated_high_over_air_k",
          "permitted_rise_k", "ambient_low_k", "ambient_high_k")  # fmt: skip

DEFAULT_FROM = "our default, none on record"


def limits(readings: pd.DataFrame, tables: Mapping[str, pd.DataFrame], settings: Settings) -> dict[str, object]:
    """Temperature each connection would reach at full load, and the limit it is held against.

    Limits are stated at 40 °C air: cooler air is no margin. Above full load the rise found counts.

    Reads
        `READS`; of `connections` ``limit_c`` and ``limit_class``.
    Writes
        `WRITES`
    """
    limit, limit_from = limit_of(readings["connection_id"], tables, settings)
    rise, load = floats(readings, "rise_ambient_found_k"), floats(readings, "scale_fraction")
    u_load, scaled = floats(readings, "u_load"), ~readings["as_found_only"].to_numpy()
    reach, u_air = settings.coverage, settings.u_ambient_k
    full = rise_at_full_load(rise, load, settings.exponent)
    rated = [rise_at_full_load(rise, load, n) for n in settings.exponents]
    reaches = [
        reach * u_single(at_n, load, u_air, u_load, n) for n, at_n in zip(settings.exponents, rated, strict=True)
    ]
    low = np.min(np.subtract(rated, reaches), axis=0)
    high = np.max(np.add(rated, reaches), axis=0)
    over_load = load > 1
    found_low = rise - reach * u_air  # at full load or less the rise found is the least it can be
    low = np.where(over_load, np.fmin(low, found_low), np.fmax(low, found_low))
    high = np.where(over_load, np.fmax(high, rise + reach * u_air), high)
    air = np.fmax(settings.design_ambient_c, floats(readings, "ambient_c"))
    projected = air + np.where(over_load, np.fmax(full, rise), full)
    projected = np.where(scaled, projected, np.nan)
    over_low = edge(air + low) > edge(limit)
    # a rise rated as found only is a lower bound of that at full load
    heavy = (edge(floats(readings, "load_fraction")) >= settings.low_load) | ~scaled
    return {
        "limit_c": limit,
        "limit_from": limit_from,
        "rise_ambient_full_k": np.where(scaled, full, np.nan),
        "projected_c": projected,
        "margin_k": limit - projected,
        "over_limit_now": edge(floats(readings, "connection_c")) > edge(limit),
        "over_limit_low": over_low & heavy,
        "may exceed its limit at full load": (edge(projected) > edge(limit)) & ~(over_low & heavy),
        "rated_low_over_air_k": np.where(scaled, low, np.nan),
        "rated_high_over_air_k": np.where(scaled, high, np.nan),
        "permitted_rise_k": limit - air,
        "ambient_low_k": rise - reach * u_air,
        "ambient_high_k": rise + reach * u_air,
    }


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

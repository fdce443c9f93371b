"""Every default of the method, in one frozen dataclass."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

from riskscope.errors import WrongUsage
from riskscope.settings.core import setting

PRACTICE = "common practice, no source"
OWN = "our own choice"
BOUNDS = {
    "exponent": (1.0, 3.0),
    "exponent_low": (1.0, 3.0),
    "low_load": (0.0, 1.0),
    "alike_load": (0.0, 1.0),
    "reference_load_min": (0.0, 1.0),
    "reference_load_factor": (1.0, 10.0),
    "group_max": (2, 1000),
    "limit_default_c": (45.0, 300.0),
    "design_ambient_c": (0.0, 60.0),
    "like_current": (0.0, 1.0),
    "proof_current": (0.0, 1.0),
    "lost_phase": (0.0, 1.0),
    "coverage": (0.5, 5.0),
    "hot_ratio": (1.0, 10.0),
    "cold_ratio": (0.0, 1.0),
    "calibration_months": (1, 120),
    **{f"u_load_{kind}": (0.0, 1.0) for kind in ("measured", "display", "estimated", "unknown", "not_given")},
    "cold_agreement": (1.0, 10.0),
    "monitor_days_4": (1, 3650),
    "monitor_days_3": (1, 3650),
    "monitor_days_2": (1, 3650),
    "tolerance_pct": (0.0, 50.0),
    "survey_gap_days": (0, 10000),
    "evidence_excess": (1.0, 100.0),
    "evidence_excess_spread": (0.0, 3.0),
    "evidence_level_k": (1.0, 200.0),
    "evidence_level_spread": (0.05, 3.0),
    "evidence_spread": (0.01, 1.0),
    "evidence_one_fate": (0.0, 1.0),
    "evidence_u_load_unknown": (0.0, 1.0),
    "evidence_before": (0.0, 1.0),
    "evidence_third": (0.0, 1.0),
    "factor_found_tight": (0.0, 1.0),
}


@dataclass(frozen=True)
class Settings:
    """The numbers of the method. Each has a default, a unit and where it comes from.

    Examples
    --------
    >>> Settings(exponent_low=1.8).exponents[0]
    1.8
    """

    # Load and full load
    exponent: float = setting(
        2.0,
        "Exponent of load in the headline full-load rise.",
        "",
        "square-law approximation; published values run from 1.6 to 2.0",
    )
    exponent_middle: float = setting(1.8, "Middle exponent of the interval.", "", OWN)
    exponent_low: float = setting(1.6, "Lowest exponent of the interval.", "", "laminar natural convection, 2 / 1.25")
    low_load: float = setting(0.40, "Load fraction below which a reading is at low load.", "", "NFPA 70B")
    alike_load: float = setting(0.10, "Loads this far apart, as a share of the larger, are alike.", "", OWN)
    reference_load_min: float = setting(0.10, "Least load fraction of a sibling used as a reference.", "", OWN)
    reference_load_factor: float = setting(2.0, "Most the loads of two siblings may differ, as a factor.", "", OWN)
    steady_min: float = setting(30.0, "Minutes the load must have been steady.", "min", "practitioner text")
    no_load_rise_k: float = setting(3.0, "Rise over air at no load that calls for a check.", "K", OWN)
    cover_rise_k: float = setting(1.0, "Rise of a closed cover over its like that calls for opening.", "K", OWN)
    cover_now_k: float = setting(20.0, "Rise of a closed cover over the air from which it must not wait.", "K", OWN)
    lost_phase: float = setting(
        0.5, "Share of the largest phase current below which a line phase may be lost.", "", OWN
    )
    unrated_rise_k: float = setting(
        20.0, ("Rise over air of a reading that cannot be rated that is not left to the outage."), "K", OWN
    )
    group_max: int = setting(100, "Largest group still taken for connections that run alike.", "", OWN)
    survey_gap_days: int = setting(30, "Readings of one file further apart are different surveys (0: never).", "d", OWN)

    # True temperatures and the optics
    emissivity_low: float = setting(0.60, "Emissivity below which a temperature is uncertain.", "", "practitioner text")
    emissivity_none: float = setting(0.30, "Emissivity below which nothing is corrected.", "", OWN)
    u_emissivity: float = setting(0.05, "Standard uncertainty of an emissivity.", "", OWN)
    u_reflected_k: float = setting(3.0, "Standard uncertainty of a reflected temperature.", "K", OWN)
    reflected_default_c: float = setting(
        20.0, ("Reflected temperature where neither it nor the air is given."), "°C", OWN
    )
    target_pixels: float = setting(3.0, "Pixels a target must be across.", "", "makers' advice, from memory")
    wind_flag_ms: float = setting(2.2, "Wind from which a reading is flagged.", "m/s", "EPRI 1017693")
    wind_strong_ms: float = setting(5.0, "Wind from which a reading is rated as found only.", "m/s", PRACTICE)

    wind_correction: bool = setting(
        False, "Correct rises read in wind up to the strong one.", "", "factors from memory"
    )
    wind_factor_max: float = setting(1.5, "Most a rise is multiplied by for wind.", "", OWN)

    # Limits
    limit_default_c: float = setting(
        90.0, "Temperature limit where none is given.", "°C", "40 °C air and 50 K rise, UL 489"
    )
    design_ambient_c: float = setting(
        40.0, "Air temperature at which limits are stated.", "°C", "UL 489, IEEE C37.20.2"
    )

    # Uncertainty
    u_similar_k: float = setting(0.5, "Standard uncertainty between two readings in one image.", "K", OWN)
    u_similar_two_images_k: float = setting(
        1.6, "The same where they come from two images.", "K", "two independent readings of ±2 °C, from memory"
    )
    u_joint_k: float = setting(0.25, "Healthy spread per joint.", "K", OWN)
    u_ambient_k: float = setting(1.0, "Standard uncertainty of a rise over ambient.", "K", OWN)
    u_ambient_light_k: float = setting(
        3.0, "The same below low_load, against the limit: the air in a board is warmer than beside it.", "K", OWN
    )
    u_load_measured: float = setting(0.03, "Relative uncertainty of a measured load.", "", OWN)
    u_load_display: float = setting(0.05, "Relative uncertainty of a load read from a display.", "", OWN)
    u_load_estimated: float = setting(0.15, "Relative uncertainty of an estimated load.", "", OWN)
    u_load_unknown: float = setting(0.10, "Relative uncertainty of a load of unknown source.", "", OWN)
    u_load_not_given: float = setting(0.03, "The same where the source is not given.", "", OWN)
    coverage: float = setting(1.96, "Coverage factor of every interval.", "", "JCGM 100, 95 %")

    # What the siblings show
    hot_low_k: float = setting(1.0, "Low end of the rise above which one joint can be hot.", "K", OWN)
    hot_ratio: float = setting(1.4, "Resistance ratio from which one joint is hot.", "", OWN)
    hot_seen_k: float = setting(1.5, "Rise as found from which one joint is hot, at like loads.", "K", OWN)
    small_rise_k: float = setting(1.0, "Rise as found, at like loads, too small to scale up.", "K", OWN)
    ratio_offset_k: float = setting(1.0, "Added to both rises of a resistance ratio.", "K", OWN)
    cold_ratio: float = setting(0.8, "Share of the next rise below which one sibling is cold.", "", OWN)
    cold_agreement: float = setting(1.25, "Factor within which the other siblings must agree.", "", OWN)
    cold_short_k: float = setting(2.0, "Kelvin a cold sibling must be short, at its own load.", "K", OWN)
    remake_rise_k: float = setting(40.0, "Rise over similar as found from which parts are heat-damaged.", "K", OWN)

    # What earlier and other readings say
    history_severity: int = setting(3, "Severity of an earlier reading that no fall without work cures.", "", OWN)
    history_hotter_k: float = setting(
        5.0, "How much hotter another reading of one survey must be to be said.", "K", OWN
    )

    like_current: float = setting(
        0.8, "Share of an earlier reading's current from which a later one can take it back.", "", OWN
    )
    proof_current: float = setting(
        0.5, "Share of the finding's current at which a reading after the work proves it.", "", OWN
    )

    # Torque records
    tolerance_pct: float = setting(
        10.0, "Tolerance of the required torque where none is given.", "%", "US Army manuals"
    )
    unit_mixup_pct: float = setting(10.0, "How near a ratio must be to a unit factor.", "%", OWN)
    calibration_months: int = setting(
        12, "Months a calibration lasts where no due date is given.", "months", "ISO 6789"
    )
    tool_range_low_pct: float = setting(
        20.0, "Lowest share of capacity a tool is used at, without a marked minimum.", "%", "long-standing custom"
    )
    required_low_ratio: float = setting(0.4, "Least a required torque may be of the published one.", "", OWN)
    required_high_ratio: float = setting(2.5, "Most a required torque may be of the published one.", "", OWN)

    # Likelihood that a joint is loose or badly made: assumptions until findings speak
    prior_found_loose: float = setting(0.95, "Likelihood where it was found loose.", "", OWN)
    prior_under_torqued: float = setting(0.60, "Likelihood where it was under-torqued.", "", OWN)
    prior_unrecorded: float = setting(0.30, "Likelihood without a record.", "", OWN)
    prior_doubtful: float = setting(0.25, "Likelihood with a doubtful record.", "", OWN)
    prior_over_torqued: float = setting(0.05, "Likelihood where it was over-torqued.", "", OWN)
    prior_verified: float = setting(0.03, "Likelihood with a good record.", "", OWN)
    prior_similar: float = setting(0.03, "Likelihood of a surveyor's similar component.", "", OWN)
    factor_found_tight: float = setting(0.2, "Factor on the odds where it was found tight since.", "", OWN)
    evidence_excess: float = setting(2.2, "Factor on the rise of a bad joint.", "", OWN)
    evidence_excess_spread: float = setting(0.6, "Its spread, of logarithms.", "", OWN)
    evidence_level_k: float = setting(25.0, "Rise over the air of a set of joints at full load.", "K", OWN)
    evidence_level_spread: float = setting(0.6, "Its spread, of logarithms.", "", OWN)
    evidence_spread: float = setting(0.05, "Spread between tight joints of a set, of logarithms.", "", OWN)
    evidence_one_fate: float = setting(0.1, "Share of sets whose joints are all tight, or all bad alike.", "", OWN)
    evidence_u_load_unknown: float = setting(
        0.25, "Relative uncertainty of a load that is not known, beside its siblings'.", "", OWN
    )
    evidence_before: float = setting(0.7, "Weight of what the survey before the latest says.", "", OWN)
    evidence_third: float = setting(0.5, "Weight of what the survey before that says.", "", OWN)
    word_high: float = setting(0.5, "Likelihood above which the word is high.", "", OWN)
    word_low: float = setting(0.1, "Likelihood below which the word is low.", "", OWN)

    # Waiting
    monitor_days_4: int = setting(7, "Days between looks at a 4 that waits for work.", "d", PRACTICE)
    monitor_days_3: int = setting(30, "Days between looks at a 3.", "d", PRACTICE)
    monitor_days_2: int = setting(90, "Days between looks at a 2.", "d", PRACTICE)

    # Due
    due_months: int = setting(12, "Months between surveys.", "months", "NFPA 70B-2023")
    due_months_poor: int = setting(6, "The same for equipment in physical condition 3.", "months", "NFPA 70B-2023")

    def __post_init__(self) -> None:
        for name, (low, high) in BOUNDS.items():
            if not low <= getattr(self, name) <= high:
                raise WrongUsage(f"setting {name} must be from {low:g} to {high:g}; got {getattr(self, name):g}.")
        for field in dataclasses.fields(self):
            if abs(getattr(self, field.name)) > 1e6:
                raise WrongUsage(f"setting {field.name} is far too large: {getattr(self, field.name):g}.")
        for field in dataclasses.fields(self):
            value = getattr(self, field.name)
            if not isinstance(value, str) and value < 0:
                raise WrongUsage(f"setting {field.name} must not be negative; got {value:g}.")
        if not 0 < self.exponent_low <= self.exponent_middle <= self.exponent:
            raise WrongUsage(
                "settings exponent_low, exponent_middle and exponent must be above 0 and in rising "
                f"order; got {self.exponent_low:g}, {self.exponent_middle:g}, {self.exponent:g}."
            )
        for name in (field.name for field in dataclasses.fields(self)):
            if name.startswith("prior_") and not 0 < getattr(self, name) < 1:
                raise WrongUsage(f"setting {name} must be above 0 and below 1; got {getattr(self, name):g}.")

    @property
    def exponents(self) -> tuple[float, float, float]:
        """The exponents of the interval, lowest first; the last is the headline."""
        return self.exponent_low, self.exponent_middle, self.exponent

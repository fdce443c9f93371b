"""True temperatures in an assessment, and what the optics hide."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy.optimize import brentq

from riskscope.analysis.assess import assess as assess_tables
from riskscope.intake.files import Source
from riskscope.intake.options import ReadOptions
from riskscope.intake.read import read_files
from riskscope.settings import Settings
from riskscope.standards import emissivity
from tests.build import ON, assess, good_record, phases, survey


def lug(**more: Any) -> pd.DataFrame:
    return survey(
        {"connection_id": "A", "connection_c": 60.0, "similar_c": 58.0, "load_pct": 100, **more}, circuit=None
    )


def test_two_lugs_of_one_emissivity_stay_alike() -> None:
    """60 and 58 °C read at 0.95, both really 0.60, reflected 25 °C: 2.8 K, not 18.7."""
    row = assess(lug(emissivity=0.60, camera_emissivity=0.95, reflected_c=25)).loc["A"]
    assert row["rise_similar_found_k"] == pytest.approx(2.8, abs=0.05)
    assert row["read_c"] == 60.0
    assert row["severity_as_found"] == 1


def test_the_similar_component_has_its_own_emissivity_where_given() -> None:
    row = assess(lug(emissivity=0.60, camera_emissivity=0.95, reflected_c=25, similar_emissivity=0.95)).loc["A"]
    assert row["rise_similar_found_k"] == pytest.approx(18.7, abs=0.6)


def test_siblings_are_corrected_alike() -> None:
    found = assess(
        phases(60.0, 58.0, 58.0, ambient_c=25.0, load_pct=100, emissivity=0.6, camera_emissivity=0.95, reflected_c=25)
    )
    assert found.loc["A", "rise_similar_found_k"] == pytest.approx(2.8, abs=0.05)


def test_without_the_instruments_setting_nothing_is_guessed() -> None:
    row = assess(lug(emissivity=0.60)).loc["A"]
    assert row["connection_c"] == 60.0


def test_bare_aluminium_is_never_firm_never_a_reference_and_never_done_with() -> None:
    rows = phases(45.0, 41.0, 41.0, ambient_c=30.0, load_pct=80)
    rows["emissivity"] = [0.95, 0.2, 0.95]
    rows["camera_emissivity"] = 0.95
    found = assess(rows, **good_record("A", "B", "C"))
    assert found.loc["B", "connection_c"] == 41.0, "not corrected"
    assert not found.loc["B", "firm"]
    assert "emissivity below 0.30" in found.loc["B", "quality_flags"]
    assert found.loc["B", "resurvey"]
    sibling = found.loc["A", "sibling"]
    assert found.iloc[int(sibling)]["connection_id"] == "C", "the bare one is passed over"


@pytest.mark.parametrize(
    ("columns", "flag"),
    [
        ({"emissivity": 0.2, "camera_emissivity": 0.95}, "emissivity below 0.30"),
        ({"emissivity": 0.5, "camera_emissivity": 0.5}, "emissivity below 0.60"),
        ({"surface": "copper, polished"}, "emissivity below 0.30"),
        ({"ifov_mrad": 1.3, "distance_m": 2.0, "target_mm": 7.0}, "small target"),
        ({"spot_ratio": 60, "distance_m": 3.0, "target_mm": 40.0}, "small target"),
        ({"wind_ms": 3.0, "place": "outdoor"}, "wind"),
        ({"cover": "window"}, "through a window"),
        ({"cover": "closed"}, "cover closed"),
        ({"load_pct": 20}, "low load"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_a_poor_reading_never_says_nothing_to_do(columns: dict[str, Any], flag: str) -> None:
    rows = phases(41.0, 41.0, 41.0, **{"ambient_c": 30.0, "load_pct": 80, **columns})
    found = assess(rows, **good_record("A", "B", "C"))
    row = found.loc["A"]
    assert flag in row["quality_flags"]
    assert row["resurvey"]
    if flag != "low load":
        assert not row["firm"]


@pytest.mark.parametrize(
    ("columns", "flag"),
    [
        ({"emissivity": 0.95, "camera_emissivity": 0.95}, "emissivity"),
        ({"ifov_mrad": 1.3, "distance_m": 2.0, "target_mm": 7.8}, "small target"),
        ({"wind_ms": 2.2, "place": "outdoor"}, "wind"),
        ({"wind_ms": 9.0, "place": "indoor"}, "wind"),
        ({"cover": "window", "window_transmission": 0.5}, "through a window"),
        ({}, "emissivity"),
    ],
    ids=["good emissivity", "just large enough", "calm", "indoors", "known window", "not recorded"],
)  # fmt: skip
def test_flags_that_must_not_be_raised(columns: dict[str, Any], flag: str) -> None:
    row = assess(phases(41.0, 41.0, 41.0, ambient_c=30.0, load_pct=80, **columns)).loc["A"]
    assert flag not in row["quality_flags"]


def test_a_missing_emissivity_beside_others_is_flagged() -> None:
    rows = phases(41.0, 41.0, 41.0, ambient_c=30.0, load_pct=80)
    rows["emissivity"] = [None, 0.95, 0.95]
    assert "emissivity unknown" in assess(rows).loc["A", "quality_flags"]


def test_a_column_that_only_another_file_fills_in_raises_no_flag(tmp_path: Path) -> None:
    head = "connection_id,survey_date,circuit,connection_c,ambient_c,load_pct,emissivity\n"
    for name, given in (("a", ","), ("b", ",0.95")):
        rows = "".join(f"{name}{n},2026-05-04,{name},41,30,80{given}\n" for n in range(3))
        (tmp_path / f"{name}.csv").write_text(head + rows, "utf-8")
    sources = [Source(path, ReadOptions(table="survey")) for path in sorted(tmp_path.iterdir())]
    made = assess_tables(read_files(sources, on=ON), on=ON).connections
    assert not made["emissivity unknown"].any()


def test_strong_wind_rates_as_found_only() -> None:
    rows = phases(50.0, 41.0, 41.0, ambient_c=30.0, load_pct=50, wind_ms=6.0, place="outdoor")
    row = assess(rows).loc["A"]
    assert row["as_found_only"]
    assert row["rise_rated_k"] == pytest.approx(20.0), "as found, not taken to full load"


def test_a_window_of_known_transmission_is_corrected() -> None:
    row = assess(
        survey(
            {
                "connection_id": "A",
                "connection_c": 50.0,
                "ambient_c": 20.0,
                "load_pct": 100,
                "cover": "window",
                "window_transmission": 0.5,
                "atmosphere_c": 20.0,
            },
            circuit=None,
        )
    ).loc["A"]
    assert row["connection_c"] > 70.0
    assert row["read_c"] == 50.0


def test_what_nothing_explains_is_said_and_kept() -> None:
    row = assess(lug(emissivity=0.31, camera_emissivity=0.95, reflected_c=95)).loc["A"]
    assert "not explained" in row["quality_flags"]
    assert row["connection_c"] == 60.0
    assert row["resurvey"]


def test_the_uncertainty_grows_with_the_correction() -> None:
    narrow = assess(lug(emissivity=0.95, camera_emissivity=0.95, reflected_c=25)).loc["A"]
    wide = assess(lug(emissivity=0.60, camera_emissivity=0.95, reflected_c=25)).loc["A"]
    assert wide["rise_high_k"] - wide["rise_low_k"] > narrow["rise_high_k"] - narrow["rise_low_k"]


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("vinyl electrical tape", "vinyl electrical tape"), ("Aluminum oxidized", "aluminium, oxidised"),
        ("copper polished", "copper, polished"), ("copper", None), ("wood", None), ("", None),
    ],
)  # fmt: skip
def test_a_surface_by_name(words: str, name: str | None) -> None:
    found = emissivity.find(words)
    assert (found.name if found else None) == name


def test_every_surface_is_a_range() -> None:
    for surface in emissivity.table().values():
        assert 0 < surface.low < surface.high <= 1
        assert surface.status in {"verified", "secondary", "memory", "practice"}


def test_wind_is_not_corrected_unless_asked_and_never_by_more_than_half() -> None:
    rows = phases(50.0, 41.0, 41.0, ambient_c=30.0, load_pct=100, wind_ms=2.0, place="outdoor")
    assert assess(rows).loc["A", "connection_c"] == 50.0
    asked = Settings(wind_correction=True)
    found = assess(rows, settings=asked)
    assert found.loc["A", "connection_c"] == pytest.approx(30 + 20 * 1.36)
    strong = assess(rows.assign(wind_ms=4.5), settings=asked)
    assert strong.loc["A", "connection_c"] == pytest.approx(30 + 20 * 1.5)
    wide = found.loc["A", "rise_high_k"] - found.loc["A", "rise_low_k"]
    calm = assess(rows).loc["A"]
    assert wide > calm["rise_high_k"] - calm["rise_low_k"]
    assert not found.loc["A", "firm"] or found.loc["A", "quality_flags"] == ""
    assert assess(rows.assign(place="indoor"), settings=asked).loc["A", "connection_c"] == 50.0


def band_radiance(celsius: float) -> float:
    """Planck's law over 7.5 to 14 µm, by 2,000 strips; up to a constant. (CODATA c₂ = 14387.77 µm K.)"""
    micrometres = np.linspace(7.5, 14.0, 2001)
    radiance = micrometres**-5.0 / np.expm1(14387.77 / (micrometres * (celsius + 273.15)))
    return float(np.trapezoid(radiance, micrometres))


def test_what_is_reflected_is_the_air_where_nobody_said() -> None:
    """36 °C read at 0.95, really 0.65, in air of 0 °C: 0.65 W(T) = 0.95 W(36) + 0.05 W(0) − 0.35 W(0), solved anew."""
    wanted = (0.95 * band_radiance(36.0) + 0.05 * band_radiance(0.0) - 0.35 * band_radiance(0.0)) / 0.65
    true_c = float(brentq(lambda t: band_radiance(t) - wanted, 0.0, 150.0))
    row = assess(phases(36.0, 25.0, ambient_c=0.0, load_pct=100, emissivity=0.65, camera_emissivity=0.95)).loc["A"]
    assert row["connection_c"] == pytest.approx(true_c, abs=0.1)
    assert true_c == pytest.approx(49.2, abs=0.1)


def test_what_is_not_known_of_one_emissivity_moves_both_alike_and_of_two_each_its_own() -> None:
    """46 and 40 °C read at 0.95, really 0.65: ± 0.05 moves the difference by 0.5 K, but each by some kelvin."""
    common = {"ambient_c": 30.0, "load_pct": 100, "reflected_c": 20.0, "camera_emissivity": 0.95}
    one = assess(phases(46.0, 40.0, emissivity=0.65, **common)).loc["A"]
    two = assess(phases(46.0, 40.0, **common).assign(emissivity=[0.65, 0.66])).loc["A"]
    wide = [row["rise_high_k"] - row["rise_low_k"] for row in (one, two)]
    assert wide[1] > 2 * wide[0]
    assert one["u_radiometric_k"] > 1.5


def test_a_surface_read_at_its_own_emissivity_is_not_sure_either() -> None:
    row = assess(phases(60.0, 40.0, ambient_c=25.0, load_pct=100, emissivity=0.60, camera_emissivity=0.60)).loc["A"]
    assert row["u_radiometric_k"] > 2.0
    assert row["connection_c"] == 60.0


def test_over_the_air_the_uncertainty_of_the_surface_counts() -> None:
    """46 °C read at 0.95, really 0.61, in air of 25 °C: ± 1.96 √(1 + u²), not ± 1.96 K."""
    row = assess(phases(46.0, ambient_c=25.0, load_pct=100, emissivity=0.61, camera_emissivity=0.95)).loc["A"]
    half = (row["rise_high_k"] - row["rise_low_k"]) / 2
    assert half == pytest.approx(1.96 * np.hypot(1.0, row["u_radiometric_k"]))
    assert half > 4


def test_the_reference_alone_is_corrected_and_flagged() -> None:
    """60 and 40 °C at 0.95, the similar component's surface 0.45, 25 °C reflected: 5.35 K and not 20."""
    common = {"ambient_c": 25.0, "load_pct": 100, "emissivity": 0.95, "camera_emissivity": 0.95, "similar_c": 40.0}
    row = assess(phases(60.0, similar_emissivity=0.45, **common)).loc["A"]
    wanted = (0.95 * band_radiance(40.0) + 0.05 * band_radiance(25.0) - 0.55 * band_radiance(25.0)) / 0.45
    similar_c = float(brentq(lambda t: band_radiance(t) - wanted, 20.0, 150.0))
    assert 60.0 - similar_c == pytest.approx(5.35, abs=0.02)
    assert row["rise_similar_found_k"] == pytest.approx(60.0 - similar_c, abs=0.02)
    assert row["severity"] <= 3
    assert "reference emissivity below 0.60" in row["quality_flags"]
    assert not row["firm"]


def test_a_reference_that_cannot_be_measured_is_not_corrected_and_says_so() -> None:
    row = assess(
        phases(
            60.0,
            ambient_c=20.0,
            load_pct=100,
            camera_emissivity=0.95,
            similar_c=40.0,
            emissivity=0.95,
            similar_emissivity=0.25,
        )
    ).loc["A"]
    assert (row["rise_similar_found_k"], row["firm"]) == (20.0, False)
    assert "reference emissivity below 0.30" in row["quality_flags"]


def test_the_reference_is_not_corrected_where_the_connection_cannot_be() -> None:
    """Else the difference would shrink by what only one of the two was corrected by."""
    row = assess(
        phases(
            60.0,
            ambient_c=20.0,
            load_pct=100,
            camera_emissivity=0.95,
            similar_c=40.0,
            emissivity=0.25,
            similar_emissivity=0.6,
        )
    ).loc["A"]
    assert row["rise_similar_found_k"] == 20.0


def test_a_rise_alone_at_another_emissivity_is_never_firm() -> None:
    rise = survey(
        {
            "connection_id": "A",
            "phase": "A",
            "rise_similar_k": 40.0,
            "load_pct": 100,
            "emissivity": 0.6,
            "camera_emissivity": 0.95,
        }
    )
    row = assess(rise).loc["A"]
    assert row["severity"] == row["severity_low"] == row["severity_high"] == 4
    assert not row["firm"]
    assert np.isnan(row["evidence"])


@pytest.mark.parametrize(
    "readings",
    [phases(50.5, 50.5, 50.5, ambient_c=25.0, load_pct=60), phases(40.0, 35.0, 35.0, ambient_c=25.0, load_pct=39)],
    ids=["all warm", "at low load"],
)
def test_to_know_an_emissivity_makes_no_joint_look_better(readings: pd.DataFrame) -> None:
    plain = assess(readings)
    assert plain.loc["A", "severity"] == 3
    for known in ([0.95] * 3, [0.95, None, None], [None, 0.95, 0.95]):
        made = assess(readings.assign(emissivity=known, camera_emissivity=0.95, reflected_c=25.0))
        assert made.loc["A", ["severity", "urgency"]].tolist() == plain.loc["A", ["severity", "urgency"]].tolist()
        assert made.loc["A", "rise_high_k"] >= plain.loc["A", "rise_high_k"]

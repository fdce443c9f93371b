"""Precedence, types and faults of settings."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest

from riskscope.errors import UnusableInput, WrongUsage
from riskscope.settings import Settings
from riskscope.settings.core import Source, fill, read_toml


def test_stronger_source_wins_and_is_named() -> None:
    sources = [Source("option", {"low_load": "0.5"}), Source("file", {"low_load": 0.3, "steady_min": 20})]
    values, origin = fill(Settings, sources)
    assert (values.low_load, origin["low_load"]) == (0.5, "option")
    assert (values.steady_min, origin["steady_min"]) == (20.0, "file")
    assert origin["hot_ratio"] == "default"


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"low_loda": 1}, "there is no setting low_loda (from option). Did you mean low_load?"),
        ({"low_load": "much"}, "setting low_load must be a number; got 'much'"),
        ({"group_max": 1.5}, "setting group_max must be a whole number"),
        ({"low_load": True}, "must be a number"),
        ({"low_load": -0.1}, "low_load must be from 0 to 1; got -0.1"),
        ({"hot_low_k": -0.1}, "must not be negative"),
        ({"hot_low_k": 1e299}, "is far too large"),
        ({"exponent_low": 2.5}, "in rising order"),
        ({"prior_verified": 1.0}, "above 0 and below 1"),
        ({"low_load": float("nan")}, "must be a number"),
    ],
)
def test_faults_are_sentences(values: dict[str, object], words: str) -> None:
    with pytest.raises(WrongUsage) as caught:
        fill(Settings, [Source("option", values)])
    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[settings\n", "is not valid TOML"),
        ("[setting]\n", "Did you mean settings?"),
        ("settings = 3\n", "must be a section"),
    ],
)
def test_toml_faults_are_sentences(text: str, words: str, tmp_path: Path) -> None:
    (tmp_path / "riskscope.toml").write_text(text, "utf-8")
    with pytest.raises(UnusableInput) as caught:
        read_toml(tmp_path / "riskscope.toml")
    assert words in str(caught.value)


def test_every_setting_says_what_it_is_and_where_it_comes_from() -> None:
    for field in dataclasses.fields(Settings):
        assert field.metadata["help"].endswith(".")
        assert field.metadata["source"]


def test_a_setting_changes_the_result() -> None:
    """15 K over similar is severity 2; below a limit of 45 °C it would be over: 48.1 °C."""
    from tests.build import assess, survey

    readings = survey({"connection_id": "A", "connection_c": 48.1, "similar_c": 33.1, "load_pct": 100})
    assert assess(readings).loc["A", "severity"] == 2
    assert assess(readings, settings=Settings(limit_default_c=46.0)).loc["A", "severity"] == 4

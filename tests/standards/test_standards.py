"""Look-ups say which row answered; a user's own table is checked."""

from __future__ import annotations

import itertools
from pathlib import Path

import numpy as np
import pytest

from riskscope import standards
from riskscope.errors import UnusableInput, WrongUsage
from riskscope.standards import limits, severity, torque

STATUSES = {"verified", "verified in one copy", "secondary", "memory", "computed", "practice"}
OWN = """
name = "ours"
title = "Our own table"
[[bands]]
basis = "similar"
from_k = 2
from_inclusive = true
up_to_k = 10
severity = 1
meaning = "look"
[[bands]]
basis = "similar"
from_k = 10
severity = 4
meaning = "act"
"""


@pytest.mark.parametrize("name", ["severity_bands", "tightening_torque", "temperature_limits"])
def test_every_row_has_a_status(name: str) -> None:
    assert {row["status"] for row in standards.read(name)} <= STATUSES


def test_bands_are_in_order_in_every_table() -> None:
    for table in severity.published().values():
        for basis in severity.BASES:
            bands = table.of(basis)
            assert [b.severity for b in bands] == sorted(b.severity for b in bands)
            for band, after in itertools.pairwise(bands):
                assert band.up_to_k == after.from_k
            assert not bands or bands[-1].up_to_k is None


def test_severity_of_nothing_is_nothing() -> None:
    assert np.isnan(severity.load().severity("similar", [np.nan])).all()
    assert np.isnan(severity.load("mil-std-2194").severity("ambient", [50.0])).all()


def test_own_table_is_used(tmp_path: Path) -> None:
    (tmp_path / "ours.toml").write_text(OWN, "utf-8")
    table = severity.load(str(tmp_path / "ours.toml"))
    assert table.severity("similar", [1.9, 2.0, 10.0, 10.1]).tolist() == [0, 1, 1, 4]
    assert table.band("similar", 1).meaning == "look"  # type: ignore[union-attr]
    assert table.band("similar", 3) is None


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (("from_k = 10\n", "from_k = 12\n"), "Gap: the similar bands from 2 K and 12 K leave 10 to 12 K open"),
        (("from_k = 10\n", "from_k = 9\n"), "Overlap: the similar bands from 2 K and 9 K"),
        (("severity = 4", "severity = 1"), "must rise in rise and in severity"),
        (("from_k = 10\n", "from_k = 1\n"), "must rise in rise and in severity"),
        (("up_to_k = 10", "up_to_k = 1"), "ends at 1 K"),
        (("severity = 4", "severity = 7"), "severity must be 1 to 4; got 7"),
        (('basis = "similar"\nfrom_k = 10', 'basis = "alike"\nfrom_k = 10'), "basis must be similar or ambient"),
        (("meaning = \"act\"", "meaning = \"act\"\nup_to_k = 50"), "The last similar band must be open"),
        (("from_k = 2\n", "from_k = \"two\"\n"), "from_k must be a rise above 0 K"),
        (("meaning = \"act\"", "meanings = \"act\""), "no use for 'meanings'. Did you mean meaning?"),
        (("[[bands]]", "[[rows]]"), "needs a list of [[bands]]"),
    ],
    ids=["gap", "overlap", "severity order", "rise order", "ends early", "severity", "basis", "closed",
         "not a number", "unknown key", "no bands"],
)  # fmt: skip
def test_own_table_faults_are_named(change: tuple[str, str], words: str, tmp_path: Path) -> None:
    path = tmp_path / "ours.toml"
    path.write_text(OWN.replace(*change), "utf-8")
    with pytest.raises(UnusableInput) as caught:
        severity.load(str(path))
    assert words in str(caught.value)
    assert "ours.toml" in str(caught.value)


def test_unknown_table_names_the_known() -> None:
    with pytest.raises(WrongUsage, match=r"Did you mean neta-100\.18"):
        severity.load("neta-10018")


def test_class_of_limit_and_where_it_comes_from() -> None:
    """UL 489: 50 K at 40 °C. IEC 61439-1 table 6: 70 K at 35 °C, from memory."""
    assert limits.find("UL489").total_c == 90.0  # type: ignore[union-attr]
    assert limits.find("iec61439-terminal").total_c == 105.0  # type: ignore[union-attr]
    assert limits.find("iec61439-terminal").status == "memory"  # type: ignore[union-attr]
    assert not limits.find("nec-75").is_surface_limit  # type: ignore[union-attr]
    assert limits.find("no such") is None


def test_limits_are_in_a_sane_range() -> None:
    assert all(60 <= limit.total_c <= 120 for limit in limits.table().values())


@pytest.mark.parametrize("text", ["slotted", "", "torx", "hex head bolt of unknown wire"])
def test_a_description_that_does_not_settle_gives_no_row(text: str) -> None:
    assert torque.find(text) is None


def test_metric_busbar_bolts_are_a_yardstick_and_no_fallback() -> None:
    """DIN 43673, M10, 8.8: 40 N·m (secondary)."""
    row = torque.find("bolt 8.8", thread="M10")
    assert row is not None
    assert (row.torque_nm, row.fallback) == (40.0, False)


def test_torques_rise_with_size_within_a_fastener() -> None:
    by_fastener: dict[tuple[str, str], list[float]] = {}
    for row in torque.rows():
        by_fastener.setdefault((row.table, row.fastener), []).append(row.torque)
    for values in by_fastener.values():
        assert values == sorted(values)

"""Regions of thermograms: boxes, polygons, and what stands out in scenes not used to choose parameters."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import numpy as np
import pandas as pd
import pytest

from riskscope.errors import OutOfRange
from riskscope.physics.radiometry import true_temperature
from riskscope.thermogram.regions import mask_of, proposals, region

DEMO = Path(__file__).parent.parent.parent / "demo_data"


@pytest.fixture(scope="module")
def made() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_thermograms", DEMO / "make_thermograms.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["make_thermograms"] = module
    spec.loader.exec_module(module)
    return module


def test_a_rectangle_and_a_polygon() -> None:
    assert int(mask_of([(1, 1), (3, 2)], (5, 6)).sum()) == 6
    square = mask_of([(1, 1), (4, 1), (4, 4), (1, 4)], (6, 6))
    assert int(square.sum()) == 16
    triangle = mask_of([(0, 0), (5, 0), (0, 5)], (6, 6))
    assert int(triangle.sum()) == 21


@pytest.mark.parametrize("points", [[(1, 1)], [(50, 50), (60, 60)]], ids=["one corner", "outside"])
def test_a_region_that_is_none(points: list[tuple[float, float]]) -> None:
    with pytest.raises(OutOfRange, match="points"):
        mask_of(points, (10, 10))


def test_numbers_of_a_region() -> None:
    picture = np.arange(100.0).reshape(10, 10)
    found = region(picture, mask_of([(2, 3), (4, 4)], (10, 10)))
    assert (found.highest, found.area, found.across, found.row, found.column) == (44.0, 6, 2, 4, 4)
    assert found.mean == pytest.approx((32 + 33 + 34 + 42 + 43 + 44) / 6)
    assert not found.is_measured


def test_the_planted_joints_are_found_to_half_a_kelvin(made: ModuleType) -> None:
    truth = pd.read_csv(DEMO / "thermograms" / "truth.csv", comment="#")
    for name, scene in made.SCENES.items():
        shown = made.render(scene)
        for joint in scene.joints:
            inner = joint.half - 2
            box = [(joint.x - inner, joint.y - inner), (joint.x + inner, joint.y + inner)]
            read = region(shown, mask_of(box, shown.shape)).p95
            value, _ = true_temperature(
                read, emissivity=joint.emissivity, camera_emissivity=0.95, reflected_c=scene.reflected_c
            )
            row = truth[(truth["image"] == name) & (truth["connection_id"] == joint.name)].iloc[0]
            limit = 0.5 if joint.emissivity >= 0.8 else 1.0
            assert float(value) == pytest.approx(row["true_c"], abs=limit), joint.name


def scene(made: ModuleType, seed: int) -> tuple[object, list[object]]:
    """A random scene and its joints that are at least 5 K over similar."""
    random = np.random.default_rng(seed)
    cool = random.uniform(34, 48)
    temperatures = [cool, cool + random.uniform(0, 1.0), cool + random.uniform(0, 1.0)]
    if random.random() < 0.8:
        temperatures[random.integers(3)] = cool + random.uniform(6, 35)
    joints = [
        made.Joint(
            str(n),
            int(60 + 90 * n + random.integers(-8, 9)),
            int(120 + random.integers(-30, 31)),
            int(random.integers(5, 12)),
            celsius,
            float(random.uniform(0.8, 0.97)),
        )
        for n, celsius in enumerate(temperatures)
    ]
    warm = [
        (
            int(random.integers(0, 320)),
            int(random.integers(0, 240)),
            int(random.integers(60, 90)),
            float(random.uniform(2, 6)),
        )
    ]
    bolts = [(int(random.integers(20, 300)), 200, 4)]
    hot = [joint for joint in joints if joint.celsius >= min(temperatures) + 5]
    return made.Scene(joints, seed, slope_k=float(random.uniform(0, 6)), warm=warm, bolts=bolts), hot


def test_every_hot_joint_is_proposed_and_hardly_anything_else(made: ModuleType) -> None:
    """30 seeded scenes: every joint at least 5 K over similar, a median of at most one false proposal."""
    false = []
    for seed in range(100, 130):
        one, hot = scene(made, seed)
        found = proposals(made.render(one))
        for joint in hot:
            assert any(p.left - 2 <= joint.x <= p.right + 2 and p.top - 2 <= joint.y <= p.bottom + 2 for p in found), (
                seed,
                joint,
            )
        false.append(
            sum(
                not any(p.left - 3 <= j.x <= p.right + 3 and p.top - 3 <= j.y <= p.bottom + 3 for j in one.joints)
                for p in found
            )
        )
    assert np.median(false) <= 1


def test_the_largest_rise_comes_first(made: ModuleType) -> None:
    found = proposals(made.render(made.SCENES["ir_001.csv"]))
    assert abs((found[0].left + found[0].right) / 2 - 70) < 3
    assert found[0].rise_k == max(one.rise_k for one in found)


def test_an_even_picture_proposes_nothing() -> None:
    assert proposals(np.random.default_rng(1).normal(30, 0.1, (120, 160))) == []


def test_a_polygon_is_its_inside_and_edge_and_nothing_far_from_it() -> None:
    """A triangle of 20 by 20: 200 px² by the formula of its area, and half its edge of 20 + 20 + 28 px beside."""
    mask = mask_of([(5, 5), (25, 5), (5, 25)], (40, 40))
    assert 200 <= int(mask.sum()) <= 200 + 34 + 10
    assert mask[[5, 5, 25], [5, 25, 5]].all()
    assert not mask[20, 20]
    assert not mask[4].any()
    assert not mask[:, 26:].any()


def test_a_corner_outside_the_picture_cuts_the_region_off() -> None:
    mask = mask_of([(-10, 2), (5, 2), (5, 8), (-10, 8)], (20, 20))
    assert mask[:, :6].sum() == 7 * 6
    assert not mask[:, 6:].any()

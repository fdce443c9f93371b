"""How well joints are told on works whose truth is known; run by hand: ``python -m tests.benchmarks.truth [SEEDS]``.

Average precision (AP) and Brier score of the likelihood from one, two and three surveys, its reliability in ten bins,
what becomes of joints that turned bad between surveys, and three rules of thumb beside it.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import sys
from collections.abc import Iterable

import numpy as np
import pandas as pd
from sklearn.metrics import average_precision_score, brier_score_loss

from riskscope.analysis.assess import assess
from riskscope.results.likelihood import word
from riskscope.results.lists import id_order, retighten_first
from riskscope.settings import Settings
from tests.works import PHYSICS, Works, works

ON = dt.date(2026, 6, 1)
SEEDS, SETS, FEWEST = 20, 1000, 50
MISSTATED = ("evidence_excess", "evidence_excess_spread", "evidence_level_k", "evidence_level_spread",
             "evidence_spread", "evidence_one_fate")  # fmt: skip


def told(made: Works, settings: Settings | None = None) -> pd.DataFrame:
    """Every joint with its truth, as assessed; rules of thumb beside it."""
    settings = settings or Settings()
    rows = assess(made.tables, on=ON, settings=settings).connections
    rows = rows.merge(made.truth, on="connection_id", validate="one_to_one").copy()
    rows = rows.assign(likelihood=word(rows, settings))
    share = rows["load_fraction"].to_numpy()
    of_set = rows["circuit"]
    full = rows["rise_ambient_found_k"] / share**2
    found = rows["rise_ambient_found_k"]
    return rows.assign(
        thumb_square_law=full - full.groupby(of_set).transform("min"),
        thumb_as_found=found - found.groupby(of_set).transform("min"),
        thumb_temperature=rows["connection_c"],
    )


def precision(rows: pd.DataFrame, score: str) -> float:
    """Average precision of the bad joints, the highest score first."""
    return float(average_precision_score(rows["bad"], rows[score]))


def order_precision(rows: pd.DataFrame) -> float:
    """Average precision of section a of retighten first, behind what is now."""
    places, made = retighten_first(rows, id_order(rows))
    listed = rows.iloc[places[np.asarray(made["section"]) == "a"]]
    listed = listed[listed["urgency"] != "now"]
    return float(average_precision_score(listed["bad"], -np.arange(len(listed))))


def reliability(rows: pd.DataFrame) -> pd.DataFrame:
    """Said and true shares of bad joints in ten bins of the likelihood."""
    bins = np.minimum((rows["likelihood_loose"] * 10).astype(int), 9)
    return rows.groupby(bins).agg(joints=("bad", "size"), said=("likelihood_loose", "mean"), true=("bad", "mean"))


def low_of_lately(rows: pd.DataFrame) -> float:
    """Share of the joints that turned bad since the survey before that are called low."""
    lately = rows[rows["lately"]]
    return float((lately["likelihood"] == "low").mean()) if len(lately) else float("nan")


def mean(values: Iterable[float]) -> float:
    return float(np.nanmean(list(values)))


def misstated(seeds: int, physics: str) -> dict[str, float]:
    """Loss of AP where each assumed constant is half or double what it is, the worse of the two; of the factor on the
    rise of a bad joint its logarithm is, as the formula has it."""
    plain, losses = Settings(), {}
    made = [works(seed, SETS, physics=physics) for seed in range(seeds)]
    base = mean(precision(told(one_of), "likelihood_loose") for one_of in made)
    for name in MISSTATED:
        value = getattr(plain, name)
        wrong = [value**factor if name == "evidence_excess" else value * factor for factor in (0.5, 2.0)]
        each = [dataclasses.replace(plain, **{name: other}) for other in wrong]
        losses[name] = base - min(
            mean(precision(told(one_of, settings), "likelihood_loose") for one_of in made) for settings in each
        )
    return losses


def of_surveys(made: list[pd.DataFrame]) -> list[str]:
    """What the likelihood and the rules of thumb come to on these works, in lines."""
    ap = mean(precision(rows, "likelihood_loose") for rows in made)
    brier = mean(float(brier_score_loss(rows["bad"], rows["likelihood_loose"])) for rows in made)
    thumbs = {name: mean(precision(rows, name) for rows in made) for name in made[0] if name.startswith("thumb_")}
    bins = reliability(pd.concat(made, ignore_index=True)).itertuples()
    lines = [
        f"AP {ap:.3f}, Brier {brier:.4f}, retighten first {mean(map(order_precision, made)):.3f}",
        "  thumbs: " + ", ".join(f"{name.removeprefix('thumb_')} {value:.3f}" for name, value in thumbs.items()),
        "  said/true (joints): " + "  ".join(f"{row.said:.2f}/{row.true:.2f} ({row.joints:,})" for row in bins),
    ]
    lately = mean(map(low_of_lately, made)) if made[0]["lately"].any() else float("nan")
    return lines if lately != lately else [*lines, f"  turned bad since the survey before: {lately:.1%} called low"]


def main(seeds: int) -> None:
    for physics in PHYSICS:
        print(f"\n{physics}: mean of {seeds} works of {SETS} sets")
        for surveys in (1, 2, 3):
            made = [told(works(seed, SETS, surveys, physics)) for seed in range(seeds)]
            print(f"{surveys} survey(s): " + "\n".join(of_surveys(made)))
        losses = misstated(max(seeds // 5, 1), physics)
        print("AP lost by a constant half or double: " + ", ".join(f"{k} {v:.3f}" for k, v in losses.items()))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else SEEDS)

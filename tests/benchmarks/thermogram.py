"""Radiometry and thermograms: ``python -m tests.benchmarks.thermogram``.

Correcting 1,000,000 readings against four np.interp calls on the same table (goal 2); 100 images of
640 × 480 with ten boxes, milliseconds each (goal 50) and flat memory.
"""

from __future__ import annotations

import resource
import time

import numpy as np

from riskscope.physics import radiometry
from riskscope.thermogram.regions import mask_of, region


def correcting(count: int = 1_000_000) -> None:
    random = np.random.default_rng(1)
    read, e, reflected = (
        random.uniform(20, 120, count),
        random.uniform(0.5, 0.97, count),
        random.uniform(15, 35, count),
    )
    radiometry.true_temperature(read[:10], emissivity=0.9)
    temperatures, values = radiometry._table(radiometry.BAND_UM)
    ours, plain = [], []
    for _ in range(3):
        begin = time.perf_counter()
        radiometry.true_temperature(read, emissivity=e, camera_emissivity=0.95, reflected_c=reflected)
        ours.append(time.perf_counter() - begin)
        begin = time.perf_counter()
        for _ in range(3):
            signal = np.interp(read, temperatures, values)
        np.interp(signal, values, temperatures)
        plain.append(time.perf_counter() - begin)
    print(f"correcting {count:,} readings: {min(ours):.2f} s, {min(ours) / min(plain):.1f} x four np.interp (goal 2)")


def images(count: int = 100) -> None:
    random = np.random.default_rng(2)
    boxes = [[(x, y), (x + 20, y + 20)] for x, y in random.integers(0, 450, (10, 2)).tolist()]
    first, begin = 0.0, time.perf_counter()
    for number in range(count):
        picture = random.normal(30, 2, (480, 640))
        for box in boxes:
            region(picture, mask_of(box, picture.shape))
        if number == 9:
            first = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
    each = (time.perf_counter() - begin) / count * 1000
    last = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
    print(f"images of 640 × 480 with ten boxes: {each:.0f} ms each (goal 50); memory {first:.0f} -> {last:.0f} MB")


if __name__ == "__main__":
    correcting()
    images()

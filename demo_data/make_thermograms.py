"""Synthetic thermograms of the invented site: what an instrument would read of scenes whose temperatures are known.

Their signal is Planck's law integrated by ``scipy.integrate`` from 7.5 to 14 µm, never by riskscope's
own table: emitted and reflected radiance, blur and noise, read back at emissivity 0.95.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache, lru_cache
from pathlib import Path

import numpy as np
from PIL import Image
from scipy import constants, integrate, ndimage

BAND_UM = (7.5, 14.0)
CAMERA_EMISSIVITY = 0.95
AIR_C = 28.0
SIZE = (240, 320)
HERE = Path(__file__).parent
GAIN, OFFSET = 0.01, -60.0


@cache
def radiance(celsius: float) -> float:
    """In-band radiance of a black body, integrated by a library. [W m⁻² sr⁻¹]"""
    c1, c2 = 2 * constants.h * constants.c**2, constants.h * constants.c / constants.k
    kelvin = celsius + constants.zero_Celsius
    low, high = (end * 1e-6 for end in BAND_UM)
    return float(integrate.quad(lambda wave: c1 / wave**5 / np.expm1(c2 / wave / kelvin), low, high, epsrel=1e-10)[0])


@lru_cache(maxsize=1)
def _curve() -> tuple[np.ndarray, np.ndarray]:
    celsius = np.arange(-20.0, 321.0, 1.0)
    return celsius, np.array([radiance(float(value)) for value in celsius])


def emitted(celsius: np.ndarray) -> np.ndarray:
    """Radiance of many temperatures, by a spline through the integrals."""
    from scipy.interpolate import CubicSpline

    return np.asarray(CubicSpline(*_curve())(celsius))


def read_as(value: np.ndarray) -> np.ndarray:
    """Temperature a black body of this radiance would have."""
    from scipy.interpolate import CubicSpline

    celsius, known = _curve()
    return np.asarray(CubicSpline(known, celsius)(value))


@dataclass
class Joint:
    """One lug: its place and size [px], true temperature [°C] and emissivity."""

    name: str
    x: int
    y: int
    half: int
    celsius: float
    emissivity: float = 0.95


@dataclass
class Scene:
    """A scene: joints on a background, and what misleads."""

    joints: list[Joint]
    seed: int
    reflected_c: float = AIR_C
    slope_k: float = 3.0  # of the background, from left to right
    warm: list[tuple[int, int, int, float]] = field(default_factory=list)  # x, y, radius, K: broad warm areas
    bolts: list[tuple[int, int, int]] = field(default_factory=list)  # x, y, half: bare metal


def render(scene: Scene) -> np.ndarray:
    """What an instrument at emissivity 0.95 reads of a scene. [°C]"""
    rows, columns = np.mgrid[0 : SIZE[0], 0 : SIZE[1]]
    celsius = AIR_C + 2.0 + scene.slope_k * columns / SIZE[1]
    for x, y, radius, kelvin in scene.warm:
        celsius = celsius + kelvin * np.exp(-((columns - x) ** 2 + (rows - y) ** 2) / (2 * radius**2))
    emissivity = np.full(SIZE, 0.95)
    for joint in scene.joints:
        inside = (abs(columns - joint.x) <= joint.half) & (abs(rows - joint.y) <= joint.half)
        celsius = np.where(inside, joint.celsius, celsius)
        emissivity = np.where(inside, joint.emissivity, emissivity)
    for x, y, half in scene.bolts:
        inside = (abs(columns - x) <= half) & (abs(rows - y) <= half)
        emissivity = np.where(inside, 0.1, emissivity)
    signal = emissivity * emitted(celsius) + (1 - emissivity) * emitted(np.array(scene.reflected_c))
    signal = ndimage.gaussian_filter(signal, 0.8)
    shown = read_as((signal - (1 - CAMERA_EMISSIVITY) * emitted(np.array(scene.reflected_c))) / CAMERA_EMISSIVITY)
    return shown + np.random.default_rng(scene.seed).normal(0, 0.06, SIZE)


def three(prefix: str, temperatures: tuple[float, float, float], emissivity: float = 0.95) -> list[Joint]:
    """Three phases side by side."""
    return [
        Joint(f"{prefix}/{phase}", 70 + 90 * place, 120, 9, celsius, emissivity)
        for place, (phase, celsius) in enumerate(zip("ABC", temperatures, strict=True))
    ]


SCENES = {
    "ir_001.csv": Scene(three("MCC-1/F1", (62.0, 35.0, 34.0)), 1),
    "ir_002.csv": Scene(three("MCC-3/F1", (48.0, 42.0, 42.0)), 2, warm=[(250, 40, 45, 6.0)]),
    "ir_003.csv": Scene(three("DB-1/F1", (40.0, 40.0, 40.0)), 3, bolts=[(70, 60, 4), (160, 60, 4)]),
    "ir_004.tif": Scene(three("MSB/F1", (91.0, 62.0, 61.0)), 4),
    "ir_005.tif": Scene(three("SWB-2/F2", (50.0, 50.0, 50.0), emissivity=0.6), 5, reflected_c=35.0),
    "ir_006.csv": Scene(three("DB-4/F2", (55.0, 42.0, 42.0)), 6, warm=[(60, 200, 40, 8.0)], bolts=[(200, 200, 5)]),
}


def main() -> None:
    """Write the pictures, their boxes and what is true of them."""
    boxes = ["image,box,connection_id,shape,points,emissivity,reflected_c"]
    truth = [
        "# Written by make_thermograms.py: the true temperatures of the synthetic joints.",
        "image,connection_id,true_c,emissivity",
    ]
    for name, scene in SCENES.items():
        shown = render(scene)
        if name.endswith(".csv"):
            lines = ["temperature (°C)"] + [
                ";".join(f"{value:.2f}".replace(".", ",") for value in row) for row in shown[::2, ::2]
            ]
            (HERE / "thermograms" / name).write_text("\n".join(lines) + "\n", encoding="utf-8")
        else:
            counts = np.round((shown - OFFSET) / GAIN).astype(np.uint16)
            Image.fromarray(counts).save(HERE / "thermograms" / name, compression="tiff_deflate")
        step = 2 if name.endswith(".csv") else 1
        for joint in scene.joints:
            inner = joint.half - 2
            x1, y1, x2, y2 = (
                (joint.x - inner) // step,
                (joint.y - inner) // step,
                (joint.x + inner) // step,
                (joint.y + inner) // step,
            )
            boxes.append(
                f'{name},{joint.name[-1]},{joint.name},rectangle,"{x1},{y1} '
                f'{x2},{y2}",{joint.emissivity},{scene.reflected_c:g}'
            )
            truth.append(f"{name},{joint.name},{joint.celsius},{joint.emissivity}")
    (HERE / "thermograms" / "boxes.csv").write_text("\n".join(boxes) + "\n", encoding="utf-8")
    (HERE / "thermograms" / "truth.csv").write_text("\n".join(truth) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()

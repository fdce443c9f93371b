"""Temperatures of regions of a thermogram, and regions that stand out: arrays in, arrays out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from riskscope.errors import OutOfRange
from riskscope.units import Floats

LEAST_PIXELS = 3  # across: a smaller target is seen, not measured (makers' advice, from memory)


@dataclass(frozen=True)
class Region:
    """Temperatures inside a region. [°C] `area` in pixels; `across` the smaller of its width and height."""

    highest: float
    p95: float
    mean: float
    area: int
    across: int
    row: int  # of its highest pixel
    column: int

    @property
    def is_measured(self) -> bool:
        """Whether it is at least three pixels each way."""
        return self.across >= LEAST_PIXELS


def mask_of(points: Sequence[tuple[float, float]], shape: tuple[int, int]) -> NDArray[np.bool_]:
    """Pixels of a polygon, as it is drawn, its edge included; two points are the corners of a rectangle.

    Parameters
    ----------
    points : sequence of (x, y)
        Corners in pixels, x to the right, y down. [px]
    shape : (int, int)
        Rows and columns of the thermogram.

    Raises
    ------
    OutOfRange
        If there are fewer than two points or none of the region is in the picture.
    """
    if len(points) < 2:
        raise OutOfRange("points must be at least two corners", value=len(points))
    if len(points) == 2:
        (left, right), (top, bottom) = (sorted(ends) for ends in zip(*points, strict=True))
        rows, columns = np.ogrid[0 : shape[0], 0 : shape[1]]
        inside = (columns >= left) & (columns <= right) & (rows >= top) & (rows <= bottom)
    else:
        from PIL import Image, ImageDraw

        drawn = Image.new("1", (shape[1], shape[0]))
        ImageDraw.Draw(drawn).polygon(list(points), fill=1)
        inside = np.array(drawn)
    if not inside.any():
        raise OutOfRange("points must lie in the picture", value=str(list(points)))
    return inside


def region(matrix_c: Floats, mask: NDArray[np.bool_]) -> Region:
    """Temperatures of a region: the hottest pixel, the 95th percentile, the mean."""
    values = np.where(mask, matrix_c, np.nan)
    rows, columns = np.nonzero(mask)
    inside = matrix_c[mask]
    if np.isnan(inside).all():
        raise OutOfRange("a region must hold a temperature", value="NaN")
    row, column = np.unravel_index(int(np.nanargmax(values)), matrix_c.shape)
    across = min(int(np.ptp(rows)) + 1, int(np.ptp(columns)) + 1)
    return Region(
        float(np.nanmax(inside)),
        float(np.nanpercentile(inside, 95)),
        float(np.nanmean(inside)),
        int(mask.sum()),
        across,
        int(row),
        int(column),
    )


@dataclass(frozen=True)
class Proposal:
    """A region that stands out: its box, its temperatures, its rise over what is around it. [px, °C, K]"""

    left: int
    top: int
    right: int
    bottom: int
    spot: Region
    rise_k: float


def proposals(matrix_c: Floats, least_rise_k: float = 3.0, most: int = 12) -> list[Proposal]:
    """Connected regions that are hotter than what is around them, the largest rise first.

    The background is a wide median of the picture; a region is what stays above half of its own
    rise, and counts where the rise is at least `least_rise_k` and six times the noise, and it is at
    least three pixels each way. A person accepts or rejects each.

    Parameters
    ----------
    matrix_c : ndarray, shape (rows, columns)
        [°C]
    least_rise_k : float
        [K]
    """
    from scipy import ndimage

    filled = np.where(np.isnan(matrix_c), np.nanmedian(matrix_c), matrix_c)
    smooth = ndimage.gaussian_filter(filled, 1.0)
    step = max(1, min(matrix_c.shape) // 60)
    small = ndimage.median_filter(smooth[::step, ::step], size=max(9, min(smooth.shape) // step // 3))
    rows = np.clip(np.arange(matrix_c.shape[0]) // step, 0, small.shape[0] - 1)
    columns = np.clip(np.arange(matrix_c.shape[1]) // step, 0, small.shape[1] - 1)
    around = ndimage.gaussian_filter(small[np.ix_(rows, columns)], step)
    excess = smooth - around
    noise = 1.4826 * float(np.median(np.abs(filled - smooth)))
    least = max(least_rise_k, 6 * noise)
    labels, count = ndimage.label(excess >= least)
    made = []
    for label, place in enumerate(ndimage.find_objects(labels, max_label=count), start=1):
        if place is None:
            continue
        mine = labels[place] == label
        peak = float(excess[place][mine].max())
        core, pieces = ndimage.label(mine & (excess[place] >= peak / 2))
        at = np.unravel_index(int(np.where(mine, excess[place], -np.inf).argmax()), mine.shape)
        inside = np.zeros(matrix_c.shape, dtype=bool)
        inside[place] = core == core[at]
        spot = region(filled, inside)
        if pieces and spot.is_measured and spot.area >= LEAST_PIXELS**2:
            ys, xs = np.nonzero(inside)
            made.append(
                Proposal(
                    int(xs.min()),
                    int(ys.min()),
                    int(xs.max()),
                    int(ys.max()),
                    spot,
                    spot.p95 - float(np.median(around[inside])),
                )
            )
    return sorted(made, key=lambda proposal: -proposal.rise_k)[:most]

"""Thermograms in open forms: a temperature matrix as text, counts of 16 bit, a picture of colours."""

from __future__ import annotations

import csv
import io
import re
import warnings
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from riskscope.errors import Ambiguous, UnusableInput
from riskscope.units import Floats, to_inside

MAX_PIXELS = 20_000_000
MAX_BYTES = 200_000_000
PICTURES = (".tif", ".tiff", ".png", ".jpg", ".jpeg")
APPROXIMATE = "approximate picture: give the spot readings"


@dataclass(frozen=True)
class Thermogram:
    """A picture of temperatures.

    Attributes
    ----------
    name : str
    matrix_c : ndarray, shape (rows, columns)
        [°C]
    approximate : bool
        Read back from colours: it may be shown and never rates.
    """

    name: str
    matrix_c: Floats
    approximate: bool = False


def read(
    data: bytes, name: str, unit: str | None = None, gain: float | None = None, offset: float | None = None
) -> Thermogram:
    """A thermogram from a file's bytes.

    Parameters
    ----------
    unit : str, optional
        °C, °F or K, of a matrix whose file does not say.
    gain, offset : float, optional
        Of counts: temperature = gain × count + offset, in `unit` (by default °C).

    Raises
    ------
    UnusableInput
        If it is no thermogram in an open form, damaged or too large.
    Ambiguous
        If the unit or the gain is not known.
    """
    if len(data) > MAX_BYTES:
        raise UnusableInput(f"is {len(data) / 1e6:,.0f} MB: too large for a thermogram.", file=name)
    if Path(name).suffix.casefold() in PICTURES:
        counts = _counts(data, name)
        if gain is None or offset is None:
            raise Ambiguous(
                "holds counts: how do they become temperatures?",
                file=name,
                hint="Give --gain and --offset (temperature = gain × count + offset).",
            )
        return Thermogram(name, _inside(gain * counts.astype(np.float64) + offset, unit or "°C", name))
    return matrix(data, name, unit)


def matrix(data: bytes, name: str, unit: str | None = None) -> Thermogram:
    """A temperature matrix as text: any separator, decimal points or commas, with or without headers."""
    text = data.decode("utf-8-sig", errors="replace").replace("\r\n", "\n").replace("\r", "\n")
    lines = [line for line in text.split("\n") if line.strip()]
    if not lines:
        raise UnusableInput("holds nothing.", file=name)
    sample = "\n".join(lines[len(lines) // 2 :][:5])
    separator = next((sign for sign in ("\t", ";") if sign in sample), "," if "," in sample else " ")
    comma = separator != "," and re.search(r"\d,\d", sample) is not None
    if separator == " ":
        rows = [line.split() for line in lines]
    else:
        rows = list(csv.reader(io.StringIO("\n".join(lines)), delimiter=separator))
    stated = _stated_unit("\n".join(lines[:3]))
    body = [
        row
        for row in rows
        if sum(_is_number(cell, comma) for cell in row) >= max(2, 0.8 * len([c for c in row if c.strip()]))
    ]
    if len(body) < 2:
        raise UnusableInput("holds no matrix of temperatures: at least two rows of numbers.", file=name)
    width = max(map(len, body))
    if width * len(body) > MAX_PIXELS:
        raise UnusableInput(f"has {width * len(body):,} pixels; at most {MAX_PIXELS:,} are read.", file=name)
    values = np.full((len(body), width), np.nan)
    for place, row in enumerate(body):
        cells = [_number(cell, comma) for cell in row]
        values[place, : len(cells)] = cells
    values = _without_counters(values)
    values = values[:, ~np.isnan(values).all(axis=0)]
    ragged = np.isnan(values).sum()
    if ragged > 0.01 * values.size:
        raise UnusableInput(f"has {ragged:,} cells that are no numbers.", file=name)
    known = unit or stated
    if known is None:
        raise Ambiguous("no unit of its temperatures.", file=name, hint="Give --temperature-unit C, F or K.")
    return Thermogram(name, _inside(values, known, name))


def _stated_unit(text: str) -> str | None:
    unit = re.search(r"°\s*([CF])|\b(celsius|fahrenheit|kelvin)\b|\(\s*([CFK])\s*\)", text, re.IGNORECASE)
    if not unit:
        return None
    letter = next(group for group in unit.groups() if group)[0].upper()
    return {"C": "°C", "F": "°F", "K": "K"}[letter]


def _is_number(cell: str, comma: bool) -> bool:
    return not np.isnan(_number(cell, comma))


def _number(cell: str, comma: bool) -> float:
    text = cell.strip().replace("−", "-")
    if comma:
        text = text.replace(",", ".")
    try:
        return float(text)
    except ValueError:
        return float("nan")


def _without_counters(values: Floats) -> Floats:
    """Without a first row or column that only counts the pixels."""
    for _ in range(2):
        column = values[1:, 0]
        if len(column) > 3 and np.allclose(np.diff(column), 1.0) and float(column[0]) in (0.0, 1.0):
            values = values[:, 1:]
        values = values.T
    row = values[0]
    known = row[~np.isnan(row)]
    if len(known) > 3 and np.allclose(np.diff(known), 1.0) and float(known[0]) in (0.0, 1.0):
        values = values[1:]
    return values


def _inside(values: Floats, unit: str, name: str) -> Floats:
    made = np.asarray(to_inside(values, "temperature", unit), dtype=float)
    known = made[~np.isnan(made)]
    if not len(known) or known.min() < -60 or known.max() > 1500:
        raise UnusableInput("holds temperatures outside −60 to 1500 °C: is the unit or the gain right?", file=name)
    return made


def _counts(data: bytes, name: str) -> NDArray[np.int64]:
    """Counts of a single-channel TIFF or PNG of 16 bit."""
    image = _picture(data, name)
    if image.mode not in {"I;16", "I;16B", "I;16L", "I"}:
        raise UnusableInput(f"is not a picture of 16-bit counts (it is {image.mode}): {APPROXIMATE}.", file=name)
    return np.asarray(image, dtype=np.int64)


def _picture(data: bytes, name: str):  # type: ignore[no-untyped-def]
    from PIL import Image, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", UserWarning)
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            image = Image.open(io.BytesIO(data), formats=("TIFF", "PNG", "JPEG"))
            if image.width * image.height > MAX_PIXELS:
                raise UnusableInput(
                    f"has {image.width * image.height:,} pixels; at most {MAX_PIXELS:,} are read.", file=name
                )
            if getattr(image, "n_frames", 1) > 1:
                raise UnusableInput("holds several pictures: save the one that counts alone.", file=name)
            image.load()
    except (
        OSError,
        ValueError,
        SyntaxError,
        UnidentifiedImageError,
        Image.DecompressionBombError,
        Image.DecompressionBombWarning,
    ) as error:
        if isinstance(error, UnusableInput):
            raise
        raise UnusableInput("is not a picture that can be read, or it is cut short.", file=name) from error
    return image


def from_colours(data: bytes, name: str, low_c: float, high_c: float, palette: Floats) -> tuple[Thermogram, float]:
    """A picture of colours mapped back through a palette: approximate, to look at, never to rate.

    Parameters
    ----------
    low_c, high_c : float
        Temperatures of the palette's ends. [°C]
    palette : ndarray, shape (n, 3)
        Colours from low to high, 0 to 255.

    Returns
    -------
    Thermogram
    float
        Mean distance of the picture's colours from the palette, 0 to 1: large where it is another one.
    """
    pixels = np.asarray(_picture(data, name).convert("RGB"), dtype=np.float64)
    flat = pixels.reshape(-1, 3)
    colours, back = np.unique(flat, axis=0, return_inverse=True)
    nearest = np.empty(len(colours), dtype=np.int64)
    distance = np.empty(len(colours))
    for begin in range(0, len(colours), 4096):
        part = ((colours[begin : begin + 4096, None, :] - palette[None, :, :]) ** 2).sum(axis=2)
        nearest[begin : begin + 4096] = part.argmin(axis=1)
        distance[begin : begin + 4096] = np.sqrt(part.min(axis=1)) / 441.7
    share = nearest[back.ravel()].reshape(pixels.shape[:2]) / (len(palette) - 1)
    return Thermogram(name, low_c + share * (high_c - low_c), True), float(distance[back.ravel()].mean())

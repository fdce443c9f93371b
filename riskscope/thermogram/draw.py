"""An annotated thermogram: a perceptually even palette, a scale bar, boxes with their values."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from riskscope.fonts import FONTS
from riskscope.units import Floats, from_inside
from riskscope.words.plain import plain
from riskscope.words.render import Units

FONT = FONTS / "DejaVuSans-Bold.ttf"
# Corners of an even ramp from dark blue over grey to pale yellow, lightness rising in a straight line.
CORNERS = np.array(
    [
        [0, 32, 77],
        [33, 60, 108],
        [76, 84, 108],
        [108, 110, 114],
        [139, 136, 120],
        [174, 163, 113],
        [212, 193, 94],
        [254, 233, 70],
    ],
    dtype=float,
)
SCALE = 3
BAR_PX = 92


@dataclass(frozen=True)
class Mark:
    """A region to draw: its corners [px], what is written beside it."""

    points: Sequence[tuple[float, float]]
    words: str


def palette(steps: int = 256) -> Floats:
    """The colours from cold to hot, 0 to 255."""
    at = np.linspace(0, len(CORNERS) - 1, steps)
    return np.stack([np.interp(at, np.arange(len(CORNERS)), CORNERS[:, channel]) for channel in range(3)], axis=1)


def _coloured(matrix_c: Floats) -> Any:
    """The matrix in colours, one pixel a reading."""
    from PIL import Image

    low, high = float(np.nanmin(matrix_c)), float(np.nanmax(matrix_c))
    share = np.clip((np.nan_to_num(matrix_c, nan=low) - low) / max(high - low, 1e-9), 0, 1)
    return Image.fromarray(palette()[np.round(share * 255).astype(int)].astype(np.uint8))


def plain_picture(matrix_c: Floats) -> bytes:
    """The matrix in colours as PNG, nothing drawn on it."""
    buffer = io.BytesIO()
    _coloured(matrix_c).save(buffer, "PNG")
    return buffer.getvalue()


def draw(matrix_c: Floats, marks: Sequence[Mark], units: Units, approximate: bool = False) -> bytes:
    """The annotated picture as PNG.

    Parameters
    ----------
    matrix_c : ndarray, shape (rows, columns)
        [°C]
    marks : sequence of Mark
    """
    from PIL import Image, ImageDraw, ImageFont

    low, high = float(np.nanmin(matrix_c)), float(np.nanmax(matrix_c))
    scale = max(1, min(SCALE, 1200 // max(matrix_c.shape)))
    picture = _coloured(matrix_c).resize(
        (matrix_c.shape[1] * scale, matrix_c.shape[0] * scale), Image.Resampling.BICUBIC
    )
    canvas = Image.new("RGB", (picture.width + BAR_PX, picture.height), "#FFFFFF")
    canvas.paste(picture, (0, 0))
    pen = ImageDraw.Draw(canvas)
    font = ImageFont.truetype(str(FONT), max(13, 5 * scale))
    for mark in marks:
        corners = [(x * scale + scale / 2, y * scale + scale / 2) for x, y in mark.points]
        if len(corners) == 2:
            (x1, y1), (x2, y2) = corners
            corners = [(x1, y1), (x2, y1), (x2, y2), (x1, y2)]
        pen.line([*corners, corners[0]], fill="#000000", width=scale + 3)
        pen.line([*corners, corners[0]], fill="#FFFFFF", width=scale)
        x, y = min(c[0] for c in corners), min(c[1] for c in corners)
        words = plain(mark.words)[:80]
        wide, high_ = pen.textbbox((0, 0), words, font=font)[2:]
        at = (min(max(2, x), max(2, picture.width - wide - 4)), y - high_ - 6 if y > high_ + 8 else y + 4)
        pen.text(at, words, font=font, fill="#FFFFFF", stroke_width=3, stroke_fill="#000000")
    _bar(pen, picture.width, picture.height, low, high, units, font)
    if approximate:
        pen.text((4, 4), "approximate", font=font, fill="#FFFFFF", stroke_width=3, stroke_fill="#000000")
    buffer = io.BytesIO()
    canvas.save(buffer, "PNG")
    return buffer.getvalue()


def beside(picture: bytes, photo: bytes) -> bytes:
    """The annotated picture with the visible photograph beside it, of one height."""
    from PIL import Image

    with Image.open(io.BytesIO(picture)) as left, Image.open(io.BytesIO(photo)) as right:
        shown = right.convert("RGB").resize((max(1, round(right.width * left.height / right.height)), left.height))
        both = Image.new("RGB", (left.width + 8 + shown.width, left.height), "#FFFFFF")
        both.paste(left.convert("RGB"), (0, 0))
        both.paste(shown, (left.width + 8, 0))
    buffer = io.BytesIO()
    both.save(buffer, "PNG")
    return buffer.getvalue()


def _bar(pen, left: int, height: int, low: float, high: float, units: Units, font) -> None:  # type: ignore[no-untyped-def]
    top, bottom = 24, height - 24
    ramp = palette()
    for y in range(top, bottom):
        colour = ramp[int(255 * (bottom - 1 - y) / max(bottom - top - 1, 1))]
        pen.line([(left + 10, y), (left + 24, y)], fill=tuple(int(c) for c in colour))
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        value = float(from_inside(low + share * (high - low), "temperature", units.temperature))
        line = bottom - 1 - share * (bottom - top - 1)
        pen.line([(left + 24, line), (left + 29, line)], fill="#14202B")
        pen.text(
            (left + 32, line - font.size / 2),
            f"{value:.0f} {units.temperature}",
            font=font.font_variant(size=13),
            fill="#14202B",
        )

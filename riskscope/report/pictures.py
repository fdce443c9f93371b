"""Pictures of other people, made safe to show: opened, turned to plain RGB, no larger than needed."""

from __future__ import annotations

import io
import warnings
from collections.abc import Sequence
from pathlib import Path

from riskscope import apart
from riskscope.errors import UnusableInput

LARGEST_PX = 1280
MAX_PIXELS = 50_000_000
MAX_BYTES = 50_000_000


def find(name: str, folders: Sequence[Path]) -> Path | None:
    """A picture by its name alone: in one of the folders, never outside them."""
    plain = Path(name.replace("\\", "/")).name
    for folder in folders:
        path = folder / plain
        if plain and path.is_file():
            return path
    return None


def load(path: Path) -> bytes:
    """A picture file as PNG or JPEG, safe to embed.

    Raises
    ------
    UnusableInput
        If it is no picture, damaged, or too large.
    """
    try:
        if path.stat().st_size > MAX_BYTES:
            raise UnusableInput("is too large to show.", file=path.name)
        return load_bytes(path.read_bytes(), path.name)
    except OSError as error:
        raise UnusableInput(f"cannot be read ({error.strerror}).", file=path.name) from error


def load_bytes(data: bytes, name: str) -> bytes:
    """A picture's bytes as PNG or JPEG, safe to embed; opened in the limited process. See `safe`."""
    made: bytes = apart.call("riskscope.report.pictures.safe", data, name, name=name)
    return made


def safe(data: bytes, name: str) -> bytes:
    """A picture's bytes as PNG or JPEG, safe to embed.

    Raises
    ------
    UnusableInput
        If it is no picture, damaged, or too large.
    """
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", UserWarning)
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(data), formats=("PNG", "JPEG", "TIFF", "BMP")) as image:
                if image.width * image.height > MAX_PIXELS:
                    raise UnusableInput("is too large to show.", file=name)
                image.thumbnail((LARGEST_PX, LARGEST_PX))
                photo = image.format == "JPEG"
                made = ImageOps.exif_transpose(image).convert("RGB")
    except (
        OSError,
        ValueError,
        SyntaxError,
        UnidentifiedImageError,
        Image.DecompressionBombError,
        Image.DecompressionBombWarning,
    ) as error:
        raise UnusableInput("is not a picture that can be shown.", file=name) from error
    buffer = io.BytesIO()
    if photo:
        made.save(buffer, "JPEG", quality=88)
    else:
        made.save(buffer, "PNG")
    return buffer.getvalue()

"""thermogram: temperatures of named boxes, proposals, an annotated picture, rows for a survey."""

from __future__ import annotations

import dataclasses
import datetime as dt
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from riskscope import apart
from riskscope.analysis.frames import joined
from riskscope.analysis.steps.temperatures import temperatures
from riskscope.errors import OutOfRange, UnusableInput
from riskscope.intake.files import Source
from riskscope.intake.files import load_bytes as read_bytes
from riskscope.intake.options import Limits, ReadOptions
from riskscope.intake.read import read_files
from riskscope.report import pictures
from riskscope.schema.codes import OPTICAL
from riskscope.settings import Settings
from riskscope.thermogram.draw import Mark, beside, draw, palette, plain_picture
from riskscope.thermogram.read import Thermogram
from riskscope.thermogram.regions import Proposal, Region, mask_of, proposals, region
from riskscope.units import Floats
from riskscope.words.plain import as_csv
from riskscope.words.render import Units, amount

__all__ = ["Measurement", "Optics", "Thermogram", "load", "see"]


@dataclass(frozen=True)
class Optics:
    """What the instrument was set to, and what is so for the whole picture."""

    camera_emissivity: float = 0.95
    reflected_c: float = 20.0


@dataclass(frozen=True)
class Measurement:
    """What a thermogram shows.

    Attributes
    ----------
    boxes : DataFrame
        ``image box connection_id points highest_c p95_c mean_c area_px measured emissivity reflected_c
        true_c quality_flags``; the temperature by the rule of a survey, the flags of its optics.
    proposed : DataFrame
        ``box points p95_c rise_k area_px`` of regions that stand out and are in no box.
    picture : bytes
        PNG.
    survey : DataFrame
        A row for each box with a connection, to be brought in as a survey; empty where the picture is
        approximate.
    """

    boxes: pd.DataFrame
    proposed: pd.DataFrame
    picture: bytes
    survey: pd.DataFrame


def load(path: Path, unit: str | None, gain: float | None, offset: float | None, limits: Limits) -> Thermogram:
    """A thermogram from a file, read in the limited process."""
    return load_bytes(read_bytes(path, limits), path.name, unit, gain, offset, limits)


def load_bytes(
    data: bytes, name: str, unit: str | None, gain: float | None, offset: float | None, limits: Limits
) -> Thermogram:
    """A thermogram from a file's bytes, read in the limited process."""
    made: Thermogram = _apart("read", name, limits, data, name, unit, gain, offset)
    return made


def _apart(function: str, name: str, limits: Limits, *args: Any) -> Any:
    dotted = f"riskscope.thermogram.read.{function}"
    return apart.call(dotted, *args, name=name, memory_mb=limits.reader_memory_mb, seconds=limits.reader_s)


def load_colours(path: Path, low_c: float, high_c: float, name: str, limits: Limits) -> tuple[Thermogram, float]:
    """A picture of colours, approximate, and how far its colours are from the palette (0 to 1)."""
    grey = np.linspace(0, 255, 256)[:, None].repeat(3, axis=1)
    colours = {"even": palette(), "grey": grey, "grey inverted": grey[::-1]}[name]
    data = read_bytes(path, limits)
    made: tuple[Thermogram, float] = _apart("from_colours", path.name, limits, data, path.name, low_c, high_c, colours)
    return made


def boxes_of(path: Path, image: str, on: dt.date) -> pd.DataFrame:
    """The boxes of one image from a table of boxes.

    Raises
    ------
    UnusableInput
        If it names no box of this image.
    """
    table = read_files([Source(path, ReadOptions(table="boxes"))], on=on)["boxes"]
    mine = table[table["image"].str.casefold() == image.casefold()]
    if mine.empty:
        known = ", ".join(table["image"].unique()[:5])
        raise UnusableInput(f"names no box of {image}.", file=path.name, hint=f"It has boxes of {known}.")
    return mine.reset_index(drop=True)


def corners(text: str) -> list[tuple[float, float]]:
    """Corner points ``x,y x,y …`` as numbers.

    Raises
    ------
    UnusableInput
        If they are none.
    """
    try:
        made = [tuple(float(number) for number in pair.split(",")) for pair in text.replace(";", " ").split()]
        if len(made) < 2 or any(len(pair) != 2 for pair in made):
            raise ValueError
    except ValueError:
        raise UnusableInput(f"points {text!r} are not corners such as 10,20 40,60.") from None
    return [(pair[0], pair[1]) for pair in made]


def see(
    thermogram: Thermogram, boxes: pd.DataFrame, optics: Optics, settings: Settings, on: dt.date, units: Units
) -> Measurement:
    """Temperatures of the boxes, what else stands out, the picture, and rows for a survey.

    Raises
    ------
    UnusableInput
        If a box has no corners or lies outside the picture.
    """
    rows, drawn, covered = [], [], np.zeros(thermogram.matrix_c.shape, dtype=bool)
    for _, box in boxes.iterrows():
        points = corners(str(box.get("points", "")))
        try:
            mask = mask_of(points, thermogram.matrix_c.shape)
            row = _box(thermogram, box, region(thermogram.matrix_c, mask), optics)
        except OutOfRange as error:
            raise UnusableInput(f"box {box['box']}: {error.message}.", file=thermogram.name) from error
        covered |= mask
        rows.append(row)
        drawn.append(points)
    measured = _corrected(pd.DataFrame(rows), optics, settings)
    marks = [
        Mark(points, f"{box.box} {amount(box.true_c, 'temperature', units)}{_as_read(box)}")
        for points, box in zip(drawn, measured.itertuples(), strict=True)
    ]
    outside = {
        number: proposal
        for number, proposal in enumerate(proposals(thermogram.matrix_c), start=1)
        if not covered[proposal.spot.row, proposal.spot.column]
    }
    marks += [Mark([(p.left, p.top), (p.right, p.bottom)], f"? +{p.rise_k:.0f} K") for p in outside.values()]
    picture = draw(thermogram.matrix_c, marks, units, thermogram.approximate)
    return Measurement(measured, _proposed(outside), picture, _survey(thermogram, measured, optics, on))


def _box(thermogram: Thermogram, box: pd.Series, spot: Region, optics: Optics) -> dict[str, object]:
    """One box: what was read in it, and its temperature with its own emissivity and reflection."""

    def stated(name: str, default: float) -> float:
        return float(box[name]) if name in box and not pd.isna(box[name]) else default

    emissivity, reflected = stated("emissivity", optics.camera_emissivity), stated("reflected_c", optics.reflected_c)
    return {
        "image": thermogram.name,
        "box": box["box"],
        "connection_id": box.get("connection_id"),
        "points": box["points"],
        "highest_c": spot.highest,
        "p95_c": spot.p95,
        "mean_c": spot.mean,
        "area_px": spot.area,
        "measured": "yes" if spot.is_measured else "no",
        "emissivity": emissivity,
        "reflected_c": reflected,
    }


def _as_read(box: Any) -> str:
    """What the picture says beside a temperature that its flags forbid to correct."""
    return " as read" if box.quality_flags and box.true_c == box.p95_c else ""


def _corrected(boxes: pd.DataFrame, optics: Optics, settings: Settings) -> pd.DataFrame:
    """The boxes with their temperature and the flags of their optics, by the rule that corrects a survey."""
    if boxes.empty:
        return boxes.assign(true_c=[], quality_flags=[])
    optical = boxes[["emissivity", "reflected_c"]].assign(
        connection_c=boxes["p95_c"], camera_emissivity=optics.camera_emissivity
    )
    made = temperatures(optical, settings)
    flags = joined({name: np.asarray(made[name], dtype=bool) for name in OPTICAL if name in made})
    return boxes.assign(true_c=made["connection_c"], quality_flags=flags)


def _proposed(outside: dict[int, Proposal]) -> pd.DataFrame:
    rows = [
        (
            f"proposed {number}",
            f"{proposal.left},{proposal.top} {proposal.right},{proposal.bottom}",
            proposal.spot.p95,
            proposal.rise_k,
            proposal.spot.area,
        )
        for number, proposal in outside.items()
    ]
    return pd.DataFrame(rows, columns=["box", "points", "p95_c", "rise_k", "area_px"])


def with_photo(seen: Measurement, photo: Path) -> Measurement:
    """With the visible photograph beside the picture.

    Raises
    ------
    UnusableInput
        If it is no picture.
    """
    return dataclasses.replace(seen, picture=beside(seen.picture, pictures.load(photo)))


def bare(matrix_c: Floats) -> bytes:
    """The picture without anything drawn on it, one pixel a reading."""
    return plain_picture(matrix_c)


def _survey(thermogram: Thermogram, boxes: pd.DataFrame, optics: Optics, on: dt.date) -> pd.DataFrame:
    """Rows of a survey: as read, with what is needed to correct them, so that there is one correction."""
    columns = [
        "connection_id",
        "survey_date",
        "connection_c",
        "emissivity",
        "camera_emissivity",
        "reflected_c",
        "one_image",
        "image",
        "comment",
    ]
    if thermogram.approximate or boxes.empty:
        return pd.DataFrame(columns=columns)
    mine = boxes[boxes["connection_id"].notna()]
    return pd.DataFrame(
        {
            "connection_id": mine["connection_id"],
            "survey_date": on.isoformat(),
            "connection_c": mine["p95_c"].round(3),
            "emissivity": mine["emissivity"],
            "camera_emissivity": optics.camera_emissivity,
            "reflected_c": mine["reflected_c"],
            "one_image": "yes",
            "image": thermogram.name,
            "comment": np.where(mine["measured"] == "yes", "", "target smaller than 3 × 3 pixels"),
        },
        columns=columns,
    )


def files(seen: Measurement, name: str, out: Path) -> dict[Path, bytes]:
    """Everything the command writes, by its path."""
    stem = Path(name).stem
    made = {out / f"{stem}_annotated.png": seen.picture}
    for what, frame in (("boxes", seen.boxes), ("proposed", seen.proposed), ("survey", seen.survey)):
        if len(frame):
            made[out / f"{stem}_{what}.csv"] = as_csv(frame)
    return made

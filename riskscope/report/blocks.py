"""A document as blocks: what is said, in order, without a word about any format."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from riskscope.units import from_inside
from riskscope.words.plain import plain, plain_each
from riskscope.words.render import Units, quantity


@dataclass(frozen=True)
class Heading:
    """`level` 1 is a chapter, 2 a part of it, 3 one connection."""

    text: str
    level: int = 1


@dataclass(frozen=True)
class Text:
    """A paragraph; `style` is body, strong or small."""

    text: str
    style: str = "body"


@dataclass(frozen=True)
class Items:
    """A list of short paragraphs."""

    items: Sequence[str]


@dataclass(frozen=True)
class Facts:
    """Names and what they are, in two columns."""

    rows: Sequence[tuple[str, str]]


@dataclass(frozen=True)
class Show:
    """A column as it is shown: its title and kind of quantity; `weight` is its share of the width.

    Kinds are those of `riskscope.words.render.quantity`, and ``severity``.
    """

    name: str
    title: str
    kind: str = "text"
    weight: float = 1.0

    @property
    def is_number(self) -> bool:
        return self.kind not in {"text", "day", "severity"}

    def unit(self, units: Units) -> str:
        """The unit its numbers are in, for a heading."""
        names = {
            "temperature": units.temperature,
            "rise": units.difference,
            "full rise": units.difference,
            "torque": units.torque,
            "share": "%",
            "current": "A",
        }
        return names.get(self.kind, "")


@dataclass(frozen=True)
class Table:
    """Rows of a frame. `sheet` names its sheet of a workbook; without one it is not in a workbook."""

    frame: pd.DataFrame
    columns: Sequence[Show]
    sheet: str = ""
    empty: str = "None."
    everything: Sequence[Show] | None = None  # the columns of a workbook, where they are more
    most: int | None = None  # rows a page shows; a workbook shows all

    def cells(self, units: Units) -> list[list[str]]:
        """The cells a page shows as text, row by row."""
        frame = self.frame if self.most is None else self.frame.head(self.most)
        if frame.empty:
            return []
        columns = []
        for show in self.columns:
            kind = "count" if show.kind == "severity" else show.kind
            shown = [str(cell) for cell in quantity(frame[show.name], kind, units)]
            if show.kind == "severity":
                shown = ["not rated" if cell == "–" else cell for cell in shown]
            columns.append([plain(cell) for cell in shown])
        return [list(row) for row in zip(*columns, strict=True)]


def typed(values: pd.Series, show: Show, units: Units) -> pd.Series:
    """The values of a column in the reader's units, of its type; empty where there is none."""
    if show.kind == "text":
        return plain_each(values)
    if show.kind == "day":
        return pd.to_datetime(values)
    numbers = values.astype("float64")
    if show.kind == "temperature":
        return pd.Series(from_inside(numbers, "temperature", units.temperature))
    if show.kind in {"rise", "full rise"}:
        return pd.Series(from_inside(numbers, "difference", units.difference))
    if show.kind == "torque":
        return pd.Series(from_inside(numbers, "torque", units.torque))
    return numbers * 100.0 if show.kind == "share" else numbers


@dataclass(frozen=True)
class Chart:
    """A Vega-Lite chart, in words for who cannot see it, and its size. [px]"""

    spec: dict[str, Any]
    words: str
    width: int = 640


@dataclass(frozen=True)
class Picture:
    """A PNG or JPEG picture."""

    data: bytes
    caption: str


@dataclass(frozen=True)
class Caution:
    """What must be known before anybody touches anything."""

    items: Sequence[str]


@dataclass(frozen=True)
class Figures:
    """Large numbers side by side, each with what it counts."""

    rows: Sequence[tuple[str, str]]


@dataclass(frozen=True)
class Signatures:
    """Lines to sign on."""

    names: Sequence[str]


@dataclass(frozen=True)
class NewPage:
    """What follows begins a page."""


Block = Heading | Text | Items | Facts | Table | Chart | Picture | Caution | Figures | Signatures | NewPage


@dataclass(frozen=True)
class Document:
    """A whole report."""

    title: str
    subtitle: str
    blocks: Sequence[Block]
    units: Units
    organisation: str = ""
    number: str = ""
    paper: str = "A4"
    day: str = ""
    logo: bytes | None = None
    foot: str = ""
    keywords: Sequence[str] = field(default_factory=tuple)

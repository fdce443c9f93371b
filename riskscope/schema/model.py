"""What a table and a column are. Declarations only: reading, storing and showing derive from them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Column:
    """One column of a table.

    Attributes
    ----------
    name : str
        The one name of this thing, unit included, from a file's header to the screen.
    kind : str
        ``id text number integer date time choice flag range file``. A ``flag`` is yes or no; a
        ``range`` is one number or two ("30-40") and is stored as its two ends; a ``time`` is
        stored as minutes after midnight.
    quantity : str or None
        A key of `riskscope.units.UNITS`; the values inside are in that quantity's first unit.
    required : bool
        A row without it is rejected.
    low, high : float or None
        Bounds; a value outside is rejected. They belong to the range unless `open_low`.
    choices : mapping or None
        Allowed value -> other spellings of it.
    synonyms : tuple of str
        Headers that mean this column, in plain trade words.
    unit_column : str or None
        The column of the same row that may carry the unit.
    stored : tuple of str
        Names of the columns it fills in a checked table; by default its own name.
    """

    name: str
    kind: str
    help: str
    quantity: str | None = None
    required: bool = False
    low: float | None = None
    high: float | None = None
    open_low: bool = False
    choices: Mapping[str, tuple[str, ...]] | None = None
    synonyms: tuple[str, ...] = ()
    unit_column: str | None = None
    stored: tuple[str, ...] = ()
    planned: bool = False

    @property
    def fills(self) -> tuple[str, ...]:
        """Names of the columns of a checked table that this column fills."""
        return self.stored or (self.name,)

    @property
    def is_number(self) -> bool:
        return self.kind in {"number", "integer", "range", "time"}


@dataclass(frozen=True)
class Table:
    """One table: its columns in order, and what makes a row of it the same row again."""

    name: str
    title: str
    help: str
    columns: tuple[Column, ...]
    key: tuple[str, ...] = ()
    by_name: Mapping[str, Column] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "by_name", {column.name: column for column in self.columns})

    @property
    def required(self) -> tuple[str, ...]:
        return tuple(column.name for column in self.columns if column.required)

    @property
    def stored(self) -> dict[str, Column]:
        """Stored column name -> the column that fills it, in order."""
        return {name: column for column in self.columns for name in column.fills}

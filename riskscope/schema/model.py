"""What a table and a column are. Declarations only: reading, storing and showing derive from them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from riskscope.units import UNITS


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
    planned : bool
        A date that may lie in the future.
    lenient : bool
        It only helps: a word that is not known here is a warning, and no row is lost for it. A number out of its
        bounds is rejected all the same.
    place : bool
        It says where a connection is; where a survey does not say so the register does.
    reading : bool
        It is a temperature or a rise: a survey has at least one such column.
    names : str
        Of an id: what it refers to, where the row does not stand for that thing itself.
    of_site : bool
        Of an id: it is unique only within its site.
    says_who : bool
        Of a text that may be left out: it says who, and a word for nobody does not.
    says_why : bool
        Of a text that may not be left out: it says why, not who.
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
    lenient: bool = False
    place: bool = False
    reading: bool = False
    names: str = ""
    of_site: bool = False
    says_who: bool = False
    says_why: bool = False

    @property
    def is_answer(self) -> bool:
        """Whether it is a text that says who or why: a word for nobody, or for nothing, leaves it empty."""
        return self.kind == "text" and (self.required or self.says_who)

    @property
    def fills(self) -> tuple[str, ...]:
        """Names of the columns of a checked table that this column fills."""
        return self.stored or (self.name,)

    @property
    def unit(self) -> str:
        """The unit its values are in; empty for what has none."""
        return next(iter(UNITS[self.quantity])) if self.quantity else ""

    @property
    def is_number(self) -> bool:
        return self.kind in {"number", "integer", "range", "time"}


@dataclass(frozen=True)
class Table:
    """One table: its columns in order, and what makes a row of it the same row again.

    Attributes
    ----------
    key : tuple of str
        The columns by which a row is known again.
    unique : bool
        No two rows share a key: two truths about one thing are none.
    counted : bool
        Rows may agree in all of the key: the nth of them is known again.
    serves_all : bool
        A row that names no site is of every site, where several are named.
    file_words : tuple of str
        Words in the name of a file or sheet that say that it holds this table, besides its name.
    """

    name: str
    title: str
    help: str
    columns: tuple[Column, ...]
    key: tuple[str, ...] = ()
    unique: bool = False
    counted: bool = False
    serves_all: bool = False
    file_words: tuple[str, ...] = ()
    by_name: Mapping[str, Column] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "by_name", {column.name: column for column in self.columns})

    @property
    def required(self) -> tuple[str, ...]:
        return tuple(column.name for column in self.columns if column.required)

    @property
    def row_key(self) -> tuple[str, ...]:
        """The columns by which a row is known again: its site, where it can have one, and its key."""
        return ("site", *self.key) if "site" in self.by_name else self.key

    @property
    def sheet_title(self) -> str:
        """What stands first on the sheet that says how to fill the table in."""
        return f"How to fill in {self.name}"

    @property
    def places(self) -> tuple[str, ...]:
        """The columns that say where a connection is."""
        return tuple(column.name for column in self.columns if column.place)

    @property
    def is_register(self) -> bool:
        """Whether it is the list of what its one key column names: its spelling of an id stands."""
        return self.unique and len(self.key) == 1

    @property
    def stored(self) -> dict[str, Column]:
        """Stored column name -> the column that fills it, in order."""
        return {name: column for column in self.columns for name in column.fills}

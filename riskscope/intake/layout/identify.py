"""Which table a sheet holds: as stated, by its name, else by its headers."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path

from riskscope.errors import Ambiguous, UnusableInput, WrongUsage, nearest
from riskscope.intake.grid import Grid
from riskscope.intake.layout import headers as find_headers
from riskscope.intake.layout import wide
from riskscope.intake.layout.headers import Headers
from riskscope.intake.options import ReadOptions
from riskscope.schema import TABLES, Table
from riskscope.schema.notes import Note

READINGS = tuple(column.name for column in TABLES["survey"].columns if column.reading)


@dataclass(frozen=True)
class Sheet:
    """A sheet whose headers are understood for one table."""

    grid: Grid
    headers: Headers
    notes: list[Note] = field(default_factory=list)

    @property
    def fits(self) -> bool:
        """Whether nothing is lacking that a table cannot do without."""
        return not self.headers.lacking and self.has_a_reading

    @property
    def is_sure(self) -> bool:
        """Whether the headers are more than one word that stands by chance in a sheet of text."""
        return len(self.headers.matches) >= 2 or not self.headers.unknown

    @property
    def has_a_reading(self) -> bool:
        """Whether a survey has a temperature or a rise, or will have once its question is answered."""
        if self.headers.table.name != "survey":
            return True
        return bool(self.headers.names & set(READINGS)) or bool(self.headers.questions)

    def reads_a_phase(self, spread: wide.Wide) -> bool:
        """Whether its reading is one of several phases of that header: Temp C beside Temp A and Temp B is no °C."""
        phases = {column.position for column in spread.columns}
        readings = [match.position for match in self.headers.matches if match.column.name in READINGS]
        return spread.row == self.headers.row and any(position in phases for position in readings)


def understand(grid: Grid, table: Table, read_options: ReadOptions) -> Sheet | None:
    """A sheet for one table: as it stands, made long where it is wide, with ids built where it has none."""
    headers = find_headers.find(grid, table, read_options)
    sheet = Sheet(grid, headers) if headers else None
    if table.name != "survey":
        return sheet
    spread = wide.find(grid, read_options)
    is_spread = spread is not None and (sheet is None or not sheet.has_a_reading or sheet.reads_a_phase(spread))
    if sheet and sheet.fits and not is_spread:
        phased = wide.with_distinct_ids(grid, sheet.headers)
        if phased is None:
            return sheet
        headers = find_headers.find(phased[0], table, read_options)
        return Sheet(phased[0], headers, phased[1]) if headers else sheet
    notes: list[Note] = []
    if spread is not None and is_spread:
        grid, notes = wide.lengthen(grid, spread, read_options)
        headers = find_headers.find(grid, table, read_options)
    if headers and [column.name for column in headers.lacking] == ["connection_id"]:
        built = wide.with_built_ids(grid, headers)
        if built is not None:
            grid, more = built
            notes += more
            headers = find_headers.find(grid, table, read_options)
    return Sheet(grid, headers, notes) if headers else sheet


def identify(grid: Grid, name: str, read_options: ReadOptions, must: bool) -> Sheet | None:
    """The table a sheet holds, understood; None where it holds none.

    Parameters
    ----------
    grid : Grid
    name : str
        Name of the file.
    read_options : ReadOptions
    must : bool
        The sheet is meant to hold a table: what it lacks is an error.

    Raises
    ------
    UnusableInput
        If it is meant to hold a table and lacks what that needs.
    Ambiguous
        If it could be one of several tables.
    """
    if read_options.table:
        if read_options.table not in TABLES:
            raise WrongUsage(
                f"there is no table {read_options.table!r}; there are {', '.join(TABLES)}.",
                file=name,
                hint=nearest(read_options.table, list(TABLES)),
            )
        table: Table | None = TABLES[read_options.table]
    else:
        table = table_by_name(grid.sheet) or table_by_name(Path(name).stem)
    if table is not None:
        sheet = understand(grid, table, read_options)
        if sheet is not None and sheet.fits and (must or sheet.is_sure):
            return sheet
        if must:
            raise lack(sheet, grid, table)
        return None
    fits = []
    for candidate in TABLES.values():
        sheet = understand(grid, candidate, read_options)
        if sheet and sheet.fits and (len(sheet.headers.matches) >= 3 or not sheet.headers.unknown):
            fits.append(sheet)
    if not fits:
        return None
    most = max(len(sheet.headers.matches) for sheet in fits)
    best = [sheet for sheet in fits if len(sheet.headers.matches) == most]
    if len(best) > 1:
        names = " or ".join(sheet.headers.table.name for sheet in best)
        first = best[0].headers.table.name
        raise Ambiguous(
            f"could be table {names}.",
            file=name,
            sheet=grid.sheet or None,
            hint=f'Say which: --{first} FILE (in riskscope.toml: table = "{first}").',
            toml=f'table = "{first}"',
        )
    return best[0]


def lack(sheet: Sheet | None, grid: Grid, table: Table) -> UnusableInput:
    """The sentence for a sheet that lacks what its table needs."""
    if sheet is None or sheet.headers.lacking:
        return find_headers.explain_lack(sheet.headers if sheet else None, grid, table)
    headers = sheet.headers
    looked = [s for name in READINGS for s in (name, *headers.table.by_name[name].synonyms[:4])]
    there = [h.header for h in headers.matches] + list(headers.unknown.values())
    return UnusableInput(
        f"as table survey: no column of temperatures or rises (looked for: {', '.join(looked)}). "
        f"Headers found: {', '.join(map(repr, there))}.",
        file=grid.file,
        sheet=grid.sheet or None,
        line=int(grid.line[headers.row]),
        hint="Rename the header or give a mapping.",
        toml='mapping = { "YOUR HEADER" = "connection_c" }',
    )


def table_by_name(name: str) -> Table | None:
    """The table whose name, or a word for it, stands in the name of a file or sheet."""
    words = [word for word in re.split(r"[^a-z]+", name.casefold()) if word]
    for table in TABLES:
        if table in words:
            return TABLES[table]
    for candidate in TABLES.values():
        if any(word in candidate.file_words for word in words):
            return candidate
    return None

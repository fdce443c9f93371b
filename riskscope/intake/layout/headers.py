"""Headers as people write them: which row they are in, which column each means, in what unit."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from riskscope.errors import UnusableInput, WrongUsage, nearest
from riskscope.intake.grid import Grid
from riskscope.intake.options import ReadOptions
from riskscope.schema import TABLES, Column, Table
from riskscope.schema.notes import Question
from riskscope.units import UNITS, find_unit

HEADER_WITHIN_ROWS = 40
# A rise whose header does not say what it is a rise over.
BARE_RISES = frozenset(
    {
        "delta t",
        "dt",
        "delta temp",
        "temp difference",
        "temperature difference",
        "temp rise",
        "temperature rise",
        "rise",
        "delta",
        "td",
        "delta t c",
        "temp diff",
    }
)
IGNORE = "ignore"
DELTA_BASIS = ("--delta-basis similar or --delta-basis ambient", 'delta_basis = "similar"  # or "ambient"')
_BRACKET = re.compile(r"[(\[{]\s*([^()\[\]{}]*?)\s*[)\]}]")


@dataclass(frozen=True)
class Match:
    """One header understood: the column it means and the unit it states."""

    position: int
    header: str
    column: Column
    unit: str | None
    how: str


@dataclass
class Headers:
    """The header row of a grid, understood for one table."""

    table: Table
    row: int
    matches: list[Match]
    unknown: dict[int, str]
    questions: list[Question] = field(default_factory=list)

    @property
    def names(self) -> set[str]:
        return {match.column.name for match in self.matches}

    @property
    def lacking(self) -> list[Column]:
        """Required columns that no header means."""
        return [column for column in self.table.columns if column.required and column.name not in self.names]


def fold(text: str) -> str:
    """A header as it is compared: case, punctuation and spacing ignored."""
    text = text.casefold().replace("δ", "delta ").replace("∆", "delta ")
    return " ".join(re.sub(r"[^\w%°µω·/]+|_", " ", text).split())


@lru_cache
def _dictionary(table: str) -> Mapping[str, tuple[Column, ...]]:
    """Folded header -> the columns of a table it may mean."""
    words: dict[str, list[Column]] = {}
    for column in TABLES[table].columns:
        for spelling in (*column.synonyms, column.name):
            entry = words.setdefault(fold(spelling), [])
            if column not in entry:
                entry.append(column)
    return {word: tuple(columns) for word, columns in words.items()}


@lru_cache
def _own_names(table: str) -> Mapping[str, Column]:
    return {fold(name): column for name, column in TABLES[table].by_name.items()}


@lru_cache(maxsize=4096)
def _readings(header: str) -> tuple[tuple[str, str | None], ...]:
    """A header as (words, unit): whole, without a bracket, without a last or first unit word."""
    return tuple(_ways_to_read(header))


@lru_cache
def _tables_by_word() -> Mapping[str, frozenset[str]]:
    """Folded header -> the tables one of whose columns it may mean."""
    tables: dict[str, set[str]] = {}
    for table in TABLES:
        for word in _dictionary(table):
            tables.setdefault(word, set()).add(table)
    for word in BARE_RISES:
        tables.setdefault(word, set()).add("survey")
    return {word: frozenset(names) for word, names in tables.items()}


@lru_cache(maxsize=4096)
def tables_that_know(header: str) -> frozenset[str]:
    """The tables that a header can be of: what is looked for in a sheet is looked up once for all of them."""
    known = _tables_by_word()
    return frozenset().union(*(known.get(text, frozenset()) for text, _ in _readings(header)))


def _ways_to_read(header: str) -> Iterable[tuple[str, str | None]]:
    yield fold(header), None
    for bracket in _BRACKET.findall(header):
        without = fold(_BRACKET.sub(" ", header))
        yield without, bracket
    words = fold(header).split()
    plain = header.replace("_", " ").split()
    for count in (1, 2):
        if len(words) > count:
            yield fold(" ".join(plain[:-count])), " ".join(plain[-count:])
            yield fold(" ".join(plain[count:])), " ".join(plain[:count])
    if len(words) > 1:
        yield " ".join(words[:-1]), words[-1]
        yield " ".join(words[1:]), words[0]
    if header.strip().endswith("%"):
        yield fold(header.replace("%", " ")), "%"


def unit_in_name(column: Column) -> str | None:
    """The unit a column's own name states; a torque column states none."""
    if column.quantity is None or column.quantity == "torque":
        return None
    return next(iter(UNITS[column.quantity]))


def understand(header: str, table: Table, delta_basis: str | None = None) -> tuple[Column, str | None, str] | None:
    """The column of a table that a header means, its unit and how it was understood."""
    if not any(letter.isalpha() or letter == "%" for letter in header):
        return None
    words = _dictionary(table.name)
    if header.strip().casefold() in table.by_name:
        column = table.by_name[header.strip().casefold()]
        return column, unit_in_name(column), "its own name"
    own = _own_names(table.name)
    for text, unit_text in _readings(header):
        columns = words.get(text, ())
        if table.name == "survey" and text in BARE_RISES and delta_basis:
            columns = (table.by_name[f"rise_{delta_basis}_k"],)
        if unit_text is None:
            if text in own:
                return own[text], unit_in_name(own[text]), "its own name"
            if columns and not (len(columns) > 1 and columns[0].quantity is None):
                return columns[0], None, "a synonym"
            continue
        for column in columns:
            if column.quantity and (unit := find_unit(unit_text, column.quantity)):
                return column, unit, "a synonym with a unit"
    bracketless = fold(_BRACKET.sub(" ", header))
    if bracketless != fold(header):
        columns = words.get(bracketless, ())
        if columns and not columns[0].quantity:
            return columns[0], None, "a synonym"
    return None


def _is_bare_rise(header: str) -> bool:
    return any(text in BARE_RISES for text, _ in _readings(header))


def match(grid: Grid, row: int, table: Table, read_options: ReadOptions) -> Headers:
    """Every header of one row, understood for one table."""
    mapping = {" ".join(k.casefold().split()): v for k, v in read_options.mapping.items()}
    headers = Headers(table, row, [], {})
    for position, header in enumerate(grid.cells.iloc[row].astype(str)):
        header = " ".join(header.replace("\n", " ").split())
        if not header:
            continue
        target = mapping.get(header.casefold())
        if target == IGNORE or (target and ":" in target):  # a phase: intake/wide reads it
            headers.unknown[position] = header
            continue
        if target is not None:
            meaning: tuple[Column, str | None, str] | None = _mapped(header, target, table)
        elif table.name in tables_that_know(header):
            meaning = understand(header, table, read_options.delta_basis)
        else:
            meaning = None
        if meaning:
            headers.matches.append(Match(position, header, *meaning))
        else:
            headers.unknown[position] = header
            if table.name == "survey" and _is_bare_rise(header):
                headers.questions.append(Question("a rise over what?", *DELTA_BASIS, grid.file, grid.sheet, header))
    _settle_doubles(headers, grid)
    return headers


def _mapped(header: str, target: str, table: Table) -> tuple[Column, str | None, str]:
    if target not in table.by_name:
        raise WrongUsage(
            f"the mapping names a column {target!r}; table {table.name} has none.",
            column=header,
            hint=nearest(target, list(table.by_name)),
        )
    column = table.by_name[target]
    unit = None
    if column.quantity:
        units = (find_unit(text, column.quantity) for _, text in _readings(header) if text)
        unit = next((unit_found for unit_found in units if unit_found), None)
    return column, unit, "the mapping"


def _settle_doubles(headers: Headers, grid: Grid) -> None:
    """Where two headers mean one column the stronger stays; two alike are a question."""
    strength = {"the mapping": 3, "its own name": 2, "a synonym with a unit": 1, "a synonym": 0}
    by_column: dict[str, list[Match]] = {}
    for meant in headers.matches:
        by_column.setdefault(meant.column.name, []).append(meant)
    for name, all_ in by_column.items():
        if len(all_) == 1:
            continue
        all_.sort(key=lambda m: -strength[m.how])
        measured = all_[0].column.quantity is not None and all_[0].how != "the mapping"
        if strength[all_[0].how] == strength[all_[1].how] or measured:
            both = " and ".join(repr(m.header) for m in all_)
            line = f'mapping = {{ "{all_[0].header}" = "{name}", "{all_[1].header}" = "{IGNORE}" }}'
            if all_[0].header.casefold() == all_[1].header.casefold():
                line = "# rename one of the two headers in the file"
            headers.questions.append(
                Question(
                    f"headers {both} both look like {name}.",
                    "--map HEADER=COLUMN for each",
                    line,
                    grid.file,
                    grid.sheet,
                )
            )
        for weaker in all_[1:]:
            headers.matches.remove(weaker)
            headers.unknown[weaker.position] = weaker.header


def find(grid: Grid, table: Table, read_options: ReadOptions) -> Headers | None:
    """The header row of a grid for one table.

    Of the first rows the one that fits best; or an earlier one that is complete and about as good,
    so that rows under a first header are never taken for titles of a second.
    """
    rows = []
    for row in range(min(HEADER_WITHIN_ROWS, len(grid.cells))):
        headers = match(grid, row, table, read_options)
        if headers.matches:
            rows.append(headers)
        if len(headers.matches) > 2 and not headers.lacking and not headers.unknown:
            break  # every word of it is a column we know: nothing below can fit better
    if not rows:
        return None
    best = max(rows, key=_fit)
    enough = len(best.matches) / 2
    complete = (h for h in rows if not h.lacking and len(h.matches) >= enough)
    return next(complete, best)


def _fit(headers: Headers) -> tuple[int, int, int]:
    return len(headers.names) - 2 * len(headers.lacking), len(headers.matches), -headers.row


def explain_lack(headers: Headers | None, grid: Grid, table: Table) -> UnusableInput:
    """The sentence for a file that lacks a required column."""
    lacking = headers.lacking if headers else [c for c in table.columns if c.required]
    parts = []
    for column in lacking:
        looked = ", ".join((column.name, *column.synonyms[:6]))
        parts.append(f"no column {column.name} (looked for: {looked})")
    row = headers.row if headers else _first_row(grid)
    cells = [str(c).strip() for c in grid.cells.iloc[row]] if len(grid.cells) else []
    shown = ", ".join(repr(header) for header in cells if header) or "none"
    return UnusableInput(
        f"as table {table.name}: {'; '.join(parts)}. Headers found: {shown}.",
        file=grid.file,
        sheet=grid.sheet or None,
        line=int(grid.line[row]) if len(grid.line) else None,
        hint="Rename the header or give a mapping.",
        toml="mapping = { " + ", ".join(f'"YOUR HEADER" = "{c.name}"' for c in lacking) + " }",
    )


def _first_row(grid: Grid) -> int:
    filled = (grid.cells.map(lambda cell: bool(str(cell).strip()))).sum(axis=1)
    return int(filled.head(HEADER_WITHIN_ROWS).to_numpy().argmax()) if len(filled) else 0

"""Rows of a sheet that are no record: titles, headers, blanks, totals. Each is listed, none is lost."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riskscope.intake.cells.numbers import OVER_RANGE
from riskscope.intake.cells.parsed import is_any_word, is_filled
from riskscope.intake.layout.headers import Headers, Match, fold, understand
from riskscope.schema import Column
from riskscope.schema.tables import WHY
from riskscope.units import find_unit

STATISTICS = frozenset({"average", "avg", "mean", "median", "max", "min", "maximum", "minimum"})
TOTAL_PLACES = ("site", "equipment", "circuit", "connection_c")  # a point or side tells readings of a joint apart
SIGNS = (",", ";", "\t", r"\|")  # between the cells of a line of text
A_DAY = r"\d[-/.]\d{1,2}[-/.]\d"
UNIT = re.compile(r"\s*[(\[][^()\[\]]*[)\]]$|[\s,]+(°\s?[cf]|[ckfa%]|n·?m|lbf·?(in|ft))$")  # behind a name
OTHER_HEAD = "header of other columns"
MOST_OF_A_SENTENCE = 4  # cells
UNIT_WORDS = frozenset({"unit", "units", "einheit", "einheiten"})
DEGREES = (
    r"(?i)[°º]\s?([cfk])\b|℃|\b(?:in|deg\.?|degrees|here|units?:?|temp\w*\s*(?:unit)?\s*[=:]?)\s*\(?([cfk])\s*\)?\s*(?:[.,;:]|$)"
    r"|\b(?:temp\w*|readings?|values?|camera|units?)\b.*?\b(?:in|are|is|to|on)\s+([cfk])\b|\b(c)el[sc]ius|\b(c)entigrade|\b(f)ahrenheit|\b(k)elvin"
)
OF_TORQUE = r"(?i)\b(?:n[.·-]?m|newton|lbf?[.·-]?(?:in|ft)|in[.·-]?lbf?|ft[.·-]?lbf?)\b"
A_VALUE_WITH_UNIT = (
    r"(?i)\d\s*(?:[°º]\s?[cfk]\b|℃|(?:deg\.?|degrees)\s?[cfk]\b|n[.·-]?m\b|lbf?[.·-]?(?:in|ft)\b|(?:in|ft)[.·-]?lbf?\b)"
)
OF_UNIT = r"\s?[°ºckfnmlbit·.%a-]{0,7}"
A_NUMBER = r"(?i)(?:[<>≤≥~≈+±]|ca\.?|approx\.?|about)?\s*[-−]?[.,]?\d.*"
NO_NUMBER = rf"(?i)\d+ ?(of ?\d.*|pages?|sheets?)|.*{A_DAY}.*"  # the number of a page, a day
OFF_SCALE = rf"(?i)[<>≤≥]\s*[-−\d].*|(?:{OVER_RANGE}){OF_UNIT}"
TOTAL_WORDS = STATISTICS | {"total", "totals", "sum", "count", "subtotal", "sub-total", "sub total", "grand total"}


def set_aside(cells: pd.DataFrame, headers: Headers) -> NDArray[np.object_]:
    """Why a row of clean cells is no record: "" where it is one."""
    filled, says = np.zeros(len(cells), dtype=int), np.zeros(len(cells), dtype=bool)
    evidence = set(cells.columns) - {match.position for match in headers.matches if not _is_evidence(match.column)}
    evidence -= {position for position, header in headers.unknown.items() if header == WHY}
    for name in cells.columns:
        has = is_filled(cells[name])
        filled += has
        says |= has if name in evidence else False
    aside = np.full(len(cells), "", dtype=object)
    rows = np.arange(len(cells))
    aside[rows < headers.row] = "above the header"
    aside[headers.row] = "header"
    aside[filled == 0] = "blank"
    for row in rows[(aside == "") & (rows > headers.row) & _may_be_heads(cells, headers)]:
        if all(
            _is_said(_cell(cells, row, match), _cell(cells, headers.row, match), match, headers)
            for match in headers.matches
        ) and not _is_in_other_units(cells, row, headers):
            aside[row] = "repeated header"
    aside[(aside == "") & (rows > headers.row) & _are_units(cells, headers)] = "units"
    by_name = {match.column.name: match.position for match in headers.matches}
    id_name = headers.table.required[0]
    if id_name in by_name:
        named = is_any_word(cells[by_name[id_name]], TOTAL_WORDS, ":.")
        unnamed = is_any_word(cells[by_name[id_name]], frozenset({""}), ":.")
        total = named | unnamed
        for other in headers.table.required[1:]:
            cell = cells[by_name[other]]
            total &= ~is_filled(cell) | is_any_word(cell, TOTAL_WORDS, ":.")
        labels = {match.position for match in headers.matches if match.column.name in TOTAL_PLACES}
        labels |= set(range(by_name[id_name] + 1))
        heats = [match.position for match in headers.matches if match.column.reading]
        words = _is_labelled_total(cells, unnamed & (filled > 0), labels)
        figures = np.logical_or.reduce([is_any_word(cells[name], STATISTICS, ":.") for name in labels])
        sums = (aside == "") & total & (words | named)
        records = ~total & (rows > headers.row)
        beyond = _is_beyond(cells[heats], sums & figures, records) | _is_off_scale(cells[heats], sums)
        aside[sums & ~beyond] = "totals"
        only = filled == 1
        first_cell = is_filled(cells[cells.columns[0]])
        lone = (aside == "") & only & first_cell & (rows > headers.row) & ~_is_value(cells, headers)
        if len(headers.matches) > 2 and by_name[id_name] != 0:
            aside[lone] = "a line of text"
    if len(headers.table.required) > 1 and evidence:
        aside[(aside == "") & ~says & ~are_lines(cells, filled == 1)] = "not filled in"
    return aside


def _is_value(cells: pd.DataFrame, headers: Headers) -> NDArray[np.bool_]:
    """Rows whose first cell holds a value of its column, that says more than where a connection is."""
    first = next((match for match in headers.matches if match.position == cells.columns[0]), None)
    if first is None or not _is_evidence(first.column):
        return np.zeros(len(cells), dtype=bool)
    if first.column.is_number:
        is_number = cells[first.position].str.fullmatch(f"{OFF_SCALE}|{A_NUMBER}")
        return (is_number & ~cells[first.position].str.fullmatch(NO_NUMBER)).to_numpy(dtype=bool)
    words = {word.casefold() for name, others in (first.column.choices or {}).items() for word in (name, *others)}
    return is_any_word(cells[first.position], frozenset(words))


def are_lines(cells: pd.DataFrame, among: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Among some rows those of which one cell holds a line, with a day in it, that was to be parted by another sign."""
    made = np.zeros(len(cells), dtype=bool)
    rows = cells[among]
    line = rows.agg("".join, axis=1) if len(rows) else pd.Series(dtype="str")
    parted = np.logical_or.reduce([line.str.count(sign) >= 2 for sign in SIGNS])
    made[among] = parted & line.str.contains(A_DAY)
    return made


def _is_evidence(column: Column) -> bool:
    """Whether a cell of the column says more than where a connection is: a sheet to fill in comes with that."""
    return not (column.place or column.kind == "id" or column.name == "rated_a")


def _is_labelled_total(cells: pd.DataFrame, among: NDArray[np.bool_], labels: Collection[int]) -> NDArray[np.bool_]:
    """Among some rows, that say no id, those that begin with a word for a total, in a column that says none elsewhere
    and stands before the id or names a place (`labels`).

    A row under a merged id that says "max" behind its temperature, or as the rows with an id say "avg", is a reading.
    So is each that says "max" where one stands between rows with an id: the statistics of a sheet stand at its end.
    """
    total, begun = np.zeros(len(cells), dtype=bool), ~among
    if among.any():
        ends = np.arange(len(cells)) > np.flatnonzero(~among).max(initial=-1)
        for name in cells.columns:
            says, figure = (is_any_word(cells[name], words, ":.") for words in (TOTAL_WORDS, STATISTICS))
            between = (~begun & figure & ~ends).any()
            if name in labels:
                total |= ~begun & says & ~says[~among].any() & ~(figure & between)
            begun |= is_filled(cells[name])
    return total


def _is_beyond(cells: pd.DataFrame, among: NDArray[np.bool_], records: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Rows, of some, with a temperature above all of the records: no figure of theirs is so."""
    made = np.zeros(len(cells), dtype=bool)
    for name in cells.columns if among.any() else ():
        figure = cells[name].str.extract(r"(-?[0-9]+(?:[.,][0-9]+)?)", expand=False)
        number = pd.to_numeric(figure.str.replace(",", "."))
        made |= among & (number > number[records].max()).to_numpy(dtype=bool)
    return made


def _is_off_scale(cells: pd.DataFrame, among: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Rows, of some, with a temperature that is off the instrument's scale: no figure of any record is so."""
    made = np.zeros(len(cells), dtype=bool)
    for name in cells.columns if among.any() else ():
        made[among] |= cells.loc[among, name].str.fullmatch(OFF_SCALE).to_numpy(dtype=bool)
    return made


def other_heads(cells: pd.DataFrame, headers: Headers, aside: NDArray[np.object_]) -> NDArray[np.int64]:
    """The row of the header that each row stands below, where it is another than that of the sheet; else −1. Those that
    are no record are set aside.

    A row with the names of three columns, or of all there are, that is no repeated header says them in another order,
    or in another unit, as a line of other units does, or a sentence: what is below it is not what the header of the
    sheet says.
    """
    rows = np.arange(len(cells))
    made = np.full(len(cells), -1)
    others = rows[(aside == "") & (rows > headers.row) & _may_be_heads(cells, headers)]
    said = [match for match in headers.matches if match.column.quantity]
    units = [row for row in rows[aside == "units"] if _has_other_unit(cells.iloc[row], said)]
    lines = rows[(rows > headers.row) & _may_be_sentences(cells, headers, aside)]
    turns = lines[_turn_to_other_unit(cells.iloc[lines], said)]
    if not (len(others) or units or len(turns)):
        return made
    ends = {row for row in rows[aside == "repeated header"] if _says_all_units(cells, row, headers)}
    for row in sorted([*others, *units, *turns, *ends]):
        made[row + 1 :] = -1 if row in ends else row
    aside[[*others, *units]] = OTHER_HEAD
    return made


def _says_all_units(cells: pd.DataFrame, row: int, headers: Headers) -> bool:
    """Whether a repeated header says the unit of each column that the header of the sheet says."""
    said = [match for match in headers.matches if match.unit is not None]
    meant = [understand(_cell(cells, row, match), headers.table) for match in said if _cell(cells, row, match)]
    return bool(meant) and all(column is not None and column[1] is not None for column in meant)


def _may_be_sentences(cells: pd.DataFrame, headers: Headers, aside: NDArray[np.object_]) -> NDArray[np.bool_]:
    """Rows of one cell, or of a few that say neither whose they are nor where, nor a day or a figure in a column of
    such."""
    by = [match for match in headers.matches if not _is_evidence(match.column) or match.column.kind == "date"]
    filled = (cells != "").sum(axis=1).to_numpy()
    placed = np.logical_or.reduce([(cells[match.position] != "").to_numpy() for match in by])
    few = (filled == 1) | ((filled > 1) & (filled <= MOST_OF_A_SENTENCE) & ~placed)
    few &= np.isin(aside, ("", "a line of text", "not filled in"))
    for match in headers.matches if few.any() else ():
        if match.column.quantity:
            is_value = cells.loc[few, match.position].str.fullmatch(f"{OFF_SCALE}|{A_NUMBER}")
            few[few] &= ~is_value.to_numpy(dtype=bool)
    return few


def _may_be_heads(cells: pd.DataFrame, headers: Headers) -> NDArray[np.bool_]:
    """Rows that say the names of three columns, or of all there are, in whatever unit, one where the header says its
    first or second, or one it cannot do without."""
    names = frozenset(_cell(cells, headers.row, match).strip().lower() for match in headers.matches)
    some = [match for match in headers.matches[2:] if match.column.name in headers.table.required]
    made = np.logical_or.reduce([is_any_word(cells[match.position], names) for match in (*headers.matches[:2], *some)])
    rows = cells[made]
    if len(rows):
        bare = frozenset(UNIT.sub("", name) for name in names)
        said = (is_any_word(rows[name].str.lower().str.replace(UNIT, "", regex=True), bare) for name in rows.columns)
        made[made] = sum(words.astype(int) for words in said) >= min(3, len(names))
    return made


def _cell(cells: pd.DataFrame, row: int, match: Match) -> str:
    return str(cells.iloc[row, match.position])


def _are_units(cells: pd.DataFrame, headers: Headers) -> NDArray[np.bool_]:
    """Rows of which every cell that is filled is a unit of its column, but for signs, the word for units, and the phase
    of a row that was made of a wide one."""
    made, any_unit = np.ones(len(cells), dtype=bool), np.zeros(len(cells), dtype=bool)
    by_position = {match.position: match for match in headers.matches}
    for name in cells.columns:
        text, match = cells[name], by_position.get(name)
        if match is not None and match.column.name == "phase":
            continue
        sign = ~text.str.contains(r"\w", regex=True).to_numpy(dtype=bool) | is_any_word(text, UNIT_WORDS, ":.")
        among = text[made & ~sign].unique() if match is not None and match.column.quantity else ()
        words = frozenset(cell.lower() for cell in among if match is not None and _unit_of(cell, match))
        is_unit = is_any_word(text, words) if words else np.zeros(len(text), dtype=bool)
        made &= sign | is_unit
        any_unit |= is_unit
    return made & any_unit


def _unit_of(cell: str, match: Match) -> str | None:
    """The unit that a cell says in the column of a quantity; None where it says none."""
    unit = find_unit(cell.strip("()[] "), match.column.quantity) if match.column.quantity else None
    return match.unit if {unit, match.unit} == {"K", "°C"} and match.column.quantity == "difference" else unit


def _is_in_other_units(cells: pd.DataFrame, row: int, headers: Headers) -> bool:
    """Whether a row that repeats the header, but not all its units, stands beside a line that says others, or any in a
    sentence."""
    of_line = line_of_units(cells, headers)
    units = with_units(headers, cells, of_line).matches if of_line >= 0 else headers.matches
    said = [match for match in units if match.unit is not None and _cell(cells, row, match)]
    if of_line < 0 and all(fold(_cell(cells, row, match)) == fold(_cell(cells, headers.row, match)) for match in said):
        return False
    filled = np.flatnonzero((cells != "").any(axis=1).to_numpy())
    beside = [*filled[filled < row][-2:], *filled[filled > row][:1]]
    return any(_says_other_unit(cells.iloc[line], said) for line in beside)


def _says_other_unit(line: pd.Series, said: Sequence[Match]) -> bool:
    """Whether a line has the sign of another unit where a column is in one, or is a sentence with one in it."""
    if (line != "").sum() <= MOST_OF_A_SENTENCE and _names_other_unit(" ".join(line[line != ""]), said):
        return True
    return _has_other_unit(line, said)


def _has_other_unit(line: pd.Series, said: Sequence[Match]) -> bool:
    """Whether a line has the sign of another unit where a column is in one."""
    return any(_unit_of(str(line[match.position]), match) not in (None, match.unit) for match in said)


def _turn_to_other_unit(lines: pd.DataFrame, said: Sequence[Match]) -> NDArray[np.bool_]:
    """Which sentences that stand alone say another unit; a value with its unit says none."""
    text = pd.Series("", lines.index, dtype="str")
    for name in lines if len(lines) else ():
        text = text + " " + lines[name]
    which, every = pd.factorize(text.str.replace(A_VALUE_WITH_UNIT, " ", regex=True))
    return np.array([_names_other_unit(words, said) for words in every], dtype=bool)[which]


def _names_other_unit(text: str, said: Sequence[Match]) -> bool:
    """Whether a sentence has a unit in it that no column has that is in one of its kind; kelvins are of rises in °C.
    Where no unit is known of a column its cells say it, or it is asked for."""
    units = {f"°{letter.upper()}" for words in re.findall(DEGREES, text) for letter in words if letter}
    temperatures = {match.unit for match in said if match.column.quantity == "temperature" and match.unit}
    units -= {"°K"} if "°C" in temperatures else set()
    torques = {match.unit for match in said if match.column.quantity == "torque" and match.unit}
    of_torque = {find_unit(word, "torque") for word in re.findall(OF_TORQUE, text)} - {None}
    return bool((temperatures and units - temperatures) or (torques and of_torque - torques))


def line_of_units(cells: pd.DataFrame, headers: Headers) -> int:
    """The row of a line of units that is the first below the header; −1 where that is another."""
    filled = np.flatnonzero((cells.iloc[headers.row + 1 :] != "").any(axis=1).to_numpy())
    row = headers.row + 1 + int(filled[0]) if len(filled) else -1
    return row if row >= 0 and _are_units(cells.iloc[row : row + 1], headers)[0] else -1


def with_stated(headers: Headers, temperature: str | None) -> Headers:
    """The headers with the unit that is stated of the file, of temperatures whose header says none."""
    unit = find_unit(temperature, "temperature") if temperature else None
    return replace(
        headers,
        matches=[
            replace(match, unit=unit) if match.column.quantity == "temperature" and not match.unit else match
            for match in headers.matches
        ],
    )


def with_units(headers: Headers, cells: pd.DataFrame, row: int) -> Headers:
    """The headers with the units of a row, where they say none."""
    said = [
        match if match.unit else replace(match, unit=_unit_of(_cell(cells, row, match), match))
        for match in headers.matches
    ]
    return replace(headers, matches=said)


def _is_said(cell: str, own: str, match: Match, headers: Headers) -> bool:
    """Whether a cell of a repeated header says what that of the sheet does, a column and its unit, or nothing."""
    if cell == "" or fold(cell) == fold(own):
        return True
    meant = understand(cell, headers.table)
    if meant is None:
        return match.column.quantity is None
    return meant[0] is match.column and meant[1] in (None, match.unit)

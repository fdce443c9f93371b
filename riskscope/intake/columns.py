"""One column of a sheet at a time: text cells to values, with what is assumed and what is open."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pyarrow as pa
from numpy.typing import NDArray
from pyarrow import compute as pc

from riskscope.intake.cells.choices import choices
from riskscope.intake.cells.dates import dates, day_order, times
from riskscope.intake.cells.numbers import CONVERTED_DIGITS, converted, decimal_evidence, numbers, split_range
from riskscope.intake.cells.parsed import Parsed, given, is_ditto, is_filled, is_sign, missing, quoted
from riskscope.intake.layout.headers import Match
from riskscope.intake.sheet import Work
from riskscope.schema import Column
from riskscope.schema.common import ID_PARTS
from riskscope.schema.names import names_nobody, names_nothing
from riskscope.schema.notes import NOT_GIVEN
from riskscope.schema.tables import EXTRA
from riskscope.units import UNITS

# What settles a question: the option, and the line for riskscope.toml.
DECIMAL = ("--decimal point or --decimal comma", 'decimal = "comma"  # or "point"')
DAY_FIRST = ("--day-first or --month-first", "day_first = true  # or false")
TEMPERATURE_UNIT = ("--temperature-unit C, F or K", 'temperature_unit = "C"  # or "F" or "K"')
TORQUE_UNIT = ("--torque-unit, such as N·m or lbf·in", 'torque_unit = "N·m"  # or "lbf·in" …')
SAYS_WHERE = (*ID_PARTS, "group", "isolated_by")  # a cell of these that cannot be read is no empty one
MOST_AS_FRACTION = 1.5  # of full load
LOAD = ("--load percent or --load fraction", 'load = "percent"  # or "fraction"')


def decimal_sign(work: Work) -> str:
    """Decimal sign of the file: as stated, as its number cells show, or a question."""
    if work.read_options.decimal:
        return work.read_options.decimal
    columns = [work.own_text(m) for m in work.headers.matches if m.column.kind in {"number", "integer", "range"}]
    seen = decimal_evidence(columns, semicolons=work.grid.separator == ";")
    if work.grid.mended:  # the file's own sign counts, where it shows one
        own = decimal_evidence([text[~work.is_mended[work.is_own]] for text in columns], semicolons=True)
        seen = own & {"comma", "point"} or seen
    if "comma" in seen and "point" in seen and not work.grid.separator and work.grid.sheet:
        work.note("assumed", "numbers kept as text read with a decimal comma, typed numbers as they are")
        return "either"
    if "comma" in seen and "point" in seen:
        work.ask("numbers are written both with a decimal point and with a decimal comma.", *DECIMAL)
    elif seen == {"unclear"}:
        work.ask("numbers like 1,234 or 1.234 can be read two ways.", *DECIMAL)
    if "comma" in seen:
        work.note("assumed", "numbers read with a decimal comma")
        return "comma"
    return "point"


def temperature_unit(work: Work) -> str | None:
    """Unit of temperatures and rises whose header and cells state none."""
    if work.read_options.temperature_unit:
        return work.read_options.temperature_unit
    stated = {match.unit for match in work.headers.matches if match.column.quantity == "temperature" and match.unit}
    return stated.pop() if len(stated) == 1 else None


def read_column(work: Work, match: Match, decimal: str, file_unit: str | None) -> None:
    """One column of text as values, faults, notes and questions."""
    column, text = match.column, work.text(match)
    if column.kind in {"id", "text", "file"}:
        work.frame[column.name] = _texts(work, match)
        if column.kind == "id" and (ditto := is_ditto(text) | is_sign(text)).any():
            _refuse_ditto(work, match, ditto)
        return
    parsed = _parsed(work, match, decimal, file_unit)
    work.frame.update(parsed.values)
    for mask, words in parsed.faults:
        said = match.header + " " + text.map(quoted) + " " + words
        if column.lenient:
            work.note("warning", said[mask].iloc[0] + NOT_GIVEN, match.header, mask)
            work.frame[EXTRA + column.name] = text.where(mask)
        else:
            work.fault(mask, said)
    for note in parsed.notes:
        work.note("assumed", note, match.header)
    if parsed.question:
        work.ask(parsed.question, *DAY_FIRST, match.header)


def _refuse_ditto(work: Work, match: Match, ditto: NDArray[np.bool_]) -> None:
    """A sign for what stands above is no name: its row is refused where that says whose it is."""
    column, text = match.column, work.text(match)
    work.frame[column.name] = work.frame[column.name].mask(ditto)
    words = pd.Series(
        np.where(is_sign(text) & ~is_ditto(text), " is no name", " stands for the cell above"), text.index
    )
    said = match.header + " " + text.map(quoted) + words
    is_site = column.name == "site" and (work.table.name != "survey" or work.read_options.site is not None)
    if column.required or column.name in SAYS_WHERE or is_site:
        work.fault(ditto, said + ": write that out")
    else:
        work.note("warning", said[ditto].iloc[0] + NOT_GIVEN, match.header, ditto)


def _parsed(work: Work, match: Match, decimal: str, file_unit: str | None) -> Parsed:
    """The cells of a column that is no plain text, by its kind and quantity."""
    column, text = match.column, work.text(match)
    if column.kind in {"choice", "flag"}:
        return choices(column, text)
    if column.kind == "date":
        of_file = work.in_file(match), work.tomorrow.year, work.is_own
        parsed = dates(column, text, work.read_options.day_first, *of_file)
        if parsed.minutes is not None and column.name == _first_date(work):
            _time_from_dates(work, parsed.minutes)
        return parsed
    if column.kind == "time":
        parsed = times(column, text, work.frame.get(_first_date(work)), _order_of_dates(work))
        if column.name in work.frame:
            own, dated = parsed.values[column.name], work.frame[column.name]
            clash = ((own - dated).abs() >= 1).to_numpy(dtype=bool)
            parsed.values[column.name] = own.where(own.notna(), dated).mask(clash)
            if clash.any():
                work.note("warning", "another time than with the date of the row: not known", match.header, clash)
        return parsed
    if column.quantity == "torque":
        return _torque(work, match, decimal)
    if column.quantity in {"temperature", "difference"}:
        return _degrees(work, match, decimal, file_unit)
    if column.name == "load_pct":
        return _load(work, match, decimal)
    unit = match.unit or (next(iter(units_of(column))) if column.quantity else None)
    return numbers(column, text, unit, decimal)[0]


def units_of(column: Column) -> list[str]:
    """The units of a column's quantity, the one used inside first."""
    return list(UNITS[column.quantity]) if column.quantity else []


def _texts(work: Work, match: Match) -> pd.Series:
    column, text = match.column, work.text(match)
    if column.kind == "id":
        if not pc.all(pc.string_is_ascii(pa.array(text))).as_py():
            text = text.str.normalize("NFC")  # an accent is written in two ways that look alike
        if pc.any(pc.match_substring_regex(pa.array(text), r"[\t\n\r]|  ")).as_py():
            single = text.str.replace(r"\s+", " ", regex=True)
            work.note(
                "merge",
                f"{column.name} with doubled spaces read with one",
                match.header,
                (single != text).to_numpy(dtype=bool),
            )
            text = single
        return given(text, ~missing(text))
    return given(text, ~_no_answer(work, match) if column.is_answer else is_filled(text))


def _no_answer(work: Work, match: Match) -> NDArray[np.bool_]:
    """Cells that say nothing of who or why; a word is said to be read so."""
    column, text = match.column, work.text(match)
    nothing = (names_nothing(text) if column.says_why else names_nobody(text)) | is_ditto(text)
    more = nothing & ~missing(text)
    said = match.header + " " + text.map(quoted) + " says nothing"
    if more.any() and column.required:
        work.fault(more, said + ": write who, or why")
    elif more.any():
        work.note("warning", said[more].iloc[0] + NOT_GIVEN, match.header, more)
    return nothing


def _first_date(work: Work) -> str:
    return next(column.name for column in work.table.columns if column.kind == "date")


def _order_of_dates(work: Work) -> bool | None:
    """Whether the dates of the rows begin with their day; None where nothing says so."""
    if work.read_options.day_first is not None:
        return work.read_options.day_first
    texts = [work.own_text(match) for match in work.headers.matches if match.column.name == _first_date(work)]
    return {"day": True, "month": False}.get((day_order(texts[0]) if texts else None) or "")


def _time_from_dates(work: Work, minutes: pd.Series) -> None:
    name = next((c.name for c in work.table.columns if c.kind == "time"), None)
    if name is not None:
        work.frame[name] = minutes
        work.note("assumed", f"{name} taken from the time written with the date")


def _degrees(work: Work, match: Match, decimal: str, file_unit: str | None) -> Parsed:
    """A temperature or a rise: unit of the cell, else the header, else the file, else a question."""
    column, text = match.column, work.text(match)
    unit = match.unit
    if unit is None and file_unit is not None:
        unit = "K" if column.quantity == "difference" and file_unit != "°F" else file_unit
        if work.read_options.temperature_unit is None:
            work.note("assumed", f"no unit in the header: read in the file's {file_unit}", match.header)
    stated = work.read_options.temperature_unit
    if match.unit and stated and match.unit != stated and column.quantity == "temperature":
        work.note("warning", f"the header says {match.unit}: the stated {stated} is not used for it", match.header)
    parsed, own_unit = numbers(column, text, unit, decimal)
    if unit is None:
        values = parsed.values[column.name]
        open_ = values.notna().to_numpy() & ~own_unit
        if open_.any():
            work.ask("no temperature unit in header or cells.", *TEMPERATURE_UNIT, match.header)
    return parsed


def _torque(work: Work, match: Match, decimal: str) -> Parsed:
    """A torque, or a range of torques: unit of the cell, the header, the row, else the file."""
    column, text = match.column, work.text(match)
    unit_match = next((m for m in work.headers.matches if m.column.name == column.unit_column), None)
    row_unit = pd.Series(match.unit or work.read_options.torque_unit, index=text.index, dtype=object)
    parsed, unstated = Parsed(), np.zeros(len(text), dtype=bool)
    if unit_match is not None:
        own = choices(unit_match.column, work.text(unit_match)).values["torque_unit"]
        contrary = (own.notna() & (own != match.unit)).to_numpy() & (match.unit is not None)
        parsed.fault(contrary, f"is in {match.unit} by its header and in " + own)
        row_unit = own.where(own.notna(), row_unit)
    cells = split_range(text) if column.kind == "range" else (text,)
    for number, (name, part) in enumerate(zip(column.fills, cells, strict=True)):
        if number and part is cells[0]:
            parsed.values[name] = parsed.values[column.fills[0]]
            break
        end, own_unit = numbers(column, part, None, decimal)
        values = end.values[column.name].to_numpy(copy=True)
        for unit in row_unit.dropna().unique():
            rows = (row_unit == unit).to_numpy() & ~own_unit
            values[rows] = converted(values[rows], "torque", unit)
        parsed.values[name] = pd.Series(values, index=text.index)
        if number == 0:
            parsed.faults += end.faults
        unstated |= ~np.isnan(values) & ~own_unit & row_unit.isna().to_numpy()
    if unstated.any() and unit_match is None:
        words = "no torque unit in header, cells or a torque_unit column."
        work.ask(words, *TORQUE_UNIT, match.header)
    elif unstated.any():
        parsed.fault(unstated, "has no torque unit")
    if column.kind == "range":
        low, high = (parsed.values[name].to_numpy() for name in column.fills)
        upside_down = low > high
        parsed.fault(upside_down, "ends below where it begins")
    return parsed


def _load(work: Work, match: Match, decimal: str) -> Parsed:
    """Load in percent; a column of fractions is known by its values, a mix is a question."""
    column, text = match.column, work.text(match)
    parsed, own_unit = numbers(column, text, None, decimal)
    values = parsed.values[column.name]
    plain = values.to_numpy()[~own_unit & values.notna().to_numpy() & work.is_own]
    way = work.read_options.load
    if way is None and len(plain):
        largest, smallest = plain.max(), plain.min(where=plain > 0, initial=np.inf)
        if largest <= MOST_AS_FRACTION:
            way = "fraction"
            if largest > 0:
                work.note("assumed", "read as fractions of full load: no value is above 1.5", match.header)
        elif smallest > 3:
            way = "percent"
        else:
            words = "percent or fractions of full load? Its values allow both."
            work.ask(words, *LOAD, match.header)
    tiny = (values > 0).to_numpy() & (values <= MOST_AS_FRACTION).to_numpy() & ~own_unit
    if way == "percent" and tiny.any():
        first = float(values.to_numpy()[tiny][0])
        words = (
            f"{int(tiny.sum()):,} up to 1.5 read as percent, such as {first:g} %: if it is a fraction, mend the cell"
        )
        work.note("warning", words, match.header, tiny)
    if way == "fraction":
        parsed.values[column.name] = values.where(own_unit, (values * 100.0).round(CONVERTED_DIGITS))
    return parsed

"""Rows of a sheet that are no record: titles, headers, blanks, totals. Each is listed, none is lost."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riskscope.intake.cells.parsed import is_any_word, is_filled
from riskscope.intake.layout.headers import Headers, fold
from riskscope.schema import Column
from riskscope.schema.tables import WHY

STATISTICS = frozenset({"average", "avg", "mean", "median", "max", "min", "maximum", "minimum"})
TOTAL_PLACES = ("site", "equipment", "circuit", "connection_c")  # a point or side tells readings of a joint apart
TOTAL_WORDS = STATISTICS | {"total", "totals", "sum", "count", "subtotal", "grand total"}


def set_aside(cells: pd.DataFrame, headers: Headers) -> NDArray[np.object_]:
    """Why a row of clean cells is no record: "" where it is one."""
    filled, says = np.zeros(len(cells), dtype=int), np.zeros(len(cells), dtype=bool)
    evidence = {match.position for match in headers.matches if _is_evidence(match.column)}
    evidence |= {position for position, header in headers.unknown.items() if header != WHY}
    for name in cells.columns:
        has = is_filled(cells[name])
        filled += has
        says |= has if name in evidence else False
    aside = np.full(len(cells), "", dtype=object)
    rows = np.arange(len(cells))
    aside[rows < headers.row] = "above the header"
    aside[headers.row] = "header"
    aside[filled == 0] = "blank"
    first = headers.matches[0].position
    for row in rows[(aside == "") & _folded_equal(cells[first], str(cells.iloc[headers.row, first]))]:
        if all(
            _same(str(cells.iloc[row, m.position]), str(cells.iloc[headers.row, m.position])) for m in headers.matches
        ):
            aside[row] = "repeated header"
    by_name = {match.column.name: match.position for match in headers.matches}
    id_name = headers.table.required[0]
    if id_name in by_name:
        named = is_any_word(cells[by_name[id_name]], TOTAL_WORDS, ":")
        unnamed = is_any_word(cells[by_name[id_name]], frozenset({""}), ":")
        total = named | unnamed
        for other in headers.table.required[1:]:
            cell = cells[by_name[other]]
            total &= ~is_filled(cell) | is_any_word(cell, TOTAL_WORDS, ":")
        labels = {match.position for match in headers.matches if match.column.name in TOTAL_PLACES}
        labels |= set(range(by_name[id_name] + 1))
        words = _is_labelled_total(cells, unnamed & (filled > 0), labels)
        aside[(aside == "") & total & (words | named)] = "totals"
        only = filled == 1
        first_cell = is_filled(cells[cells.columns[0]])
        lone = (aside == "") & only & first_cell & (rows > headers.row)
        if len(headers.matches) > 2 and by_name[id_name] != 0:
            aside[lone] = "a line of text"
    if len(headers.table.required) > 1 and evidence:
        aside[(aside == "") & ~says] = "not filled in"
    return aside


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
            says, figure = (is_any_word(cells[name], words, ":") for words in (TOTAL_WORDS, STATISTICS))
            between = (~begun & figure & ~ends).any()
            if name in labels:
                total |= ~begun & says & ~says[~among].any() & ~(figure & between)
            begun |= is_filled(cells[name])
    return total


def _folded_equal(column: pd.Series, header: str) -> NDArray[np.bool_]:
    return is_any_word(column, frozenset({header.strip().lower()}))


def _same(left: str, right: str) -> bool:
    return fold(left) == fold(right)

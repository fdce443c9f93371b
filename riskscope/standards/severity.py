"""Severity bands: published tables, or the user's own."""

from __future__ import annotations

import itertools
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from riskscope import standards
from riskscope.errors import UnusableInput, WrongUsage, nearest
from riskscope.units import Floats, edge

BASES = ("similar", "ambient")
DEFAULT = "neta-100.18"


@dataclass(frozen=True)
class Band:
    """One printed row: a rise from `from_k` to `up_to_k` (open if None) has this severity."""

    basis: str
    from_k: float
    from_inclusive: bool
    up_to_k: float | None
    severity: int
    meaning: str
    printed: str = ""
    status: str = "the user's own"


@dataclass(frozen=True)
class Criteria:
    """A severity table: its bands by basis, lowest first, and where it comes from."""

    name: str
    title: str
    edition: str
    bands: tuple[Band, ...]

    def of(self, basis: str) -> tuple[Band, ...]:
        """The bands of one basis, lowest first; empty where the table has none."""
        return tuple(band for band in self.bands if band.basis == basis)

    def has(self, basis: str) -> bool:
        return bool(self.of(basis))

    def severity(self, basis: str, rise_k: ArrayLike) -> Floats:
        """Severity of each rise by one basis.

        A band ends at its printed upper limit, inclusive; above it is the next; below the first is
        0; where printed edges overlap, the worse.

        Parameters
        ----------
        basis : str
            ``similar`` or ``ambient``.
        rise_k : array-like, shape (n,)
            [K]

        Returns
        -------
        ndarray of float, shape (n,)
            0 to 4; NaN where the rise is NaN or the table has no such basis.
        """
        rise = edge(rise_k)
        bands = self.of(basis)
        severity = np.where(np.isnan(rise) | (not bands), np.nan, 0.0)
        for band in bands:
            start = float(edge(band.from_k))
            inside = rise >= start if band.from_inclusive else rise > start
            severity = np.where(inside, float(band.severity), severity)
        return severity

    def worst_from_k(self, basis: str) -> float:
        """Lower limit of the worst band of a basis; NaN where the table has none. [K]"""
        bands = self.of(basis)
        return bands[-1].from_k if bands else float("nan")

    def band(self, basis: str, severity: int) -> Band | None:
        """The printed row with this severity, if the table prints one."""
        return next((band for band in self.of(basis) if band.severity == severity), None)


@lru_cache
def published() -> Mapping[str, Criteria]:
    """Every published table shipped, by name."""
    tables: dict[str, Criteria] = {}
    for row in standards.read("severity_bands"):
        band = Band(
            basis=row["basis"],
            from_k=float(row["from_k"]),
            from_inclusive=row["from_inclusive"] == "yes",
            up_to_k=float(row["up_to_k"]) if row["up_to_k"] else None,
            severity=int(row["severity"]),
            meaning=row["meaning"],
            printed=row["printed"],
            status=row["status"],
        )
        name = row["criteria"]
        before = tables[name].bands if name in tables else ()
        tables[name] = Criteria(name, row["title"], row["edition"], (*before, band))
    return tables


def load(name: str = DEFAULT, folder: Path | None = None) -> Criteria:
    """A severity table by its published name, or from a TOML file of the user's own.

    Raises
    ------
    WrongUsage
        If there is no such table.
    UnusableInput
        If the file cannot be read or its bands are not in order.
    """
    if name in published():
        return published()[name]
    path = (folder or Path()) / name
    if path.suffix != ".toml":
        known = sorted(published())
        raise WrongUsage(
            f"there is no severity table {name!r}; there are {', '.join(known)}, or a TOML file of your own.",
            hint=nearest(name, known),
        )
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise UnusableInput(f"cannot be read ({error.strerror}).", file=str(path)) from error
    except ValueError as error:
        raise UnusableInput(f"is not valid TOML: {error}.", file=str(path)) from error
    return parse(data, str(path))


def parse(data: Mapping[str, Any], file: str) -> Criteria:
    """A user's own table, checked for order, gaps and overlaps.

    Keys: ``name``, ``title``, ``edition`` and a list ``bands``, each with ``basis``, ``from_k``,
    ``up_to_k`` (left out for the last), ``severity`` 1 to 4, ``meaning`` and, for a band that
    begins at its lower limit, ``from_inclusive = true``.

    Raises
    ------
    UnusableInput
        With every fault found, one sentence each.
    """
    faults: list[str] = []
    bands: list[Band] = []
    entries = data.get("bands")
    if not isinstance(entries, list) or not entries:
        raise UnusableInput("a severity table needs a list of [[bands]].", file=file)
    unknown = set(data) - {"name", "title", "edition", "bands"}
    faults += [f"there is no use for {key!r}." for key in sorted(unknown)]
    for number, entry in enumerate(entries, 1):
        band = _band(entry, number, faults)
        if band:
            bands.append(band)
    for basis in BASES:
        faults += _order([band for band in bands if band.basis == basis], basis)
    if faults:
        raise UnusableInput(" ".join(faults), file=file)
    name = str(data.get("name", Path(file).stem))
    return Criteria(name, str(data.get("title", name)), str(data.get("edition", "the user's own")), tuple(bands))


def _band(entry: Any, number: int, faults: list[str]) -> Band | None:
    """One entry of the list as a band, or its faults added to the list."""
    before = len(faults)
    if not isinstance(entry, dict):
        faults.append(f"Band {number} is not a table: write [[bands]].")
        return None
    known = ["basis", "from_k", "up_to_k", "severity", "meaning", "from_inclusive"]
    faults += [
        f"Band {number}: there is no use for {key!r}. {nearest(key, known)}".rstrip()
        for key in entry
        if key not in known
    ]
    if entry.get("basis") not in BASES:
        faults.append(f"Band {number}: basis must be similar or ambient; got {entry.get('basis')!r}.")
    for key in ("from_k", "up_to_k"):
        value = entry.get(key)
        if value is None and key == "up_to_k":
            continue
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value < 1000:
            faults.append(f"Band {number}: {key} must be a rise above 0 K; got {value!r}.")
    if type(entry.get("severity")) is not int or entry["severity"] not in (1, 2, 3, 4):
        faults.append(f"Band {number}: severity must be 1 to 4; got {entry.get('severity')!r}.")
    if not isinstance(entry.get("meaning"), str):
        faults.append(f"Band {number}: meaning must be text.")
    if len(faults) > before:
        return None
    up_to = entry.get("up_to_k")
    return Band(
        entry["basis"],
        float(entry["from_k"]),
        bool(entry.get("from_inclusive", False)),
        None if up_to is None else float(up_to),
        entry["severity"],
        entry["meaning"],
    )


def _order(bands: list[Band], basis: str) -> list[str]:
    """What is wrong with the order of the bands of one basis."""
    faults = []
    for band in bands:
        if band.up_to_k is not None and band.up_to_k <= band.from_k:
            faults.append(f"The {basis} band from {band.from_k:g} K ends at {band.up_to_k:g} K.")
    for band, after in itertools.pairwise(bands):
        between = f"the {basis} bands from {band.from_k:g} K and {after.from_k:g} K"
        if after.from_k <= band.from_k or after.severity <= band.severity:
            faults.append(f"Not in order: {between} must rise in rise and in severity.")
        elif band.up_to_k is None or band.up_to_k > after.from_k:
            faults.append(f"Overlap: {between}.")
        elif band.up_to_k < after.from_k:
            faults.append(f"Gap: {between} leave {band.up_to_k:g} to {after.from_k:g} K open.")
    if bands and bands[-1].up_to_k is not None:
        faults.append(f"The last {basis} band must be open: leave out its up_to_k.")
    return faults

"""The public API: read, assess, rank, and an assessment that answers.

For notebooks::

    import riskscope

    a = riskscope.rank("demo_data", on="2026-06-01")
    a.ranking
    print(a.explain("MCC-2/F3/load/B"))
    a.report("survey", "reports")
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeAlias

import pandas as pd

from riskscope import files
from riskscope.analysis import assess as steps
from riskscope.analysis import assessment as data
from riskscope.errors import WrongUsage, nearest
from riskscope.intake.options import ReadOptions
from riskscope.intake.read import read_frames
from riskscope.jobs.rank import Request, terms
from riskscope.jobs.rank import rank as rank_files
from riskscope.jobs.rank import read as read_request
from riskscope.jobs.report import FORMATS, REPORTS, render, subject
from riskscope.results import story, tables, years
from riskscope.schema import TABLES
from riskscope.schema.assessment import COLUMNS
from riskscope.schema.notes import OFF_SCALE
from riskscope.schema.tables import Tables
from riskscope.settings import Settings
from riskscope.standards.severity import Criteria
from riskscope.words import codes
from riskscope.words.render import Units

Source: TypeAlias = str | Path | pd.DataFrame | Mapping[str, pd.DataFrame]
Day: TypeAlias = str | dt.date | None


class Assessment(data.Assessment):
    """An assessment with its lists, its stories and its reports.

    What it hands out is yours to change: it changes nothing in the assessment. Rows that were refused are
    in `rejected`, and counted where it is printed.

    Examples
    --------
    >>> import pandas as pd, riskscope
    >>> survey = pd.DataFrame({
    ...     "connection_id": ["F3-A", "F3-B", "F3-C"], "survey_date": "2026-05-04",
    ...     "connection_c": [62.0, 35.0, 34.0], "ambient_c": 30.0, "load_pct": 60.0,
    ...     "circuit": "F3", "phase": ["A", "B", "C"],
    ... })
    >>> a = riskscope.rank(survey, on="2026-06-01")
    >>> print(a.ranking[["rank", "connection_id", "severity", "action"]].to_string(index=False))
     rank connection_id  severity       action
        1          F3-A         4    retighten
        2          F3-B         1 check torque
        3          F3-C         0 check torque
    """

    @property
    def connections(self) -> pd.DataFrame:  # type: ignore[override]
        """Every connection known, see `columns`; a copy."""
        return self._frame("connections")

    @connections.setter
    def connections(self, frame: pd.DataFrame) -> None:
        self.__dict__["connections"] = frame

    @property
    def readings(self) -> pd.DataFrame:  # type: ignore[override]
        """Every reading that counts, of every survey; a copy."""
        return self._frame("readings")

    @readings.setter
    def readings(self, frame: pd.DataFrame) -> None:
        self.__dict__["readings"] = frame

    def _frame(self, name: str) -> pd.DataFrame:
        frame: pd.DataFrame = self.__dict__[name]
        return frame.copy(deep=False)  # copied when written to

    def __repr__(self) -> str:
        rejected = self.rejected
        off_scale = int(rejected["reason"].str.contains(OFF_SCALE).sum())
        scale = f", {off_scale} of them off the scale" if off_scale else ""
        now = int((self.connections["urgency"] == "now").sum())
        return (
            f"<riskscope.Assessment as of {self.on}: {len(self.connections):,} connections, {now:,} that must not "
            f"wait; {len(rejected):,} rows rejected{scale}>"
        )

    @property
    def rejected(self) -> pd.DataFrame:
        """Rows that could not be used, each with its place and its reasons; see also table ``rejected``."""
        rows = self.tables.refused
        return rows[rows["kind"] == "rejected"].reset_index(drop=True)

    @property
    def ranking(self) -> pd.DataFrame:
        """Connections with a reading, ranked first, not rated after: ranking.csv."""
        return self.table("ranking")

    @property
    def retighten_first(self) -> pd.DataFrame:
        """What to retighten first, section a, and records to check, section b: retighten_first.csv."""
        return self.table("retighten_first")

    def table(self, name: str, units: Units | None = None) -> pd.DataFrame:
        """A result table by its name: one that `to_files` writes, or trend, work_done, due, gaps, recalled.

        Raises
        ------
        WrongUsage
            If there is no such table.
        """
        of_years = {
            "trend": years.trends,
            "work_done": years.effects,
            "due": years.due,
            "gaps": years.gaps,
            "recalled": years.recall,
        }
        if isinstance(name, str) and name in of_years:
            return of_years[name](self).copy(deep=False)
        made = tables.results(self, _units(units)).tables
        if not isinstance(name, str) or name not in made:
            known = [*made, *of_years]
            raise WrongUsage(
                f"there is no result table {name!r}; there are {', '.join(known)}.", hint=nearest(str(name), known)
            )
        return made[name].copy(deep=False)

    def explain(self, connection_id: str, units: Units | None = None) -> str:
        """The whole chain of one connection, from reading to action, as text.

        Raises
        ------
        UnusableInput
            If there is no such connection.
        """
        name = self.find(str(connection_id))
        return story.as_text(name, story.story(self, name, _units(units)))

    def to_files(self, folder: str | Path, units: Units | None = None) -> list[Path]:
        """Write every result table as CSV, and summary.json: all of them, or none.

        Raises
        ------
        UnusableInput
            If the folder cannot be written to.
        """
        return tables.write(tables.results(self, _units(units)), _path(folder))

    def report(
        self, name: str, folder: str | Path, formats: tuple[str, ...] = FORMATS, units: Units | None = None
    ) -> list[Path]:
        """Write the report ``survey``, ``work`` or ``overview`` as HTML, PDF and XLSX.

        Raises
        ------
        WrongUsage
            If there is no such report or format.
        UnusableInput
            If the folder cannot be written to.
        """
        if name not in REPORTS:
            known = list(REPORTS)
            raise WrongUsage(f"there is no report {name!r}; there are {', '.join(known)}.", hint=nearest(name, known))
        asked = _request({}, self.on, _units(units))
        made = render(REPORTS[name](subject(self, asked)), formats)
        return files.write({_path(folder) / f"{name}_report.{form}": data for form, data in made.items()})


def _own(made: data.Assessment) -> Assessment:
    """The same assessment with the methods of the API; its memo is shared."""
    given = {field.name: getattr(made, field.name) for field in dataclasses.fields(made)}
    whole = {name: given[name].copy() for name in ("connections", "readings")}  # so that a user's column costs no more
    return Assessment(**{**given, **whole})


def _checked(name: str, value: object, kind: type | tuple[type, ...], words: str) -> None:
    """One sentence where something of another kind was given."""
    if value is not None and not isinstance(value, kind):
        raise WrongUsage(f"{name} must be {words}; got {value!r}.")


def _units(units: Units | None) -> Units:
    _checked("units", units, Units, "riskscope.Units, such as Units('°F', 'lbf·in')")
    return units or Units()


def _path(folder: str | Path) -> Path:
    if not isinstance(folder, str | Path):
        raise WrongUsage(f"folder must be a path; got {folder!r}.")
    return Path(folder)


def _day(on: Day) -> dt.date:
    if on is None:
        return dt.date.today()  # noqa: DTZ011  (a default of the public API)
    if on is pd.NaT:
        raise WrongUsage("on must be a date such as 2026-06-01; got NaT.")
    if isinstance(on, dt.datetime):
        return on.date()
    if isinstance(on, dt.date):
        return on
    try:
        return dt.date.fromisoformat(str(on))
    except ValueError:
        raise WrongUsage(f"on must be a date such as 2026-06-01; got {on!r}.") from None


def _request(
    options: Mapping[str, Any],
    on: dt.date,
    units: Units | None = None,
    folder: Path | None = None,
    file: Path | None = None,
    read_options: ReadOptions | None = None,
    criteria: str | None = None,
) -> Request:
    return Request(
        folder=folder,
        files={"survey": [file]} if file else {},
        read_options=read_options or ReadOptions(),
        options=options,
        criteria=criteria,
        on=on,
        units=units or Units(),
    )


def read(source: Source, *, on: Day = None, read_options: ReadOptions | None = None, **settings: Any) -> Tables:
    """Files or frames as checked tables.

    Parameters
    ----------
    source : path, DataFrame or mapping of str to DataFrame
        A folder of tables, a file with a survey, a survey as a frame, or frames by table name.
    on : date or str, optional
        The day dates are checked against; by default today.
    read_options : ReadOptions, optional
        How files are read that do not say so themselves.
    **settings
        Settings by name.

    Raises
    ------
    RiskscopeError
        With one sentence, where the input cannot be used.

    Examples
    --------
    >>> import pandas as pd, riskscope
    >>> survey = pd.DataFrame({"connection_id": ["A"], "survey_date": ["2026-05-04"], "Temp (°F)": [95]})
    >>> riskscope.read(survey, on="2026-06-01")["survey"]["connection_c"].tolist()
    [35.0]
    """
    day = _day(on)
    _checked("read_options", read_options, ReadOptions, "riskscope.ReadOptions")
    if isinstance(source, pd.DataFrame):
        source = {"survey": source}
    if isinstance(source, Mapping):
        frames: dict[str, pd.DataFrame] = dict(source)
        for name, frame in frames.items():
            if not isinstance(name, str):
                raise WrongUsage(f"the name of a table must be text; got {name!r}.")
            if not isinstance(frame, pd.DataFrame):
                raise WrongUsage(f"table {name!r} must be a DataFrame; got {type(frame).__name__}.")
        gap = terms(_request(settings, day)).settings.survey_gap_days
        return read_frames(on=day, read_options=read_options, gap_days=gap, **frames)
    if not isinstance(source, str | Path):
        raise WrongUsage(f"give a folder, a file, a DataFrame or frames by table; got {type(source).__name__}.")
    request = _of_path(Path(source), day, read_options, None, settings)
    return read_request(request, terms(request))


def _of_path(
    path: Path, on: dt.date, read_options: ReadOptions | None, criteria: str | None, settings: Mapping[str, Any]
) -> Request:
    folder, file = (path, None) if path.is_dir() else (None, path)
    return _request(settings, on, folder=folder, file=file, read_options=read_options, criteria=criteria)


def assess(
    checked: Tables, *, on: Day = None, settings: Settings | None = None, criteria: Criteria | None = None
) -> Assessment:
    """An assessment of tables that were read.

    Parameters
    ----------
    checked : Tables
        From `read`.
    on : date or str, optional
        The day of the assessment, later rows are not used; by default today.
    settings : Settings, optional
    criteria : Criteria, optional
        Severity table; by default ANSI/NETA 100.18.

    Raises
    ------
    UnusableInput
        If there is no survey.
    WrongUsage
        If the tables were not read by `read`.

    Examples
    --------
    >>> import pandas as pd, riskscope
    >>> survey = pd.DataFrame({"connection_id": ["A"], "survey_date": ["2026-05-04"], "connection_c": [91.0]})
    >>> made = riskscope.assess(riskscope.read(survey, on="2026-06-01"), on="2026-06-01")
    >>> made.connections["severity"].tolist()
    [4.0]
    """
    if not isinstance(checked, Tables):
        raise WrongUsage("assess takes tables that riskscope.read has checked; riskscope.rank reads and assesses.")
    _checked("settings", settings, Settings, "riskscope.Settings")
    _checked("criteria", criteria, Criteria, "a severity table; riskscope.rank takes its name")
    return _own(steps.assess(checked, on=_day(on), settings=settings, criteria=criteria))


def rank(
    source: Source,
    *,
    on: Day = None,
    read_options: ReadOptions | None = None,
    criteria: str | None = None,
    **settings: Any,
) -> Assessment:
    """Read and assess a folder, a file or frames.

    Parameters
    ----------
    source, on, read_options, **settings
        As of `read`; a folder's ``riskscope.toml`` counts too.
    criteria : str, optional
        Severity table: a published name or a TOML file.

    Raises
    ------
    RiskscopeError
        With one sentence, where the input cannot be used.

    Examples
    --------
    >>> import riskscope
    >>> a = riskscope.rank("demo_data", on="2026-06-01")
    >>> a.ranking["connection_id"].head(3).tolist()
    ['MCC-1/F1/A', 'MSB/F1/A', 'SWB-1/F4/A']
    """
    day = _day(on)
    _checked("criteria", criteria, str, "the name of a severity table or of a TOML file")
    _checked("read_options", read_options, ReadOptions, "riskscope.ReadOptions")
    if isinstance(source, str | Path):
        return _own(rank_files(_of_path(Path(source), day, read_options, criteria, settings)))
    request = _request(settings, day, criteria=criteria)
    made = terms(request)
    checked = read(source, on=day, read_options=read_options, **settings)
    return _own(steps.assess(checked, on=day, settings=made.settings, criteria=made.criteria, origin=made.origin))


def columns() -> pd.DataFrame:
    """Every column of an assessment's connections: ``name unit meaning``.

    Examples
    --------
    >>> import riskscope
    >>> riskscope.columns().set_index("name").loc["rise_rated_k", "unit"]
    'K'
    """
    rows = [(column.name, column.unit, codes.FLAGS.get(column.name, column.help)) for column in COLUMNS]
    return pd.DataFrame(rows, columns=["name", "unit", "meaning"])


def table_names() -> list[str]:
    """The tables a user may bring, by name.

    Examples
    --------
    >>> import riskscope
    >>> riskscope.table_names()[:3]
    ['survey', 'surveys', 'inspections']
    """
    return list(TABLES)

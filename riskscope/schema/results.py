"""The results: the tables `riskscope rank` writes."""

from __future__ import annotations

from collections.abc import Iterable

from riskscope.schema.codes import ACTIONS, BASES, EFFECTS, PATTERNS, STATES, URGENCIES, WORK_STATES
from riskscope.schema.common import ID_PARTS
from riskscope.schema.model import Column, Table


def _text(name: str, help_: str) -> Column:
    return Column(name, "text", help_)


def _number(name: str, help_: str, quantity: str | None = None) -> Column:
    return Column(name, "number", help_, quantity=quantity)


def _code(name: str, help_: str, codes: Iterable[str]) -> Column:
    return Column(name, "choice", help_, choices=dict.fromkeys(codes, ()))


def _severity(name: str, help_: str) -> Column:
    return Column(name, "integer", help_, low=0.0, high=4.0)


def _rise(name: str, help_: str) -> Column:
    return _number(name, help_, "difference")


WHERE = (
    _text("connection_id", "Name of the connection."),
    _text("site", "Site."),
    _text("equipment", "Equipment."),
    _text("circuit", "Circuit."),
    _text("device", "Device."),
    _text("side", "Line or load side."),
    _text("phase", "Phase."),
    _text("group", "Connections that should run alike."),
    _text("point", "What was looked at."),
)
_ACTION = _code("action", "What to do.", ACTIONS)
_REASON = _text("reason", "Why, in words.")
_URGENCY = _code("urgency", "When.", URGENCIES)
_SEVERITY = _severity("severity", "Severity 0 to 4 at full load; empty where not rated.")
_STATE = _code("record_now", "State of the torque record, of all work up to the day.", STATES)
_STATE_REASONS = _text("record_now_reasons", "All reasons for that state.")
_WORK_STATE = _code("work_state", "Where it stands between work and proof.", WORK_STATES)
_WORK = _text("work", "The same in words, and what stands beside it: put off, told, made safe.")
_LIKELIHOOD_WORD = _text("likelihood", "Likelihood that it is loose, in words.")
_LIKELIHOOD = _number("likelihood_loose", "Likelihood that the joint is loose or badly made.")
_CRITICALITY = Column("criticality", "integer", "How much it matters, 1 to 5.")
_SURVEY_DATE = Column("survey_date", "date", "Day of the reading.")
_SEVERITY_BEFORE = _severity("severity_before_work", "Severity of the reading taken before the work.")
_RESURVEY = Column("resurvey", "flag", "Whether to survey again.")
_RESURVEY_REASON = _text("resurvey_reason", "Why to survey again.")
_REQUIRED = (
    _number("required_nm", "Required torque.", "torque"),
    _text("required_from", "Where the required torque comes from."),
)
_APPLIED = _number("applied_now_nm", "Torque applied.", "torque")

RANKING = Table(
    name="ranking",
    title="Ranking",
    help="One row for each connection with a reading: ranked first, not rated after.",
    key=("connection_id",),
    columns=(
        Column("rank", "integer", "Place in the ranking."),
        *WHERE,
        _SURVEY_DATE,
        _URGENCY,
        _SEVERITY,
        _text("severity_label", "What the severity means."),
        _severity("severity_as_found", "Severity of the reading as found."),
        _SEVERITY_BEFORE,
        _code("governing_basis", "Basis that gave the severity.", BASES),
        _number("exceedance", "Rated rise over the lower limit of the worst band."),
        _rise("rise_rated_k", "Rise the rating used."),
        _rise("rise_similar_k", "Rise over similar, as found."),
        _rise("rise_ambient_k", "Rise over ambient, as found."),
        _number("load_fraction", "Current over full load."),
        _number("full_load_a", "Full load.", "current"),
        _text("full_load_from", "Column full load was taken from."),
        _rise("rise_similar_full_k", "Rise over similar at full load, square law."),
        _rise("rise_ambient_full_k", "Rise over ambient at full load, square law."),
        _rise("rise_low_k", "Low end of the rated rise."),
        _rise("rise_high_k", "High end of the rated rise."),
        _severity("severity_low", "Severity at the low end."),
        _severity("severity_high", "Severity at the high end."),
        Column("firm", "flag", "Whether both ends of the interval give one severity."),
        _number("projected_c", "Temperature at full load.", "temperature"),
        _number("limit_c", "Temperature limit.", "temperature"),
        _text("limit_from", "Where the limit comes from."),
        _rise("margin_k", "Limit less the temperature at full load."),
        _text("quality_flags", "What limits the reading."),
        _code("pattern", "What the siblings show.", PATTERNS),
        _number("resistance_ratio", "How far the joint's resistance has grown."),
        _code("install_state", "State of the torque record at the reading: it explains the rating.", STATES),
        _text("install_reasons", "All reasons for that state."),
        _STATE,
        _STATE_REASONS,
        *_REQUIRED,
        _number("applied_nm", "Torque of the record at the reading.", "torque"),
        _ACTION,
        _REASON,
        _WORK_STATE,
        Column("work_state_since", "date", "Since when it stands there."),
        _WORK,
        _RESURVEY,
        _RESURVEY_REASON,
        _LIKELIHOOD_WORD,
        _LIKELIHOOD,
        _CRITICALITY,
        _text("comment", "Remark of who measured."),
    ),
)

RETIGHTEN_FIRST = Table(
    name="retighten_first",
    title="Retighten first",
    help="Section a: hot joints and joints found loose. Section b: records to check.",
    key=("connection_id",),
    columns=(
        _code("section", "a: hot or loose joints; b: records.", ("a", "b")),
        Column("rank", "integer", "Place in its section."),
        *WHERE,
        _URGENCY,
        _ACTION,
        _SEVERITY,
        _severity("severity_as_found", "Severity of the reading as found."),
        _number("exceedance", "Rated rise over the lower limit of the worst band."),
        _rise("rise_rated_k", "Rise the rating used."),
        _STATE,
        _STATE_REASONS,
        *_REQUIRED,
        _number("required_lbf_in", "Required torque in lbf·in."),
        _APPLIED,
        _LIKELIHOOD_WORD,
        _LIKELIHOOD,
        _CRITICALITY,
        _SURVEY_DATE,
        _REASON,
        _WORK_STATE,
        _WORK,
        _RESURVEY,
    ),
)

OTHER_ACTIONS = Table(
    name="other_actions",
    title="Other actions",
    help="Connections that need something else than a torque tool.",
    key=("connection_id",),
    columns=(
        Column("rank", "integer", "Place in the list."),
        *WHERE,
        _URGENCY,
        _ACTION,
        _SEVERITY,
        _severity("severity_as_found", "Severity of the reading as found."),
        _code("pattern", "What the siblings show.", PATTERNS),
        _STATE,
        _SURVEY_DATE,
        _REASON,
        _WORK_STATE,
        _WORK,
        _RESURVEY,
    ),
)

RESURVEY = Table(
    name="resurvey",
    title="Survey again",
    help="Connections to survey again, and why.",
    key=("connection_id",),
    columns=(
        Column("rank", "integer", "Place in the list."),
        *WHERE,
        _URGENCY,
        _SEVERITY,
        _SEVERITY_BEFORE,
        _SURVEY_DATE,
        Column("last_work_date", "date", "Day of the last work."),
        Column("survey_again_by", "date", "Day by which work on a bad joint is to be proved."),
        _ACTION,
        _RESURVEY_REASON,
        _WORK_STATE,
    ),
)

NOT_SURVEYED = Table(
    name="not_surveyed",
    title="Not surveyed",
    help="Connections that are known and have no reading that can be used.",
    key=("connection_id",),
    columns=(
        *WHERE,
        _URGENCY,
        Column("inspected_on", "date", "Last day its equipment was looked at."),
        _text("inspection_result", "What could be seen that day."),
        _STATE,
        _STATE_REASONS,
        _ACTION,
        _REASON,
        _WORK_STATE,
        _WORK,
        _RESURVEY_REASON,
        _CRITICALITY,
    ),
)

RETIRED = Table(
    name="retired",
    title="Out of use",
    help="Connections that the register says are out of use, and how they stood; they are in no other list.",
    key=("connection_id",),
    columns=(
        *WHERE,
        Column("retired_on", "date", "Day it was taken out of use."),
        _text("retired_by", "Who said so."),
        _SURVEY_DATE,
        _URGENCY,
        _SEVERITY,
        _ACTION,
    ),
)

REJECTED = Table(
    name="rejected",
    title="Rows not used",
    help="Every row rejected or set aside, with its place, its reasons and its original cells.",
    columns=(
        _code("kind", "Rejected or set aside.", ("rejected", "set aside")),
        _text("table", "Table it was read for."),
        _text("file", "File."),
        _text("sheet", "Sheet."),
        Column("line", "integer", "Line in the file."),
        _text("reason", "One reason for each fault."),
        _text("cells", "The original cells, as a JSON list."),
        _text("connection_id", "Whose it is, where the row says it, or its id as it would be built of its place."),
        _text("site", "Site, where the row says it."),
        *(_text(part, f"{part.capitalize()}, where the row says it.") for part in ID_PARTS),
        Column("day", "date", "Day of the reading or of the work, where it is one that can be."),
        _text("dismissed_by", "Who said that it asks for nothing more."),
    ),
)

COVERAGE = Table(
    name="coverage",
    title="Coverage",
    help="By equipment: how much was surveyed and how much has a good torque record.",
    key=("site", "equipment"),
    columns=(
        _text("site", "Site."),
        _text("equipment", "Equipment."),
        *(
            Column(name, "integer", help_)
            for name, help_ in (
                ("connections", "Connections known."),
                ("surveyed", "Connections with a reading."),
                ("read_this_time", "Connections read in the latest survey of the site."),
                ("rated", "Connections rated."),
                ("severity_3_or_4", "Connections rated 3 or 4."),
            )
        ),
        Column("inspected_on", "date", "Last day it was looked at."),
        _text("inspection_result", "What could be seen that day."),
        *(Column(state.column, "integer", f"Records {state.name}.") for state in STATES.values()),
    ),
)

_SINCE = Column("since", "date", "Day of the last work: the series begins after it.")
TREND = Table(
    name="trend",
    title="Trends",
    help="One row for each connection: how its rise, at the load of the latest reading, has gone since the last work.",
    key=("connection_id",),
    columns=(
        _text("connection_id", "Name of the connection."),
        _code("basis", "Rise over similar, or over ambient.", ("similar", "ambient")),
        Column(
            "surveys", "integer", "Readings since the last work, at up to twice or down to half the latest current."
        ),
        Column("left_out", "integer", "Readings since then at another load."),
        _SINCE,
        Column("first_date", "date", "First of them."),
        Column("last_date", "date", "Last of them."),
        _number("load_fraction", "Load of the last, at which all rises here are."),
        _rise("last_rise_k", "Last rise, as found."),
        _rise("change_k", "How far it is from the one before."),
        _rise("change_low_k", "Low end of its 95 % interval."),
        _rise("change_high_k", "High end of its 95 % interval."),
        _number("slope_k_per_year", "Median slope (Theil–Sen)."),
        _number("slope_low_k_per_year", "Low end of its 95 % interval."),
        _number("slope_high_k_per_year", "High end of its 95 % interval."),
        _number("p_value", "Probability of such a trend by chance (Mann–Kendall)."),
        _rise("next_band_k", "Lower limit of the next band."),
        Column("next_band_earliest", "date", "Earliest day the next band is reached at that load; earlier at more."),
        Column("next_band_latest", "date", "Latest day; empty where it may be later than the span seen."),
    ),
)

WORK_DONE = Table(
    name="work_done",
    title="What work has cured",
    help="One row for each piece of work on a connection that was rated 2 or worse.",
    key=("connection_id", "work_date"),
    columns=(
        _text("connection_id", "Name of the connection."),
        Column("work_date", "date", "Day of the work."),
        _text("what", "What was done."),
        Column("before_date", "date", "Last reading before."),
        _severity("before_severity", "Severity before."),
        _rise("before_rise_k", "Full-load rise before."),
        Column("after_date", "date", "First reading after."),
        _severity("after_severity", "Severity after."),
        _rise("after_rise_k", "Full-load rise after."),
        _code("effect", "What it did.", EFFECTS),
    ),
)

RECALLED = Table(
    name="recalled",
    title="Tightened with a tool in doubt",
    help="One row for each tightening done with a tool after its last good date.",
    columns=(
        _text("tool_id", "Tool."),
        *WHERE[:3],
        Column("work_date", "date", "Day of the tightening."),
        _number("applied_nm", "Torque applied.", "torque"),
        _SEVERITY,
        _ACTION,
        _URGENCY,
        Column("reworked", "flag", "Whether it was worked on later."),
    ),
)

DUE = Table(
    name="due",
    title="Due",
    help="One row for each connection that is due: what must not wait first, then in route order.",
    key=("connection_id",),
    columns=(
        _text("site", "Site."),
        _text("equipment", "Equipment."),
        _text("connection_id", "Name of the connection."),
        _text("due", "Why it is due."),
        Column("last_seen", "date", "Last day it was read or its board seen whole."),
        Column("due_on", "date", "Day it is due: an open finding, a proof, else its interval."),
        _SEVERITY,
        _URGENCY,
        Column("age_days", "integer", "Days an open finding has stood, from the first reading or look that found it."),
        _text("deferred_by", "Who put it off."),
        Column("deferred_until", "date", "Day it is put off to."),
        Column("days_left", "integer", "Days until then; negative where that has run out."),
        _text("deferral_reason", "Why it is put off."),
        _text("told", "Who was told last, since the reading."),
        Column("told_on", "date", "Day they were told."),
        _text("made_safe", "How it was made safe since the reading, or that this was lifted."),
        Column("limited_to_a", "number", "Current the load was limited to.", quantity="current"),
        _ACTION,
        _WORK_STATE,
    ),
)

GAPS = Table(
    name="gaps",
    title="Torque records that are not verified",
    help="One row for each connection whose record is missing, wrong or in doubt, in route order.",
    key=("connection_id",),
    columns=(
        *WHERE[:3],
        _STATE,
        _STATE_REASONS,
        _number("required_nm", "Required torque.", "torque"),
        _APPLIED,
        Column("surveyed", "flag", "Whether it has a reading."),
        _SEVERITY,
        _ACTION,
    ),
)

TABLES = {
    table.name: table
    for table in (RANKING, RETIGHTEN_FIRST, OTHER_ACTIONS, RESURVEY, NOT_SURVEYED, RETIRED, REJECTED, COVERAGE)
}

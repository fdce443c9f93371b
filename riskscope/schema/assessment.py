"""Every column of an assessment's connections, declared: what it holds, in which unit."""

from __future__ import annotations

from riskscope.schema import TABLES, results
from riskscope.schema.codes import FLAGS
from riskscope.schema.model import Column


def _text(name: str, help_: str) -> Column:
    return Column(name, "text", help_)


def _number(name: str, help_: str, quantity: str | None = None) -> Column:
    return Column(name, "number", help_, quantity=quantity)


def _rise(name: str, help_: str) -> Column:
    return _number(name, help_, "difference")


def _flag(name: str, help_: str) -> Column:
    return Column(name, "flag", help_)


def _integer(name: str, help_: str) -> Column:
    return Column(name, "integer", help_)


STEPS = (
    _text("source_file", "File the reading stands in."),
    _text("source_sheet", "Sheet of it."),
    _integer("source_line", "Line of it."),
    _integer("id_rank", "Place of the id among all ids that have a reading."),
    _integer("other_readings", "Readings of it in the same survey that do not count."),
    _number("hottest_other_c", "Hottest reading of it in the same survey.", "temperature"),
    _number("read_c", "Temperature the instrument showed, before the correction.", "temperature"),
    _number("emissivity_used", "Emissivity the correction used."),
    _rise("u_radiometric_k", "Standard uncertainty of the temperature from emissivity and reflection."),
    _flag("strong wind", "Read in wind too strong to be taken to still air."),
    _number("current_a", "Current at the reading.", "current"),
    _number("overload_fraction", "Current over the rating of the circuit."),
    _number("scale_fraction", "Load fraction a rise is taken to full load by; at least the low load."),
    _flag("as_found_only", "Rated as found: not taken to full load."),
    _number("u_load", "Relative standard uncertainty of the load."),
    _rise("rise_ambient_found_k", "Rise over the air, as found."),
    _rise("rise_surveyor_k", "Rise over the surveyor's similar component, as found."),
    _flag("unfit", "Never firm, and no reference for another."),
    _flag("ratable", "The joint itself was seen, under load."),
    _integer("set_code", "Set of siblings of its survey, the neutral and earth with them; -1 without."),
    _integer("group_code", "Group of siblings it is compared with; -1 without."),
    _integer("sibling", "Place among the readings of the sibling it is compared with; -1 without."),
    _flag("reads cold", "Reads colder than its siblings allow."),
    _rise("cover_rise_k", "Rise of a closed cover over the coolest other cover."),
    _rise("rise_alike_k", "Rise over its siblings at like load."),
    _text("reference", "What it is compared with: surveyor or sibling."),
    _flag("alike", "It and its reference carry like loads."),
    _rise("rise_similar_found_k", "Rise over its reference, as found."),
    _rise("rise_similar_rated_k", "Smallest rise over its reference at full load, over the exponents."),
    _rise("low_k", "Low end of the rise over its reference at full load."),
    _number("ratio_low", "Low end of the ratio of resistances."),
    _number("ratio_high", "High end of the ratio of resistances."),
    _flag("over_limit_now", "Over its temperature limit as found."),
    _flag("over_limit_low", "Over its temperature limit at full load, the low end too."),
    _flag("hot", "The joint itself is hot: hotter than its siblings explain."),
    _number("s_similar", "Severity by the rise over similar at full load."),
    _number("s_ambient", "Severity by the rise over the air."),
    _number("s_limit", "Severity by the temperature limit."),
    _flag("within_design", "The rise over the air alone is within design."),
    _rise("seen", "Rise over similar that the severity as found is judged by."),
    _flag("surveyed", "It has a reading."),
    Column("record_date", "date", "Day of the torque record that counts."),
    _text("record_tool", "Torque tool of that record."),
    _number("required_low_nm", "Low end of the required torque.", "torque"),
    _number("required_high_nm", "High end of the required torque.", "torque"),
    _flag("worked_after", "Worked on after the reading: the reading no longer speaks of the joint."),
    _flag("worked_same_day", "Worked on the day of the reading, order unknown."),
    _flag("found_damaged", "Found damaged or discoloured and not remade since."),
    _flag("found_loose", "Found loose and not worked on since."),
    _flag("found_tight_since", "Found tight since the last work."),
    _flag("remade_last", "The last work was a remake or a replacement."),
    _text("rule", "Rule that gave the action."),
    _flag("action_changed", "The kind of point or termination changed what the rule says."),
)


def _all() -> tuple[Column, ...]:
    declared: dict[str, Column] = {}
    for table in results.TABLES.values():
        declared |= {column.name: column for column in table.columns}
    for name in ("connections", "survey"):
        declared |= TABLES[name].stored
    declared |= {flag: _flag(flag, "Flag: it limits the reading.") for flag in FLAGS}
    return tuple(
        Column(name, column.kind, column.help, quantity=column.quantity)
        for name, column in (declared | {column.name: column for column in STEPS}).items()
    )


COLUMNS = _all()

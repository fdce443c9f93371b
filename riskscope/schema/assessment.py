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
    _number(
        "hot_load_fraction", "Largest load at which it was hot in the survey, else its own; full load for hardly any."
    ),
    _number("hot_current_a", "Largest current at which it was hot in the survey, else its own.", "current"),
    Column("hot_untimed_on", "date", "Day of its last hot reading in the survey of which no time is known."),
    _number("hot_until_min", "Last minute since 1970 at which it may have been read hot in the survey."),
    _flag("burnt", "In a reading of the survey over its limit, or by far hotter than its siblings."),
    _number("hottest_other_c", "Hottest reading of it in the same survey.", "temperature"),
    _number("read_c", "Temperature the instrument showed, before the correction.", "temperature"),
    _number("emissivity_used", "Emissivity the correction used."),
    _rise("u_radiometric_k", "Standard uncertainty of the temperature from emissivity and reflection."),
    _number("by_reading", "By how much its true temperature moves with a kelvin of the reading."),
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
    _flag("nearly over its limit", "The same below 40 % load, but for what the air in the board may differ."),
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
    _flag("found_loose", "Found loose and not put right since."),
    _flag("seen_when_cool", "Found tight after it was read cool, and not worked on since."),
    _flag("recorded_right", "The last work has a record that can be relied on: a verified torque, or its die."),
    _flag("found_tight_since", "Found tight since the last work."),
    _text("rule", "Rule that gave the action."),
    _integer("reading_urgency", "Urgency of the reading by itself, as a place in the urgencies."),
    _integer("joint_urgency", "The same of the joint alone, without overload or a lost phase."),
    _flag("warm cover", "A closed cover that is warm."),
    _flag("lost phase", "A line phase that carries far less than its siblings."),
    _flag("is_motor", "Circuit, device or board says that it is a motor's."),
    _integer("proof", "What is known of the proof of work, as a code of the walk."),
    Column("after_date", "date", "Day of a later reading that takes nothing back, or proves only in part."),
    _number("after_load", "Load fraction of that reading."),
    _text("after_why", "Why that reading is worse evidence."),
    _flag("beside off scale", "Another reading of it in the same file is off the instrument's scale."),
    _flag("asks remake", "The reading asks for a remake: burnt, or hot though tight by the record of then."),
    _flag(
        "perhaps tight: rejected", "A record of then was rejected: it may have been hot though tight; asks a remake."
    ),
    _flag("perhaps tight: denied", "Work of then is denied by a finding: it may have been hot though tight, as above."),
    _flag("only refused", "A reading that was refused is all that names it."),
    Column("refused_on", "date", "Day of a reading of it that was refused, not answered by a later one."),
    _flag("refused_undated", "A reading of it, of a day nobody knows, was refused."),
    Column("open_since", "date", "Day of the first reading that calls for something, not proved since."),
    _flag("attested", "A fit, cool reading came after the last work."),
    Column("refuted_on", "date", "Day it was last read hot after work though it stands on the finding."),
    _number("refuted_time", "Time of that reading, in minutes after midnight."),
    _flag("eased", "It stands on what must not wait: a reading after its work asked for less, but was hot still."),
    _flag("bad_before", "It is soon because it was found loose or damaged, and that this was put right is not proved."),
    _flag("answered", "What was asked for was done since, or more, and is recorded right."),
    Column("found_bad_on", "date", "Day it was found loose or damaged, and not put right since."),
    Column("bad_since", "date", "Day of the earliest of what was so found, and is not surely put right."),
    _number("after_a", "Current of that reading.", "current"),
    _integer("urgency_floor", "The least urgent it may be, as a place in the urgencies."),
    _integer("floor_in_doubt", "The same while its record is not right though a reading proved its work."),
    _text("likelihood_state", "State of record its likelihood begins with: at the reading, or now if worked on."),
    _number("evidence", "What its surveys say together, as a logarithm of a factor on the odds."),
    _number("evidence_latest", "What the survey it stands on says of it, the same."),
    _number("evidence_before", "What the survey before says, since its last work; not weighted yet."),
    _number("evidence_third", "What the survey before that says."),
    Column("evidence_before_on", "date", "Day of the survey before."),
    Column("evidence_third_on", "date", "Day of the survey before that."),
    _text("cannot_tell", "Why its siblings could not say that its likelihood is low."),
    _number("applied_now_nm", "Torque applied, by the record now.", "torque"),
    _flag("torque applies", "There is a screw or bolt to tighten, as far as is known."),
    _text("asked", "Action that was asked for before the work."),
    _text("work_done", "The most that was done since the reading."),
    Column("work_done_on", "date", "Day that was last done."),
    _text("work_beside", "States that stand beside its work state."),
    Column("survey_again_by", "date", "Day by which work on a bad joint is to be proved."),
    _flag("is_overdue", "That day is past."),
    _text("deferred_by", "Who put it off."),
    Column("deferred_until", "date", "Day it is put off to."),
    _text("deferral_reason", "Why it is put off."),
    _flag("is_put_off", "A complete deferral has not run out."),
    _flag("is_run_out", "Its deferral has run out."),
    _flag("is_put_off_before", "It was put off before its reading."),
    _flag("is_put_off_long", "Put off for more than a year."),
    _flag("is_put_off_again", "Put off, not for the first time since its reading."),
    _text("told", "Who was told last, since the reading."),
    Column("told_on", "date", "Day they were told."),
    _text("told_by", "Who told them."),
    Column("told_before_on", "date", "Day of the last notice, where it is of an earlier reading."),
    _text("made_safe_before", "How it was made safe before its reading, not lifted since."),
    _text("made_safe", "How it was made safe."),
    _number("limited_to_a", "Current the load was limited to.", "current"),
    Column("made_safe_on", "date", "Day it was made safe."),
    _text("made_safe_by", "Who says so."),
    _flag("is_limit_unsaid", "Its load is said to be limited, to what is not: that makes nothing safe."),
    _flag("is_lifted_same_day", "It was made safe and lifted on one day: the lifting counts."),
    _flag("is_limit_too_high", "Its load is limited to no less than it was read at: that makes nothing safe."),
    Column("lifted_on", "date", "Day what made it safe was lifted."),
    _text("lifted_by", "Who says that it was lifted."),
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

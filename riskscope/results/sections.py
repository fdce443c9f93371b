"""The chain of one connection in words: a heading and its lines for each part of it."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from riskscope.physics.load import rise_at_full_load
from riskscope.results import likelihood
from riskscope.settings import Settings
from riskscope.standards.severity import Criteria
from riskscope.words import codes
from riskscope.words.render import Units, amount, between, number

Section = tuple[str, list[str]]


@dataclass(frozen=True)
class Chain:
    """One connection and everything around it that its rating rests on.

    Attributes
    ----------
    row : Series
        Its row of the assessment, with the sentence columns of the results.
    siblings : DataFrame
        Assessed readings of its group in its survey, itself included.
    reading : Series or None
        Its row of the survey as read.
    refused : DataFrame
        Readings of it that were refused, and may be the hottest.
    installs, findings, deferrals, notices, renamings, tools : DataFrame
        Its history; the calibrations of the tools in it.
    prior : float
        Likelihood by its record alone.
    """

    row: pd.Series
    siblings: pd.DataFrame
    reading: pd.Series | None
    refused: pd.DataFrame
    installs: pd.DataFrame
    findings: pd.DataFrame
    deferrals: pd.DataFrame
    notices: pd.DataFrame
    renamings: pd.DataFrame
    tools: pd.DataFrame
    prior: float


def sections(chain: Chain, criteria: Criteria, settings: Settings, units: Units) -> list[Section]:
    """The chain in order: connection, reading, load, siblings, interval, severity, record, action."""
    made = [_place(chain)]
    if chain.reading is not None:
        made += [
            _reading(chain, units),
            _full_load(chain, settings, units),
            _siblings(chain, units),
            _interval(chain, settings, units),
            _severity(chain, criteria, settings, units),
            _limit(chain, settings, units),
        ]
    else:
        made.append(("Reading", ["No reading on file that can be used: not surveyed.", *_refused(chain)]))
    cautions = [*codes.CAUTIONS, *([codes.NEUTRAL_CAUTION] if chain.row.get("phase") == "N" else [])]
    likely = ("Likelihood that it is loose or badly made", likelihood.lines(chain.row, chain.prior, settings, units))
    made += [_record(chain, units), likely, _action(chain), ("Cautions", cautions)]
    return [(title, [line for line in lines if line]) for title, lines in made]


def _or(value: object) -> str:
    return str(value) if _has(value) else "(not recorded)"


def _has(value: object) -> bool:
    return value is not None and not pd.isna(value)  # type: ignore[call-overload]


def _place(chain: Chain) -> Section:
    row = chain.row
    named = ("site", "equipment", "circuit", "device", "side", "phase", "group", "point",
             "termination_kind", "location", "isolated_by")  # fmt: skip
    parts = [f"{name.replace('_', ' ')} {row[name]}" for name in named if _has(row.get(name))]
    lines = [", ".join(parts) or "Where it is, is not recorded.", f"Criticality {row['criticality']:.0f} of 5."]
    if chain.reading is not None:
        lines += [
            f"{name.removeprefix('extra: ')}: {value}"
            for name, value in chain.reading.items()
            if str(name).startswith("extra: ") and _has(value)
        ]
    return "Connection", lines


def _source(row: pd.Series) -> str:
    sheet = f", sheet {row['source_sheet']}" if row.get("source_sheet") else ""
    return f"{row['source_file']}{sheet}, line {row['source_line']:.0f}"


def _reading(chain: Chain, units: Units) -> Section:
    row, reading = chain.row, chain.reading
    assert reading is not None
    temperatures = [
        f"{words} {amount(row.get(name), 'temperature', units)}"
        for name, words in (("connection_c", "connection"), ("similar_c", "similar component"), ("ambient_c", "air"))
        if _has(row.get(name))
    ]
    lines = [
        f"Read on {amount(row['survey_date'], 'day', units)} ({_source(reading)}), survey {row['survey_id']}.",
        "Temperatures: " + ", ".join(temperatures) + "." if temperatures else "Only rises were recorded.",
    ]
    if _has(row.get("read_c")) and abs(row["read_c"] - row["connection_c"]) > 1e-9:
        lines.append(
            f"The instrument showed {amount(row['read_c'], 'temperature', units)}: corrected for emissivity "
            f"{row['emissivity_used']:.2f}, reflection and window, by our step."
            if _has(row["emissivity_used"])
            else (
                f"The instrument showed {amount(row['read_c'], 'temperature', units)}: "
                "corrected for the window, by our step."
            )
        )
    if row["other_readings"] > 0:
        lines.append(
            f"{row['other_readings']:.0f} other reading(s) of it in this survey: the one rated worse counts, "
            "of equal ones the later."
        )
    lines += [codes.FLAGS[flag] for flag in _list(row["quality_flags"])]
    return "Reading", [*lines, *_refused(chain)]


def _refused(chain: Chain) -> list[str]:
    return [
        f"NOT in this: {refused['file']}, line {refused['line']:.0f}, was refused: {refused['reason']}."
        for refused in chain.refused.to_dict("records")
    ]


def _list(joined: object) -> list[str]:
    return str(joined).split("; ") if _has(joined) and joined else []


def _full_load(chain: Chain, settings: Settings, units: Units) -> Section:
    row = chain.row
    if not _has(row["load_fraction"]):
        return "Load", [codes.FLAGS["load unknown"]]
    full = (
        f"full load {amount(row['full_load_a'], 'current', units)} (from {row['full_load_from']})"
        if _has(row["full_load_a"])
        else "full load in ampere not recorded"
    )
    current = f"{amount(row['current_a'], 'current', units)} of " if _has(row["current_a"]) else ""
    lines = [
        f"Load {current}{full}: {number([row['load_fraction'] * 100], 1)[0]} %; "
        f"relative uncertainty {number([row['u_load'] * 100], 0)[0]} %."
    ]
    if row["as_found_only"] or row["load_fraction"] <= 0:
        return "Load", [*lines, "Not taken to full load."]
    for name, words in (("rise_ambient_found_k", "over the air"), ("rise_similar_found_k", "over its reference")):
        if _has(row[name]):
            if name == "rise_similar_found_k" and not row["alike"]:
                lines.append(
                    f"Rise {words} {amount(row[name], 'rise', units)} as found, at unlike loads: each "
                    f"taken to full load by its own load, {amount(row['rise_similar_full_k'], 'full rise', units)} "
                    f"by the square law, {amount(row['rise_similar_rated_k'], 'full rise', units)} rated (the "
                    "smallest over the exponents)."
                )
                continue
            taken = [
                amount(rise_at_full_load(row[name], row["load_fraction"], n), "full rise", units)
                for n in settings.exponents
            ]
            at = [f"{rise} (n = {n:g})" for rise, n in zip(taken, settings.exponents, strict=True)]
            at = at if len(set(taken)) > 1 else [f"{taken[0]} by every exponent"]
            lines.append(
                f"Rise {words} {amount(row[name], 'rise', units)} as found; "
                f"at full load rise ÷ load^n = {', '.join(at)}."
            )
    return "Load and full load", lines


def _siblings(chain: Chain, units: Units) -> Section:
    row = chain.row
    lines = []
    for _, other in chain.siblings.iterrows():
        marks = [
            mark
            for mark, holds in (
                ("this one", other["is_own"]),
                ("the reference", other["connection_id"] == row.get("reference_id")),
                ("reads cold", other["reads cold"]),
            )
            if holds
        ]
        load = f", load {amount(other['load_fraction'], 'share', units)}" if _has(other["load_fraction"]) else ""
        full = (
            f", {amount(other['rise_ambient_full_k'], 'full rise', units)} over the air at full load"
            if _has(other["rise_ambient_full_k"])
            else ""
        )
        lines.append(
            f"{other['named']}: {amount(other.get('connection_c'), 'temperature', units)}{load}{full}"
            + f", by its record {number([other['chance_by_record']], 2)[0]}"
            + (f" ({', '.join(marks)})" if marks else "")
        )
    if row["reference"] == "surveyor":
        lines.append("Compared with the surveyor's similar component.")
    elif row["reference"] != "sibling":
        lines.append(codes.PATTERNS["no reference"])
    if _has(row["resistance_ratio"]):
        lines.append(
            f"Resistance against the reference: {amount(row['resistance_ratio'], 'ratio', units)} times "
            f"(from {amount(row['ratio_low'], 'ratio', units)} to {amount(row['ratio_high'], 'ratio', units)}), "
            "an estimate."
        )
    beside = " But one of them reads cold." if row["beside a cold sibling"] else ""
    lines.append(f"Pattern: {row['pattern']}. {codes.PATTERNS[row['pattern']]}{beside}")
    return "What the siblings show", lines


def _interval(chain: Chain, settings: Settings, units: Units) -> Section:
    row = chain.row
    if not _has(row["rise_rated_k"]):
        return "Interval", ["Not rated: no interval."]
    light = row["low load"] and row["governing_basis"] == "similar"
    rated, low, high = (amount(row[name], "full rise", units) for name in ("rise_rated_k", "rise_low_k", "rise_high_k"))
    lines = [
        f"Rated rise {rated}, {between(low, high)} (coverage factor {settings.coverage:g}, exponents "
        f"{settings.exponent_low:g} to {settings.exponent:g}).",
        f"Below {settings.low_load:.0%} load a rise is taken to full load by the factor of {settings.low_load:.0%}, "
        "at its low end."
        if light
        else "",
        f"Severity at the low end {row['severity_low']:.0f}, at the high end {row['severity_high']:.0f}: "
        + ("firm." if row["firm"] else "not firm."),
    ]
    return "Interval", lines


def _severity(chain: Chain, criteria: Criteria, settings: Settings, units: Units) -> Section:
    row = chain.row
    table = f"{criteria.title} ({criteria.edition})"
    lines = [f"Table: {table}."]
    for basis, column, words in (
        ("similar", "seen", "over similar"),
        ("ambient", "rise_ambient_found_k", "over the air"),
    ):
        printed = ", ".join(
            f"{band.printed or f'from {band.from_k:g}'} K = {band.severity}" for band in criteria.of(basis)
        )
        if printed and _has(row[column]):
            status = criteria.of(basis)[0].status
            lines.append(
                f"Bands {words}: {printed} (status: {status}). Figures are printed in whole "
                "degrees; a band ends at its upper figure, inclusive."
            )
    for name, words in (
        ("s_similar", "By the rise over similar at full load"),
        ("s_ambient", "By the rise over the air as found"),
        ("s_limit", "By the temperature limit"),
    ):
        if _has(row[name]):
            lines.append(f"{words}: {row[name]:.0f}.")
    if row["within_design"]:
        lines.append("The rise over the air alone is within design: 4 becomes 3.")
    if _has(row["severity"]):
        as_found = f"{row['severity_as_found']:.0f}" if _has(row["severity_as_found"]) else "not rated"
        lines.append(
            f"As found: {as_found} ({criteria.title}). At full load, by our square-law step: "
            f"{row['severity']:.0f}, {row['severity_label']} (basis: {row['governing_basis']}, "
            f"{number([row['exceedance']], 2)[0]} of the worst band's lower limit)."
        )
    elif _has(row["severity_before_work"]):
        lines.append(f"Rated {row['severity_before_work']:.0f} before the work; not rated since.")
    else:
        lines.append("Not rated. That is not 0.")
    return "Severity", lines


def _limit(chain: Chain, settings: Settings, units: Units) -> Section:
    row = chain.row
    lines = [f"Limit {amount(row['limit_c'], 'temperature', units)}, from {row['limit_from']}."]
    if _has(row["projected_c"]):
        lines.append(
            f"At full load in air of {amount(settings.design_ambient_c, 'temperature', units)} or as found, "
            f"if hotter: {amount(row['projected_c'], 'full temperature', units)}; "
            f"margin {amount(row['margin_k'], 'full rise', units)}."
        )
    return "Temperature limit", lines


def _record(chain: Chain, units: Units) -> Section:
    row = chain.row
    lines = [_state(row, "record_now", "State")]
    if row["surveyed"] and row["install_state"] != row["record_now"]:
        lines.append(_state(row, "install_state", "At the reading, which it explains"))
    if _has(row["required_nm"]):
        low, high = (amount(row[name], "torque", units) for name in ("required_low_nm", "required_high_nm"))
        span = low if row["required_low_nm"] == row["required_high_nm"] else f"{low} to {high}"
        source = row["required_from"]
        lines.append(f"Required {span} ({codes.PUBLISHED_TORQUE if source == 'published table' else source}).")
    for _, record in chain.installs.iterrows():
        tool = f" with {record['tool_id']}" if _has(record.get("tool_id")) else ""
        lines.append(
            f"{amount(record['work_date'], 'day', units)}: applied "
            f"{amount(record.get('applied_nm'), 'torque', units)}{tool} ({_source(record)})."
        )
    for _, finding in chain.findings.iterrows():
        lines.append(
            f"{amount(finding['work_date'], 'day', units)}: found {finding['as_found']}, "
            f"action {finding['action']}{_left(finding, units)} ({_source(finding)})."
            + (f" Note: {finding['comment']}." if _has(finding.get("comment")) else "")
        )
    for _, row_ in chain.deferrals.iterrows():
        ends = "withdrawn" if row_.get("withdrawn") == "yes" else f"put off until {amount(row_['until'], 'day', units)}"
        past = " Before the reading: decide again." if row_["decided_on"] < row["survey_date"] else ""
        lines.append(
            f"{amount(row_['decided_on'], 'day', units)}: {ends} by {_or(row_['deferred_by'])}: "
            f"{_or(row_['reason'])}.{past}"
        )
    for _, notice in chain.notices.iterrows():
        limit = notice.get("limited_to_a")
        to = f" to {amount(limit, 'limit', units)}" if _has(limit) else ""
        safe = f" {codes.MADE_SAFE[notice['made_safe']]}{to}." if _has(notice.get("made_safe")) else ""
        safe += f" Note: {notice['note']}." if _has(notice.get("note")) else ""
        past = " Before the reading: tell them again." if notice["told_on"] < row["survey_date"] else ""
        lines.append(f"{amount(notice['told_on'], 'day', units)}: {notice['told']} told by {notice['by']}.{safe}{past}")
    for _, row_ in chain.renamings.iterrows():
        lines.append(
            f"Called {row_['was_id']} before {amount(row_['renamed_on'], 'day', units)}, says {row_['renamed_by']}: "
            f"{row_['reason']}."
        )
    for _, tool in chain.tools.iterrows():
        parts = [
            f"{words} {amount(tool.get(name), 'day', units)}"
            for name, words in (
                ("calibrated_on", "calibrated"),
                ("calibration_due", "due"),
                ("found_out_of_tolerance_on", "found out of tolerance"),
            )
            if _has(tool.get(name))
        ]
        lines.append(f"Tool {tool['tool_id']}: {', '.join(parts) or 'no calibration on record'}.")
    return "Torque record and what was done", lines


def _left(finding: pd.Series, units: Units) -> str:
    """The torque a finding leaves a joint at, what it says is required, tool and work order, as far as recorded."""
    left = finding.get("as_left_nm")
    parts = [f"left at {amount(left, 'torque', units)}"] if _has(left) else []
    low, high = (finding.get(f"required_{end}_nm") for end in ("low", "high"))
    if _has(low):
        asked = amount(low, "torque", units) + (f" to {amount(high, 'torque', units)}" if high > low else "")
        source = f" ({finding['required_source']})" if _has(finding.get("required_source")) else ""
        parts.append(f"required {asked}{source}")
    parts += [f"with {finding['tool_id']}"] if _has(finding.get("tool_id")) else []
    parts += [f"order {finding['work_order']}"] if _has(finding.get("work_order")) else []
    return f", {', '.join(parts)}" if parts else ""


def _state(row: pd.Series, name: str, words: str) -> str:
    """A state of the record with its meaning and reasons."""
    reasons = row[{"record_now": "record_now_reasons", "install_state": "install_reasons"}[name]]
    because = f" Reasons: {reasons}." if _has(reasons) and reasons else ""
    return f"{words}: {row[name]}. {codes.STATES[row[name]]}{because}"


def _action(chain: Chain) -> Section:
    row = chain.row
    lines = [
        f"{row['action'].capitalize()} ({row['urgency']}): {row['reason']}.",
        codes.ACTIONS[row["action"]],
        f"When: {codes.URGENCY[row['urgency']]}",
        f"From work to proof: {row['work']}." if row["work"] else "",
        f"Asked before the work: {row['asked']}." if row["asked"] != row["action"] and row["worked_after"] else "",
        f"Survey again: {row['resurvey_reason']}." if _has(row["resurvey_reason"]) and row["resurvey_reason"] else "",
    ]
    return "What to do", lines

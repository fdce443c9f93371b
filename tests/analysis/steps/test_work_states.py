"""From work to proof, case by case: reading, work or entry, day; then state, urgency, record now and words.

By hand from the method. A at 62 °C at 80 % load is 28 K over its coolest sibling: 4 as found and at full load, now;
without a record it is to be retightened, with a good one remade. At 42 °C it is 8 K: 2, next outage. At 46 °C it is
12 K, 18.8 K at full load and not for sure above 15: 3, soon. At 91 °C it is over its limit of 90. At 34.5 °C: 0.
"""

from __future__ import annotations

import itertools

import pandas as pd
import pytest

from riskscope.analysis.assess import assess
from riskscope.intake.read import read_frames
from riskscope.results.tables import results
from riskscope.words.render import Units
from tests.analysis.proof_cases import (
    DAY,
    Event,
    asks,
    assessed,
    defer,
    read,
    register,
    renamed,
    right,
    tell,
    tighten,
    told_of,
    tool,
    visit,
)
from tests.build import phases

HOT = read("2026-05-04", 62.0)
BURNT = read("2026-05-04", 91.0)
THREE = read("2026-05-04", 46.0)
TWO = read("2026-05-04", 42.0)
COOL = read("2026-05-04", 34.5)
GOOD = tighten("2026-02-01")  # a verified record before the reading
LOW = tighten("2026-02-01", 10.0)
PROOF = read("2026-05-25", 34.5, 60)
LOOSE = visit("2026-05-08", "loose", "none")
TOO_LOW = visit("2026-05-20", "tight", "remade", as_left_torque=10.0, torque_unit="N·m", tool_id="T1")
AS_ITS_LABEL = right("2026-05-20", "tight", "tightened", required_torque="25", required_source="label")
TO_40 = tighten("2026-05-20", 40.0, required_torque="")
OF_DEVICE = [register(connection_id=name, phase=name, device="CB1") for name in "ABC"]
DAMAGED = visit("2026-05-06", "damaged", "none")
FEEL = tighten("2026-05-10", None, method="by feel")
CR = register(termination_kind="compression")

CASES: dict[str, tuple[list[Event], tuple[str, str, str], str]] = {
    # nothing done
    "hot, no record": ([HOT], ("open", "now", "unrecorded"), "open"),
    "hot, good record": ([HOT, GOOD], ("open", "now", "verified"), "open"),
    "3 at full load": ([THREE, LOW], ("open", "soon", "under-torqued"), "open"),
    "2": ([TWO, LOW], ("open", "next outage", "under-torqued"), "open"),
    "cool, good record": ([COOL, GOOD], ("", "next survey", "verified"), ""),
    "cool, no record": ([COOL], ("open", "next outage", "unrecorded"), "open"),
    # work as asked
    "tightened right": ([HOT, tighten("2026-05-20")], ("awaiting proof", "soon", "verified"), "by 27 May 2026"),
    "a 3 tightened right": (
        [THREE, LOW, tighten("2026-05-20")],
        ("awaiting proof", "soon", "verified"),
        "by 19 June 2026",
    ),
    "a 2 tightened right": (
        [TWO, LOW, tighten("2026-05-20")],
        ("awaiting proof", "next survey", "verified"),
        "at the next survey",
    ),
    "retighten asked, remade with its torque": (
        [HOT, LOW, right("2026-05-20", "loose", "remade")],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof: remade",
    ),
    "remake asked, remade with its torque": (
        [HOT, GOOD, right("2026-05-20", "tight", "remade")],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof: remade",
    ),
    "replaced with its torque": (
        [HOT, GOOD, right("2026-05-20", "tight", "replaced")],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof: replaced",
    ),
    "a cool joint checked right": ([COOL, tighten("2026-05-20")], ("", "next survey", "verified"), ""),
    "burnt and remade": (
        [BURNT, GOOD, right("2026-05-20", "discoloured", "remade")],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof",
    ),
    # work that is less than asked, or not to be believed
    "tightened to 10 of 25": (
        [HOT, tighten("2026-05-20", 10.0)],
        ("repair in doubt", "now", "under-torqued"),
        "below required",
    ),
    "remake asked, tightened": (
        [HOT, GOOD, tighten("2026-05-20")],
        ("repair in doubt", "now", "verified"),
        "remake was asked, tightened is on record",
    ),
    "over its limit, tightened": (
        [BURNT, tighten("2026-05-20")],
        ("repair in doubt", "now", "verified"),
        "remake was asked",
    ),
    "remade without a torque": (
        [HOT, GOOD, visit("2026-05-20", "loose", "remade")],
        ("repair in doubt", "now", "unrecorded"),
        "without a torque record",
    ),
    "checked, none": (
        [HOT, GOOD, visit("2026-05-20", "tight", "none")],
        ("repair in doubt", "now", "verified"),
        "checked is on record",
    ),
    "tightened by feel": (
        [HOT, tighten("2026-05-20", None, method="by feel")],
        ("repair in doubt", "now", "unrecorded"),
        "by feel",
    ),
    "with a tool nobody listed": (
        [HOT, tighten("2026-05-20", tool_id="T9")],
        ("repair in doubt", "now", "doubtful"),
        "not in the tool list",
    ),
    "a 2 tightened to 10 of 25": (
        [TWO, LOW, tighten("2026-05-20", 10.0)],
        ("repair in doubt", "next outage", "under-torqued"),
        "below required",
    ),
    "found loose and left": (
        [COOL, GOOD, visit("2026-05-20", "loose", "none")],
        ("open", "soon", "found loose"),
        "open: found loose on 20 May 2026, no work that put it right since",
    ),
    "found damaged and left": (
        [COOL, GOOD, visit("2026-05-20", "damaged", "none")],
        ("open", "now", "verified"),
        "open: found damaged on 20 May 2026, no remake recorded right since",
    ),
    "found damaged, then remade right": (
        [COOL, GOOD, visit("2026-05-10", "damaged", "none"), right("2026-05-20", "damaged", "remade")],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof: remade on 20 May 2026; survey again under load at the next survey",
    ),
    "found damaged, remade right and read cool": (
        [COOL, GOOD, visit("2026-05-10", "damaged", "none"), right("2026-05-20", "damaged", "remade"), PROOF],
        ("", "next survey", "verified"),
        "",
    ),
    "found loose and tightened right": (
        [COOL, GOOD, right("2026-05-20", "loose", "tightened")],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof: tightened on 20 May 2026",
    ),
    "found damaged, remade without a torque, then no load": (
        [
            COOL,
            visit("2026-05-10", "damaged", "none"),
            visit("2026-05-20", "tight", "remade"),
            read("2026-05-25", 30.5, 0),
        ],
        ("repair in doubt", "now", "unrecorded"),
        "at 0 % load: worse evidence (not rated), it takes nothing back",
    ),
    "found damaged, remade without a torque, still hot": (
        [HOT, visit("2026-05-10", "damaged", "none"), visit("2026-05-20", "tight", "remade"), read("2026-05-25", 62.0)],
        ("not cured", "now", "unrecorded"),
        "not cured: still hot after the work of 20 May 2026",
    ),
    "rated less, but no cooler": (
        [read("2026-05-04", 62.0), read("2026-05-25", 62.5, similar_c=55.0)],
        ("open", "now", "unrecorded"),
        "worse evidence (still hot, or no cooler), it takes nothing back",
    ),
    "still hot, rated less": (
        [BURNT, read("2026-05-25", 46.0)],
        ("open", "now", "unrecorded"),
        "worse evidence (still hot, or no cooler), it takes nothing back",
    ),
    "locked, though nothing is to be done": (
        [COOL, GOOD, tell("2026-05-05", made_safe="switched off and locked")],
        ("made safe", "next survey", "verified"),
        "made safe, do not restore: switched off and locked",
    ),
    "only put off in a finding": (
        [
            HOT,
            visit(
                "2026-05-20",
                "not checked",
                "none",
                deferred_by="P. Lowe",
                deferred_until="2026-09-01",
                comment="no spare part",
            ),
        ],
        ("put off", "now", "unrecorded"),
        "until 1 September 2026: no spare part",
    ),
    "on the day of the reading, no times": ([HOT, tighten("2026-05-04")], ("open", "now", "verified"), "open"),
    "before the reading of that day": (
        [read("2026-05-04", 62.0, survey_time="14:00"), tighten("2026-05-04", work_time="09:00")],
        ("open", "now", "verified"),
        "open",
    ),
    "after the reading of that day": (
        [read("2026-05-04", 62.0, survey_time="09:00"), tighten("2026-05-04", work_time="14:00")],
        ("awaiting proof", "soon", "verified"),
        "by 11 May 2026",
    ),
    "contradictory": (
        [HOT, GOOD, right("2026-05-20", "tight", "remade"), visit("2026-05-20", "loose", "none")],
        ("contradictory", "now", "found loose"),
        "contradict each other",
    ),
    "the same with times agrees": (
        [
            HOT,
            GOOD,
            visit("2026-05-20", "loose", "none", work_time="09:00"),
            right("2026-05-20", "tight", "remade", work_time="11:00"),
        ],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof",
    ),
    "tightened right, remade to less, says one, and left, says another of that day, cool": (
        [HOT, tighten("2026-05-10"), TOO_LOW, visit("2026-05-20", "tight", "none"), read("2026-05-26", 34.5)],
        ("cool, record in doubt", "soon", "doubtful"),
        "findings of one day contradict each other",
    ),
    "tightened right, remade to less, says one with a time, and left, says another of that day, cool": (
        [
            HOT,
            tighten("2026-05-10"),
            visit("2026-05-20", "tight", "remade", as_left_torque=10.0, torque_unit="N·m", work_time="12:00"),
            visit("2026-05-20", "tight", "none"),
            read("2026-05-26", 34.5),
        ],
        ("cool, record in doubt", "soon", "doubtful"),
        "findings of one day contradict each other",
    ),
    "tightened right, remade by a word, says one, and left, says another of that day, cool": (
        [
            HOT,
            tighten("2026-05-10"),
            visit("2026-05-20", "tight", "remade"),
            visit("2026-05-20", "tight", "none"),
            read("2026-05-26", 34.5),
        ],
        ("cool, record in doubt", "soon", "doubtful"),
        "findings of one day contradict each other",
    ),
    "tightened right and cool, then remade to less, says one, and left, says another of that day": (
        [HOT, tighten("2026-05-10"), read("2026-05-15", 34.5), TOO_LOW, visit("2026-05-20", "tight", "none")],
        ("contradictory", "soon", "doubtful"),
        "contradict each other",
    ),
    "never hot, remade to less, says one, and left, says another of that day, cool": (
        [tighten("2026-05-10"), TOO_LOW, visit("2026-05-20", "tight", "none"), read("2026-05-26", 34.5)],
        ("open", "next outage", "doubtful"),
        "open since 26 May 2026",
    ),
    "contradictory, then tightened right and cool": (
        [HOT, TOO_LOW, visit("2026-05-20", "tight", "none"), tighten("2026-05-22"), read("2026-05-26", 34.5)],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 22 May 2026",
    ),
    "its device replaced, says one of another joint of it, and left, says another of that day": (
        [
            *OF_DEVICE,
            HOT,
            tighten("2026-05-10"),
            visit("2026-05-20", "tight", "replaced", connection_id="B"),
            visit("2026-05-20", "tight", "none", connection_id="B"),
            read("2026-05-26", 34.5),
        ],
        ("cool, record in doubt", "soon", "doubtful"),
        "findings of one day contradict each other",
    ),
    "its device perhaps replaced, then tightened right and cool": (
        [
            *OF_DEVICE,
            HOT,
            tighten("2026-05-22"),
            visit("2026-05-20", "tight", "replaced", connection_id="B"),
            visit("2026-05-20", "tight", "none", connection_id="B"),
            read("2026-05-26", 34.5),
        ],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 22 May 2026",
    ),
    "damaged, remade by a word and hot, remade right, says one and denies another, then tightened right": (
        [
            visit("2026-05-06", "damaged", "remade"),
            read("2026-05-08", 62.0),
            right("2026-05-12", "tight", "remade", required_torque="25", required_source="label"),
            visit("2026-05-12", "tight", "none"),
            tighten("2026-05-20"),
            read("2026-05-26", 33.0, 45),
        ],
        ("open", "now", "verified"),
        "found damaged on 6 May 2026, no remake recorded right since",
    ),
    "contradictory, and worked on again": (
        [
            HOT,
            GOOD,
            right("2026-05-20", "tight", "remade"),
            visit("2026-05-20", "loose", "none"),
            right("2026-05-22", "tight", "remade"),
        ],
        ("awaiting proof", "soon", "verified"),
        "by 29 May 2026",
    ),
    "doubtful, read cooler, then right": (
        [HOT, LOW, tighten("2026-05-10", 10.0), read("2026-05-14", 42.0, load_steady_min=5), tighten("2026-05-20")],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof: tightened on 20 May 2026",
    ),
    # proof
    "proved, then looked at": (
        [HOT, tighten("2026-05-20"), PROOF, visit("2026-05-28", "tight", "none")],
        ("proved", "next survey", "verified"),
        "proved",
    ),
    "proved": ([HOT, tighten("2026-05-20"), PROOF], ("proved", "next survey", "verified"), "at 60 % load"),
    "cool at half its current": (
        [HOT, tighten("2026-05-20"), read("2026-05-25", 34.5, 40)],
        ("proved", "next survey", "verified"),
        "at 40 % load",
    ),
    "at 39 %": (
        [HOT, tighten("2026-05-20"), read("2026-05-25", 34.5, 39)],
        ("awaiting proof", "soon", "verified"),
        "read again on 25 May 2026 at 39 % load: worse evidence (at too little load)",
    ),
    "at less than half its current": (
        [read("2026-05-04", 62.0, 100), tighten("2026-05-20"), read("2026-05-25", 34.5, 45)],
        ("proved in part", "soon", "verified"),
        "proved to 45 % of full load only",
    ),
    "colder than its siblings allow": (
        [HOT, tighten("2026-05-20"), read("2026-05-25", 30.5, 60)],
        ("awaiting proof", "soon", "verified"),
        "worse evidence (reads cold",
    ),
    "below the air": (
        [HOT, tighten("2026-05-20"), read("2026-05-25", 27.0, 60)],
        ("awaiting proof", "soon", "verified"),
        "worse evidence (reads cold",
    ),
    "beside a reference that is hotter": (
        [HOT, tighten("2026-05-20"), read("2026-05-25", 36.0, 60, similar_c=60.0)],
        ("awaiting proof", "soon", "verified"),
        "worse evidence (reads cold",
    ),
    "beside one that is off the scale": (
        [
            HOT,
            tighten("2026-05-20"),
            read("2026-05-25", 34.5, 60),
            ("survey", {"survey_date": "2026-05-25", "celsius": "OL", "load_pct": 60}),
        ],
        ("awaiting proof", "soon", "verified"),
        "another reading of it was refused: it may be the hottest), it takes nothing back",
    ),
    "burnt, tightened right, cool at half the current": (
        [BURNT, LOW, tighten("2026-05-20"), read("2026-05-25", 34.5, 40)],
        ("repair in doubt", "now", "verified"),
        "remake was asked, tightened is on record",
    ),
    "burnt, tightened by feel, cool at half the current": (
        [BURNT, LOW, tighten("2026-05-20", applied=None, method="by feel"), read("2026-05-25", 34.5, 40)],
        ("repair in doubt", "now", "unrecorded"),
        "at less current), it takes nothing back",
    ),
    "burnt, tightened right, cool at like current": (
        [BURNT, LOW, tighten("2026-05-20"), read("2026-05-25", 34.5)],
        ("open", "soon", "verified"),
        "was hotter, and no work since is proved",
    ),
    "burnt, tightened right, then remade, cool at half the current": (
        [BURNT, LOW, tighten("2026-05-20"), right("2026-05-21", "tight", "remade"), read("2026-05-25", 34.5, 40)],
        ("proved", "next survey", "verified"),
        "proved",
    ),
    "burnt, tightened right, hot again": (
        [BURNT, LOW, tighten("2026-05-20"), read("2026-05-25", 91.0)],
        ("not cured", "now", "verified"),
        "still hot after the work of 20 May 2026",
    ),
    "burnt, on another day hot without a time and cool with one": (
        [BURNT, read("2026-05-20", 34.0, survey_time="10:00"), read("2026-05-20", 62.0, survey_id="other")],
        ("open", "now", "unrecorded"),
        "order of the day not known",
    ),
    "burnt, on another day hot before it was cool": (
        [
            BURNT,
            read("2026-05-20", 34.0, survey_time="10:00"),
            read("2026-05-20", 62.0, survey_id="other", survey_time="09:00"),
        ],
        ("open", "soon", "unrecorded"),
        "joints can weld and cool",
    ),
    "remade, on another day hot without a time and cool with one": (
        [
            BURNT,
            LOW,
            right("2026-05-12", "tight", "remade"),
            read("2026-05-20", 34.0, 50, survey_time="10:00"),
            read("2026-05-20", 44.0, 50, survey_id="other"),
        ],
        ("not cured", "now", "verified"),
        "order of the day not known",
    ),
    "hot at no load, cool at hardly any": (
        [read("2026-05-04", 120.0, 0), read("2026-05-25", 31.0, 5)],
        ("open", "now", "unrecorded"),
        "at less current), it takes nothing back",
    ),
    "hot at hardly any load, cool at 40 %": (
        [read("2026-05-04", 91.0, 9.9), read("2026-05-25", 34.0, 40)],
        ("open", "now", "unrecorded"),
        "at less current), it takes nothing back",
    ),
    "burnt at 5 %, cool at a load nobody knows": (
        [read("2026-03-04", 91.0, 5), read("2026-05-25", 34.0, None)],
        ("open", "now", "unrecorded"),
        "it takes nothing back",
    ),
    "burnt at 60 % and at a load nobody knows, cool at a load nobody knows": (
        [read("2026-03-04", 91.0, 60), read("2026-04-20", 91.0, None), read("2026-05-25", 34.0, None)],
        ("open", "now", "unrecorded"),
        "it takes nothing back",
    ),
    "burnt at 60 % and at no load, cool at 60 %": (
        [read("2026-05-04", 91.0, 60), read("2026-05-08", 91.0, 0), read("2026-05-25", 34.0, 60)],
        ("open", "now", "unrecorded"),
        "at less current), it takes nothing back",
    ),
    "burnt on the day of a tightening, in an order nobody knows, cool at half the current": (
        [
            read("2026-05-04", 62.0, 60),
            LOW,
            read("2026-05-05", 95.0),
            tighten("2026-05-05"),
            read("2026-05-15", 34.0, 50),
        ],
        ("open", "now", "verified"),
        "it takes nothing back",
    ),
    "over its limit at no load in a survey in which it was hot at full load": (
        [
            read("2026-05-04", 55.0, 100, survey_id="S"),
            read("2026-05-10", 120.0, 0, survey_id="S"),
            tighten("2026-05-15"),
        ],
        ("repair in doubt", "now", "verified"),
        "check circuit was asked",
    ),
    "over its limit at hardly any load, and milder at half load in the same survey": (
        [
            read("2026-05-04", 91.0, 5, survey_id="S"),
            read("2026-05-04", 55.0, 50, survey_id="S"),
            read("2026-05-20", 34.5, 40),
        ],
        ("open", "now", "unrecorded"),
        "open",
    ),
    "hot though tight, then over its limit behind a closed cover": (
        [read("2026-05-04", 55.0), GOOD, read("2026-05-15", 91.0, cover="closed"), tighten("2026-05-20")],
        ("repair in doubt", "now", "verified"),
        "remake was asked, tightened is on record",
    ),
    "hot though tight, and over its limit behind a closed cover in the same survey": (
        [
            read("2026-05-04", 55.0, survey_id="S"),
            GOOD,
            read("2026-05-04", 91.0, survey_id="S", cover="closed"),
            tighten("2026-05-20"),
        ],
        ("repair in doubt", "now", "verified"),
        "remake was asked, tightened is on record",
    ),
    "over its limit behind a closed cover, tightened: a cool reading is as one without a remake": (
        [HOT, read("2026-05-15", 91.0, cover="closed"), tighten("2026-05-20"), PROOF],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof",
    ),
    "over its limit behind a closed cover in the same survey, tightened": (
        [
            read("2026-05-04", 62.0, survey_id="S"),
            read("2026-05-04", 91.0, survey_id="S", cover="closed"),
            tighten("2026-05-20"),
            PROOF,
        ],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof",
    ),
    "over its limit behind a closed cover, remade, and cool": (
        [HOT, LOW, read("2026-05-15", 91.0, cover="closed"), right("2026-05-20", "loose", "remade"), PROOF],
        ("proved", "next survey", "verified"),
        "proved",
    ),
    "over its limit behind a closed cover, remade, hot again, tightened, and cool": (
        [
            HOT,
            LOW,
            read("2026-05-08", 91.0, cover="closed"),
            right("2026-05-12", "loose", "remade"),
            read("2026-05-15", 62.0),
            right("2026-05-20", "loose", "remade"),
            PROOF,
        ],
        ("proved", "next survey", "verified"),
        "proved",
    ),
    "hot though tight, tightened to less, hot still, tightened right": (
        [read("2026-05-04", 55.0), GOOD, tighten("2026-05-06", 10.0), read("2026-05-10", 56.0), tighten("2026-05-20")],
        ("repair in doubt", "now", "verified"),
        "remake was asked, tightened is on record",
    ),
    "hot though tight, tightened to less, hot still, remade": (
        [
            read("2026-05-04", 55.0),
            GOOD,
            tighten("2026-05-06", 10.0),
            read("2026-05-10", 56.0),
            right("2026-05-20", "loose", "remade"),
        ],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof: remade",
    ),
    "burnt in a survey, remade the next day, hot that day in an order nobody knows": (
        [
            tighten("2026-03-01"),
            read("2026-05-04", 91.0, survey_id="S"),
            read("2026-05-05", 62.0, survey_id="S"),
            right("2026-05-05", "not checked", "remade"),
        ],
        ("open", "now", "verified"),
        "open",
    ),
    "hot, cool in another survey, hot again in the first": (
        [
            read("2026-05-04", 91.0, 100, survey_id="X"),
            read("2026-05-08", 34.5, 80, survey_id="Y"),
            read("2026-05-25", 62.0, 80, survey_id="X"),
        ],
        ("open", "now", "unrecorded"),
        "open",
    ),
    "cool beside siblings that are hot that day, in a survey that began weeks before": (
        [
            tighten("2026-03-01"),
            read("2026-05-04", 55.0, 100, survey_id="S"),
            tighten("2026-05-15"),
            read("2026-05-28", 34.5, 80, survey_id="S", siblings=(90.0, 90.5)),
            read("2026-05-28", 34.6, 80, survey_id="S", siblings=(90.2, 90.6)),
        ],
        ("repair in doubt", "now", "verified"),
        "remake was asked, tightened is on record",
    ),
    "over its limit at a tenth of full load, cool at a tenth": (
        [read("2026-05-04", 91.0, 10), read("2026-05-20", 34.5, 10)],
        ("open", "soon", "unrecorded"),
        "was hotter, and no work since is proved",
    ),
    "over its limit at less than a tenth of full load, cool at a tenth": (
        [read("2026-05-04", 91.0, 9.9), read("2026-05-20", 34.5, 10)],
        ("open", "now", "unrecorded"),
        "it takes nothing back",
    ),
    "off the scale on another day": (
        [("survey", {"survey_date": "2026-05-01", "celsius": "OL", "load_pct": 60}), HOT, tighten("2026-05-20"), PROOF],
        ("proved", "next survey", "verified"),
        "proved",
    ),
    "not cured, and hot again": (
        [HOT, tighten("2026-05-20"), read("2026-05-25", 62.0), read("2026-05-28", 62.0)],
        ("not cured", "now", "verified"),
        "not cured: still hot after the work of 20 May 2026",
    ),
    "not cured, hotter still": (
        [HOT, tighten("2026-05-20"), read("2026-05-25", 50.0), read("2026-05-28", 70.0)],
        ("not cured", "now", "verified"),
        "not cured: still hot after the work of 20 May 2026",
    ),
    "not cured, worked on again": (
        [HOT, tighten("2026-05-20"), read("2026-05-25", 62.0), right("2026-05-26", "loose", "remade")],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof: remade on 26 May 2026",
    ),
    "still hot": (
        [HOT, tighten("2026-05-20"), read("2026-05-25", 62.0)],
        ("not cured", "now", "verified"),
        "still hot after the work of 20 May 2026",
    ),
    "still a 2": (
        [HOT, tighten("2026-05-20"), read("2026-05-25", 42.0)],
        ("not cured", "soon", "verified"),  # rated 2; but nothing has proved a joint that was 4
        "not cured",
    ),
    "still a 2 after 10 of 25": (
        [HOT, tighten("2026-05-20", 10.0), read("2026-05-25", 42.0)],
        ("not cured", "now", "under-torqued"),
        "read again on 25 May 2026 at 80 % load: worse evidence (still hot, or no cooler)",
    ),
    "still a 2 after 10 of 25, worked on right since": (
        [HOT, tighten("2026-05-20", 10.0), read("2026-05-25", 42.0), tighten("2026-05-27")],
        ("awaiting proof", "soon", "verified"),
        "by 3 June 2026",
    ),
    "still a 2, a remake asked for and tightened": (
        [HOT, GOOD, tighten("2026-05-20"), read("2026-05-25", 42.0)],
        ("not cured", "now", "verified"),
        "not cured: still hot after the work of 20 May 2026",
    ),
    "still a 2, burnt and tightened": (
        [BURNT, tighten("2026-05-20"), read("2026-05-25", 42.0)],
        ("not cured", "now", "verified"),
        "not cured: still hot after the work of 20 May 2026",
    ),
    "still a 2, burnt and remade": (
        [BURNT, GOOD, right("2026-05-20", "discoloured", "remade"), read("2026-05-25", 42.0)],
        ("not cured", "soon", "verified"),
        "not cured: still hot after the work of 20 May 2026",
    ),
    "still a 2 twice, the second after a repair in doubt": (
        [
            BURNT,
            right("2026-05-08", "loose", "remade"),
            read("2026-05-12", 91.0),
            tighten("2026-05-14", 10.0),
            read("2026-05-20", 42.0),
        ],
        ("not cured", "now", "under-torqued"),
        "not cured: still hot after the work of 14 May 2026",
    ),
    "no cooler, but its siblings are as warm now": (
        [HOT, tighten("2026-05-20", 10.0), read("2026-05-25", 62.0, siblings=(61.0, 61.5))],
        ("repair in doubt", "now", "under-torqued"),
        "read again on 25 May 2026 at 80 % load: worse evidence (still hot, or no cooler)",
    ),
    "no cooler after right work": (
        [HOT, tighten("2026-05-20"), read("2026-05-25", 62.0, siblings=(61.0, 61.5))],
        ("awaiting proof", "soon", "verified"),
        "worse evidence (still hot, or no cooler)",
    ),
    "cooler, and its siblings warm": (
        [HOT, tighten("2026-05-20"), read("2026-05-25", 55.0, siblings=(54.0, 54.5))],
        ("proved", "next outage", "verified"),
        "proved",
    ),
    "cool beside a hotter sibling only": (
        [read("2026-05-04", 92.0, 60, siblings=(41.0, 40.0)), read("2026-05-20", 60.0, 100, siblings=(75.0,))],
        ("open", "now", "unrecorded"),
        "worse evidence (reads cold: a wrong reading, an open path, or its siblings are hot)",
    ),
    "remade, and cool beside a hotter sibling only": (
        [
            read("2026-05-04", 92.0, 60, siblings=(41.0, 40.0)),
            GOOD,
            right("2026-05-10", "loose", "remade"),
            read("2026-05-20", 60.0, 100, siblings=(75.0,)),
        ],
        ("awaiting proof", "soon", "verified"),
        "worse evidence (reads cold",
    ),
    "remade, and well below its only sibling, warm over the air": (
        [HOT, GOOD, right("2026-05-10", "loose", "remade"), read("2026-05-20", 42.0, 100, siblings=(45.2,))],
        ("awaiting proof", "soon", "verified"),
        "worse evidence (reads cold",
    ),
    "remade, and little below its only sibling": (
        [HOT, GOOD, right("2026-05-10", "loose", "remade"), read("2026-05-20", 42.0, 100, siblings=(44.0,))],
        ("proved", "next survey", "verified"),
        "proved",
    ),
    "remade, and cool over the air, beside a hotter sibling": (
        [
            read("2026-05-04", 92.0, 60, siblings=(41.0, 40.0)),
            GOOD,
            right("2026-05-10", "loose", "remade"),
            read("2026-05-20", 40.0, 100, siblings=(75.0,)),
        ],
        ("proved", "next survey", "verified"),
        "proved",
    ),
    "hot at the larger current first, then hotter at less": (
        [
            read("2026-05-04", 85.0, 100, survey_time="10:00"),
            read("2026-05-04", 92.0, 42, survey_time="14:00"),
            read("2026-05-20", 34.5, 42),
        ],
        ("open", "now", "unrecorded"),
        "worse evidence (at less current)",
    ),
    "hot at the larger current first, then hotter at less, remade": (
        [
            read("2026-05-04", 85.0, 100, survey_time="10:00"),
            read("2026-05-04", 92.0, 42, survey_time="14:00"),
            GOOD,
            right("2026-05-10", "loose", "remade"),
            read("2026-05-20", 34.5, 42),
        ],
        ("proved in part", "soon", "verified"),
        "proved to 42 % of full load only",
    ),
    "hot at no load known, and at a known one": (
        [
            read("2026-05-04", 91.0, None),
            read("2026-05-04", 91.0, 60, survey_time="14:00"),
            read("2026-05-20", 34.5, 50),
        ],
        ("open", "now", "unrecorded"),
        "worse evidence (at less current)",
    ),
    "looked at, with a torque it was left at": (
        [
            HOT,
            visit("2026-05-10", "tight", "none", as_left_torque=25.0, torque_unit="N·m", tool_id="T1"),
            read("2026-05-20", 34.5),
        ],
        ("open", "soon", "doubtful"),
        "was hotter, and no work since is proved",
    ),
    "remade right, and found damaged since": (
        [HOT, GOOD, right("2026-05-10", "tight", "remade"), visit("2026-05-20", "damaged", "none")],
        ("repair in doubt", "now", "verified"),
        "repair in doubt: remade on 10 May 2026, found damaged on 20 May 2026 since",
    ),
    "nobody told": ([HOT], ("open", "now", "unrecorded"), "open since 4 May 2026; no notice on record"),
    "load limited, to nobody knows what": (
        [HOT, tell("2026-05-20", made_safe="load limited")],
        ("told", "now", "unrecorded"),
        "NOT made safe: the load is said to be limited, to what is not recorded",
    ),
    "limited below its full load, read at a current nobody knows": (
        [read("2026-05-04", 62.0, None, rated_a=200), tell("2026-05-05", made_safe="load limited", limited_to_a=150)],
        ("told", "now", "unrecorded"),
        "NOT known to be made safe: the load is limited to 150 A",
    ),
    "proved to less current, and made safe": (
        [
            read("2026-05-04", 62.0, 100),
            GOOD,
            tell("2026-05-05", made_safe="switched off and locked"),
            right("2026-05-20", "tight", "remade"),
            read("2026-05-25", 34.5, 45),
        ],
        ("proved in part", "soon", "verified"),
        "survey again once it may be restored, who made it safe decides; made safe, do not restore",
    ),
    "locked, then said to be limited to more than it was read at": (
        [
            read("2026-05-04", 62.0, None, load_a=80, rated_a=100),
            tell("2026-05-20", made_safe="switched off and locked"),
            tell("2026-05-22", made_safe="load limited", limited_to_a=90),
        ],
        ("told", "now", "unrecorded"),
        "switched off and locked earlier and not lifted on record: say whether it still is",
    ),
    "remade, and read at more current beside a hotter reference": (
        [HOT, GOOD, right("2026-05-20", "loose", "remade"), read("2026-05-25", 62.0, 100, similar_c=75.0)],
        ("not cured", "now", "verified"),
        "worse evidence (reads cold",
    ),
    "locked and lifted on one day": (
        [HOT, tell("2026-05-20", made_safe="switched off and locked"), tell("2026-05-20", made_safe="lifted")],
        ("told", "now", "unrecorded"),
        "made safe and lifted that day, in what order is not recorded: the lifting counts",
    ),
    "cooled, its record wanting": (
        [BURNT, read("2026-05-20", 34.5, 80)],
        ("open", "soon", "unrecorded"),
        "was hotter, and no work since is proved",
    ),
    "hot on the day of the work, the order not known, and hot again": (
        [BURNT, GOOD, right("2026-05-20", "loose", "remade"), read("2026-05-20", 48.0, 50), read("2026-05-27", 70.0)],
        ("not cured", "now", "verified"),
        "not cured: still hot after the work of 20 May 2026",
    ),
    "remade, hot again, then only tightened": (
        [BURNT, GOOD, right("2026-05-06", "loose", "remade"), read("2026-05-10", 55.0, 60), tighten("2026-05-20")],
        ("repair in doubt", "now", "verified"),
        "remake was asked, tightened is on record",
    ),
    "hotter by load in between, cool at under half of that": (
        [read("2026-05-04", 85.0, 45), read("2026-05-08", 70.0, 100), read("2026-05-16", 34.5, 45)],
        ("open", "now", "unrecorded"),
        "worse evidence (at less current)",
    ),
    "hotter by load in between, tightened, cool at under half of that": (
        [
            read("2026-05-04", 85.0, 45),
            GOOD,
            read("2026-05-08", 70.0, 100),
            tighten("2026-05-17"),
            read("2026-05-26", 34.5, 45),
        ],
        ("repair in doubt", "now", "verified"),
        "remake was asked, tightened is on record",
    ),
    "a mild reading without a load long before": (
        [read("2026-04-20", 50.0, None), read("2026-05-04", 85.0, 45), read("2026-05-19", 34.5, None)],
        ("open", "now", "unrecorded"),
        "worse evidence (at less current)",
    ),
    "burnt, cooled, hot again below its limit, tightened": (
        [BURNT, read("2026-05-08", 34.5), read("2026-05-15", 62.0), tighten("2026-05-20")],
        ("repair in doubt", "now", "verified"),
        "remake was asked, tightened is on record",
    ),
    "burnt, then hot below its limit, tightened": (
        [BURNT, read("2026-05-06", 62.0), tighten("2026-05-20")],
        ("repair in doubt", "now", "verified"),
        "remake was asked, tightened is on record",
    ),
    "burnt, tightened by feel, hot below its limit, tightened": (
        [BURNT, tighten("2026-05-06", None, method="by feel"), read("2026-05-12", 62.0), tighten("2026-05-20")],
        ("repair in doubt", "now", "verified"),
        "remake was asked, tightened is on record",
    ),
    "its device replaced under a sibling, then a 3": (
        [
            read("2026-05-04", 62.0, device="breaker"),
            tighten("2026-05-10"),
            visit("2026-05-12", "damaged", "replaced", connection_id="C"),
            read("2026-05-20", 46.0, device="breaker"),
        ],
        ("not cured", "now", "unrecorded"),
        "not cured: still hot after the work of 12 May 2026",
    ),
    "not to be retightened, tightened, still a 2": (
        [HOT, register(retighten_allowed="no"), tighten("2026-05-10"), read("2026-05-20", 42.0)],
        ("not cured", "now", "verified"),
        "not cured: still hot after the work of 10 May 2026",
    ),
    "a device body is not put right by a remake, still a 2": (
        [
            read("2026-05-04", 62.0, point="device body"),
            GOOD,
            right("2026-05-10", "loose", "remade"),
            read("2026-05-20", 42.0, point="device body"),
        ],
        ("not cured", "now", "verified"),
        "not cured: still hot after the work of 10 May 2026",
    ),
    "a crimp, still a 2, made again without its die": (
        [HOT, CR, visit("2026-05-20", "loose", "remade"), read("2026-05-25", 42.0)],
        ("not cured", "now", "unrecorded"),
        "not cured: still hot after the work of 20 May 2026",
    ),
    "a crimp, still a 2, made again with its die": (
        [HOT, CR, visit("2026-05-20", "loose", "remade", tool_id="T1"), read("2026-05-25", 42.0)],
        ("not cured", "soon", "unrecorded"),
        "not cured: still hot after the work of 20 May 2026",
    ),
    "a 2 at half the current": (
        [HOT, tighten("2026-05-20"), read("2026-05-25", 42.0, 40)],
        ("not cured", "now", "verified"),
        "not cured",
    ),
    "read through a window": (
        [HOT, tighten("2026-05-20"), read("2026-05-25", 34.5, 80, cover="window")],
        ("awaiting proof", "soon", "verified"),
        "read again on 25 May 2026",
    ),
    "read 5 minutes after": (
        [HOT, tighten("2026-05-20", work_time="10:00"), read("2026-05-20", 34.5, 80, survey_time="10:05")],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof",
    ),
    "read 30 minutes after": (
        [HOT, tighten("2026-05-20", work_time="10:00"), read("2026-05-20", 34.5, 80, survey_time="10:30")],
        ("proved", "next survey", "verified"),
        "proved",
    ),
    "read 10 minutes after, past midnight": (
        [HOT, tighten("2026-05-20", work_time="23:55"), read("2026-05-21", 34.5, 80, survey_time="00:05")],
        ("awaiting proof", "soon", "verified"),
        "worse evidence (too soon after the work)",
    ),
    "read 30 minutes after, past midnight": (
        [HOT, tighten("2026-05-20", work_time="23:55"), read("2026-05-21", 34.5, 80, survey_time="00:25")],
        ("proved", "next survey", "verified"),
        "proved",
    ),
    "cool on the day of the work, no times": (
        [HOT, tighten("2026-05-20"), read("2026-05-20", 34.5)],
        ("awaiting proof", "soon", "verified"),
        "read again on 20 May 2026",
    ),
    "hot on the day of the work, no times": (
        [HOT, tighten("2026-05-20"), read("2026-05-20", 62.0)],
        ("open", "now", "verified"),
        "open",
    ),
    "cool, but by feel": (
        [HOT, tighten("2026-05-20", None, method="by feel"), PROOF],
        ("cool, record in doubt", "soon", "unrecorded"),
        "by feel",
    ),
    "a 2, cool, but by feel": (
        [TWO, LOW, tighten("2026-05-20", None, method="by feel"), PROOF],
        ("cool, record in doubt", "next outage", "unrecorded"),
        "by feel",
    ),
    "cool, but remade by a word alone": (
        [HOT, visit("2026-05-20", "loose", "remade"), PROOF],
        ("cool, record in doubt", "soon", "unrecorded"),
        "was hotter, and no work since is proved",
    ),
    "remade by a word alone, cool in three surveys": (
        [
            read("2026-01-05", 62.0),
            visit("2026-01-20", "loose", "remade"),
            *(read(day, 34.5) for day in ("2026-02-25", "2026-03-30", "2026-05-05")),
        ],
        ("cool, record in doubt", "soon", "unrecorded"),
        "was hotter, and no work since is proved",
    ),
    "by feel, cool, by feel again": (
        [HOT, tighten("2026-05-20", None, method="by feel"), PROOF, tighten("2026-05-28", None, method="by feel")],
        ("repair in doubt", "soon", "unrecorded"),
        "by feel",
    ),
    "by feel, cool, then the torque": (
        [HOT, tighten("2026-05-20", None, method="by feel"), PROOF, tighten("2026-05-28")],
        ("", "next survey", "verified"),
        "",
    ),
    "hot though tight, tightened, cool at half the current": (
        [HOT, GOOD, tighten("2026-05-20"), PROOF],
        ("repair in doubt", "now", "verified"),
        "remake was asked, tightened is on record",
    ),
    "hot though tight, by feel, cool at half the current, tightened": (
        [HOT, GOOD, tighten("2026-05-10", None, method="by feel"), read("2026-05-12", 34.5, 45), tighten("2026-05-16")],
        ("repair in doubt", "now", "verified"),
        "remake was asked, tightened is on record",
    ),
    "found damaged, remade by a word alone, cool": (
        [COOL, visit("2026-05-08", "damaged", "none"), visit("2026-05-10", "not checked", "remade"), PROOF],
        ("open", "soon", "unrecorded"),
        "was found damaged or loose before, and that this was put right is not proved",
    ),
    "found damaged, remade with its torque, cool": (
        [COOL, GOOD, visit("2026-05-08", "damaged", "none"), right("2026-05-10", "not checked", "remade"), PROOF],
        ("", "next survey", "verified"),
        "",
    ),
    # found bad, worked on, and no record that says it is right
    "found loose, by feel, then cool": (
        [COOL, LOOSE, FEEL, PROOF],
        ("open", "soon", "unrecorded"),
        "was found damaged or loose before, and that this was put right is not proved",
    ),
    "found loose, by feel, then cool and found tight": (
        [COOL, LOOSE, FEEL, PROOF, visit("2026-05-28", "tight", "none")],
        ("repair in doubt", "next outage", "unrecorded"),
        "checked is on record",
    ),
    "found loose, by feel, then cool and checked for its torque": (
        [COOL, GOOD, LOOSE, FEEL, PROOF, tighten("2026-05-28")],
        ("", "next survey", "verified"),
        "",
    ),
    "found loose, by feel, then a closed cover": (
        [COOL, LOOSE, FEEL, read("2026-05-25", 31.0, 60, cover="closed")],
        ("repair in doubt", "soon", "unrecorded"),
        "at 60 % load: worse evidence (not rated), it takes nothing back",
    ),
    "found loose, tightened right, then by feel": (
        [COOL, GOOD, LOOSE, tighten("2026-05-09"), FEEL],
        ("repair in doubt", "soon", "unrecorded"),
        "was found damaged or loose before, and that this was put right is not proved",
    ),
    "found loose, tightened right, cool, then by feel": (
        [COOL, GOOD, LOOSE, tighten("2026-05-09"), read("2026-05-09", 34.5, 60, survey_id="2"), FEEL],
        ("repair in doubt", "soon", "unrecorded"),  # on the day of the work, the order not known
        "was found damaged or loose before, and that this was put right is not proved",
    ),
    "found loose, tightened right, cool the next day, then by feel": (
        [COOL, GOOD, visit("2026-05-07", "loose", "none"), tighten("2026-05-08"), read("2026-05-09", 34.5, 60), FEEL],
        ("repair in doubt", "next outage", "unrecorded"),
        "by feel",
    ),
    "found damaged, replaced right, then by feel": (
        [COOL, GOOD, right("2026-05-08", "damaged", "replaced"), FEEL],
        ("repair in doubt", "soon", "unrecorded"),
        "was found damaged or loose before, and that this was put right is not proved",
    ),
    "found damaged, replaced right, cool, then by feel": (
        [COOL, GOOD, right("2026-05-08", "damaged", "replaced"), read("2026-05-09", 34.5, 60), FEEL],
        ("repair in doubt", "next outage", "unrecorded"),
        "by feel",
    ),
    "found damaged, tightened right": (
        [COOL, GOOD, visit("2026-05-08", "damaged", "none"), tighten("2026-05-10"), PROOF],
        ("open", "now", "verified"),
        "found damaged on 8 May 2026",
    ),
    # cooled without work, and what it takes to be done with it
    "cool, found tight, cool": (
        [HOT, GOOD, read("2026-05-10", 34.5), visit("2026-05-12", "tight", "none"), read("2026-05-25", 34.5)],
        ("", "next survey", "verified"),
        "",
    ),
    "found tight before it was cool": (
        [HOT, GOOD, visit("2026-05-08", "tight", "none"), read("2026-05-10", 34.5)],
        ("open", "soon", "verified"),
        "was hotter, and no work since is proved",
    ),
    "cool, found tight, hot, cool": (
        [
            HOT,
            GOOD,
            read("2026-05-06", 34.5),
            visit("2026-05-08", "tight", "none"),
            read("2026-05-10", 62.0),
            read("2026-05-25", 34.5),
        ],
        ("open", "soon", "verified"),
        "was hotter, and no work since is proved",
    ),
    "cool, found tight, by feel, cool": (
        [HOT, read("2026-05-06", 34.5), visit("2026-05-08", "tight", "none"), FEEL, PROOF],
        ("cool, record in doubt", "soon", "unrecorded"),
        "by feel",
    ),
    "burnt, cool, tightened right": (
        [BURNT, GOOD, read("2026-05-06", 34.5), tighten("2026-05-20")],
        ("open", "soon", "verified"),
        "was hotter, and no work since is proved",
    ),
    "burnt, cool, tightened right, cool at half the current": (
        [BURNT, GOOD, read("2026-05-06", 34.5), tighten("2026-05-20"), read("2026-05-25", 34.5, 45)],
        ("open", "soon", "verified"),
        "was hotter, and no work since is proved",
    ),
    "burnt, cool, tightened right, hot": (
        [BURNT, GOOD, read("2026-05-06", 34.5), tighten("2026-05-20"), read("2026-05-25", 62.0)],
        ("not cured", "now", "verified"),
        "still hot after the work of 20 May 2026",
    ),
    "burnt, cool, remade right": (
        [BURNT, GOOD, read("2026-05-06", 34.5), right("2026-05-20", "tight", "remade")],
        ("awaiting proof", "soon", "verified"),
        "remade",
    ),
    "damaged after the remake of that day as far as is known, then remade by a word alone": (
        [
            COOL,
            LOW,
            right("2026-05-20", "damaged", "tightened", work_time="15:00"),
            right("2026-05-20", "not checked", "remade"),
            visit("2026-05-21", "not checked", "remade"),
        ],
        ("repair in doubt", "now", "unrecorded"),
        "remake was asked",
    ),
    "damaged, remade by a word alone, hot, then tightened right": (
        [COOL, GOOD, DAMAGED, visit("2026-05-07", "tight", "remade"), read("2026-05-08", 62.0), tighten("2026-05-20")],
        ("repair in doubt", "now", "verified"),
        "remake was asked",
    ),
    "damaged, remade by a word alone, hot, tightened right, cool at half the current": (
        [
            COOL,
            GOOD,
            DAMAGED,
            visit("2026-05-07", "tight", "remade"),
            read("2026-05-08", 62.0),
            tighten("2026-05-20"),
            read("2026-05-25", 33.0, 45),
        ],
        ("open", "now", "verified"),
        "no remake recorded right since",
    ),
    "damaged, remade by a word alone, hot, tightened right, hot again": (
        [
            COOL,
            GOOD,
            DAMAGED,
            visit("2026-05-07", "tight", "remade"),
            read("2026-05-08", 46.0),
            tighten("2026-05-20"),
            read("2026-05-25", 46.0),
        ],
        ("not cured", "now", "verified"),
        "still hot",
    ),
    "damaged and remade by a word alone before any survey, hot, then tightened right": (
        [visit("2026-01-15", "damaged", "remade"), LOW, read("2026-05-08", 62.0), tighten("2026-05-20")],
        ("repair in doubt", "now", "verified"),
        "remake was asked",
    ),
    "loose, worked on in doubt, cool at 25 %, found tight, cool": (
        [
            LOW,
            visit("2026-04-08", "loose", "replaced"),
            read("2026-05-04", 33.5, 25),
            visit("2026-05-10", "tight", "none"),
            read("2026-05-25", 34.5, 45),
        ],
        ("open", "soon", "unrecorded"),
        "was found damaged or loose before, and that this was put right is not proved",
    ),
    "damaged, remade by a word alone, hot, cool at like current": (
        [
            COOL,
            GOOD,
            DAMAGED,
            visit("2026-05-07", "tight", "remade"),
            read("2026-05-08", 62.0),
            read("2026-05-25", 34.5),
        ],
        ("open", "soon", "unrecorded"),
        "was found damaged or loose before, and that this was put right is not proved",
    ),
    "damaged, twice remade by a word alone and hot, tightened right after each, cool": (
        [
            visit("2026-05-07", "damaged", "remade"),
            read("2026-05-15", 62.0),
            tighten("2026-05-18"),
            visit("2026-05-20", "tight", "remade"),
            read("2026-05-21", 62.0),
            tighten("2026-05-25"),
            read("2026-05-28", 34.5),
        ],
        ("proved", "soon", "verified"),
        "was found damaged or loose before, and that this was put right is not proved",
    ),
    "damaged, twice remade by a word alone and hot, tightened right after each, cool at half the current": (
        [
            visit("2026-05-07", "damaged", "remade"),
            read("2026-05-15", 62.0),
            tighten("2026-05-18"),
            visit("2026-05-20", "tight", "remade"),
            read("2026-05-21", 62.0),
            tighten("2026-05-25"),
            read("2026-05-28", 33.0, 45),
        ],
        ("open", "now", "verified"),
        "found damaged on 7 May 2026, no remake recorded right since",
    ),
    "damaged, remade by a word alone and hot, remade right and cool, remade by a word and hot, tightened right, cool": (
        [
            visit("2026-05-07", "damaged", "remade"),
            read("2026-05-09", 62.0),
            right("2026-05-11", "tight", "remade", required_torque="25", required_source="label"),
            read("2026-05-13", 34.5),
            visit("2026-05-20", "tight", "remade"),
            read("2026-05-21", 62.0),
            tighten("2026-05-25"),
            read("2026-05-28", 34.5),
        ],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 25 May 2026",
    ),
    "hot, damaged, twice remade by a word alone and hot, tightened right after each, cool": (
        [
            HOT,
            visit("2026-05-07", "damaged", "remade"),
            read("2026-05-15", 62.0),
            tighten("2026-05-18"),
            visit("2026-05-20", "tight", "remade"),
            read("2026-05-21", 62.0),
            tighten("2026-05-25"),
            read("2026-05-28", 34.5),
        ],
        ("proved", "soon", "verified"),
        "was found damaged or loose before, and that this was put right is not proved",
    ),
    "damaged, three times remade by a word alone and hot, tightened right after each, cool": (
        [
            visit("2026-05-01", "damaged", "remade"),
            read("2026-05-02", 62.0),
            visit("2026-05-07", "tight", "remade"),
            read("2026-05-15", 62.0),
            tighten("2026-05-18"),
            visit("2026-05-20", "tight", "remade"),
            read("2026-05-21", 62.0),
            tighten("2026-05-25"),
            read("2026-05-28", 34.5),
        ],
        ("proved", "soon", "verified"),
        "was found damaged or loose before, and that this was put right is not proved",
    ),
    "damaged, remade right, remade by a word and hot, tightened right, cool": (
        [
            right("2026-05-07", "damaged", "remade", required_torque="25", required_source="label"),
            visit("2026-05-20", "tight", "remade"),
            read("2026-05-21", 62.0),
            tighten("2026-05-25"),
            read("2026-05-28", 34.5),
        ],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 25 May 2026",
    ),
    "damaged, remade by a word alone, hot, then remade right": (
        [
            COOL,
            GOOD,
            DAMAGED,
            visit("2026-05-07", "tight", "remade"),
            read("2026-05-08", 62.0),
            right("2026-05-20", "tight", "remade"),
        ],
        ("awaiting proof", "soon", "verified"),
        "remade on 20 May 2026",
    ),
    "damaged, remade right, hot, then tightened right": (
        [COOL, GOOD, DAMAGED, right("2026-05-07", "tight", "remade"), read("2026-05-08", 62.0), tighten("2026-05-20")],
        ("repair in doubt", "now", "verified"),
        "remake was asked, tightened is on record",
    ),
    "discoloured and tightened, cool, remade right, cool at 25 %": (
        [
            COOL,
            GOOD,
            right("2026-05-06", "discoloured", "tightened"),
            read("2026-05-08", 34.5),
            right("2026-05-10", "tight", "remade"),
            read("2026-05-25", 32.0, 25),
        ],
        ("awaiting proof", "soon", "verified"),
        "it takes nothing back",
    ),
    "a look moves no day of work": (
        [HOT, tighten("2026-05-10"), visit("2026-05-30", "tight", "none")],
        ("awaiting proof", "soon", "verified"),
        "tightened on 10 May 2026; survey again under load by 17 May 2026, at the load the process brings, never "
        "forced; OVERDUE",
    ),
    "remade by a word alone, then its torque": (
        [BURNT, LOW, visit("2026-05-10", "tight", "remade"), tighten("2026-05-20")],
        ("awaiting proof", "soon", "verified"),
        "remade on 10 May 2026; survey again under load by 27 May 2026, at the load the process brings, never forced; "
        "OVERDUE; last worked on 20 May 2026",
    ),
    "damaged, remade by a word alone, then loose": (
        [COOL, DAMAGED, visit("2026-05-07", "damaged", "remade"), visit("2026-05-20", "loose", "none")],
        ("repair in doubt", "now", "found loose"),
        "remake was asked, remade is on record",
    ),
    "loose and tightened right, proved, then loose again": (
        [
            HOT,
            right("2026-05-06", "loose", "tightened"),
            tighten("2026-05-06"),
            PROOF,
            visit("2026-05-28", "loose", "none"),
        ],
        ("open", "soon", "found loose"),
        "open: found loose on 28 May 2026, no work that put it right since",
    ),
    "never read, found damaged and remade right": (
        [LOW, right("2026-05-06", "damaged", "remade")],
        ("awaiting proof", "soon", "verified"),
        "remade on 6 May 2026; survey again under load at the next survey",
    ),
    "never read before, put right, and cool at 25 %": (
        [LOW, right("2026-05-06", "damaged", "remade"), read("2026-05-25", 32.0, 25)],
        ("open", "soon", "verified"),
        "that this was put right is not proved",
    ),
    "a reading at 2 A comes between none of another survey": (
        [
            read("2026-05-04", 62.0, None, load_a=80, max_load_a=100, survey_id="1"),
            read("2026-05-10", 31.0, None, load_a=2, max_load_a=100, survey_id="2"),
            read("2026-05-20", 34.5, None, load_a=80, max_load_a=100, survey_id="1"),
        ],
        ("open", "now", "unrecorded"),
        "open",
    ),
    "a reading of which nobody knows the rating comes between none of another survey": (
        [
            read("2026-05-04", 62.0, survey_id="1"),
            read("2026-05-10", 31.0, None, load_a=50, survey_id="2"),
            read("2026-05-20", 34.5, survey_id="1"),
        ],
        ("open", "now", "unrecorded"),
        "open",
    ),
    "a reading at 30 of 100 A comes between none of another survey": (
        [
            read("2026-05-04", 62.0, 60, survey_id="1"),
            read("2026-05-10", 62.0, None, load_a=30, max_load_a=100, survey_id="2"),
            read("2026-05-20", 34.5, 60, survey_id="1"),
        ],
        ("open", "now", "unrecorded"),
        "open",
    ),
    "a reading at less than half of the largest current comes between none of another survey": (
        [
            read("2026-05-04", 62.0, 100, survey_id="1"),
            read("2026-05-10", 31.0, 45, survey_id="2"),
            read("2026-05-20", 34.5, 100, survey_id="1"),
        ],
        ("open", "now", "unrecorded"),
        "open",
    ),
    "a reading at 60 of 100 A comes between none of another survey": (
        [
            read("2026-05-04", 62.0, survey_id="1"),
            read("2026-05-10", 34.5, None, load_a=60, max_load_a=100, survey_id="2"),
            read("2026-05-20", 34.5, survey_id="1"),
        ],
        ("open", "now", "unrecorded"),
        "read again on 10 May 2026 at 60 % load: worse evidence (at less current), it takes nothing back",
    ),
    "a reading that reads cold comes between none of another survey": (
        [
            read("2026-05-04", 62.0, survey_time="12:00", survey_id="1"),
            read("2026-05-06", 31.0, survey_id="2"),
            read("2026-05-12", 34.5, survey_id="1"),
        ],
        ("open", "now", "unrecorded"),
        "reads cold",
    ),
    "a reading under its id at another circuit comes between none of another survey": (
        [
            read("2026-05-04", 62.0, survey_time="12:00", survey_id="1"),
            read("2026-05-04", 34.5, survey_time="16:00", survey_id="2", circuit="F9"),
            read("2026-05-12", 34.5, survey_id="1"),
        ],
        ("open", "now", "unrecorded"),
        "read that day at another place under the same id",
    ),
    "a reading of the day of a hot one without a time comes between none of another survey": (
        [
            read("2026-05-04", 62.0, survey_id="1"),
            read("2026-05-04", 34.5, survey_time="16:00", survey_id="2"),
            read("2026-05-12", 34.5, survey_id="1"),
        ],
        ("open", "now", "unrecorded"),
        "order of the day not known",
    ),
    "a reading beside one off the scale comes between none of another survey": (
        [
            read("2026-05-04", 62.0, survey_time="12:00", survey_id="1"),
            read("2026-05-06", 34.5, survey_id="2"),
            ("survey", {"survey_date": "2026-05-06", "celsius": "OL", "siblings": (), "survey_id": "2"}),
            read("2026-05-12", 34.5, survey_id="1"),
        ],
        ("open", "now", "unrecorded"),
        "it may be the hottest",
    ),
    "a reading that proves it cool comes between those of another survey": (
        [
            read("2026-05-04", 62.0, survey_id="1"),
            read("2026-05-10", 34.5, survey_id="2"),
            read("2026-05-20", 34.5, survey_id="1"),
        ],
        ("open", "soon", "unrecorded"),
        "joints can weld and cool",
    ),
    "a cool reading after the work, and a hot one of that day that may be later": (
        [
            read("2026-05-04", 62.0),
            tighten("2026-05-17", work_time="08:00"),
            read("2026-05-17", 37.1, 35, siblings=(32.9, 33.1), survey_id="2"),
            read("2026-05-17", 34.0, survey_time="11:00", survey_id="2"),
        ],
        ("repair in doubt", "now", "verified"),
        "retighten was asked, tightened is on record",
    ),
    "damage put right, a record of work rejected since, then too little torque": (
        [
            read("2026-03-01", 34.5),
            tighten("2026-03-02"),
            right("2026-04-01", "burnt", "remade"),
            right("2026-05-10", "corroded", "remade"),
            visit("2026-05-20", "tight", "tightened", as_left_torque=9.0, torque_unit="N·m", tool_id="T1"),
        ],
        ("repair in doubt", "now", "under-torqued"),
        "remake was asked",
    ),
    "damage put right, a record of work rejected since, then remade right": (
        [
            read("2026-03-01", 34.5),
            tighten("2026-03-02"),
            right("2026-04-01", "burnt", "remade"),
            right("2026-05-10", "corroded", "remade"),
            right("2026-05-20", "tight", "remade"),
        ],
        ("awaiting proof", "soon", "verified"),
        "remade on 20 May 2026",
    ),
    "damage put right by a die, a record of work rejected since": (
        [
            read("2026-03-01", 34.5),
            CR,
            visit("2026-04-01", "burnt", "remade", tool_id="T1"),
            visit("2026-05-10", "corroded", "remade"),
        ],
        ("repair in doubt", "now", "unrecorded"),
        "another record of it was rejected: mend it",
    ),
    "a hot reading without a time beside a hotter one with it, and a cool one of another survey": (
        [
            read("2026-05-20", 62.0, survey_time="09:45", survey_id="1"),
            read("2026-05-20", 62.0, 40, survey_id="1"),
            read("2026-05-20", 34.5, 100, survey_time="10:30", survey_id="2"),
        ],
        ("open", "now", "unrecorded"),
        "order of the day not known",
    ),
    "damaged and remade by a word on a day it was hot, hot again, then tightened": (
        [
            read("2026-05-14", 62.0, survey_time="14:00"),
            visit("2026-05-14", "damaged", "remade"),
            read("2026-05-21", 62.0, survey_time="09:00"),
            tighten("2026-05-22", work_time="10:00"),
        ],
        ("repair in doubt", "now", "verified"),
        "remake was asked",
    ),
    "cooled, then found tight on a day that another finding denies": (
        [
            read("2026-05-09", 62.0, 25, survey_time="04:30", survey_id="1"),
            read("2026-05-09", 34.5, survey_time="16:30", survey_id="2"),
            visit("2026-05-18", "not checked", "remade", as_left_torque=10.0, torque_unit="N·m", tool_id="T1"),
            visit("2026-05-18", "tight", "none", work_time="04:30"),
        ],
        ("contradictory", "soon", "unrecorded"),
        "joints can weld and cool",
    ),
    "hot after right work, on a day of work in an unknown order, then cool at less current": (
        [
            read("2026-04-20", 62.0, 60, survey_id="1"),
            tighten("2026-04-25"),
            read("2026-04-27", 46.0, 80, survey_time="21:00", survey_id="2"),
            tighten("2026-04-27", 40.0),
            read("2026-05-08", 34.5, 60, survey_id="3"),
        ],
        ("repair in doubt", "now", "over-torqued"),
        "retighten was asked",
    ),
    "an earlier survey parts no later one": (
        [
            read("2026-03-01", 34.5, 39, survey_id="0"),
            read("2026-05-04", 62.0, 15, survey_id="1"),
            read("2026-05-20", 34.5, survey_id="1"),
        ],
        ("open", "now", "unrecorded"),
        "open",
    ),
    "a hot reading comes between none of another survey": (
        [
            read("2026-05-14", 62.0, survey_id="1"),
            read("2026-05-15", 62.0, survey_id="2"),
            read("2026-05-16", 34.5, survey_id="1"),
        ],
        ("open", "now", "unrecorded"),
        "open",
    ),
    "of a survey at no known load hot twice, cool in another between, then found tight": (
        [
            read("2026-05-04", 91.0, None, survey_id="1"),
            read("2026-05-06", 34.5, None, survey_id="2"),
            visit("2026-05-07", "tight", "none"),
            read("2026-05-09", 62.0, None, survey_id="1"),
        ],
        ("repair in doubt", "now", "unrecorded"),
        "hot once more in the survey before it",
    ),
    "hot, then hot once more on a day on which another survey, without a time, is cool": (
        [
            read("2026-05-16", 91.0, survey_time="10:00", survey_id="1"),
            read("2026-05-26", 34.5, survey_id="2"),
            read("2026-05-26", 62.0, survey_time="19:00", survey_id="1"),
        ],
        ("open", "now", "unrecorded"),
        "open",
    ),
    "hot, and cool that day under its id at another circuit, in another survey": (
        [
            read("2026-05-04", 62.0, survey_time="10:00", survey_id="1"),
            read("2026-05-04", 34.5, survey_time="12:00", survey_id="2", circuit="F9"),
        ],
        ("open", "now", "unrecorded"),
        "read that day at another place under the same id",
    ),
    "hot, and cool that day under its id in another group of devices": (
        [
            read("2026-05-04", 62.0, survey_time="10:00", survey_id="1", group="G1"),
            read("2026-05-04", 34.5, survey_time="12:00", survey_id="2", group="G2"),
        ],
        ("open", "now", "unrecorded"),
        "read that day at another place under the same id",
    ),
    "hot, and cool that day under its id at the other side": (
        [
            read("2026-05-04", 62.0, survey_time="10:00", survey_id="1", side="line"),
            read("2026-05-04", 34.5, survey_time="12:00", survey_id="2", side="load"),
        ],
        ("open", "now", "unrecorded"),
        "read that day at another place under the same id",
    ),
    "hot, and cool days later under its id at another board": (
        [read("2026-05-04", 62.0), read("2026-05-09", 34.5, equipment="N")],
        ("open", "now", "unrecorded"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot, and cool days later under its id at another phase": (
        [read("2026-05-04", 91.0, siblings=()), read("2026-05-09", 34.5, siblings=(), phase="B")],
        ("open", "now", "unrecorded"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot, tightened right, and cool under its id at another board": (
        [HOT, tighten("2026-05-20"), read("2026-05-26", 34.5, equipment="N")],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot at two boards under one id, remade, cool at one of them": (
        [
            read("2026-05-04", 62.0, equipment="MDB", survey_id="1"),
            read("2026-05-05", 62.0, equipment="MSB", survey_id="2"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-05-26", 34.5, equipment="MSB"),
            read("2026-05-28", 34.5, equipment="MSB"),
        ],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot at two boards under one id in one survey, remade, cool at one of them": (
        [
            read("2026-05-04", 62.0, equipment="MDB", survey_id="1"),
            read("2026-05-05", 63.0, equipment="MSB", survey_id="1"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-05-26", 34.5, equipment="MSB"),
        ],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot at two boards under one id, remade, cool at both": (
        [
            read("2026-05-04", 62.0, equipment="MDB", survey_id="1"),
            read("2026-05-05", 62.0, equipment="MSB", survey_id="2"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-05-25", 34.5, equipment="MDB"),
            read("2026-05-26", 34.5, equipment="MSB"),
        ],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 20 May 2026",
    ),
    "hot, remade, cool at another board, said to have been what it is": (
        [
            read("2026-05-04", 62.0, equipment="MSB"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            renamed("2026-05-22", was_id="A"),
            read("2026-05-26", 34.5, equipment="MDB"),
        ],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot, remade, cool at another board, renamed in a circle": (
        [
            read("2026-05-04", 62.0, equipment="MSB"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            renamed("2026-05-22", was_id="Q"),
            renamed("2026-05-22", connection_id="Q", was_id="A"),
            read("2026-05-26", 34.5, equipment="MDB"),
        ],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot, remade, cool at another board, a name that was never read is said to be its own": (
        [
            read("2026-05-04", 62.0, equipment="MSB"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            renamed("2026-05-22"),
            read("2026-05-26", 34.5, equipment="MDB"),
        ],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot, remade, cool at another board, a name read beside it is said to be its own": (
        [
            read("2026-05-04", 62.0, equipment="MSB"),
            read("2026-05-04", 34.5, equipment="MSB", known_as="OLD", siblings=()),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            renamed("2026-05-22"),
            read("2026-05-26", 34.5, equipment="MDB"),
        ],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot at two phases under one id in one survey, remade, cool at one of them": (
        [
            read("2026-05-04", 91.0, siblings=(), survey_id="1"),
            read("2026-05-05", 92.0, siblings=(), survey_id="1", phase="B"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-05-26", 34.5, siblings=(), phase="B"),
        ],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot at two phases under one id in one survey, cool at one of them": (
        [
            read("2026-05-04", 91.0, siblings=(), survey_id="1"),
            read("2026-05-05", 92.0, siblings=(), survey_id="1", phase="B"),
            read("2026-05-26", 34.5, siblings=(), phase="B"),
        ],
        ("open", "now", "unrecorded"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot at two phases under one id in one survey, and at a third in other letters, cool at that one": (
        [
            read("2026-05-04", 91.0, siblings=(), survey_id="1"),
            read("2026-05-05", 92.0, siblings=(), survey_id="1", phase="B"),
            read("2026-05-06", 93.0, siblings=(), survey_id="1", phase="L1"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-05-26", 34.5, siblings=(), phase="L1"),
        ],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot where no phase is said, in one survey cool at two phases under its id": (
        [
            read("2026-05-06", 91.0, 64, siblings=(), survey_id="1", phase=""),
            read("2026-05-12", 34.5, "", siblings=(), survey_id="1"),
            read("2026-05-16", 34.5, 60, siblings=(), survey_id="1", phase="B"),
        ],
        ("open", "now", "unrecorded"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot where no phase is said, in one survey cool at two phases under its id, the other line first": (
        [
            read("2026-05-06", 91.0, 64, siblings=(), survey_id="1", phase=""),
            read("2026-05-16", 34.5, 60, siblings=(), survey_id="1", phase="B"),
            read("2026-05-12", 34.5, "", siblings=(), survey_id="1"),
        ],
        ("open", "now", "unrecorded"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot where no board is said, remade, cool at two boards under its id": (
        [
            read("2026-05-04", 62.0, equipment=""),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-05-25", 34.5, equipment="MDB"),
            read("2026-05-26", 34.5, equipment="MSB"),
        ],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot where no board is said, remade, cool where one is": (
        [
            read("2026-05-04", 62.0, equipment=""),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-05-25", 34.5, equipment="MDB"),
        ],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 20 May 2026",
    ),
    "hot and on the next day cool in one survey, its phase lettered in two ways": (
        [read("2026-05-04", 62.0, survey_id="1"), read("2026-05-05", 34.5, siblings=(), survey_id="1", phase="R")],
        ("open", "now", "unrecorded"),
        "open since 4 May 2026",
    ),
    "worked on without a required torque, of that day two records require two": (
        [
            HOT,
            tighten("2026-02-01", 15.0),
            tighten("2026-02-01", 5.0, required_torque=10.0),
            right("2026-05-20", "loose", "tightened"),
        ],
        ("repair in doubt", "now", "doubtful"),
        "earlier records require different torques",
    ),
    "worked on without a required torque, of that day two records require two, the other way round": (
        [
            HOT,
            tighten("2026-02-01", 5.0, required_torque=10.0),
            tighten("2026-02-01", 15.0),
            right("2026-05-20", "loose", "tightened"),
        ],
        ("repair in doubt", "now", "doubtful"),
        "earlier records require different torques",
    ),
    "hot, remade by word, hot and then cool at under 40 % load": (
        [visit("2026-05-20", "damaged", "remade"), read("2026-05-24", 62.0, 30), read("2026-05-26", 33.0, 30)],
        ("open", "now", "unrecorded"),
        "worse evidence (at less current), it takes nothing back",
    ),
    "hot, remade as an earlier record asks, what its own says cannot be read: 40*": (
        [HOT, GOOD, right("2026-05-20", "damaged", "remade", required_torque="40*"), read("2026-05-26", 34.5)],
        ("cool, record in doubt", "soon", "doubtful"),
        "required torque could not be read",
    ),
    "hot, remade as an earlier record asks, what its own says cannot be read: ca. 40": (
        [HOT, GOOD, right("2026-05-20", "damaged", "remade", required_torque="ca. 40"), read("2026-05-26", 34.5)],
        ("cool, record in doubt", "soon", "doubtful"),
        "required torque could not be read",
    ),
    "hot, remade as an earlier record asks, what its own says cannot be read: 40 or 45": (
        [HOT, GOOD, right("2026-05-20", "damaged", "remade", required_torque="40 or 45"), read("2026-05-26", 34.5)],
        ("cool, record in doubt", "soon", "doubtful"),
        "required torque could not be read",
    ),
    "remade as an earlier record asks, its label asks more, says who only looked at it before": (
        [HOT, GOOD, asks("2026-05-10", "40"), right("2026-05-20", "damaged", "remade"), read("2026-05-26", 34.5)],
        ("cool, record in doubt", "soon", "under-torqued"),
        "below required",
    ),
    "remade as an earlier record asks, its label asks more, says who only looked at it since": (
        [HOT, GOOD, right("2026-05-20", "damaged", "remade"), read("2026-05-26", 34.5), asks("2026-05-28", "40")],
        ("cool, record in doubt", "next outage", "under-torqued"),
        "below required",
    ),
    "tightened as its own record asks, its label asks more, says who only looked at it since": (
        [HOT, tighten("2026-05-20"), read("2026-05-26", 34.5), asks("2026-05-28", "40")],
        ("cool, record in doubt", "next outage", "doubtful"),
        "requires less than another record",
    ),
    "remade as its own label asks, another value that is not the maker's, says who only looked at it since": (
        [
            HOT,
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-05-26", 34.5),
            asks("2026-05-28", "40", required_source="table"),
        ],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 20 May 2026",
    ),
    "remade as its own label asks, another value of a source that cannot be read, says who only looked at it": (
        [HOT, AS_ITS_LABEL, read("2026-05-26", 34.5), asks("2026-05-28", "40", required_source="lable")],
        ("cool, record in doubt", "next outage", "doubtful"),
        "requires less than another record",
    ),
    "tightened to what a look asks without a source, the label on record asks less": (
        [HOT, asks("2026-05-06", "25"), asks("2026-05-10", "40", required_source=""), TO_40, read("2026-05-26", 34.5)],
        ("cool, record in doubt", "soon", "doubtful"),
        "earlier records require different torques",
    ),
    "tightened to what a look asks without a source, an old label within 10 % on record asks less": (
        [HOT, asks("2026-05-06", "37"), asks("2026-05-10", "40", required_source=""), TO_40, read("2026-05-26", 34.5)],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 20 May 2026",
    ),
    "tightened to what a look asks without a source, 10 % over the label on record": (
        [
            HOT,
            asks("2026-05-06", "40"),
            asks("2026-05-10", "44", required_source=""),
            tighten("2026-05-20", 44.0, required_torque=""),
            read("2026-05-26", 34.5),
        ],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 20 May 2026",
    ),
    "tightened as its label asks, what a look of that day says cannot be read": (
        [HOT, tighten("2026-05-20", required_source="label"), asks("2026-05-20", "25*"), read("2026-05-26", 34.5)],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 20 May 2026",
    ),
    "tightened to what a look reads on the label, which said less before": (
        [HOT, asks("2026-05-06", "25"), asks("2026-05-10", "40"), TO_40, read("2026-05-26", 34.5)],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 20 May 2026",
    ),
    "remade new after somebody read another value on its old label": (
        [
            HOT,
            asks("2026-05-10", "40"),
            right("2026-05-20", "damaged", "replaced", required_torque="25", required_source="label"),
            read("2026-05-26", 34.5),
        ],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 20 May 2026",
    ),
    "remade as an earlier record asks, what a look before says cannot be read": (
        [HOT, GOOD, asks("2026-05-10", "40*"), right("2026-05-20", "damaged", "remade"), read("2026-05-26", 34.5)],
        ("cool, record in doubt", "soon", "doubtful"),
        "required torque could not be read",
    ),
    "tightened as its own record asks, what a look before says cannot be read": (
        [HOT, asks("2026-05-10", "40*"), tighten("2026-05-20"), read("2026-05-26", 34.5)],
        ("cool, record in doubt", "soon", "doubtful"),
        "required torque could not be read",
    ),
    "hot though tight, what a look before says cannot be read, tightened right": (
        [tighten("2026-02-20", required_source="label"), asks("2026-05-01", "see label"), HOT, AS_ITS_LABEL],
        ("repair in doubt", "now", "verified"),
        "remake was asked, tightened is on record",
    ),
    "hot though tight, what a look before says cannot be read, tightened right, cool": (
        [
            tighten("2026-02-20", required_source="label"),
            asks("2026-05-01", "see label"),
            HOT,
            AS_ITS_LABEL,
            read("2026-05-26", 34.5),
        ],
        ("open", "soon", "verified"),
        "was hotter, and no work since is proved",
    ),
    "hot though tight by a torque without a requirement, of an earlier day two are on record, tightened right": (
        [
            tighten("2026-01-11"),
            asks("2026-01-11", "24", required_source=""),
            tighten("2026-02-20", required_torque=""),
            HOT,
            AS_ITS_LABEL,
        ],
        ("repair in doubt", "now", "verified"),
        "remake was asked, tightened is on record",
    ),
    "damaged, remade to less than a look since asks, hot, tightened to that, cool at half the current": (
        [
            visit("2026-02-01", "damaged", "none"),
            right("2026-02-02", "tight", "remade", required_torque="25"),
            asks("2026-02-05", "40"),
            read("2026-02-10", 62.0),
            tighten("2026-02-12", 40.0, required_torque=40.0, required_source="label"),
            read("2026-02-20", 33.0, 45),
        ],
        ("open", "now", "verified"),
        "found damaged on 1 February 2026, no remake recorded right since",
    ),
    "hot, tightened before, says one, and left, says another of that day, tightened right, cool at half the current": (
        [
            right("2026-02-02", "tight", "tightened", required_torque="25", required_source="label"),
            visit("2026-02-02", "tight", "none"),
            read("2026-02-10", 50.0),
            tighten("2026-02-12"),
            read("2026-02-20", 34.5, 45),
        ],
        ("repair in doubt", "now", "doubtful"),
        "findings of one day contradict each other",
    ),
    "hot, tightened, says one, and left, says another of that day, hot in the same survey, tightened right, cool": (
        [
            read("2026-02-01", 50.0, survey_id="X"),
            right("2026-02-02", "tight", "tightened", required_torque="25", required_source="label"),
            visit("2026-02-02", "tight", "none"),
            read("2026-02-03", 49.0, survey_id="X"),
            tighten("2026-02-05"),
            read("2026-02-12", 34.5, 45),
        ],
        ("repair in doubt", "now", "doubtful"),
        "findings of one day contradict each other",
    ),
    "hot, tightened by a record that was refused, hot in the same survey, tightened right, cool": (
        [
            read("2026-02-01", 50.0, survey_id="X"),
            visit("2026-02-02", "tigt?", "tightened"),
            read("2026-02-03", 46.0, survey_id="X"),
            tighten("2026-02-05"),
            read("2026-02-12", 34.5),
        ],
        ("open", "soon", "verified"),
        "no work since is proved",
    ),
    "hot, tightened by a record of a day nobody knows, hot in the same survey, tightened right, cool": (
        [
            read("2026-02-01", 55.0, survey_id="X"),
            visit("2026-02-3x", "tight", "tightened"),
            read("2026-02-03", 50.0, survey_id="X"),
            tighten("2026-02-05"),
            read("2026-02-12", 34.5),
        ],
        ("open", "soon", "doubtful"),
        "no work since is proved",
    ),
    "hot, its device replaced, says one, and left, says another, at a joint never read, hot in the same survey": (
        [
            register(connection_id="Z", device="Q1"),
            read("2026-02-01", 55.0, survey_id="X", device="Q1"),
            visit("2026-02-02", "tight", "replaced", connection_id="Z"),
            visit("2026-02-02", "tight", "none", connection_id="Z"),
            read("2026-02-03", 50.0, survey_id="X", device="Q1"),
            tighten("2026-02-05"),
            read("2026-02-12", 34.5, device="Q1"),
        ],
        ("open", "soon", "verified"),
        "no work since is proved",
    ),
    "hot, its device replaced, says one, and left, says another of that minute, tightened right later that day, cool": (
        [
            read("2026-02-01", 62.0, device="Q1"),
            visit("2026-02-02", "tight", "replaced", connection_id="B", work_time="08:00"),
            visit("2026-02-02", "tight", "none", connection_id="B", work_time="08:00"),
            tighten("2026-02-02", work_time="10:00"),
            read("2026-02-12", 34.5, device="Q1"),
        ],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 2 February 2026",
    ),
    "hot, tightened right, its device replaced, says one, and left, says another, later that day, cool": (
        [
            read("2026-02-01", 62.0, device="Q1"),
            tighten("2026-02-02", work_time="08:00"),
            visit("2026-02-02", "tight", "replaced", connection_id="B", work_time="10:00"),
            visit("2026-02-02", "tight", "none", connection_id="B", work_time="10:00"),
            read("2026-02-12", 34.5, device="Q1"),
        ],
        ("cool, record in doubt", "soon", "doubtful"),
        "findings of one day contradict each other",
    ),
    "hot, tightened right, its device replaced, says one, and left, says another of that day, without times, cool": (
        [
            read("2026-02-01", 62.0, device="Q1"),
            tighten("2026-02-02", work_time="08:00"),
            visit("2026-02-02", "tight", "replaced", connection_id="B"),
            visit("2026-02-02", "tight", "none", connection_id="B"),
            read("2026-02-12", 34.5, device="Q1"),
        ],
        ("cool, record in doubt", "soon", "doubtful"),
        "findings of one day contradict each other",
    ),
    "hot, tightened right, its device replaced, read cool without a word of its device": (
        [
            read("2026-01-20", 62.0, device="Q1"),
            tighten("2026-02-01"),
            visit("2026-02-05", "tight", "replaced", connection_id="B"),
            read("2026-02-20", 34.5),
        ],
        ("cool, record in doubt", "soon", "unrecorded"),
        "or its device was perhaps replaced",
    ),
    "hot, tightened right, its device replaced at a joint that was never read, the last reading of no device": (
        [
            register(connection_id="Z", device="Q1"),
            read("2026-01-10", 62.0, device="Q1"),
            read("2026-01-20", 62.0),
            tighten("2026-02-01"),
            visit("2026-02-05", "tight", "replaced", connection_id="Z"),
        ],
        ("repair in doubt", "now", "unrecorded"),
        "or its device was perhaps replaced",
    ),
    "hot, tightened right, its device replaced, read cool at a device of another name": (
        [
            register(connection_id="Z", device="Q1"),
            read("2026-01-20", 62.0, device="Q1"),
            tighten("2026-02-01"),
            visit("2026-02-05", "tight", "replaced", connection_id="Z"),
            read("2026-02-20", 34.5, device="Q2"),
        ],
        ("cool, record in doubt", "soon", "unrecorded"),
        "or its device was perhaps replaced",
    ),
    "hot, tightened right, its device replaced at a joint of which no circuit is said, cool": (
        [
            register(connection_id="Z", device="Q 1", circuit=""),
            read("2026-01-20", 62.0, device="Q1"),
            tighten("2026-02-01"),
            visit("2026-02-05", "tight", "replaced", connection_id="Z"),
            read("2026-02-20", 34.5, device="Q1"),
        ],
        ("cool, record in doubt", "soon", "unrecorded"),
        "or its device was perhaps replaced",
    ),
    "hot, tightened right, another device replaced, cool": (
        [
            register(connection_id="Z", device="Q3"),
            read("2026-01-20", 62.0, device="Q1"),
            tighten("2026-02-01"),
            visit("2026-02-05", "tight", "replaced", connection_id="Z"),
            read("2026-02-20", 34.5, device="Q1"),
        ],
        ("proved", "next survey", "verified"),
        "proved",
    ),
    "tightened right, a device that is perhaps its own replaced, hot, tightened right, cool": (
        [
            register(connection_id="Z", device="Q1", circuit=""),
            tighten("2026-01-11"),
            visit("2026-01-20", "tight", "replaced", connection_id="Z"),
            read("2026-02-01", 50.0, device="Q1"),
            tighten("2026-02-03"),
            read("2026-02-20", 34.5, device="Q1"),
        ],
        ("open", "soon", "verified"),
        "no work since is proved",
    ),
    "its label asks more, a device that is perhaps its own replaced, tightened to less, cool": (
        [
            register(connection_id="Z", device="Q1", circuit=""),
            asks("2026-01-15", "40"),
            read("2026-02-01", 62.0, device="Q1"),
            visit("2026-02-05", "tight", "replaced", connection_id="Z"),
            tighten("2026-02-10"),
            read("2026-02-20", 34.5, device="Q1"),
        ],
        ("cool, record in doubt", "soon", "doubtful"),
        "was hotter, and no work since is proved",
    ),
    "hot twice in a survey, its device said by the cooler, tightened right, its device replaced, cool": (
        [
            register(connection_id="Z", device="Q1"),
            read("2026-02-01", 62.0, survey_id="X"),
            read("2026-02-01", 60.0, survey_id="X", device="Q1"),
            tighten("2026-02-03"),
            visit("2026-02-05", "tight", "replaced", connection_id="Z"),
            read("2026-02-20", 34.5),
        ],
        ("cool, record in doubt", "soon", "unrecorded"),
        "or its device was perhaps replaced",
    ),
    "hot, tightened right, a joint replaced whose row of the register was rejected, cool": (
        [
            register(connection_id="Z", device="Q1", rated_a="1oo"),
            read("2026-02-01", 62.0, device="Q1"),
            tighten("2026-02-03"),
            visit("2026-02-05", "tight", "replaced", connection_id="Z"),
            read("2026-02-20", 34.5, device="Q1"),
        ],
        ("cool, record in doubt", "soon", "unrecorded"),
        "or its device was perhaps replaced",
    ),
    "hot, tightened right, its device replaced later that day, cool": (
        [
            register(connection_id="Z", device="Q1"),
            read("2026-02-01", 62.0, device="Q1"),
            tighten("2026-02-03", work_time="08:00"),
            visit("2026-02-03", "tight", "replaced", connection_id="Z", work_time="10:00"),
            read("2026-02-20", 34.5, device="Q1"),
        ],
        ("cool, record in doubt", "soon", "unrecorded"),
        "worked on since without a torque record",
    ),
    "hot, its device replaced, tightened right later that day, cool": (
        [
            register(connection_id="Z", device="Q1"),
            read("2026-02-01", 62.0, device="Q1"),
            tighten("2026-02-03", work_time="10:00"),
            visit("2026-02-03", "tight", "replaced", connection_id="Z", work_time="08:00"),
            read("2026-02-20", 34.5, device="Q1"),
        ],
        ("proved", "next survey", "verified"),
        "proved",
    ),
    "a crimp remade with its die, a record of work rejected since, its device replaced since, cool": (
        [
            register(termination_kind="compression", device="Q1"),
            register(connection_id="Z", device="Q1"),
            read("2026-02-01", 62.0, device="Q1"),
            visit("2026-02-03", "discoloured", "remade", tool_id="D7"),
            visit("2026-02-05", "tigt?", "tightened"),
            visit("2026-02-06", "tight", "replaced", connection_id="Z"),
            read("2026-02-20", 34.5, device="Q1"),
        ],
        ("cool, record in doubt", "soon", "unrecorded"),
        "was hotter, and no work since is proved",
    ),
    "a crimp remade with its die, its device replaced weeks after": (
        [
            register(termination_kind="compression", device="Q1"),
            register(connection_id="Z", device="Q1"),
            read("2026-02-01", 62.0, device="Q1"),
            visit("2026-02-03", "discoloured", "remade", tool_id="D7"),
            visit("2026-02-20", "tight", "replaced", connection_id="Z"),
        ],
        ("awaiting proof", "soon", "unrecorded"),
        "by 10 February 2026",
    ),
    "hot, tightened right, a finding that another joint's device was replaced was refused, cool": (
        [
            register(connection_id="Z", device="Q1"),
            read("2026-02-01", 62.0, device="Q1"),
            tighten("2026-02-03"),
            visit("2026-02-05", "tigt?", "replaced", connection_id="Z"),
            read("2026-02-20", 34.5, device="Q1"),
        ],
        ("cool, record in doubt", "soon", "doubtful"),
        "or its device was perhaps replaced",
    ),
    "hot, tightened right, such a finding of a day nobody knows": (
        [
            register(connection_id="Z", device="Q1"),
            read("2026-02-01", 62.0, device="Q1"),
            tighten("2026-02-03"),
            visit("2026-02-3x", "tight", "replaced", connection_id="Z"),
        ],
        ("repair in doubt", "now", "doubtful"),
        "or its device was perhaps replaced",
    ),
    "its label asks more, its device one of several of a name, replaced at a joint that leaves as much out": (
        [
            register(connection_id="Z", device="Q1", circuit=""),
            register(connection_id="D", device="Q1", circuit="F2"),
            register(connection_id="E", device="Q1", circuit="F3"),
            asks("2026-01-15", "40"),
            read("2026-02-01", 62.0, device="Q1", circuit=""),
            visit("2026-02-05", "tight", "replaced", connection_id="Z"),
            tighten("2026-02-10"),
            read("2026-02-20", 34.5, device="Q1", circuit=""),
        ],
        ("cool, record in doubt", "soon", "doubtful"),
        "was hotter, and no work since is proved",
    ),
    "its label asks more, a device without a name replaced at another joint": (
        [
            register(connection_id="Z", device="unknown"),
            asks("2026-01-15", "40"),
            read("2026-02-01", 62.0, device="unknown"),
            visit("2026-02-05", "tight", "replaced", connection_id="Z"),
            tighten("2026-02-10"),
            read("2026-02-20", 34.5, device="unknown"),
        ],
        ("cool, record in doubt", "soon", "doubtful"),
        "was hotter, and no work since is proved",
    ),
    "hot, one of two fasteners tightened before its device was replaced that day, cool": (
        [
            register(connection_id="Z", device="Q1"),
            read("2026-02-01", 62.0, device="Q1"),
            tighten("2026-02-03", work_time="08:00", fastener_no="1"),
            visit("2026-02-03", "tight", "replaced", connection_id="Z", work_time="10:00"),
            tighten("2026-02-03", work_time="11:00", fastener_no="2"),
            read("2026-02-20", 34.5, device="Q1"),
        ],
        ("cool, record in doubt", "soon", "unrecorded"),
        "worked on since without a torque record",
    ),
    "hot, its device replaced between two fasteners at another joint, which another finding denies, cool": (
        [
            register(connection_id="Z", device="Q1"),
            read("2026-02-01", 62.0, device="Q1"),
            tighten("2026-02-03", work_time="08:00", fastener_no="1"),
            visit("2026-02-03", "tight", "replaced", connection_id="Z", work_time="10:00"),
            visit("2026-02-03", "tight", "none", connection_id="Z", work_time="10:00"),
            tighten("2026-02-03", work_time="11:00", fastener_no="2"),
            read("2026-02-20", 34.5, device="Q1"),
        ],
        ("cool, record in doubt", "soon", "doubtful"),
        "or its device was perhaps replaced",
    ),
    "hot, two fasteners tightened after what was perhaps a replacement of its device that day, cool": (
        [
            register(connection_id="Z", device="Q1"),
            read("2026-02-01", 62.0, device="Q1"),
            visit("2026-02-03", "tight", "replaced", connection_id="Z", work_time="07:00"),
            visit("2026-02-03", "tight", "none", connection_id="Z", work_time="07:00"),
            tighten("2026-02-03", work_time="08:00", fastener_no="1"),
            tighten("2026-02-03", work_time="11:00", fastener_no="2"),
            read("2026-02-20", 34.5, device="Q1"),
        ],
        ("proved", "next survey", "verified"),
        "read cool after the work",
    ),
    "hot, one of two fasteners tightened the day before its device was replaced, cool": (
        [
            register(connection_id="Z", device="Q1"),
            read("2026-02-01", 62.0, device="Q1"),
            tighten("2026-02-02", fastener_no="1"),
            visit("2026-02-03", "tight", "replaced", connection_id="Z", work_time="10:00"),
            tighten("2026-02-03", work_time="11:00", fastener_no="2"),
            read("2026-02-20", 34.5, device="Q1"),
        ],
        ("cool, record in doubt", "soon", "doubtful"),
        "not every fastener tightened",
    ),
    "hot, found loose between its two fasteners, cool": (
        [
            read("2026-02-01", 62.0),
            tighten("2026-02-03", work_time="08:00", fastener_no="1"),
            visit("2026-02-03", "loose", "none", work_time="10:00"),
            tighten("2026-02-03", work_time="11:00", fastener_no="2"),
            read("2026-02-20", 34.5),
        ],
        ("cool, record in doubt", "soon", "doubtful"),
        "found loose on the day of the work, perhaps after it",
    ),
    "hot, found loose between two torques without a number, cool": (
        [
            read("2026-02-01", 62.0),
            tighten("2026-02-03", work_time="08:00"),
            visit("2026-02-03", "loose", "none", work_time="10:00"),
            tighten("2026-02-03", work_time="11:00"),
            read("2026-02-20", 34.5),
        ],
        ("cool, record in doubt", "soon", "doubtful"),
        "found loose on the day of the work, perhaps after it",
    ),
    "hot, found loose between its two fasteners, and both tightened once more, cool": (
        [
            read("2026-02-01", 62.0),
            *(tighten("2026-02-03", work_time="08:00", fastener_no=n) for n in "12"),
            visit("2026-02-03", "loose", "none", work_time="10:00"),
            *(tighten("2026-02-03", work_time="11:00", fastener_no=n) for n in "12"),
            read("2026-02-20", 34.5),
        ],
        ("proved", "next survey", "verified"),
        "read cool after the work",
    ),
    "hot, found loose between its two fasteners, then left at its torque as a whole, cool": (
        [
            read("2026-02-01", 62.0),
            *(tighten("2026-02-03", work_time=f"0{n}:00", fastener_no=n) for n in "89"),
            visit("2026-02-03", "loose", "none", work_time="10:00"),
            right("2026-02-03", "loose", "tightened", work_time="11:00"),
            read("2026-02-20", 34.5),
        ],
        ("proved", "next survey", "verified"),
        "read cool after the work",
    ),
    "hot, one of two fasteners without a time, its device replaced before the other, cool": (
        [
            register(connection_id="Z", device="Q1"),
            read("2026-02-01", 62.0, device="Q1"),
            tighten("2026-02-03", fastener_no="1"),
            visit("2026-02-03", "tight", "replaced", connection_id="Z", work_time="10:00"),
            tighten("2026-02-03", work_time="11:00", fastener_no="2"),
            read("2026-02-20", 34.5, device="Q1"),
        ],
        ("cool, record in doubt", "soon", "unrecorded"),
        "worked on since without a torque record",
    ),
    "hot, cool, tightened which another finding denies, hot still but less: the worse counts": (
        [
            read("2026-02-01", 62.0),
            read("2026-02-20", 34.5),
            visit("2026-03-10", "tight", "tightened"),
            visit("2026-03-10", "loose", "none"),
            read("2026-04-01", 42.0),
        ],
        ("contradictory", "now", "found loose"),
        "contradict each other",
    ),
    "hot, cool, remade which another finding denies, hot still but less: the worse counts": (
        [
            read("2026-02-01", 62.0),
            read("2026-02-20", 34.5),
            right("2026-03-10", "tight", "remade"),
            visit("2026-03-10", "tight", "none"),
            read("2026-04-01", 42.0),
        ],
        ("contradictory", "now", "unrecorded"),
        "contradict each other",
    ),
    "hot, tightened which another finding denies, then right, cool, hot once more but less": (
        [
            read("2026-02-01", 62.0),
            visit("2026-02-10", "tight", "tightened"),
            visit("2026-02-10", "tight", "none"),
            tighten("2026-02-12"),
            read("2026-02-20", 34.5),
            read("2026-04-01", 42.0),
        ],
        ("open", "next outage", "verified"),
        "open since 1 April 2026",
    ),
    "cool, found damaged, remade right, read cool at another board": (
        [
            read("2026-01-10", 34.5),
            visit("2026-02-01", "damaged", "none"),
            right("2026-02-10", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-03-01", 34.5, equipment="ELSE"),
        ],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof",
    ),
    "cool, found loose, tightened right, read cool at another phase": (
        [
            read("2026-01-10", 34.5, siblings=()),
            visit("2026-02-01", "loose", "none"),
            tighten("2026-02-10"),
            read("2026-03-01", 34.5, siblings=(), phase="C"),
        ],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof",
    ),
    "cool, found loose, tightened right, read cool where it was": (
        [
            read("2026-01-10", 34.5),
            visit("2026-02-01", "loose", "none"),
            tighten("2026-02-10"),
            read("2026-03-01", 34.5),
        ],
        ("", "next survey", "verified"),
        "",
    ),
    "never read, found damaged, its remake in doubt, read cool at another board than it is registered at": (
        [
            register(),
            visit("2026-02-01", "damaged", "none"),
            visit("2026-02-10", "damaged", "remade"),
            read("2026-03-01", 34.5, equipment="ELSE"),
        ],
        ("open", "now", "unrecorded"),
        "found damaged on 1 February 2026",
    ),
    "never read, found loose, tightened right, read cool at another phase than it is registered at": (
        [
            register(),
            visit("2026-02-01", "loose", "none"),
            tighten("2026-02-10"),
            read("2026-03-01", 34.5, siblings=(), phase="C"),
        ],
        ("open", "soon", "verified"),
        "that this was put right is not proved",
    ),
    "never read, found damaged, remade right, read cool where it is registered, its board written otherwise": (
        [
            register(equipment="DB-5"),
            visit("2026-02-01", "damaged", "none"),
            right("2026-02-10", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-03-01", 34.5, equipment="db 5", phase="L1"),
        ],
        ("", "next survey", "verified"),
        "",
    ),
    "hot, found loose and left in the minute in which its first fastener was tightened, then the other, cool": (
        [
            read("2026-02-01", 62.0),
            tighten("2026-02-03", work_time="08:00", fastener_no="1"),
            visit("2026-02-03", "loose", "none", work_time="08:00"),
            tighten("2026-02-03", work_time="11:00", fastener_no="2"),
            read("2026-02-20", 34.5),
        ],
        ("proved", "next survey", "verified"),
        "read cool after the work",
    ),
    "hot, remade without a torque between its two fasteners, cool": (
        [
            read("2026-02-01", 62.0),
            tighten("2026-02-03", work_time="08:00", fastener_no="1"),
            visit("2026-02-03", "tight", "remade", work_time="10:00"),
            tighten("2026-02-03", work_time="11:00", fastener_no="2"),
            read("2026-02-20", 34.5),
        ],
        ("cool, record in doubt", "soon", "unrecorded"),
        "worked on since without a torque record",
    ),
    "hot, tightened right, its device without a name replaced, cool": (
        [
            register(connection_id="Z", device="unknown"),
            read("2026-02-01", 62.0, device="unknown"),
            tighten("2026-02-03"),
            visit("2026-02-05", "tight", "replaced", connection_id="Z"),
            read("2026-02-20", 34.5, device="unknown"),
        ],
        ("cool, record in doubt", "soon", "unrecorded"),
        "or its device was perhaps replaced",
    ),
    "hot, read cool without its device, found tight, its device replaced": (
        [
            register(connection_id="Z", device="Q1"),
            tighten("2026-01-11"),
            read("2026-02-01", 62.0, device="Q1"),
            read("2026-02-14", 34.5),
            visit("2026-02-15", "tight", "none"),
            visit("2026-02-20", "tight", "replaced", connection_id="Z"),
        ],
        ("repair in doubt", "soon", "unrecorded"),
        "or its device was perhaps replaced",
    ),
    "hot, tightened right, what was done at another joint of its device cannot be read, cool": (
        [
            register(connection_id="Z", device="Q1"),
            read("2026-02-01", 62.0, device="Q1"),
            tighten("2026-02-03"),
            visit("2026-02-05", "tight", "exchanged", connection_id="Z"),
            read("2026-02-20", 34.5, device="Q1"),
        ],
        ("cool, record in doubt", "soon", "doubtful"),
        "or its device was perhaps replaced",
    ),
    "hot, then cool in the same survey, a device that is perhaps its own replaced in between": (
        [
            register(connection_id="Z", device="Q1"),
            read("2026-02-01", 62.0, survey_id="X", device="Q1"),
            visit("2026-02-02", "tight", "replaced", connection_id="Z"),
            read("2026-02-03", 34.5, survey_id="X"),
        ],
        ("repair in doubt", "now", "unrecorded"),
        "its device replaced is on record",
    ),
    "hot, tightened right in the minute in which its device was replaced, says one, and left, says another, cool": (
        [
            register(connection_id="Z", device="Q1"),
            read("2026-02-01", 62.0, device="Q1"),
            tighten("2026-02-03", work_time="10:00"),
            visit("2026-02-03", "tight", "replaced", connection_id="Z", work_time="10:00"),
            visit("2026-02-03", "tight", "none", connection_id="Z", work_time="10:00"),
            read("2026-02-20", 34.5, device="Q1"),
        ],
        ("cool, record in doubt", "soon", "doubtful"),
        "or its device was perhaps replaced",
    ),
    "hot, tightened right in the minute in which its device was replaced, cool": (
        [
            register(connection_id="Z", device="Q1"),
            read("2026-02-01", 62.0, device="Q1"),
            tighten("2026-02-03", work_time="10:00"),
            visit("2026-02-03", "tight", "replaced", connection_id="Z", work_time="10:00"),
            read("2026-02-20", 34.5, device="Q1"),
        ],
        ("proved", "next survey", "verified"),
        "proved",
    ),
    "hot, then cool in the same survey, a look of between was refused": (
        [
            read("2026-02-01", 62.0, survey_id="X"),
            visit("2026-02-02", "tigt?", "none"),
            read("2026-02-03", 34.5, survey_id="X"),
        ],
        ("open", "now", "unrecorded"),
        "open since 1 February 2026",
    ),
    "loose, damaged and remade by a word since, cool: as old as the looseness": (
        [visit("2026-02-01", "loose", "none"), visit("2026-03-01", "damaged", "remade"), read("2026-04-01", 34.5)],
        ("open", "soon", "unrecorded"),
        "open since 1 February 2026",
    ),
    "damaged and remade by a word, cool since: as old as the damage": (
        [visit("2026-02-01", "damaged", "remade"), read("2026-03-01", 34.5)],
        ("open", "soon", "unrecorded"),
        "open since 1 February 2026",
    ),
    "hot, tightened and denied before, remade right, cool": (
        [
            right("2026-02-02", "tight", "tightened", required_torque="25", required_source="label"),
            visit("2026-02-02", "tight", "none"),
            read("2026-02-10", 50.0),
            right("2026-02-12", "tight", "remade", required_torque="25", required_source="label"),
            read("2026-02-20", 34.5),
        ],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 12 February 2026",
    ),
    "damaged and remade by a word, tightened, says one, and left, says another of the day it was read cool": (
        [
            visit("2026-02-01", "damaged", "remade"),
            visit("2026-02-14", "tight", "tightened"),
            visit("2026-02-14", "tight", "none"),
            read("2026-02-14", 34.5),
        ],
        ("contradictory", "now", "unrecorded"),
        "contradict each other",
    ),
    "remade as its label asks, what a look since says cannot be read, another look says the same again": (
        [
            HOT,
            right("2026-05-20", "tight", "remade", required_torque="25", required_source="label"),
            asks("2026-05-22", "25*"),
            asks("2026-05-24", "25"),
            read("2026-05-26", 34.5),
        ],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 20 May 2026",
    ),
    "remade as its label asks, what a look before says cannot be read": (
        [
            HOT,
            asks("2026-05-10", "40*"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-05-26", 34.5),
        ],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 20 May 2026",
    ),
    "remade as its label asks, what a look since says cannot be read": (
        [
            HOT,
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-05-26", 34.5),
            asks("2026-05-28", "40*"),
        ],
        ("cool, record in doubt", "next outage", "doubtful"),
        "required torque could not be read",
    ),
    "new as its own record asks, what a look at the old one says cannot be read": (
        [
            HOT,
            asks("2026-05-10", "40*"),
            right("2026-05-20", "damaged", "replaced", required_torque="25"),
            read("2026-05-26", 34.5),
        ],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 20 May 2026",
    ),
    "remade as an earlier label asks, what a look after that says cannot be read": (
        [
            HOT,
            tighten("2026-02-20", required_source="label"),
            asks("2026-05-10", "40*"),
            right("2026-05-20", "damaged", "remade"),
            read("2026-05-26", 34.5),
        ],
        ("cool, record in doubt", "soon", "doubtful"),
        "required torque could not be read",
    ),
    "remade as an earlier label asks, what a look before that says cannot be read": (
        [
            HOT,
            asks("2026-02-10", "40*"),
            tighten("2026-02-20", required_source="label"),
            right("2026-05-20", "damaged", "remade"),
            read("2026-05-26", 34.5),
        ],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 20 May 2026",
    ),
    "hot, remade, its board and with it the joint renamed, cool": (
        [
            read("2026-05-04", 62.0, equipment="MSB", known_as="OLD"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            renamed("2026-05-22"),
            read("2026-05-26", 34.5, equipment="MDB"),
        ],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 20 May 2026",
    ),
    "hot under a former name at one board, cool under another former name at another": (
        [
            read("2026-05-04", 62.0, equipment="MSB", known_as="OLD"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-05-26", 34.5, equipment="MDB", known_as="OLDER"),
            renamed("2026-05-28", was_id="OLDER"),
            renamed("2026-05-28"),
        ],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot, remade, its board and with it the joint renamed, its new name read at two boards": (
        [
            read("2026-05-04", 62.0, equipment="MSB", known_as="OLD"),
            renamed("2026-05-06"),
            read("2026-05-08", 34.5, 30, equipment="MSB"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-05-26", 34.5, equipment="MDB"),
        ],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot, remade, its board and with it the joint renamed, its former name read at two boards": (
        [
            read("2026-04-04", 34.5, equipment="MDB", known_as="OLD"),
            read("2026-05-04", 62.0, equipment="MSB", known_as="OLD"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            renamed("2026-05-22"),
            read("2026-05-26", 34.5, equipment="MDB"),
        ],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot, remade, cool at another board, renamed years before it was hot": (
        [
            renamed("2019-05-22"),
            read("2026-05-04", 62.0, equipment="MSB"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-05-26", 34.5, equipment="MDB"),
        ],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot, remade, cool at another board, its name joined after that": (
        [
            read("2026-05-04", 62.0, equipment="MSB", known_as="OLD"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-05-26", 34.5, equipment="MDB"),
            renamed("2026-05-28"),
        ],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 20 May 2026",
    ),
    "hot, remade, cool at another board under a name it had no more": (
        [
            renamed("2026-05-02"),
            read("2026-05-04", 62.0, equipment="MSB"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-05-26", 34.5, equipment="MDB", known_as="OLD"),
        ],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot, cool at another board under a name it had no more": (
        [
            renamed("2026-05-02"),
            read("2026-05-04", 62.0, equipment="MSB"),
            read("2026-05-26", 34.5, equipment="MDB", known_as="OLD"),
        ],
        ("open", "now", "unrecorded"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot, remade, cool at another board under the name it had then too": (
        [
            read("2026-05-04", 62.0, equipment="MSB", known_as="OLD"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-05-26", 34.5, equipment="MDB", known_as="OLD"),
            renamed("2026-05-28"),
        ],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot at two boards, cool at one of them that day, neither with a time, remade, cool at the other": (
        [
            read("2026-05-04", 62.0, equipment="MDB", survey_id="1"),
            read("2026-05-04", 34.5, equipment="MDB", survey_id="2"),
            read("2026-05-05", 62.0, equipment="MSB", survey_id="3"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-05-26", 34.5, equipment="MSB"),
        ],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "two fasteners of a day, each to what its record requires": (
        [
            HOT,
            tighten("2026-05-20", 40.0, required_torque=40.0, fastener_no=1),
            tighten("2026-05-20", 10.0, required_torque=10.0, fastener_no=2),
        ],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof: tightened on 20 May 2026",
    ),
    "hot, remade, renamed, cool at another phase": (
        [
            read("2026-05-04", 91.0, siblings=()),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            renamed("2026-05-22"),
            read("2026-05-26", 34.5, siblings=(), phase="B"),
        ],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot, cool at less load, cool at another board": (
        [
            read("2026-05-04", 62.0, equipment="MDB"),
            read("2026-05-10", 34.5, 40, equipment="MDB"),
            read("2026-05-26", 34.5, equipment="MSB"),
        ],
        ("open", "now", "unrecorded"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot, cool before the work, remade, cool at another board": (
        [
            read("2026-05-04", 62.0, equipment="MDB"),
            read("2026-05-10", 34.5, equipment="MDB"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-05-26", 34.5, equipment="MSB"),
        ],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot, cool that day, neither with a time, cool at another board": (
        [
            read("2026-05-04", 62.0, equipment="MDB"),
            read("2026-05-04", 34.5, equipment="MDB", survey_id="2"),
            read("2026-05-26", 34.5, equipment="MSB"),
        ],
        ("open", "now", "unrecorded"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "hot at two boards, cool at one of them at little load, remade, cool at the other": (
        [
            read("2026-05-04", 62.0, equipment="MDB", survey_id="1"),
            read("2026-05-05", 62.0, equipment="MSB", survey_id="2"),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
            read("2026-05-25", 34.5, 45, equipment="MDB"),
            read("2026-05-26", 34.5, equipment="MSB"),
        ],
        ("awaiting proof", "soon", "verified"),
        "read at another board or phase than it was hot at, under the same id",
    ),
    "tightened by a finding that asks less than the record of that day": (
        [
            HOT,
            tighten("2026-05-20", 40.0, required_torque=40.0, required_source="label", work_time="08:00"),
            visit(
                "2026-05-20",
                "loose",
                "tightened",
                work_time="10:00",
                as_left_torque=10.0,
                torque_unit="N·m",
                tool_id="T1",
                required_torque="10",
            ),
        ],
        ("repair in doubt", "now", "doubtful"),
        "requires less than another record",
    ),
    "hot, and cool days later at its phase in another lettering": (
        [read("2026-05-04", 91.0, siblings=()), read("2026-05-09", 34.5, siblings=(), phase="L1")],
        ("open", "soon", "unrecorded"),
        "joints can weld and cool",
    ),
    "hot and cool at another board, then cool at its own": (
        [read("2026-05-04", 62.0), read("2026-05-09", 34.5, equipment="N"), read("2026-05-12", 34.5)],
        ("open", "soon", "unrecorded"),
        "joints can weld and cool",
    ),
    "hot, and cool days later at its board, spelled otherwise, and at a circuit named otherwise": (
        [read("2026-05-04", 62.0, equipment="MCC 1"), read("2026-05-09", 34.5, equipment="mcc/1", circuit="F1 pump")],
        ("open", "soon", "unrecorded"),
        "joints can weld and cool",
    ),
    "hot, remade that day, neither with a time, tightened right, cool at 45 % load": (
        [
            tighten("2026-01-11", 15.0),
            HOT,
            right("2026-05-04", "damaged", "remade"),
            tighten("2026-05-06"),
            read("2026-05-20", 34.5, 45),
        ],
        ("open", "now", "verified"),
        "open: found damaged on 4 May 2026, no remake recorded right since",
    ),
    "hot at 80 % load and once more at a load nobody wrote down, then cool, its load unknown": (
        [
            read("2026-05-04", 62.0, 80, survey_id="S"),
            read("2026-05-04", 61.0, None, siblings=(), survey_id="S"),
            read("2026-05-20", 34.5, None, survey_id="T"),
        ],
        ("open", "now", "unrecorded"),
        "load unknown: worse evidence (at less current)",
    ),
    "hot at 80 % load and once more at a load nobody wrote down, then cool at 85 %": (
        [
            read("2026-05-04", 62.0, 80, survey_id="S"),
            read("2026-05-04", 61.0, None, siblings=(), survey_id="S"),
            read("2026-05-20", 34.5, 85, survey_id="T"),
        ],
        ("open", "soon", "unrecorded"),
        "joints can weld and cool",
    ),
    "hot, remade right, hot the next day, and cool that day in another survey, without a time": (
        [
            tighten("2026-01-11", 15.0),
            read("2026-05-04", 91.0),
            right("2026-05-12", "damaged", "remade"),
            read("2026-05-13", 42.0, survey_time="12:00", survey_id="2"),
            read("2026-05-13", 34.5, survey_id="3"),
        ],
        ("not cured", "soon", "verified"),
        "not cured: still hot after the work of 12 May 2026",
    ),
    "hot, seen tight, and over-torqued that day, perhaps after that": (
        [
            read("2026-05-04", 62.0, cover="closed", survey_time="12:00"),
            visit("2026-05-04", "tight", "none", work_time="16:00"),
            tighten("2026-05-04", 40.0),
        ],
        ("repair in doubt", "now", "over-torqued"),
        "repair in doubt",
    ),
    "hot, seen tight, and tightened right that day, perhaps after that": (
        [
            read("2026-05-04", 62.0, cover="closed", survey_time="12:00"),
            visit("2026-05-04", "tight", "none", work_time="16:00"),
            tighten("2026-05-04"),
        ],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof: checked on 4 May 2026",
    ),
    "hot, tightened right, its second fastener, under a merged id, not; cool": (
        [
            read("2026-05-04", 62.0),
            tighten("2026-05-20", fastener_no=1),
            tighten("2026-05-20", 5.0, fastener_no=2, connection_id=None),
            read("2026-05-26", 34.5),
        ],
        ("cool, record in doubt", "soon", "doubtful"),
        "another record of it was rejected: mend it",
    ),
    "hot, tightened right, a row of nobody under another joint": (
        [
            read("2026-05-04", 62.0),
            tighten("2026-05-20"),
            tighten("2026-05-20", connection_id="B"),
            tighten("2026-05-20", 5.0, connection_id=None),
            read("2026-05-26", 34.5),
        ],
        ("proved", "next survey", "verified"),
        "proved: read cool after the work of 20 May 2026",
    ),
    "hot twice in a survey, then cool in another": (
        [
            read("2026-05-04", 62.0, None, survey_id="1"),
            read("2026-05-06", 61.0, None, survey_id="1"),
            read("2026-05-08", 34.5, None, survey_id="2"),
        ],
        ("open", "soon", "unrecorded"),
        "joints can weld and cool",
    ),
    "a record of before was rejected, hot, tightened right": (
        [tighten("2026-02-01", "2 5"), read("2026-05-04", 62.0), tighten("2026-05-20")],
        ("repair in doubt", "now", "doubtful"),
        "another record of it was rejected: mend it",
    ),
    "a record of before was rejected, hot, tightened right, cool": (
        [tighten("2026-02-01", "2 5"), read("2026-05-04", 62.0), tighten("2026-05-20"), read("2026-05-26", 34.5)],
        ("open", "soon", "verified"),
        "joints can weld and cool",
    ),
    "a record of before was rejected, hot, remade": (
        [
            tighten("2026-02-01", "2 5"),
            read("2026-05-04", 62.0),
            visit("2026-05-20", "loose", "remade"),
            tighten("2026-05-20"),
        ],
        ("awaiting proof", "soon", "verified"),
        "remade on 20 May 2026",
    ),
    "a record of before was rejected, and a later one is doubtful, hot, tightened right": (
        [tighten("2026-02-01", "2 5"), tighten("2026-02-20", 10.0), read("2026-05-04", 62.0), tighten("2026-05-20")],
        ("awaiting proof", "soon", "verified"),
        "tightened on 20 May 2026",
    ),
    "hot without a time on the day of a remake by a word alone, tightened right, hot once more": (
        [
            read("2026-04-16", 55.0, 40),
            visit("2026-04-16", "damaged", "replaced", work_time="08:00"),
            tighten("2026-04-18"),
            read("2026-04-20", 42.0, 40),
        ],
        ("not cured", "now", "verified"),
        "still hot after the work",
    ),
    "hot without a time on the day of a remake by a word alone, tightened right, hot once more, tightened": (
        [
            read("2026-04-16", 55.0, 40),
            visit("2026-04-16", "damaged", "replaced", work_time="08:00"),
            tighten("2026-04-18"),
            read("2026-04-20", 46.0, 80),
            tighten("2026-04-22"),
        ],
        ("repair in doubt", "now", "verified"),
        "remake was asked",
    ),
    "a record of before was rejected, hot, tightened right later that day": (
        [
            tighten("2026-04-05", "2 5"),
            read("2026-04-25", 55.0, survey_time="15:30"),
            tighten("2026-04-25", work_time="16:00"),
        ],
        ("repair in doubt", "now", "doubtful"),
        "another record of it was rejected: mend it",
    ),
    "remade, its record rejected, hot later that day, tightened": (
        [
            visit("2026-04-25", "loose", "remade", work_time="08:00"),
            tighten("2026-04-25", "2 5", work_time="08:00"),
            read("2026-04-25", 55.0, survey_time="14:00"),
            tighten("2026-04-26"),
        ],
        ("repair in doubt", "now", "doubtful"),
        "another record of it was rejected: mend it",
    ),
    "a record of a day after the reading was rejected, hot, tightened right": (
        [tighten("2026-05-10", "2 5"), read("2026-05-04", 62.0), tighten("2026-05-20")],
        ("awaiting proof", "soon", "verified"),
        "tightened on 20 May 2026",
    ),
    "a reading that is not fit comes between none of another survey": (
        [
            read("2026-05-04", 62.0, survey_id="1"),
            read("2026-05-10", 31.0, cover="closed", survey_id="2"),
            read("2026-05-20", 34.5, survey_id="1"),
        ],
        ("open", "now", "unrecorded"),
        "open",
    ),
    "an overload, and a closed cover that day in an order nobody knows": (
        [GOOD, read("2026-05-04", 34.5, 140, survey_id="1"), read("2026-05-04", 34.5, cover="closed", survey_id="2")],
        ("open", "soon", "verified"),
        "open",
    ),
    "found loose, by feel, found tight, then cool": (
        [COOL, LOOSE, FEEL, visit("2026-05-12", "tight", "none"), PROOF],
        ("open", "soon", "unrecorded"),
        "that this was put right is not proved",
    ),
    "found loose, cool, tightened right, a closed cover": (
        [
            COOL,
            GOOD,
            LOOSE,
            read("2026-05-09", 34.5),
            tighten("2026-05-10"),
            read("2026-05-25", 31.0, 60, cover="closed"),
        ],
        ("awaiting proof", "soon", "verified"),
        "worse evidence",
    ),
    "remade right, the next day found damaged and remade by a word alone": (
        [COOL, GOOD, right("2026-05-09", "tight", "remade"), visit("2026-05-10", "damaged", "remade")],
        ("repair in doubt", "now", "unrecorded"),
        "without a torque record",
    ),
    "cool, then tightened too low": (
        [HOT, read("2026-05-10", 34.5), tighten("2026-05-20", 10.0)],
        ("repair in doubt", "soon", "under-torqued"),
        "below required",
    ),
    "cool, then tightened too low, and hot": (
        [HOT, read("2026-05-10", 34.5), tighten("2026-05-20", 10.0), read("2026-05-25", 62.0)],
        ("not cured", "now", "under-torqued"),
        "still hot",
    ),
    # found by walking through random histories
    "a warm cover after the work": (
        [TWO, LOW, tighten("2026-05-10"), read("2026-05-25", 46.0, cover="closed")],
        ("not cured", "soon", "verified"),
        "still hot",
    ),
    "loose and put right, then a 2": (
        [COOL, GOOD, LOOSE, tighten("2026-05-10"), read("2026-05-25", 42.0)],
        ("open", "soon", "verified"),
        "open since 25 May 2026; was found damaged or loose before, and that this was put right is not proved",
    ),
    "loose and put right, cool minutes later": (
        [COOL, GOOD, LOOSE, tighten("2026-05-10", work_time="15:00"), read("2026-05-10", 34.5, survey_time="15:05")],
        ("awaiting proof", "soon", "verified"),
        "worse evidence",
    ),
    "found damaged, remade right the next day": (
        [COOL, GOOD, visit("2026-05-10", "damaged", "none"), right("2026-05-11", "not checked", "remade")],
        ("awaiting proof", "soon", "verified"),
        "remade",
    ),
    "a remake that was read hot, then tightened and milder": (
        [
            HOT,
            GOOD,
            visit("2026-05-08", "tight", "remade"),
            read("2026-05-10", 46.0),
            tighten("2026-05-12"),
            read("2026-05-25", 46.0),
        ],
        ("not cured", "now", "verified"),
        "still hot",
    ),
    "remade right, and hot that day in an order nobody knows": (
        [BURNT, LOW, right("2026-05-20", "tight", "remade"), read("2026-05-20", 62.0, survey_id="2")],
        ("repair in doubt", "now", "verified"),
        "remade is on record; torque record verified; no notice on record; read again on 20 May 2026 at 80 % load: "
        "worse evidence (order of the day not known)",
    ),
    "burnt, tightened, cool minutes later": (
        [BURNT, GOOD, tighten("2026-05-20", 40.0, work_time="15:00"), read("2026-05-20", 34.5, survey_time="15:05")],
        ("repair in doubt", "now", "over-torqued"),
        "worse evidence",
    ),
    "burnt, said to be remade and not, cool that day": (
        [BURNT, visit("2026-05-20", "loose", "remade"), visit("2026-05-20", "loose", "none"), read("2026-05-20", 34.5)],
        ("contradictory", "now", "found loose"),
        "contradict",
    ),
    "a 2 at 39 % and cool at 9 % in one survey": (
        [HOT, tighten("2026-05-10"), read("2026-05-20", 33.0, 9, survey_time="12:00"), read("2026-05-20", 42.0, 39)],
        ("not cured", "now", "verified"),
        "still hot, though at less current",
    ),
    "a warm cover and an open one in one survey": (
        [
            GOOD,
            read("2026-05-04", 46.0, 40, cover="closed", survey_time="15:00"),
            read("2026-05-04", 32.5, 39, siblings=(33.0, 32.0)),
        ],
        ("open", "soon", "verified"),
        "open",
    ),
    "one cold, then read at 12 %": (
        [GOOD, read("2026-05-04", 32.0, siblings=(46.0, 45.0)), read("2026-05-20", 31.0, 12)],
        ("open", "next outage", "verified"),
        "at 12 % load: worse evidence (reads cold",
    ),
    "by feel, cool, then found tight": (
        [HOT, tighten("2026-05-20", None, method="by feel"), PROOF, visit("2026-05-28", "tight", "none")],
        ("cool, record in doubt", "next outage", "unrecorded"),
        "by feel",
    ),
    "doubtful, and cool at less current": (
        [read("2026-05-04", 62.0, 100), tighten("2026-05-20", 10.0), read("2026-05-25", 34.5, 45)],
        ("repair in doubt", "now", "under-torqued"),
        "below required",
    ),
    "tool out of tolerance after proof": (
        [HOT, tighten("2026-05-20"), PROOF, tool(found_out_of_tolerance_on="2026-05-28")],
        ("cool, record in doubt", "soon", "doubtful"),
        "out of tolerance",
    ),
    "proved, then hot again": (
        [HOT, tighten("2026-05-20"), PROOF, read("2026-05-30", 62.0)],
        ("open", "now", "verified"),
        "open",
    ),
    "proved in two steps": (
        [
            read("2026-05-04", 62.0, 100),
            tighten("2026-05-20"),
            read("2026-05-25", 34.5, 45),
            read("2026-05-30", 34.5, 60),
        ],
        ("proved", "next survey", "verified"),
        "at 60 % load",
    ),
    # later readings that are worse evidence
    "cool at 15 % in the afternoon": (
        [read("2026-05-04", 91.0, 80, survey_time="09:00"), read("2026-05-04", 31.0, 15, survey_time="15:00")],
        ("open", "now", "unrecorded"),
        "open",
    ),
    "not loaded at the next survey": (
        [HOT, read("2026-05-25", 31.0, 0)],
        ("open", "now", "unrecorded"),
        "read again on 25 May 2026 at 0 % load",
    ),
    "cool at 79 % of the current": (
        [read("2026-05-04", 62.0, 100), read("2026-05-25", 34.5, 79)],
        ("open", "now", "unrecorded"),
        "worse evidence (at less current), it takes nothing back",
    ),
    "cooled without work": (
        [read("2026-05-04", 62.0, 100), read("2026-05-25", 34.5, 80)],
        ("open", "soon", "unrecorded"),
        "open",
    ),
    # put off, told, made safe
    "put off": (
        [HOT, defer("2026-05-10", "2026-09-01")],
        ("put off", "now", "unrecorded"),
        "put off by P. Lowe until 1 September 2026: no spare part",
    ),
    "put off through today": ([HOT, defer("2026-05-10", "2026-06-01")], ("put off", "now", "unrecorded"), "put off by"),
    "run out": ([HOT, defer("2026-05-10", "2026-05-31")], ("open", "now", "unrecorded"), "that has run out"),
    "withdrawn": (
        [HOT, defer("2026-05-10", "2026-09-01"), defer("2026-05-12", "2026-09-01", withdrawn="yes")],
        ("open", "now", "unrecorded"),
        "open",
    ),
    "remade by what its label asks, no torque record": (
        [
            read("2026-05-04", 91.0),
            right("2026-05-20", "damaged", "remade", required_torque="23-25", required_source="label"),
        ],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof: remade on 20 May 2026",
    ),
    "remade to less than its label asks": (
        [
            read("2026-05-04", 91.0),
            right("2026-05-20", "damaged", "remade", required_torque="35", required_source="label"),
        ],
        ("repair in doubt", "now", "under-torqued"),
        "below required",
    ),
    "remade by a torque nobody says is asked": (
        [read("2026-05-04", 91.0), right("2026-05-20", "damaged", "remade")],
        ("repair in doubt", "now", "doubtful"),
        "required torque unknown",
    ),
    "remade by a finding that asks less than a record, by its table": (
        [
            tighten("2026-01-15", 40.0, required_torque=40.0, required_source="table"),
            read("2026-05-04", 91.0),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="table"),
        ],
        ("repair in doubt", "now", "doubtful"),
        "requires less than another record",
    ),
    "remade by a finding that asks less than a record, by the label": (
        [
            tighten("2026-01-15", 40.0, required_torque=40.0, required_source="table"),
            read("2026-05-04", 91.0),
            right("2026-05-20", "damaged", "remade", required_torque="25", required_source="label"),
        ],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof: remade on 20 May 2026",
    ),
    "remade by a finding that asks less than the maker's value on record": (
        [
            tighten("2026-01-15", 40.0, required_torque=40.0, required_source="label"),
            read("2026-05-04", 91.0),
            right("2026-05-20", "loose", "tightened", required_torque="25", required_source="table"),
        ],
        ("repair in doubt", "now", "doubtful"),
        "requires less than another record",
    ),
    "put off in a finding, and withdrawn that day": (
        [
            HOT,
            defer("2026-05-20", "2026-09-01", withdrawn="yes"),
            visit(
                "2026-05-20",
                "not checked",
                "none",
                deferred_by="P. Lowe",
                deferred_until="2026-09-01",
                comment="no spare part",
            ),
        ],
        ("open", "now", "unrecorded"),
        "open",
    ),
    "for five years": (
        [HOT, defer("2026-05-10", "2031-05-10")],
        ("put off", "now", "unrecorded"),
        "for more than a year",
    ),
    "twice": (
        [HOT, defer("2026-05-10", "2026-05-20"), defer("2026-05-20", "2026-06-20")],
        ("put off", "now", "unrecorded"),
        "not for the first time",
    ),
    "put off, then tightened right": (
        [HOT, defer("2026-05-10", "2026-09-01"), tighten("2026-05-20")],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof",
    ),
    "told": ([HOT, tell("2026-05-05")], ("told", "now", "unrecorded"), "R. Fenwick was told on 5 May 2026 by P. Lowe"),
    "told and put off": (
        [HOT, tell("2026-05-05"), defer("2026-05-10", "2026-09-01")],
        ("put off", "now", "unrecorded"),
        "R. Fenwick was told",
    ),
    "switched off": (
        [HOT, tell("2026-05-05", made_safe="switched off and locked")],
        ("made safe", "now", "unrecorded"),
        "made safe, do not restore: switched off and locked",
    ),
    "load limited": (
        [read("2026-05-04", 62.0, None, load_a=100), tell("2026-05-05", made_safe="load limited", limited_to_a=60)],
        ("made safe", "now", "unrecorded"),
        "load limited to 60 A",
    ),
    "limited, the current it was read at not known": (
        [HOT, tell("2026-05-05", made_safe="load limited", limited_to_a=60)],
        ("told", "now", "unrecorded"),
        "NOT known to be made safe: the load is limited to 60 A, but the current it was read at is not recorded",
    ),
    "lifted, but nothing had made it safe": (
        [HOT, tell("2026-05-05", made_safe="lifted")],
        ("told", "now", "unrecorded"),
        "R. Fenwick was told on 5 May 2026",
    ),
    "locked before the reading, lifted after": (
        [tell("2026-05-01", made_safe="switched off and locked"), HOT, tell("2026-05-05", made_safe="lifted")],
        ("told", "now", "unrecorded"),
        "NO LONGER made safe since 5 May 2026",
    ),
    "load limited to nobody knows what": (
        [HOT, tell("2026-05-05", made_safe="load limited")],
        ("told", "now", "unrecorded"),
        "R. Fenwick was told",
    ),
    "limited to no less than it was read at": (
        [read("2026-05-04", 62.0, None, load_a=100), tell("2026-05-05", made_safe="load limited", limited_to_a=100)],
        ("told", "now", "unrecorded"),
        "NOT made safe: the load is limited to 100 A, not below the current it was read at",
    ),
    "limited to a little less than it was read at": (
        [
            read("2026-05-04", 62.0, None, load_a=212.5),
            tell("2026-05-05", made_safe="load limited", limited_to_a=211.9),
        ],
        ("made safe", "now", "unrecorded"),
        "load limited to 211.9 A (read at 212.5 A)",
    ),
    "limited, then to more than it was read at": (
        [
            read("2026-05-04", 62.0, None, load_a=100),
            tell("2026-05-05", made_safe="load limited", limited_to_a=60),
            tell("2026-05-08", made_safe="load limited", limited_to_a=400),
        ],
        ("told", "now", "unrecorded"),
        "NOT made safe: the load is limited to 400 A",
    ),
    "limited below what it was read at": (
        [read("2026-05-04", 62.0, None, load_a=100), tell("2026-05-05", made_safe="load limited", limited_to_a=60)],
        ("made safe", "now", "unrecorded"),
        "load limited to 60 A (read at 100 A) on 5 May 2026",
    ),
    "put off before its reading": (
        [COOL, defer("2026-05-01", "2026-09-01"), read("2026-05-20", 62.0)],
        ("open", "now", "unrecorded"),
        "put off by P. Lowe until 1 September 2026, decided before this reading: it says nothing of it, decide again",
    ),
    "put off on the day of its reading": (
        [HOT, defer("2026-05-04", "2026-09-01")],
        ("put off", "now", "unrecorded"),
        "put off by P. Lowe until 1 September 2026: no spare part",
    ),
    "run out on the day of its reading": (
        [COOL, defer("2026-05-01", "2026-05-20"), read("2026-05-20", 62.0)],
        ("open", "now", "unrecorded"),
        "put off until 20 May 2026 by P. Lowe: that has run out",
    ),
    "hot, found damaged and left": (
        [HOT, visit("2026-05-10", "damaged", "none")],
        ("open", "now", "unrecorded"),
        "open: found damaged on 10 May 2026",
    ),
    "run out, and read again as hot": (
        [HOT, defer("2026-05-05", "2026-05-15"), read("2026-05-20", 63.0)],
        ("open", "now", "unrecorded"),
        "put off until 15 May 2026 by P. Lowe: that has run out",
    ),
    "run out before its reading": (
        [COOL, defer("2026-05-01", "2026-05-19"), read("2026-05-20", 62.0)],
        ("open", "now", "unrecorded"),
        "open",
    ),
    "locked, remade right, and lifted": (
        [
            HOT,
            GOOD,
            tell("2026-05-05", made_safe="switched off and locked"),
            right("2026-05-20", "tight", "remade"),
            tell("2026-05-21", made_safe="lifted"),
        ],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof",
    ),
    "told of an earlier reading": (
        [HOT, tell("2026-05-05"), read("2026-05-20", 63.0)],
        ("open", "now", "unrecorded"),
        "the notice of 5 May 2026 is of an earlier reading: tell them of this one",
    ),
    "locked, then read hot again": (
        [HOT, tell("2026-05-05", made_safe="switched off and locked"), read("2026-05-20", 62.0)],
        ("open", "now", "unrecorded"),
        "switched off and locked earlier and not lifted on record: say whether it still is",
    ),
    "made safe, and lifted": (
        [HOT, tell("2026-05-05", made_safe="switched off and locked"), tell("2026-05-08", made_safe="lifted")],
        ("told", "now", "unrecorded"),
        "NO LONGER made safe since 8 May 2026, says P. Lowe",
    ),
    "made safe and lifted on one day": (
        [HOT, tell("2026-05-05", made_safe="lifted"), tell("2026-05-05", made_safe="switched off and locked")],
        ("told", "now", "unrecorded"),
        "NO LONGER made safe",
    ),
    "lifted, then locked again": (
        [HOT, tell("2026-05-05", made_safe="lifted"), tell("2026-05-06", made_safe="switched off and locked")],
        ("made safe", "now", "unrecorded"),
        "made safe, do not restore: switched off and locked on 6 May 2026",
    ),
    "an old notice and hot again": (
        [HOT, tell("2026-05-05"), read("2026-05-25", 62.0)],
        ("open", "now", "unrecorded"),
        "open",
    ),
    "a notice of a cool joint": ([COOL, GOOD, tell("2026-05-05")], ("", "next survey", "verified"), ""),
    # the register
    "crimp remade with its die": (
        [HOT, register(termination_kind="compression"), visit("2026-05-20", "discoloured", "remade", tool_id="D7")],
        ("awaiting proof", "soon", "unrecorded"),
        "awaiting proof: remade",
    ),
    "crimp remade, no die recorded": (
        [HOT, register(termination_kind="compression"), visit("2026-05-20", "discoloured", "remade")],
        ("repair in doubt", "now", "unrecorded"),
        "repair in doubt: remake was asked, remade is on record, its die or tool is not",
    ),
    "a closed cover, opened and looked at": (
        [read("2026-05-04", 55.0, 80, cover="closed"), visit("2026-05-20", "tight", "none")],
        ("awaiting proof", "soon", "unrecorded"),
        "awaiting proof: checked",
    ),
    "renamed": (
        [register(was_id="OLD"), HOT, tighten("2026-05-20", connection_id="OLD")],
        ("awaiting proof", "soon", "verified"),
        "awaiting proof",
    ),
    "id used again": (
        [HOT, register(retired_on="2026-05-10", retired_by="P. Lowe"), read("2026-05-25", 34.5)],
        ("open", "next outage", "unrecorded"),
        "open",
    ),
    **{
        f"out of use, says {word}": (
            [HOT, register(retired_on="2026-05-10", retired_by=word)],
            ("open", "now", "unrecorded"),
            "open",
        )
        for word in ("-", "n/a", "none", "nobody", "?", "***", "N / A", "(none)", "TBC", "unknown.")
    },
    "out of use, but nobody says so": ([HOT, register(retired_on="2026-05-10")], ("open", "now", "unrecorded"), "open"),
    "out of use from tomorrow": (
        [HOT, register(retired_on="2026-06-02", retired_by="P. Lowe")],
        ("open", "now", "unrecorded"),
        "open",
    ),
}


@pytest.fixture(scope="module")
def made() -> dict[str, tuple[str, str, str, str]]:
    return told_of({case: events for case, (events, *_) in CASES.items()})


@pytest.mark.parametrize("case", CASES)
def test_case(case: str, made: dict[str, tuple[str, str, str, str]]) -> None:
    _, expected, words = CASES[case]
    *states, said = made[case]
    assert tuple(states) == expected
    assert words in said if words else said == ""


@pytest.mark.parametrize(
    ("case", "words"), [("run out before its reading", "run out"), ("locked, remade right, and lifted", "NO LONGER")]
)
def test_what_is_of_the_past_is_not_said(case: str, words: str, made: dict[str, tuple[str, str, str, str]]) -> None:
    assert words not in made[case][3]


@pytest.mark.parametrize(
    ("day", "words"), [("2026-05-25", "its reading of 25 May 2026 was refused"), ("2026-05-04", "")]
)
def test_a_later_reading_that_was_refused_is_said_at_a_joint_that_must_not_wait_too(day: str, words: str) -> None:
    """One of the day of the finding stands beside the list already."""
    off = ("survey", {"survey_date": day, "celsius": "OL", "load_pct": 60})
    row = assessed({"": [HOT, off]}).set_index("connection_id").loc["0/A"]
    assert row["urgency"] == "now"
    assert str(row["resurvey_reason"]).startswith(words) if words else not row["resurvey_reason"]


def test_what_was_found_before_the_first_reading_of_a_site_counts() -> None:
    found = [visit("2026-05-20", "damaged", "remade"), read("2026-05-24", 62.0, 30), read("2026-05-26", 33.0, 30)]
    assert told_of({"alone": found})["alone"][:2] == ("open", "now")


def test_a_limit_that_limits_nothing_is_nowhere_called_made_safe() -> None:
    hot = read("2026-05-04", 62.0, None, load_a=100)
    rows = assessed({"": [hot, tell("2026-05-05", made_safe="load limited", limited_to_a=100)]})
    row = rows.set_index("connection_id").loc["0/A"]
    assert pd.isna(row["made_safe"])
    assert row["is_limit_too_high"]


@pytest.mark.parametrize(("on", "overdue"), [("2026-05-27", False), ("2026-05-28", True)])
def test_a_proof_is_overdue_from_the_day_after_its_last(on: str, overdue: bool) -> None:
    """Rated 4, remade on 20 May: within 7 days."""
    work = [HOT, GOOD, right("2026-05-20", "tight", "remade")]
    row = assessed({"": work}, pd.Timestamp(on).date()).set_index("connection_id").loc["0/A"]
    assert (row["is_overdue"], row["work"].endswith("OVERDUE")) == (overdue, overdue)


def test_there_are_cases_enough() -> None:
    assert len(CASES) >= 45


def breaker(*events: Event) -> dict[str, str]:
    """What is now of A, B and C of one breaker, all with a good record, A replaced; by joint: state and record."""
    good = [tighten("2026-02-01", connection_id=name) for name in "ABC"]
    places = [register(connection_id=name, phase=name, device="Q1") for name in "ABC"]
    rows = assessed({"": [COOL, *good, *places, *events]}).set_index("connection_id")
    return {name[2:]: f"{row['record_now']}, {row['action']}" for name, row in rows.iterrows()}


def test_of_a_replaced_device_every_joint_needs_a_torque_of_its_own() -> None:
    replaced = right("2026-05-20", "tight", "replaced")
    assert breaker(replaced) == {
        "A": "verified, none",
        "B": "unrecorded, check torque",
        "C": "unrecorded, check torque",
    }
    again = tighten("2026-05-20", connection_id="B")
    assert breaker(replaced, again)["B"] == "verified, re-survey", "B was rated 1: read it again"


def test_a_new_device_puts_no_joint_right_that_was_found_loose() -> None:
    loose = visit("2026-05-10", "loose", "none", connection_id="B")
    made = breaker(loose, right("2026-05-20", "tight", "replaced"))
    assert made["B"] == "found loose, retighten"


def test_what_is_out_of_use_is_in_no_list_but_its_own() -> None:
    tables = read_frames(
        on=DAY,
        survey=phases(62.0, 35.0, 34.0, ambient_c=30.0, load_pct=80),
        connections=pd.DataFrame([{"connection_id": "A", "retired_on": "2026-05-10", "retired_by": "P. Lowe"}]),
    )
    made = assess(tables, on=DAY)
    assert "A" not in set(made.connections["connection_id"])
    tables_ = results(made, Units())
    assert tables_["retired"][["connection_id", "retired_by", "severity", "urgency"]].to_numpy().tolist() == [
        ["A", "P. Lowe", 4, "now"]
    ]
    assert tables_.summary["retired"] == 1
    assert "A" not in set(tables_["ranking"]["connection_id"])


# What an attacker tried: events, then the urgency that must hold.
ATTACKS: dict[str, tuple[list[Event], str]] = {
    "never read, found loose, by feel": (
        [visit("2026-05-10", "loose", "none"), tighten("2026-05-12", None, method="by feel")],
        "soon",
    ),
    "a 3, a doubtful repair, a flagged 2, looked at": (
        [
            THREE,
            LOW,
            tighten("2026-05-10", 10.0),
            read("2026-05-14", 42.0, load_steady_min=5),
            visit("2026-05-20", "tight", "none"),
        ],
        "soon",
    ),
    "hot and cool in two surveys of one day": (
        [
            read("2026-05-04", 62.0, survey_time="09:00", survey_id="S1"),
            read("2026-05-04", 34.5, 80, survey_time="15:00", survey_id="S2"),
        ],
        "soon",
    ),
    "worked on before the hot reading of the day": (
        [
            read("2026-05-04", 62.0, survey_time="14:00"),
            tighten("2026-05-04", work_time="09:00"),
            read("2026-05-25", 34.5, 80),
        ],
        "soon",
    ),
    "by feel on the day of the hot reading": (
        [HOT, tighten("2026-05-04", None, method="by feel"), read("2026-05-25", 34.5, 80)],
        "soon",
    ),
    "hot after the work of the day, then cool": (
        [
            HOT,
            tighten("2026-05-25", work_time="08:00"),
            read("2026-05-25", 62.0, 80, survey_time="10:00"),
            read("2026-05-28", 34.5, 64),
        ],
        "soon",
    ),
    "a hot cover, then cool": (
        [read("2026-05-04", 55.0, 80, cover="closed"), GOOD, read("2026-05-25", 34.5, 80)],
        "soon",
    ),
    "over its limit at no load, then cool": ([read("2026-05-04", 91.0, 0), GOOD, read("2026-05-25", 34.5, 80)], "soon"),
    "damaged, then remade without a torque": (
        [COOL, GOOD, visit("2026-05-20", "damaged", "none"), visit("2026-05-22", "not checked", "remade")],
        "now",
    ),
    "damaged after the remake of the day": (
        [
            HOT,
            GOOD,
            right("2026-05-20", "tight", "remade", work_time="09:00"),
            visit("2026-05-20", "damaged", "none", work_time="15:00"),
        ],
        "now",
    ),
    "a cool one damaged after the remake of the day": (
        [
            COOL,
            GOOD,
            right("2026-05-20", "tight", "remade", work_time="09:00"),
            visit("2026-05-20", "damaged", "none", work_time="15:00"),
        ],
        "now",
    ),
    "discoloured after the remake of the day, tightened": (
        [
            HOT,
            GOOD,
            right("2026-05-20", "tight", "remade", work_time="09:00"),
            right("2026-05-20", "discoloured", "tightened", work_time="15:00"),
        ],
        "now",
    ),
    "remade without a torque after a tightening of the day": (
        [
            HOT,
            GOOD,
            tighten("2026-05-20", work_time="09:00"),
            visit("2026-05-20", "loose", "remade", work_time="11:00"),
        ],
        "now",
    ),
    "found loose after a tightening of the day": (
        [HOT, tighten("2026-05-20", work_time="09:00"), visit("2026-05-20", "loose", "tightened", work_time="15:00")],
        "now",
    ),
    "a crimp remade without a die, then by feel": (
        [HOT, CR, visit("2026-05-10", "discoloured", "remade"), tighten("2026-05-20", None, method="by feel")],
        "now",
    ),
    "a crimp remade without a die, then tightened low": (
        [HOT, CR, visit("2026-05-10", "discoloured", "remade"), tighten("2026-05-20", 10.0)],
        "now",
    ),
    "a crimp remade without a die, then tightened with a tool": (
        [
            HOT,
            CR,
            visit("2026-05-10", "discoloured", "remade"),
            visit("2026-05-20", "tight", "tightened", tool_id="T1"),
        ],
        "now",
    ),
    "a crimp remade without a die, a shear head on record": (
        [
            HOT,
            CR,
            visit("2026-05-20", "discoloured", "remade"),
            tighten("2026-05-20", None, method="shear head", tool_id=None),
        ],
        "now",
    ),
    "a crimp remade again without a die": (
        [
            HOT,
            CR,
            visit("2026-05-20", "discoloured", "remade", tool_id="D7", work_time="09:00"),
            visit("2026-05-20", "discoloured", "remade", work_time="15:00"),
        ],
        "now",
    ),
    "a crimp remade, found loose and tightened": (
        [
            HOT,
            CR,
            visit("2026-05-20", "discoloured", "remade", tool_id="D7"),
            visit("2026-05-25", "loose", "none"),
            visit("2026-05-26", "loose", "tightened", tool_id="T1"),
        ],
        "now",
    ),
    "a crimp remade with its die, then found loose": (
        [HOT, CR, visit("2026-05-20", "discoloured", "remade", tool_id="D7"), visit("2026-05-25", "loose", "none")],
        "now",
    ),
    "a spring tightened": ([HOT, register(termination_kind="spring"), tighten("2026-05-20", 1.0)], "now"),
    "a stab tightened": ([read("2026-05-04", 62.0, point="stab"), tighten("2026-05-20", 1.0, tool_id="T9")], "now"),
    "a conductor tightened": ([read("2026-05-04", 91.0, point="conductor"), tighten("2026-05-20", 1.0)], "now"),
    "a burnt device looked at": (
        [read("2026-05-04", 91.0, point="device body"), visit("2026-05-20", "tight", "none")],
        "now",
    ),
    "a burnt clip looked at": (
        [read("2026-05-04", 91.0, point="fuse clip"), visit("2026-05-20", "tight", "none")],
        "now",
    ),
    "a hot spring looked at": ([HOT, register(termination_kind="spring"), visit("2026-05-20", "tight", "none")], "now"),
    "cooled, by feel, then cool at less": (
        [
            read("2026-05-04", 62.0, 100),
            read("2026-05-08", 34.5, 100),
            tighten("2026-05-15", None, method="by feel"),
            read("2026-05-25", 34.5, 45),
        ],
        "soon",  # as without that work
    ),
    "load unknown, then cool at 10 %": ([read("2026-05-04", 62.0, None), read("2026-05-25", 31.0, 10)], "now"),
    "load unknown, tightened, cool at 40 %": (
        [read("2026-05-04", 62.0, None, current_a=100), tighten("2026-05-20"), read("2026-05-25", 34.5, 40)],
        "soon",
    ),
    "load unknown, by feel, cool at 40 %": (
        [read("2026-05-04", 62.0, None), tighten("2026-05-20", None, method="by feel"), read("2026-05-25", 34.5, 40)],
        "now",
    ),
    "the device of a sibling replaced, cool at half": (
        [
            HOT,
            *[register(connection_id=n, phase=n, device="Q1") for n in "ABC"],
            right("2026-05-20", "tight", "replaced", connection_id="B"),
            read("2026-05-25", 34.5, 40),
        ],
        "now",
    ),
    "by feel, then rated 2": ([HOT, tighten("2026-05-10", None, method="by feel"), read("2026-05-20", 42.0)], "now"),
    "over its limit, by feel, rated 2, then cool": (
        [BURNT, tighten("2026-05-10", None, method="by feel"), read("2026-05-20", 42.0), read("2026-05-25", 34.5, 80)],
        "soon",
    ),
    "a remake asked, found loose and tightened right": (
        [HOT, GOOD, visit("2026-05-10", "loose", "none"), right("2026-05-12", "loose", "tightened")],
        "now",
    ),
    "found loose, then tightened low": (
        [COOL, GOOD, visit("2026-05-20", "loose", "none"), tighten("2026-05-22", 10.0)],
        "soon",
    ),
    "fallen to 2, then by feel": (
        [HOT, read("2026-05-10", 42.0, 80), tighten("2026-05-20", None, method="by feel")],
        "now",
    ),
    "a 3, by feel on its day, then cool": (
        [read("2026-05-04", 46.0), tighten("2026-05-04", None, method="by feel"), read("2026-05-25", 34.5, 80)],
        "soon",
    ),
    "burnt, then found loose": ([BURNT, visit("2026-05-10", "loose", "none")], "now"),
    "proved, then read at no load": (
        [HOT, tighten("2026-05-20"), read("2026-05-25", 34.5, 60), read("2026-05-30", 31.0, 0)],
        "next survey",
    ),
    "damaged after the work, then cool": (
        [HOT, tighten("2026-05-20"), visit("2026-05-22", "damaged", "none"), read("2026-05-25", 34.5, 60)],
        "now",
    ),
    "a 5 % reading between two tightenings": (
        [BURNT, tighten("2026-05-10", 10.0), read("2026-05-14", 42.0, 5), tighten("2026-05-22")],
        "now",
    ),
    "not cured, then cool at four fifths": (
        [HOT, tighten("2026-05-20"), read("2026-05-25", 62.0), read("2026-05-28", 34.5, 64)],
        "soon",
    ),
    "put off before it was found hot": ([COOL, defer("2026-05-01", "2026-09-01"), read("2026-05-20", 62.0)], "now"),
    "locked, then by feel": (
        [HOT, tell("2026-05-05", made_safe="switched off and locked"), tighten("2026-05-20", None, method="by feel")],
        "now",
    ),
    "burnt in the morning, a milder 4 in the afternoon, tightened": (
        [
            read("2026-05-04", 91.0, survey_time="09:00"),
            read("2026-05-04", 62.0, survey_time="14:00"),
            LOW,
            tighten("2026-05-20"),
        ],
        "now",
    ),
    "tightened to less, which a later record says is required": (
        [HOT, LOW, tighten("2026-05-20", 10.0, required_torque=10.0)],
        "now",
    ),
    "left at what a lowered record requires": (
        [
            HOT,
            LOW,
            tighten("2026-05-18", 10.0, required_torque=10.0),
            visit("2026-05-20", "loose", "tightened", as_left_torque=10.0, torque_unit="N·m", tool_id="T1"),
        ],
        "now",
    ),
    "one of four bolts tightened": (
        [HOT, *(tighten("2026-02-01", 10.0, fastener_no=n) for n in "1234"), tighten("2026-05-20", fastener_no="3")],
        "now",
    ),
    "contradictory before the reading": (
        [GOOD, right("2026-03-20", "tight", "tightened"), visit("2026-03-20", "tight", "none"), COOL],
        "next outage",
    ),
}


@pytest.fixture(scope="module")
def attacked() -> dict[str, tuple[str, str, str, str]]:
    return told_of({case: events for case, (events, _) in ATTACKS.items()})


@pytest.mark.parametrize("case", ATTACKS)
def test_no_attack_lowers_it(case: str, attacked: dict[str, tuple[str, str, str, str]]) -> None:
    assert attacked[case][1] == ATTACKS[case][1], attacked[case]


def test_what_burnt_and_cooled_is_opened_and_not_only_a_record_to_check() -> None:
    row = assessed({"cooled": [BURNT, read("2026-05-20", 34.5, 80)]}).set_index("connection_id").loc["0/A"]
    assert (row["action"], row["urgency"], row["record_now"]) == ("inspect", "soon", "unrecorded")


def test_of_what_is_cool_and_was_remade_by_a_word_alone_the_torque_is_checked_soon() -> None:
    rows = assessed({"": [HOT, visit("2026-05-20", "loose", "remade"), PROOF]}).set_index("connection_id")
    assert (rows.loc["0/A", "action"], rows.loc["0/A", "urgency"]) == ("check torque", "soon")


def test_a_crimp_that_is_cool_and_was_remade_with_no_die_on_record_is_opened_soon() -> None:
    rows = assessed({"": [HOT, CR, visit("2026-05-20", "loose", "remade"), PROOF]}).set_index("connection_id")
    assert (rows.loc["0/A", "action"], rows.loc["0/A", "urgency"]) == ("inspect", "soon")


def test_a_crimp_found_damaged_and_remade_with_no_die_on_record_is_opened_soon() -> None:
    """It was never hot: what its reason says is that of the damage."""
    events = [COOL, CR, visit("2026-05-08", "damaged", "none"), visit("2026-05-10", "not checked", "remade"), PROOF]
    row = assessed({"": events}).set_index("connection_id").loc["0/A"]
    assert (row["action"], row["urgency"]) == ("inspect", "soon")
    assert row["reason"].startswith("was found damaged or loose, and that this was put right is not proved")


def test_burnt_parts_are_remade_though_found_loose_too() -> None:
    rows = assessed({"": [BURNT, visit("2026-05-10", "loose", "none")]}).set_index("connection_id")
    assert rows.loc["0/A", "action"] == "remake"


@pytest.mark.parametrize("later", [{"connection_c": 47.0, "load_pct": 42}, {"cover": "closed"}, {"load_steady_min": 5}])
def test_siblings_read_again_later_take_nothing_back(later: dict[str, object]) -> None:
    """A in the first pass only, beside siblings of that pass; B and C again three weeks later."""
    first = phases(58.0, 35.0, 34.0, ambient_c=30.0, load_pct=80, survey_id="S", survey_time="09:00")
    again = first[first["connection_id"] != "A"].assign(survey_date="2026-05-25", **later)
    for rows in (first, pd.concat([first, again])):
        row = assess(read_frames(on=DAY, survey=rows), on=DAY).connections.set_index("connection_id").loc["A"]
        assert (row["severity"], row["severity_as_found"], row["urgency"]) == (4, 4, "now")


def test_of_two_hot_readings_of_a_day_the_one_without_a_time_counts_whatever_line_is_first() -> None:
    """Worked on before, between and after as far as is known: it may have been hot after all of that work."""
    label = {"required_torque": "25", "required_source": "label"}
    work = [
        tighten("2026-03-05", required_source="label"),
        right("2026-03-05", "damaged", "remade", work_time="16:00", **label),
        right("2026-03-05", "not checked", "remade", work_time="08:00", **label),
        tighten("2026-03-07", work_time="16:00"),
    ]
    hot = [read("2026-03-05", 62.0, survey_time="10:00"), read("2026-03-05", 62.0)]
    told = told_of({"": [*work, *hot], "the other line first": [*work, *hot[::-1]]})
    assert {row[:2] for row in told.values()} == {("repair in doubt", "now")}


@pytest.mark.parametrize("celsius", [35.0, 62.0, 95.0])
def test_what_is_known_of_a_device_hangs_on_no_heat_of_its_other_joints(celsius: float) -> None:
    """B, of one device with A, perhaps replaced before A was hot: A was perhaps opened and tightened by somebody."""
    work = [visit("2026-02-02", "tight", action, connection_id="B") for action in ("replaced", "none")]
    hot = read("2026-02-10", 50.0, siblings=(celsius, 34.0), device="Q1")
    told = told_of({"": [*work, hot, tighten("2026-02-12"), read("2026-02-20", 34.5, 45, device="Q1")]})[""]
    assert told[:2] == ("repair in doubt", "now")


@pytest.mark.parametrize("other", [False, True])
def test_findings_that_contradict_each_other_elsewhere_change_nothing(other: bool) -> None:
    """A record of A was refused, then B of its device was replaced: that was no work on A."""
    events = [
        *OF_DEVICE,
        visit("2026-02-01", "tigt?", "tightened"),
        visit("2026-02-02", "tight", "replaced", connection_id="B"),
        read("2026-02-10", 50.0, siblings=(62.0, 34.0)),
        tighten("2026-02-12"),
        read("2026-02-20", 34.5, 45),
    ]
    elsewhere = [visit("2026-02-02", "tight", action, connection_id="Z") for action in ("tightened", "none")]
    told = told_of({"": events + elsewhere * other})[""]
    assert told[:2] == ("repair in doubt", "now")


def test_what_doubts_a_record_is_said_and_nothing_else() -> None:
    """A is hot after work that is denied; that another record of later work was rejected is answered by work since."""
    events = [
        right("2026-02-02", "tight", "tightened", required_torque="25", required_source="label"),
        visit("2026-02-02", "tight", "none"),
        read("2026-02-10", 50.0),
        visit("2026-02-11", "tigt?", "tightened"),
        tighten("2026-02-12"),
    ]
    words = told_of({"": events})[""][3]
    assert "contradict each other" in words
    assert "rejected" not in words


def test_of_readings_of_a_day_as_hot_as_each_other_no_line_is_the_later() -> None:
    """Of three of the day of its remake, read alike, the one of 16:00 is cool after it, that of 12:00 is not."""
    times = [{"survey_time": "12:00"}, {"survey_time": "16:00"}, {}]
    readings = [read("2026-03-07", 34.5, **time) for time in times]
    remade = visit("2026-03-07", "damaged", "remade", work_time="12:00")
    orders = itertools.permutations([*readings, remade])
    made = told_of({str(number): order for number, order in enumerate(orders)})
    assert {told[:3] for told in made.values()} == {("open", "soon", "unrecorded")}


@pytest.mark.parametrize(
    "events",
    [
        [read("2026-02-10", 50.0, device="Q1"), tighten("2026-02-12"), read("2026-02-20", 34.5)],
        [read("2026-02-10", 50.0, device="Q1"), tighten("2026-02-12"), read("2026-01-20", 34.5)],
    ],
)
def test_a_joint_is_of_a_device_whichever_of_its_lines_says_so(events: list[Event]) -> None:
    """B, of one device with A, is said to be replaced and left alone on a day before A was hot."""
    denied = [visit("2026-02-02", "tight", action, connection_id="B") for action in ("replaced", "none")]
    made = told_of({str(number): [*denied, *order] for number, order in enumerate(itertools.permutations(events))})
    assert len({told[:3] for told in made.values()}) == 1
    assert next(iter(made.values()))[0] in {"open", "repair in doubt"}


@pytest.mark.parametrize("place", [{"device": "Q1"}, {"circuit": "F2"}, {"group": "G"}])
@pytest.mark.parametrize(("first", "last"), [({}, {}), ({"survey_time": "08:00"}, {"survey_time": "16:00"})])
def test_made_safe_of_an_earlier_reading_of_a_survey_is_not_of_a_later_one(
    place: dict[str, str], first: dict[str, str], last: dict[str, str]
) -> None:
    """A, as hot on two days of one survey, of which one says more of its place; switched off in between."""
    for one_place, other in ((place, {}), ({}, place)):
        hot = [read("2026-02-10", 62.0, survey_id="X", **first, **one_place)]
        hot.append(read("2026-02-20", 62.0, survey_id="X", **last, **other))
        safe = tell("2026-02-15", made_safe="switched off and locked")
        made = told_of({"up": [*hot, safe], "down": [*hot[::-1], safe]})
        assert [told[0] for told in made.values()] == ["open", "open"]
        assert all("open since 20 February 2026" in told[3] for told in made.values())


def test_the_later_of_two_days_counts_though_the_first_was_hotter() -> None:
    hot = [read("2026-02-10", 63.0, survey_id="X"), read("2026-02-20", 62.0, survey_id="X")]
    words = told_of({"": [*hot, tell("2026-02-15", made_safe="switched off and locked")]})[""][3]
    assert words.startswith("open since 20 February 2026; the notice of 15 February 2026 is of an earlier reading")


def test_of_a_joint_as_hot_at_two_circuits_of_a_day_the_later_counts() -> None:
    """As hot at 08:00 at one circuit as at 16:00 at another; looked at, and found tight, at noon."""
    hot = [read("2026-02-10", 62.0, survey_id="X", survey_time="08:00")]
    hot.append(read("2026-02-10", 62.0, survey_id="X", survey_time="16:00", circuit="F2"))
    rows = [assessed({"": order}).set_index("connection_id").loc["0/A"] for order in (hot, hot[::-1])]
    assert [row["survey_time"] for row in rows] == [16 * 60, 16 * 60]


@pytest.mark.parametrize(
    "word",
    [
        "unknown",
        "?",
        "No die",
        "not known",
        "illegible.",
        "N / A",
        "die unknown",
        "-",
        "nobody",
        "no_die",
        "none / not used",
        "don't know",
    ],
)
def test_a_crimp_remade_with_a_die_that_has_no_name_is_in_doubt(word: str) -> None:
    row = {"connection_id": "A", "work_date": "2026-05-20", "as_found": "discoloured", "action": "remade"}
    hot = phases(62.0, 35.0, 34.0, ambient_c=30.0, load_pct=80).assign(survey_date="2026-05-04")
    crimp = pd.DataFrame({"connection_id": ["A"], "termination_kind": ["compression"]})
    for die, state in ((word, "repair in doubt"), ("D7", "awaiting proof")):
        remade = pd.DataFrame([row | {"tool_id": die}])
        frame = assess(read_frames(on=DAY, survey=hot, findings=remade, connections=crimp), on=DAY).connections
        assert frame.set_index("connection_id").loc["A", "work_state"] == state


def test_a_die_of_the_tool_list_is_one_whatever_its_name() -> None:
    row = {"connection_id": "A", "work_date": "2026-05-20", "as_found": "discoloured", "action": "remade"}
    hot = phases(62.0, 35.0, 34.0, ambient_c=30.0, load_pct=80).assign(survey_date="2026-05-04")
    crimp = pd.DataFrame({"connection_id": ["A"], "termination_kind": ["compression"]})
    given = {"survey": hot, "findings": pd.DataFrame([row | {"tool_id": "Lost"}]), "connections": crimp}
    listed = pd.DataFrame({"tool_id": ["Lost"], "calibrated_on": ["2026-01-10"]})
    states = [
        assess(read_frames(on=DAY, **given, **more), on=DAY)
        .connections.set_index("connection_id")
        .loc["A", "work_state"]
        for more in ({}, {"tools": listed})
    ]
    assert states == ["repair in doubt", "awaiting proof"]


def test_damage_is_as_old_as_it_is_though_found_loose_since() -> None:
    events = [COOL, DAMAGED, visit("2026-05-07", "damaged", "remade"), visit("2026-05-20", "loose", "none")]
    row = assessed({"": events}).set_index("connection_id").loc["0/A"]
    assert row["found_bad_on"] == pd.Timestamp("2026-05-06")


def test_a_lost_phase_in_the_morning_is_said_of_what_is_hot_in_the_afternoon() -> None:
    """A carries 30 % beside 80 % in the morning; in the afternoon it is a 2 at 80 %, next outage by itself."""
    morning = phases(34.5, 35.0, 34.0, ambient_c=30.0, survey_id="S", survey_time="09:00").assign(load_pct=[30, 80, 80])
    afternoon = phases(42.0, 35.0, 34.0, ambient_c=30.0, survey_id="S", survey_time="15:00", load_pct=80)
    rows = pd.concat([morning, afternoon])
    row = assess(read_frames(on=DAY, survey=rows), on=DAY).connections.set_index("connection_id").loc["A"]
    assert (row["severity"], row["urgency"], row["action"]) == (2, "soon", "retighten")
    assert row["lost phase"]


def test_a_closed_cover_is_compared_with_closed_covers_in_whatever_order_the_day_was() -> None:
    """A at 46 °C is 14 K over C, the coolest other closed cover; B and C were cooler when closed than when open."""
    closed = phases(46.0, 33.0, 32.0, ambient_c=30.0, cover="closed", survey_id="S").assign(load_pct=[40, 80, 80])
    opened = phases(34.5, 35.0, 35.5, ambient_c=30.0, survey_id="S", load_pct=40)
    survey = pd.concat([closed, opened])
    row = assess(read_frames(on=DAY, survey=survey), on=DAY).connections.set_index("connection_id").loc["A"]
    assert (row["urgency"], row["cover_rise_k"]) == ("soon", 14.0)


def test_a_survey_that_is_sorted_another_way_is_rated_the_same() -> None:
    """A, B and C gone over again that day, without times: C reads the same both times."""
    heats = [("A", 36.0, 39), ("B", 34.5, 39), ("C", 34.5, 39), ("A", 62.0, 45), ("B", 62.1, 45), ("C", 34.5, 45)]
    rows = pd.concat(
        [
            phases(heat, ambient_c=30.0, load_pct=load, survey_id="S").assign(connection_id=name, phase=name)
            for name, heat, load in [*heats, ("A", 34.5, 60)]
        ]
    )
    orders = [rows, rows.iloc[::-1], rows.sort_values("load_pct"), rows.sort_values("connection_id")]
    (made,) = {tuple(_urgencies(order)) for order in orders}
    assert made[1] == "now", "B at 62.1 °C beside A at 36 and C at 34.5 °C"


def _urgencies(survey: pd.DataFrame) -> pd.Series:
    made = assess(read_frames(on=DAY, survey=survey), on=DAY).connections
    return made.sort_values("connection_id")["urgency"]


def test_a_name_used_again_takes_nothing_from_the_renamed() -> None:
    rows = assessed(
        {
            "": [
                register(connection_id="NEW", was_id="A"),
                register(retired_on="2026-05-10", retired_by="P"),
                HOT,
                read("2026-05-25", 34.5),
            ]
        }
    ).set_index("connection_id")
    assert rows.loc["0/NEW", "urgency"] == "now"
    assert rows.loc["0/A", "urgency"] == "next outage"


def test_what_was_never_made_safe_is_not_said_to_be_so_no_longer() -> None:
    """A lifting where nothing was made safe is a notice like any other."""
    told = told_of({"": [HOT, tell("2026-05-05", made_safe="lifted")]})
    assert told[""][3] == "R. Fenwick was told on 5 May 2026 by P. Lowe"

"""What each code means, in plain words. Every code of the results has its sentence here."""

from __future__ import annotations

FLAGS = {
    "low load": "Read at low load: a fault shows little of itself there.",
    "not loaded": "The circuit carried no load: a joint without current shows nothing.",
    "load unknown": "Load or full load is not recorded: rated on the rise as measured, which is a lower bound.",
    "overload": "The circuit carried more than its rating.",
    "cover closed": "The cover was closed: its surface is not the joint, and the inside can be far hotter.",
    "unsteady": "The load had not been steady for long enough: rated as found only.",
    "reference at another load": "The similar component carried another load and the air "
    "temperature is not recorded: the two cannot be compared.",
    "reference is hotter": (
        "The similar component is hotter than this one: it is no healthy reference, look "
        "at it first; this one is also judged by the air."
    ),
    "reference load not compared": (
        "The load of one of the two is known and that of the other is not: they were taken to be alike, and the joint "
        "is also judged by the air."
    ),
    "no reference": "There is nothing to compare the reading with: no similar component, no air "
    "temperature, no sibling.",
    "reference disagrees with siblings": "The surveyor's reference and the siblings differ by more "
    "than their uncertainty.",
    "may exceed its limit at full load": "At full load the joint may exceed its temperature limit.",
    "reference of another conductor": (
        "The sibling it is compared with has another conductor material or size: it is also judged by the air."
    ),
    "beside its other wire": (
        "It is compared with the other wire of its circuit alone, its neutral or its other pole: it is also judged by "
        "the air."
    ),
    "parallel lugs": (
        "Several lugs carry this phase, and no current is recorded for each: measure how they share it. Until then "
        "how likely it is loose rests on its record."
    ),
    "beside a cold sibling": "One of its siblings reads cold: that one or this one is wrong.",
    "hotter before, no work since": (
        "An earlier reading was rated badly (setting history_severity) and no work is on record since: "
        "a fallen rise without work is no cure."
    ),
    "another reading was hotter": (
        "Another reading of it in the same survey was clearly hotter (setting history_hotter_k)."
    ),
    "reference emissivity below 0.60": (
        "The similar component has a surface of low emissivity: its temperature is uncertain, and so is the rise over "
        "it."
    ),
    "reference emissivity below 0.30": (
        "The similar component has a surface of so low an emissivity that it cannot be measured this way: it can be "
        "far hotter, and the rise over it smaller. Not corrected."
    ),
    "emissivity unknown": "The emissivity of the surface is not recorded: a bare metal surface reads far too cold.",
    "emissivity below 0.60": "The surface has a low emissivity: its temperature is uncertain.",
    "emissivity below 0.30": (
        "The surface has so low an emissivity that it cannot be measured this way: "
        "the joint can be far hotter. Not corrected."
    ),
    "small target": "The target is smaller than the instrument can measure: the joint can be hotter.",
    "wind": "Read in wind: the joint is hotter when the air is still.",
    "through a window": "Read through a window of unknown transmission: the joint is hotter than it reads.",
    "rise not corrected": "A rise alone cannot be corrected for emissivity: give the temperatures.",
    "not explained": (
        "No temperature explains this reading with these settings of emissivity, reflection or window: check them."
    ),
    "not read this time": "Not read in the latest survey of the site: this is an older reading.",
}

PATTERNS = {
    "one joint hot": "The joint is hotter than its siblings at like load: the joint itself.",
    "load imbalance": "The rise goes with the current: the phases carry different loads.",
    "one cold": "One sibling reads cold: an open or parallel path, a wrong load or reading, or the "
                "others are hot.",
    "all warm, load explains it": "All siblings are warm and their load explains it: load, "
                                  "ventilation or harmonics.",
    "all hot beyond load": "All siblings are hotter than their load explains: joints made alike "
                           "fail alike, or the parts are undersized.",
    "even": "The siblings run alike.",
    "no reference": "Nothing to compare with.",
}  # fmt: skip

STATES = {
    "found loose": "Found loose and not worked on since.",
    "unrecorded": "No torque record that can be believed to exist.",
    "under-torqued": "Tightened to less than required.",
    "over-torqued": "Tightened to more than required.",
    "doubtful": "There is a record, but it may not be right.",
    "verified": "Tightened to the required torque with a calibrated tool.",
}

URGENCY = {
    "now": "Tell the responsible person today; they reduce load or switch off. Do not wait for the "
           "outage.",
    "soon": "Do not leave it to the next routine outage.",
    "next outage": "Do it in the next outage.",
    "next survey": "Look again at the next survey.",
}  # fmt: skip

ACTIONS = {
    "remake": "Prove dead, open, take the joint apart, clean or renew the parts, make it again to "
              "the maker's instructions, mark and record it, survey again under load.",
    "retighten": "Prove dead, open and inspect. With oxide, discolouration, a damaged strand or "
                 "thread, or heat-damaged aluminium: remake. Else tighten to the required torque, "
                 "mark, record, and survey again under load: two in five joints that were only "
                 "tightened stay hot.",
    "check torque": "When the board is open anyway: prove dead, apply 90 % of the required torque. "
                    "If it moves it was loose. If it does not, mark and record it and turn no "
                    "further. Never back a joint off only to create a record.",
    "check load": "Measure the current (true RMS) in each phase and the neutral; compare with the "
                  "rating; look at ventilation.",
    "check circuit": "Measure the current in each phase first; look for an open or parallel path, a "
                     "failing motor winding, a wrong reading.",
    "balance load": "Measure the current in each phase and move load between phases.",
    "investigate": "Compare with like parts, check the load, survey again at a higher load.",
    "inspect": "Open by qualified persons, prove dead, inspect; replace what is damaged.",
    "monitor": "Leave it in service and look again in time.",
    "re-survey": "Survey again under load.",
    "none": "Nothing found in this reading.",
}  # fmt: skip

# Why, by the rule of the method that gave the action. Fields are columns of the assessment.
RULES = {
    "damaged": "found damaged or discoloured, and no remake recorded right since",
    "found loose": "found loose, and no work recorded right since",
    "hot over limit": "hotter than its siblings explain, and at {connection_c:temperature} over its "
    "limit of {limit_c:temperature} ({limit_from}): parts are heat-damaged, torque alone is not "
    "enough",
    "hot rise": "{rise_similar_found_k:rise} over similar as found: parts are heat-damaged, torque alone is not enough",
    "hot verified": "{heat}, although its torque record was good at that reading: the joint itself is bad",
    "hot verified, mild": "{heat}; its torque record is good",
    "hot over-torqued": "{heat}, and over-torqued: {applied_nm:torque} applied of "
    "{required_nm:torque}; strands or thread may be damaged",
    "hot over-torqued, mild": "{heat}, and over-torqued: {applied_nm:torque} applied of {required_nm:torque}",
    "hot": "{heat}; torque record: {install_state} ({install_reasons})",
    "hot, mild": "{heat}; torque record: {install_state} ({install_reasons})",
    "neutral": "a neutral that is warm, carries more than a phase, or whose own load is not known: "
    "measure neutral and harmonic current, true RMS",
    "alone over limit": "at {connection_c:temperature} over its limit of {limit_c:temperature} "
    "({limit_from}), nothing sure to compare it with",
    "alone rise": "{rise_similar_found_k:rise} over similar as found, beside a sibling that reads cold",
    "alone verified": "{heat}; the torque record is good, nothing sure to compare it with",
    "alone over-torqued": "{heat}, over-torqued, nothing sure to compare it with",
    "alone": "{heat}, nothing sure to compare it with; torque record: {install_state} ({install_reasons})",
    "warm earth": "{heat}: an earth conductor that is warm carries current",
    "hot cover": (
        "a closed cover that is warm: what is behind it was not seen and can be "
        "far hotter; open it, qualified persons only"
    ),
    "overload": "the circuit carries {overload_fraction:share} of its rating",
    "warm unloaded": "{connection_c:temperature}, {rise_ambient_found_k:rise} over the air at no load",
    "lost phase": "carries under half of the current of its sibling phases: a phase may be lost; single-phase loads "
    "are not recorded",
    "cold": "reads colder than its siblings allow at {load_fraction:share} load: an open or "
    "parallel path, a wrong load or reading, or the others are hot",
    "all warm": "all its siblings are warm alike and their load explains it",
    "motor imbalance": "the phases of a motor carry different loads: not the joint",
    "imbalance": "its rise goes with its load: not the joint",
    "investigate": "{heat}, and its siblings do not show why",
    "under-torqued": "{record_now_reasons}: {applied_now_nm:torque} applied of {required_nm:torque}",
    "doubtful": "{record_now_reasons}",
    "over-torqued": "{record_now_reasons}: {applied_now_nm:torque} applied of {required_nm:torque}",
    "unrecorded": "{record_now_reasons}",
    "watch": "{heat}",
    "not rated": "cannot be rated",
    "none": "nothing found in this reading",
    "worked after": "{asked} was asked and {work_done} was done on {work_done_on:day}, after this reading: "
    "it no longer speaks of the joint",
    "proved in part": "{asked} was asked and {work_done} was done on {last_work_date:day}; read cool since, "
    "at too little current to prove it",
    "cooled": "was hotter before, and no work since is proved: joints can weld and cool",
    "put right": "was found damaged or loose and put right; no fit, cool reading has come since",
    "bad before": "was found damaged or loose, and that this was put right is not proved",
}

# Where a connection stands between work and proof. Fields are columns of the assessment.
WORK = {
    "contradictory": "findings of one day contradict each other: the worse counts until one of them is corrected",
    "not cured": "not cured: still hot after the work of {last_work_date:day}",
    "proved": "proved: read cool after the work of {last_work_date:day}, at {load_fraction:share} load",
    "cool, record in doubt": "cool since the work of {last_work_date:day}, but its record is {record_now} "
    "({record_now_reasons})",
    "proved in part": "proved to {after_a:limit} only, read on {after_date:day}: survey again at more load",
    "repair in doubt": "repair in doubt: {asked} was asked, {work_done} is on record; "
    "torque record {record_now} ({record_now_reasons})",
    "awaiting proof": "awaiting proof: {work_done} on {work_done_on:day}; survey again under load by "
    "{survey_again_by:day}, at the load the process brings, never forced",
    "put off": "put off by {deferred_by} until {deferred_until:day}: {deferral_reason}",
    "made safe": "made safe, do not restore: {made_safe} on {made_safe_on:day}, says {made_safe_by}",
    "told": "{told} was told on {told_on:day} by {told_by}",
    "open": "open since {work_state_since:day}",
}
WORK_BY_LOAD = {"proved in part": "proved to {after_load:share} of full load only, read on {after_date:day}: "
                "survey again at more load"}  # fmt: skip
WORK_IN_PART_SAFE = (
    "proved at less current only, read on {after_date:day}: survey again once it may be restored, who made it safe "
    "decides"
)
WORK_WITHOUT_DIE = "repair in doubt: {asked} was asked, {work_done} is on record, its die or tool is not"
WORK_AT_NEXT_SURVEY = "awaiting proof: {work_done} on {work_done_on:day}; survey again under load at the next survey"
WORK_AWAITS_RESTORING = (
    "awaiting proof: {work_done} on {work_done_on:day}; survey again once it may be restored, who made it safe decides"
)
WORK_NEVER_READ = "open: never read"
WORK_FOUND_LOOSE = "open: found loose on {found_bad_on:day}, no work that put it right since"
WORK_FOUND_DAMAGED = "open: found damaged on {found_bad_on:day}, no remake recorded right since"
WORK_LIMITED_FROM = (
    "made safe, do not restore: load limited to {limited_to_a:limit} (read at {current_a:limit}) on "
    "{made_safe_on:day}, says {made_safe_by}"
)
MADE_SAFE = {"load limited": "Load limited", "switched off and locked": "Switched off and locked",
             "lifted": "No longer made safe: lifted"}  # fmt: skip
WORK_DAMAGED_SINCE = "repair in doubt: {work_done} on {last_work_date:day}, found damaged on {found_bad_on:day} since"
WORK_LOOSE_SINCE = "repair in doubt: {work_done} on {last_work_date:day}, found loose on {found_bad_on:day} since"
NOBODY_TOLD = "no notice on record"
OVERDUE = "OVERDUE"
RUN_OUT = "put off until {deferred_until:day} by {deferred_by}: that has run out"
RUN_OUT_UNSIGNED = "put off until {deferred_until:day}, not said by whom: that has run out"
LIFTED = "NO LONGER made safe since {lifted_on:day}, says {lifted_by}"
LIFTED_SAME_DAY = "made safe and lifted that day, in what order is not recorded: the lifting counts"
PUT_OFF_BEFORE = (
    "put off by {deferred_by} until {deferred_until:day}, decided before this reading: it says nothing of it, "
    "decide again"
)
PUT_OFF_LONG = "put off for more than a year"
PUT_OFF_AGAIN = "put off not for the first time"
TOLD_BEFORE = "the notice of {told_before_on:day} is of an earlier reading: tell them of this one"
SAFE_BEFORE = "{made_safe_before} earlier and not lifted on record: say whether it still is"
LIMIT_TOO_HIGH = (
    "NOT made safe: the load is limited to {limited_to_a:limit}, not below the current it was read at, "
    "on {made_safe_on:day}, says {made_safe_by}"
)
LIMIT_OF_NOTHING_KNOWN = (
    "NOT known to be made safe: the load is limited to {limited_to_a:limit}, but the current it was read at is not "
    "recorded; on {made_safe_on:day}, says {made_safe_by}"
)
LIMIT_UNSAID = "NOT made safe: the load is said to be limited, to what is not recorded"
SAME_DAY = (
    "worked on, on the day of the reading, before or after it is not known: it counts only once the time of both is "
    "written down"
)
COOLED = "was hotter, and no work since is proved: joints can weld and cool"
WORKED_AGAIN = "last worked on {last_work_date:day}"
BAD_BEFORE = "was found damaged or loose before, and that this was put right is not proved"
READ_AGAIN = (
    "read again on {after_date:day} at {after_load:share} load: worse evidence ({after_why}), it takes nothing back"
)
READ_AGAIN_LOAD_UNKNOWN = (
    "read again on {after_date:day}, load unknown: worse evidence ({after_why}), it takes nothing back"
)

# How warm, by the basis that gave the severity: the field {heat} above.
HEAT = {
    "similar": "{rise_similar_found_k:rise} over similar at {load_fraction:share} load",
    "ambient": "{rise_ambient_found_k:rise} over the air at {load_fraction:share} load",
    "limit": "{projected_c:full temperature} at full load against a limit of {limit_c:temperature} ({limit_from})",
    "limit not taken there": "{rise_ambient_found_k:rise} over the air at {load_fraction:share} load: at full load "
    "over its limit of {limit_c:temperature} ({limit_from})",
    "limit perhaps": "{rise_ambient_found_k:rise} over the air at {load_fraction:share} load: at full load perhaps "
    "over its limit of {limit_c:temperature} ({limit_from})",
    "limit now": "{connection_c:temperature} against a limit of {limit_c:temperature} ({limit_from})",
}

CHANGED = {
    "check load": "the reading is of a device body: heat of the device, not of a screw",
    "inspect": "it has no screw or bolt to tighten: inspect or replace",
    "remake": "a crimped, compressed or sheared connection cannot be tightened",
    "inspect body": "the reading is of a device body: open it and replace what is damaged",
    "refused": "the maker does not allow tightening again: inspect, and remake",
}

RESURVEY = {
    "worked on after the survey": "worked on after the survey: survey again at the load the process brings, never "
    "forced",
    "worked on, and made safe": "worked on after the survey, and made safe: survey again once it may be restored",
    "a reading was refused": "its reading of {refused_on:day} was refused and may be the hottest: read it again",
    "a reading of an unknown day was refused": "a reading of it was refused, of a day nobody knows, and may be the "
    "hottest: read it again, or mend the row",
    "proved at less current only": "read at too little current to prove the work: survey again at more load, never "
    "forced",
    "proved at less current only, and made safe": "read at too little current to prove the work: survey again at more "
    "load once it may be restored, who made it safe decides",
    "a later reading is worse evidence": "read again since, but not rated, not fit or at less current: survey again",
    "worked on the day of the survey, order unknown": "worked on the day of the survey, before or after is not known",
    "low load": "read at {load_fraction:share} load: survey again at a higher load",
    "not loaded": "not loaded: survey again under load",
    "not steady": "survey again under steady load",
    "cover closed": "the joint was not seen: open by qualified persons, or fit a window",
    "no reference": "read it with a similar component or the air temperature beside it",
    "a sibling reads cold": "measure the current in each phase first, then survey all siblings again",
    "hotter before": "it was rated 3 or 4 before and no work is on record since: no cure",
    "optics": (
        "read it again where it can be measured: a spot of tape or paint of known "
        "emissivity, closer, out of the wind, the window open"
    ),
    "to settle the cause": "survey again at a higher load",
    "not surveyed": "never surveyed",
}

CAUTION = (
    "Other sources of supply are possible. Lock out and tag, and verify the absence of voltage with "
    "a proven tester. Qualified persons only; opening covers exposes people to arc flash. The "
    "maker's instructions and the local code govern."
)
CAUTIONS = (
    CAUTION,
    "A rating is an estimate from one reading: normalising to full load is our step, not the "
    "table's, and a fallen rise without work is no cure.",
    "Never raise the load on a joint rated 3 or 4 to read it better.",
)
WHAT_LIKELIHOOD_IS = (
    "Likelihood that the joint is loose or badly made: our assumptions until enough findings are "
    "recorded, and never a chance of failure."
)
HOW_SIBLINGS_SPEAK = (
    "All siblings of a survey speak at once: of every combination of tight and bad joints the one that explains their "
    "rises best counts most. A bad joint is taken to rise"
)
NOTHING_SPEAKS = "No reading that can be used speaks of it beside its record."
UNTOLD = {
    "nothing speaks": "there is no reading, or the latest says nothing of it",
    "all hot": "all of them are hot, and joints made alike fail alike",
    "rated hot": "it is rated hot all the same",
    "no siblings": "it is rated by the air or its limit alone",
    "similar alone": "only the surveyor's own comparison says that it is cool",
}
NEUTRAL_CAUTION = (
    "A neutral is never opened, loosened or remade with a line conductor of any circuit that shares it live: isolate "
    "at the supply of the board, not at the circuit's own device. Shared neutral? List the circuits. Prove its "
    "continuity before restoring."
)
PUBLISHED_TORQUE = "no maker's value on record: published table, power and lighting circuits only, confirm before use"

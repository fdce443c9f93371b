"""Where each connection stands between work and proof, in words."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, floats, is_any
from riskscope.analysis.proof.heat import SOON
from riskscope.schema.codes import ANOTHER_REJECTED, CONTRADICTED, DONE_RIGHT, REMADE, WORK_STATES
from riskscope.words import codes
from riskscope.words.render import Units, fill_each


def work_words(frame: pd.DataFrame, units: Units) -> pd.Series:
    """The work state of each connection as a sentence, and what stands beside it; empty where there is none.

    Every combination of states that occurs is one template, filled once for all its rows.
    """
    done = is_any(frame, "work_state", DONE_RIGHT)  # whether it was made safe is no longer what comes first
    not_safe = _not_safe(frame)
    parts = [(words, mask & ~done) for words, mask in not_safe]
    parts += [*_states(frame), *((words, mask & done) for words, mask in not_safe), *_beside(frame)]
    bits = np.zeros(len(frame), dtype=np.int64)
    for number, (_, mask) in enumerate(parts):
        bits |= mask.astype(np.int64) << number
    distinct, which = np.unique(bits, return_inverse=True)
    templates = ["; ".join(words for n, (words, _) in enumerate(parts) if int(value) >> n & 1) for value in distinct]
    return fill_each(templates, which, frame, units).str.replace(" ()", "", regex=False)


def _states(frame: pd.DataFrame) -> list[tuple[str, Bools]]:
    state = frame["work_state"].astype("str").fillna("").to_numpy(dtype=object)
    known_a = ~np.isnan(floats(frame, "after_a"))
    dated, begun = (frame[name].notna().to_numpy() for name in ("survey_again_by", "work_state_since"))
    limited = ~np.isnan(floats(frame, "limited_to_a"))
    no_die = ~frame["torque applies"].to_numpy(dtype=bool) & ~frame["recorded_right"].to_numpy(dtype=bool)
    no_die &= frame["work_done"].isin(REMADE).to_numpy(dtype=bool)
    for other in (ANOTHER_REJECTED, CONTRADICTED):
        no_die &= ~frame["record_now_reasons"].str.contains(other, regex=False, na=False).to_numpy(dtype=bool)
    made: list[tuple[str, Bools]] = []
    for name, row in WORK_STATES.items():
        mask = stands(frame, name) if row.beside else state == name
        words = codes.WORK[name]
        if name == "proved in part":
            safe = stands(frame, "made safe")
            by_load = codes.WORK_BY_LOAD[name]
            made += [(words, mask & known_a & ~safe), (by_load, mask & ~known_a & ~safe)]
            made.append((codes.WORK_IN_PART_SAFE, mask & safe))
        elif name == "repair in doubt":
            since = frame["worked_after"] & (frame["found_bad_on"] > frame["last_work_date"])
            since = since.to_numpy(dtype=bool)
            damaged = frame["found_damaged"].to_numpy(dtype=bool)
            made += [
                (codes.WORK_DAMAGED_SINCE, mask & since & damaged),
                (codes.WORK_LOOSE_SINCE, mask & since & ~damaged),
                (words, mask & ~no_die & ~since),
                (codes.WORK_WITHOUT_DIE, mask & no_die & ~since),
            ]
        elif name == "awaiting proof":
            safe = stands(frame, "made safe")
            made += [
                (words, mask & dated & ~safe),
                (codes.WORK_AT_NEXT_SURVEY, mask & ~dated & ~safe),
                (codes.WORK_AWAITS_RESTORING, mask & safe),
            ]
        elif name == "open":
            damaged, loose = (frame[column].to_numpy(dtype=bool) for column in ("found_damaged", "found_loose"))
            made += [
                (words, mask & ~damaged & ~loose & begun),
                (codes.WORK_NEVER_READ, mask & ~damaged & ~loose & ~begun),
                (codes.WORK_FOUND_DAMAGED, mask & damaged),
                (codes.WORK_FOUND_LOOSE, mask & loose & ~damaged),
            ]
        elif name == "made safe":
            made += [(words, mask & ~limited), (codes.WORK_LIMITED_FROM, mask & limited)]
        else:
            made.append((words, mask))
    return made


def stands(frame: pd.DataFrame, name: str) -> Bools:
    """Where a state holds: as the first of them, or beside it."""
    beside = frame["work_beside"].astype("str").fillna("").str.split("; ").map(lambda names: name in names)
    return beside.to_numpy(dtype=bool) | (frame["work_state"] == name).to_numpy(dtype=bool)


def _not_safe(frame: pd.DataFrame) -> list[tuple[str, Bools]]:
    """What is said first: that something which was made safe is so no longer, or never was."""
    has_state = frame["work_state"].notna().to_numpy()
    too_high = frame["is_limit_too_high"].to_numpy(dtype=bool)
    read_at = ~np.isnan(floats(frame, "current_a"))
    return [
        (codes.LIFTED, frame["lifted_on"].notna().to_numpy() & has_state),
        (codes.LIFTED_SAME_DAY, frame["is_lifted_same_day"].to_numpy(dtype=bool) & has_state),
        (codes.LIMIT_UNSAID, frame["is_limit_unsaid"].to_numpy(dtype=bool) & has_state),
        (codes.LIMIT_TOO_HIGH, too_high & has_state & read_at),
        (codes.LIMIT_OF_NOTHING_KNOWN, too_high & has_state & ~read_at),
    ]


def _beside(frame: pd.DataFrame) -> list[tuple[str, Bools]]:
    """What is said beside the states."""
    has_state = frame["work_state"].notna().to_numpy()
    still_hot = is_any(frame, "work_state", ("not cured",)) | is_any(frame, "urgency", ("now",))
    bad = frame[["found_loose", "found_damaged"]].to_numpy(dtype=bool).any(axis=1)
    awaits = is_any(frame, "work_state", ("awaiting proof",))
    in_doubt = (floats(frame, "floor_in_doubt") == SOON) & ~frame["recorded_right"].to_numpy(dtype=bool)
    seen = frame["seen_when_cool"].to_numpy(dtype=bool)
    calls = is_any(frame, "urgency", ("now", "soon"))
    later = frame["after_date"].notna().to_numpy() & ~(frame["work_state"] == "proved in part").to_numpy(dtype=bool)
    known = ~np.isnan(floats(frame, "after_load"))
    run_out = frame["is_run_out"].to_numpy(dtype=bool) & has_state
    signed = frame["deferred_by"].notna().to_numpy()
    untold = frame[["told_on", "told_before_on"]].isna().all(axis=1).to_numpy(dtype=bool)
    return [
        (codes.NOBODY_TOLD, is_any(frame, "urgency", ("now",)) & has_state & untold),
        (codes.OVERDUE, frame["is_overdue"].to_numpy(dtype=bool)),
        (codes.RUN_OUT, run_out & signed),
        (codes.RUN_OUT_UNSIGNED, run_out & ~signed),
        (codes.SAME_DAY, frame["worked_same_day"].to_numpy(dtype=bool) & has_state),
        (codes.COOLED, ((floats(frame, "urgency_floor") == SOON) | in_doubt) & has_state & ~still_hot & ~seen & ~bad),
        (codes.WORKED_AGAIN, awaits & (frame["last_work_date"] > frame["work_done_on"]).to_numpy(dtype=bool)),
        (codes.BAD_BEFORE, frame["bad_before"].to_numpy(dtype=bool) & has_state & ~awaits),
        *(
            (words, frame[name].to_numpy(dtype=bool) & has_state)
            for name, words in (
                ("is_put_off_before", codes.PUT_OFF_BEFORE),
                ("is_put_off_long", codes.PUT_OFF_LONG),
                ("is_put_off_again", codes.PUT_OFF_AGAIN),
            )
        ),
        (codes.TOLD_BEFORE, frame["told_before_on"].notna().to_numpy() & has_state & calls),
        (codes.SAFE_BEFORE, frame["made_safe_before"].notna().to_numpy() & has_state),
        (codes.READ_AGAIN, later & known),
        (codes.READ_AGAIN_LOAD_UNKNOWN, later & ~known),
    ]


def why_and_where(rows: pd.DataFrame) -> pd.Series:
    """Why each action, and where it stands between work and proof, where that is more than open."""
    stands = rows["work"].fillna("")
    more = (stands != "") & ~(stands.str.startswith("open") & ~stands.str.contains("; ", regex=False))
    return rows["reason"].where(~more, rows["reason"] + ". Where it stands: " + stands)


def change_words(changes: pd.DataFrame) -> list[str]:
    """What an entry will change for each connection, in a sentence.

    Parameters
    ----------
    changes : DataFrame
        ``connection_id was_id unlike typed_id is_beside urgency_before urgency work record_now record_now_reasons``.
    """
    made = []
    for row in changes.to_dict("records"):
        before, after = (str(row[name]).upper() for name in ("urgency_before", "urgency"))
        of_two = " (the more urgent of the two)" if row["was_id"] else ""
        urgency = f"stays {after}" if before == after else f"{before}{of_two} becomes {after}"
        because = f" ({row['record_now_reasons']})" if row["record_now_reasons"] else ""
        state = row["work"] or "nothing is left open"
        record = "" if "torque record" in state else f" Torque record: {row['record_now']}{because}."
        said = f"{row['connection_id']} {urgency}: {state}.{record}"
        if row["was_id"]:
            apart = f"They are recorded in different places ({row['unlike']}): make sure. " if row["unlike"] else ""
            said = f"{row['was_id']} is called {row['connection_id']}; what is known of either is of it. {apart}{said}"
        elif row["typed_id"]:
            said = f"{row['typed_id']} is called {row['connection_id']} now, and it is kept so. {said}"
        made.append(f"Also {said}" if row["is_beside"] else said)
    return made

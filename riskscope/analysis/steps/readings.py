"""Which readings there are, what the register adds to them, and of several in one survey the one that counts."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd

from riskscope.analysis.frames import (
    DAY_MIN,
    NO_DAY,
    Bools,
    Ints,
    codes,
    dates,
    days,
    filled,
    floats,
    is_any,
    kept,
    latest,
    positions,
    take,
    texts,
    with_columns,
)
from riskscope.analysis.frames import table as get_table
from riskscope.analysis.like_places import MADE_OF, conductor, told_apart_by
from riskscope.analysis.passes import BORROWED, MEMBERS, PAIR, PASS, PLACE, heat_of, over_sets
from riskscope.analysis.proof.before_hot import NOT_REGISTERED
from riskscope.analysis.proof.devices import Visits
from riskscope.analysis.proof.heat import PROOF_SEVERITY, asks_most, burnt, calls, taken_for
from riskscope.analysis.proof.refused import places_said
from riskscope.analysis.proof.visits import LOOKED, PERHAPS, TIGHTENED
from riskscope.schema import TABLES
from riskscope.schema.common import ID_PARTS
from riskscope.schema.names import is_other_lettering, lettered, phases_apart
from riskscope.schema.tables import FORMER
from riskscope.settings import Settings
from riskscope.units import Floats

SURVEY = TABLES["survey"]
FROM_FILE = ("source_file", "source_sheet", "source_line")
LARGEST, UNTIMED, UNTIL = ("hot_load_fraction", "hot_current_a"), "hot_untimed_on", "hot_until_min"


def gathered(tables: Mapping[str, pd.DataFrame], refused_rows: pd.DataFrame, on: dt.date) -> pd.DataFrame:
    """The readings up to the day, with what the register adds to them.

    Where the survey does not say where a connection is, the register does, or a row of it that was rejected.

    Reads
        every column of `survey`, `FORMER`; of `connections` its places and ``rated_a``; of `equipment` ``site``.
    Writes
        every column of `survey`, those of `riskscope.analysis.like_places`, ``register_rated_a``, `NOT_REGISTERED`,
        ``id_rank`` (order of ids).
    """
    survey = get_table(tables, "survey")
    survey = survey[[name for name in survey if name in (*SURVEY.stored, *FROM_FILE, FORMER)]]
    survey = kept(survey, (survey["survey_date"] <= pd.Timestamp(on)).to_numpy())
    survey = _fill_places(survey, tables, refused_rows)
    id_code, _ = pd.factorize(survey["connection_id"], sort=True)
    return with_columns(survey, {"id_rank": id_code.astype(np.int32)})


def rounds(readings: pd.DataFrame, every: Visits, settings: Settings) -> list[pd.DataFrame]:
    """The readings to be rated together, in the order of the passes over their sets.

    Where no connection was read twice in a survey there is one round. Else every further round holds the sets that
    were gone over again; a sibling that was not stands in it with its nearest reading, to compare with (``borrowed``:
    its own rating there does not count, but where a time is lacking, and with it the pass a reading is of).

    Reads
        of the readings what `gathered` gives, ``connection_c``, ``rise_ambient_found_k``, ``unfit``; of the visits the
        work.
    """
    own = codes(readings["id_rank"], texts(readings, "survey_id"))
    if np.bincount(own).max(initial=0) < 2:
        return [readings]
    work = [pd.Series(count) for count in _work_before(readings, own, every)]
    pair = codes(pd.Series(own), *_stands_at(readings, own), *work)
    return over_sets(with_columns(readings, {PAIR: pair}), own, settings)


def counted(rated: Sequence[pd.DataFrame], settings: Settings) -> pd.DataFrame:
    """One row for each connection and survey, as far as no work came between: of several readings the more urgent.

    Work on a day of which the order is not known comes between.

    Of joints as urgent one that burnt, its cover open; then the one rated worse, or that reads cold; else the later,
    or where a time is lacking the hotter of the later day; of one reading beside several of its siblings the largest
    exceedance. What another of them says of the load, it says of the one that counts.

    Parameters
    ----------
    rated : sequence of DataFrame
        The rounds, each assessed.

    Writes
        ``other_readings`` (readings of the same survey that do not count), ``hottest_other_c`` (hottest of them all),
        ``burnt``, ``hot_load_fraction``, ``hot_current_a``, ``hot_untimed_on``, ``hot_until_min`` (the last minute
        since 1970 at which it may have been read hot, NaN where it was not).
    """
    first = rated[0]
    if PAIR not in first:
        held = zip(LARGEST, taken_for(first, settings), strict=True)
        untimed = dates(np.where(_hot_without_time(first), days(first["survey_date"]), NO_DAY))
        alone = {"other_readings": np.int32(0), "hottest_other_c": np.nan, "burnt": burnt(first, settings)}
        return with_columns(first, {**dict(held), **alone, UNTIMED: untimed, UNTIL: _hot_until(first)})
    own = [frame[~frame[BORROWED].to_numpy(dtype=bool)] for frame in rated]
    in_round = np.repeat(np.arange(len(own)), [len(frame) for frame in own])
    every = _beside_others(pd.concat(own, ignore_index=True))
    exceedance = np.nan_to_num(floats(every, "exceedance"), nan=-np.inf)
    severity = np.nan_to_num(floats(every, "severity"), nan=-1.0)
    hot, cold = np.where(severity >= PROOF_SEVERITY, severity, 0), is_any(every, "pattern", ("one cold",))
    asks = asks_most(every, settings)
    later = _later(every)
    order = np.lexsort((-exceedance, -later, -severity, ~cold, -hot, ~asks, every["joint_urgency"], every[PAIR]))
    best = order[np.append(True, np.diff(every[PAIR].to_numpy()[order]) != 0)]
    best = best[np.argsort(every[PLACE].to_numpy()[best], kind="stable")]
    chosen = every.iloc[best].reset_index(drop=True)
    pairs_burnt = chosen[PAIR].isin(every[PAIR][burnt(every, settings)]).to_numpy(dtype=bool)
    hot_at = np.flatnonzero(_hot_without_time(every))
    pair = every[PAIR].to_numpy()
    untimed = latest(int(pair.max()) + 1, pair[hot_at], days(every["survey_date"])[hot_at])[pair[best]]
    of_survey = {**_largest_while_hot(every, best, settings), **_of_load(every, best), "burnt": pairs_burnt}
    of_survey[UNTIMED] = dates(untimed)
    of_survey[UNTIL] = pd.Series(_hot_until(every)).groupby(pair).max().to_numpy()[pair[best]]
    chosen = with_columns(chosen, of_survey)
    return _with_siblings_in(chosen, in_round[best], rated).drop(columns=[PLACE, BORROWED, PAIR, PASS, MEMBERS])


def _later(every: pd.DataFrame) -> Ints:
    """The readings numbered by day, and within one by time, where one is lacking by heat, then by what times there are.

    The passes of one set are in that order too; those of two sets, of which the same joint may be read in both, are
    in none.
    """
    pair, day, time = every[PAIR].to_numpy(), days(every["survey_date"]), floats(every, "survey_time")
    untimed = pd.Series(np.isnan(time)).groupby([pair, day]).transform("any").to_numpy(dtype=bool)
    heat = np.where(untimed, np.nan_to_num(heat_of(every), nan=-np.inf), 0.0)
    keys = [every[PASS].to_numpy(), np.nan_to_num(time, nan=-1.0), heat, day]
    number = np.empty(len(every), dtype=np.int64)
    order = np.lexsort(keys)
    number[order] = codes(*(pd.Series(key[order]) for key in keys))
    return number


def _beside_others(every: pd.DataFrame) -> pd.DataFrame:
    """The readings with how many others there are of their survey, and the hottest of them all."""
    once = (~every[PLACE].duplicated()).to_numpy()
    pair = every[PAIR].to_numpy()
    others = np.bincount(pair[once])[pair] - 1
    hottest = np.full(int(pair.max()) + 1, -np.inf)
    np.fmax.at(hottest, pair, floats(every, "connection_c"))
    hottest = np.where((others > 0) & np.isfinite(hottest[pair]), hottest[pair], np.nan)
    return with_columns(every, {"other_readings": others.astype(np.int32), "hottest_other_c": hottest})


def _hot_without_time(every: pd.DataFrame) -> Bools:
    return _hot(every) & np.isnan(floats(every, "survey_time"))


def _hot_until(every: pd.DataFrame) -> Floats:
    """The last minute of which each hot reading may be: its own, or without a time the last of its day."""
    time = np.nan_to_num(floats(every, "survey_time"), nan=DAY_MIN - 1.0)
    return np.where(_hot(every), days(every["survey_date"]) * float(DAY_MIN) + time, np.nan)


def _hot(every: pd.DataFrame) -> Bools:
    return calls(floats(every, "severity"), every["joint_urgency"].to_numpy())


def _of_load(every: pd.DataFrame, best: Ints) -> dict[str, object]:
    """The worst that any reading of its survey says of the load of each, and of its urgency by that."""
    pairs = every.groupby(PAIR, sort=True)
    largest = pairs[["overload", "overload_fraction", "lost phase"]].max().reindex(every[PAIR].iloc[best])
    urgency = pairs["reading_urgency"].min().reindex(every[PAIR].iloc[best])
    return {"reading_urgency": urgency.to_numpy(), **{name: largest[name].to_numpy() for name in largest}}


def _largest_while_hot(every: pd.DataFrame, best: Ints, settings: Settings) -> dict[str, object]:
    """The largest load and current at which each was hot in its survey, else its own; NaN where one is not known.

    Where neither is known of one hot reading, but of another, it is of full load.
    """
    hot, pair = _hot(every), every[PAIR].to_numpy()
    held = np.column_stack(taken_for(every, settings))
    of_hot = pd.DataFrame(held[hot]).groupby(pair[hot])
    is_hot = np.isin(pair[best], pair[hot])[:, np.newaxis]
    known = np.where(is_hot, of_hot.max().reindex(pair[best]), held[best])
    lacking = is_hot & (of_hot.count().lt(of_hot.size(), axis=0)).reindex(pair[best], fill_value=False).to_numpy()
    largest = np.where(lacking, np.nan, known)
    lost = np.isnan(largest).all(axis=1) & ~np.isnan(known).all(axis=1)
    largest[lost, 0] = np.fmax(known[lost, 0], 1.0)
    return dict(zip(LARGEST, largest.T, strict=True))


def _stands_at(readings: pd.DataFrame, own: Ints) -> list[pd.Series]:
    """Board and phase of each reading: an id that stands at two of either is perhaps two connections.

    Of phases that are lettered in two ways in one survey nobody knows which is which: they are as one, where they may
    be. A reading without one stands at that of the others, where it is one.
    """
    board = pd.Series(lettered(texts(readings, "equipment")).to_numpy())
    phase = phases_apart(pd.Series(texts(readings, "phase").to_numpy(), dtype="str"), own)
    of_survey = [place.groupby(own) for place in (board, phase)]
    its = [place.transform("first").where(place.transform("nunique") == 1) for place in of_survey]
    return [place.fillna(other) for place, other in zip((board, phase), its, strict=True)]


def _with_siblings_in(chosen: pd.DataFrame, in_round: Ints, rated: Sequence[pd.DataFrame]) -> pd.DataFrame:
    """The rows with their sets as in the first round, and their siblings by their place among these rows."""
    first = rated[0]
    own = ["id_rank", "survey_id", MEMBERS]
    at = pd.MultiIndex.from_frame(first[own]).get_indexer(pd.MultiIndex.from_frame(chosen[own]))
    columns = {name: first[name].to_numpy()[at] for name in ("set_code", "group_code")}
    place = pd.Series(np.arange(len(chosen)), index=pd.MultiIndex.from_frame(chosen[["id_rank", "survey_id"]]))
    place = place[~place.index.duplicated(keep="last")]
    sibling = np.full(len(chosen), -1, dtype=np.int32)
    for number, frame in enumerate(rated):
        mine = np.flatnonzero((in_round == number) & (chosen["sibling"].to_numpy() >= 0))
        other = frame.iloc[chosen["sibling"].to_numpy()[mine]]
        sibling[mine] = place.reindex(pd.MultiIndex.from_frame(other[["id_rank", "survey_id"]])).to_numpy()
    return with_columns(chosen, {**columns, "sibling": sibling})


def _work_before(survey: pd.DataFrame, own: Ints, every: Visits) -> tuple[Ints, Ints]:
    """How often each connection that was read again had been worked on before each of its readings: surely, perhaps.

    Work that nobody knows to have been done, as it is denied or its record was refused, parts no readings: of those
    the worse counts.
    """
    surely, perhaps = np.zeros(len(survey), dtype=np.int64), np.zeros(len(survey), dtype=np.int64)
    again = np.flatnonzero(np.bincount(own)[own] > 1)
    ids = survey["connection_id"].iloc[again].drop_duplicates(ignore_index=True)
    work = every.to(ids)
    work = work[((work["did"] >= TIGHTENED) & (work[PERHAPS] <= LOOKED)).to_numpy()]
    read = pd.DataFrame(
        {
            "code": positions(ids, survey["connection_id"].iloc[again]),
            "read_day": days(survey["survey_date"])[again],
            "read_time": floats(survey, "survey_time")[again],
            "at": again,
        }
    )
    both = read.merge(work, on="code")
    at, that_day = both["at"].to_numpy(), (both["day"] == both["read_day"]).to_numpy()
    earlier = (both["day"] < both["read_day"]).to_numpy()
    np.add.at(surely, at[earlier | (that_day & (both["time"] <= both["read_time"]).to_numpy())], 1)
    np.add.at(perhaps, at[earlier | (that_day & ~(both["time"] > both["read_time"]).to_numpy())], 1)
    return surely, perhaps


def _fill_places(survey: pd.DataFrame, tables: Mapping[str, pd.DataFrame], refused_rows: pd.DataFrame) -> pd.DataFrame:
    register = get_table(tables, "connections")
    at = positions(register["connection_id"], survey["connection_id"])
    places = {name: filled(texts(survey, name), take(texts(register, name), at)) for name in SURVEY.places}
    rejected = places_said(refused_rows, tables)
    if len(rejected):
        its = positions(rejected["connection_id"], survey["connection_id"])
        places |= {name: filled(places[name], take(texts(rejected, name), its)) for name in ("site", *ID_PARTS)}
    site, board = places["site"], places["equipment"]
    if site.isna().any():
        equipment = get_table(tables, "equipment")
        at_board = positions(equipment["equipment"], board)
        places["site"] = filled(site, take(texts(equipment, "site"), at_board))
    rated = take(texts(register, "rated_a"), at)
    made = {"register_rated_a": rated, NOT_REGISTERED: _not_registered(survey, register, at)}
    made |= conductor(*(_made_of(name, register, at, tables, survey["connection_id"]) for name in MADE_OF))
    return with_columns(survey, {**places, **told_apart_by(survey, places, register, at), **made})


def _made_of(
    name: str, register: pd.DataFrame, at: Ints, tables: Mapping[str, pd.DataFrame], ids: pd.Series
) -> pd.Series:
    """What the register says a joint is made of, else what its latest torque record says."""
    own, installs = take(texts(register, name), at), get_table(tables, "installs")
    if name not in installs or not own.isna().any():
        return own
    said = installs.dropna(subset=[name])[["connection_id", "work_date", name]].drop_duplicates()
    said = said[said["work_date"] == said.groupby("connection_id")["work_date"].transform("max")]
    said = said.drop_duplicates("connection_id", keep=False)  # what two rows of a day say otherwise is not known
    return filled(own, take(said[name].reset_index(drop=True), positions(said["connection_id"], ids)))


def _not_registered(survey: pd.DataFrame, register: pd.DataFrame, at: Ints) -> Bools:
    """Readings at another board or phase than the register has of their connection."""
    made = np.zeros(len(survey), dtype=bool)
    for name, differ in (("equipment", _other_board), ("phase", _other_phase)):
        ours, its = texts(survey, name), take(texts(register, name), at)
        if its.isna().all():
            continue
        ours, its = (names.astype("str").reset_index(drop=True) for names in (ours, its))
        both = (ours.notna() & its.notna()).to_numpy()
        if both.any():
            made[both] |= differ(ours[both], its[both])
    return made


def _other_board(ours: pd.Series, its: pd.Series) -> Bools:
    return (lettered(ours) != lettered(its)).to_numpy(dtype=bool)


def _other_phase(ours: pd.Series, its: pd.Series) -> Bools:
    return ((ours.str.casefold() != its.str.casefold()) & ~is_other_lettering(ours, its)).to_numpy(dtype=bool)

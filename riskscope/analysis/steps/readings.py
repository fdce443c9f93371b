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
from riskscope.analysis.like_places import COLUMNS as LIKE
from riskscope.analysis.like_places import WHERE, told_apart_by
from riskscope.analysis.proof.heat import PROOF_SEVERITY, asks_most, burnt, calls, taken_for
from riskscope.analysis.proof.refused import places_said
from riskscope.analysis.proof.visits import TIGHTENED, visits
from riskscope.physics.load import loads_alike
from riskscope.schema import TABLES
from riskscope.schema.common import ID_PARTS
from riskscope.settings import Settings
from riskscope.units import Floats

SURVEY = TABLES["survey"]
FROM_FILE = ("source_file", "source_sheet", "source_line")
HOTTER_K = 1.0  # a difference to the coolest reading of a sibling that can matter
LARGEST, UNTIMED, UNTIL = ("hot_load_fraction", "hot_current_a"), "hot_untimed_on", "hot_until_min"
PLACE, BORROWED, PAIR, PASS, MEMBERS = "place", "borrowed", "pair", "pass", "members"  # while the rounds are rated


def gathered(tables: Mapping[str, pd.DataFrame], refused_rows: pd.DataFrame, on: dt.date) -> pd.DataFrame:
    """The readings up to the day, with what the register adds to them.

    Where the survey does not say where a connection is, the register does, or a row of it that was rejected.

    Reads
        every column of `survey`; of `connections` its places and ``rated_a``; of `equipment` ``site``.
    Writes
        every column of `survey`, those of `riskscope.analysis.like_places`, ``register_rated_a``,
        ``id_rank`` (order of ids).
    """
    survey = get_table(tables, "survey")
    survey = survey[[name for name in survey if name in SURVEY.stored or name in FROM_FILE]]
    survey = kept(survey, (survey["survey_date"] <= pd.Timestamp(on)).to_numpy())
    survey = _fill_places(survey, tables, refused_rows)
    id_code, _ = pd.factorize(survey["connection_id"], sort=True)
    return with_columns(survey, {"id_rank": id_code.astype(np.int32)})


def rounds(
    readings: pd.DataFrame, tables: Mapping[str, pd.DataFrame], on: dt.date, settings: Settings
) -> list[pd.DataFrame]:
    """The readings to be rated together, in the order of the passes over their sets.

    Where no connection was read twice in a survey there is one round. Else every further round holds the sets that
    were gone over again; a sibling that was not stands in it with its nearest reading, to compare with (``borrowed``:
    its own rating there does not count, but where a time is lacking, and with it the pass a reading is of).

    Reads
        of the readings what `gathered` gives, ``connection_c``, ``rise_ambient_found_k``, ``unfit``; of `installs` and
        `findings` the work.
    """
    own = codes(readings["id_rank"], texts(readings, "survey_id"))
    if np.bincount(own).max(initial=0) < 2:
        return [readings]
    pair = codes(pd.Series(own), *(pd.Series(count) for count in _work_before(readings, own, tables, on)))
    return _rounds(with_columns(readings, {PAIR: pair}), own, settings)


def counted(rated: Sequence[pd.DataFrame], settings: Settings) -> pd.DataFrame:
    """One row for each connection and survey, as far as nothing came between: of several readings the more urgent.

    Between may come work, on that day in an order that is not known, or a reading of another survey that is not hot.

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
    every = _parted(pd.concat(own, ignore_index=True), settings)
    exceedance = np.nan_to_num(floats(every, "exceedance"), nan=-np.inf)
    severity = np.nan_to_num(floats(every, "severity"), nan=-1.0)
    hot, cold = np.where(severity >= PROOF_SEVERITY, severity, 0), is_any(every, "pattern", ("one cold",))
    asks = asks_most(every, settings)
    order = np.lexsort((-exceedance, -every[PASS], -severity, ~cold, -hot, ~asks, every["joint_urgency"], every[PAIR]))
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


def _parted(every: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """The readings of a survey apart where one of another survey came between; with the others of each part."""
    once = (~every[PLACE].duplicated()).to_numpy()
    place, count = every[PLACE].to_numpy(), int(every[PLACE].max()) + 1
    hot, before = np.zeros(count, dtype=bool), np.zeros(count, dtype=np.int64)
    np.logical_or.at(hot, place, _hot(every))
    before[place[once]] = _others_before(kept(every, once), hot[place[once]], settings)
    pair = codes(every[PAIR], pd.Series(before[place]))
    others = np.bincount(pair[once])[pair] - 1
    hottest = np.full(int(pair.max()) + 1, -np.inf)
    np.fmax.at(hottest, pair, floats(every, "connection_c"))
    hottest = np.where((others > 0) & np.isfinite(hottest[pair]), hottest[pair], np.nan)
    return every.assign(**{PAIR: pair, "other_readings": others.astype(np.int32), "hottest_other_c": hottest})


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
    """The largest load and current at which each was hot in its survey, else its own; NaN where one is not known."""
    hot, pair = _hot(every), every[PAIR].to_numpy()
    made: dict[str, object] = {}
    for new, taken in zip(LARGEST, taken_for(every, settings), strict=True):
        largest = pd.Series(np.where(np.isnan(taken), np.inf, taken)[hot])
        values = largest.groupby(pair[hot]).max().reindex(pair[best]).to_numpy(dtype=float)
        values = np.where(np.isnan(values), taken[best], values)
        made[new] = np.where(np.isinf(values), np.nan, values)
    return made


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


def _rounds(frame: pd.DataFrame, own: Ints, settings: Settings) -> list[pd.DataFrame]:
    """The passes over each set of siblings: a new one begins where a connection is read again.

    A connection that was not read in a pass stands in it with its reading of the nearest day, then of the nearest pass.
    Where it is not sure of which pass a reading is, or what stands in a pass may be unfit to compare with, each reading
    is also compared with the coolest of every sibling at a known load. What is fit also stands in its passes as though
    nothing unfit had been read of its set.
    """
    place = [*(texts(frame, name) for name in ("survey_id", "site")), *(frame[name] for name in WHERE.values())]
    place += [frame[LIKE[part]] for part in ("device", "group")]
    alone = np.logical_and.reduce([texts(frame, name).isna().to_numpy() for name in ("circuit", "device", "group")])
    members = pd.factorize(np.where(alone, own + len(frame), codes(*place)))[0]
    comparable = _comparable(frame, settings)
    mine = codes(pd.Series(own), pd.Series(members))  # an id that stands at two places is of two sets
    nth = _passes(members, mine, _in_order(frame, members, comparable))
    frame = with_columns(frame, {PLACE: np.arange(len(frame)), BORROWED: False, PASS: nth, MEMBERS: members})
    affected = np.isin(members, members[nth > 0])
    unsure = affected & _unsure(frame, members, own, comparable)
    made = _by_pass(frame, mine, nth, affected, unsure)
    fit = affected & comparable & np.isin(members, members[~comparable])
    if fit.any():
        part, of_set, its = kept(frame, fit), members[fit], mine[fit]
        nth = _passes(of_set, its, _in_order(part, of_set, comparable[fit]))
        made += _by_pass(part, its, nth, affected[fit], unsure[fit])
    return [*made, *_beside_the_coolest(frame, members, own, unsure, comparable, settings)]


def _by_pass(frame: pd.DataFrame, own: Ints, nth: Ints, affected: Bools, unsure: Bools) -> list[pd.DataFrame]:
    """A round for each pass: in the first every set, in the others those that were gone over again."""
    members, day, made = frame[MEMBERS].to_numpy(), days(frame["survey_date"]), []
    for number in range(int(nth.max()) + 1):
        far = np.abs(nth - number) * 2 + (nth > number)
        that_day = latest(int(members.max()) + 1, members[nth == number], day[nth == number])[members]
        nights = np.where(that_day == NO_DAY, 0, np.abs(day - that_day))
        order = np.lexsort((far, nights, nth != number, own))
        nearest = order[np.append(True, np.diff(own[order]) != 0)]
        nearest = np.sort(nearest if number == 0 else nearest[affected[nearest]])
        borrowed = (nth[nearest] != number) & ~unsure[nearest]
        made.append(frame.iloc[nearest].assign(**{BORROWED: borrowed}).reset_index(drop=True))
    return made


def _unsure(frame: pd.DataFrame, members: Ints, own: Ints, comparable: Bools) -> Bools:
    """Readings of sets of which a time is lacking or stands twice, that were read on several days, or partly unfit."""
    time, day = floats(frame, "survey_time"), days(frame["survey_date"])
    twice = pd.DataFrame({"own": own, "day": day, "time": time}).duplicated(keep=False).to_numpy()
    bad = np.isnan(time) | twice | ~comparable
    by_set = pd.Series(day).groupby(members)
    return (pd.Series(bad).groupby(members).transform("any") | (by_set.transform("min") < day)).to_numpy(dtype=bool)


def _comparable(frame: pd.DataFrame, settings: Settings) -> Bools:
    """Readings that another may be compared with, as far as they say themselves."""
    with np.errstate(invalid="ignore"):
        below_air = floats(frame, "rise_ambient_found_k") < -settings.coverage * settings.u_ambient_k
    return ~(frame["unfit"].to_numpy(dtype=bool) | below_air)


def _beside_the_coolest(
    frame: pd.DataFrame, members: Ints, own: Ints, unsure: Bools, comparable: Bools, settings: Settings
) -> list[pd.DataFrame]:
    """Rounds in which one reading of a set stands beside the coolest comparable reading of each of its siblings.

    Of a sibling that was read at a like load too, the coolest of those: at unlike loads a warm one can look cold. A
    closed cover stands beside closed covers, at any load.
    """
    heat, closed = floats(frame, "connection_c"), is_any(frame, "cover", ("closed",))
    loads = [floats(frame, name) for name in ("load_pct", "load_a")]
    known = ~np.isnan(loads).all(axis=0) | closed
    usable = unsure & known & (comparable | closed) & ~np.isnan(heat)
    rows = np.flatnonzero(unsure & known & ~np.isnan(heat))
    if not usable.any():
        return []
    at = np.flatnonzero(usable)
    others = pd.DataFrame({"set": members[at], "own": own[at], "closed": closed[at], "heat": heat[at], "at": at})
    subject = pd.DataFrame({"set": members[rows], "own": own[rows], "closed": closed[rows], "subject": rows})
    subject["nth"] = subject.groupby("set").cumcount()
    made = []
    for _, part in subject.groupby("nth"):
        beside = part.merge(others, on=["set", "closed"], suffixes=("", "_its"))
        beside = beside[beside["own"] != beside["own_its"]]
        pair = [(load[beside["subject"]], load[beside["at"]]) for load in loads]
        like = np.logical_or.reduce([loads_alike(mine, its, settings.alike_load) for mine, its in pair])
        beside = beside.assign(unlike=~like).sort_values(["subject", "own_its", "unlike", "heat"], kind="stable")
        beside = beside.drop_duplicates(["subject", "own_its"])
        hotter = beside[heat[beside["subject"]] - beside["heat"] >= min(HOTTER_K, settings.cover_rise_k)]
        beside = beside[beside["set"].isin(hotter["set"])]
        if len(beside):
            subjects = beside["subject"].drop_duplicates().to_numpy()
            rows_ = np.sort(np.concatenate([subjects, beside["at"].to_numpy()]))
            made.append(frame.iloc[rows_].assign(**{BORROWED: ~np.isin(rows_, subjects)}).reset_index(drop=True))
    return made


def _passes(members: Ints, own: Ints, order: Ints) -> Ints:
    """The pass of each reading, from 0, walking through the readings of every set at once."""
    members, own = pd.factorize(members)[0], pd.factorize(own)[0]
    made = np.zeros(len(own), dtype=np.int64)
    current, last = np.zeros(int(members.max()) + 1, dtype=np.int64), np.full(int(own.max()) + 1, -1)
    sorted_members = members[order]
    nth = pd.Series(sorted_members).groupby(sorted_members, sort=False).cumcount().to_numpy()
    by_nth = np.argsort(nth, kind="stable")
    ends = np.cumsum(np.bincount(nth))
    for begin, end in zip(np.append(0, ends[:-1]), ends, strict=True):
        rows = order[by_nth[begin:end]]
        begun = current[members[rows]]
        begun = np.where(last[own[rows]] >= begun, begun + 1, begun)
        current[members[rows]] = last[own[rows]] = made[rows] = begun
    return made


def _in_order(frame: pd.DataFrame, own: Ints, comparable: Bools) -> Ints:
    """The readings of each set in order of time; on a day where a time is lacking the fit ones last, those of either
    in order of heat, then of load.

    Only rows that say the same stand in the order of their lines, else sorting a sheet would change a rating.
    """
    day = days(frame["survey_date"])
    time = floats(frame, "survey_time")
    all_timed = pd.Series(~np.isnan(time)).groupby([own, day]).transform("all").to_numpy()
    heat = floats(frame, "connection_c")
    for rise in ("rise_similar_k", "rise_ambient_k"):
        heat = np.where(np.isnan(heat), floats(frame, rise), heat)
    return np.lexsort(
        (
            frame["source_line"].to_numpy() if "source_line" in frame else np.arange(len(frame)),
            floats(frame, "load_steady_min"),
            floats(frame, "load_a"),
            floats(frame, "load_pct"),
            np.nan_to_num(heat, nan=-np.inf),
            comparable,
            np.where(all_timed, time, 0.0),
            day,
            own,
        )
    )


def _others_before(readings: pd.DataFrame, hot: Bools, settings: Settings) -> Ints:
    """How often a reading of another survey came between those of a connection, up to each of its readings.

    One that is hot or can prove nothing (not fit, at too little load or none that is known, at less than half of the
    largest current of its connection), or came on that day in an order that is not known, comes between nothing.
    """
    code, name = readings["id_rank"].to_numpy(), pd.factorize(texts(readings, "survey_id"))[0]
    day, time = days(readings["survey_date"]), floats(readings, "survey_time")
    loads = [floats(readings, load) for load in ("load_fraction", "current_a")]
    enough = loads[0] >= settings.low_load
    for load in loads:
        largest = pd.Series(load).groupby(code).transform("max").to_numpy()
        enough &= ~(load < settings.proof_current * largest)
    alone = pd.Series(day).groupby([code, day]).transform("size").to_numpy() == 1
    speaks = _comparable(readings, settings) & enough & ~hot & (alone | ~np.isnan(time))
    order = np.lexsort((name, np.nan_to_num(time, nan=-1.0), day, code))
    said = pd.DataFrame({"code": code[order], "name": name[order], "speaks": speaks[order].astype(np.int64)})
    in_all, in_own = (said.groupby(keys)["speaks"].cumsum() for keys in (["code"], ["code", "name"]))
    made = np.empty(len(readings), dtype=np.int64)
    made[order] = in_all - in_own
    return made


def _work_before(survey: pd.DataFrame, own: Ints, tables: Mapping[str, pd.DataFrame], on: dt.date) -> tuple[Ints, Ints]:
    """How often each connection that was read again had been worked on before each of its readings: surely, perhaps."""
    surely, perhaps = np.zeros(len(survey), dtype=np.int64), np.zeros(len(survey), dtype=np.int64)
    again = np.flatnonzero(np.bincount(own)[own] > 1)
    ids = survey["connection_id"].iloc[again].drop_duplicates()
    places = survey.loc[ids.index, [name for name in SURVEY.places if name in survey]].reset_index(drop=True)
    work = visits(tables, ids.reset_index(drop=True), places, on)
    work = work[(work["did"] >= TIGHTENED).to_numpy()]
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
    return with_columns(survey, {**places, **told_apart_by(survey, places, at >= 0), "register_rated_a": rated})

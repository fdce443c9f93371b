"""Rows that were refused and may matter: readings with a temperature in them, records of work; whose, of which day."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping

import numpy as np
import pandas as pd
import pyarrow as pa
from pyarrow import compute as pc

from riskscope.analysis.frames import NO_DAY, Bools, dates, days, latest, texts
from riskscope.analysis.proof.register import former_names
from riskscope.analysis.proof.visits import TIGHTENED
from riskscope.schema.common import AT, ID_PARTS
from riskscope.schema.notes import AGAIN, DISMISSED, HOTTEST, MEND, PART, PLACE

WHOSE = (
    rf"(?:{AGAIN}|{MEND}) \((?P<at>{PLACE})?(?P<name>.+?)(?:, (?P<day>\d{{4}}-\d{{2}}-\d{{2}}))?\)"
    rf"(?:;| \({DISMISSED}|$)"
)
NAMED = ("survey", "connections", "installs", "findings")
SAID = {"row": "int64", "name": "str", "site": "str", "is_place": "bool", "is_said": "bool", "day": "str",
        "is_settled": "bool", "former": "str", "key": "str"}  # fmt: skip


def may_be_hottest(refused_rows: pd.DataFrame) -> pd.DataFrame:
    """The rows of surveys that were refused though a temperature stands in them, above all those off the scale."""
    rows = refused_rows[(refused_rows["table"] == "survey") & (refused_rows["kind"] == "rejected")]
    return rows[rows["reason"].str.contains(HOTTEST, regex=False)]


def of_work(refused_rows: pd.DataFrame) -> pd.DataFrame:
    """The records of work and the findings that were refused."""
    is_work = refused_rows["table"].isin(["installs", "findings"])
    return refused_rows[is_work & (refused_rows["kind"] == "rejected")]


def whose(out: pd.DataFrame, tables: Mapping[str, pd.DataFrame]) -> pd.DataFrame:
    """Names that refused rows may be of, one a row.

    Whose it is and of which day its reason says, under a name of then; a row kept before reasons said so is known by
    the name in one of its cells, and of the day in them if there is just one.

    Parameters
    ----------
    out : DataFrame
        From `may_be_hottest` or `of_work`.

    Returns
    -------
    DataFrame
        ``row`` (label among the refused rows), ``name`` (as written, without its site; the place where no id is),
        ``site`` ("" if the row does not say it), ``is_place``, ``is_said`` (by the reason), ``key`` (as names are told
        apart here, the present one), ``day`` ("" if unknown), ``is_settled`` (somebody dismissed the row: it asks for
        nothing more), ``former`` (where the key is what a joint is called now, its former name; else "": beside it
        stands the name itself, which another may have).
    """
    if not len(out):
        return pd.DataFrame({name: pd.Series(dtype=kind) for name, kind in SAID.items()})
    said = out["reason"].str.extract(WHOSE)
    unsaid = said["name"].isna()
    cells = out["cells"][unsaid].map(json.loads).explode().dropna()
    iso = (
        out["cells"][unsaid]
        .str.findall(r"\d{4}-\d{2}-\d{2}")
        .map(lambda days_: days_[0] if len(set(days_)) == 1 else "")
    )
    names = pd.concat([said["name"][~unsaid], cells]).astype("str").str.strip()
    day = pd.concat([said["day"][~unsaid], iso.reindex(cells.index)]).fillna("").astype("str")
    apart = names.str.partition(AT)
    made = pd.DataFrame(
        {
            "row": names.index,
            "name": apart[0].to_numpy(),
            "site": apart[2].str.strip().to_numpy(),
            "is_place": said["at"].notna().reindex(names.index).to_numpy(dtype=bool),
            "is_said": ~unsaid.reindex(names.index).to_numpy(dtype=bool),
            "day": day.where(pd.to_datetime(day, format="%Y-%m-%d", errors="coerce").notna(), "").to_numpy(),
            "is_settled": out["reason"].str.contains(f" ({DISMISSED}", regex=False).reindex(names.index).to_numpy(),
        }
    )
    known = pd.concat([tables[name]["connection_id"] for name in NAMED if name in tables])
    values = made["name"].str.replace(rf"(?:^|{PART})(?:{'|'.join(ID_PARTS)}) ", "/", regex=True)
    made = made.assign(former="", key=squeezed(values.where(made["is_place"], made["name"])).to_numpy())
    former = former_names(tables, known)
    return pd.concat([made, _renamed(made, former)], ignore_index=True) if former else made


def _renamed(said: pd.DataFrame, former: Mapping[str, str]) -> pd.DataFrame:
    """The rows whose name is a former one at their site, under the present name."""
    old, new = (pd.Series(list(names), dtype="str").str.partition(AT) for names in (former, former.values()))
    of_site = new[2].where(old[2] == "", old[2])
    now = pd.DataFrame({"key": squeezed(old[0]), "was": old[0], "of_site": of_site, "now": squeezed(new[0])})
    both = said.merge(now, on="key")
    of_site = (both["site"] == "") | (both["of_site"] == "") | (folded(both["site"]) == folded(both["of_site"]))
    both = both[of_site]
    return both.assign(key=both["now"], former=both["was"])[list(said)]


def squeezed(names: pd.Series, between: str = "") -> pd.Series:
    """Names as they are told apart here: letters and digits alone, whatever stands between them."""
    which, every = pd.factorize(names.astype("str"), use_na_sentinel=False)
    text = pc.utf8_lower(pc.utf8_normalize(pa.array(every, pa.large_string(), from_pandas=True), "NFKC"))
    text = pc.utf8_trim(pc.replace_substring_regex(text, r"[^\p{L}\p{N}]+", between), between or " ")
    return pd.Series(text, dtype="str").iloc[which].set_axis(names.index)


def folded(names: pd.Series) -> pd.Series:
    """Names without what case and spaces make of them."""
    return names.astype("str").str.normalize("NFKC").str.replace(r"\s+", " ", regex=True).str.strip().str.casefold()


def pairs(said: pd.DataFrame, frame: pd.DataFrame) -> pd.DataFrame:
    """Refused rows beside the rows of a frame that they may be of: by id or by place, and by site where both say it.

    Where a name is that of a row, case and spaces aside, or was it, it is of no other: MCC-1/11 is not MCC-11/1. A row
    that only a refused one names takes it from nobody. Of a place either may say more than the other.

    Parameters
    ----------
    said : DataFrame
        From `whose`.
    frame : DataFrame
        ``connection_id`` and the places of some connections or readings, and ``only refused`` if it may be so.

    Returns
    -------
    DataFrame
        The columns of `said`, and ``at``: the place of a row of the frame.
    """
    if not len(said) or not len(frame):
        return said.iloc[:0].assign(at=np.zeros(0, dtype=np.int64))
    own, site = frame["connection_id"].astype("str").str.split(AT).str[0], texts(frame, "site").astype("str").fillna("")
    is_ghost = (
        frame["only refused"].to_numpy(dtype=bool) if "only refused" in frame else np.zeros(len(frame), dtype=bool)
    )
    made = [_matched(said, squeezed(own))]
    made += _of_place(said, frame)
    every = pd.concat(made, ignore_index=True).drop_duplicates(["row", "name", "at"])
    there = folded(site.iloc[every["at"]]).to_numpy()
    said_site = folded(every["site"]).to_numpy()
    of_site = (there == "") | (said_site == "") | (said_site == there)
    every = every[of_site]
    typed, written = folded(every["name"]).to_numpy(), folded(own.iloc[every["at"]]).to_numpy()
    exact = (typed == written) | (typed == folded(every["former"]).to_numpy())
    takes = pd.Series(exact & ~is_ghost[every["at"]], index=every.index)
    return every[exact | ~takes.groupby([every["row"], every["name"]]).transform("any")].reset_index(drop=True)


def _matched(said: pd.DataFrame, keys: pd.Series) -> pd.DataFrame:
    at = np.flatnonzero((keys.isin(said["key"]) & (keys != "")).to_numpy(dtype=bool))
    return said.merge(pd.DataFrame({"key": keys.iloc[at].to_numpy(), "at": at}), on="key")


def _of_place(said: pd.DataFrame, frame: pd.DataFrame) -> list[pd.DataFrame]:
    """Rows known by their place beside those of the same board and circuit, or device, that say nothing else."""
    placed = said[said["is_place"].to_numpy(dtype=bool)]
    if not len(placed):
        return []
    mine = {part: squeezed(_part(placed["name"], part)).to_numpy() for part in ID_PARTS}
    own = {
        part: squeezed(texts(frame, part).astype("str").fillna("").str.split(AT).str[0]).to_numpy() for part in ID_PARTS
    }
    made = []
    for part in ("circuit", "device"):
        key = pd.Series(mine["equipment"] + "/" + mine[part], dtype="str").mask(mine[part] == "")
        its = pd.Series(own["equipment"] + "/" + own[part], dtype="str").mask(own[part] == "")
        at = np.flatnonzero(its.isin(key.dropna()).to_numpy(dtype=bool))
        left = pd.DataFrame({"key_": key, "of": np.arange(len(placed))}).dropna()
        both = left.merge(pd.DataFrame({"key_": its.iloc[at].to_numpy(), "at": at}), on="key_")
        agree = np.ones(len(both), dtype=bool)
        for other in ID_PARTS:
            ours, its_own = mine[other][both["of"]], own[other][both["at"]]
            agree &= (ours == its_own) | (ours == "") | (its_own == "")
        both = both[agree]
        made.append(placed.iloc[both["of"]].assign(at=both["at"].to_numpy()))
    return made


def _part(places: pd.Series, part: str) -> pd.Series:
    return places.str.extract(rf"(?:^|{PART}){part} (.*?)(?:{PART}|$)", expand=False).fillna("")


def _alike(said: pd.DataFrame) -> pd.DataFrame:
    """One of those that say the same."""
    return said.drop_duplicates(["name", "site", "is_place", "day", "is_settled", "key"])


def beside_refused(readings: pd.DataFrame, said: pd.DataFrame) -> Bools:
    """Readings of connections of which another of that day, or of a day nobody knows, was refused."""
    of = pairs(_alike(said), readings)
    day = readings["survey_date"].iloc[of["at"]].dt.strftime("%Y-%m-%d").to_numpy()
    made = np.zeros(len(readings), dtype=bool)
    made[of["at"][(of["day"] == "").to_numpy() | (of["day"].to_numpy() == day)]] = True
    return made


def asks_again(frame: pd.DataFrame, said: pd.DataFrame, on: dt.date) -> dict[str, object]:
    """Connections of which a reading was refused that no later one has answered, and nobody has settled.

    Writes
        ``refused_on`` (day of the last such reading), ``refused_undated`` (one of a day nobody knows).
    """
    of = pairs(_alike(said[~said["is_settled"].to_numpy(dtype=bool)]), frame)
    at, day = of["at"].to_numpy(), days(pd.to_datetime(of["day"].replace("", None)))
    seen = np.maximum(days(frame["survey_date"]), days(frame["after_date"]))
    undated = np.zeros(len(frame), dtype=bool)
    undated[at[(of["day"] == "").to_numpy()]] = True
    open_ = (of["day"] != "").to_numpy() & (day >= seen[at]) & (day <= int(np.datetime64(on, "D").astype(np.int64)))
    last = np.full(len(frame), NO_DAY)
    np.maximum.at(last, at[open_], day[open_])
    return {"refused_on": dates(last), "refused_undated": undated}


def doubts_work(frame: pd.DataFrame, said: pd.DataFrame, every: pd.DataFrame, on: dt.date) -> Bools:
    """Connections of which a record of work was refused that is not older than the last work that counts."""
    work = every[(every["did"] >= TIGHTENED).to_numpy()]
    last_work = latest(len(frame), work["code"].to_numpy(), work["day"].to_numpy())
    of = pairs(_alike(said), frame)
    at, day = of["at"].to_numpy(), days(pd.to_datetime(of["day"].replace("", None)))
    today = int(np.datetime64(on, "D").astype(np.int64))
    open_ = (day == NO_DAY) | ((day >= last_work[at]) & (day <= today))
    made = np.zeros(len(frame), dtype=bool)
    made[at[open_]] = True
    return made


def unknown(said: pd.DataFrame, frame: pd.DataFrame, on: dt.date) -> pd.Series:
    """Ids that only a refused reading names: nobody knows yet how such a joint is.

    A name that has its letters and digits apart as another is the other's: P-F1 is P/F1, F11.1 is not F1.11.
    """
    mine = said[(said["is_said"] & ~said["is_place"]).to_numpy(dtype=bool) & (said["day"] <= on.isoformat())]
    of = pairs(mine, frame)
    own = frame["connection_id"].iloc[of["at"]].str.split(AT).str[0].reset_index(drop=True)
    typed, former = _apart(of["name"]), of["former"].astype("str")
    is_it = (_apart(own) == typed) | ((former != "") & (_apart(former) == typed))
    new = mine[~mine["row"].isin(of["row"][is_it.to_numpy(dtype=bool)])]
    new = new.drop_duplicates(["name", "site"])
    apart = new["name"].where(new["site"] == "", new["name"] + AT + new["site"])
    return apart[~apart.str.casefold().isin(frame["connection_id"].str.casefold())]


def _apart(names: pd.Series) -> pd.Series:
    """Letters and digits of names, and where they are apart; with the sign of a pole."""
    return squeezed(names, "/") + names.str.extract(r"([+−-])$", expand=False).fillna("")


def refused_of(said: pd.DataFrame, refused_rows: pd.DataFrame, row: pd.Series) -> pd.DataFrame:
    """The refused readings that may be of a connection."""
    return refused_rows.loc[pairs(said, row.to_frame().T)["row"].unique()]

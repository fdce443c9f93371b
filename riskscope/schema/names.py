"""How names that people write are told apart: by what stands in them, not by what stands between."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pyarrow as pa
from numpy.typing import NDArray
from pyarrow import compute as pc

from riskscope.schema.common import AT, LINE_PHASES

FOR_NOBODY = (
    "", "na", "nk", "no", "none", "nil", "null", "nan", "unknown", "notknown", "unk", "notstated", "notgiven",
    "notapplicable", "notavailable", "notsure", "dontknow", "nobody", "noone", "noname", "someone", "somebody",
    "anybody", "tba", "tbc", "tbd", "tobeconfirmed", "tobedecided", "tobedetermined", "noreason", "notyet", "nottold",
    "notdecided", "pending", "noneyet", "later", "notrecorded", "notmeasured", "nonegiven", "noted", "notnoted",
    "norecord", "x", "xx", "xxx", "0",
)  # fmt: skip
FOR_NO_TOOL = (
    "noneused", "noused", "notused", "used", "without", "yes", "notlegible", "illegible", "unreadable", "lost",
    "missing", "forgotten", "various", "several", "different", "same", "byhand", "byfeel", "hand", "nolabel",
    "unlabelled",
)  # fmt: skip
NOTHING_SAID = frozenset(FOR_NOBODY)  # words that name nothing, of their letters and figures alone
NO_TOOL = NOTHING_SAID.union(FOR_NO_TOOL)
NOBODY_YET = (
    r"[(\[]?(?:not|nobody|no[ -]?one|none|never|(?:yet )?to be|still(?!,)|planned for|proposed|pending|a?waiting"
    r"|tb[acd]|will (?:be|call|tell|ask)|tomorrow)\b.*|planned|no (?:answer|reply|contact|name)\b.*"
)
A_TOOL = r"\b(?:dies?|tools?|wrench)\b"
LETTERINGS = ("a b c", "l1 l2 l3", "r y b", "r s t", "u v w", "1 2 3")  # of line phases; of one lettering B is not A


def squeezed(names: pd.Series, between: str = "") -> pd.Series:
    """Names as they are told apart here: letters and digits alone, whatever stands between them."""
    which, every = pd.factorize(names.astype("str"), use_na_sentinel=False)
    text = pc.utf8_lower(pc.utf8_normalize(pa.array(every, pa.large_string(), from_pandas=True), "NFKC"))
    is_ascii = pc.all(pc.string_is_ascii(text)).as_py()  # a pattern of all letters there are takes 7 ms to be made
    signs = r"[^a-z0-9]+" if is_ascii else r"[^\p{L}\p{N}]+"
    text = pc.utf8_trim(pc.replace_substring_regex(text, signs, between), between or " ")
    return pd.Series(text, dtype="str").iloc[which].set_axis(names.index)


def names_nothing(names: pd.Series, words: frozenset[str] = NOTHING_SAID, but: str = "") -> NDArray[np.bool_]:
    """Which names are words for nobody or nothing, or several of them, whatever signs stand in them; `but` for a word
    that says nothing more. A name that is not there is none."""
    which, every = pd.factorize(names.astype("str"))
    text = pd.Series(every, dtype="str").str.lower().str.replace("_", " ", regex=False)
    text = text.str.replace(but, " ", regex=True) if but else text
    parts = text.str.split(r"[/,;|]| or ", regex=True).explode()
    nothing = squeezed(text).isin(words) | squeezed(parts).isin(words).groupby(level=0).all()
    return np.append(nothing.to_numpy(dtype=bool), False)[which]


def names_nobody(names: pd.Series) -> NDArray[np.bool_]:
    """Which names of people are words for nobody, or begin as what is still to come: not yet, to be told."""
    said = names.astype("str").str.strip().str.lower().str.fullmatch(NOBODY_YET)
    return names_nothing(names) | said.fillna(False).to_numpy(dtype=bool)


def folded(names: pd.Series) -> pd.Series:
    """Names without what case and spaces make of them."""
    return names.astype("str").str.normalize("NFKC").str.replace(r"\s+", " ", regex=True).str.strip().str.casefold()


def lettered(names: pd.Series) -> pd.Series:
    """Names by their letters, figures and signs of a pole, in one case, and where two letters or two figures are apart:
    DB-5 is db/5 and DB.5, and MSB-A MSB A, but 1.1 is not 11, nor DB A1 what DBA 1 is, nor DC + what DC − is."""
    which, every = pd.factorize(names.astype("str"), use_na_sentinel=False)
    text = pa.array(folded(pd.Series(every, dtype="str")), pa.large_string(), from_pandas=True)
    between = r"[^\p{L}\p{N}\p{M}+−'\x1f]+"
    alike = ((rf"(\p{{N}}){between}(\p{{N}})", "\\1\x1f\\2"), (rf"([\p{{L}}\p{{M}}]){between}(\p{{L}})", "\\1\x1f\\2"))
    signs = ((r"(\p{L})[-‐‑–](\s|$)", r"\1−\2"), (r"(\p{L})−(\p{N})", r"\1\2"))
    for pattern, new in (*signs, *alike, *alike, (between, "")):
        text = pc.replace_substring_regex(text, pattern, new)
    made = pd.Series(text, dtype="str")
    return made.where(made != "", pd.Series(every, dtype="str")).iloc[which].set_axis(names.index)


def apart(names: pd.Series) -> pd.Series:
    """Names without a blank or hyphen between a letter and a digit, and in one case: F 1 is F1, but 1.1 is not 11, nor
    F1 + what F1 − is."""
    which, every = pd.factorize(names.astype("str"), use_na_sentinel=False)
    text = pa.array(folded(pd.Series(every, dtype="str")), pa.large_string(), from_pandas=True)
    for ends in ((r"\p{L}", r"\p{N}"), (r"\p{N}", r"\p{L}")):
        text = pc.replace_substring_regex(text, rf"({ends[0]})[ _‐‑–-]+({ends[1]})", r"\1\2")
    return pd.Series(text, dtype="str").iloc[which].set_axis(names.index)


def bare(names: pd.Series) -> pd.Series:
    """Names without the site behind them; "" where there is none."""
    return names.astype("str").fillna("").str.replace(rf"{AT}.*", "", regex=True).str.strip()


def site_of(names: pd.Series) -> pd.Series:
    """The site behind each name; "" where there is none."""
    return names.str.extract(rf"{AT}(.*)", expand=False).fillna("").str.strip()


def is_other_lettering(ours: pd.Series, its: pd.Series) -> pd.Series:
    """Whether two line phases are lettered in ways of which nobody knows which is which: A and L1, but not A and B."""
    line = {phase.casefold() for phase in LINE_PHASES}
    mine, other = ours.str.casefold(), its.str.casefold()
    of_one = np.logical_or.reduce([mine.isin(way.split()) & other.isin(way.split()) for way in LETTERINGS])
    return mine.isin(line) & other.isin(line) & ~of_one


def phases_apart(phase: pd.Series, of: NDArray[np.int64]) -> pd.Series:
    """Phases that are said of each of these, "line" where all its line phases may be one, lettered in several ways: A
    and L1, but not A, B and L1."""
    code = pd.factorize(phase)[0]
    first = np.full(int(of.max(initial=-1)) + 1, -1)
    first[of[code >= 0]] = code[code >= 0]
    several = np.bincount(of[(code >= 0) & (code != first[of])], minlength=len(first))[of] > 0
    if not several.any():
        return phase
    its, of = phase[several], of[several]
    line = its.str.casefold().where(its.isin(list(LINE_PHASES)))
    ways = [line.where(line.isin(way.split())).groupby(of).transform("nunique") for way in LETTERINGS]
    at_one = line.notna() & (pd.concat(ways, axis=1).max(axis=1) < 2)
    return phase.mask(at_one.reindex(phase.index, fill_value=False), "line")

"""The codes results use, each a row with what belongs to it; `riskscope.words.codes` says them in words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar


@dataclass(frozen=True)
class Code:
    """A code that has nothing but its name."""

    name: str


@dataclass(frozen=True)
class Flag(Code):
    """What limits a reading.

    Attributes
    ----------
    unfit : bool
        Such a reading is never firm and never a reference for another.
    optical : bool
        The optics hide what there is: such a reading never says that there is nothing to do.
    """

    unfit: bool = False
    optical: bool = False


@dataclass(frozen=True)
class State(Code):
    """State of a torque record; `column` counts it in the table of coverage."""

    column: str


@dataclass(frozen=True)
class StateReason(Code):
    """Why a record has its state; a `doubt` makes a good one doubtful."""

    doubt: bool = False


@dataclass(frozen=True)
class Action(Code):
    """What to do.

    Attributes
    ----------
    listed : str
        ``a``: hot and loose joints, ``b``: torque checks, ``other``: no torque tool needed, or none.
    acts : bool
        Something is to be done; it does not wait for the next survey.
    planned : bool
        An outage plan can hold it.
    answer : str
        What answers it: the least work (of `WORKS`), ``seen`` where it is enough that somebody looked; empty where
        only a later reading does.
    """

    listed: str = ""
    acts: bool = True
    answer: str = ""

    @property
    def planned(self) -> bool:
        return self.listed in {"a", "b"}


@dataclass(frozen=True)
class Rule(Code):
    """A rule that gives an action; `damage`: what it found is damage, a device body of it is opened."""

    action: str
    damage: bool = False


@dataclass(frozen=True)
class Work(Code):
    """What an electrician did; `remade`: the joint is not the one that was there."""

    remade: bool = False


@dataclass(frozen=True)
class WorkState(Code):
    """Where a connection stands between work and proof.

    Attributes
    ----------
    is_settled : bool
        Nothing is left to do.
    beside : bool
        It is also said where another state comes first.
    """

    is_settled: bool = False
    beside: bool = False


T = TypeVar("T", bound=Code)


def _table(rows: Iterable[T]) -> dict[str, T]:
    return {row.name: row for row in rows}


FLAGS = _table(
    [
        Flag("low load"),
        Flag("not loaded", unfit=True),
        Flag("load unknown"),
        Flag("overload"),
        Flag("cover closed", unfit=True),
        Flag("unsteady", unfit=True),
        Flag("reference at another load"),
        Flag("reference load not compared"),
        Flag("reference is hotter"),
        Flag("no reference"),
        Flag("reference disagrees with siblings"),
        Flag("may exceed its limit at full load"),
        Flag("beside a cold sibling"),
        Flag("reference of another conductor"),
        Flag("beside its other wire"),
        Flag("parallel lugs"),
        Flag("not read this time"),
        Flag("hotter before, no work since"),
        Flag("another reading was hotter"),
        Flag("reference emissivity below 0.60"),
        Flag("reference emissivity below 0.30"),
        Flag("emissivity unknown"),
        Flag("emissivity below 0.60", unfit=True, optical=True),
        Flag("emissivity below 0.30", unfit=True, optical=True),
        Flag("small target", unfit=True, optical=True),
        Flag("wind", unfit=True, optical=True),
        Flag("through a window", unfit=True, optical=True),
        Flag("rise not corrected", optical=True),
        Flag("not explained", unfit=True, optical=True),
    ]
)
OPTICAL = tuple(flag.name for flag in FLAGS.values() if flag.optical)
UNFIT = tuple(flag.name for flag in FLAGS.values() if flag.unfit)

# Each pattern goes before those after it; the last holds where none of them does.
PATTERNS = _table(
    [
        Code("one joint hot"),
        Code("load imbalance"),
        Code("one cold"),
        Code("all warm, load explains it"),
        Code("all hot beyond load"),
        Code("even"),
        Code("no reference"),
    ]
)

STATES = _table(
    [
        State("found loose", "found_loose"),
        State("unrecorded", "unrecorded"),
        State("under-torqued", "under_torqued"),
        State("over-torqued", "over_torqued"),
        State("doubtful", "doubtful"),
        State("verified", "verified"),
    ]
)

ANOTHER_REJECTED, TOOL_REJECTED = (
    "another record of it was rejected: mend it",
    "a row of its tool was rejected: mend it",
)
CONTRADICTED = "findings of one day contradict each other, or its device was perhaps replaced: correct what is wrong"
STATE_REASONS = _table(
    [
        StateReason("found loose since the last work"),
        StateReason("found loose on the day of the work, perhaps after it"),
        StateReason("no tightening on record"),
        StateReason("worked on since without a torque record"),
        StateReason("no torque value"),
        StateReason("tightened by feel"),
        StateReason("likely unit mix-up"),
        StateReason("below required"),
        StateReason("above required"),
        StateReason("lbf·ft for N·m?"),
        StateReason("tool not recorded", doubt=True),
        StateReason("tool not in the tool list", doubt=True),
        StateReason("no calibration covering that day", doubt=True),
        StateReason("tool later found out of tolerance", doubt=True),
        StateReason("outside the tool's range", doubt=True),
        StateReason(TOOL_REJECTED, doubt=True),
        StateReason("required torque unknown", doubt=True),
        StateReason("required torque unlike the published table", doubt=True),
        StateReason("required torque could not be read", doubt=True),
        StateReason("earlier records require different torques", doubt=True),
        StateReason("witness mark broken", doubt=True),
        StateReason("requires less than another record", doubt=True),
        StateReason("not every fastener tightened", doubt=True),
        StateReason("nothing was done, says the finding", doubt=True),
        StateReason(ANOTHER_REJECTED, doubt=True),
        StateReason(CONTRADICTED, doubt=True),
    ]
)

# Likelihood in words, the first before the next in a list; that the siblings cannot tell stands as medium does.
HIGH, MEDIUM, LOW, UNTOLD = "high", "medium", "low", "siblings cannot tell"
# Why they cannot, the first that holds.
UNTOLD_BECAUSE = ("nothing speaks", "all hot", "rated hot", "no siblings", "similar alone")
LIKELIHOODS = {HIGH: 0, MEDIUM: 1, UNTOLD: 1, LOW: 2}

URGENCIES = _table([Code("now"), Code("soon"), Code("next outage"), Code("next survey")])

BASES = _table([Code("similar"), Code("ambient"), Code("limit")])

ACTIONS = _table(
    [
        Action("remake", "a", answer="remade"),
        Action("retighten", "a", answer="tightened"),
        Action("check torque", "b", answer="tightened"),
        Action("check load", "other"),
        Action("check circuit", "other"),
        Action("balance load", "other"),
        Action("investigate", "other"),
        Action("inspect", "other", answer="seen"),
        Action("monitor", "other", acts=False),
        Action("re-survey", acts=False),
        Action("none", acts=False),
    ]
)

# Rules in order: the first that holds gives the action; the last holds where no other does.
RULES = _table(
    [
        Rule("damaged", "remake", damage=True),
        Rule("found loose", "retighten"),
        Rule("hot over limit", "remake", damage=True),
        Rule("hot rise", "remake", damage=True),
        Rule("hot verified", "remake"),
        Rule("hot verified, mild", "monitor"),
        Rule("hot over-torqued", "remake"),
        Rule("hot over-torqued, mild", "monitor"),
        Rule("hot", "retighten"),
        Rule("hot, mild", "check torque"),
        Rule("alone over limit", "remake", damage=True),
        Rule("alone rise", "remake", damage=True),
        Rule("neutral", "check load"),
        Rule("warm earth", "check circuit"),
        Rule("alone verified", "check load"),
        Rule("alone over-torqued", "remake"),
        Rule("alone", "retighten"),
        Rule("hot cover", "inspect"),
        Rule("overload", "check load"),
        Rule("warm unloaded", "check circuit"),
        Rule("lost phase", "check circuit"),
        Rule("cold", "check circuit"),
        Rule("all warm", "check load"),
        Rule("motor imbalance", "check circuit"),
        Rule("imbalance", "balance load"),
        Rule("investigate", "investigate"),
        Rule("under-torqued", "check torque"),
        Rule("doubtful", "check torque"),
        Rule("over-torqued", "inspect"),
        Rule("unrecorded", "check torque"),
        Rule("watch", "monitor"),
        Rule("not rated", "re-survey"),
        Rule("none", "none"),
        Rule("worked after", "re-survey"),
        Rule("proved in part", "re-survey"),
        Rule("cooled", "inspect"),
        Rule("bad before", "inspect"),
        Rule("put right", "re-survey"),
    ]
)
# Rules of what was done or read since, not of the reading.
ANSWERED = ("worked after", "proved in part", "cooled", "bad before", "put right")

# From work to proof, in order: each goes before those after it, which stand beside it where they hold too.
WORK_STATES = _table(
    [
        WorkState("contradictory"),
        WorkState("not cured"),
        WorkState("proved", is_settled=True),
        WorkState("cool, record in doubt"),
        WorkState("proved in part"),
        WorkState("repair in doubt"),
        WorkState("awaiting proof"),
        WorkState("put off", beside=True),
        WorkState("made safe", beside=True),
        WorkState("told", beside=True),
        WorkState("open"),
    ]
)
DONE_RIGHT = ("awaiting proof", "proved in part", "proved", "cool, record in doubt")  # of them, by right work

RESURVEY_REASONS = _table(
    [
        Code("worked on after the survey"),
        Code("worked on, and made safe"),
        Code("a reading was refused"),
        Code("a reading of an unknown day was refused"),
        Code("proved at less current only"),
        Code("proved at less current only, and made safe"),
        Code("a later reading is worse evidence"),
        Code("worked on the day of the survey, order unknown"),
        Code("low load"),
        Code("optics"),
        Code("not loaded"),
        Code("not steady"),
        Code("cover closed"),
        Code("no reference"),
        Code("a sibling reads cold"),
        Code("hotter before"),
        Code("to settle the cause"),
        Code("not surveyed"),
    ]
)

WORKS = _table([Work("tightened"), Work("remade", remade=True), Work("replaced", remade=True)])
REMADE = tuple(work.name for work in WORKS.values() if work.remade)

EFFECTS = _table([Code("cured"), Code("improved"), Code("not cured"), Code("not re-surveyed")])

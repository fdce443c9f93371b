"""The rules from work to proof as a plain loop over the events of one joint, to hold the walk over all of them to.

Each thing that was ever wrong with the joint (a reading that must not wait or is due soon, damage or looseness that
was found) is followed by itself, by method 9 and the decisions beside it, and the worst of them counts. Where the
order or the kind of an event leaves room it is read the lax way, so that no joint may be less urgent than this says.
The histories have one event a day, and readings of which the rating is plain by hand:

A beside B at 35 and C at 34 °C in 30 °C air: at 62 °C and more 28 K over the coolest, 4 as found at any load, now;
at 91 °C over its limit of 90, burnt; at 46 °C and 80 % load a 3, soon; at 42 °C and 80 % or more a 2; else cool.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from random import Random

from tests.analysis.proof_cases import Event, read, right, tighten, visit

NOW, SOON, NEXT_OUTAGE, LEAST = range(4)
DID = {"none": 0, "tightened": 1, "remade": 2, "replaced": 3}
BAD = ("damaged", "discoloured", "loose")
UNFIT = ({}, {}, {}, {}, {"cover": "closed"}, {"load_steady_min": 5.0})


def history(random: Random, longest: int = 7) -> list[Event]:
    """What may have become of a joint: a record, then up to so many readings, works and looks, each of its own day."""
    days = sorted(random.sample(range(15, 149), random.randint(1, longest)))
    first = tighten("2026-01-11", random.choice([25.0, 15.0]))
    return [first, *(_event(random, (dt.date(2026, 1, 1) + dt.timedelta(day)).isoformat()) for day in days)]


def _event(random: Random, day: str) -> Event:
    kind = random.random()
    if kind < 0.5:
        heat = random.choice([33.0, 34.5, 34.5, 42.0, 46.0, 62.0, 62.0, 91.0])
        loads = {42.0: [80, 100], 46.0: [80]}.get(heat, [12, 25, 39, 40, 45, 60, 64, 80, 80, 100])
        return read(day, heat, random.choice(loads), **(random.choice(UNFIT) if heat < 40 else {}))
    if kind < 0.72:
        applied = random.choice([25.0, 25.0, 25.0, 10.0, 40.0, None])
        return tighten(day, applied, **({} if applied else {"method": "by feel"}))
    found = random.choice([*BAD, "tight", "tight", "not checked", "moved at check"])
    action = random.choice(["none", *DID])
    if action == "none" or random.random() < 0.4:
        return visit(day, found, action)
    table, row = right(day, found, action)
    return table, {**row, "as_left_torque": random.choice([25.0, 25.0, 25.0, 10.0])}


class Joint:
    """The events of one joint, asked in plain words."""

    def __init__(self, events: Sequence[Event]) -> None:
        self.events = events
        self.works = [at for at in range(len(events)) if self.did(at)]

    def is_reading(self, at: int) -> bool:
        return self.events[at][0] == "survey"

    def did(self, at: int) -> int:
        return 1 if self.events[at][0] == "installs" else DID[self.events[at][1].get("action", "none")]

    def is_right(self, at: int) -> bool:
        row = self.events[at][1]
        return 25.0 in (row.get("applied_torque"), row.get("as_left_torque"))

    def urgency(self, at: int) -> int:
        """Of a reading; cool ones and what is no reading are not urgent."""
        heat = self.events[at][1]["celsius"] if self.is_reading(at) else 0.0
        return NOW if heat >= 62 else SOON if heat >= 46 else NEXT_OUTAGE if heat >= 42 else LEAST

    def load(self, at: int) -> float:
        return self.events[at][1]["load_pct"]

    def is_burnt(self, at: int) -> bool:
        return self.events[at][1]["celsius"] > 90

    def is_cool(self, at: int) -> bool:
        """A reading that is cool, its cover open and its load steady."""
        row = self.events[at][1]
        return self.is_reading(at) and self.urgency(at) == LEAST and not {"cover", "load_steady_min"} & {*row}

    def found(self, at: int) -> str:
        return self.events[at][1].get("as_found", "")

    def is_found_loose(self, at: int) -> bool:
        return self.found(at) == "loose" or (self.found(at) == "moved at check" and not self.did(at))

    def was_tight(self, at: int) -> bool:
        """By the record of then: the last work before was right or too tight, and nobody found it loose since."""
        last = max(work for work in self.works if work < at)
        tight = self.is_right(last) or self.events[last][1].get("applied_torque") == 40.0
        return tight and not any(self.is_found_loose(look) for look in range(last + 1, at))

    def is_released_by_a_look(self, cool: int) -> bool:
        """Found tight after this cool reading and the last work, and not read hot since the reading."""
        since = max([cool, *self.works])
        tight = (at for at in range(since + 1, len(self.events)) if self.found(at) == "tight" and not self.did(at))
        return any(tight) and not any(self.urgency(at) < LEAST for at in range(cool, len(self.events)))


def least_urgent(events: Sequence[Event]) -> int:
    """The least urgent the joint may be, as a place in the urgencies."""
    joint = Joint(events)
    readings = [_of_reading(joint, at) for at in range(len(events)) if joint.urgency(at) <= SOON]
    damage = [_of_finding(joint, at, NOW, 2) for at in range(len(events)) if joint.found(at) in BAD[:2]]
    loose = [_of_finding(joint, at, SOON, 1) for at in range(len(events)) if joint.is_found_loose(at)]
    return min([*readings, *damage, *loose, LEAST])


def _of_reading(joint: Joint, finding: int) -> int:
    """What became of a reading that must not wait, or is due soon."""
    level = made = joint.urgency(finding)
    asked = 2 if joint.is_burnt(finding) or joint.was_tight(finding) else 1
    largest, cool = joint.load(finding), None
    work = right_work = None  # as asked, since it was last hot; and recorded right to this day
    for at in range(finding + 1, len(joint.events)):
        if joint.did(at):
            work = at if joint.did(at) >= asked else work
            right_work = at if work is not None and joint.is_right(at) else None
        elif joint.urgency(at) < LEAST:
            like = joint.load(at) >= 0.8 * largest
            if right_work is not None and like and joint.urgency(at) > level:
                made = max(made, SOON)  # after work as asked the reading speaks
            if level == SOON and work is not None and joint.did(work) >= 2 and like and not joint.is_burnt(at):
                asked = 1  # of a new joint
            largest, cool, work, right_work = max(largest, joint.load(at)), None, None, None
        elif joint.is_cool(at):
            like = joint.load(at) >= 0.8 * largest
            if like:  # joints can weld and cool
                made, cool = max(made, SOON), cool or at
            proves = work is not None and joint.load(at) >= max(40, 0.5 * largest)
            if proves:
                made, cool = max(made, LEAST if joint.is_right(joint.works[-1]) else SOON), cool or at
            largest = 0 if like or proves else largest
    if right_work is not None:
        made = max(made, SOON)  # its proof is out
    return LEAST if cool is not None and joint.is_released_by_a_look(cool) else made


def _of_finding(joint: Joint, finding: int, level: int, asked: int) -> int:
    """What became of damage, or of a loose joint."""
    work = next((at for at in joint.works if at >= finding and joint.did(at) >= asked), None)
    if work is None:
        return level
    right_since = any(joint.is_right(at) for at in joint.works if at >= work)
    cool = [at for at in range(work + 1, len(joint.events)) if joint.is_cool(at) and joint.load(at) >= 40]
    if joint.is_right(joint.works[-1]) or (right_since and cool):
        return LEAST
    if any(joint.is_released_by_a_look(at) for at in cool):
        return LEAST
    return max(level, SOON) if right_since or cool else level


def is_harmless(events: Sequence[Event], at: int) -> bool:
    """Whether an event is surely no right work, no proof and no reading that takes another back, nor helps later ones.

    Work that is not right changes the record that a later hot reading is judged by, and makes a cool one a proof in
    doubt. A hot reading that is not the first begins anew for what is read cool after it.
    """
    joint = Joint(events)
    later = range(at + 1, len(events))
    hot_later = any(joint.urgency(other) < LEAST for other in later)
    proved_later = any(joint.is_cool(other) and joint.load(other) >= 40 for other in later)
    if joint.did(at):
        right_later = joint.did(at) >= 2 and any(joint.is_right(other) for other in later)
        return not (joint.is_right(at) or hot_later or proved_later or right_later)
    if not joint.is_reading(at):
        return joint.found(at) != "tight" and not (joint.is_found_loose(at) and hot_later)
    if joint.urgency(at) < LEAST:
        return not any(joint.is_cool(other) for other in range(len(events)))
    hot = [joint.load(other) for other in range(at) if joint.urgency(other) < LEAST]
    return not joint.is_cool(at) or (joint.load(at) < 40 and all(joint.load(at) < 0.8 * load for load in hot))

"""Every code has its words, every template its fields, in the reader's units."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from riskscope.analysis import likelihood
from riskscope.analysis.assess import assess
from riskscope.intake.read import read_frames
from riskscope.results import describe
from riskscope.schema import codes as known_codes
from riskscope.settings import Settings
from riskscope.words import codes, render
from riskscope.words.render import Units
from tests.build import ON, good_record, phases


@pytest.mark.parametrize(
    ("known", "worded"),
    [
        (known_codes.FLAGS, codes.FLAGS),
        (known_codes.PATTERNS, codes.PATTERNS),
        (known_codes.STATES, codes.STATES),
        (known_codes.URGENCIES, codes.URGENCY),
        (known_codes.ACTIONS, codes.ACTIONS),
        (known_codes.RULES, codes.RULES),
        (known_codes.RESURVEY_REASONS, codes.RESURVEY),
        (known_codes.WORK_STATES, codes.WORK),
        (known_codes.UNTOLD_BECAUSE, codes.UNTOLD),
        (
            tuple(likelihood.prior_of(pd.Series(list(known_codes.STATES)), np.zeros(6, dtype=bool), Settings())),
            range(6),
        ),
    ],
    ids=["flags", "patterns", "states", "urgency", "actions", "rules", "re-survey", "work", "untold", "priors"],
)
def test_every_code_has_its_words(known: tuple[str, ...], worded: object) -> None:
    if isinstance(worded, range):
        assert not np.isnan(known).any()
        return
    assert set(known) == set(worded)  # type: ignore[call-overload]


@pytest.fixture(scope="module")
def columns() -> set[str]:

    tables = read_frames(on=ON, survey=phases(62.0, 35.0, 34.0, ambient_c=30.0, load_pct=60), **good_record("A"))
    return set(assess(tables, on=ON).connections.columns)


@pytest.mark.parametrize("template", [*codes.RULES.values(), *codes.HEAT.values(), *codes.RESURVEY.values()])
def test_every_field_of_a_template_exists(template: str, columns: set[str]) -> None:
    for name, kind in render.fields(template):
        assert name in columns | {"heat"}
        assert len(render.quantity([1.0], kind, Units())) == 1


@pytest.fixture(scope="module")
def found() -> pd.DataFrame:
    return assess(_tables(), on=ON).connections


@pytest.mark.parametrize("rule", codes.RULES)
def test_every_rule_fills_without_a_gap(rule: str, found: pd.DataFrame) -> None:
    """Each rule on a row of the assessment: a sentence with no field left, no NaN."""
    row = found.head(1).assign(rule=rule, last_work_date=pd.Timestamp("2026-05-20"))
    text = describe.reason(row, Settings(), Units()).iloc[0]
    assert text
    assert "{" not in text
    assert "nan" not in text.lower().split()


def _tables() -> object:

    return read_frames(on=ON, survey=phases(62.0, 35.0, 34.0, ambient_c=30.0, load_pct=60), **good_record("A"))


@pytest.mark.parametrize(
    ("value", "kind", "units", "words"),
    [
        (58.0, "temperature", Units(), "58.0 °C"),
        (58.0, "temperature", Units("°F"), "136.4 °F"),
        (15.0, "rise", Units("°F"), "27.0 °F"),
        (-0.04, "rise", Units(), "0.0 K"),
        (-3.0, "rise", Units(), "−3.0 K"),
        (31.07, "torque", Units(torque="lbf·in"), "275 lbf·in"),
        (31.07, "torque", Units(torque="lbf·ft"), "22.9 lbf·ft"),
        (0.305, "share", Units(), "30 %"),
        (float("nan"), "temperature", Units(), "–"),
        ("2026-05-04", "day", Units(), "4 May 2026"),
        (None, "day", Units(), "–"),
        (None, "text", Units(), "–"),
    ],
)
def test_quantity_in_words(value: object, kind: str, units: Units, words: str) -> None:
    assert render.quantity([value], kind, units)[0] == words


def test_retighten_names_torque_and_where_it_comes_from() -> None:
    """A joint hot with a doubtful record; a range is given as a range."""
    from tests.build import assess as by_rows

    record = good_record("A", required_torque="30-40", applied_torque="35", tool_id="T9")
    found = by_rows(phases(62.0, 35.0, 34.0, ambient_c=30.0, load_pct=60), **record)
    text = describe.reason(found, Settings(), Units()).loc["A"]
    assert "tighten to 30.0 N·m to 40.0 N·m (record)" in text
    assert "tool not in the tool list" in text


def test_published_torque_is_never_given_without_its_warning() -> None:
    from tests.build import assess as by_rows

    record = good_record(
        "A", required_torque="", applied_torque="31", tool_id="T9", fastener="hex key", drive_size="5/16"
    )
    found = by_rows(phases(62.0, 35.0, 34.0, ambient_c=30.0, load_pct=60), **record)
    text = describe.reason(found, Settings(), Units()).loc["A"]
    assert "no maker's value on record: published table, power and lighting circuits only" in text


def test_cautions_name_what_keeps_people_alive() -> None:
    for words in ("absence of voltage", "Lock out", "Qualified persons", "arc flash", "local code"):
        assert words in codes.CAUTION
    assert "Never raise the load" in " ".join(codes.CAUTIONS)


@pytest.mark.parametrize(
    ("action", "point", "allowed", "said"),
    [
        ("inspect", "device body", None, "open it and replace what is damaged"),
        ("inspect", "fuse clip", None, "no screw or bolt to tighten"),
        ("remake", "termination", None, "cannot be tightened"),
        ("remake", "termination", "no", "the maker does not allow tightening again"),
    ],
)
def test_why_the_action_is_not_the_one_of_the_rule(action: str, point: str, allowed: str | None, said: str) -> None:
    row = pd.DataFrame(
        {
            "action_changed": [True],
            "action": [action],
            "point": [point],
            "retighten_allowed": pd.Series([allowed], dtype="str"),
        }
    )
    templates, place = describe._changed(row)
    assert said in templates[place[0]]

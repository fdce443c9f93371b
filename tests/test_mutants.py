"""What `tests/long/mutants` lists still stands in the sources: the run itself is by hand."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from tests.long.mutants import changes

TOP = Path(__file__).parent.parent
SURVIVORS = tomllib.loads((changes.HERE / "survivors.toml").read_text("utf-8"))["survivor"]


def test_every_named_change_stands_once() -> None:
    named = changes.named(TOP)
    assert len({one.name for one in named}) == len(named) >= 12


@pytest.mark.parametrize("row", SURVIVORS, ids=lambda row: row["old"][:40])
def test_every_survivor_is_a_change_there_is(row: dict[str, str]) -> None:
    source = (TOP / row["file"]).read_text("utf-8")
    folder = Path(row["file"]).parts[1]
    known = [one.words(source) for one in changes.every(TOP, folder) if one.file == row["file"]]
    assert (row["old"], row["new"]) in known
    assert row["why"]


@pytest.mark.parametrize(
    ("source", "changed"),
    [
        ("x = a < b", ["x = a <= b"]),
        ("x = a == b != c", ["x = a != b != c", "x = a == b == c"]),
        ("x = np.fmax(a, -b)", ["x = np.fmin(a, -b)", "x = np.fmax(a, b)"]),
        ("x = 2.0", ["x = 2.2"]),
        ("x = np.lexsort((a, b))", ["x = np.lexsort((b, a))"]),
        (
            ("x = rows.sort_values(['a', 'b'], ignore_index=True)"),
            ["x = rows.sort_values(['b', 'a'], ignore_index=True)"],
        ),
        ("RULES = {'a': x, 'b': y}", ["RULES = {'b': y, 'a': x}"]),
        (
            ("def f(n: int = 3) -> dict[str, object]:\n    return {'a': n, 'b': n}"),
            ["def f(n: int = 4) -> dict[str, object]:\n    return {'a': n, 'b': n}"],
        ),
    ],
    ids=[
        "an edge",
        "two comparisons",
        "extremes and signs",
        "a constant",
        "an order",
        "a sort",
        "rules",
        "columns have no order",
    ],
)
def test_what_is_changed(source: str, changed: list[str], tmp_path: Path) -> None:
    (tmp_path / "riskscope" / "some").mkdir(parents=True)
    (tmp_path / "riskscope" / "some" / "rule.py").write_text(source, "utf-8")
    assert [one.applied(source) for one in changes.every(tmp_path, "some")] == changed

"""The rankings that are kept: ``python -m tests.baselines.rankings`` shows what changed, with ``--write`` it keeps it.

They are our own earlier numbers: a test that compares with them says that something changed, not
which is right. They are written again only in a commit that says, cell by cell or in kind, why.
"""

from __future__ import annotations

import argparse
import contextlib
import csv
import io
import math
import shutil
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from riskscope.cli.main import run

HERE = Path(__file__).parent
KEPT = HERE / "ranking"
ON = "2026-06-01"
STORE = HERE / "store_0_2_0.db"
SITES = {
    "demo": HERE.parent.parent / "demo_data",
    **{name: HERE / "sites" / name for name in ("works", "yard", "harbour")},
}
RELATIVE = 1e-9


@dataclass(frozen=True)
class Cell:
    """One cell that is not what was kept."""

    connection: str
    column: str
    kept: str
    now: str

    def __str__(self) -> str:
        return f"{self.connection}, {self.column}: kept {self.kept!r}, now {self.now!r}"


def ranked(source: Path, out: Path) -> Path:
    """The file ranking.csv of a folder, or of a copy of a store: ranking keeps an assessment in it."""
    out.mkdir(parents=True, exist_ok=True)
    if source.suffix == ".db":
        source = Path(shutil.copy(source, out / source.name))
    where = ["--store", str(source)] if source.suffix == ".db" else [str(source)]
    with contextlib.redirect_stdout(io.StringIO()):
        assert run(["rank", *where, "--out", str(out), "--on", ON]) == 0
    return out / "ranking.csv"


def cells(path: Path) -> dict[str, dict[str, str]]:
    """Rows by connection, in order, each a cell by column."""
    with path.open(encoding="utf-8", newline="") as file:
        return {row["connection_id"]: row for row in csv.DictReader(file)}


def is_same(kept: str, now: str) -> bool:
    """Equal as text, or as numbers to 1e-9."""
    if kept == now:
        return True
    try:
        return math.isclose(float(kept), float(now), rel_tol=RELATIVE, abs_tol=RELATIVE)
    except ValueError:
        return False


def differences(kept: dict[str, dict[str, str]], now: dict[str, dict[str, str]]) -> Iterator[Cell]:
    """Every cell that changed; a row or a column that only one side has is a change of its cells."""
    for name in dict.fromkeys([*kept, *now]):
        before, after = kept.get(name, {}), now.get(name, {})
        for column in dict.fromkeys([*before, *after]):
            was, became = before.get(column, "(none)"), after.get(column, "(none)")
            if not is_same(was, became):
                yield Cell(name, column, was, became)


def told(changed: Sequence[Cell]) -> str:
    """What changed, and what to do about it."""
    if not changed:
        return ""
    columns = ", ".join(f"{name} {count}" for name, count in Counter(one.column for one in changed).most_common())
    first = "\n  ".join(map(str, changed[:20]))
    return (
        f"{len(changed)} cells of {len({one.connection for one in changed})} "
        f"connections changed ({columns}), first:\n  {first}\n"
        "If it is meant: python -m tests.baselines.rankings --write, and the commit says why."
    )


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.baselines.rankings", description=__doc__)
    parser.add_argument(
        "--write", action="store_true", help="keep what is ranked now; without it, only show what changed"
    )
    write = parser.parse_args().write
    with tempfile.TemporaryDirectory() as folder:
        KEPT.mkdir(exist_ok=True)
        for name, source in {**SITES, STORE.stem: STORE}.items():
            made, before = ranked(source, Path(folder) / name), KEPT / f"{name}.csv"
            changed = list(differences(cells(before), cells(made))) if before.exists() else []
            print(f"{name}: {told(changed) or 'as it was'}")
            if write:
                before.write_bytes(made.read_bytes())


if __name__ == "__main__":
    main()

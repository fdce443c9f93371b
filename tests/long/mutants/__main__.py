"""Change the rules on purpose, by hand: ``python -m tests.long.mutants``.

Named lines first, then random ones of a folder, each run against the tests that cover it; what
nobody noticed is printed with the reason that survivors.toml knows, if any. The exit status is 1 where a
named change went unnoticed. Needs a git checkout and ``.[test]``.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import tomllib
from collections.abc import Sequence
from pathlib import Path

from tests.long.mutants import changes, running
from tests.long.mutants.running import Outcome

TOP = Path(__file__).parent.parent.parent.parent


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.long.mutants", description=__doc__)
    parser.add_argument("--folder", default="analysis", help="folder of the package (analysis)")
    parser.add_argument("--random", type=int, default=50, help="how many random changes (50; 0: none)")
    parser.add_argument("--seed", type=int, default=12, help="seed that draws them (12)")
    parser.add_argument("--no-named", action="store_true", help="leave the changes of named.toml out")
    parser.add_argument("--only", metavar="WORDS", help="nothing but the named changes whose name holds these words")
    parser.add_argument("--workers", type=int, default=2, help="how many at a time (2)")
    given = parser.parse_args(arguments)
    wanted = [] if given.no_named else changes.named(TOP)
    if given.only is not None:
        wanted = [change for change in wanted if given.only in change.name]
        if not wanted:
            parser.error(f"no change of named.toml has {given.only!r} in its name")
    elif given.random:
        drawn = changes.seeded(TOP, given.folder, given.random, given.seed)
        if not drawn:
            parser.error(f"riskscope/{given.folder} holds nothing to change")
        wanted += drawn
    print(f"{len(wanted)} changes; first, all tests once to see which of them run which line", flush=True)
    known = {
        (row["file"], row["old"], row["new"]): row["why"]
        for row in tomllib.loads((changes.HERE / "survivors.toml").read_text("utf-8")).get("survivor", [])
    }
    outcomes = []
    with tempfile.TemporaryDirectory() as scratch:
        for one in running.run(wanted, TOP, Path(scratch), given.workers):
            print(told(one, known), flush=True)
            outcomes.append(one)
    for kind in ("named", "random"):
        mine = [one for one in outcomes if (one.change.kind == "named") == (kind == "named")]
        if mine:
            caught = sum(one.caught_by is not None for one in mine)
            print(
                f"{kind}: {caught} of {len(mine)} caught, {100 * caught / len(mine):.0f} %; of the others "
                f"{sum(one.caught_by is None and key(one) in known for one in mine)} are known to be nobody's to notice"
            )
    return int(any(one.caught_by is None and one.change.kind == "named" for one in outcomes))


def key(one: Outcome) -> tuple[str, str, str]:
    """How survivors.toml names a change."""
    return one.change.file, one.before, one.after


def told(one: Outcome, known: dict[tuple[str, str, str], str]) -> str:
    """An outcome in two or three lines."""
    name = f" [{one.change.name}]" if one.change.name else ""
    head = f"{'caught  ' if one.caught_by else 'SURVIVED'} {one.change.file}:{one.line} {one.change.kind}{name}"
    what = f"    - {one.before}\n    + {one.after}"
    if one.caught_by:
        end = f"    {one.caught_by} ({one.seconds:.0f} s)"
    else:
        why = known.get((one.change.file, one.before, one.after), "no reason is known: write a test")
        end = f"    {one.tests} tests ran it and stayed green ({one.seconds:.0f} s); {why}"
    return f"{head}\n{what}\n{end}"


if __name__ == "__main__":
    sys.exit(main())

"""The house keeps its order: imports point down, no cycles, no file too long, nothing extra on top."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import lacking

TOP = Path(__file__).parent.parent
PACKAGE = TOP / "riskscope"
MAX_LINES = 500

# Floors from the ground up: a floor imports only from those in its set, and from itself.
GROUND = {"units", "errors", "demo"}
ALLOWED: dict[str, set[str]] = {
    "errors": set(),
    "units": {"errors"},
    "demo": {"errors"},
    "settings": GROUND,
    "schema": GROUND | {"settings"},
    "standards": GROUND | {"settings", "schema"},
    "physics": GROUND | {"settings", "schema", "standards"},
    "words": GROUND | {"settings", "schema", "standards", "physics"},
    "intake": GROUND | {"settings", "schema", "standards", "physics", "words"},
    "analysis": GROUND | {"settings", "schema", "standards", "physics", "words", "intake"},
    "report": GROUND | {"settings", "schema", "standards", "physics", "words", "intake", "analysis"},
}
ALLOWED["store"] = ALLOWED["report"]
ALLOWED["planning"] = ALLOWED["report"]
ALLOWED["jobs"] = ALLOWED["report"] | {"report", "store", "planning"}
ALLOWED["cli"] = GROUND | {"settings", "schema", "words", "intake", "report", "store", "jobs"}
ALLOWED["screens"] = ALLOWED["cli"] | {"analysis", "standards"}
STEPS = {"readings", "temperatures", "load", "rises", "siblings", "differences", "limits", "patterns", "severity",
         "connections", "records", "actions", "likelihood", "ranking"}  # fmt: skip
ENTRANCE = {"__init__", "__main__"}  # the lazy public API may name any floor


def modules() -> list[Path]:
    return sorted(PACKAGE.rglob("*.py"))


def name(path: Path) -> str:
    parts = path.relative_to(TOP).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports(path: Path) -> set[str]:
    """Modules of ours that a file imports, anywhere in it."""
    known = {name(module) for module in modules()}
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            assert node.level == 0, f"{path}: relative import"
            for alias in node.names:
                full = f"{node.module}.{alias.name}"
                found.add(full if full in known else node.module)
    return {module for module in found if module.split(".")[0] == "riskscope"}


def floor(module: str) -> str:
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else "__init__"


@pytest.mark.parametrize("path", modules(), ids=name)
def test_imports_point_down(path: Path) -> None:
    own = floor(name(path))
    if own in ENTRANCE:
        return
    for module in imports(path):
        other = floor(module)
        assert other in ALLOWED[own] | {own, "__init__"}, f"{name(path)} imports {module}"


def test_steps_never_import_steps() -> None:
    for step in STEPS:
        used = {
            module.rsplit(".", 1)[-1]
            for module in imports(PACKAGE / "analysis" / f"{step}.py")
            if module.startswith("riskscope.analysis.")
        }
        assert not used & STEPS, f"{step} imports {used & STEPS}"


def test_no_cycles() -> None:
    graph = {name(path): imports(path) - {"riskscope"} for path in modules()}
    seen: dict[str, int] = {}

    def visit(module: str, trail: tuple[str, ...]) -> None:
        assert module not in trail, " → ".join((*trail, module))
        if seen.get(module):
            return
        for other in graph.get(module, set()):
            visit(other, (*trail, module))
        seen[module] = 1

    for module in graph:
        if module != "riskscope":
            visit(module, ())


@pytest.mark.parametrize("path", modules(), ids=name)
def test_no_file_is_too_long(path: Path) -> None:
    assert len(path.read_text("utf-8").splitlines()) <= MAX_LINES


def test_nothing_below_the_faces_reads_a_clock() -> None:
    faces = {"cli", "screens"}
    allowed = {"riskscope.intake.read"}  # the default day of the public API for notebooks
    for path in modules():
        if floor(name(path)) in faces or name(path) in allowed:
            continue
        text = path.read_text("utf-8")
        assert ".today()" not in text, path
        assert ".now(" not in text, path


def test_nothing_else_at_the_top() -> None:
    planned = {"README.md", "DEVELOPERS.md", "pyproject.toml", "riskscope", "app.py", "tests", "demo_data"}
    tracked = subprocess.run(["git", "ls-files"], cwd=TOP, capture_output=True, text=True, check=False)
    if tracked.returncode:
        lacking("git", "not a git checkout")
    top = {line.split("/")[0] for line in tracked.stdout.splitlines()}
    assert {entry for entry in top if not entry.startswith(".")} <= planned


def test_help_loads_nothing_heavy() -> None:
    code = (
        "import sys\n"
        "from riskscope.cli.main import run\n"
        "assert run(['--help']) == 0\n"
        "heavy = {'pandas', 'numpy', 'scipy', 'streamlit', 'pyarrow', 'sklearn', 'sqlalchemy'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=TOP, check=False)
    assert done.returncode == 0, done.stderr

"""The house keeps its order: imports point down, no cycles, no file too long, nothing extra on top."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import lacking

TOP = Path(__file__).parent.parent
PACKAGE = TOP / "riskscope"
MAX_LINES = 400
MAX_FUNCTION_LINES = 60
LONGER: dict[str, str] = {}  # module -> why it may be longer

GROUND = {"errors", "units", "files", "apart", "demo", "fonts"}
# The floor table, as the design of the house has it.
TABLE = r"""
| floor | may import (beside ground and itself) |
|---|---|
| settings | – |
| schema, standards | settings; schema: nothing more; standards: schema |
| physics | errors, units only |
| words | settings schema standards physics |
| intake | settings schema words |
| thermogram | intake schema settings standards physics words |
| analysis | settings schema standards physics |
| results | analysis words physics standards schema settings |
| planning | results analysis standards schema settings |
| store | analysis intake words schema settings |
| report | planning results analysis thermogram words standards schema settings |
| jobs | all above |
| cli, screens | errors units demo settings schema words results report jobs (ReadOptions, Actor, Plan come through jobs) |
| api, examples, \_\_init\_\_, \_\_main\_\_ | any |
"""  # noqa: E501


def _allowed(table: str) -> dict[str, set[str]]:
    """Each floor of the table, and what it may import besides itself."""
    floors: dict[str, set[str]] = {"errors": set(), **{name: {"errors", "files"} for name in GROUND - {"errors"}}}
    for row in table.replace("\\", "").strip().splitlines()[2:]:
        names, text = (cell.strip() for cell in row.strip("|").split("|"))
        text = re.sub(r"\(.*?\)", "", text)
        common, *own = (part.strip() for part in text.split(";"))
        extra = {name.strip(): set(words.split()) for name, words in (part.split(":") for part in own)}
        for name in (part.strip() for part in names.split(",")):
            if common == "any":
                continue
            if common == "all above":
                floors[name] = set(floors)
            elif common.endswith("only"):
                floors[name] = set(re.findall(r"\w+", common.removesuffix("only")))
            else:
                floors[name] = GROUND | (set(re.findall(r"\w+", common)) | extra.get(name, set())) - {"nothing", "more"}
    return floors


ALLOWED = _allowed(TABLE)
ENTRANCE = {"api", "examples", "__init__", "__main__"}


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
        if module != "riskscope":  # its version
            assert floor(module) in ALLOWED[own] | {own}, f"{name(path)} imports {module}"


def test_the_table_is_read_as_it_is_meant() -> None:
    assert ALLOWED["settings"] == GROUND
    assert ALLOWED["schema"] == GROUND | {"settings"}
    assert ALLOWED["standards"] == GROUND | {"settings", "schema"}
    assert ALLOWED["physics"] == {"errors", "units"}
    assert "store" in ALLOWED["jobs"]
    assert "analysis" not in ALLOWED["screens"]
    assert {floor(name(path)) for path in modules()} <= {*ALLOWED, *ENTRANCE}


def test_steps_never_import_steps() -> None:
    for step in (PACKAGE / "analysis" / "steps").glob("*.py"):
        assert not [module for module in imports(step) if module.startswith("riskscope.analysis.steps")], step


def test_every_step_stands_in_the_list() -> None:
    steps = {path.stem for path in (PACKAGE / "analysis" / "steps").glob("*.py")} - {"__init__"}
    used = imports(PACKAGE / "analysis" / "assess.py")
    assert {module.rsplit(".", 1)[-1] for module in used if module.startswith("riskscope.analysis.steps.")} == steps


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
    assert len(path.read_text("utf-8").splitlines()) <= MAX_LINES or name(path) in LONGER


def code_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """How long a function is without its docstring."""
    assert function.end_lineno is not None
    first = function.body[0]
    said = isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant) and isinstance(first.value.value, str)
    words = first.end_lineno - first.lineno + 1 if said and first.end_lineno else 0
    return function.end_lineno - function.lineno + 1 - words


@pytest.mark.parametrize("path", modules(), ids=name)
def test_no_function_is_too_long(path: Path) -> None:
    functions = [
        node
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    ]
    assert not [f"{one.name}: {code_lines(one)}" for one in functions if code_lines(one) > MAX_FUNCTION_LINES]


LITERAL = (ast.Constant, ast.Tuple, ast.List, ast.Dict, ast.Set, ast.UnaryOp, ast.USub, ast.Load, ast.Store, ast.Name)


def is_literal_table(node: ast.AST) -> bool:
    """Whether a statement is a table of literals, laid out by hand."""
    if isinstance(node, ast.Assign | ast.AnnAssign):
        values = [node.value]
    elif isinstance(node, ast.Call) and ast.unparse(node.func) == "pytest.mark.parametrize":
        values = [*node.args, *(keyword.value for keyword in node.keywords)]
    else:
        return False
    return all(isinstance(part, LITERAL) for value in values if value is not None for part in ast.walk(value))


@pytest.mark.parametrize("path", [*modules(), *sorted((TOP / "tests").rglob("*.py"))], ids=str)
def test_the_formatter_is_only_switched_off_for_tables_of_literals(path: Path) -> None:
    text = path.read_text("utf-8")
    lines = text.splitlines()
    tables = {node.end_lineno for node in ast.walk(ast.parse(text)) if is_literal_table(node)}  # type: ignore[attr-defined]
    skipped = {number for number, line in enumerate(lines, start=1) if line.endswith("# fmt: skip")}
    assert not skipped - tables
    assert not [line for line in lines if line.strip() in {"# fmt: off", "# fmt: on"}]


@pytest.mark.parametrize("path", modules(), ids=name)
def test_nothing_is_called_one_or_found(path: Path) -> None:
    tree = ast.parse(path.read_text("utf-8"))
    bound = [node.id for node in ast.walk(tree) if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store)]
    given = [node.arg for node in ast.walk(tree) if isinstance(node, ast.arg)]
    assert not {"one", "found"} & {*bound, *given}


def test_nothing_below_the_faces_reads_a_clock() -> None:
    faces = {"cli", "screens"}
    allowed = {"riskscope.api"}  # the default day of the public API for notebooks
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

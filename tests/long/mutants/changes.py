"""What can be changed in a source file: its comparisons, its orders, its constants, one at a time."""

from __future__ import annotations

import ast
import itertools
import random
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).parent
COMPARISONS = {ast.Lt: "<=", ast.LtE: "<", ast.Gt: ">=", ast.GtE: ">", ast.Eq: "!=", ast.NotEq: "=="}
EXTREMES = {
    "min": "max", "max": "min", "minimum": "maximum", "maximum": "minimum", "fmin": "fmax", "fmax": "fmin",
    "argmin": "argmax", "argmax": "argmin", "head": "tail", "tail": "head",
}  # fmt: skip
ENDS = {"first": "last", "last": "first"}
ORDERED = ("lexsort", "select", "sort_values")  # calls whose list is an order
HOUSEKEEPING = ("copy", "drop", "ignore_index", "sort", "strict")  # keywords that only say how rows are held


@dataclass(frozen=True)
class Change:
    """One change: characters `begin` to `end` of a file become `new`."""

    file: str
    kind: str
    begin: int
    end: int
    new: str
    name: str = ""

    def applied(self, source: str) -> str:
        return source[: self.begin] + self.new + source[self.end :]

    def line(self, source: str) -> int:
        return source.count("\n", 0, self.begin) + 1

    def lines(self, source: str) -> set[int]:
        """Numbers of the lines it touches."""
        return set(range(self.line(source), source.count("\n", 0, self.end) + 2))

    def words(self, source: str) -> tuple[str, str]:
        """Its first line before and after, without margins."""
        before = source.splitlines()[self.line(source) - 1]
        after = self.applied(source).splitlines()[self.line(source) - 1]
        return before.strip(), after.strip()


class _Finder(ast.NodeVisitor):
    """Every change of one file."""

    def __init__(self, file: str, source: str) -> None:
        self.file, self.source = file, source
        starts = [0]
        for line in source.splitlines(keepends=True):
            starts.append(starts[-1] + len(line))
        self.starts, self.lines = starts, source.splitlines(keepends=True)
        self.order_decides = True  # of the entries of a dict: in tables of a module, and in masks
        self.found: list[Change] = []

    def _at(self, line: int, column: int) -> int:
        """Place of a character; the tree counts columns in bytes."""
        prefix = self.lines[line - 1].encode()[:column].decode() if column else ""
        return self.starts[line - 1] + len(prefix)

    def _span(self, node: ast.expr) -> tuple[int, int]:
        assert node.end_lineno is not None
        assert node.end_col_offset is not None
        return self._at(node.lineno, node.col_offset), self._at(node.end_lineno, node.end_col_offset)

    def _add(self, kind: str, begin: int, end: int, new: str) -> None:
        if self.source[begin:end] != new:
            self.found.append(Change(self.file, kind, begin, end, new))

    def _swap(self, left: tuple[int, int], right: tuple[int, int]) -> None:
        text = self.source
        new = text[slice(*right)] + text[left[1] : right[0]] + text[slice(*left)]
        self._add("order", left[0], right[1], new)

    def visit_Compare(self, node: ast.Compare) -> None:
        left = node.left
        for operator, right in zip(node.ops, node.comparators, strict=True):
            if (new := COMPARISONS.get(type(operator))) is not None:
                gap = slice(self._span(left)[1], self._span(right)[0])
                sign = re.search(r"[<>=!]=?", self.source[gap])
                assert sign is not None
                self._add("comparison", gap.start + sign.start(), gap.start + sign.end(), new)
            left = right
        self.generic_visit(node)

    def visit_Constant(self, node: ast.Constant) -> None:
        begin, end = self._span(node)
        match node.value:
            case bool():
                self._add("constant", begin, end, str(not node.value))
            case int():
                self._add("constant", begin, end, str(node.value + 1))
            case float():
                self._add("constant", begin, end, repr(node.value * 1.1 or 0.1))
            case str() if node.value in ENDS:
                self._add("order", begin, end, repr(ENDS[node.value]))

    def visit_Attribute(self, node: ast.Attribute) -> None:
        if node.attr in EXTREMES:
            end = self._span(node)[1]
            self._add("order", end - len(node.attr), end, EXTREMES[node.attr])
        self.generic_visit(node)

    def visit_Name(self, node: ast.Name) -> None:
        if node.id in ("min", "max"):
            self._add("order", *self._span(node), EXTREMES[node.id])

    def visit_UnaryOp(self, node: ast.UnaryOp) -> None:
        if isinstance(node.op, ast.USub) and not isinstance(node.operand, ast.Constant):
            begin = self._span(node)[0]
            self._add("order", begin, begin + 1, "")
        self.generic_visit(node)

    def visit_Call(self, node: ast.Call) -> None:
        called = getattr(node.func, "attr", getattr(node.func, "id", ""))
        if called in ORDERED:
            for argument in node.args:
                if isinstance(argument, ast.Tuple | ast.List):
                    spans = [self._span(one) for one in argument.elts]
                    for left, right in itertools.pairwise(spans):
                        self._swap(left, right)
        self.generic_visit(node)

    def visit_keyword(self, node: ast.keyword) -> None:
        if node.arg not in HOUSEKEEPING:
            self.visit(node.value)

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        for part in node.body:  # not its decorators
            self.visit(part)

    def visit_Dict(self, node: ast.Dict) -> None:
        """Entries of rules or masks, whose order decides; the order of result columns does not."""
        if self.order_decides and all(isinstance(key, ast.Constant) for key in node.keys):
            spans = [
                (self._span(key)[0], self._span(value)[1])
                for key, value in zip(node.keys, node.values, strict=True)
                if key is not None
            ]
            for left, right in itertools.pairwise(spans):
                self._swap(left, right)
        self.generic_visit(node)

    def visit_arg(self, node: ast.arg) -> None:
        """Annotations are no rules."""

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value is not None:
            self.visit(node.value)

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        """Only in a function that returns masks (Bools) does the order of a dict's entries decide."""
        kept, self.order_decides = (
            self.order_decides,
            node.returns is not None and "Bools" in ast.unparse(node.returns),
        )
        for part in (*node.args.defaults, *node.args.kw_defaults, *node.body):
            if part is not None:
                self.visit(part)
        self.order_decides = kept


def every(top: Path, folder: str) -> list[Change]:
    """Every change of every module of a folder of the package, in order of place."""
    made: list[Change] = []
    for path in sorted((top / "riskscope" / folder).rglob("*.py")):
        source = path.read_text("utf-8")
        finder = _Finder(str(path.relative_to(top)), source)
        finder.visit(ast.parse(source))
        made += sorted(set(finder.found), key=lambda one: (one.begin, one.end, one.new))
    return made


def seeded(top: Path, folder: str, count: int, seed: int) -> list[Change]:
    """So many changes of a folder, drawn by a seed: the same for the same sources."""
    known = every(top, folder)
    return random.Random(seed).sample(known, min(count, len(known)))


def named(top: Path) -> list[Change]:
    """The changes of ``named.toml``.

    Raises
    ------
    ValueError
        If a text to change does not stand exactly once in its file: the table is to be mended.
    """
    return list(_named(top))


def _named(top: Path) -> Iterator[Change]:
    for row in tomllib.loads((HERE / "named.toml").read_text("utf-8"))["change"]:
        source = (top / row["file"]).read_text("utf-8")
        if source.count(row["old"]) != 1:
            raise ValueError(f"{row['name']}: {row['old']!r} stands {source.count(row['old'])} times in {row['file']}.")
        begin = source.index(row["old"])
        yield Change(row["file"], "named", begin, begin + len(row["old"]), row["new"], row["name"])

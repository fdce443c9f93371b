"""Where the invented demo site is, a copy of it, and the worked examples."""

from __future__ import annotations

import ast
import shutil
from importlib import resources
from pathlib import Path

from riskscope.errors import UnusableInput, WrongUsage, nearest

ENDINGS = (".csv", ".tsv", ".xlsx", ".toml", ".md")
EXAMPLES = ("hot-joint", "three-years", "outage", "thermogram")


def folder() -> Path:
    """The folder of the demo site: in the installed package, else in the repository.

    Raises
    ------
    UnusableInput
        If neither holds it.
    """
    package = Path(str(resources.files("riskscope")))
    for place in (package / "_demo", package.parent / "demo_data"):
        if place.is_dir():
            return place
    raise UnusableInput("the demo site is not part of this installation.")


def copy(out: Path) -> list[Path]:
    """Copy the demo site into a new or empty folder; nothing is overwritten.

    Raises
    ------
    UnusableInput
        If the folder holds anything or cannot be written to.
    """
    try:
        if out.exists() and (not out.is_dir() or any(out.iterdir())):
            raise UnusableInput("already holds something; give a new folder.", file=str(out))
        out.mkdir(parents=True, exist_ok=True)
        files = [path for path in sorted(folder().iterdir()) if path.suffix in ENDINGS]
        return [Path(shutil.copyfile(path, out / path.name)) for path in files]
    except OSError as error:
        raise UnusableInput(f"cannot be written ({error.strerror}).", file=str(out)) from error


def examples() -> dict[str, str]:
    """The worked examples: name and what it shows.

    Examples
    --------
    >>> list(examples())
    ['hot-joint', 'three-years', 'outage', 'thermogram']
    """
    return {name: (ast.get_docstring(ast.parse(example(name).read_text("utf-8"))) or "") for name in EXAMPLES}


def example(name: str) -> Path:
    """The script of a worked example.

    Raises
    ------
    WrongUsage
        If there is none of this name.
    """
    if name not in EXAMPLES:
        raise WrongUsage(
            f"there is no example {name!r}; there are {', '.join(EXAMPLES)}.", hint=nearest(name, list(EXAMPLES))
        )
    return Path(str(resources.files("riskscope"))) / "examples" / f"{name.replace('-', '_')}.py"

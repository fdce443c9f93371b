"""Where the invented demo site is, and a copy of it."""

from __future__ import annotations

import shutil
from importlib import resources
from pathlib import Path

from riskscope.errors import UnusableInput

ENDINGS = (".csv", ".tsv", ".xlsx", ".toml", ".md")


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

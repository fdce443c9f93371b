"""Files written whole or not at all: the one writer of everything but the store."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path

from riskscope.errors import UnusableInput


def write(files: Mapping[Path, bytes], *, overwrite: bool = True, make_folders: bool = True) -> list[Path]:
    """Write files: all are there in full before the first takes its name; where one fails none does.

    Parameters
    ----------
    files : mapping of Path to bytes
    overwrite : bool
        Whether a file that is there is replaced, or an error.
    make_folders : bool
        Whether folders that are not there are made, or an error.

    Returns
    -------
    list of Path
        The files written, in order.

    Raises
    ------
    UnusableInput
        If one cannot be written, or is there already and nothing is to be overwritten.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     [path.name for path in write({Path(folder) / "a.csv": b"x", Path(folder) / "b.csv": b"y"})]
    ['a.csv', 'b.csv']
    """
    there = [path for path in files if not overwrite and path.exists()]
    if there:
        raise UnusableInput("already exists; nothing is overwritten.", file=str(there[0]), hint="Give another name.")
    scratch: dict[Path, Path] = {}
    path = Path()
    try:
        for path, data in files.items():
            if make_folders:
                path.parent.mkdir(parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(dir=path.parent, prefix=".riskscope-")
            scratch[path] = Path(name)
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            os.chmod(name, 0o644)
        for path in files:
            if path.is_dir():
                raise UnusableInput("is a folder; give the name of a file.", file=str(path))
        for path in files:
            os.replace(scratch[path], path)
    except OSError as error:
        raise UnusableInput(f"cannot be written ({error.strerror}).", file=str(path)) from error
    finally:
        for left in scratch.values():
            with contextlib.suppress(OSError):
                left.unlink(missing_ok=True)
    return list(files)

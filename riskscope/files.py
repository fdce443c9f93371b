"""Files written whole or not at all: the one writer of everything but the store."""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import IO

from riskscope.errors import UnusableInput

Content = bytes | Callable[[IO[bytes]], object]  # what a file holds, or what writes it into an open file


def write(files: Mapping[Path, Content], *, overwrite: bool = True, make_folders: bool = True) -> list[Path]:
    """Write files: all are there in full before the first takes its name; where one fails none does.

    Parameters
    ----------
    files : mapping of Path to bytes, or to a function that writes them into an open file
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
    aside: dict[Path, Path | None] = {}  # path written -> what stood there before, None where nothing did
    seconds: list[Path] = []
    path = Path()
    try:
        for path, content in files.items():
            if make_folders:
                path.parent.mkdir(parents=True, exist_ok=True)
            if path.is_dir():
                raise UnusableInput("is a folder; give the name of a file.", file=str(path))
            scratch[path] = path.with_name(f".riskscope-{secrets.token_hex(8)}")
            with scratch[path].open("xb") as file:
                if isinstance(content, bytes):
                    file.write(content)
                else:
                    content(file)
        for path in files:
            before = path.with_name(f".riskscope-{secrets.token_hex(8)}") if path.exists() else None
            if before is not None:
                seconds.append(before)
                _second_name(path, before)
            os.replace(scratch[path], path)
            aside[path] = before
    except BaseException as error:
        _put_back(aside)
        if isinstance(error, OSError):
            raise UnusableInput(f"cannot be written ({error.strerror or error}).", file=str(path)) from error
        raise
    finally:
        for left in [*scratch.values(), *seconds]:
            with contextlib.suppress(OSError):
                left.unlink(missing_ok=True)
    return list(files)


def _second_name(path: Path, name: Path) -> None:
    """The file under a second name too, so that it is never without one."""
    try:
        os.link(path, name)
    except OSError:  # a file system without links
        shutil.copy2(path, name)


def _put_back(aside: Mapping[Path, Path | None]) -> None:
    """What stood at each path before stands there again."""
    for path, before in aside.items():
        with contextlib.suppress(OSError):
            if before is not None:
                os.replace(before, path)
            else:
                path.unlink(missing_ok=True)

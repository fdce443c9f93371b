"""Files are written whole, all of them or none."""

from __future__ import annotations

import os
from pathlib import Path
from typing import IO

import pytest

from riskscope import files
from riskscope.errors import UnusableInput


def names(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def test_all_are_written_and_nothing_is_left_behind(tmp_path: Path) -> None:
    out = tmp_path / "new" / "folder"
    assert files.write({out / "a": b"1", out / "b": b"2"}) == [out / "a", out / "b"]
    assert (out / "a").read_bytes() == b"1"
    assert names(out) == {"a", "b"}


def test_where_one_cannot_be_written_none_is(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"before")
    (tmp_path / "b").mkdir()
    with pytest.raises(UnusableInput, match="is a folder"):
        files.write({tmp_path / "a": b"after", tmp_path / "b": b"2"})
    assert (tmp_path / "a").read_bytes() == b"before"
    assert names(tmp_path) == {"a", "b"}


def test_a_full_disk_leaves_what_was_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "a").write_bytes(b"before")
    opened, calls = Path.open, iter([None, OSError(28, "No space left on device")])

    def full(path: Path, *given: object) -> object:
        if (fault := next(calls)) is not None:
            raise fault
        return opened(path, *given)  # type: ignore[call-overload]

    with monkeypatch.context() as patched:
        patched.setattr(Path, "open", full)
        with pytest.raises(UnusableInput, match=r"b: cannot be written \(No space left on device\)"):
            files.write({tmp_path / "a": b"after", tmp_path / "b": b"2"})
    assert (tmp_path / "a").read_bytes() == b"before"
    assert names(tmp_path) == {"a"}


@pytest.mark.parametrize("last", ["a", "b", "c"])
def test_where_one_cannot_take_its_name_all_have_what_they_had(
    last: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As where a program holds the file open: it is written beside, and cannot be put in its place."""
    (tmp_path / "a").write_bytes(b"before")
    (tmp_path / "b").write_bytes(b"before")
    replace = os.replace

    def held(source: Path, target: Path) -> None:
        if Path(target).name == last and Path(source).read_bytes() == b"after":
            raise PermissionError(13, "Permission denied")
        replace(source, target)

    monkeypatch.setattr(os, "replace", held)
    with pytest.raises(UnusableInput, match=f"{last}: cannot be written"):
        files.write({tmp_path / name: b"after" for name in "abc"})
    assert {name: (tmp_path / name).read_bytes() for name in names(tmp_path)} == {"a": b"before", "b": b"before"}


def test_a_file_may_be_read_by_whom_the_user_lets(tmp_path: Path) -> None:
    before = os.umask(0o077)
    try:
        files.write({tmp_path / "a": b"1"})
    finally:
        os.umask(before)
    assert (tmp_path / "a").stat().st_mode & 0o777 == 0o600


def test_nothing_is_overwritten_where_that_is_asked(tmp_path: Path) -> None:
    (tmp_path / "b").write_bytes(b"before")
    with pytest.raises(UnusableInput, match="already exists"):
        files.write({tmp_path / "a": b"1", tmp_path / "b": b"2"}, overwrite=False)
    assert names(tmp_path) == {"b"}


def test_no_folder_is_made_where_that_is_asked(tmp_path: Path) -> None:
    with pytest.raises(UnusableInput, match="cannot be written"):
        files.write({tmp_path / "no" / "a": b"1"}, make_folders=False)
    assert names(tmp_path) == set()


def test_a_function_writes_into_the_file_itself(tmp_path: Path) -> None:
    files.write({tmp_path / "a": lambda file: file.write(b"made"), tmp_path / "b": b"2"})
    assert (tmp_path / "a").read_bytes() == b"made"


def test_where_a_function_fails_nothing_is_written(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"before")

    def half(file: IO[bytes]) -> None:
        file.write(b"ha")
        raise OSError(28, "No space left on device")

    with pytest.raises(UnusableInput, match=r"b: cannot be written \(No space left on device\)"):
        files.write({tmp_path / "a": b"after", tmp_path / "b": half})
    assert (tmp_path / "a").read_bytes() == b"before"
    assert names(tmp_path) == {"a"}


def test_a_fault_without_a_number_is_said_in_its_own_words(tmp_path: Path) -> None:
    def fails(file: IO[bytes]) -> None:
        raise OSError("the drive was taken out")

    with pytest.raises(UnusableInput, match=r"cannot be written \(the drive was taken out\)"):
        files.write({tmp_path / "a": fails})

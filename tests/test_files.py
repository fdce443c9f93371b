"""Files are written whole, all of them or none."""

from __future__ import annotations

import os
from pathlib import Path

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
    opened = os.fdopen
    calls = iter([None, OSError(28, "No space left on device")])

    def full(*given: object, **more: object) -> object:
        if (fault := next(calls)) is not None:
            os.close(given[0])  # type: ignore[arg-type]
            raise fault
        return opened(*given, **more)  # type: ignore[call-overload]

    monkeypatch.setattr(os, "fdopen", full)
    with pytest.raises(UnusableInput, match=r"b: cannot be written \(No space left on device\)"):
        files.write({tmp_path / "a": b"after", tmp_path / "b": b"2"})
    assert (tmp_path / "a").read_bytes() == b"before"
    assert names(tmp_path) == {"a"}


def test_nothing_is_overwritten_where_that_is_asked(tmp_path: Path) -> None:
    (tmp_path / "b").write_bytes(b"before")
    with pytest.raises(UnusableInput, match="already exists"):
        files.write({tmp_path / "a": b"1", tmp_path / "b": b"2"}, overwrite=False)
    assert names(tmp_path) == {"b"}


def test_no_folder_is_made_where_that_is_asked(tmp_path: Path) -> None:
    with pytest.raises(UnusableInput, match="cannot be written"):
        files.write({tmp_path / "no" / "a": b"1"}, make_folders=False)
    assert names(tmp_path) == set()

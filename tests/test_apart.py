"""The limited process: it answers, serves a whole run, and is replaced where it dies or takes too long."""

from __future__ import annotations

import ctypes
import time

import pytest

from riskscope import apart
from riskscope.errors import UnusableInput

HERE = "tests.test_apart"


def double(value: int) -> int:
    return 2 * value


def refuse() -> None:
    raise UnusableInput("has no rows.", file="x.csv", line=3)


def stumble() -> None:
    raise KeyError("nobody thought of this")


def fill(megabytes: int) -> int:
    return len(bytearray(megabytes * 1_000_000))


def sleep(seconds: float) -> None:
    time.sleep(seconds)


def die() -> None:
    ctypes.string_at(0)


def pid() -> int:
    import os

    return os.getpid()


def call(name: str, *args: object, **limits: float) -> object:
    return apart.call(f"{HERE}.{name}", *args, name="x.csv", **limits)


def test_it_answers_from_another_process() -> None:
    import os

    assert call("double", 21) == 42
    assert call("pid") != os.getpid()


def test_one_process_serves_a_whole_run() -> None:
    assert call("pid") == call("pid")


def test_an_error_of_ours_comes_back_as_it_was() -> None:
    with pytest.raises(UnusableInput, match=r"has no rows\.") as caught:
        call("refuse")
    assert (caught.value.file, caught.value.line) == ("x.csv", 3)


def test_what_nobody_thought_of_is_a_sentence() -> None:
    with pytest.raises(UnusableInput, match="in a way nobody thought of") as caught:
        call("stumble")
    assert "Save it again" in str(caught.value.hint)
    assert call("double", 1) == 2, "it goes on"


def test_too_much_memory_is_a_sentence() -> None:
    with pytest.raises(UnusableInput, match=r"could not be read within 1,500 MB of memory"):
        call("fill", 3000, memory_mb=1500.0)
    assert call("fill", 10, memory_mb=1500.0) == 10_000_000


def test_too_long_is_a_sentence_and_the_next_file_is_read() -> None:
    begin = time.monotonic()
    with pytest.raises(UnusableInput, match=r"was not read within 1 s"):
        call("sleep", 30.0, seconds=1.0)
    assert time.monotonic() - begin < 10
    assert call("double", 2) == 4


def test_a_process_that_dies_is_a_sentence_and_the_next_file_is_read() -> None:
    with pytest.raises(UnusableInput, match="could not be read within"):
        call("die")
    assert call("double", 3) == 6

"""The limited process: it answers, serves a whole run, and is replaced where it dies or takes too long."""

from __future__ import annotations

import ctypes
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from riskscope import apart
from riskscope.errors import UnusableInput

HERE = "tests.test_apart"
TOP = Path(__file__).parent.parent


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
    return os.getpid()


def call(name: str, *args: object, **limits: float) -> object:
    return apart.call(f"{HERE}.{name}", *args, name="x.csv", **limits)


def test_it_answers_from_another_process() -> None:
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


def test_a_process_that_takes_nothing_in_is_too_late_as_well() -> None:
    """A request larger than the pipe, handed to a process that reads nothing."""
    stopped = call("pid")
    assert isinstance(stopped, int)
    os.kill(stopped, signal.SIGSTOP)
    begin = time.monotonic()
    with pytest.raises(UnusableInput, match=r"was not read within 1 s"):
        call("double", "x" * 1_000_000, seconds=1.0)
    assert time.monotonic() - begin < 10
    assert call("double", 5) == 10


def test_a_process_that_dies_is_a_sentence_and_the_next_file_is_read() -> None:
    with pytest.raises(UnusableInput, match="could not be read within"):
        call("die")
    assert call("double", 3) == 6


def test_what_lies_in_the_folder_at_hand_is_not_run(tmp_path: Path) -> None:
    """A folder of data may hold anything, a pandas.py too."""
    for name in ("pandas.py", "pickle.py", "riskscope.py", "sitecustomize.py"):
        (tmp_path / name).write_text("open('touched', 'w').close()\n", "utf-8")
    (tmp_path / "survey.csv").write_text("connection_id,survey_date,connection_c\nA,2026-05-04,91\n", "utf-8")
    code = (
        f"import sys; sys.path.insert(0, {str(TOP)!r})\n"
        "from riskscope.cli.main import run\nsys.exit(run(['check', 'survey.csv']))\n"
    )
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONPATH"}
    done = subprocess.run(
        [sys.executable, "-P", "-c", code], cwd=tmp_path, env=environment, capture_output=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert not (tmp_path / "touched").exists()


def test_stopped_by_hand_it_stops_at_once(tmp_path: Path) -> None:
    code = (  # a test run in the background ignores the signal, and what it starts does too
        "import signal\nsignal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "from riskscope import apart\nprint('ready', flush=True)\n"
        f"apart.call('{HERE}.sleep', 60.0, name='x.csv')\n"
    )
    command = [sys.executable, "-c", code]
    with subprocess.Popen(command, cwd=TOP, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL) as running:
        try:
            assert running.stdout is not None
            assert running.stdout.readline() == b"ready\n"
            time.sleep(1.0)
            begin = time.monotonic()
            running.send_signal(signal.SIGINT)
            running.wait(timeout=30)
            assert time.monotonic() - begin < 5
        finally:
            running.kill()

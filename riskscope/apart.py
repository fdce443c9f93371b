"""A process apart, with limits on memory and time: where files that strangers made are read, and plans solved.

``python -m riskscope.apart MEGABYTES`` is that process: it takes requests on stdin, the dotted name of a
function and its arguments, and answers on stdout. It is started early, loads what reading needs while its
parent loads the rest, and serves a whole run; one that dies or takes too long is replaced. What libraries print
in it reaches nobody.
"""

from __future__ import annotations

import atexit
import contextlib
import importlib
import logging
import os
import pickle
import struct
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any

from riskscope.errors import RiskscopeError, UnusableInput

log = logging.getLogger("riskscope.apart")
SIZE = struct.Struct(">Q")
MEMORY_MB = 4000.0
SECONDS = 120.0


class _Process:
    """One process that answers requests, one at a time."""

    def __init__(self, memory_mb: float) -> None:
        self.memory_mb = memory_mb
        self.is_late = False
        ours = str(Path(__file__).parent.parent)  # and never what lies in the folder at hand
        self.popen = subprocess.Popen(
            [sys.executable, "-P", "-m", "riskscope.apart", str(memory_mb)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, [ours, os.environ.get("PYTHONPATH")]))},
        )

    def ask(self, request: bytes, seconds: float) -> None:
        """Hand it a request; where it has died, or was ended because it took too long, `answer` says so."""
        assert self.popen.stdin is not None
        with self._within(seconds), contextlib.suppress(OSError):
            _send(self.popen.stdin, request)

    def answer(self, seconds: float) -> bytes | None:
        """What it answers; None where it died, or was ended because it took too long from now on."""
        assert self.popen.stdout is not None
        with self._within(seconds), contextlib.suppress(OSError):
            return _receive(self.popen.stdout)
        return None

    @contextlib.contextmanager
    def _within(self, seconds: float) -> Iterator[None]:
        """End it where this takes longer."""
        clock = threading.Timer(seconds, self._too_late)
        clock.daemon = True
        clock.start()
        try:
            yield
        finally:
            clock.cancel()

    def _too_late(self) -> None:
        self.is_late = True
        self.popen.kill()

    def end(self) -> None:
        self.popen.kill()
        self.popen.wait()
        for stream in (self.popen.stdin, self.popen.stdout):
            if stream is not None:
                with contextlib.suppress(OSError):
                    stream.close()


_idle: list[_Process] = []
_lock = threading.Lock()


def start(memory_mb: float = MEMORY_MB) -> None:
    """Start the process now, so that it is ready when the first file is to be read."""
    with _lock:
        if not _idle:
            _idle.append(_Process(memory_mb))


class Asked:
    """A function that runs apart while its caller does other things.

    Parameters
    ----------
    function : str
        Its dotted name, such as ``riskscope.intake.readers.by_ending.grids``.
    args : tuple
        Anything that can be pickled.
    memory_mb, seconds : float
        What the process may take beyond what it needs to start, and how long once it is waited for.
    """

    def __init__(
        self, function: str, args: tuple[Any, ...], memory_mb: float = MEMORY_MB, seconds: float = SECONDS
    ) -> None:
        self.memory_mb, self.seconds = memory_mb, seconds
        self.process = _take(memory_mb)
        try:
            self.process.ask(pickle.dumps((function, args)), seconds)
        except BaseException:
            self.drop()
            raise

    def answer(self) -> tuple[Any, str] | None:
        """What it gave and what failed; None where the process died or took too long from now on."""
        try:
            data = self.process.answer(self.seconds)
        except BaseException:  # stopped by hand: what it does is of no use to anybody now
            self.drop()
            raise
        if data is None:
            self.drop()
            return None
        with _lock:
            _idle.append(self.process)
        answer, failure = pickle.loads(data)  # our own process wrote it
        return answer, failure

    def drop(self) -> None:
        """Nobody wants the answer any more."""
        self.process.end()


def call(function: str, *args: Any, name: str, memory_mb: float = MEMORY_MB, seconds: float = SECONDS) -> Any:
    """What a function returns, run apart; see `Asked` and `result`."""
    return result(Asked(function, args, memory_mb, seconds), name)


def result(asked: Asked, name: str) -> Any:
    """What a function that runs apart returns.

    Parameters
    ----------
    asked : Asked
    name : str
        The file that is read, for the sentence where it fails.

    Raises
    ------
    RiskscopeError
        As the function raises it.
    UnusableInput
        If it took more than it may, or failed in a way nobody thought of.
    """
    made = asked.answer()
    if made is None:
        if asked.process.is_late:
            words = f"was not read within {asked.seconds:g} s."
            raise UnusableInput(words, file=name, hint="Raise the setting reader_s.")
        raise _too_large(name, asked.memory_mb, ", or it is damaged")
    answer, failure = made
    if isinstance(answer, RiskscopeError):
        raise answer
    if isinstance(answer, MemoryError):
        raise _too_large(name, asked.memory_mb)
    if failure:
        log.error("reading %s failed apart:\n%s", name, failure)
        raise UnusableInput(
            f"could not be read: it is damaged or made in a way nobody thought of ({failure.splitlines()[-1]}).",
            file=name,
            hint="Save it again, or as CSV.",
        )
    return answer


def compute(function: str, *args: Any) -> Any:
    """What a function of ours returns, run apart for as long as it takes.

    Raises
    ------
    RiskscopeError
        As the function raises it.
    RuntimeError
        If it failed, or the process died.
    """
    made = Asked(function, args, seconds=threading.TIMEOUT_MAX).answer()
    if made is None or made[1] or isinstance(made[0], MemoryError):
        raise RuntimeError(f"{function} failed apart: {'it died' if made is None else made[1] or 'out of memory'}")
    if isinstance(made[0], RiskscopeError):
        raise made[0]
    return made[0]


def _too_large(name: str, memory_mb: float, or_else: str = "") -> UnusableInput:
    return UnusableInput(
        f"could not be read within {memory_mb:,.0f} MB of memory{or_else}.",
        file=name,
        hint="Delete what is far from the table and save it again, save it as CSV, or raise reader_memory_mb.",
    )


def _take(memory_mb: float) -> _Process:
    """A process of ours with this limit: an idle one, else a new one."""
    with _lock:
        while _idle:
            process = _idle.pop()
            if process.memory_mb == memory_mb and process.popen.poll() is None:
                return process
            process.end()
    return _Process(memory_mb)


@atexit.register
def end() -> None:
    """End every idle process."""
    with _lock:
        while _idle:
            _idle.pop().end()


def _send(stream: IO[bytes], data: bytes) -> None:
    stream.write(SIZE.pack(len(data)))
    stream.write(data)
    stream.flush()


def _receive(stream: IO[bytes]) -> bytes | None:
    head = stream.read(SIZE.size)
    if len(head) < SIZE.size:
        return None
    (size,) = SIZE.unpack(head)
    data = stream.read(size)
    return data if len(data) == size else None


def _limit(memory_mb: float) -> None:
    """Allow so much memory beyond what this process has taken to start."""
    try:
        import resource

        pages = int(Path("/proc/self/statm").read_text("ascii").split()[0])
        size = int(pages * resource.getpagesize() + memory_mb * 1e6)
        resource.setrlimit(resource.RLIMIT_AS, (size, size))
    except (ImportError, ValueError, OSError):
        pass  # a system without such limits: the limits on the file itself still hold


def _answer(function: str, args: tuple[Any, ...]) -> tuple[object, str]:
    import traceback

    module, _, attribute = function.rpartition(".")
    try:
        return getattr(importlib.import_module(module), attribute)(*args), ""
    except (RiskscopeError, MemoryError) as error:
        return error, ""
    except Exception:  # noqa: BLE001  (told to the parent, which says so)
        return None, traceback.format_exc().strip()


def _serve(memory_mb: float) -> None:
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # nothing else may write where answers go
    sys.stdout = sys.stderr
    importlib.import_module("riskscope.intake.readers.by_ending")
    _limit(memory_mb)
    while (request := _receive(sys.stdin.buffer)) is not None:
        function, args = pickle.loads(request)
        try:
            _send(answers, pickle.dumps(_answer(function, args)))
        except MemoryError as error:
            _send(answers, pickle.dumps((error, "")))


if __name__ == "__main__":
    _serve(float(sys.argv[1]))

"""Reading a file in a process of its own with a memory limit, for files that strangers bring.

``python -m riskscope.intake.apart`` is that process: it reads the request on stdin and answers on
stdout.
"""

from __future__ import annotations

import pickle
import subprocess
import sys

from riskscope.errors import RiskscopeError, UnusableInput
from riskscope.intake.grid import Grid
from riskscope.intake.options import Limits, Ways
from riskscope.intake.read import grids


def grids_apart(data: bytes, name: str, ways: Ways, limits: Limits, seconds: float = 120.0) -> list[Grid]:
    """The sheets of a file as text cells, like `riskscope.intake.read.grids`, read apart.

    Parameters
    ----------
    data : bytes
    name : str
    ways : Ways
    limits : Limits
        `reader_memory_mb` is what the process may take.
    seconds : float
        What it may last.

    Raises
    ------
    UnusableInput
        As `grids` raises it, or if the reader took more than it may or died.
    """
    request = pickle.dumps((data, name, ways, limits))
    try:
        done = subprocess.run(
            [sys.executable, "-m", "riskscope.intake.apart"],
            input=request,
            capture_output=True,
            timeout=seconds,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise UnusableInput(f"was not read within {seconds:g} s.", file=name) from None
    if done.returncode != 0:
        raise UnusableInput(
            f"could not be read within {limits.reader_memory_mb:,.0f} MB of memory.",
            file=name,
            hint="Delete what is far from the table and save it again, or save it as CSV.",
        )
    answer = pickle.loads(done.stdout)  # our own process wrote it
    if isinstance(answer, RiskscopeError):
        raise answer
    result: list[Grid] = answer
    return result


def _serve() -> None:
    """Read one request on stdin, answer on stdout."""
    data, name, ways, limits = pickle.load(sys.stdin.buffer)
    try:
        import resource

        size = int(limits.reader_memory_mb * 1e6)
        resource.setrlimit(resource.RLIMIT_AS, (size, size))
    except (ImportError, ValueError, OSError):
        pass  # a system without such limits: the limits on the file itself still hold
    try:
        answer: object = grids(data, name, ways, limits)
    except RiskscopeError as error:
        answer = error
    sys.stdout.buffer.write(pickle.dumps(answer))


if __name__ == "__main__":
    _serve()

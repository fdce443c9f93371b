"""Disk full and folders that cannot be written to: a sentence, and nothing lost."""

from __future__ import annotations

import os
import re
import resource
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import pytest

from riskscope.errors import UnusableInput
from riskscope.jobs import keep
from riskscope.store import reading as held
from riskscope.store.migrations import open_store
from tests.store import killing
from tests.store.build import ANN, SURVEY, add, install_rows, readings

TOP = Path(__file__).parent.parent.parent


def limited(place: str, size: int, work: str) -> subprocess.CompletedProcess[str]:
    """Run code in a process that may write no file beyond a size."""
    code = (
        "import sys\nfrom riskscope.errors import UnusableInput\n"
        "from riskscope.jobs import keep\nfrom riskscope.store.migrations import open_store\n"
        "from tests.store.build import ANN, add, install_rows\nfrom pathlib import Path\n"
        f"try:\n    store = open_store({place!r}, create=True)\n    {work}\n"
        "except UnusableInput as error:\n    print(error)\n    sys.exit(7)\n"
    )

    def limit() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))

    return subprocess.run(
        [sys.executable, "-c", code],
        cwd=TOP,
        capture_output=True,
        text=True,
        preexec_fn=limit,
        check=False,
        timeout=120,
    )


@pytest.mark.long
def test_a_full_disk_loses_nothing(tmp_path: Path) -> None:
    place = str(tmp_path / "s.db")
    store = open_store(place, create=True)
    add(store, SURVEY)
    store.close()
    size = Path(place).stat().st_size + 20_000
    done = limited(place, size, "add(store, install_rows(20000), 'torque.csv')")
    assert done.returncode == 7, done.stderr
    assert "disk" in done.stdout
    assert "nothing was written" in done.stdout
    with keep.opened(place) as again:
        assert [one.name for one in held.listed(again)] == ["survey.csv"]
        assert len(readings(again)) == 2
        add(again, install_rows(20000), "torque.csv")
        assert keep.check(again, ANN.actor) == (2, [])


def test_a_full_disk_leaves_no_half_backup(tmp_path: Path) -> None:
    place = str(tmp_path / "s.db")
    store = open_store(place, create=True)
    add(store, install_rows(5000), "torque.csv")
    store.close()
    done = limited(place, 100_000, f"keep.backup(store, ANN.actor, Path({str(tmp_path / 'b.db')!r}))")
    assert done.returncode == 7, done.stderr
    assert {path.name for path in tmp_path.iterdir() if "s.db" not in path.name} == set()


def unprivileged(work: Callable[[], None]) -> int:
    """Run work in a fork that root's rights have been taken from."""

    def drop() -> None:
        if os.geteuid() == 0:
            os.setgroups([])
            os.setgid(65534)
            os.setuid(65534)
        work()

    return killing.forked(drop)


def test_a_store_that_may_not_be_written(tmp_path: Path) -> None:
    folder = tmp_path / "shared"
    folder.mkdir()
    place = folder / "s.db"
    store = open_store(str(place), create=True)
    add(store, SURVEY)
    store.close()
    before = place.read_bytes()
    said = tmp_path / "said.txt"
    said.touch(0o666)
    said.chmod(0o666)
    for above in (tmp_path, *tmp_path.parents):
        if Path(tempfile.gettempdir()) in above.parents:
            above.chmod(above.stat().st_mode | 0o055)
    place.chmod(0o444)
    folder.chmod(0o555)

    def work() -> None:
        try:
            add(open_store(str(place)), install_rows(3), "torque.csv")
        except UnusableInput as error:
            said.write_text(str(error))

    try:
        unprivileged(work)
    finally:
        folder.chmod(0o755)
        place.chmod(0o644)
    assert re.search("cannot be (opened|written)", said.read_text())
    assert place.read_bytes() == before


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(UnusableInput, match="its folder does not exist"):
        open_store(str(tmp_path / "none" / "s.db"), create=True)
    with pytest.raises(UnusableInput, match="is a folder"):
        open_store(str(tmp_path), create=True)

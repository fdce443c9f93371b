"""README.md stays true: its excerpt is what the first command prints."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from riskscope.cli.main import run

TOP = Path(__file__).parent.parent


def test_excerpt_is_printed_by_the_first_command(
    tmp_path: Path, capsys: pytest.CaptureFixture
) -> None:
    readme = (TOP / "README.md").read_text("utf-8")
    excerpt = re.search(r"<!-- excerpt.*?-->\n```text\n(.*?)```", readme, re.S)
    assert excerpt is not None
    run(["rank", str(TOP / "demo_data"), "--out", str(tmp_path)])
    assert excerpt[1] in capsys.readouterr().out

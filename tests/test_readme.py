"""README.md stays true: its excerpt is what the first command prints."""

from __future__ import annotations

import contextlib
import re
from pathlib import Path

import pytest

from riskscope.cli.main import run

TOP = Path(__file__).parent.parent


def test_excerpt_is_printed_by_the_first_command(tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    readme = (TOP / "README.md").read_text("utf-8")
    excerpt = re.search(r"<!-- excerpt.*?-->\n```text\n(.*?)```", readme, re.S)
    assert excerpt is not None
    run(["rank", str(TOP / "demo_data"), "--on", "2026-06-01", "--out", str(tmp_path)])
    assert excerpt[1] in capsys.readouterr().out


def test_toml_of_the_readme_is_understood(tmp_path: Path) -> None:
    """Every key shown is one that is read."""
    import tomllib

    from riskscope.intake.options import read_options_from
    from riskscope.jobs.kinds import KINDS
    from riskscope.settings import Settings
    from riskscope.settings.core import Source, fill
    from riskscope.standards import severity

    readme = (TOP / "README.md").read_text("utf-8")
    [shown] = re.findall(r"```toml\n(.*?)```", readme, re.S)
    stated = tomllib.loads(shown)
    for values in stated["files"].values():
        read_options_from(values, "README")
    fill(Settings, [Source("README", stated["settings"])], KINDS)
    severity.load(stated["criteria"]["table"])


def test_smallest_survey_of_the_readme_is_rated(tmp_path: Path) -> None:
    readme = (TOP / "README.md").read_text("utf-8")
    shown = re.search(r"```text\n(connection_id,.*?)```", readme, re.S)
    assert shown is not None
    (tmp_path / "survey.csv").write_text(shown[1], "utf-8")
    assert run(["rank", str(tmp_path), "--out", str(tmp_path / "out")]) == 0


def notebook(folder: Path) -> None:
    """Run the notebook of the README in a folder."""
    shown = re.search(r"```python\n(.*?)```", (TOP / "README.md").read_text("utf-8"), re.S)
    assert shown is not None
    (folder / "demo_data").symlink_to(TOP / "demo_data")
    with contextlib.chdir(folder):
        exec(compile(shown[1], "README.md", "exec"), {})
    assert (folder / "results" / "ranking.csv").exists()
    assert len(list((folder / "reports").iterdir())) == 3


def test_every_severity_table_is_named_in_the_readme() -> None:
    from riskscope.standards import severity

    readme = (TOP / "README.md").read_text("utf-8")
    assert [name for name in severity.published() if name not in readme] == []


def test_every_picture_of_the_readme_is_there_and_in_words() -> None:
    shown = re.findall(r"!\[(.*?)\]\((.*?)\)", (TOP / "README.md").read_text("utf-8"))
    assert len(shown) == 2
    for words, path in shown:
        assert len(words) > 40
        assert (TOP / path).read_bytes().startswith(b"\x89PNG")


def test_the_worked_example_of_the_readme_is_what_it_prints(capsys: pytest.CaptureFixture) -> None:
    shown = re.search(r"<!-- example.*?-->\n```text\n(.*?)```", (TOP / "README.md").read_text("utf-8"), re.S)
    assert shown is not None
    assert run(["example", "hot-joint", "--run"]) == 0
    assert capsys.readouterr().out.startswith(shown[1])

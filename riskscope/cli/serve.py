"""riskscope serve"""

from __future__ import annotations

import os
import sys
import tomllib
from pathlib import Path

import click

from riskscope.cli.options import STORE, day

SCREENS = Path(__file__).parent.parent / "screens"


@click.command("serve")
@STORE
@click.option("--port", type=click.IntRange(1, 65535), default=8501, show_default=True, help="Port on this machine.")
@click.option("--on", metavar="DATE", help="Day of the work; by default today.")
def command(store: str | None, port: int, on: str | None) -> None:
    """Serve the app on this machine, for a browser.

    Only this machine can reach it: http://127.0.0.1:8501.

    \b
    Example:
      riskscope serve --store riskscope.db
    """
    from riskscope.jobs.keep import opened, place_of

    place = place_of(store)
    with opened(place, create=True) as held:
        click.echo(f"Store: {held.place}")
    if on:
        os.environ["RISKSCOPE_ON"] = day(on).isoformat()
    os.environ["RISKSCOPE_STORE"] = place if "://" in place else str(Path(place).resolve())
    arguments = [sys.executable, "-m", "streamlit", "run", str(SCREENS / "app.py"), "--server.port", str(port)]
    click.echo(f"Open http://127.0.0.1:{port} in a browser; stop with Ctrl+C.")
    sys.stdout.flush()
    os.execv(sys.executable, [*arguments, *flags()])


def flags() -> list[str]:
    """The app's configuration as options: an installed package has no folder the app reads it from."""
    stated = tomllib.loads((SCREENS / ".streamlit" / "config.toml").read_text("utf-8"))
    made = []

    def walk(prefix: str, values: dict[str, object]) -> None:
        for key, value in values.items():
            if isinstance(value, dict):
                walk(f"{prefix}{key}.", value)
            elif isinstance(value, list):
                for item in value:
                    made.extend([f"--{prefix}{key}", str(item)])
            else:
                text = str(value).lower() if isinstance(value, bool) else str(value)
                made.append(f"--{prefix}{key}={text}")

    walk("", stated)
    return made

"""riskscope example"""

from __future__ import annotations

import runpy

import click


@click.command("example")
@click.argument("name", required=False)
@click.option("--run", "runs", is_flag=True, help="Run it instead of printing it.")
def command(name: str | None, runs: bool) -> None:
    """Print a worked example, a short Python script of the public functions; without NAME say which there are.

    \b
    Example:
      riskscope example
      riskscope example hot-joint > mine.py
      riskscope example hot-joint --run
    """
    from riskscope import demo
    from riskscope.errors import WrongUsage

    if name is None and runs:
        raise WrongUsage(f"which example is to be run? There are {', '.join(demo.EXAMPLES)}.")
    if name is None:
        for each, title in demo.examples().items():
            click.echo(f"{each:12} {title}")
    elif runs:
        runpy.run_path(str(demo.example(name)), run_name="__main__")
    else:
        click.echo(demo.example(name).read_text("utf-8"), nl=False)

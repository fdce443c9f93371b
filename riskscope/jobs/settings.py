"""settings: every setting in force and where it comes from."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from riskscope.errors import UnusableInput
from riskscope.jobs.kinds import KINDS, load


@dataclass(frozen=True)
class SettingInForce:
    """One setting: its value, unit, meaning, the source of its default, where the value is from."""

    name: str
    value: Any
    unit: str
    help: str
    source: str
    origin: str


def in_force(options: Mapping[str, Any], folder: Path | None) -> list[SettingInForce]:
    """Every setting of the method and of the reading of files."""
    if folder is not None and not folder.is_dir():
        raise UnusableInput("is not a folder.", file=str(folder))
    made = []
    for kind in KINDS:
        filled: tuple[Any, dict[str, str]] = load(kind, options, folder)
        values, origin = filled
        for field in dataclasses.fields(kind):
            about = field.metadata
            made.append(
                SettingInForce(
                    field.name,
                    getattr(values, field.name),
                    about["unit"],
                    about["help"],
                    about["source"],
                    origin[field.name],
                )
            )
    return made

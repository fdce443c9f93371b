"""Settings of any floor: a frozen dataclass, filled by one order of precedence.

Option > ``RISKSCOPE_*`` variable > ``riskscope.toml`` of the folder > the user's file > default.
"""

from __future__ import annotations

import dataclasses
import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from riskscope.errors import UnusableInput, WrongUsage, nearest

FOLDER_FILE = "riskscope.toml"
SECTIONS = ("settings", "criteria", "files")
T = TypeVar("T")


def setting(default: Any, help_: str, unit: str = "", source: str = "") -> Any:
    """A dataclass field with what `riskscope settings` prints of it."""
    return dataclasses.field(default=default, metadata={"help": help_, "unit": unit, "source": source})


@dataclass(frozen=True)
class Source:
    """One place settings come from: its name in words and its values."""

    name: str
    values: Mapping[str, Any]


def user_file() -> Path:
    """The user's own settings file; it need not exist."""
    base = os.environ.get("XDG_CONFIG_HOME") or Path.home() / ".config"
    return Path(base) / "riskscope" / "settings.toml"


def read_toml(path: Path) -> dict[str, Any]:
    """A TOML file as a dictionary; every fault is one sentence with its place."""
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise UnusableInput(f"cannot be read ({error.strerror}).", file=str(path)) from error
    except ValueError as error:
        raise UnusableInput(f"is not valid TOML: {error}.", file=str(path)) from error
    for key in data:
        if key not in SECTIONS:
            raise UnusableInput(
                f"has no use for [{key}]; the sections are {', '.join(SECTIONS)}.",
                file=str(path),
                hint=nearest(key, list(SECTIONS)),
            )
        if not isinstance(data[key], dict):
            raise UnusableInput(f"{key} must be a section: write [{key}].", file=str(path))
    return data


def gather(options: Mapping[str, Any], folder: Path | None = None) -> list[Source]:
    """The places settings come from, strongest first."""
    sources = [Source("option", options)]
    variables = {
        name.removeprefix("RISKSCOPE_").lower(): value
        for name, value in os.environ.items()
        if name.startswith("RISKSCOPE_")
    }
    sources.append(Source("environment", variables))
    paths = ([folder / FOLDER_FILE] if folder else []) + [user_file()]
    for path in paths:
        if path.is_file():
            sources.append(Source(str(path), read_toml(path).get("settings", {})))
    return sources


def convert(field: dataclasses.Field[Any], value: Any, source: str) -> Any:
    """`value` as the type of the field's default, or a sentence."""
    wanted: Any = type(field.default)
    if wanted is bool:
        if isinstance(value, bool):
            return value
        if str(value).strip().casefold() in {"yes", "true", "on", "1"}:
            return True
        if str(value).strip().casefold() in {"no", "false", "off", "0"}:
            return False
    elif wanted in (int, float) and not isinstance(value, bool):
        try:
            number = wanted(value)
            if number == float(value) and abs(float(value)) < 1e300:
                return number
        except (TypeError, ValueError, OverflowError):
            pass
    elif wanted is str and isinstance(value, str):
        return value
    word = {bool: "yes or no", int: "a whole number", float: "a number", str: "text"}[wanted]
    raise WrongUsage(f"setting {field.name} must be {word}; got {value!r} (from {source}).", value=value)


def fill(kind: type[T], sources: list[Source], others: tuple[type, ...] = ()) -> tuple[T, dict[str, str]]:
    """An instance of `kind` and, by field, the name of the source of its value.

    Parameters
    ----------
    kind : type
        A frozen dataclass whose fields were made by `setting`.
    sources : list of Source
        Strongest first, as `gather` returns them.
    others : tuple of type
        Dataclasses that share the same sources: their keys are known too.

    Raises
    ------
    WrongUsage
        If a file or an option names a setting that none of them has, or a value of a wrong type.
    """
    known = {field.name for other in (kind, *others) for field in dataclasses.fields(other)}  # type: ignore[arg-type]
    for source in sources:
        if source.name == "environment":
            continue
        for key in source.values:
            if key not in known:
                raise WrongUsage(
                    f"there is no setting {key} (from {source.name}).",
                    hint=nearest(key, sorted(known)) or "`riskscope settings` lists them all.",
                )
    values: dict[str, Any] = {}
    origin: dict[str, str] = {}
    for field in dataclasses.fields(kind):  # type: ignore[arg-type]
        origin[field.name] = "default"
        for source in sources:
            if source.values.get(field.name) is not None:
                values[field.name] = convert(field, source.values[field.name], source.name)
                origin[field.name] = source.name
                break
    return kind(**values), origin

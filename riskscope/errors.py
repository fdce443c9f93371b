"""What a person can be told. Every error a user can mend derives from `RiskscopeError`."""

from __future__ import annotations

from typing import Any


class RiskscopeError(Exception):
    """One sentence for the user, with the place it speaks of as fields.

    Attributes
    ----------
    message, hint : str
        What is wrong; what to do about it.
    file, sheet, line, column, value
        Where it stands and what was found there; None where it does not apply.
    toml : str or None
        A line for the file's section in ``riskscope.toml`` that would mend it.
    exit_code : int
        Exit status of a command that ends with this error.

    Examples
    --------
    >>> print(UnusableInput("load must not be negative.", file="may.csv", line=7, column="load_pct"))
    may.csv, line 7, column load_pct: load must not be negative.
    """

    exit_code = 1

    def __init__(
        self,
        message: str,
        *,
        hint: str | None = None,
        file: str | None = None,
        sheet: str | None = None,
        line: int | None = None,
        column: str | None = None,
        value: object = None,
        toml: str | None = None,
    ) -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint
        self.file = file
        self.sheet = sheet
        self.line = line
        self.column = column
        self.value = value
        self.toml = toml

    def __reduce__(self) -> tuple[Any, ...]:
        return _again, (type(self), self.__dict__)

    @property
    def place(self) -> str:
        """The place in words, such as ``survey.csv, sheet A, line 7, column load_pct``."""
        parts = [self.file]
        if self.sheet:
            parts.append(f"sheet {self.sheet}")
        if self.line is not None:
            parts.append(f"line {self.line}")
        if self.column:
            parts.append(f"column {self.column}")
        return ", ".join(part for part in parts if part)

    def __str__(self) -> str:
        text = f"{self.place}: {self.message}" if self.place else self.message
        return f"{text} {self.hint}" if self.hint else text


def _again(kind: type[RiskscopeError], fields: dict[str, Any]) -> RiskscopeError:
    """An error as it was, in another process."""
    error = kind(fields["message"])
    error.__dict__.update(fields)
    return error


class UnusableInput(RiskscopeError):
    """The input cannot be used as it stands."""


class Ambiguous(UnusableInput):
    """The input can be read in more than one way; the hint says what to type."""


class WrongUsage(RiskscopeError):
    """The command or function was called in a way that cannot work."""

    exit_code = 2


class OutOfRange(RiskscopeError, ValueError):
    """A number that cannot be, given to a function of physics or standards."""


MOST_NAMED = 6


def known_name(name: str, known: list[str], missing: str) -> str:
    """A name a person typed as it is spelled in the tables; case and spaces aside, the site where it is on one only.

    Raises
    ------
    UnusableInput
        In the words of `missing` if there is none; if it stands on several sites: which.
    """
    if name in known:
        return name
    wanted = " ".join(name.split()).casefold()
    same = [spelled for spelled in known if spelled.casefold() == wanted]
    on_sites = [spelled for spelled in known if spelled.casefold().startswith(f"{wanted} @ ")]
    if not same and len(on_sites) > 1:
        raise UnusableInput(f"{name!r} stands on several sites: {', '.join(on_sites)}.")
    if not same and not on_sites:
        begin = [spelled for spelled in known if wanted and spelled.casefold().startswith(wanted)][:MOST_NAMED]
        raise UnusableInput(missing, hint=f"So begin: {', '.join(begin)}." if begin else nearest(name, known))
    return (same or on_sites)[0]


def nearest(word: str, known: list[str]) -> str:
    """A hint `` Did you mean X?`` for a mistyped word, or an empty string."""
    import difflib

    close = difflib.get_close_matches(word, known, n=1)
    return f"Did you mean {close[0]}?" if close else ""

"""What is said about a file: notes of what was assumed, questions of what is open."""

from __future__ import annotations

from dataclasses import dataclass

HOTTEST = "may be the hottest"  # in the reason of a reading that was refused though a temperature is written in it
OFF_SCALE = "off the (?:instrument's )?scale"  # a pattern in the same reason where it was off the scale
AGAIN = "read it again"  # in the same reason, before whose it is
NOT_GIVEN = ": read as not given"  # ends what is said of a cell that could not be read and refuses no row
MEND = "mend it"  # in the reason of a record of work that was refused, before whose it is
PLACE = "at the place "  # before the place that stands for a name there
PART = " · "  # between the parts of such a place, each said with what it is
DISMISSED = "dismissed by "  # behind the reason of a row that somebody settled, with who and why
NOBODY_KNOWS = "no survey, register or record knows it"  # ends the note of an entry that counts for nothing


@dataclass(frozen=True)
class Note:
    """Something said about a file: an assumption, a warning, an unknown column, a merge of ids.

    `rows` are the lines it speaks of, up to the first hundred; empty where it is all of them.
    """

    kind: str
    text: str
    table: str = ""
    file: str = ""
    sheet: str = ""
    column: str = ""
    rows: tuple[int, ...] = ()
    count: int = 1

    @property
    def in_file(self) -> str:
        """The note where its file is known: column, what is said, the lines it speaks of."""
        more = ""
        if self.rows:
            shown = ", ".join(str(row) for row in self.rows[:5])
            more = f" ({'line' if self.count == 1 else 'lines'} {shown}" + (
                f" and {self.count - 5} more)" if self.count > 5 else ")"
            )
        if self.kind == "unknown column":
            return f"column {self.column} {self.text}"
        return f"column {self.column}: {self.text}{more}" if self.column else f"{self.text}{more}"

    def __str__(self) -> str:
        where = ", ".join(part for part in (self.file, self.sheet and f"sheet {self.sheet}") if part)
        if not where:
            return self.in_file
        return f"{where}, {self.in_file}" if self.column else f"{where}: {self.in_file}"


@dataclass(frozen=True)
class Question:
    """Something a file leaves open: what it is, the option that settles it, the line that does.

    `toml` is a line for the file's section in ``riskscope.toml``, with the choices behind it.
    """

    text: str
    option: str
    toml: str
    file: str = ""
    sheet: str = ""
    column: str = ""

    def __str__(self) -> str:
        where = f"column {self.column!r}: " if self.column else ""
        return f"{where}{self.text} Give {self.option} (in riskscope.toml: {self.toml})."

"""The tables of a store, derived from the schema: declarations only."""

from __future__ import annotations

import hashlib

from sqlalchemy import BigInteger, Column, Date, Double, ForeignKey, Index, Integer, LargeBinary, MetaData, Table, Text
from sqlalchemy.types import TypeEngine

from riskscope import schema
from riskscope.schema.common import SAID

METADATA = MetaData()
NUMBER = BigInteger().with_variant(Integer(), "sqlite")

META = Table("meta", METADATA, Column("name", Text, primary_key=True), Column("value", Text, nullable=False))

# A file, kept as it came, known by its hash.
FILES = Table(
    "files",
    METADATA,
    Column("sha256", Text, primary_key=True),
    Column("size", NUMBER, nullable=False),
    Column("content", LargeBinary, nullable=False),
    Column("kept_at", Text, nullable=False),
)

# A picture of the survey, under the name its rows call it; the file of one it took the place of is kept.
PICTURES = Table(
    "pictures",
    METADATA,
    Column("name", Text, primary_key=True),  # without case
    Column("shown", Text, nullable=False),
    Column("sha256", Text, ForeignKey("files.sha256"), nullable=False),
    Column("actor", Text, nullable=False),
    Column("at", Text, nullable=False),
)

# A file brought in once: how it was read, by whom, and whether it still counts.
STATES = ("active", "superseded", "undone")
IMPORTS = Table(
    "imports",
    METADATA,
    Column("id", NUMBER, primary_key=True),
    Column("sha256", Text, ForeignKey("files.sha256"), nullable=False),
    Column("name", Text, nullable=False),  # the file's own name
    Column("shown", Text, nullable=False),  # the same, made unlike every earlier one
    Column("ways", Text, nullable=False),
    Column("as_of", Text, nullable=False),  # day its dates were checked against
    Column("version", Text, nullable=False),
    Column("actor", Text, nullable=False),
    Column("at", Text, nullable=False),
    Column("state", Text, nullable=False),
    Column("superseded_by", NUMBER, ForeignKey("imports.id")),
    Column("together", NUMBER),  # the first of those that came in as one and replaced others
    Column("undone_by", Text),
    Column("undone_at", Text),
)

# A sheet of an import that holds one table.
SHEETS = Table(
    "sheets",
    METADATA,
    Column("id", NUMBER, primary_key=True),
    Column("import_id", NUMBER, ForeignKey("imports.id"), nullable=False),
    Column("place", NUMBER, nullable=False),
    Column("table_name", Text, nullable=False),
    Column("sheet", Text, nullable=False),
    Column("columns", Text, nullable=False),  # stored columns of its rows, in order
    Column("extras", Text, nullable=False),  # headers kept with the rows and not used
    Column("counts", Text, nullable=False),
    Column("notes", Text, nullable=False),
    Index("sheets_of_import", "import_id"),
)

REFUSED = Table(
    "refused",
    METADATA,
    Column("id", NUMBER, primary_key=True),
    Column("import_id", NUMBER, ForeignKey("imports.id"), nullable=False),
    Column("sheet_id", NUMBER, ForeignKey("sheets.id"), nullable=False),
    Column("kind", Text, nullable=False),
    Column("line", NUMBER, nullable=False),
    Column("reason", Text, nullable=False),
    Column("cells", Text, nullable=False),
    Column("state", Text, nullable=False),
    Column("note", Text),
    Column("actor", Text),
    Column("at", Text),
    *(Column(name, Text) for name in SAID),  # whose it is, as far as the row says it
    Index("refused_of_import", "import_id"),
)

# A cell corrected by hand, over the file as it came.
EDITS = Table(
    "edits",
    METADATA,
    Column("id", NUMBER, primary_key=True),
    Column("import_id", NUMBER, ForeignKey("imports.id"), nullable=False),
    Column("sheet", Text, nullable=False),
    Column("line", NUMBER, nullable=False),
    Column("column", NUMBER, nullable=False),
    Column("old", Text, nullable=False),
    Column("new", Text, nullable=False),
    Column("actor", Text, nullable=False),
    Column("at", Text, nullable=False),
    Index("edits_of_import", "import_id"),
)

# An assessment never changes: its lists, and all that made them.
ASSESSMENTS = Table(
    "assessments",
    METADATA,
    Column("id", NUMBER, primary_key=True),
    Column("fingerprint", Text, nullable=False, unique=True),
    Column("as_of", Text, nullable=False),
    Column("made", Text, nullable=False),  # what made it: imports, settings, criteria, version
    Column("summary", Text, nullable=False),
    Column("actor", Text, nullable=False),
    Column("at", Text, nullable=False),
)
LISTS = Table(
    "assessment_lists",
    METADATA,
    Column("assessment_id", NUMBER, ForeignKey("assessments.id"), primary_key=True),
    Column("name", Text, primary_key=True),
    Column("rows", NUMBER, nullable=False),
    Column("content", LargeBinary, nullable=False),  # Parquet
)

# Long work, and whether whoever does it is still alive.
JOBS = Table(
    "jobs",
    METADATA,
    Column("id", NUMBER, primary_key=True),
    Column("kind", Text, nullable=False),
    Column("state", Text, nullable=False),
    Column("progress", Text, nullable=False),
    Column("actor", Text, nullable=False),
    Column("started", Text, nullable=False),
    Column("heartbeat", Text, nullable=False),
    Column("ended", Text),
    Column("result", Text),
)


def _sql_type(column: schema.Column) -> TypeEngine[object]:
    if column.kind == "date":
        return Date()  # type: ignore[return-value]
    return Double() if column.is_number else Text()  # type: ignore[return-value]


def _rows(table: schema.Table) -> Table:
    return Table(
        f"row_{table.name}",
        METADATA,
        Column("sheet_id", NUMBER, ForeignKey("sheets.id"), primary_key=True),
        Column("row_no", NUMBER, primary_key=True),
        Column("source_line", NUMBER, nullable=False),
        Column("extras", Text),
        *(Column(name, _sql_type(column)) for name, column in table.stored.items()),
        sqlite_with_rowid=False,
    )


ROWS = {name: _rows(table) for name, table in schema.TABLES.items()}


def shape() -> str:
    """A hash of every table and column: it changes whenever a store would have to be migrated."""
    words = [
        f"{table.name}.{column.name} {column.type}" for table in METADATA.sorted_tables for column in table.columns
    ]
    return hashlib.sha256("\n".join(sorted(words)).encode()).hexdigest()[:16]

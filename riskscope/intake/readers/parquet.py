"""Parquet files: their size read from the footer first, then as a grid of text cells."""

from __future__ import annotations

import io

from riskscope.errors import UnusableInput
from riskscope.intake.grid import Grid, frame_grid
from riskscope.intake.options import Limits


def read(data: bytes, file: str, limits: Limits) -> Grid:
    """A Parquet file as a grid; line 1 is its header.

    Raises
    ------
    UnusableInput
        If it is no Parquet file or larger than the limits.
    """
    import pyarrow as pa
    import pyarrow.parquet as pq

    try:
        source = pq.ParquetFile(io.BytesIO(data))
        about = source.metadata
        unpacked = sum(about.row_group(n).total_byte_size for n in range(about.num_row_groups))
        if (
            about.num_rows > limits.max_rows
            or about.num_columns > limits.max_columns
            or about.num_rows * about.num_columns > limits.max_cells
            or unpacked > limits.max_unzipped_mb * 1e6
        ):
            raise UnusableInput(
                f"has {about.num_rows:,} rows and {about.num_columns:,} columns ({unpacked / 1e6:,.0f} "
                f"MB unpacked); at most {limits.max_rows:,} rows, {limits.max_columns:,} columns and "
                f"{limits.max_unzipped_mb:,.0f} MB are read.",
                file=file,
            )
        frame = source.read().to_pandas()
    except (pa.ArrowException, OSError, ValueError) as error:
        if isinstance(error, UnusableInput):
            raise
        raise UnusableInput("is not a Parquet file that can be read.", file=file) from error
    grid = frame_grid(frame, file)
    return Grid(file, "", grid.cells, grid.line)

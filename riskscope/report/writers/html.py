"""A document as one HTML file: nothing is fetched, everything is escaped."""

from __future__ import annotations

import base64
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

import jinja2
from markupsafe import Markup

from riskscope.report import charts, colours
from riskscope.report.blocks import Chart, Document, Heading, Table
from riskscope.words.plain import plain

HERE = Path(__file__).parent
LONG_WORD = 32  # characters; a longer word may be broken anywhere


def write(document: Document, *, svg: Callable[[Chart], str] = charts.svg) -> bytes:
    """The document as a self-contained HTML page.

    Parameters
    ----------
    document : Document
    svg : callable
        Draws a chart; a caller that writes several formats draws each only once.
    """
    blocks = [(type(block).__name__, block) for block in document.blocks]
    chapters = [
        (number, block.text)
        for number, block in enumerate(document.blocks)
        if isinstance(block, Heading) and block.level == 1
    ]
    pieces = _template().generate(
        document=document,
        blocks=blocks,
        chapters=chapters,
        colours=colours,
        svg=lambda chart: Markup(_inline(svg(chart))),
        cells=_cells,
        picture=_picture,
        no_case_for=_no_case_for,
    )
    return b"".join(piece.encode("utf-8") for piece in pieces)


@lru_cache
def _template() -> jinja2.Template:
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(HERE),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
        finalize=lambda value: plain(value) if type(value) is str else value,
    )
    return environment.get_template("page.html.jinja")


def _no_case_for(kind: str) -> str:
    raise TypeError(f"page.html.jinja has no case for a {kind}")


def _inline(text: str) -> str:
    """A drawn chart to stand inside the page; its text was escaped when it was drawn."""
    return text[text.index("<svg") :].replace("<svg ", '<svg aria-hidden="true" ', 1)


def _picture(data: bytes) -> str:
    kind = "jpeg" if data.startswith(b"\xff\xd8") else "png"
    return f"data:image/{kind};base64,{base64.b64encode(data).decode('ascii')}"


def _cells(table: Table, document: Document) -> list[list[tuple[str, str, str]]]:
    """Every cell of a table: text, class, style."""
    made = []
    for row in table.cells(document.units):
        cells = []
        for show, text in zip(table.columns, row, strict=True):
            fill = colours.of(text) if show.kind == "severity" else None
            style = f"background:{fill[0]};color:{fill[1]}" if fill else ""
            kind = "severity" if show.kind == "severity" else ("number" if show.is_number else "")
            if not kind and any(len(word) > LONG_WORD for word in text.split()):
                kind = "long"
            cells.append((text, kind, style))
        made.append(cells)
    return made

"""A document as PDF: page numbers, bookmarks, repeated table heads, an embedded font."""

from __future__ import annotations

import io
import itertools
from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from typing import Any
from xml.sax.saxutils import escape

from PIL import Image as PictureFile
from reportlab import rl_config
from reportlab.lib import pagesizes
from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_CENTER, TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import (
    BaseDocTemplate,
    Flowable,
    Frame,
    KeepTogether,
    LongTable,
    PageBreak,
    PageTemplate,
    Paragraph,
    Spacer,
)
from reportlab.platypus import Table as Grid

from riskscope.fonts import FONTS
from riskscope.report import charts, colours
from riskscope.report.blocks import (
    Block,
    Caution,
    Chart,
    Document,
    Facts,
    Figures,
    Heading,
    Items,
    NewPage,
    Picture,
    Signatures,
    Table,
    Text,
)
from riskscope.words.plain import plain

PAPER = {"A4": pagesizes.A4, "Letter": pagesizes.letter}
MARGIN = 16 * mm
rl_config.useA85 = 0  # binary streams: a fifth smaller
AHEAD = 40  # flowables made before they are placed: more than ever keep together
TALL_CELL = 1000  # characters of a cell that may be higher than a page
REGULAR, BOLD = "DejaVu Sans", "DejaVu Sans Bold"
INK, QUIET, LINE = HexColor(colours.INK), HexColor(colours.QUIET), HexColor(colours.LINE)


@lru_cache
def _styles() -> dict[str, ParagraphStyle]:
    pdfmetrics.registerFont(TTFont(REGULAR, str(FONTS / "DejaVuSans.ttf")))
    pdfmetrics.registerFont(TTFont(BOLD, str(FONTS / "DejaVuSans-Bold.ttf")))
    body = ParagraphStyle("body", fontName=REGULAR, fontSize=9, leading=13, textColor=INK, spaceAfter=4)

    def style(name: str, **more: Any) -> ParagraphStyle:
        return ParagraphStyle(name, parent=body, **more)

    bold: dict[str, Any] = {"fontName": BOLD}
    return {
        "body": body,
        "strong": style("strong", **bold),
        "small": style("small", fontSize=8, leading=11, textColor=QUIET),
        "title": style("title", fontSize=20, leading=25, spaceAfter=2, **bold),
        "h1": style("h1", fontSize=14, leading=18, spaceBefore=16, spaceAfter=6, keepWithNext=1, **bold),
        "h2": style("h2", fontSize=11, leading=15, spaceBefore=11, spaceAfter=4, keepWithNext=1, **bold),
        "h3": style("h3", fontSize=10, leading=14, spaceBefore=10, spaceAfter=4, keepWithNext=1, **bold),
        "cell": style("cell", fontSize=7.5, leading=10, spaceAfter=0),
        "number": style("number", fontSize=7.5, leading=10, spaceAfter=0, alignment=TA_RIGHT),
        "severity": style("severity", fontSize=8, leading=10, spaceAfter=0, alignment=TA_CENTER, **bold),
        "head": style("head", fontSize=7.5, leading=10, spaceAfter=0, **bold),
        "numberhead": style("numberhead", fontSize=7.5, leading=10, spaceAfter=0, alignment=TA_RIGHT, **bold),
        "figure": style("figure", fontSize=17, leading=21, spaceAfter=0, **bold),
    }


def _paragraph(text: str, style: str, ink: str | None = None) -> Paragraph:
    safe = escape(plain(text)).replace("\n", "<br/>").replace("\t", " ")
    if ink:
        safe = f'<font color="{ink}">{safe}</font>'
    return Paragraph(safe, _styles()[style])


class _Pages(BaseDocTemplate):
    """Pages with a foot line, and a bookmark for each heading."""

    def __init__(self, buffer: io.BytesIO, document: Document) -> None:
        size = PAPER[document.paper]
        super().__init__(
            buffer,
            pagesize=size,
            leftMargin=MARGIN,
            rightMargin=MARGIN,
            topMargin=MARGIN,
            bottomMargin=MARGIN + 6 * mm,
            title=plain(document.title),
            subject=plain(document.subtitle),
            author=plain(document.organisation),
            keywords=[plain(word) for word in document.keywords],
            creator="riskscope",
            invariant=1,
            allowSplitting=1,
        )
        self.document = document
        self.marks = 0
        self.level = -1
        frame = Frame(
            self.leftMargin,
            self.bottomMargin,
            self.width,
            self.height,
            id="page",
            leftPadding=0,
            rightPadding=0,
            topPadding=0,
            bottomPadding=0,
        )
        self.addPageTemplates([PageTemplate(id="page", frames=[frame], onPage=self._foot)])

    def build_from(self, flowables: Iterator[Flowable]) -> None:
        """Build, taking a few flowables at a time: a long report never stands in memory whole."""
        self.waiting = flowables
        self.story = list(itertools.islice(flowables, AHEAD))
        self.build(self.story)

    def handle_flowable(self, flowables: list[Flowable]) -> None:
        if flowables is self.story and len(flowables) < AHEAD:
            flowables.extend(itertools.islice(self.waiting, AHEAD))
        super().handle_flowable(flowables)

    def _foot(self, canvas: Any, _: Any) -> None:
        canvas.saveState()
        canvas.setFont(REGULAR, 7.5)
        canvas.setFillColor(QUIET)
        y = MARGIN - 1 * mm
        parts = (
            self.document.organisation,
            self.document.number and f"report {self.document.number}",
            self.document.title,
            self.document.day,
        )
        text = ", ".join(plain(part) for part in parts if part)
        while pdfmetrics.stringWidth(text, REGULAR, 7.5) > self.width - 25 * mm:
            text = text[:-2].rstrip() + "…" if not text.endswith("…") else text[:-2] + "…"
        canvas.drawString(self.leftMargin, y, text)
        canvas.drawRightString(self.leftMargin + self.width, y, f"page {canvas.getPageNumber()}")
        canvas.restoreState()

    def afterFlowable(self, flowable: Flowable) -> None:  # noqa: N802  (ReportLab's name)
        name = getattr(getattr(flowable, "style", None), "name", "")
        if name not in {"h1", "h2", "h3"}:
            return
        level = min(int(name[1]) - 1, self.level + 1)
        self.level = level
        key = f"mark{self.marks}"
        self.marks += 1
        self.canv.bookmarkPage(key)
        self.canv.addOutlineEntry(flowable.getPlainText()[:120], key, level, closed=level > 0)


def write(
    document: Document, *, svg: Callable[[Chart], str] = charts.svg, progress: Callable[[str], None] = lambda text: None
) -> bytes:
    """The document as PDF; the same document gives the same bytes.

    Parameters
    ----------
    document : Document
    svg : callable
        Draws a chart; a caller that writes several formats draws each only once.
    progress : callable
        Told what is being done.
    """
    _styles()
    buffer = io.BytesIO()
    pages = _Pages(buffer, document)
    total = len(document.blocks)

    def flowables() -> Iterator[Flowable]:
        yield from _title(document, pages.width)
        for number, block in enumerate(document.blocks):
            if number and number % 500 == 0:
                progress(f"PDF: block {number:,} of {total:,}")
            yield from _flow(block, document, pages.width, pages.height, svg)

    pages.build_from(flowables())
    return buffer.getvalue()


def _title(document: Document, width: float) -> list[Flowable]:
    words: list[Flowable] = [_paragraph(document.title, "title"), _paragraph(document.subtitle, "body")]
    if document.organisation or document.number:
        parts = [document.organisation, document.number and f"report {document.number}"]
        words.append(_paragraph(", ".join(part for part in parts if part), "strong"))
    if document.logo is None:
        return words
    logo = _image(document.logo, 45 * mm, 18 * mm)
    logo.keepWithNext = 0
    grid = Grid([[words, logo]], colWidths=[width - 48 * mm, 48 * mm])
    grid.setStyle(
        [
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("ALIGN", (1, 0), (1, 0), "RIGHT"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ]
    )
    return [grid]


def _flow(block: Block, document: Document, width: float, height: float, svg: Callable[[Chart], str]) -> list[Flowable]:
    if isinstance(block, Heading):
        return [_paragraph(block.text, f"h{block.level}")]
    if isinstance(block, Text):
        return [_paragraph(block.text, block.style)]
    if isinstance(block, Items):
        return [_paragraph(f"•  {item}", "body") for item in block.items]
    if isinstance(block, Facts):
        return [_facts(block, width)]
    if isinstance(block, Table):
        return _table(block, document, width)
    if isinstance(block, Chart):
        picture = _image(charts.png(svg(block)), min(width, 130 * mm), height * 0.45)
        return [picture, _paragraph(block.words, "small")]
    if isinstance(block, Picture):
        picture = _image(block.data, min(width, 110 * mm), height * 0.4)
        return [picture, _paragraph(block.caption, "small")]
    if isinstance(block, Caution):
        return [_caution(block, width)]
    if isinstance(block, Figures):
        return [_figures(block, width)]
    if isinstance(block, Signatures):
        return [_signatures(block, width)]
    assert isinstance(block, NewPage), f"no case for a {type(block).__name__}"
    return [PageBreak()]


class _Image(Flowable):
    """A picture that is unpacked only while it is drawn: a long report holds many."""

    def __init__(self, data: bytes, most_wide: float, most_high: float) -> None:
        super().__init__()
        with PictureFile.open(io.BytesIO(data)) as image:
            wide, high = image.size
        scale = min(most_wide / wide, most_high / high, 1.0)
        self.data, self.width, self.height = data, wide * scale, high * scale
        self.hAlign = "LEFT"
        self.keepWithNext = 1

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        units = ImageReader(io.BytesIO(self.data))
        self.canv.drawImage(units, 0, 0, self.width, self.height)


def _image(data: bytes, most_wide: float, most_high: float) -> _Image:
    return _Image(data, most_wide, most_high)


PADDING = [
    ("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 4),
    ("RIGHTPADDING", (0, 0), (-1, -1), 4), ("TOPPADDING", (0, 0), (-1, -1), 2.5),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
]  # fmt: skip


def _facts(block: Facts, width: float) -> Flowable:
    rows = [[_paragraph(name, "small"), _paragraph(value, "cell")] for name, value in block.rows]
    grid = LongTable(rows, colWidths=[width * 0.27, width * 0.73], splitInRow=int(_is_tall(block.rows)), spaceAfter=6)
    grid.setStyle(PADDING)
    return grid


def _table(block: Table, document: Document, width: float) -> list[Flowable]:
    if block.most == 0:
        return []
    cells = block.cells(document.units)
    if not cells:
        return [_paragraph(block.empty, "body")]
    style: list[tuple[Any, ...]] = [
        *PADDING,
        ("LINEBELOW", (0, 0), (-1, 0), 1, INK),
        ("LINEBELOW", (0, 1), (-1, -1), 0.4, LINE),
    ]
    rows: list[list[Flowable]] = [
        [_paragraph(show.title, "numberhead" if show.is_number else "head") for show in block.columns]
    ]
    for line, row in enumerate(cells, start=1):
        made: list[Flowable] = []
        for place, (show, text) in enumerate(zip(block.columns, row, strict=True)):
            fill = colours.of(text) if show.kind == "severity" else None
            if fill:
                style.append(("BACKGROUND", (place, line), (place, line), HexColor(fill[0])))
            kind = "severity" if show.kind == "severity" else ("number" if show.is_number else "cell")
            made.append(_paragraph(text, kind, fill[1] if fill else None))
        rows.append(made)
    whole = sum(show.weight for show in block.columns)
    grid = LongTable(
        rows,
        colWidths=[width * show.weight / whole for show in block.columns],
        repeatRows=1,
        splitInRow=int(_is_tall(cells)),
        spaceAfter=8,
    )
    grid.setStyle(style)
    return [grid]


def _is_tall(rows: Sequence[Sequence[str]]) -> bool:
    """Whether a row may be higher than a page and has to be split."""
    return any(len(text) > TALL_CELL for row in rows for text in row)


def _caution(block: Caution, width: float) -> Flowable:
    grid = Grid([[[_paragraph(item, "body") for item in block.items]]], colWidths=[width], spaceBefore=4, spaceAfter=8)
    grid.setStyle(
        [
            *PADDING,
            ("BACKGROUND", (0, 0), (-1, -1), HexColor("#FFF6DF")),
            ("LINEBEFORE", (0, 0), (0, -1), 4, INK),
            ("LEFTPADDING", (0, 0), (-1, -1), 10),
        ]
    )
    return grid


def _figures(block: Figures, width: float) -> Flowable:
    cells = [[_paragraph(value, "figure"), _paragraph(words, "small")] for value, words in block.rows]
    grid = Grid([cells], colWidths=[width / len(cells)] * len(cells), spaceBefore=4, spaceAfter=8)
    grid.setStyle([*PADDING, ("BOX", (0, 0), (-1, -1), 0.4, LINE), ("INNERGRID", (0, 0), (-1, -1), 0.4, LINE)])
    return grid


def _signatures(block: Signatures, width: float) -> Flowable:
    cells = [_paragraph(f"{name}, date", "small") for name in block.names]
    grid = Grid([cells], colWidths=[width / len(cells)] * len(cells))
    grid.setStyle([*PADDING, *(("LINEABOVE", (n, 0), (n, 0), 0.7, INK) for n in range(len(cells)))])
    return KeepTogether([Spacer(1, 22 * mm), grid])

"""Reports: the same numbers in every format and unit, the same bytes again, nothing gets in or out."""

from __future__ import annotations

import datetime as dt
import functools
import hashlib
import inspect
import io
import os
import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path
from typing import get_args

import openpyxl
import pandas as pd
import pypdf
import pypdfium2
import pytest
from PIL import Image

from riskscope.analysis.assessment import Assessment
from riskscope.intake.options import ReadOptions
from riskscope.jobs import report
from riskscope.jobs.rank import Request, rank
from riskscope.report.blocks import Block, Document
from riskscope.report.documents.parts import every_column
from riskscope.report.writers import html, pdf
from riskscope.results.tables import results
from riskscope.schema import results as schema
from riskscope.units import from_inside
from riskscope.words.render import Units
from tests import of_demo
from tests.examples import part

TOP = Path(__file__).parent.parent.parent
DEMO = TOP / "demo_data"
ON = dt.date(2026, 6, 1)
READERS = {"US": Units("°F", "lbf·in"), "SI": Units()}


def request(folder: Path, units: Units, **options: str) -> Request:
    return Request(folder, {}, ReadOptions(), options, None, ON, units)


def made(folder: Path, name: str, units: Units, **options: str) -> tuple[Assessment, dict[str, bytes]]:
    asked = request(folder, units, **options)
    assessment = rank(asked)
    document = report.REPORTS[name](report.subject(assessment, asked))
    return assessment, report.render(document, report.FORMATS)


@functools.cache
def of_the_demo(name: str, units: str = "US") -> tuple[Assessment, dict[str, bytes]]:
    """A report of the demo site, made once."""
    return made(DEMO, name, READERS[units])


@pytest.mark.parametrize("block", get_args(Block), ids=lambda block: block.__name__)
def test_every_block_has_its_case_in_both_writers(block: type) -> None:
    template = (Path(html.__file__).parent / "page.html.jinja").read_text("utf-8")
    assert f'kind == "{block.__name__}"' in template
    assert block.__name__ in inspect.getsource(pdf._flow)


def test_a_block_without_a_case_is_an_error_and_not_left_out() -> None:
    class Unknown:
        pass

    document = Document("T", "", [Unknown()], Units())  # type: ignore[list-item]
    with pytest.raises(TypeError, match="no case for a Unknown"):
        report.render(document, ("html",))


@pytest.fixture(scope="module", params=part(READERS, 1))
def survey(request: pytest.FixtureRequest) -> tuple[Assessment, dict[str, bytes], Units]:
    return *of_the_demo("survey", request.param), READERS[request.param]


class Text(HTMLParser):
    """The words of a page, and everything it would fetch."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.fetched: list[str] = []
        self.quiet = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.quiet += tag in {"style", "script"}
        assert tag not in {"script", "iframe", "object", "embed", "link", "form"}
        for name, value in attrs:
            assert not name.startswith("on"), (tag, name)
            if (
                name in {"src", "href", "xlink:href", "data", "action"}
                and value
                and not value.startswith(("#", "data:"))
            ):
                self.fetched.append(value)

    def handle_endtag(self, tag: str) -> None:
        self.quiet -= tag in {"style", "script"}

    def handle_data(self, data: str) -> None:
        if not self.quiet:
            self.words.append(data)


def html_text(data: bytes) -> str:
    page = Text()
    page.feed(data.decode("utf-8"))
    assert page.fetched == []
    return " ".join(" ".join(page.words).split())


def pdf_text(data: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages).split())


def shown(value: float, kind: str, units: Units) -> str:
    unit = units.temperature if kind == "temperature" else units.difference
    number = float(from_inside(value, kind, unit))
    return f"{number + 0.0:.1f} {unit}".replace("-", "−")


def test_html_and_pdf_tell_the_numbers_of_the_ranking(survey: tuple[Assessment, dict[str, bytes], Units]) -> None:
    assessment, files, units = survey
    told = results(assessment, units)["ranking"].query("severity >= 2")
    texts = {
        form: re.sub(r"\s", "", text)
        for form, text in (("html", html_text(files["html"])), ("pdf", pdf_text(files["pdf"])))
    }
    assert len(told) == 17
    for form, text in texts.items():
        for row in told.itertuples():
            begin = text.index(re.sub(r"\s", "", f"{row.connection_id}: {row.action}, severity {row.severity}"))
            part = text[begin : begin + 4000]
            for value, kind, most in (
                (row.rise_rated_k, "difference", 100.0),
                (row.limit_c, "temperature", 999.0),
                (row.rise_ambient_k, "difference", 999.0),
                (row.projected_c, "temperature", 140.0),  # 40 °C and 100 K: over that no joint lives to show it
            ):
                if not pd.isna(value):
                    words = shown(value, kind, units) if value <= most else f"over {shown(most, kind, units)}"
                    words = words if value <= most else words.replace(".0", "")
                    assert re.sub(r"\s", "", words) in part, (form, row.connection_id, kind)


def test_the_workbook_holds_the_ranking(survey: tuple[Assessment, dict[str, bytes], Units]) -> None:
    assessment, files, units = survey
    sheet = openpyxl.load_workbook(io.BytesIO(files["xlsx"]))["ranking"]
    rows = list(sheet.values)
    ranking = results(assessment, units)["ranking"]
    assert len(rows) == len(ranking) + 1
    units = {
        "temperature": ("temperature", units.temperature),
        "rise": ("difference", units.difference),
        "torque": ("torque", units.torque),
    }
    for place, show in enumerate(every_column(schema.RANKING)):
        head, cells = rows[0][place], [row[place] for row in rows[1:]]
        expected = ranking[show.name]
        if show.kind in units:
            quantity, unit = units[show.kind]
            assert head == f"{show.title} ({unit})"
            theirs = [None if pd.isna(v) else float(from_inside(v, quantity, unit)) for v in expected]
            assert cells == pytest.approx(theirs, abs=1e-9)
        elif show.kind == "severity":
            assert cells == ["not rated" if pd.isna(v) else int(v) for v in expected]
        elif show.kind == "day":
            assert cells == [None if pd.isna(v) else v.to_pydatetime() for v in expected]
    assert sheet.freeze_panes == "B2"
    assert sheet.auto_filter.ref is not None


def test_every_planted_connection_is_in_the_pdf(survey: tuple[Assessment, dict[str, bytes], Units]) -> None:
    planted = pd.read_csv(DEMO / "planted.csv", comment="#")
    _, files, _ = survey
    text = re.sub(r"\s", "", pdf_text(files["pdf"]))
    ids = [
        name
        for name in planted["connection_id"]
        if name in set(results(survey[0], Units())["ranking"].query("severity >= 1")["connection_id"])
    ]
    assert len(ids) > 10
    assert [name for name in ids if name not in text] == []


@pytest.mark.parametrize("name", part(["work", "overview", "survey"], 1))
def test_nothing_stands_outside_its_page_and_headings_keep_with_what_follows(name: str) -> None:
    _, files = of_the_demo(name)
    pdf = pypdfium2.PdfDocument(files["pdf"])
    headings = {item.get_title().split(":")[0] for item in pdf.get_toc()}
    for page in pdf:
        width, height = page.get_size()
        text = page.get_textpage()
        last, lowest = "", height
        for number in range(text.count_rects()):
            left, bottom, right, top = text.get_rect(number)
            assert left >= 40, "left of the frame"
            assert right <= width - 40, "right of the frame"
            assert bottom >= 20
            assert top <= height - 30
            words = text.get_text_bounded(left, bottom, right, top).strip()
            if bottom > 60 and bottom < lowest:  # above the foot line
                last, lowest = words, bottom
        assert last not in headings, f"{last!r} stands last on its page"


SCRIPT = "from tests.report.test_documents import hashes; print(hashes({names}))"


def cells_hash(data: bytes) -> str:
    book = openpyxl.load_workbook(io.BytesIO(data))
    text = "\n".join(repr((sheet.title, row)) for sheet in book for row in sheet.values)
    return hashlib.sha256(text.encode()).hexdigest()


def hashes(*names: str) -> str:
    """Of these reports: of the bytes of PDF and HTML, of the cells of the workbook."""
    told = []
    for name in names:
        _, files = of_the_demo(name)
        told += [
            hashlib.sha256(files["pdf"]).hexdigest(),
            hashlib.sha256(files["html"]).hexdigest(),
            cells_hash(files["xlsx"]),
        ]
    return " ".join(told)


def same_bytes(*names: str) -> None:
    """Reports made here and in a process of another zone and hash seed are the same."""
    environment = {**os.environ, "TZ": "Pacific/Auckland", "PYTHONHASHSEED": "77"}
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT.format(names=str(names)[1:-1])],
        cwd=TOP,
        env=environment,
        text=True,
        capture_output=True,
        check=True,
    )
    here = hashes(*names)
    assert done.stdout.strip() == here
    assert len(set(here.split())) == 3 * len(names)


EVIL = [
    "<script>alert(1)</script>",
    "=1+cmd|'/c calc'!A0",
    "a\u202eb\x07",
    "שלום/F1",
    "X" * 300,
    "<b>{{7*7}}</b>",
    "Ω-Жя-漢",
]


@pytest.fixture
def evil_site(tmp_path: Path) -> Path:
    rows = ["connection_id,survey_date,connection_c,ambient_c,load_pct,equipment,image"]
    for number, name in enumerate(EVIL):
        quoted = '"' + name.replace('"', '""') + '"'
        picture = ["none.png", "broken.png", "bomb.png", "../../etc/passwd", "good.jpg", "", "good.jpg"][number]
        rows.append(f'{quoted},2026-05-04,{95 + number},30,80,"<i>B</i>",{picture}')
    (tmp_path / "survey.csv").write_text("\n".join(rows), encoding="utf-8")
    (tmp_path / "broken.png").write_bytes(b"\x89PNG\r\n\x1a\n" + b"junk" * 50)
    Image.new("1", (9000, 9000)).save(tmp_path / "bomb.png")
    Image.new("RGB", (640, 480), "#336699").save(tmp_path / "good.jpg")
    return tmp_path


def test_what_people_write_is_shown_and_does_nothing(evil_site: Path) -> None:
    _, files = made(evil_site, "survey", Units(), organisation="<img src=x onerror=alert(1)>")
    page = html_text(files["html"])
    for name in EVIL:
        assert name.replace("\u202e", "\ufffd").replace("\x07", "\ufffd") in page
    assert "none.png: not found" in page
    assert "broken.png: is not a picture that can be shown" in page
    assert "bomb.png: is too large to show" in page
    assert "passwd: not found" in page
    assert files["html"].count(b"data:image/jpeg") == 2
    text = re.sub(r"\s", "", pdf_text(files["pdf"]))
    assert "X" * 300 in text
    assert "<script>alert(1)</script>" in text
    book = openpyxl.load_workbook(io.BytesIO(files["xlsx"]))
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert not [cell for cell in cells if cell.data_type == "f"]
    assert any(cell.value == EVIL[1] for cell in cells)


def test_paper_logo_number_and_signatures(evil_site: Path) -> None:
    _, files = made(
        evil_site,
        "work",
        Units(),
        paper="Letter",
        report_number="R-17",
        logo="good.jpg",
        organisation="Fen Light and Power (invented)",
        signatures="Planner; Witness",
    )
    units = pypdf.PdfReader(io.BytesIO(files["pdf"]))
    assert [round(float(n)) for n in units.pages[0].mediabox[2:]] == [612, 792]
    text = pdf_text(files["pdf"])
    for words in ("Fen Light and Power (invented)", "report R-17", "Planner, date", "Witness, date", "page 1"):
        assert words in text
    assert units.metadata is not None
    assert units.metadata.author == "Fen Light and Power (invented)"
    assert len(units.outline) > 3


def test_sheets_for_the_site_are_read_back(tmp_path: Path) -> None:
    ranked = of_demo.ranked()
    for name, column in (("field-sheet", "equipment"), ("findings-sheet", "connection_id")):
        book = openpyxl.load_workbook(io.BytesIO(report.sheet(ranked, name, Units())))
        rows = list(book.worksheets[0].values)
        place = rows[0].index(column)
        assert len([row for row in rows[1:] if row[0]]) > 10
        assert all(row[place] for row in rows[1:] if row[0])


def test_a_picture_kept_with_the_survey_is_in_the_report(tmp_path: Path) -> None:
    from riskscope.jobs import keep
    from tests.store.build import ANN, add

    buffer = io.BytesIO()
    Image.new("RGB", (64, 48), "#993311").save(buffer, "PNG")
    place = str(tmp_path / "s.db")
    with keep.opened(place, create=True) as store:
        add(store, "connection_id,survey_date,connection_c,ambient_c,load_pct,image\nA,2026-05-04,95,30,80,IR_1.csv\n")
        keep.keep_picture(store, "ir_1.csv", buffer.getvalue(), ANN)
    asked = Request(folder=None, files={}, read_options=ReadOptions(), options={}, criteria=None, on=ON, store=place)
    document = report.REPORTS["survey"](report.subject(rank(asked), asked))
    page = report.render(document, ("html",))["html"]
    assert b"data:image/png;base64," in page
    assert b"not found beside" not in page


def test_a_survey_of_rises_alone_has_a_report(tmp_path: Path) -> None:
    (tmp_path / "survey.csv").write_text(
        "connection_id,survey_date,rise_similar_k,load_pct\nA,2026-05-04,20,80\nB,2026-05-04,2,30\n"
    )
    _, files = made(tmp_path, "survey", Units())
    assert "rise over similar 20.0 K as found" in html_text(files["html"])

"""The main journeys in a real browser, from an empty store; waits are for words, never for time."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import pytest
from playwright.sync_api import Page, TimeoutError, expect

from riskscope.jobs import keep
from tests.examples import part
from tests.screens.serving import TOP, Served
from tests.store.build import ANN, add

T = TypeVar("T")
HEAD = "connection_id,survey_date,connection_c,ambient_c,load_pct,equipment,circuit,phase\n"
SURVEY = (
    "Spot,survey_date,Reading (°C),ambient_c,load_pct,equipment,circuit,phase\n"
    "P1/F1/A,2026-05-04,62,30,80,P1,F1,A\nP1/F1/B,2026-05-04,41,30,80,P1,F1,B\nP1/F1/C,2026-05-04,OL,30,80,P1,F1,C\n"
    'P1/F2/A,2026-05-04,44,30,80,"<b>=1+1</b>",F2,A\n'
)


def circuit(board: str, day: str, *temperatures: float) -> str:
    """A survey of one circuit at 80 % load and 30 °C, as a file."""
    return HEAD + "".join(
        f"{board}/F1/{phase},{day},{temperature:g},30,80,{board},F1,{phase}\n"
        for phase, temperature in zip("ABC", temperatures, strict=True)
    )


def seed(app: Served, name: str, text: str) -> None:
    """Bring a file into the app's store without the app."""
    with keep.opened(str(app.store), create=True) as store:
        add(store, text, name)


def settled(page: Page) -> None:
    """Wait until the app has nothing more to draw: what is clicked before that may be drawn anew."""
    expect(page.get_by_test_id("stApp")).to_have_attribute("data-test-script-state", "notRunning")


def choose(page: Page, label: str, option: str, *, one_of_many: bool = False) -> None:
    """Choose from a list by its label; a list that closes because the page still moves is opened again."""
    settled(page)
    box = page.get_by_role("combobox", name=label, exact=True)
    for _ in range(10):
        box.click()
        box.fill(option)
        try:
            page.get_by_role("option", name=option, exact=True).click(timeout=1500)
            if one_of_many:  # it stays on the page, beside the list
                page.get_by_test_id("stMultiSelect").get_by_text(option, exact=True).wait_for(timeout=1500)
        except TimeoutError:
            box.blur()
        else:
            return
    raise AssertionError(f"{option!r} could not be chosen for {label!r}")


def until(ask: Callable[[], T]) -> T:
    """What is asked for, as soon as it is there; an empty answer after a minute."""
    end = time.monotonic() + 60
    while not (answer := ask()) and time.monotonic() < end:
        time.sleep(0.05)
    return answer


def press(page: Page, label: str) -> None:
    """Press a button once the page is settled and it can be."""
    button = page.get_by_role("button", name=label)
    expect(button).to_be_enabled()
    settled(page)
    button.click()


def upload(page: Page, name: str, text: str) -> None:
    """Drop a file in; once more where the page was drawn anew under it, after an import that has just ended."""
    for _ in range(3):
        settled(page)
        file = {"name": name, "mimeType": "text/csv", "buffer": text.encode()}
        page.locator('input[type="file"]').set_input_files(file)  # type: ignore[arg-type]
        try:
            page.get_by_role("heading", name=name).wait_for(timeout=10_000)
        except TimeoutError:
            continue
        return
    raise AssertionError(f"{name} was not taken up")


def test_from_upload_to_connection(app: Served, page: Page) -> None:
    page.goto(f"{app.address}/bring-in?by=Ann")
    expect(page.get_by_text("Nothing is kept until you accept it.")).to_be_visible()
    upload(page, "may.csv", SURVEY)
    choose(page, "This file holds", "Infrared survey")
    expect(page.get_by_text("no column of temperatures or rises")).to_be_visible()
    choose(page, "“Reading (°C)” is", "connection_c")
    expect(page.get_by_text("3 rows accepted")).to_be_visible()
    settled(page)
    page.get_by_text("How each header was understood").click()
    choose(page, "“Spot” is", "connection_id")
    expect(page.get_by_role("combobox", name="“connection_id” is")).to_have_count(0)
    settled(page)
    expect(page.get_by_text("off the instrument's scale")).to_be_visible()
    cell = page.get_by_role("textbox", name="Reading (°C)")
    expect(cell).to_have_value("OL")
    settled(page)
    cell.fill("43")
    press(page, "Use these cells")
    expect(page.get_by_text("4 rows accepted")).to_be_visible()
    press(page, "Accept this file")
    page.get_by_role("link", name="See the survey results").click()
    expect(page.get_by_role("heading", name="Survey results")).to_be_visible()
    expect(page.get_by_text("<b>=1+1</b>").first).to_be_visible()
    page.get_by_role("link", name="P1/F1/A", exact=True).click()
    expect(page.get_by_role("heading", name="P1/F1/A")).to_be_visible()
    expect(page.get_by_text("(may.csv, line 2)")).to_be_visible()
    with keep.opened(str(app.store)) as store:
        (one,) = (one for one in keep.listed(store, ANN.actor) if one.name == "may.csv")
        assert (one.actor, one.tables["survey"]["accepted"]) == ("Ann", 4)
        assert [(edit.old, edit.new) for edit in keep.edits(store, ANN.actor, one.id)] == [("OL", "43")]


@pytest.mark.long
def test_the_same_file_again_and_a_corrected_one(app: Served, page: Page) -> None:
    first = circuit("P3", "2026-05-30", 41, 41, 41.5)
    seed(app, "p3.csv", first)
    page.goto(f"{app.address}/bring-in")
    upload(page, "p3.csv", first)
    press(page, "Accept this file")
    expect(page.get_by_text("p3.csv is there already")).to_be_visible()
    upload(page, "p3 again.csv", first.replace(",41.5,", ",41.2,"))
    expect(page.get_by_text("is the same list again")).to_be_visible()
    expect(page.get_by_text("1 of 1 file cannot come in yet")).to_be_visible()
    settled(page)
    page.get_by_text("It replaces import", exact=False).click()
    press(page, "Accept this file")
    expect(page.get_by_text("p3 again.csv brought in")).to_be_visible()
    page.goto(f"{app.address}/records?view=imports")
    expect(page.get_by_role("row").filter(has_text="p3.csv")).to_contain_text("superseded by")
    settled(page)
    number = page.get_by_role("row").filter(has_text="p3 again.csv").get_by_role("cell").first.inner_text()
    choose(page, "Import", f"{number}: p3 again.csv")
    page.get_by_text("Yes, take back import").click()
    press(page, "Undo this import")
    expect(page.get_by_text("no longer counts")).to_be_visible()


@pytest.mark.long
def test_filters_come_back_and_links_lead_anywhere(app: Served, page: Page) -> None:
    seed(app, "p4.csv", circuit("P4", "2026-05-04", 41, 41, 41.5))
    page.goto(f"{app.address}/survey?board=P4&find=F1")
    expect(page.get_by_text("Rows 1 to 3 of 3")).to_be_visible()
    page.get_by_role("link", name="P4/F1/B", exact=True).focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="P4/F1/B")).to_be_visible()
    page.go_back()
    expect(page.get_by_text("Rows 1 to 3 of 3")).to_be_visible()
    assert "board=P4" in page.url
    page.goto(f"{app.address}/connection?id=NOPE")
    expect(page.get_by_role("heading", name="No such connection")).to_be_visible()
    settled(page)
    page.get_by_role("textbox", name="Find a connection").fill("P4/F1")
    page.keyboard.press("Enter")
    page.get_by_role("link", name="P4/F1/C", exact=True).click()
    expect(page.get_by_role("heading", name="P4/F1/C")).to_be_visible()


@pytest.mark.parametrize(
    ("name", "data", "words"),
    part([("photo.csv", b"\xff\xd8\xff\xe0" + b"\x00\x10JFIF" * 200, "photo.csv"), ("empty.csv", b"", "empty.csv")], 1),
)
def test_a_file_of_the_wrong_kind_is_one_sentence(app: Served, page: Page, name: str, data: bytes, words: str) -> None:
    page.goto(f"{app.address}/bring-in")
    page.locator('input[type="file"]').set_input_files({"name": name, "mimeType": "text/csv", "buffer": data})
    expect(page.get_by_role("heading", name=words)).to_be_visible()
    expect(page.get_by_role("alert").first).to_be_visible()
    expect(page.get_by_text("Traceback")).to_have_count(0)


@pytest.mark.long
def test_the_workbook_that_kills_a_reader_kills_no_app(app: Served, page: Page, tmp_path: Path) -> None:
    import openpyxl

    book = openpyxl.Workbook()
    book.active["A1"] = "connection_id"  # type: ignore[index]
    book.active["XFD1048576"] = 1  # type: ignore[index]
    book.save(tmp_path / "far.xlsx")
    page.goto(f"{app.address}/bring-in")
    page.locator('input[type="file"]').set_input_files(tmp_path / "far.xlsx")
    expect(page.get_by_role("heading", name="far.xlsx")).to_be_visible()
    expect(page.get_by_role("alert").first).to_be_visible()
    assert app.process.poll() is None


def test_a_file_that_is_too_large_is_refused(app: Served, page: Page, tmp_path: Path) -> None:
    path = tmp_path / "large.csv"
    with path.open("wb") as file:
        file.truncate(200_000_000)
    page.goto(f"{app.address}/bring-in")
    page.locator('input[type="file"]').set_input_files(path)
    expect(page.get_by_text("150", exact=False).first).to_be_visible()
    expect(page.get_by_role("button", name="Accept this file")).to_have_count(0)


@pytest.mark.long
def test_a_tab_closed_in_mid_import_does_not_stop_it(app: Served, page: Page) -> None:
    """The work is the server's: all of the file comes in. (That it is all or nothing: tests/store.)"""
    rows = "\n".join(f"Q{n // 300}/F{n}/A,2026-05-05,41,30,80" for n in range(20_000))
    page.goto(f"{app.address}/bring-in")
    upload(page, "big.csv", "connection_id,survey_date,connection_c,ambient_c,load_pct\n" + rows)
    press(page, "Accept this file")
    expect(page.get_by_text("Working:").or_(page.get_by_text("big.csv brought in")).first).to_be_visible()
    page.close()

    def brought() -> list[int]:
        with keep.opened(str(app.store)) as store:
            return [one.tables["survey"]["accepted"] for one in keep.listed(store, ANN.actor) if one.name == "big.csv"]

    assert until(brought) == [20_000]


@pytest.mark.long
def test_an_outage_is_planned_and_its_cards_come_out(app: Served, page: Page) -> None:
    seed(app, "p7.csv", circuit("P7", "2026-05-29", 58, 41, 41.5))
    page.goto(f"{app.address}/plan")
    expect(page.get_by_text("No outage is known yet.")).to_be_visible()
    settled(page)
    page.get_by_text("Enter an outage").click()
    page.get_by_role("textbox", name="Name of the outage").fill("Autumn stop")
    choose(page, "Boards that are isolated", "P7", one_of_many=True)
    page.keyboard.press("Tab")
    press(page, "Keep this outage")
    expect(page.get_by_text("Kept: Autumn stop.")).to_be_visible()
    expect(page.get_by_text("must be dealt with before any outage")).to_be_visible()
    press(page, "Plan the outages")
    expect(page.get_by_role("heading", name="Who does what")).to_be_visible()
    expect(page.get_by_role("link", name="P7/F1/A", exact=True).first).to_be_visible()
    with page.expect_download() as waiting:
        press(page, "Job cards (PDF)")
    assert waiting.value.path().read_bytes().startswith(b"%PDF")


@pytest.mark.long
def test_a_thermogram_becomes_readings(app: Served, page: Page) -> None:
    page.goto(f"{app.address}/thermograms")
    settled(page)
    page.locator('input[type="file"]').set_input_files(TOP / "demo_data" / "thermograms" / "ir_001.csv")
    expect(page.get_by_text("proposed 1")).to_be_visible()
    page.get_by_role("textbox", name="Boxes").fill("A; T1/F1/A; 32,57 38,63; 0.95\nB; T1/F1/B; 77,57 83,63")
    page.keyboard.press("Control+Enter")
    expect(page.get_by_role("cell", name="T1/F1/A")).to_be_visible()
    expect(page.get_by_role("img", name="Thermogram ir_001.csv: A 62")).to_be_visible()
    press(page, "Take these readings into the survey")
    expect(page.get_by_text("2 readings taken in.")).to_be_visible()


def test_the_log_is_quiet(app: Served) -> None:
    text = app.log.read_text().casefold()
    assert "deprecat" not in text
    assert "traceback" not in text

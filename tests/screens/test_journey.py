"""The main journeys in a real browser, from an empty store; waits are for words, never for time."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, TimeoutError, expect

from riskscope.jobs import keep
from tests.screens.conftest import TOP, Served

SURVEY = (
    "Spot,survey_date,Reading (°C),ambient_c,load_pct,equipment,circuit,phase\n"
    "P1/F1/A,2026-05-04,62,30,80,P1,F1,A\nP1/F1/B,2026-05-04,41,30,80,P1,F1,B\nP1/F1/C,2026-05-04,OL,30,80,P1,F1,C\n"
    'P1/F2/A,2026-05-04,44,30,80,"<b>=1+1</b>",F2,A\n'
)
AFTER = (
    "connection_id,survey_date,connection_c,ambient_c,load_pct,equipment,circuit,phase\n"
    "P1/F1/A,2026-05-30,41,30,80,P1,F1,A\nP1/F1/B,2026-05-30,41,30,80,P1,F1,B\nP1/F1/C,2026-05-30,41.5,30,80,P1,F1,C\n"
)


def choose(page: Page, label: str, option: str) -> None:
    """Choose from a list by its label; a list that moves while it opens is opened again."""
    box = page.get_by_role("combobox", name=label)
    for _ in range(6):
        box.click()
        box.fill(option)
        try:
            page.get_by_role("option", name=option, exact=True).first.click(timeout=4000)
        except TimeoutError:
            page.keyboard.press("Escape")
        else:
            return
    raise AssertionError(f"{option!r} could not be chosen for {label!r}")


def settled(page: Page) -> None:
    """Wait until the app has nothing more to draw."""
    expect(page.get_by_test_id("stApp")).to_have_attribute("data-test-script-state", "notRunning")


def accept(page: Page) -> None:
    """Accept what was dropped in, once it can be."""
    button = page.get_by_role("button", name="Accept this file")
    expect(button).to_be_enabled()
    settled(page)
    button.click()


def upload(page: Page, name: str, text: str) -> None:
    settled(page)
    page.locator('input[type="file"]').set_input_files(
        {"name": name, "mimeType": "text/csv", "buffer": text.encode()}
    )


def test_an_empty_store_says_what_to_do(app: Served, page: Page) -> None:
    page.goto(app.address)
    expect(page.get_by_role("button", name="Bring in the demo site")).to_be_visible()
    for path in ("survey", "work", "connection", "records"):
        page.goto(f"{app.address}/{path}")
        expect(page.get_by_text("There is no survey yet")).to_be_visible()
        expect(page.get_by_role("link", name="Bring in files or try the demo site")).to_be_visible()


def test_from_upload_to_connection(app: Served, page: Page) -> None:
    page.goto(f"{app.address}/bring-in?by=Ann")
    expect(page.get_by_text("Nothing is kept until you accept it.")).to_be_visible()
    upload(page, "may.csv", SURVEY)
    choose(page, "This file holds", "Infrared survey")
    expect(page.get_by_text("no column of temperatures or rises")).to_be_visible()
    choose(page, "“Reading (°C)” is", "connection_c")
    expect(page.get_by_text("3 rows accepted")).to_be_visible()
    page.get_by_text("How each header was understood").click()
    choose(page, "“Spot” is", "connection_id")
    expect(page.get_by_role("combobox", name="“connection_id” is")).to_have_count(0)
    expect(page.get_by_text("off the instrument's scale")).to_be_visible()
    cell = page.get_by_role("textbox", name="Reading (°C)")
    expect(cell).to_have_value("OL")
    cell.fill("43")
    page.get_by_role("button", name="Use these cells").click()
    expect(page.get_by_text("4 rows accepted")).to_be_visible()
    accept(page)
    page.get_by_role("link", name="See the survey results").click()
    expect(page.get_by_role("heading", name="Survey results")).to_be_visible()
    expect(page.get_by_text("<b>=1+1</b>").first).to_be_visible()
    page.get_by_role("link", name="P1/F1/A", exact=True).click()
    expect(page.get_by_role("heading", name="P1/F1/A")).to_be_visible()
    expect(page.get_by_text("(may.csv, line 2)")).to_be_visible()
    with keep.opened(str(app.store)) as store:
        (one,) = keep.listed(store)
        assert (one.actor, one.tables["survey"]["accepted"]) == ("Ann", 4)
        assert [(edit.old, edit.new) for edit in keep.edits(store, one.id)] == [("OL", "43")]


def test_a_finding_and_a_new_survey_show_a_cure(app: Served, page: Page) -> None:
    page.goto(f"{app.address}/work?id=P1/F1/A&day=2026-05-20")
    expect(page.get_by_role("textbox", name="Connection", exact=True)).to_have_value("P1/F1/A")
    page.get_by_role("textbox", name="Torque it was left at").fill("31")
    page.get_by_role("button", name="Keep this finding").click()
    expect(page.get_by_text("The lists above count it.")).to_be_visible()
    page.goto(f"{app.address}/bring-in")
    upload(page, "after.csv", AFTER)
    accept(page)
    expect(page.get_by_text("after.csv brought in")).to_be_visible()
    page.goto(app.address)
    expect(page.get_by_role("heading", name="What work has cured")).to_be_visible()
    row = page.get_by_role("row").filter(has_text="tightened")
    expect(row).to_contain_text("1")
    page.goto(f"{app.address}/connection?id=p1/f1/a")
    expect(page.get_by_text("cured", exact=True)).to_be_visible()


def test_the_same_file_again_and_a_corrected_one(app: Served, page: Page) -> None:
    page.goto(f"{app.address}/bring-in")
    upload(page, "after.csv", AFTER)
    accept(page)
    expect(page.get_by_text("after.csv is there already")).to_be_visible()
    upload(page, "after2.csv", AFTER.replace(",41.5,", ",41.2,"))
    expect(page.get_by_text("is the same list again")).to_be_visible()
    expect(page.get_by_text("1 of 1 files cannot come in yet")).to_be_visible()
    page.get_by_text("It replaces import", exact=False).click()
    accept(page)
    expect(page.get_by_text("after2.csv brought in")).to_be_visible()
    page.goto(f"{app.address}/records?view=imports")
    expect(page.get_by_text("superseded by")).to_be_visible()
    page.get_by_text("Yes, take back import").click()
    page.get_by_role("button", name="Undo this import").click()
    expect(page.get_by_text("no longer counts")).to_be_visible()


def test_filters_come_back_and_links_lead_anywhere(app: Served, page: Page) -> None:
    page.goto(f"{app.address}/survey?board=P1&find=F1")
    expect(page.get_by_text("Rows 1 to 3 of 3")).to_be_visible()
    page.get_by_role("link", name="P1/F1/B", exact=True).focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="P1/F1/B")).to_be_visible()
    page.go_back()
    expect(page.get_by_text("Rows 1 to 3 of 3")).to_be_visible()
    assert "board=P1" in page.url
    page.goto(f"{app.address}/connection?id=NOPE")
    expect(page.get_by_role("heading", name="No such connection")).to_be_visible()
    page.get_by_role("textbox", name="Find a connection").fill("F1")
    page.keyboard.press("Enter")
    page.get_by_role("link", name="P1/F1/C", exact=True).click()
    expect(page.get_by_role("heading", name="P1/F1/C")).to_be_visible()


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("photo.csv", b"\xff\xd8\xff\xe0" + b"\x00\x10JFIF" * 200, "photo.csv"),
        ("empty.csv", b"", "empty.csv"),
    ],
    ids=["picture", "empty"],
)  # fmt: skip
def test_a_file_of_the_wrong_kind_is_one_sentence(
    app: Served, page: Page, name: str, data: bytes, words: str
) -> None:
    page.goto(f"{app.address}/bring-in")
    page.locator('input[type="file"]').set_input_files(
        {"name": name, "mimeType": "text/csv", "buffer": data}
    )
    expect(page.get_by_role("heading", name=words)).to_be_visible()
    expect(page.get_by_role("alert").first).to_be_visible()
    expect(page.get_by_text("Traceback")).to_have_count(0)


def test_the_workbook_that_kills_a_reader_kills_no_app(
    app: Served, page: Page, tmp_path: Path
) -> None:
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


def test_a_tab_closed_in_mid_import_leaves_all_or_nothing(app: Served, page: Page) -> None:
    rows = "\n".join(f"Q{n // 300}/F{n}/A,2026-05-05,41,30,80" for n in range(20_000))
    page.goto(f"{app.address}/bring-in")
    upload(page, "big.csv", "connection_id,survey_date,connection_c,ambient_c,load_pct\n" + rows)
    accept(page)
    page.close()
    for _ in range(100):
        with keep.opened(str(app.store)) as store:
            mine = [one for one in keep.listed(store) if one.name == "big.csv"]
        if mine:
            break
        import time

        time.sleep(0.2)
    assert not mine or mine[0].tables["survey"]["accepted"] == 20_000


def test_an_outage_is_planned_and_its_cards_come_out(app: Served, page: Page) -> None:
    page.goto(f"{app.address}/bring-in")
    hot = AFTER.replace("P1/", "P7/").replace("P1,", "P7,").replace(",41,30", ",58,30", 1)
    upload(page, "p7.csv", hot.replace("2026-05-30", "2026-05-29"))
    accept(page)
    expect(page.get_by_text("p7.csv brought in")).to_be_visible()
    page.goto(f"{app.address}/plan")
    expect(page.get_by_text("No outage is known yet.")).to_be_visible()
    page.get_by_text("Enter an outage").click()
    page.get_by_role("textbox", name="Name of the outage").fill("Autumn stop")
    choose(page, "Boards that are isolated", "P7")
    page.keyboard.press("Escape")
    page.get_by_role("button", name="Keep this outage").click()
    expect(page.get_by_text("Kept: Autumn stop.")).to_be_visible()
    expect(page.get_by_text("must be dealt with before any outage")).to_be_visible()
    settled(page)
    page.get_by_role("button", name="Plan the outages").click()
    expect(page.get_by_role("heading", name="Who does what")).to_be_visible()
    expect(page.get_by_role("link", name="P7/F1/A", exact=True).first).to_be_visible()
    settled(page)
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Job cards (PDF)").click()
    assert waiting.value.path().read_bytes().startswith(b"%PDF")


def test_a_thermogram_becomes_readings(app: Served, page: Page) -> None:
    page.goto(f"{app.address}/thermograms")
    settled(page)
    page.locator('input[type="file"]').set_input_files(
        TOP / "demo_data" / "thermograms" / "ir_001.csv"
    )
    expect(page.get_by_text("proposed 1")).to_be_visible()
    page.get_by_role("textbox", name="Boxes").fill(
        "A; T1/F1/A; 32,57 38,63; 0.95\nB; T1/F1/B; 77,57 83,63"
    )
    page.keyboard.press("Control+Enter")
    expect(page.get_by_role("cell", name="T1/F1/A")).to_be_visible()
    expect(page.get_by_role("img", name="Thermogram ir_001.csv: A 62")).to_be_visible()
    settled(page)
    page.get_by_role("button", name="Take these readings into the survey").click()
    expect(page.get_by_text("2 readings taken in.")).to_be_visible()


def test_the_log_is_quiet(app: Served) -> None:
    text = app.log.read_text().casefold()
    assert "deprecat" not in text
    assert "traceback" not in text

"""From work to proof in a real browser: what must not wait stays until it is put right, and proved at enough load."""

from __future__ import annotations

import io

import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from riskscope.jobs import keep
from tests.screens.serving import Served
from tests.screens.test_journey import HEAD, choose, press, seed, settled
from tests.store.build import ANN

RECORD = (
    "connection_id,work_date,required_torque,applied_torque,torque_unit,tool_id\n{0}/F1/A,2026-02-01,25,25,N·m,{0}-T\n"
)
TOOL = "tool_id,range_min,range_max,torque_unit,calibrated_on\n{0}-T,5,50,N·m,2026-01-10\n"


def survey(board: str, day: str, hot: float, load: int) -> str:
    """A of a board beside B and C, at one load."""
    return HEAD + "".join(
        f"{board}/F1/{phase},{day},{celsius:g},30,{load},{board},F1,{phase}\n"
        for phase, celsius in zip("ABC", (hot, 35.0, 34.0), strict=True)
    )


def burnt(app: Served, board: str) -> None:
    """A joint over its limit of 90 °C: to be remade, and it must not wait."""
    seed(app, f"{board} before.csv", survey(board, "2026-05-04", 91, 80))
    seed(app, f"{board} installs.csv", RECORD.format(board))
    seed(app, f"{board} tools.csv", TOOL.format(board))


def remade(page: Page, app: Served, board: str) -> None:
    """Enter a remake with its torque on 20 May."""
    page.goto(f"{app.address}/work?id={board}/F1/A&day=2026-05-20")
    settled(page)
    choose(page, "As found", "discoloured")
    choose(page, "Done", "remade")
    choose(page, "Unit of the torque", "N·m")
    for label, words in (("Torque it was left at", "25"), ("Torque tool", f"{board}-T")):
        page.get_by_role("textbox", name=label).fill(words)
    buffer = io.BytesIO()
    Image.new("RGB", (320, 200), "#884422").save(buffer, "JPEG")
    photo = {"name": "IMG_1.jpg", "mimeType": "image/jpeg", "buffer": buffer.getvalue()}
    page.get_by_test_id("stFileUploaderDropzoneInput").set_input_files(photo)  # type: ignore[arg-type]
    expect(page.get_by_text("IMG_1.jpg")).to_be_visible()
    press(page, "See what this finding changes")


@pytest.mark.long
def test_put_off_it_stays_now(app: Served, page: Page) -> None:
    burnt(app, "Q1")
    page.goto(f"{app.address}/work?id=Q1/F1/A&day=2026-05-10")
    settled(page)
    page.get_by_role("tab", name="Put off").click()
    page.get_by_role("textbox", name="Who decided it").fill("P. Lowe")
    page.get_by_role("textbox", name="Why it can wait").fill("no spare part")
    page.get_by_test_id("stDateInput").filter(has_text="Put off until").get_by_role("spinbutton").first.click()
    page.keyboard.type("20260901")
    settled(page)
    press(page, "See what putting it off changes")
    expect(page.get_by_text("Q1/F1/A stays NOW: put off by P. Lowe until 1 September 2026")).to_be_visible()
    press(page, "Keep this entry")
    expect(page.get_by_text("Kept: Q1/F1/A.")).to_be_visible()
    page.goto(app.address)
    row = page.get_by_role("row").filter(has_text="Q1/F1/A")
    expect(row.first).to_contain_text("put off by P. Lowe until 1 September 2026")


@pytest.mark.long
def test_a_correct_remake_is_proved_only_at_enough_load(app: Served, page: Page) -> None:
    burnt(app, "Q2")
    remade(page, app, "Q2")
    expect(page.get_by_text("Q2/F1/A NOW becomes SOON: awaiting proof")).to_be_visible()
    expect(page.get_by_role("img", name="Photograph to be kept")).to_be_visible()
    press(page, "Go back and change it")
    expect(page.get_by_text("The photograph chosen before stays with Q2/F1/A")).to_be_visible()
    press(page, "See what this finding changes")
    expect(page.get_by_role("img", name="Photograph to be kept")).to_be_visible()
    press(page, "Keep this entry")
    expect(page.get_by_text("Kept: Q2/F1/A.")).to_be_visible()
    page.goto(f"{app.address}/survey?view=due&board=Q2")
    expect(page.get_by_role("row").filter(has_text="Q2/F1/A")).to_contain_text("proof overdue")
    for day, load, state, words in (
        ("2026-05-28", 30, "awaiting proof", "read again on 28 May 2026 at 30 % load: worse evidence"),
        ("2026-05-30", 60, "proved", "proved: read cool after the work of 20 May 2026, at 60 % load"),
    ):
        seed(app, f"Q2 at {load}.csv", survey("Q2", day, 34.5, load))
        page.goto(f"{app.address}/work?view=proof&board=Q2&state={state}")
        expect(page.get_by_role("row").filter(has_text="Q2/F1/A")).to_contain_text(words)
    page.goto(app.address)
    expect(page.get_by_role("heading", name="What work has cured")).to_be_visible()
    expect(page.get_by_role("row").filter(has_text="remade").last).to_contain_text("1")
    page.goto(f"{app.address}/connection?id=q2/f1/a")
    expect(page.get_by_text("cured", exact=True)).to_be_visible()
    expect(page.get_by_role("img", name="Photograph, 20 May 2026: found discoloured, action remade")).to_be_visible()


@pytest.mark.long
def test_two_people_at_one_joint_are_both_kept_and_told(app: Served, page: Page) -> None:
    burnt(app, "Q4")
    assert page.context.browser is not None
    other = page.context.browser.new_context()
    pages = [page, other.new_page()]
    for page in pages:
        page.set_default_timeout(30_000)
        page.goto(f"{app.address}/work?id=Q4/F1/A&day=2026-05-20")
        settled(page)
    entries = (("discoloured", "remade"), ("tight", "none"))
    for page, (as_found, done) in zip(pages, entries, strict=True):
        choose(page, "As found", as_found)
        choose(page, "Done", done)
        press(page, "See what this finding changes")
        expect(page.get_by_text("not kept yet")).to_be_visible()
    first, second = pages
    press(first, "Keep this entry")
    expect(first.get_by_text("Kept: Q4/F1/A.")).to_be_visible()
    press(second, "Keep this entry")
    expect(second.get_by_text("Not kept yet: what is on record has changed")).to_be_visible()
    expect(second.get_by_text("findings of one day contradict each other").first).to_be_visible()
    press(second, "Keep this entry")
    expect(second.get_by_text("Kept: Q4/F1/A.")).to_be_visible()
    for page in pages:
        page.goto(f"{app.address}/connection?id=Q4/F1/A")
        expect(page.get_by_text("findings of one day contradict each other").first).to_be_visible()
        expect(page.get_by_text("found discoloured, action remade").first).to_be_visible()
        expect(page.get_by_text("found tight, action none").first).to_be_visible()
    other.close()
    with keep.opened(str(app.store)) as store:
        typed = [held for held in keep.listed(store, ANN.actor) if held.name.startswith("findings typed")]
        assert len([held for held in typed if held.state == "active"]) >= 2

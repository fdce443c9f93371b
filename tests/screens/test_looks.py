"""Every page of the demo site: accessible, in both themes and widths, nothing cut off."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.examples import part
from tests.screens.serving import Served
from tests.screens.test_journey import choose, settled

PAGES = {
    "": "Risk today",
    "bring-in": "Bring in files",
    "survey": "Survey results",
    "work": "Work list",
    "connection?id=MCC-3/F1/A": "MCC-3/F1/A",
    "records": "Records",
    "records?view=rejected": "Records",
    "records?view=coverage": "Records",
    "plan": "Outage plan",
    "thermograms": "Thermograms",
    "records?view=imports": "Records",
    "records?view=names": "Records",
    "records?view=recall": "Records",
    "records?view=method": "Records",
    "records?view=settings": "Records",
    "records?view=learn": "Records",
}
DARK = part(PAGES, 2)
OURS = {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}

GROUND = (
    "getComputedStyle(document.querySelector('.stApp')).backgroundColor.match(/\\d+/g).slice(0, "
    "3).reduce((a, b) => a + Number(b), 0)"
)
GROUND_IS = {"light": f"() => {GROUND} > 600", "dark": f"() => {GROUND} < 165"}


@pytest.fixture(scope="module")
def page_of_nothing(app: Served, context: object) -> str:
    """What a page says before anything was brought in; the overview then takes the demo site."""
    page = context.new_page()  # type: ignore[attr-defined]
    page.goto(f"{app.address}/work")
    expect(page.get_by_text("There is no survey yet")).to_be_visible()
    link = page.get_by_role("link", name="Bring in files or try the demo site")
    expect(link).to_be_visible()
    link.click()
    expect(page.get_by_role("heading", name="Bring in files")).to_be_visible()
    settled(page)
    words = str(page.inner_text(".stMain"))
    page.goto(app.address)
    page.get_by_role("button", name="Bring in the demo site").click()
    page.get_by_role("heading", name="What matters").wait_for(timeout=60_000)
    page.close()
    return words


@pytest.fixture(scope="module")
def demo(app: Served, page_of_nothing: str) -> Served:
    return app


def test_an_empty_store_leads_to_the_files(page_of_nothing: str) -> None:
    assert "Nothing is kept until you accept it." in page_of_nothing


def drawn(page: Page, path: str, scheme: str) -> None:
    """Until the page stands still in a scheme, its ground light or dark."""
    expect(page.get_by_role("heading", name=PAGES[path], exact=True).first).to_be_visible()
    expect(page.get_by_test_id("stSkeleton")).to_have_count(0)
    expect(page.get_by_test_id("stStatusWidget")).to_have_count(0)
    settled(page)
    page.wait_for_function(GROUND_IS[scheme])
    page.evaluate("() => Promise.all(document.getAnimations().map(one => one.finished.catch(() => null)))")
    expect(page.locator('[data-stale="true"]')).to_have_count(0)


@pytest.mark.parametrize("path", part(PAGES, 3), ids=lambda path: path or "overview")
def test_no_violation_and_nothing_cut_off(demo: Served, page: Page, path: str) -> None:
    page.emulate_media(color_scheme="light")
    page.goto(f"{demo.address}/{path}")
    for scheme in ("light", "dark") if path in DARK else ("light",):
        page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
        drawn(page, path, scheme)
        found = Axe().run(page, context=".stMain", options={"runOnly": OURS})
        assert found.violations_count == 0, f"{scheme}: {found.generate_report()}"
    small = page.evaluate("""() => [...document.querySelectorAll('.stMain p, .stMain td, .stMain li, .stMain a')]
        .filter(e => e.textContent.trim() && parseFloat(getComputedStyle(e).fontSize) < 14).length""")
    assert small == 0, "letters under 14 px"
    sticks_out = page.evaluate("""() => [...document.querySelectorAll('.rs-list')].filter(
        e => e.getBoundingClientRect().right >
            e.closest('.stMainBlockContainer').getBoundingClientRect().right).length""")
    assert sticks_out == 0, "a list is wider than its page"
    page.set_viewport_size({"width": 390, "height": 844})
    expect(page.get_by_role("heading", name=PAGES[path], exact=True).first).to_be_visible()
    wide = page.evaluate("() => document.querySelector('.stMain').scrollWidth")
    assert wide <= 391


def test_the_manager_sees_how_many_and_where_without_scrolling(demo: Served, page: Page) -> None:
    page.goto(demo.address)
    for words in ("connections must be dealt with now", "MSB/F1/A", "rated 4 at full load"):
        place = page.get_by_text(words).first
        expect(place).to_be_visible()
        box = place.bounding_box()
        assert box is not None
        assert box["y"] + box["height"] <= 800


@pytest.mark.long
def test_every_figure_leads_to_its_list(demo: Served, page: Page) -> None:
    page.goto(demo.address)
    links = page.locator(".rs-figures a")
    expect(links.first).to_be_visible()
    targets = [(link.locator("strong").inner_text(), str(link.get_attribute("href"))) for link in links.all()]
    assert len(targets) == 8
    for value, address in targets[:4]:
        page.goto(f"{demo.address}/{address}")
        if value == "0":
            expect(page.get_by_text("Every connection on record has a reading.")).to_be_visible()
        else:
            expect(page.get_by_text(f"of {value} (", exact=False).first).to_be_visible()
    for value, address in targets[6:]:
        page.goto(f"{demo.address}/{address}")
        expect(page.get_by_text(f"of {value}", exact=False).first).to_be_visible()


@pytest.mark.long
def test_units_follow_from_page_to_page(demo: Served, page: Page) -> None:
    page.goto(f"{demo.address}/work?t=°F&q=lbf·in")
    expect(page.get_by_text("274 lbf·in").first).to_be_visible()
    page.get_by_role("link", name="MCC-3/F1/A", exact=True).click()
    expect(page.get_by_text("connection 118.4 °F")).to_be_visible()


@pytest.mark.long
def test_downloads(demo: Served, page: Page) -> None:
    page.goto(f"{demo.address}/work")
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Download this list (CSV)").click()
    assert waiting.value.path().read_text("utf-8").startswith('"section","rank","connection_id"')
    choose(page, "Work report: format", "PDF")
    page.get_by_role("button", name="Make the work report").click()
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Download the work report").click()
    assert waiting.value.path().read_bytes().startswith(b"%PDF")


def test_the_log_stays_quiet(demo: Served) -> None:
    text = demo.log.read_text().casefold()
    assert "deprecat" not in text
    assert "traceback" not in text

"""The pictures of README.md: ``python -m tests.screens.readme_pictures``. Look at both before they are kept.

The first page of the app on the demo site, and the finding of the worked example in its survey report.
"""

from __future__ import annotations

import runpy
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, sync_playwright

from riskscope import demo
from tests.screens.serving import CHROMIUM, TOP, served

OUT = TOP / "riskscope" / "examples"
WIDTH, MARGIN = 900, 16
WITHOUT_FOLDER = """folder => {
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) walk.currentNode.data = walk.currentNode.data.replace(folder + "/", "");
}"""


def app_page(browser: Browser, folder: Path) -> None:
    with served(folder) as app:
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.goto(app.address)
        page.get_by_role("button", name="Bring in the demo site").click()
        page.get_by_role("heading", name="What matters").wait_for(timeout=60_000)
        page.wait_for_selector('[data-test-script-state="notRunning"]')
        page.get_by_role("textbox", name="Your name").fill("A. Fenner")
        page.get_by_role("textbox", name="Your name").press("Enter")
        page.evaluate("document.activeElement.blur()")
        page.wait_for_timeout(1000)
        page.evaluate(WITHOUT_FOLDER, str(folder))
        page.screenshot(path=OUT / "app.png")


def finding(browser: Browser) -> None:
    made = runpy.run_path(str(demo.example("hot-joint")))
    page = browser.new_page(viewport={"width": WIDTH, "height": 1000})
    page.goto((made["folder"] / "reports" / "survey_report.html").as_uri())
    top = page.locator("h4").filter(has_text="PUMPS/F2/A").bounding_box()
    chart = page.locator("figure").filter(has_text="PUMPS/F2/A").bounding_box()
    assert top is not None
    assert chart is not None
    height = chart["y"] + chart["height"] - top["y"] + 2 * MARGIN
    clip = {"x": 0.0, "y": top["y"] - MARGIN, "width": float(WIDTH), "height": height}
    page.screenshot(path=OUT / "finding.png", full_page=True, clip=clip)  # type: ignore[arg-type]


def main() -> None:
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        app_page(browser, Path(name))
        finding(browser)
        browser.close()
    for path in (OUT / "app.png", OUT / "finding.png"):
        Image.open(path).convert("RGB").quantize(64).save(path, optimize=True)


if __name__ == "__main__":
    main()

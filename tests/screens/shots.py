"""Screenshots of every page, at both widths, light and dark: ``python -m tests.screens.shots``.

First as it opens, then whole. They go into the folder ``shots``, which git ignores. Look at each one.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.screens.serving import CHROMIUM, TOP, served
from tests.screens.test_looks import PAGES

OUT = TOP / "shots"
LONGEST = 6000  # px of a page that are photographed


def main() -> None:
    OUT.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as name, served(Path(name)) as app, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_page()
        page.goto(app.address)
        page.get_by_role("button", name="Bring in the demo site").wait_for()
        page.screenshot(path=OUT / "empty.png")
        page.get_by_role("button", name="Bring in the demo site").click()
        page.get_by_role("heading", name="What matters").wait_for(timeout=60_000)
        for scheme in ("light", "dark"):
            for width, height in ((1280, 800), (390, 844)):
                context = browser.new_context(viewport={"width": width, "height": height}, color_scheme=scheme)
                page = context.new_page()
                for path, title in PAGES.items():
                    page.goto(f"{app.address}/{path}")
                    page.get_by_role("heading", name=title, exact=True).first.wait_for()
                    page.wait_for_selector('[data-test-script-state="notRunning"]')
                    page.wait_for_timeout(500)
                    stem = "".join(char if char.isalnum() else "_" for char in path) or "overview"
                    page.screenshot(path=OUT / f"{stem}_{scheme}_{width}.png")
                    whole = page.evaluate("document.querySelector('[data-testid=stMain]').scrollHeight")
                    page.set_viewport_size({"width": width, "height": min(int(whole), LONGEST)})
                    page.wait_for_timeout(300)
                    page.screenshot(path=OUT / f"{stem}_{scheme}_{width}_whole.png")
                    page.set_viewport_size({"width": width, "height": height})
                context.close()
        browser.close()


if __name__ == "__main__":
    main()

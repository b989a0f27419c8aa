"""Every page as pictures, wide and narrow, light and dark: python screenshots.py FOLDER."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import story
from playwright.sync_api import Page

SIZES = {"wide": (1024, 768), "phone": (375, 740)}
QUIET = {
    "runs": "/runs",
    "documents": "/documents",
    "document": "/documents/paste/sac305",
    "source": "/source",
    "about": "/about",
}


def shoot(page: Page, folder: Path, name: str) -> None:
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        for size, (width, height) in SIZES.items():
            page.set_viewport_size({"width": width, "height": height})
            page.wait_for_timeout(300)
            page.screenshot(path=folder / f"{name}-{size}-{scheme}.png")


def main(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    with (
        tempfile.TemporaryDirectory() as place,
        story.served(Path(place)) as (address, _),
        story.browser() as browser,
    ):
        page = browser.new_page()
        page.goto(address + "/")
        shoot(page, folder, "choose")
        story.make_plan(page, address, "toaster")
        shoot(page, folder, "before")
        story.begin(page)
        story.until(page, "#t-number", lambda text: text.isdecimal() and int(text) > 190)
        shoot(page, folder, "during")
        page.wait_for_selector("a.button.next", timeout=60_000)
        shoot(page, folder, "end")
        page.locator("a.button.next").click()
        page.wait_for_selector("#after canvas")
        shoot(page, folder, "after")
        for name, where in QUIET.items():
            page.goto(address + where)
            shoot(page, folder, name)


if __name__ == "__main__":
    main(Path(sys.argv[1]))

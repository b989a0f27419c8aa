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
    "profile": "/documents/profile/sac305",
    "new-board": "/new/board",
    "source": "/source",
    "coach": "/coach",
    "about": "/about",
}


def shoot(page: Page, folder: Path, name: str) -> None:
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        for size, (width, height) in SIZES.items():
            page.set_viewport_size({"width": width, "height": height})
            page.wait_for_timeout(300)
            page.screenshot(path=folder / f"{name}-{size}-{scheme}.png")


def a_safety_stop(page: Page, address: str, folder: Path) -> None:
    story.clear(page, address)
    story.make_plan(page, address)
    story.begin(page)
    page.locator("select[name=fault]").select_option("sensor-open")
    page.get_by_role("button", name="Break it now").click()
    page.wait_for_selector("a.button.next", timeout=60_000)
    shoot(page, folder, "stopped-for-safety")


def a_form_with_a_fault(page: Page, address: str, folder: Path) -> None:
    page.goto(address + "/documents/paste/sac305")
    page.get_by_role("button", name="Make a copy").click()
    page.locator("[name='window.peak_c']").first.fill("455 °F")
    page.wait_for_selector("[name='window.peak_c'][aria-invalid]")
    shoot(page, folder, "form")


def a_guided_run(page: Page, address: str, folder: Path) -> None:
    page.goto(address + "/source")
    page.locator("#measure [name=sensor]").select_option("board_sensor")
    page.get_by_role("button", name="Prepare the measuring run").click()
    page.wait_for_selector("#arm", timeout=60_000)
    shoot(page, folder, "source-ready")
    story.begin(page)
    shoot(page, folder, "source-run")
    page.locator("#speed").select_option("60")
    page.locator(".play button").first.click()
    page.wait_for_selector("figure img", timeout=120_000)
    shoot(page, folder, "source-learnt")
    page.get_by_role("button", name="Keep it as").click()
    page.wait_for_selector("#document")
    shoot(page, folder, "source-kept")


def a_coached_run(page: Page, address: str, folder: Path) -> None:
    page.goto(address + "/coach")
    page.locator("[name=source]").select_option("sand")
    page.get_by_role("button", name="Cautions first").click()
    page.get_by_role("button", name="I have read it").click()
    page.locator("#speed").select_option("60")
    page.get_by_role("button", name="Set").click()
    page.wait_for_selector("#sentence.danger", timeout=60_000)
    shoot(page, folder, "coach-run")
    page.wait_for_selector("a.button.next", timeout=60_000)
    shoot(page, folder, "coach-end")


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
        page.get_by_role("button", name="Show what would change").click()
        page.wait_for_selector("#overlay canvas", timeout=60_000)
        shoot(page, folder, "improve")
        a_safety_stop(page, address, folder)
        for name, where in QUIET.items():
            page.goto(address + where)
            shoot(page, folder, name)
        a_form_with_a_fault(page, address, folder)
        a_guided_run(page, address, folder)
        a_coached_run(page, address, folder)


if __name__ == "__main__":
    main(Path(sys.argv[1]))

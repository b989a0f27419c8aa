"""The page on the real firmware: a run from documents to report, a safety stop cleared."""

from contextlib import ExitStack

import pytest
import story

from heatcore.inputs import OK, OPEN
from virtual_oven import oven, press

# A chip that stands still for a moment on a busy machine loses this many times as much of its run.
SPEED = 8.0


@pytest.fixture
def bench(browser, tmp_path):
    """Opens a page on a controller with these pins; gives the page, its address, the workshop."""
    with ExitStack() as stack:

        def opened(**pins):
            board = stack.enter_context(oven(tmp_path / "chip", SPEED, **pins))
            words = ("page", "--on", board.port, "--documents", str(tmp_path / "own"))
            address, _ = stack.enter_context(story.served(tmp_path / "runs", *words))
            page = stack.enter_context(browser.new_context()).new_page()
            page.set_default_timeout(60_000)
            return page, address, board.workshop

        yield opened


def armed(page, address):
    story.make_plan(page, address, "toaster")
    assert page.locator(".caution").first.is_visible()
    page.locator("#arm").click()
    page.locator("#start:enabled").click()


def test_from_documents_to_report_on_the_firmware(bench):
    page, address, workshop = bench()
    armed(page, address)
    story.until(page, "#asks", lambda text: "press the start button" in text)
    assert page.locator("#t-number").count() == 0
    press(workshop)
    page.wait_for_selector("#t-number")
    story.until(page, "#t-kind", lambda text: "estimated" in text)
    story.until(page, "#cue", lambda text: text.startswith("Melted?"), 1200)
    page.keyboard.press("m")
    story.until(page, "#events", lambda text: "the first joint" in text)
    story.until(page, "#cue", lambda text: text.startswith("Open the door"))
    workshop.door_open = True
    page.wait_for_selector("a.button.next")
    story.until(page, "#r-words", lambda text: "hot" in text or "safe" in text)
    page.locator("a.button.next").click()
    page.wait_for_selector("#after canvas")
    page.get_by_role("link", name="report").click()
    page.wait_for_selector("#chart canvas")
    assert "rp2" in page.content()


def test_a_safety_stop_is_told_and_cleared(bench):
    page, address, workshop = bench(START_PIN=None)
    armed(page, address)
    # no button is wired: this computer itself may begin
    page.wait_for_selector("#t-number")
    story.until(page, "#t-number", str.isdecimal)
    workshop.bead_status = OPEN
    page.wait_for_selector("a.button.next")
    assert page.locator(".cue").inner_text().startswith("Stopped for safety")
    page.wait_for_selector("#tripped:visible")
    workshop.bead_status = OK
    # another run is refused, and that page offers the same
    page.locator("form[action='/leave'] button").click()
    armed(page, address)
    page.wait_for_selector("#tripped:visible")
    assert "tripped" in page.locator("#faults").inner_text()
    page.get_by_role("button", name="clear the stop").click()
    story.until(page, "#r-words", lambda text: "ready for another run" in text)
    assert page.locator("#tripped").is_hidden()

"""The page on the real firmware: a run from documents to report, a safety stop cleared, a
measuring run, the coach with a controller that only reads."""

from contextlib import ExitStack

import pytest
import story
from playwright.sync_api import expect

from heatcore.inputs import OK, OPEN
from heatwright import sentences
from virtual_made import ServedBoard, put_firmware, track_plan
from virtual_oven import oven, press

# A chip that stands still for a moment on a busy machine loses this many times as much of its run.
SPEED = 8.0


@pytest.fixture
def page_at(browser, tmp_path):
    """Opens a page at a controller's port: the page and its address."""
    with ExitStack() as stack:

        def opened(served):
            board = stack.enter_context(served)
            words = ("page", "--on", board.port, "--documents", str(tmp_path / "own"))
            address, _ = stack.enter_context(story.served(tmp_path / "runs", *words))
            page = stack.enter_context(browser.new_context()).new_page()
            page.set_default_timeout(60_000)
            return page, address, board

        yield opened


@pytest.fixture
def bench(page_at, tmp_path):
    """Opens a page on a controller with these pins; gives the page, its address, the workshop."""

    def opened(**pins):
        page, address, board = page_at(oven(tmp_path / "chip", SPEED, **pins))
        return page, address, board.workshop

    return opened


def armed(page, address, **chosen):
    story.make_plan(page, address, **chosen)
    expect(page.locator(".caution").first).to_be_visible()
    page.locator("#arm").click()
    page.locator("#start:enabled").click()


def test_from_documents_to_report_on_the_firmware(bench):
    page, address, workshop = bench()
    # the paste that melts soonest
    armed(page, address, source="toaster", paste="sn42bi58")
    story.until(page, "#asks", lambda text: "press the start button" in text)
    assert page.locator("#t-number").count() == 0
    press(workshop)
    page.wait_for_selector("#t-number")
    story.until(page, "#t-kind", lambda text: "estimated" in text)
    story.until(page, "#cue", lambda text: text.startswith("Is anybody there?"), 1200)
    press(workshop)
    story.until(page, "#cue", lambda text: text.startswith("Melted?"), 600)
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


def test_a_safety_stop_is_told_and_cleared(bench, tmp_path):
    page, address, workshop = bench(START_PIN=None)
    plan = tmp_path / "runs/kettle/plan.g2.json"
    plan.parent.mkdir(parents=True)
    plan.write_bytes(track_plan())
    armed(page, address, plan="kettle/plan.g2.json")
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
    armed(page, address, plan="kettle/plan.g2.json")
    page.wait_for_selector("#tripped:visible")
    assert "tripped" in page.locator("#faults").inner_text()
    page.get_by_role("button", name="clear the stop").click()
    story.until(page, "#r-words", lambda text: "ready for another run" in text)
    assert page.locator("#tripped").is_hidden()


def measuring(page, address):
    """A measuring run of the source at the controller, up to its start button."""
    page.goto(address + "/source")
    form = page.locator("#measure")
    form.locator("[name=name]").fill("bench-oven")
    form.get_by_role("button", name="Prepare the measuring run").click()
    page.locator("#arm").click()
    expect(page.locator(".caution").first).to_be_visible()
    page.locator("#start:enabled").click()
    story.until(page, "#asks", lambda text: "press the start button" in text)


@pytest.mark.campaign
def test_a_measuring_run_on_the_firmware(bench, whole):
    """To its STOP; the whole of it, more than a minute, to a source that is kept."""
    page, address, workshop = bench()
    measuring(page, address)
    assert workshop.heat_s == 0.0
    press(workshop)
    waits = sentences.PAGE_STAGE_WAITS.format(stage="preheat")
    page.wait_for_selector("#t-stage")
    story.until(page, "#t-stage", lambda text: text == waits)
    # the board is not known, so the sensor is the number
    expect(page.locator("#t-kind")).to_have_text(sentences.PAGE_KINDS["unknown"])
    story.until(page, "#t-number", lambda text: text.isdecimal() and int(text) > 35)
    (kept if whole else stopped)(page, workshop)


def stopped(page, workshop):
    page.keyboard.press("Escape")
    page.wait_for_selector("body[data-phase=failed]")
    assert sentences.RUN_EVENTS["stop"] in page.locator("main").inner_text()
    heat_s = workshop.heat_s
    page.wait_for_timeout(500)
    assert 0.0 < workshop.heat_s == heat_s


def kept(page, workshop):
    story.until(page, "#cue", lambda text: text == sentences.OPEN_THE_DOOR, 3000)
    workshop.door_open = True
    page.wait_for_selector("figure img", timeout=300_000)
    page.get_by_role("button", name="Keep it as bench-oven").click()
    page.wait_for_selector("#document")
    assert "learnt from the record" in page.locator("main").inner_text()


def test_the_coach_with_a_controller_that_only_reads(page_at, tmp_path):
    page, address, board = page_at(ServedBoard(put_firmware(tmp_path / "chip", "none")))
    workshop = board.workshop
    workshop.bead_c = 25.0
    page.goto(address + "/coach")
    page.locator("[name=source]").select_option("hot-plate")
    page.get_by_label("From a CSV file").check()
    page.get_by_label("File or port").fill(board.port)
    page.get_by_role("button", name="Cautions first").click()
    page.get_by_role("button", name="I have read it").click()
    story.until(page, "#c-bead", lambda text: text == "25 °C")
    story.until(page, "#sentence", lambda text: text.startswith("Turn the knob"))
    workshop.bead_c = 31.0
    story.until(page, "#c-bead", lambda text: text == "31 °C")
    workshop.bead_status = OPEN
    story.until(page, "#sentence", lambda text: text == sentences.COACH_UNPLUGGED)
    workshop.bead_status = OK
    expect(page.locator("#unmark")).to_be_hidden()
    page.keyboard.press("m")
    page.locator("#unmark button").click()
    story.until(page, "#events", lambda text: sentences.COACH_UNMARKED in text)
    expect(page.locator("#unmark")).to_be_hidden()
    page.keyboard.press("Escape")
    page.wait_for_selector("a.button.next")
    assert "turn it off by hand" in page.locator(".cue").inner_text()
    page.locator("a.button.next").click()
    page.wait_for_selector("#after canvas")
    assert "first joint melted" not in page.locator("#marks ul").all_inner_texts()
    assert workshop.heat_s == 0.0

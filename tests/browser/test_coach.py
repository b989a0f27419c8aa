"""The coach in a real browser: cautions first, a rehearsal to its verdict, readings typed in."""

import story
from playwright.sync_api import expect
from test_reach import fits

# A rehearsal is reckoned as it goes: seconds on a quiet machine.
OVER_MS = 180_000


def prepare(page, address, way, source="sand"):
    page.goto(address + "/coach")
    page.locator("[name=source]").select_option(source)
    page.get_by_label(way).check()
    page.get_by_role("button", name="Cautions first").click()
    page.wait_for_selector("text=Read this first", timeout=30_000)


def begin(page):
    page.get_by_role("button", name="I have read it").click()
    page.wait_for_selector("#sentence", timeout=30_000)


def test_a_rehearsal_from_cautions_to_verdict(page, address):
    prepare(page, address, "Rehearse")
    assert "non-stick" in page.locator(".danger-card").inner_text()
    fits(page)
    begin(page)
    page.wait_for_selector("#coach-chart canvas")
    fits(page)
    page.locator("#speed").select_option("60")
    page.get_by_role("button", name="Set").click()
    # a call of some seconds is over at sixty times their speed before a busy browser looks
    page.wait_for_selector("#sentence.danger, a.button.next", timeout=OVER_MS)
    page.wait_for_selector("a.button.next", timeout=OVER_MS)
    assert "Melted" in page.locator(".lead").inner_text()
    assert "what the bead reads" in page.locator(".u-legend").inner_text()
    assert "Burner off now." in page.locator("main").inner_text()
    fits(page)
    page.locator("a.button.next").click()
    page.wait_for_selector("#after canvas", timeout=30_000)


def test_typed_readings_marks_and_stop(page, address):
    prepare(page, address, "I read a meter", "hot-plate")
    begin(page)
    # asked for at once, and ready to be typed
    story.until(page, "#asks", lambda text: "Type the temperature" in text)
    expect(page.locator("#reading")).to_be_focused(timeout=30_000)
    page.keyboard.type("warm")
    page.keyboard.press("Enter")
    story.until(page, "#reading-fault", lambda text: "187" in text)
    page.locator("#reading").fill("24,5")
    page.keyboard.press("Enter")
    story.until(page, "#c-board", lambda text: text in ("24 °C", "25 °C"))
    assert page.locator("#sentence").inner_text().startswith("Turn the knob")
    # a letter in the field is a letter
    page.locator("#reading").press("m")
    page.locator("#reading").evaluate("it => it.blur()")
    page.keyboard.press("m")
    story.until(page, "#events", lambda text: "You marked the melt" in text)
    assert page.locator("#events").inner_text().count("You marked") == 1
    fits(page)
    page.keyboard.press("Escape")
    page.wait_for_selector("a.button.next", timeout=30_000)
    assert "turn it off by hand" in page.locator(".cue").inner_text()


def test_without_a_script_a_reading_is_taken_and_a_bad_one_told(page, address, browser):
    prepare(page, address, "I read a meter", "hot-plate")
    begin(page)
    plain = browser.new_context(java_script_enabled=False).new_page()
    plain.goto(address + "/coach")
    plain.locator("#reading").fill("warm")
    plain.get_by_role("button", name="Enter").click()
    assert "187" in plain.locator("#reading-fault").inner_text()
    plain.locator("#reading").fill("26")
    plain.get_by_role("button", name="Enter").click()
    plain.context.close()
    story.until(page, "#c-board", lambda text: text == "26 °C")


def test_a_file_that_is_not_there_is_told(page, address):
    page.goto(address + "/coach")
    page.get_by_label("From a CSV file").check()
    page.get_by_role("button", name="Cautions first").click()
    page.wait_for_selector(".faults li")
    page.goto(address + "/coach")
    page.get_by_label("From a CSV file").check()
    page.get_by_label("File or port").fill("nowhere.csv")
    page.get_by_role("button", name="Cautions first").click()
    page.wait_for_selector("body[data-phase=failed]", timeout=30_000)
    assert "nowhere.csv" in page.locator(".faults").inner_text()

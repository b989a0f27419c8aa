"""Documents in forms in a real browser: checked as they are typed, with and without a script."""

import re

import story
from playwright.sync_api import expect
from test_reach import fits

WAIT_MS = 15_000


def copied(page, address, kind="paste", name="sac305"):
    """The form of a copy, made as a person makes it; there may be one of an earlier test."""
    page.goto(f"{address}/documents/{kind}/mine")
    if page.locator("#document").count():
        return
    page.goto(f"{address}/documents/{kind}/{name}")
    page.locator(".copying input[name=name]").fill("mine")
    page.get_by_role("button", name="Make a copy").click()
    page.wait_for_selector("#document")


def said_beside(page, name):
    """What a screen reader says after the field: the texts that it points to."""
    field = page.locator(f"[name='{name}']").first
    about = field.get_attribute("aria-describedby").split()
    return " ".join(page.locator(f"[id='{one}']").inner_text() for one in about)


def test_a_fault_is_told_beside_its_field_while_typing(page, address):
    copied(page, address)
    field = page.locator("[name='liquidus_c']")
    assert field.get_attribute("aria-invalid") is None
    assert "°C" in said_beside(page, "liquidus_c")
    field.fill("428 °F")
    page.wait_for_selector("[name='liquidus_c'][aria-invalid=true]", timeout=WAIT_MS)
    told = said_beside(page, "liquidus_c")
    for part in ("428 °F", "60 to 330", "220"):
        assert part in told
    assert "1" in page.locator("#count").inner_text()
    fits(page)
    # two values that can't both be right: told at the one that was not touched
    field.fill("246")
    page.wait_for_selector("[name='window.peak_c'][aria-invalid=true]", timeout=WAIT_MS)
    field.fill("220")
    page.wait_for_selector("#count.sound", timeout=WAIT_MS)
    assert page.locator("[aria-invalid]").count() == 0
    page.locator("[name='notes']").fill("bought in May")
    page.get_by_role("button", name="Save").last.click()
    page.wait_for_selector(".done-line", timeout=WAIT_MS)
    assert page.locator("[name='notes']").input_value() == "bought in May"


def test_a_document_by_keyboard_alone(page, address):
    copied(page, address, "profile")
    page.locator("[name='start_c']").focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("24")
    page.keyboard.press("Enter")
    page.wait_for_selector(".done-line", timeout=WAIT_MS)
    assert page.locator("[name='start_c']").input_value() == "24.0"


def test_what_is_typed_before_the_script_is_there_is_checked(page, address):
    copied(page, address)
    held = []
    page.route("**/static/forms.js", lambda route: held.append(route))
    page.goto(address + "/documents/paste/mine", wait_until="commit")
    page.locator("[name='window.peak_c']").first.fill("455 °F")
    while not held:
        page.wait_for_timeout(50)
    held.pop().continue_()
    page.wait_for_selector("[name='window.peak_c'][aria-invalid]")
    page.unroute("**/static/forms.js")
    page.once("dialog", lambda asked: asked.accept())


def test_without_a_script_the_same_faults_in_the_same_places(page, address, browser):
    copied(page, address)
    plain = browser.new_context(java_script_enabled=False).new_page()
    plain.goto(address + "/documents/paste/mine")
    plain.locator("[name='window.peak_c']").nth(1).fill("482 °F")
    plain.get_by_role("button", name="Save").last.click()
    assert "[235, 250]" in said_beside(plain, "window.peak_c")
    assert plain.locator("[name='window.peak_c']").nth(1).input_value() == "482 °F"
    plain.context.close()


def test_rows_are_added_and_a_new_document_is_kept(page, address):
    page.goto(address + "/new/board")
    for name, text in (("name", "Lamp"), ("length_mm", "50"), ("width_mm", "40"),
                       ("thickness_mm", "1.6"), ("file-name", "lamp")):  # fmt: skip
        page.locator(f"[name='{name}']").fill(text)
    page.get_by_role("button", name="Add one: Which side carries what").click()
    expect(page.locator("[name='placements.0.part']")).to_be_focused(timeout=WAIT_MS)
    page.locator("[name='placements.0.part']").fill("qfn-24-mcu")
    page.locator("[name='placements.0.refs']").fill("U1, U2")
    fits(page)
    page.get_by_role("button", name="Save").last.click()
    page.wait_for_url(re.compile("/documents/board/lamp"), timeout=WAIT_MS)
    assert page.locator("[name='placements.0.refs']").input_value() == "U1, U2"


def test_curves_over_each_other(page, address):
    for _ in range(2):
        story.make_plan(page, address)
        story.begin(page)
        page.keyboard.press("Escape")
        page.wait_for_selector("a.button.next", timeout=60_000)
        page.locator("form[action='/leave'] button").click()
    page.goto(address + "/runs")
    for at in range(2):
        page.locator("input[name=over]").nth(at).check()
    page.get_by_role("button", name="Lay the marked ones").click()
    page.wait_for_selector("#overlay canvas", timeout=WAIT_MS)
    assert page.locator("#overlay .u-legend .u-series").count() == 2
    fits(page)

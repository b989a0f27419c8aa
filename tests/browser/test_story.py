"""A whole run in a real browser; what can happen to STOP and to the link."""

import os
import re
import signal
import urllib.request

import story
from playwright.sync_api import expect

STILL_MS = 15_000


def begun(page, address):
    story.make_plan(page, address)
    story.begin(page)


def is_stopped(page):
    page.wait_for_selector("a.button.next", timeout=60_000)
    page.locator("a.button.next").click()
    page.wait_for_selector("#after canvas", timeout=STILL_MS)
    happened = page.request.get(page.url + "/report").text()
    return ">stop<" in happened


def test_from_documents_to_report(page, address):
    story.make_plan(page, address, "toaster")
    assert page.locator(".lead").inner_text().startswith("About ")
    assert page.locator("#start").is_disabled()
    assert page.locator("table tbody tr").count() > 5
    story.begin(page)
    assert "measured" in page.locator("#t-kind").inner_text()
    page.locator("#speed").select_option("60")
    page.locator(".play button").first.click()
    story.until(page, "#t-number", lambda text: text.isdecimal() and int(text) > 100)
    page.keyboard.press("m")
    story.until(page, "#events", lambda text: "the first joint" in text)
    assert page.locator("form[action='/melt/first'] button").is_disabled()
    page.locator("form[action='/melt/last'] button").click()
    story.until(page, "#events", lambda text: "the last joint" in text)
    page.locator("form[action='/melt/unmark'] button").click()
    story.until(page, "#events", lambda text: "taken back" in text)
    page.wait_for_selector("a.button.next", timeout=60_000)
    # it cools while the person looks at the run
    page.locator("a.button.next").click()
    page.wait_for_selector("#after canvas", timeout=STILL_MS)
    run = page.url
    assert "the last joint melted" not in page.locator("#marks ul").inner_text()
    page.locator(".board a[aria-label^=U1]").click()
    assert page.locator("input[name=ref]").input_value() == "U1"
    page.locator("select[name=state]").select_option("bridge")
    page.get_by_role("button", name="Note it").click()
    page.wait_for_selector("#joints h3")
    page.get_by_role("button", name="Show what would change").click()
    page.wait_for_selector("#overlay canvas", timeout=STILL_MS)
    cooled = page.context.new_page()
    cooled.goto(address + "/")
    story.until(cooled, "#r-words", lambda text: "safe to pick up" in text, 600)
    page.get_by_role("button", name="Keep it").click()
    assert "plan.g2.json" in page.locator("select[name=plan]").input_value()
    page.goto(run)
    page.get_by_role("link", name=re.compile("report")).click()
    page.wait_for_selector("#chart canvas", timeout=STILL_MS)


def test_stop_by_mouse_and_a_second_browser_sees_it(page, address, browser):
    begun(page, address)
    other = browser.new_context().new_page()
    other.goto(address + "/")
    other.wait_for_selector("#t-number")
    page.locator("#stop").click()
    other.wait_for_selector("a.button.next", timeout=60_000)
    other.context.close()
    assert is_stopped(page)


def test_stop_by_keyboard_from_the_sixth_tab(page, address):
    begun(page, address)
    tabs = [page.context.new_page() for _ in range(5)]
    for tab, where in zip(tabs, ("/", "/", "/runs", "/documents", "/about"), strict=True):
        tab.goto(address + where)
    tabs[-1].keyboard.press("Escape")
    assert is_stopped(page)


def test_stop_while_the_server_judges_and_draws(page, address):
    begun(page, address)
    runs = page.request.get(address + "/runs").text()
    first = re.search(r'href="(/runs/[^"]+)"', runs)
    assert first, "a run of an earlier test is there"
    page.evaluate(
        "where => { for (let i = 0; i < 20; i += 1) fetch(where + '/report') }", first.group(1)
    )
    page.locator("#stop").click()
    assert is_stopped(page)


def test_stop_without_javascript(page, address, browser):
    begun(page, address)
    plain = browser.new_context(java_script_enabled=False).new_page()
    plain.goto(address + "/runs")
    plain.locator("#stop").click()
    plain.context.close()
    assert is_stopped(page)


def test_m_in_a_text_field_is_a_letter(page, address):
    begun(page, address)
    page.evaluate("document.querySelector('.play').append(document.createElement('input'))")
    page.locator(".play input").press("m")
    page.locator(".play input").evaluate("it => it.blur()")
    page.keyboard.press("m")
    story.until(page, "#events", lambda text: "Melt marked" in text)
    assert page.locator("#events").inner_text().count("Melt marked") == 1


def test_something_broken_is_told_with_what_was_seen(page, address):
    begun(page, address)
    page.locator("select[name=fault]").select_option("sensor-open")
    page.get_by_role("button", name="Break it now").click()
    page.wait_for_selector("a.button.next", timeout=60_000)
    told = page.locator(".cue").inner_text()
    assert told.startswith("Stopped for safety")
    assert "sensor open" in told


def test_after_a_safety_stop_no_mark_can_be_made(page, address):
    """The controller is still watched then, and takes none."""
    begun(page, address)
    first = page.locator("form[action='/melt/first'] button")
    expect(first).to_be_enabled()
    page.keyboard.press("m")
    story.until(page, "#events", lambda text: "the first joint" in text)
    expect(page.locator("[data-marked]")).to_be_visible()
    page.locator("select[name=fault]").select_option("sensor-open")
    page.get_by_role("button", name="Break it now").click()
    story.until(page, "#events", lambda text: "Stopped for safety" in text)
    for button in page.locator("[data-marks] button").all():
        expect(button).to_be_disabled()
    expect(page.locator("[data-marked]")).to_be_hidden()
    posted = []
    page.on("request", lambda request: posted.append(request.url))
    page.keyboard.press("m")
    page.wait_for_timeout(500)
    assert not [url for url in posted if "/melt/" in url]


def test_a_dead_link_greys_the_number_and_it_comes_back(page, address, server):
    begun(page, address)
    assert page.locator("#stale").is_hidden()
    before = page.locator("#t-left").inner_text()
    os.kill(server[1], signal.SIGSTOP)
    try:
        page.wait_for_selector("body.stale", timeout=STILL_MS)
        assert "old" in page.locator("#stale").inner_text()
    finally:
        os.kill(server[1], signal.SIGCONT)
    page.wait_for_selector("body:not(.stale)", timeout=STILL_MS)
    # the run did not wait for its page
    assert page.locator("#t-left").inner_text() != before


def test_every_order_needs_no_page_to_go_on(page, address):
    begun(page, address)
    page.goto("about:blank")
    with urllib.request.urlopen(address + "/") as answer:
        assert b"t-number" in answer.read()

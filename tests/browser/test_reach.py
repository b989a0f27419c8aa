"""For everybody: axe-core on every page in both schemes, a phone's width, the keyboard alone."""

import pytest
import story

PAGES = (
    "/",
    "/runs",
    "/documents",
    "/documents/source/toaster",
    "/documents/profile/sac305",
    "/documents/paste/sac305?as=text",
    "/new/board",
    "/source",
    "/coach",
    "/about",
)

# What a colour scheme can change; all else of a page is the same in both.
OF_COLOURS = {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}


def grave(page, rules=None):
    """What axe-core finds that is serious or critical; ``rules`` None: by all that it knows."""
    wanted = {"resultTypes": ["violations"], **({"runOnly": rules} if rules else {})}
    found = page.evaluate("wanted => axe.run(wanted).then(r => r.violations)", wanted)
    return [
        (one["id"], [node["html"][:120] for node in one["nodes"]])
        for one in found
        if one["impact"] in ("serious", "critical")
    ]


def is_too_wide(page):
    return page.evaluate("document.documentElement.scrollWidth > innerWidth")


def checked(page):
    if not page.evaluate("'axe' in window"):
        page.evaluate(story.AXE.read_text())
    for scheme, rules in (("light", None), ("dark", OF_COLOURS)):
        page.emulate_media(color_scheme=scheme)
        # colours change in steps too small to be seen
        page.wait_for_timeout(50)
        assert grave(page, rules) == [], (page.url, scheme)


@pytest.mark.parametrize("where", PAGES)
def test_quiet_pages(page, address, where):
    page.goto(address + where)
    page.wait_for_load_state()
    checked(page)
    page.set_viewport_size({"width": 375, "height": 700})
    assert not is_too_wide(page)


def test_the_pages_of_a_run_and_the_keyboard_alone(page, address):
    page.goto(address + "/")
    page.locator("select[name=source]").select_option("")
    press(page, "Make the plan")
    page.wait_for_selector("#arm")
    fits(page)
    press(page, "1. Arm")
    page.wait_for_selector("#start:enabled")
    press(page, "2. Start")
    page.wait_for_selector("#t-number", timeout=20_000)
    story.until(page, "#t-number", str.isdecimal)
    fits(page)
    page.keyboard.press("Escape")
    page.wait_for_selector("a.button.next", timeout=60_000)
    fits(page)
    press(page, "Look at the run")
    page.wait_for_selector("#after canvas")
    fits(page)
    press(page, "Show what would change")
    # a run that was stopped teaches nothing, and the page says so
    page.wait_for_selector("#improve .faults li")
    fits(page)
    page.goto(address + "/runs")
    fits(page)


def test_the_page_of_a_safety_stop_and_of_what_cannot_be_done(page, address):
    story.make_plan(page, address)
    story.begin(page)
    page.locator("select[name=fault]").select_option("sensor-open")
    page.get_by_role("button", name="Break it now").click()
    page.wait_for_selector(".lead", timeout=60_000)
    page.wait_for_selector("a.button.next", timeout=60_000)
    fits(page)
    page.locator("form[action='/leave'] button").click()
    page.locator("input[name=on]").fill("sim:nothing")
    page.get_by_role("button", name="Make the plan").click()
    page.wait_for_selector("#faults li", timeout=60_000)
    fits(page)
    # what was typed is still there to be mended
    page.get_by_text("Choose again").click()
    assert page.locator("input[name=on]").input_value() == "sim:nothing"
    page.locator("input[name=on]").fill("sim:toaster")
    page.get_by_role("button", name="Make the plan").click()
    page.wait_for_selector("#arm", timeout=60_000)


def fits(page):
    checked(page)
    page.set_viewport_size({"width": 375, "height": 700})
    # the chart follows in the next frame
    page.wait_for_timeout(200)
    assert not is_too_wide(page), page.url
    page.set_viewport_size({"width": 1024, "height": 768})


def press(page, words):
    """Tab until it has the focus, then Enter."""
    for _ in range(80):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent.trim()").startswith(words):
            page.keyboard.press("Enter")
            return
    raise AssertionError(f"the keyboard does not reach {words!r}")

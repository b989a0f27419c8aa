"""Know your source in a real browser: the sensor, the measuring run, keeping what was learnt."""

import story
from playwright.sync_api import expect
from test_reach import fits

from heatwright import sentences

LEARNT_MS = 120_000


def test_what_readings_say_of_the_sensor(page, address):
    page.goto(address + "/source")
    page.get_by_label("In boiling water it reads").fill("14,5")
    page.get_by_role("button", name="What does that say?").click()
    page.wait_for_selector(".result")
    assert "reversed" in page.locator(".result").inner_text()
    fits(page)
    page.get_by_label("In boiling water it reads").fill("hot")
    page.get_by_role("button", name="What does that say?").click()
    page.wait_for_selector(".faults li")
    assert "hot" in page.locator(".faults").inner_text()
    # where the person looks: in the step itself, and in sight
    expect(page.locator("#sensor .faults")).to_be_in_viewport()


def prepare(page, address, step, words):
    """On the source that is hot soonest."""
    page.goto(address + "/source")
    form = page.locator(step)
    form.locator("[name=on]").fill("sim:drawer")
    form.locator("[name=kind]").select_option("drawer")
    form.locator("[name=name]").fill("bench-oven")
    form.locator("[name=sensor]").select_option("board_sensor")
    form.get_by_role("button", name=words).click()
    page.wait_for_selector("#arm", timeout=60_000)


def test_a_measuring_run_that_is_stopped_says_that_heat_is_off(page, address):
    prepare(page, address, "#measure", "Prepare the measuring run")
    # stopped before it has shown anything, however slow this browser is
    slowly = "fetch('/speed', {method: 'POST', body: new URLSearchParams({speed: '1'})})"
    assert page.evaluate(f"{slowly}.then(answer => answer.ok)")
    story.begin(page)
    # nothing is asked of the person while it waits to get hot
    waits = sentences.PAGE_STAGE_WAITS.format(stage="preheat")
    story.until(page, "#t-stage", lambda text: text == waits)
    assert page.locator("#cue").is_hidden()
    page.keyboard.press("Escape")
    page.wait_for_selector("body[data-phase=failed]", timeout=60_000)
    assert sentences.RUN_EVENTS["stop"] in page.locator("main").inner_text()
    page.get_by_role("button", name="Choose again").click()


def test_from_the_measuring_run_to_a_source_that_is_kept(page, address):
    prepare(page, address, "#measure", "Prepare the measuring run")
    fits(page)
    story.begin(page)
    assert page.url.endswith("/source")
    page.locator("#speed").select_option("60")
    page.locator(".play button").first.click()
    # whoever comes to the bench is led here
    page.goto(address + "/")
    assert page.url.endswith("/source")
    page.wait_for_selector("figure img", timeout=LEARNT_MS)
    assert (
        page.locator("figure img").evaluate("it => it.decode().then(() => it.naturalWidth)") > 400
    )
    fits(page)
    page.get_by_role("button", name="Keep it as bench-oven").click()
    page.wait_for_selector("#document", timeout=20_000)
    assert "learnt from the record" in page.locator("main").inner_text()
    page.goto(address + "/")
    assert "bench-oven" in page.locator("select[name=source]").inner_text()


def test_see_it_melt_asks_who_is_there_and_stop_ends_it(page, address):
    prepare(page, address, "#melt", "Prepare a see-it-melt run")
    story.begin(page)
    page.locator("#speed").select_option("20")
    page.locator(".play button").first.click()
    here = page.get_by_role("button", name="I am here")
    here.wait_for(timeout=60_000)
    here.click()
    here.wait_for(state="hidden", timeout=20_000)
    assert page.locator("#dot").inner_text() in sentences.PAGE_DOT
    fits(page)
    page.keyboard.press("Escape")
    page.wait_for_selector("body:not([data-phase=running])", timeout=60_000)

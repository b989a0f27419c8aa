"""A page served for a test, and a real browser to look at it with."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

CHROMIUM = "/usr/bin/chromium"
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
AXE = Path(__file__).parents[2] / ".venv/npm/node_modules/axe-core/axe.min.js"


def is_there() -> bool:
    return shutil.which(CHROMIUM) is not None


@contextmanager
def served(folder: Path, *words: str) -> Iterator[tuple[str, int]]:
    """A page in a process of its own: its address and the process's number.

    ``words`` are the command; the workshop's demo without.
    """
    command = [sys.executable, "-m", "heatwright", *(words or ("demo",))]
    command += ["--out", str(folder), "--no-browser"]
    environment = {**os.environ, "PYTHONUNBUFFERED": "1"}
    with subprocess.Popen(
        [*command, "--http-port", "0"], stdout=subprocess.PIPE, text=True, env=environment
    ) as server:
        assert server.stdout is not None
        try:
            found = re.search(r"http://\S+/", server.stdout.readline())
            assert found, "the page did not start"
            yield found.group().rstrip("/"), server.pid
        finally:
            server.send_signal(signal.SIGINT)
            server.wait(30)


@contextmanager
def browser() -> Iterator[Browser]:
    with sync_playwright() as tool:
        opened = tool.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield opened
        opened.close()


def until(page: Page, where: str, is_so: Callable[[str], bool], tries: int = 300) -> None:
    """Look at a text ten times a second until it is as wanted; the page's policy forbids more."""
    for _ in range(tries):
        if is_so(page.locator(where).inner_text()):
            return
        page.wait_for_timeout(100)
    raise AssertionError(page.locator(where).inner_text())


def clear(page: Page, address: str) -> None:
    """Back to the choice, whatever was going on."""
    page.goto(address + "/")
    if page.locator("body[data-phase=running]").count():
        page.locator("#stop").click()
        page.wait_for_selector("body:not([data-phase=running])", timeout=60_000)
    if page.locator("form[action='/leave'] button").count():
        page.locator("form[action='/leave'] button").click()
    page.goto(address + "/")
    page.wait_for_selector("#choose")


def make_plan(page: Page, address: str, source: str = "", **chosen: str) -> None:
    """From the choice to the plan that may be armed; with no source nothing is worked out."""
    page.goto(address + "/")
    for name, value in {"source": source, **chosen}.items():
        page.locator(f"select[name={name}]").select_option(value)
    page.get_by_role("button", name="Make the plan").click()
    page.wait_for_selector("#arm", timeout=60_000)


def begin(page: Page) -> None:
    """The two steps."""
    page.locator("#arm").click()
    page.locator("#start:enabled").click()
    page.wait_for_selector("#t-number", timeout=30_000)
    until(page, "#t-number", str.isdecimal)

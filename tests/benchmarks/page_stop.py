"""STOP on the real firmware: from the click to both pins low, from the request to the command.

A virtual controller at real pace stands in for the chip; a browser clicks. Meanwhile twenty tabs
are linked to the page and a source is being fitted, over and over.
"""

from __future__ import annotations

import multiprocessing
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np

sys.path.append(str(Path(__file__).resolve().parents[1]))
sys.path.append(str(Path(__file__).resolve().parents[1] / "browser"))

import story

from heatsim.virtual.board import VirtualBoard
from heatsim.virtual.chip import ChipSetup
from page_open import Tab, begin, fit_for_ever, post, served
from virtual_made import PINS, put_firmware
from virtual_oven import toaster

RUNS, TABS, STOPS = 3, 20, 100
HURRY, HOT_C = 8.0, 120
APART_S = 0.15
QUESTION = b'"stop"'


class Bench(VirtualBoard):
    """Notes when it hears the command, and since when both heater pins are low."""

    def __init__(self, root: Path) -> None:
        self.heard_s: list[float] = []
        self.low_s: float | None = None
        self._tail = b""
        super().__init__(ChipSetup(root), toaster(START_PIN=None), HURRY)

    def _without_ctrl_c(self, data: bytes) -> bytes:
        joined = self._tail + data
        self.heard_s += [time.monotonic()] * joined.count(QUESTION)
        self._tail = joined[-len(QUESTION) + 1 :]
        return super()._without_ctrl_c(data)

    def _take_frame(self) -> None:
        super()._take_frame()
        frame = self._waiting
        if frame is None:
            return
        pins = (self.workshop.pins[name] for name in ("SSR_PIN", "RELAY_PIN"))
        if any(frame.drives_high(pin) for pin in pins):
            self.low_s = None
        elif self.low_s is None:
            self.low_s = time.monotonic()


def figures() -> list[tuple[str, float, str, str]]:
    if not story.is_there():
        return []
    low_ms, command_ms = [], []
    for _ in range(RUNS):
        with tempfile.TemporaryDirectory() as place:
            low, command = _run(Path(place))
        low_ms.append(low)
        command_ms += command
    of = f"STOP: request to command, {TABS} tabs, a fit"
    return [
        (f"{of}, p99 of {len(command_ms)}", float(np.percentile(command_ms, 99)), "ms", "<= 50"),
        (f"{of}, median", float(np.median(command_ms)), "ms", ""),
        (f"STOP: click to both pins low, worst of {RUNS}", max(low_ms), "ms", "<= 500"),
    ]


def _run(place: Path) -> tuple[float, list[float]]:
    """One run, stopped hot: click to pins low, and request to command again and again, in ms."""
    with (
        _board(place / "chip") as board,
        served(place / "runs", "page", "--on", board.port) as (address, _, _),
        story.browser() as browser,
    ):
        begin(address, on=board.port, paste="sac305", source="toaster")
        page = browser.new_page()
        page.goto(address + "/")
        tabs = [Tab(address) for _ in range(TABS)]
        _until_hot(tabs[0])
        with _fitting():
            board.pace.speed = 1.0
            time.sleep(2.0)
            low_ms = _click(page, board)
            return low_ms, [_ask(address, board) for _ in range(STOPS)]


@contextmanager
def _board(root: Path) -> Iterator[Bench]:
    board = Bench(put_firmware(root, **PINS, START_PIN=None))
    thread = threading.Thread(target=board.serve, daemon=True)
    thread.start()
    try:
        yield board
    finally:
        board.stop()
        thread.join(10)
        board.close()


def _until_hot(tab: Tab) -> None:
    while not (tab.number[:-3].isdecimal() and int(tab.number[:-3]) > HOT_C):
        assert not tab.over.is_set(), f"the run ended before it was hot: {tab.why}"
        time.sleep(0.05)


@contextmanager
def _fitting() -> Iterator[None]:
    """As the page does it: in a process of its own."""
    fitter = multiprocessing.get_context("spawn").Process(target=fit_for_ever, daemon=True)
    fitter.start()
    try:
        yield
    finally:
        fitter.kill()
        fitter.join()


def _click(page: story.Page, board: Bench) -> float:
    """From before the browser is told to move the mouse until no heater pin is high any more."""
    assert board.low_s is None, "no pin was high: there was nothing to stop"
    clicked_s = time.monotonic()
    page.locator("#stop").click()
    while board.low_s is None or board.low_s < clicked_s:
        time.sleep(0.005)
    return 1000 * (board.low_s - clicked_s)


def _ask(address: str, board: Bench) -> float:
    before, asked_s = len(board.heard_s), time.monotonic()
    post(address, "/stop")
    while len(board.heard_s) == before:
        assert time.monotonic() - asked_s < 10, "no command came"
        time.sleep(0.001)
    time.sleep(APART_S)
    return 1000 * (board.heard_s[before] - asked_s)

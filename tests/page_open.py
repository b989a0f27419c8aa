"""A page served in a process of its own, and links to it as open tabs have them."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import threading
import time
import urllib.parse
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from websockets.exceptions import ConnectionClosed
from websockets.sync.client import connect

from heatwright.documents import load_source
from heatwright.measuring import learning
from heatwright.measuring.measurement import BOARD_BEAD
from measuring_made import measuring_run, workshop


@contextmanager
def served(folder: Path, *words: str) -> Iterator[tuple[str, int, float]]:
    """Its address, the server's process number, and how long the first page took.

    At its end a run that still cools is not waited for: server and run are killed together.
    """
    command = [sys.executable, "-m", "heatwright", *words, "--no-browser", "--http-port", "0"]
    began = time.monotonic()
    with subprocess.Popen(
        [*command, "--out", str(folder)],
        stdout=subprocess.PIPE,
        text=True,
        start_new_session=True,
    ) as server:
        assert server.stdout is not None
        try:
            found = re.search(r"http://[^/\s]+", server.stdout.readline())
            assert found, "the page did not start"
            get(found.group(), "/")
            yield found.group(), server.pid, time.monotonic() - began
        finally:
            os.killpg(server.pid, signal.SIGKILL)


def get(address: str, where: str) -> str:
    with urllib.request.urlopen(address + where) as answer:
        return str(answer.read().decode())


def post(address: str, where: str, **fields: str) -> None:
    data = urllib.parse.urlencode(fields).encode()
    asked = urllib.request.Request(address + where, data, {"Origin": address})
    urllib.request.urlopen(asked).close()


def until(address: str, phase: str) -> None:
    """Wait for this phase of the page's run."""
    while f'data-phase="{phase}"' not in (told := get(address, "/")):
        assert 'data-phase="failed"' not in told, told
        time.sleep(0.05)


def begin(address: str, **chosen: str) -> None:
    """From the choice to a run that is under way."""
    post(address, "/leave")
    post(address, "/plan", **chosen)
    until(address, "ready")
    post(address, "/arm")
    post(address, "/start")
    until(address, "running")


class Tab(threading.Thread):
    """The link of one open page: when each view came, and the last number in it."""

    def __init__(self, address: str) -> None:
        super().__init__(daemon=True)
        self.came: list[float] = []
        self.number = ""
        self.over = threading.Event()
        self.why = ""
        self.socket = connect(address.replace("http", "ws") + "/live", origin=address)
        self.start()

    def run(self) -> None:
        with suppress(ConnectionClosed):
            for text in self.socket:
                news = json.loads(text)
                if news.get("now"):
                    self.came.append(time.monotonic())
                    self.number = news["now"]["texts"]["sensor"]
                if news.get("phase") in ("over", "failed"):
                    self.why = str(news.get("over") or news.get("faults"))
                    self.over.set()


def memory_mb(pid: int) -> float:
    found = re.search(r"VmRSS:\s+(\d+)", Path(f"/proc/{pid}/status").read_text())
    assert found
    return int(found.group(1)) / 1024


def fit_for_ever() -> None:
    """What a process does that fits a source: until it is killed."""
    run, _ = measuring_run(workshop("convection", 1), BOARD_BEAD)
    while True:
        learning.learn(load_source("convection"), [run])

"""The page: how soon it is there, and how fresh it is with eight open."""

from __future__ import annotations

import json
import re
import signal
import subprocess
import sys
import tempfile
import threading
import time
import urllib.parse
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import numpy as np
from websockets.exceptions import ConnectionClosed
from websockets.sync.client import connect

PAGES = 8
LOOK_S = 20.0


@contextmanager
def _served(folder: Path) -> Iterator[tuple[str, int, float]]:
    command = [sys.executable, "-m", "heatwright", "demo", "--no-browser", "--http-port", "0"]
    began = time.monotonic()
    with subprocess.Popen(
        [*command, "--out", str(folder)], stdout=subprocess.PIPE, text=True
    ) as server:
        assert server.stdout is not None
        found = re.search(r"http://[^/\s]+", server.stdout.readline())
        assert found
        _get(found.group(), "/")
        try:
            yield found.group(), server.pid, time.monotonic() - began
        finally:
            server.send_signal(signal.SIGINT)
            server.wait(30)


def _get(address: str, where: str) -> str:
    with urllib.request.urlopen(address + where) as answer:
        return str(answer.read().decode())


def _post(address: str, where: str, **fields: str) -> None:
    data = urllib.parse.urlencode(fields).encode()
    asked = urllib.request.Request(address + where, data, {"Origin": address})
    urllib.request.urlopen(asked).close()


def _begin(address: str, speed: int) -> None:
    while 'data-phase="running"' in _get(address, "/"):
        time.sleep(0.05)
    _post(address, "/leave")
    _post(address, "/speed", speed=str(speed))
    _post(address, "/plan", on="sim:toaster", paste="sac305", sensor="board_sensor")
    _until(address, "ready")
    _post(address, "/arm")
    _post(address, "/start")
    _until(address, "running")


def _until(address: str, phase: str) -> None:
    while f'data-phase="{phase}"' not in _get(address, "/"):
        time.sleep(0.05)


class Tab(threading.Thread):
    """One open page: how many views came, and when."""

    def __init__(self, address: str) -> None:
        super().__init__(daemon=True)
        self.came: list[float] = []
        self.over = threading.Event()
        self.socket = connect(address.replace("http", "ws") + "/live", origin=address)

    def run(self) -> None:
        with suppress(ConnectionClosed):
            for text in self.socket:
                news = json.loads(text)
                if news.get("now"):
                    self.came.append(time.monotonic())
                if news.get("phase") in ("over", "failed"):
                    self.over.set()


def _tabs(address: str, count: int) -> list[Tab]:
    tabs = [Tab(address) for _ in range(count)]
    for tab in tabs:
        tab.start()
    return tabs


def _memory_mb(pid: int) -> float:
    found = re.search(r"VmRSS:\s+(\d+)", Path(f"/proc/{pid}/status").read_text())
    assert found
    return int(found.group(1)) / 1024


def _fresh(address: str) -> tuple[float, float]:
    """Views a second on each of eight pages, and how far apart the pages get the same one."""
    _begin(address, 5)
    tabs = _tabs(address, PAGES)
    time.sleep(LOOK_S)
    came = [tab.came[-50:] for tab in tabs]
    rate = min((len(one) - 1) / (one[-1] - one[0]) for one in came)
    together = min(len(one) for one in came)
    ends = np.array([one[-together:] for one in came])
    _post(address, "/stop")
    return rate, 1000 * float(np.percentile(np.ptp(ends, axis=0), 99))


def figures() -> list[tuple[str, float, str, str]]:
    with (
        tempfile.TemporaryDirectory() as place,
        _served(Path(place)) as (address, pid, start_s),
    ):
        rate, apart_ms = _fresh(address)
        before = _memory_mb(pid)
        return [
            ("page: cold start to first page", start_s, "s", ""),
            (f"page: views a second, {PAGES} pages", rate, "1/s", ">= 9"),
            (f"page: same view on {PAGES} pages, apart, p99", apart_ms, "ms", "<= 100"),
            ("page: server's memory after a run", before, "MB", ""),
        ]

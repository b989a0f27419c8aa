"""What the controller's firmware needs and keeps: heap, lateness, and how fast it reads frames."""

import random
import sys
import tempfile
import time
from pathlib import Path

Row = tuple[str, float, str, str]
FIRMWARE_TESTS = Path(__file__).resolve().parents[1] / "firmware"
sys.path += [str(FIRMWARE_TESTS / "controller"), str(FIRMWARE_TESTS / "fakes")]

from small_heap import (  # noqa: E402 (found by the path above)
    CHIP_KB,
    WORD_BYTES,
    compile_firmware,
    put_in_place,
    run_whole,
)
from test_frames_fuzz import Watched, chance_frame  # noqa: E402
from test_small_heap import longest_plan  # noqa: E402

FRAMES = 20_000


def figures() -> list[Row]:
    """Rows of name, value, unit and bar."""
    with tempfile.TemporaryDirectory() as folder:
        compiled = Path(folder)
        size = compile_firmware(compiled)
        found = run_whole(compiled, longest_plan())
        smallest = _smallest(compiled)
        in_place = _smallest_in_place(compiled)
    free_kb = found["free_bytes"] * 4 / WORD_BYTES / 1024
    return [
        ("firmware as .mpy", size / 1000, "kB", "printed"),
        (f"lowest free heap of {CHIP_KB} kB", free_kb, "kB", "printed"),
        ("smallest heap for a whole plan", smallest, "kB", "<= 64"),
        ("the same, code run in place (ROMFS)", in_place, "kB", "<= 64"),
        ("allocated by a tick of the state machine", found["step_bytes"], "bytes", "<= 0"),
        ("worst lateness, a flash write each second", found["worst_late_ms"], "ms", "<= 250"),
        ("frames read", _frames_per_s(), "1/s", "printed"),
    ]


def _smallest(compiled: Path) -> float:
    """Bisected to 1 kB."""
    low, high = 32, CHIP_KB
    while high - low > 1:
        middle = (low + high) // 2
        try:
            run_whole(compiled, longest_plan(), middle)
            high = middle
        except RuntimeError:
            low = middle
    return high


def _smallest_in_place(compiled: Path) -> float:
    with tempfile.TemporaryDirectory() as folder:
        put_in_place(compiled, Path(folder))
        return _smallest(Path(folder))


def _frames_per_s() -> float:
    chance = random.Random(1)
    frames = [chance_frame(chance)[1] for _ in range(FRAMES)]
    host = Watched()
    started_s = time.perf_counter()
    for data in frames:
        host.feed(data)
    return FRAMES / (time.perf_counter() - started_s)

"""What a verdict is worth, on curves with known truth, and how long one takes."""

import time

from host.judging.generated import draw, outcome, shares
from host.judging.test_estimate import covered

Row = tuple[str, float, str, str]
CURVES, TIMED, SOURCES = 10_000, 50, 20


def figures() -> list[Row]:
    """Rows of name, value, unit and bar."""
    return [*_generated(), *_estimated(), ("one verdict, a part", _verdict_ms(), "ms", "printed")]


def _generated() -> list[Row]:
    found = shares(CURVES)
    return [
        (f"wrong pass, of {CURVES} curves", float(found.wrong_passes), "", "0"),
        ("pass, of all", found.passes / found.count, "", "printed"),
        ("wrong of likely_pass", found.wrong_likely_share, "", "<= 0.25"),
    ]


def _estimated() -> list[Row]:
    told = [covered("toaster", seed) for seed in range(SOURCES)]
    errors_k = [abs(error_k) for error_k, _, _ in told]
    return [
        ("estimate, one melt mark: true peak in band", sum(c for _, c, _ in told) / SOURCES, "",
         ">= 0.85"),
        ("estimate, one melt mark: largest error", max(errors_k), "C", "printed"),
        ("estimate, one melt mark: mean half band", sum(t for _, _, t in told) / SOURCES, "C",
         "printed"),
    ]  # fmt: skip


def _verdict_ms() -> float:
    draw(0)
    began = time.perf_counter()
    for seed in range(TIMED):
        outcome(seed)
    return 1000.0 * (time.perf_counter() - began) / TIMED

"""The colours of Okabe and Ito, which colour-blind eyes tell apart."""

from __future__ import annotations

INK, GREY, PALE = "#1a1a1a", "#6b6b6b", "#d9d9d9"
BLUE, VERMILION, GREEN, ORANGE, YELLOW = "#0072B2", "#D55E00", "#009E73", "#E69F00", "#F0E442"
STATUS_COLOURS = {
    "pass": GREEN,
    "likely_pass": GREEN,
    "warn": ORANGE,
    "fail": VERMILION,
    "unknown": GREY,
}

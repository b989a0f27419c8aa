"""A profile as a line: enough to see its shape beside its numbers."""

from __future__ import annotations

from typing import Any

from heatwright.documents.profile import Profile
from heatwright.errors import BadInput
from heatwright.page.shelf import check

# As narrow as a phone shows it, so that its words can be read there.
WIDTH, HEIGHT = 300, 160
STEP_S, STEP_C = 60.0, 50.0


def sketch(kind: str, text: str) -> dict[str, Any] | None:
    """Corners and grid of a sound profile, in WIDTH by HEIGHT; None of anything else."""
    if kind != "profile":
        return None
    try:
        profile = check(kind, text)
    except BadInput:
        return None
    assert isinstance(profile, Profile)
    return _drawn(profile)


def _drawn(profile: Profile) -> dict[str, Any]:
    end_s, top_c = profile.duration_s, profile.peak_c * 1.1

    def x(time_s: float) -> float:
        return round(WIDTH * time_s / end_s, 1)

    def y(board_c: float) -> float:
        return round(HEIGHT * (1.0 - board_c / top_c), 1)

    return {
        "width": WIDTH,
        "height": HEIGHT,
        "points": " ".join(f"{x(k.time_s)},{y(k.board_c)}" for k in profile.knots),
        "minutes": _named([(x(s), f"{s / 60:.0f}") for s in _steps(end_s, STEP_S)], "min"),
        "levels": _named([(y(c), f"{c:.0f}") for c in _steps(top_c, STEP_C)], "°C"),
        "stages": [(x(at_s), name.replace("_", " ")) for at_s, name in profile.starts],
        "peak_c": profile.peak_c,
        "minutes_in_all": end_s / 60,
    }


def _named(marks: list[tuple[float, str]], unit: str) -> list[tuple[float, str]]:
    """The last mark of an axis carries its unit."""
    return [*marks[:-1], *((at, f"{text} {unit}") for at, text in marks[-1:])]


def _steps(end: float, step: float) -> list[float]:
    return [step * at for at in range(1, int(end / step) + 1)]

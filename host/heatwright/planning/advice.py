"""What would make a missed window possible: each remedy planned anew, its effect in numbers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from heatsim.params import PlantParams
from heatwright import sentences
from heatwright.documents import load_paste, load_profile
from heatwright.judging.windows import Measure
from heatwright.planning.model import Model
from heatwright.planning.nominal import Infeasible, best_course
from heatwright.planning.wanted import Wanted
from heatwright.planning.windows import course_windows, is_decisive, is_missed, share

# Half a hand of rock wool or a second wall: what leaves by conduction falls to this share.
INSULATED = 0.6
# A board a third lighter: a smaller panel, or no large part in the same run.
LIGHTER = 0.67
# A small oven fan moves the air past a board at about 1.5 m/s (ht: 8 to 20 W/m2K).
FAN_W_M2K, FAN_FACTOR = 14.0, 1.0
# An oven that was heated empty before the board goes in; a hot plate below does the same.
FIRST_STAGE_C = 100.0
# A door taken off its catch opens half as far again.
WIDER = 1.5
# The alloy that melts lowest of those shipped.
LOW_ALLOY = "sn42bi58"
# An effect that a person would not notice is no remedy.
WORTH = 0.02
# Near enough to an optimum to be compared.
HEADROOMS, STEPS = (1.0,), 12

Attempt = tuple[PlantParams, Wanted]


@dataclass(frozen=True)
class Advice:
    """A remedy and what the windows that were missed would be with it."""

    remedy: str
    text: str
    feasible: bool
    effect: dict[str, float]

    def as_json(self) -> dict[str, Any]:
        return {
            "remedy": self.remedy,
            "text": self.text,
            "feasible": self.feasible,
            "effect": self.effect,
        }


def advise(params: PlantParams, wanted: Wanted, measures: Sequence[Measure]) -> list[Advice]:
    """Every remedy that moves a missed window towards its limits; the best first."""
    missed = [m for m in measures if is_missed(m)]
    if not missed:
        return []
    found = [_tried(name, make(params, wanted), missed) for name, make in REMEDIES.items()]
    useful = [one for one in found if one is not None]
    return [advice for _, advice in sorted(useful, key=lambda pair: -pair[0])]


def _tried(
    name: str, attempt: Attempt | None, missed: Sequence[Measure]
) -> tuple[float, Advice] | None:
    if attempt is None:
        return None
    after = _measures(*attempt)
    kept = {m.name: after[m.name] for m in missed if m.part is None and m.name in after}
    gain = sum(_gain(m, after.get(m.name)) for m in missed if m.part is None)
    feasible = not any(is_missed(m) and is_decisive(m) for m in after.values())
    if gain < WORTH and not (feasible and any(is_decisive(m) for m in missed)):
        return None
    effect = {key: round(m.value, 3) for key, m in kept.items() if m.value is not None}
    what = ", ".join(_told(before, kept[before.name]) for before in missed if before.name in kept)
    text = sentences.REMEDIES[name].format(effect=what)
    return gain, Advice(name, text, feasible, effect)


def _told(before: Measure, after: Measure) -> str:
    label = sentences.LABELS[before.name]
    unit = before.unit
    digits = 2 if unit == "°C/s" else 0
    met = "" if is_missed(after) else sentences.WITHIN
    return f"{label} {after.value or 0.0:.{digits}f} {unit}{met}"


def _gain(before: Measure, after: Measure | None) -> float:
    """By how much of its window a miss gets smaller; more than enough counts no more."""
    if after is None:
        return 0.0
    return min(share(after) or 0.0, 0.0) - (share(before) or 0.0)


def _measures(params: PlantParams, wanted: Wanted) -> dict[str, Measure]:
    """The windows of the best course that full power gives, or of the best attempt."""
    try:
        course = best_course(Model(params, wanted.ambient_c), wanted, HEADROOMS, STEPS).trajectory
        measures: Sequence[Measure] = course_windows(course, wanted)
    except Infeasible as error:
        measures = error.measures
    return {m.name: m for m in measures if m.part is None}


def _scaled(params: PlantParams, factor: float, *names: str) -> PlantParams:
    return replace(params, **{name: factor * getattr(params, name) for name in names})


def _wider_door(params: PlantParams, wanted: Wanted) -> Attempt | None:
    if not params.door_open_cm2 and not params.door_leak_w_k:
        return None
    wider = _scaled(params, WIDER, "door_leak_w_k", "door_open_cm2", "door_w_m2k")
    return replace(wider, door_view_share=min(1.0, WIDER * params.door_view_share)), wanted


def _lower_peak(params: PlantParams, wanted: Wanted) -> Attempt | None:
    """Just above the lowest peak that the paste allows."""
    low_c, high_c = wanted.paste.window.peak_c
    peak_c = low_c + 0.1 * (high_c - low_c)
    stages = [s.model_copy(update={"to_c": min(s.to_c, peak_c)}) for s in wanted.profile.stages]
    profile = wanted.profile.model_copy(update={"stages": stages})
    return params, replace(wanted, profile=profile, peak_may_move=False)


def _lighter(params: PlantParams, wanted: Wanted) -> Attempt | None:
    return _scaled(params, LIGHTER, "board_j_k", "large_part_j_k"), wanted


def _two_stage(params: PlantParams, wanted: Wanted) -> Attempt | None:
    return params, replace(wanted, start_c=FIRST_STAGE_C, state=None)


def _insulated(params: PlantParams, wanted: Wanted) -> Attempt | None:
    return _scaled(params, INSULATED, "liner_shell_w_k", "leak_w_k"), wanted


def _with_fan(params: PlantParams, wanted: Wanted) -> Attempt | None:
    if params.structure != "oven" or params.fan_w_m2k:
        return None
    return replace(params, fan_w_m2k=FAN_W_M2K, fan_factor=FAN_FACTOR), wanted


def _other_alloy(params: PlantParams, wanted: Wanted) -> Attempt | None:
    paste = load_paste(LOW_ALLOY)
    if paste.liquidus_c >= wanted.paste.liquidus_c:
        return None
    profile = load_profile(LOW_ALLOY)
    return params, replace(wanted, paste=paste, profile=profile, peak_may_move=True)


REMEDIES: dict[str, Callable[[PlantParams, Wanted], Attempt | None]] = {
    "open_door_wider": _wider_door,
    "lower_peak": _lower_peak,
    "lighter_load": _lighter,
    "two_stage": _two_stage,
    "insulation": _insulated,
    "fan": _with_fan,
    "another_alloy": _other_alloy,
}

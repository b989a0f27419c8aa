"""What curve, documents and events say for or against a cause of a bad joint."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from heatcore.codes import EVENT_DOOR
from heatwright import sentences
from heatwright.documents.bench import Fitted
from heatwright.documents.checks import Finding
from heatwright.judging.verdict import Verdict
from heatwright.judging.windows import Measure
from heatwright.records.reader import Record

# How much a piece of evidence makes a cause likelier, or less likely: judgement, not measured.
FOR, SOMEWHAT, AGAINST = 4.0, 1.5, 0.2

# Heat: which measure, and which of its ends; True is below.
OF_CURVE: dict[str, tuple[str, bool]] = {
    "peak_low": ("peak", True),
    "peak_high": ("peak", False),
    "above_short": ("time_above_liquidus", True),
    "above_long": ("time_above_liquidus", False),
    "soak_short": ("soak", True),
    "soak_long": ("soak", False),
    "heating_fast": ("heating_rate", False),
    "slow_start": ("time_to_peak", False),
    "cooling_fast": ("cooling_rate", False),
}
# Not heat: findings of the documents that speak for it.
OF_DOCUMENTS: dict[str, tuple[str, ...]] = {
    "centre_pad_over": ("centre_pad_cover", "centre_pad_windows"),
    "too_little_paste": ("area_ratio", "aspect_ratio", "powder_coarse"),
    "damp_part": ("floor_life_over", "bake_first"),
    "paste_old": ("paste_expired",),
}
HINTS: dict[str, tuple[str, ...]] = {
    "centre_pad_over": ("centre_pad_unknown",),
    "too_little_paste": ("powder_unknown",),
    "damp_part": ("bag_not_noted",),
}


class Evidence(NamedTuple):
    """A factor on a cause's weight, and the sentence that says why; empty for no evidence."""

    factor: float = 1.0
    text: str = ""


class Known(NamedTuple):
    """All that is known about one run, for weighing causes."""

    verdict: Verdict
    findings: Sequence[Finding]
    record: Record


def weigh(cause: str, fitted: Fitted | None, known: Known) -> Evidence:
    """What speaks for or against this cause at this part."""
    if cause in OF_CURVE:
        return _of_curve(cause, known.verdict)
    if cause in OF_DOCUMENTS:
        return _of_documents(cause, fitted, known.findings)
    special = SPECIAL.get(cause)
    return special(fitted, known) if special else Evidence()


def _of_curve(cause: str, verdict: Verdict) -> Evidence:
    name, below = OF_CURVE[cause]
    measure = next(m for m in verdict.measures if m.name == name)
    if measure.value is None:
        return Evidence()
    if measure.status in ("warn", "fail") and measure.is_low == below:
        return Evidence(FOR, sentences.FOR_THAT.format(text=_in_numbers(measure)))
    if measure.status == "likely_pass" and _reaches(measure, below):
        return Evidence(SOMEWHAT)
    return Evidence(AGAINST, sentences.AGAINST_THAT.format(text=_in_numbers(measure)))


def _reaches(measure: Measure, below: bool) -> bool:
    """Whether the board's uncertainty reaches beyond this end of the window."""
    low, high = measure.value_low, measure.value_high
    if below:
        return measure.low is not None and low is not None and low < measure.low
    return measure.high is not None and high is not None and high > measure.high


def _in_numbers(measure: Measure) -> str:
    low = "" if measure.low is None else f"{measure.low:g} "
    digits = 2 if measure.unit == "°C/s" else 0
    window = f"{low}to {measure.high:g}" if low else f"at most {measure.high:g}"
    name = measure.name.replace("_", " ")
    return f"{name} {measure.value:.{digits}f} {measure.unit}, window {window}."


def _of_documents(cause: str, fitted: Fitted | None, findings: Sequence[Finding]) -> Evidence:
    for codes, factor in ((OF_DOCUMENTS[cause], FOR), (HINTS.get(cause, ()), SOMEWHAT)):
        for found in findings:
            about = fitted is None or found.code == "paste_expired" or fitted.name in found.text
            if found.code in codes and about:
                return Evidence(factor, sentences.FOR_THAT.format(text=found.text))
    return Evidence()


def _door(fitted: Fitted | None, known: Known) -> Evidence:
    """The door moved before the peak, or did not."""
    board = known.verdict.board
    if board is None:
        return Evidence()
    peak_s = float(board.time_s[int(board.board_c.argmax())])
    opened = [e.time_s for e in known.record.events if e.code == EVENT_DOOR and e.seen]
    # ten seconds: a door opened at the peak is opened a little before it
    early = [at_s for at_s in opened if at_s < peak_s - 10.0]
    if early:
        text = sentences.DOOR_WAS_EARLY.format(at=f"{early[0]:.0f} s", peak=f"{peak_s:.0f} s")
        return Evidence(FOR, sentences.FOR_THAT.format(text=text))
    return Evidence(AGAINST if opened else 1.0)


def _part_hot(fitted: Fitted | None, known: Known) -> Evidence:
    for measure in _of_part(fitted, known.verdict):
        if measure.status == "fail":
            return Evidence(FOR, sentences.FOR_THAT.format(text=_in_numbers(measure)))
    sure = [m.status == "pass" for m in _of_part(fitted, known.verdict)]
    return Evidence(AGAINST) if sure and all(sure) else Evidence()


def _of_part(fitted: Fitted | None, verdict: Verdict) -> Iterator[Measure]:
    hot = ("part_peak", "part_near_peak")
    name = fitted.name if fitted else None
    return (m for m in verdict.measures if name and m.part == name and m.name in hot)


SPECIAL: dict[str, Callable[[Fitted | None, Known], Evidence]] = {
    "door_early": _door,
    "part_hot": _part_hot,
}

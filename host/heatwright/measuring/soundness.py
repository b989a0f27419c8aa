"""Is this record fit to learn from: what can't be true is refused, what can be mended is, and said.

Nothing here knows a plant; each check looks at one way in which records go wrong.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from heatwright import sentences
from heatwright.errors import BadInput, Fault
from heatwright.records.units import Floats

Bools = NDArray[np.bool_]
Indices = NDArray[np.intp]

# A record with less in it shows nothing of a source.
SHORTEST_S = 60.0
LEAST_RISE_K = 5.0
LEAST_DUTY = 0.1
# Longer silence of the whole logger: what was done meanwhile is not known.
GAP_S = 20.0
# No logger samples so rarely; milliseconds taken for seconds do.
SLOWEST_S = 60.0
# Readings further apart are not joined by a line, nor are those twice as far apart as usual.
JOINED_S = 5.0
# A clock set anew while nothing else changed: no source stands still for so long by itself.
CLOCK_SET_S, STANDING_K = 120.0, 3.0
# No bead here gets so hot, and no room is so warm: Fahrenheit does both.
FAHRENHEIT_START, FAHRENHEIT_PEAK = (55.0, 105.0), 320.0
HOTTEST_C = 520.0
# A room in kelvin; nothing measured begins so hot in °C, and then never gets colder.
KELVIN_START = (273.0, 318.0)
# The top reading again and again, after a climb that stops dead: the converter is at its end. A
# source near its steady state stands too, but it slows down before.
STUCK_S, STUCK_K, CLIMBED_K_S = 8.0, 0.02, 0.2
MOST_STUCK = 0.3


@dataclass(frozen=True)
class Raw:
    """A run before it is believed. ``channels`` by the bead's name; all arrays of one length."""

    where: str
    time_s: Floats
    duty: Floats
    door: Floats
    channels: dict[str, Floats]
    ambient_c: float | None
    statements: tuple[str, ...] = ()

    def cut(self, kept: slice | Indices) -> Raw:
        """The samples that are kept."""
        channels = {name: values[kept] for name, values in self.channels.items()}
        return replace(
            self,
            time_s=self.time_s[kept],
            duty=self.duty[kept],
            door=self.door[kept],
            channels=channels,
        )

    def stating(self, sentence: str) -> Raw:
        return replace(self, statements=(*self.statements, sentence))

    def refuse(self, what: str, found: str, expected: str = "", cure: str = "") -> BadInput:
        return BadInput(Fault(what, self.where, found, expected, cure))


def checked(raw: Raw) -> Raw:
    """The record as far as it can be believed; ``statements`` says what was mended.

    Raises:
        BadInput: it can't be true, or nothing was tried in it.
    """
    raw = _known_rows(raw)
    _check_units(raw)
    raw = _clock_mended(raw)
    raw = _lost_said(_short_gaps_said(_before_gap(raw)))
    raw = _unstuck(raw)
    _check_tried(raw)
    return raw


def _known_rows(raw: Raw) -> Raw:
    """Rows without a time or a duty are none; the door may be left empty."""
    kept = np.isfinite(raw.time_s) & np.isfinite(raw.duty)
    if kept.sum() < 10:
        raise raw.refuse(sentences.TABLE_SHORT, f"{int(kept.sum())} rows")
    silent = [name for name, values in raw.channels.items() if np.isfinite(values).sum() < 10]
    if silent:
        raise raw.refuse(sentences.NO_READINGS, ", ".join(map(_said, silent)))
    return raw if kept.all() else raw.cut(np.flatnonzero(kept)).stating(sentences.ROWS_LEFT_OUT)


def _check_units(raw: Raw) -> None:
    step_s = float(np.median(np.diff(raw.time_s)))
    if step_s > SLOWEST_S:
        raise raw.refuse(sentences.TIME_UNIT, f"{step_s:g} s", "seconds", sentences.TIME_UNIT_CURE)
    for name, values in raw.channels.items():
        start, peak = float(_first_good(values)), float(np.nanmax(values))
        low, high = FAHRENHEIT_START
        if low <= start <= high and peak >= FAHRENHEIT_PEAK:
            found = sentences.FROM_TO.format(name=_said(name), start=start, peak=peak)
            raise raw.refuse(sentences.FAHRENHEIT, found, "°C", sentences.FAHRENHEIT_CURE)
        low, high = KELVIN_START
        if low <= start <= high and float(np.nanmin(values)) >= low:
            found = sentences.FROM_TO.format(name=_said(name), start=start, peak=peak)
            raise raw.refuse(sentences.KELVIN, found, "°C", sentences.KELVIN_CURE)
        if not peak <= HOTTEST_C:
            raise raw.refuse(sentences.TOO_HOT_TO_BE, f"{_said(name)} {peak:g} °C", "°C")
        if np.nanmax(np.abs(values)) <= 1.5:
            cure = sentences.SWAPPED_CURE.format(one="duty", other=name)
            raise raw.refuse(sentences.NOT_A_TEMPERATURE, f"{name} up to {peak:g}", "°C", cure)


def _said(channel: str) -> str:
    return sentences.CHANNELS.get(channel, channel)


def _first_good(values: Floats) -> float:
    return float(values[np.isfinite(values)][0])


def _clock_mended(raw: Raw) -> Raw:
    """One step back, or one leap in which no reading moved: the clock was set. Once is mended."""
    steps = np.diff(raw.time_s)
    usual_s = float(np.median(steps))
    if not usual_s > 0:
        raise raw.refuse(sentences.TIME_STANDS, f"{usual_s:g} s", "rising time_s")
    jumps = [
        at
        for at in np.flatnonzero((steps <= 0) | (steps > CLOCK_SET_S)).tolist()
        if _is_set(raw, at)
    ]
    if len(jumps) > 1:
        at_s = float(raw.time_s[jumps[1]])
        raise raw.refuse(sentences.CLOCK_JUMPS, f"{len(jumps)}, the second at {at_s:g} s")
    if not jumps:
        return raw
    moved_s = float(steps[jumps[0]]) - usual_s
    time_s = raw.time_s.copy()
    time_s[jumps[0] + 1 :] -= moved_s
    said = sentences.CLOCK_MENDED.format(moved=moved_s, at=float(raw.time_s[jumps[0]]))
    return replace(raw, time_s=time_s).stating(said)


def _is_set(raw: Raw, at: int) -> bool:
    back = raw.time_s[at + 1] <= raw.time_s[at]
    moved = [abs(float(v[at + 1] - v[at])) for v in raw.channels.values()]
    hot = max(float(v[at]) for v in raw.channels.values()) > 60.0
    return bool(back or (hot and max(moved) < STANDING_K))


def _before_gap(raw: Raw) -> Raw:
    """After a gap nobody knows what the source was at: only what came before it counts."""
    gaps = np.flatnonzero(np.diff(raw.time_s) > max(GAP_S, 4 * np.median(np.diff(raw.time_s))))
    if not gaps.size:
        return raw
    at = int(gaps[0])
    at_s, for_s = float(raw.time_s[at]), float(raw.time_s[at + 1] - raw.time_s[at])
    said = sentences.GAP.format(at=at_s, length=for_s)
    before = raw.cut(slice(0, at + 1))
    if not before.time_s[-1] - before.time_s[0] >= SHORTEST_S or not _shows_something(before):
        raise raw.refuse(sentences.GAP_EARLY, said, cure=sentences.RECORD_AGAIN)
    return before.stating(sentences.GAP_CUT.format(gap=said))


def joined_s(time_s: Floats) -> float:
    """Readings at these times are joined by a line up to so far apart, s."""
    return max(JOINED_S, 2.0 * float(np.median(np.diff(time_s))))


def _short_gaps_said(raw: Raw) -> Raw:
    """What lies between readings too far apart to be joined is not learnt from."""
    steps = np.diff(raw.time_s)
    gaps = steps[steps > joined_s(raw.time_s)]
    if not gaps.size:
        return raw
    said = sentences.SHORT_GAPS if gaps.size > 1 else sentences.SHORT_GAP
    return raw.stating(said.format(count=gaps.size, total=float(gaps.sum())))


def _lost_said(raw: Raw) -> Raw:
    """Rows in which a sensor that is heard before and after has no reading."""
    for name, values in raw.channels.items():
        heard = np.flatnonzero(np.isfinite(values))
        lost = int(np.ptp(heard)) + 1 - heard.size
        if lost:
            said = sentences.READINGS_LOST
            raw = raw.stating(said.format(name=_said(name), count=lost, of=values.size))
    return raw


def _unstuck(raw: Raw) -> Raw:
    """A converter at the end of its range repeats it: those readings say nothing."""
    for name, values in raw.channels.items():
        top = float(np.nanmax(values))
        stuck = _stuck(raw.time_s, values, values >= top - STUCK_K)
        if not stuck.any():
            continue
        if stuck.mean() > MOST_STUCK:
            found = f"{_said(name)} {top:g} °C, {100 * stuck.mean():.0f} %"
            raise raw.refuse(sentences.SATURATED, found, cure=sentences.SATURATED_CURE)
        channels = raw.channels | {name: np.where(stuck, np.nan, values)}
        said = sentences.SATURATED_CUT.format(name=_said(name).capitalize(), top=top)
        raw = replace(raw, channels=channels).stating(said)
    return raw


def _stuck(time_s: Floats, values: Floats, is_top: Bools) -> Bools:
    """Where the top reading holds for `STUCK_S` or more, straight after a steep climb."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], is_top.astype(int), [0]])))
    stuck = np.zeros(len(is_top), dtype=bool)
    for begin, end in edges.reshape(-1, 2):
        before = int(np.searchsorted(time_s, time_s[begin] - STUCK_S))
        climbed_k = STUCK_S * CLIMBED_K_S
        climbs = before < begin and values[begin] - values[before] > climbed_k
        stuck[begin:end] = climbs and time_s[end - 1] - time_s[begin] >= STUCK_S
    return stuck


def _shows_something(raw: Raw) -> bool:
    rise_k = max(float(np.nanmax(v) - _first_good(v)) for v in raw.channels.values())
    return bool(np.max(raw.duty) >= LEAST_DUTY and rise_k >= LEAST_RISE_K)


def _check_tried(raw: Raw) -> None:
    length_s = float(raw.time_s[-1] - raw.time_s[0])
    if length_s >= SHORTEST_S and _shows_something(raw):
        return
    _check_leads(raw)
    rise_k = max(float(np.nanmax(v) - _first_good(v)) for v in raw.channels.values())
    found = sentences.TRIED.format(length=length_s, duty=float(np.max(raw.duty)), rise=rise_k)
    raise raw.refuse(sentences.NOTHING_TRIED, found, cure=sentences.NOTHING_TRIED_CURE)


def _check_leads(raw: Raw) -> None:
    """What falls while it is heated is a thermocouple with its leads the wrong way round."""
    for name, values in raw.channels.items():
        fall_k = _first_good(values) - float(np.nanmin(values))
        if fall_k >= LEAST_RISE_K and np.max(raw.duty) >= LEAST_DUTY:
            found = sentences.FALLS.format(name=_said(name), fall=fall_k)
            raise raw.refuse(sentences.LEADS_REVERSED, found, cure=sentences.LEADS_CURE)

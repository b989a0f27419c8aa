"""The sensor checks as a form: readings in, and what they say of the sensor."""

from __future__ import annotations

import math

from heatwright import sentences
from heatwright.errors import BadInput, Fault
from heatwright.measuring import sensor_checks

# Far above and below anything that lies on a bench; a slip of the finger is told as one.
LOWEST_C, HIGHEST_C = -270.0, 1400.0
LOWEST_M, HIGHEST_M = -400.0, 6000.0
LOWEST_HPA, HIGHEST_HPA = 400.0, 1100.0
FIELDS = {
    "ice": ("°C", LOWEST_C, HIGHEST_C),
    "boiling": ("°C", LOWEST_C, HIGHEST_C),
    "altitude": ("m", LOWEST_M, HIGHEST_M),
    "pressure": ("hPa", LOWEST_HPA, HIGHEST_HPA),
    "one": ("°C", LOWEST_C, HIGHEST_C),
    "other": ("°C", LOWEST_C, HIGHEST_C),
}


def checked(given: dict[str, str]) -> list[str]:
    """What the readings say. Raises `BadInput` where one is no number, or there is none."""
    found = {name: _number(name, given.get(name, "")) for name in FIELDS}
    if all(found[name] is None for name in ("ice", "boiling")) and None in _pair(found):
        raise BadInput(Fault(sentences.PAGE_NO_READING, cure=sentences.PAGE_NO_READING_CURE))
    return [*_fixed_points(found), *_agreement(found)]


def _pair(found: dict[str, float | None]) -> tuple[float | None, float | None]:
    return found["one"], found["other"]


def _number(name: str, text: str) -> float | None:
    unit, low, high = FIELDS[name]
    text = text.strip().replace(",", ".")
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not low <= value <= high:
        expected = sentences.PAGE_NUMBER_FROM.format(low=low, high=high, unit=unit)
        where = sentences.PAGE["sensor_fields"][name]
        raise BadInput(Fault(sentences.PAGE_NO_NUMBER, where, text, expected))
    return value


def _fixed_points(found: dict[str, float | None]) -> list[str]:
    hpa = found["pressure"] or sensor_checks.pressure_hpa(found["altitude"] or 0.0)
    ice_c, boiling_c = found["ice"], found["boiling"]
    said = [] if ice_c is None else sensor_checks.check_point("ice", ice_c)
    said += [] if boiling_c is None else sensor_checks.check_point("boiling", boiling_c, hpa)
    if ice_c is not None and boiling_c is not None:
        said += sensor_checks.check_both(ice_c, boiling_c, hpa)
    return said


def _agreement(found: dict[str, float | None]) -> list[str]:
    one_c, other_c = _pair(found)
    if one_c is None or other_c is None:
        return []
    return [sensor_checks.check_pair(one_c, other_c)]

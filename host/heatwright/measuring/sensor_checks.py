"""Is the thermocouple to be believed: fixed points, two sensors, and what a record shows.

Sources: boiling by Antoine's equation for water (1 to 100 C), pressure by the standard atmosphere;
thermocouple voltages at 25 and 100 C by the ITS-90 tables (NIST Monograph 175); tolerance of new
class 2 wire by IEC 60584, 2.5 K to 333 C.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import log10
from typing import Literal

import numpy as np

from heatcore import thermocouple
from heatcore.inputs import NONE
from heatwright import sentences
from heatwright.records.reader import Record

Point = Literal["ice", "boiling"]

WIRE_K = 2.5
# The converter's own (cold junction within 2 K) is not in the wire's.
CONVERTER_K = 2.0
MOST_OFF_K = WIRE_K + CONVERTER_K
SEA_LEVEL_HPA = 1013.25
MMHG_A_HPA = 0.750062
# mV at 25 and 100 C of the types that are mistaken for K.
OTHER_TYPES = {"J": (1.277, 5.269), "T": (0.992, 4.279), "N": (0.659, 2.774), "E": (1.495, 6.319)}
ROOM_C, BOILING_C = 25.0, 100.0
SAME_TYPE_K = 6.0
JUNCTION_RISE_K = 10.0
JUMP_K = 2.0
FEWEST = 40


def pressure_hpa(altitude_m: float) -> float:
    """Air pressure of the standard atmosphere at this height (below 11 km)."""
    return float(SEA_LEVEL_HPA * (1.0 - 2.25577e-5 * altitude_m) ** 5.25588)


def boiling_c(hpa: float = SEA_LEVEL_HPA) -> float:
    """Where water boils at this air pressure, C."""
    return 1730.63 / (8.07131 - log10(hpa * MMHG_A_HPA)) - 233.426


def check_point(point: Point, reading_c: float, hpa: float = SEA_LEVEL_HPA) -> list[str]:
    """What a reading in ice water or boiling water says of the sensor."""
    true_c = 0.0 if point == "ice" else boiling_c(hpa)
    off_k = reading_c - true_c
    words = {"point": point, "reading": reading_c, "true": true_c, "off": off_k, "most": MOST_OFF_K}
    if abs(off_k) <= MOST_OFF_K:
        return [sentences.SENSOR_GOOD.format(**words)]
    return [sentences.SENSOR_OFF.format(**words), *_why(point, reading_c)]


def _why(point: Point, reading_c: float) -> Iterator[str]:
    if point != "boiling":
        return
    if reading_c < ROOM_C - MOST_OFF_K:
        yield sentences.SENSOR_LEADS
    for other in OTHER_TYPES:
        if abs(reading_c - mistaken_c(other)) <= SAME_TYPE_K:
            yield sentences.SENSOR_TYPE.format(other=other, own="K")


def mistaken_c(other: str) -> float:
    """What a type K converter in a room of 25 C makes of another type's bead at 100 C."""
    room_mv, boiling_mv = OTHER_TYPES[other]
    whole = round((boiling_mv - room_mv) * 10_000) + thermocouple.emf(round(ROOM_C * 1000))
    return thermocouple.temperature(whole) / 1000


def check_both(ice_c: float, reading_c: float, hpa: float = SEA_LEVEL_HPA) -> list[str]:
    """What the two fixed points together say: another unit, an offset, or an error that grows."""
    true_c = boiling_c(hpa)
    if max(abs(ice_c), abs(reading_c - true_c)) <= MOST_OFF_K:
        return []
    if reading_c < ROOM_C - MOST_OFF_K:
        return []  # reversed leads were told already, and explain it all
    if _is_fahrenheit(ice_c, 0.0) and _is_fahrenheit(reading_c, true_c):
        return [sentences.SENSOR_FAHRENHEIT]
    if abs(ice_c - (reading_c - true_c)) <= WIRE_K:
        return [sentences.SENSOR_OFFSET]
    return [sentences.SENSOR_SLOPE if abs(ice_c) <= MOST_OFF_K else sentences.SENSOR_BOTH]


def _is_fahrenheit(reading: float, true_c: float) -> bool:
    return abs(reading - (32.0 + 1.8 * true_c)) <= 1.8 * MOST_OFF_K


def check_pair(first_c: float, second_c: float) -> str:
    """Whether two sensors that should read the same do, within the tolerance of both."""
    most_k = float(np.hypot(MOST_OFF_K, MOST_OFF_K))
    off_k = second_c - first_c
    sentence = sentences.SENSORS_AGREE if abs(off_k) <= most_k else sentences.SENSORS_DIFFER
    return sentence.format(off=off_k, most=most_k)


def check_record(record: Record) -> list[str]:
    """What a run's own readings show: a cold junction that warms, a bead on earthed metal."""
    return [*_junction(record), *_grounded(record)]


def _junction(record: Record) -> Iterator[str]:
    known = record.raw["cold_junction_mc"]
    known = known[known != NONE] / 1000
    if known.size and float(known.max() - known[0]) > JUNCTION_RISE_K:
        yield sentences.JUNCTION_DRIFTS.format(rise=float(known.max() - known[0]))


def _grounded(record: Record) -> Iterator[str]:
    """Hum comes with the heat: readings jump while power is on, and not while it is off."""
    jumps = np.abs(np.diff(record.sensor_c, 2))
    on = record.duty[2:] > 0.05
    loud, quiet = (jumps[part & np.isfinite(jumps)] for part in (on, ~on))
    if len(loud) < FEWEST or len(quiet) < FEWEST:
        return
    jump_k = float(np.median(loud))
    if jump_k > JUMP_K and jump_k > 3 * float(np.median(quiet)):
        yield sentences.BEAD_GROUNDED.format(jump=jump_k)

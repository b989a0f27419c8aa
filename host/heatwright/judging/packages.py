"""What the parts must not be put through: J-STD-020 revision D, upper ends and highest rates only.

The standard says what a package survives, not what a joint needs: being short of its times is no
fault.
"""

from __future__ import annotations

from collections.abc import Iterator

from heatwright.documents.jstd020 import (
    LEAD_FREE,
    SOURCE,
    TIN_LEAD,
    Classification,
)
from heatwright.documents.paste import Paste
from heatwright.judging import curves
from heatwright.judging.curves import Curve
from heatwright.judging.windows import Limits, Measure, hold

TABLE = f"{SOURCE}, Table 5-2"


def classification(paste: Paste) -> Classification:
    """The column of Table 5-2 that goes with a paste: tin-lead where it contains lead."""
    return TIN_LEAD if paste.contains_lead else LEAD_FREE


def measures(curve: Curve, table: Classification) -> Iterator[Measure]:
    """Time above the table's liquidus, and the steepest rise and fall above it."""
    above_s = curves.time_above(curve.time_s, curve.board_c, table.liquidus_c)
    yield hold(
        "part_time_above_liquidus",
        above_s,
        "s",
        Limits(None, table.above_liquidus_high_s, TABLE, above="fail"),
        curves.first_reach(curve.time_s, curve.board_c, table.liquidus_c),
        at_least=curve.ends_above(table.liquidus_c),
    )
    if above_s > 0:
        yield from _rates(curve, table)


def _rates(curve: Curve, table: Classification) -> Iterator[Measure]:
    hot_s = curve.time_s[curve.board_c >= table.liquidus_c]
    spans = (
        ("part_heating_rate", hot_s[0], curve.peak_s, 1, table.ramp_up_max_c_per_s),
        ("part_cooling_rate", curve.peak_s, hot_s[-1], -1, table.ramp_down_max_c_per_s),
    )
    for name, from_s, to_s, sign, high in spans:
        found = curve.steepest(from_s, to_s, sign)
        if found:
            yield hold(name, found[0], "°C/s", Limits(None, high, TABLE, above="fail"), found[1])

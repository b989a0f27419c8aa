"""The hottest plausible board: what keeps heat off a board of which nobody has read anything yet.

All that is known is the kind of source, and this run's own duty and sensor; the prior is wide where
sensors differ most between builders. The ceiling holds for what is still to come, too: the heat
that is stored goes on into the board after heating ends.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from heatsim.batch import inputs_table
from heatsim.plant import STEP_S
from heatwright.documents import Source
from heatwright.measuring import band, fitting
from heatwright.measuring.measurement import NODE_OF, SENSOR, Measurement
from heatwright.measuring.parameters import Prior, of_kind, with_wider
from heatwright.records.units import Floats

# Boards char and lift from here on (laminate's Td is above 300 C), and parts are tested to 260 C.
CEILING_C = 280.0
# One-sided 95 %.
SD_OF_95 = 1.645
# Until the next look, and then for as long as stored heat still warms the board.
NEXT_LOOK_S, COAST_S = 15.0, 60.0
# Heat goes on for so long after the mark: the first joint to melt is not the last.
AFTER_MARK_S = 20.0
# Where a bead sits changes what it feels by this much, relative: half to twice.
SENSOR_SD = 0.5
# And what it reads may be off besides: the worst of which was told, 90 K low at soldering heat, is
# half of its rise, and shall be within 95 % of what is thought possible.
MISREAD_SD = 0.42
SENSOR_PARTS = ("sensor_liner_share", "sensor_element_share", "sensor_board_share", "sensor_s")


def unknown(source: Source) -> Prior:
    """What is known of a source of this kind whose sensor may sit anywhere."""
    return with_wider(of_kind(source), SENSOR_PARTS, SENSOR_SD)


def likeliest(source: Source, run: Measurement) -> fitting.Solution:
    """What a run says of a source of which nothing else is known, its sensor's truth included."""
    return fitting.solve(unknown(source), [run], starts=1, misread=MISREAD_SD)


def hottest_c(source: Source, run: Measurement) -> float:
    """The 95 % hottest board from now on, C, if heat ends at the next look.

    ``run`` is what was recorded so far; every call learns from all of it.
    """
    board_c, sd_k = band.board_band(likeliest(source, run), _and_then(run.inputs))
    now = len(run.inputs)
    return float((board_c + SD_OF_95 * sd_k)[now:].max())


def _and_then(inputs: Floats) -> Floats:
    """A run gone on with its last duty to the next look, then without heat."""
    on, off = round(NEXT_LOOK_S / STEP_S), round(COAST_S / STEP_S)
    going = np.tile(inputs[-1], (on, 1))
    coasting = np.tile(inputs[-1], (off, 1))
    coasting[:, 0] = 0.0
    return np.concatenate([inputs, going, coasting])


def melts_under_ceiling(
    source: Source, duty: float, liquidus_c: float, reads: str = SENSOR
) -> tuple[bool, float]:
    """Whether the kind's own nominal source would melt before the ceiling ends its heat.

    Returns that, and the hottest plausible board then, C. Where it would not, nobody should
    try: a scrap board with a thermocouple comes first, or a paste that melts lower.
    """
    run, board_c = nominal_run(source, duty, reads)
    melted = np.flatnonzero(board_c >= liquidus_c)
    if not melted.size:
        return False, float("nan")
    hottest = hottest_c(source, until(run, int(melted[0]) + round(AFTER_MARK_S / STEP_S)))
    return hottest < CEILING_C, hottest


def nominal_run(source: Source, duty: float, reads: str = SENSOR) -> tuple[Measurement, Floats]:
    """The kind's nominal source heated from cold at this duty: what is read, and its board.

    ``reads`` is the node of the control sensor: a bead on the board tells far more.
    """
    inputs = inputs_table(np.full(round(1500.0 / STEP_S), duty), fan=1.0)
    states = fitting.simulate(source.plant_params(), inputs, None)
    readings = {reads: states[:, NODE_OF[reads]]}
    run = Measurement(name="nominal", sha256="", inputs=inputs, readings=readings)
    return run, states[:, NODE_OF["board"]]


def until(run: Measurement, steps: int) -> Measurement:
    """The first steps of a run."""
    readings = {name: values[: steps + 1] for name, values in run.readings.items()}
    return replace(run, inputs=run.inputs[:steps], readings=readings)

"""Faults as a person asks for them, ``NAME@SECONDS``, checked before anything begins."""

from __future__ import annotations

import math
from collections.abc import Sequence

from heatsim.faults import IN_LOOP, KINDS, Fault
from heatwright import errors, sentences
from heatwright.errors import BadInput

SIM, PLANT = "sim:", "plant:"
SIMULATED = (SIM, PLANT)
OPTION = "--fault"


def named_faults(texts: Sequence[str], on: str) -> tuple[Fault, ...]:
    """The faults that these texts name, to be struck on what ``--on`` names.

    Raises `BadInput` with all that is wrong: unknown names, no time, a fault that this controller
    can't have.
    """
    wrong = [fault for text in texts for fault in _wrong(text, on)]
    if wrong:
        raise BadInput(*wrong)
    return tuple(_parsed(text) for text in texts)


def _parsed(text: str) -> Fault:
    name, _, at = text.partition("@")
    return Fault(name, _seconds(at))


def _seconds(text: str) -> float:
    """Not a number where it is none."""
    try:
        return float(text)
    except ValueError:
        return math.nan


def _wrong(text: str, on: str) -> list[errors.Fault]:
    name, _, at = text.partition("@")
    where = f"{OPTION} {text}"
    found = []
    if name not in KINDS:
        found.append(errors.Fault(sentences.NO_SUCH_FAULT, where, name, ", ".join(KINDS)))
    elif KINDS[name].strike is None:
        expected = ", ".join(IN_LOOP)
        found.append(errors.Fault(sentences.FAULT_OF_CHIP.format(name=name), where, on, expected))
    elif not on.startswith(SIMULATED):
        expected = sentences.FAULT_ON_SIMULATED
        found.append(errors.Fault(sentences.FAULT_ON_REAL, where, on, expected))
    elif KINDS[name].needs_run and _seconds(at) < 0:
        found.append(errors.Fault(sentences.FAULT_NEEDS_RUN, where, at, sentences.FAULT_FROM_0))
    if not math.isfinite(_seconds(at)):
        shown = at or sentences.FAULT_UNTIMED
        found.append(errors.Fault(sentences.FAULT_NO_TIME, where, shown, sentences.FAULT_FORM))
    return found

"""Faults as a person asks for them, ``NAME@SECONDS``, checked before anything begins."""

from __future__ import annotations

import math
from collections.abc import Sequence

from heatsim.faults import IN_LOOP, KINDS, ON_CHIP, Fault
from heatsim.virtual.breaking import is_virtual
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


def never_struck(texts: Sequence[str], end_s: float) -> list[str]:
    """Those of these faults whose time had not come when the run ended."""
    return [str(fault) for fault in map(_parsed, texts) if fault.at_s > end_s]


def _parsed(text: str) -> Fault:
    name, _, at = text.partition("@")
    return Fault(name, _seconds(at))


def _seconds(text: str) -> float:
    """Not a number where it is none."""
    try:
        return float(text)
    except ValueError:
        return math.nan


def _to_be_had(on: str) -> tuple[str, ...]:
    """The faults that can be struck on what ``--on`` names: none on what may be real."""
    if on.startswith(SIMULATED):
        return IN_LOOP
    return ON_CHIP if is_virtual(on) else ()


def _why_not(name: str, on: str) -> str:
    if name in ON_CHIP:
        reason = sentences.FAULT_OF_CHIP if on.startswith(SIMULATED) else sentences.FAULT_ON_REAL
    else:
        reason = sentences.FAULT_OF_LOOP if is_virtual(on) else sentences.FAULT_ON_REAL
    return reason.format(name=name)


def _elsewhere(name: str) -> str:
    return sentences.FAULT_ON_VIRTUAL if name in ON_CHIP else sentences.FAULT_ON_SIMULATED


def _wrong(text: str, on: str) -> list[errors.Fault]:
    name, _, at = text.partition("@")
    where = f"{OPTION} {text}"
    found = []
    if name not in KINDS:
        found.append(errors.Fault(sentences.NO_SUCH_FAULT, where, name, ", ".join(KINDS)))
    elif name not in _to_be_had(on):
        found.append(errors.Fault(_why_not(name, on), where, on, _elsewhere(name)))
    elif KINDS[name].needs_run and _seconds(at) < 0:
        found.append(errors.Fault(sentences.FAULT_NEEDS_RUN, where, at, sentences.FAULT_FROM_0))
    if not math.isfinite(_seconds(at)):
        shown = at or sentences.FAULT_UNTIMED
        found.append(errors.Fault(sentences.FAULT_NO_TIME, where, shown, sentences.FAULT_FORM))
    return found

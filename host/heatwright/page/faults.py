"""What is wrong, as the page tells it: it has fields and buttons where a command has options."""

from __future__ import annotations

from heatwright import sentences
from heatwright.errors import Fault, HeatwrightError


def faults_of(error: HeatwrightError) -> list[dict[str, str]]:
    """Each fault as what, where, found, expected, cure."""
    return [_of_page(fault) for fault in error.as_faults()]


def _of_page(fault: Fault) -> dict[str, str]:
    told = {key: sentences.PAGE_INSTEAD.get(text, text) for key, text in vars(fault).items()}
    option = fault.where.partition(" ")[0]
    return told | {"where": sentences.PAGE_OPTIONS.get(option, told["where"])}

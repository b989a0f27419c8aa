"""What a fault campaign found, for the terminal and as a page of the documentation."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from heatsim.faults import KINDS, ON_CHIP
from heatwright import sentences
from heatwright.faulting.figures import (
    Case,
    Row,
    is_after_cue,
    percentile,
    rows,
    since_low_duty,
)

Document = dict[str, Any]
HEADS = sentences.CAMPAIGN_HEADS


def table(found: Document) -> str:
    """Aligned text: one line a fault, then the false trips."""
    lines = [HEADS, *(_cells(row) for row in rows(found["cases"]))]
    widths = [max(len(line[column]) for line in lines) for column in range(len(HEADS))]
    text = [_aligned(line, widths) for line in lines]
    rest = (_welds(rows(found["cases"])), false_trips(found), spread(found))
    return "\n".join([*text, "", *rest])


def _aligned(cells: tuple[str, ...], widths: list[int]) -> str:
    first, *rest = zip(cells, widths, strict=True)
    return "  ".join([first[0].ljust(first[1]), *(cell.rjust(width) for cell, width in rest)])


def _cells(row: Row) -> tuple[str, ...]:
    return (
        row.fault,
        f"{row.detected}/{row.cases}",
        *(_number(value, 1) for value in (row.median_s, row.p95_s, row.max_s)),
        *(_number(value, 0) for value in (row.highest_c, row.highest_undetected_c)),
    )


def _number(value: float, digits: int) -> str:
    return "-" if math.isnan(value) else f"{value:.{digits}f}"


def false_trips(found: Document) -> str:
    """How many runs without a fault tripped, and which rules did it."""
    rules = sorted({run["trip"] for run in found["tripped_fresh_runs"]})
    said = sentences.CAMPAIGN_FALSE_BY.format(rules=", ".join(rules)) if rules else ""
    return sentences.CAMPAIGN_FALSE.format(
        tripped=found["false_trips"], runs=found["fresh_runs"], by=said
    )


def spread(found: Document) -> str:
    """How far the simulated sources were from the model that their plans were made from."""
    return sentences.CAMPAIGN_SPREAD.format(spread=found["spread"], seeds=found["seeds"])


def _plain(found: Document) -> str:
    """How hot the board got in the runs without a fault."""
    if not found["fresh_peaks_c"]:
        return ""
    low_c, high_c = found["fresh_peaks_c"]
    return sentences.CAMPAIGN_PLAIN.format(low=low_c, high=high_c)


def page(found: Document) -> str:
    """Markdown: the tables of this campaign, nothing written by hand."""
    found_rows = rows(found["cases"])
    parts = [
        sentences.CAMPAIGN_PAGE_HEAD,
        spread(found),
        false_trips(found),
        _welds(found_rows),
        _markdown(HEADS, [_cells(row) for row in found_rows]),
        sentences.CAMPAIGN_PAGE_COLUMNS.format(plain=_plain(found)),
        chip_part(found),
        sentences.CAMPAIGN_PAGE_FRESH,
        sentences.CAMPAIGN_PAGE_WELDS,
        _weld_table(found),
        sentences.CAMPAIGN_PAGE_LOW,
        _low_duty(found),
        sentences.CAMPAIGN_PAGE_FAULTS,
        _markdown(sentences.CAMPAIGN_FAULT_HEADS, [(n, k.what) for n, k in KINDS.items()]),
        sentences.CAMPAIGN_PAGE_SOURCES,
        _by_source(found),
    ]
    return "\n\n".join(parts) + "\n"


def _welds(found: list[Row]) -> str:
    both = next((row for row in found if row.fault == "both-welded"), None)
    if both is None or math.isnan(both.seconds_to_300_c):
        return sentences.CAMPAIGN_BOTH_COOL
    return sentences.CAMPAIGN_BOTH.format(seconds=both.seconds_to_300_c)


def chip_part(found: Document) -> str:
    """Which cases ran on the virtual controller, and how many: fewer than in the fast loop."""
    cases = [case for case in found["cases"] if case["fault"] in ON_CHIP]
    names = ", ".join(f"`{name}`" for name in ON_CHIP)
    if not cases:
        return sentences.CAMPAIGN_PAGE_NO_CHIP.format(names=names)
    ran, every = _settings(cases), _settings(found["cases"])
    return sentences.CAMPAIGN_PAGE_CHIP.format(
        names=names, cases=len(cases), settings=len(ran), all=len(every)
    )


def _settings(cases: Sequence[Case]) -> set[tuple[str, str]]:
    return {(case["source"], case["sensor"]) for case in cases}


def _weld_table(found: Document) -> str:
    """Source by source: what a safety relay in series makes of a welded solid-state relay."""
    lines = []
    for source in dict.fromkeys(case["source"] for case in found["cases"]):
        cases = [case for case in found["cases"] if case["source"] == source]
        of_source = {row.fault: row for row in rows(cases)}
        lines.append(_weld_cells(source, of_source["relay-shorted"], of_source["both-welded"]))
    return _markdown(sentences.CAMPAIGN_WELD_HEADS, lines)


def _weld_cells(source: str, relay: Row, both: Row) -> tuple[str, ...]:
    return (
        source,
        f"{relay.detected}/{relay.cases}",
        _number(relay.p95_s, 1),
        _number(relay.highest_c, 0),
        _number(both.seconds_to_300_c, 0),
    )


def _low_duty(found: Document) -> str:
    """Source by source: a weld's seconds since the loop asked for little enough to show it."""
    welds = since_low_duty(case for case in found["cases"] if case["fault"] == "relay-shorted")
    lines = []
    for source in dict.fromkeys(case["source"] for case in found["cases"]):
        of_source = [case for case in welds if case["source"] == source]
        after = [case for case in of_source if is_after_cue(case)]
        before = [case for case in of_source if not is_after_cue(case)]
        parts = zip(sentences.CAMPAIGN_LOW_PARTS, (of_source, before, after), strict=True)
        lines += [(source, part, *_low_cells(cases)) for part, cases in parts]
    return _markdown(sentences.CAMPAIGN_LOW_HEADS, lines)


def _low_cells(cases: Sequence[Case]) -> tuple[str, ...]:
    seconds = [case["seconds_to_off"] for case in cases]
    return (str(len(seconds)), *(_number(percentile(seconds, share), 1) for share in (50, 95, 100)))


def _markdown(heads: tuple[str, ...], lines: list[tuple[str, ...]]) -> str:
    ruler = ["---"] + ["---:"] * (len(heads) - 1) if len(heads) > 2 else ["---"] * len(heads)
    return "\n".join("| " + " | ".join(cells) + " |" for cells in (heads, ruler, *lines))


def _by_source(found: Document) -> str:
    """Welds and dead heaters, source by source and placing by placing: where they differ."""
    lines = []
    for source in dict.fromkeys(case["source"] for case in found["cases"]):
        for sensor in ("sensor", "board_sensor"):
            lines += [
                (f"{source}, {sentences.CAMPAIGN_PLACES[sensor]}", *_cells(row))
                for row in rows(_chosen(found, source, sensor))
            ]
    return _markdown((sentences.CAMPAIGN_SOURCE, *HEADS), lines)


def _chosen(found: Document, source: str, sensor: str) -> list[dict[str, Any]]:
    return [
        case
        for case in found["cases"]
        if (case["source"], case["sensor"]) == (source, sensor)
        and case["fault"] in sentences.CAMPAIGN_BY_SOURCE
    ]

"""Plan files: every generation is kept, and none is ever written over another."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from heatcore import plan as core
from heatwright import sentences
from heatwright.documents.writing import check_writable, write_beside
from heatwright.errors import BadInput, Fault

GENERATION = re.compile(r"^(?P<stem>.*)\.g(?P<number>\d+)$")


@dataclass(frozen=True)
class Generation:
    """Where the next generation of a plan goes; ``there``: it lies there already."""

    path: Path
    number: int
    there: bool


def next_generation(plan_at: Path, data: bytes) -> Generation:
    """Beside the plan, numbered, over no other; the same bytes are not numbered twice."""
    found = GENERATION.match(plan_at.stem)
    stem, number = (found["stem"], int(found["number"])) if found else (plan_at.stem, 1)
    while True:
        number += 1
        path = plan_at.with_name(f"{stem}.g{number}{plan_at.suffix}")
        if not path.exists():
            return Generation(path, number, False)
        if path.read_bytes() == data:
            return Generation(path, number, True)


def picture_of(plan_at: Path) -> Path:
    """Where the picture of a plan lies."""
    return plan_at.with_suffix(".png")


def check_free(out: Path) -> None:
    """Raises `BadInput` where no plan can be written, or what lies there is not ours to move."""
    check_writable(out)
    if out.exists():
        _id_of(out)


def write_plan(out: Path, data: bytes) -> Path | None:
    """Write a plan; one that differs and lies there is moved beside, named by its id: returned.

    Its picture goes with it.
    """
    if not out.exists() or out.read_bytes() == data:
        write_beside(out, data)
        return None
    earlier = out.with_suffix(f".{_id_of(out)}{out.suffix}")
    out.replace(earlier)
    if picture_of(out).is_file():
        picture_of(out).replace(picture_of(earlier))
    write_beside(out, data)
    return earlier


def _id_of(out: Path) -> str:
    try:
        return core.read(out.read_bytes()).id
    except OSError as error:
        fault = Fault(
            sentences.PLAN_CLOSED, str(out), str(error.strerror), cure=sentences.ANOTHER_OUT
        )
        raise BadInput(fault) from error
    except core.PlanError as error:
        fault = Fault(sentences.NO_PLAN_THERE, str(out), cure=sentences.ANOTHER_OUT)
        raise BadInput(fault) from error

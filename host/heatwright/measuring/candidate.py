"""The candidate source file: what was learnt as a document, kept only when it is accepted."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from decimal import ROUND_DOWN, Context
from pathlib import Path
from typing import Any

from heatsim.params import PlantParams
from heatwright import sentences
from heatwright.documents import Source, load_source, locate, write_document
from heatwright.documents.reading import candidate_path
from heatwright.documents.source import SET_UP, Correlation, Spread, power_range_w
from heatwright.documents.writing import check_writable, write_beside
from heatwright.errors import BadInput, Fault
from heatwright.judging.melting import Melt
from heatwright.measuring.fitting import Solution
from heatwright.measuring.learning import NoFit
from heatwright.measuring.measurement import Measurement
from heatwright.measuring.parameters import SHARES

DIGITS, CORRELATION_DECIMALS = 5, 6
EARLIER = "earlier"


def check_out(out: Path) -> None:
    """Asked before the work: can a source be written here, and found again?

    Raises `BadInput` for a shipped source's name, one without ``.toml``, or an unwritable place.
    """
    if locate("source", out) != out:
        cure = sentences.SHIPPED_SOURCE_CURE.format(name=out)
        raise BadInput(Fault(sentences.SHIPPED_SOURCE, str(out), cure=cure))
    if out.suffix.lower() != ".toml":
        cure = sentences.NOT_TOML_CURE.format(path=f"{out}.toml")
        raise BadInput(Fault(sentences.NOT_TOML, str(out), out.name, ".toml", cure))
    check_writable(out)


def base_for(kind: str, out: Path) -> Source:
    """The kind's model with set-up and plate of the file that is to be replaced, if there is one.

    A source that is measured anew starts from its kind: what was learnt before may be why. Its
    power is the type plate's, as in a source that was described.
    Raises `BadInput` where that file is of another kind.
    """
    shipped = load_source(kind)
    if not out.exists():
        return shipped
    own = load_source(out)
    if own.kind != shipped.kind:
        what, cure = sentences.OTHER_SOURCE_KIND, sentences.OTHER_SOURCE_KIND_CURE
        raise BadInput(Fault(what, str(out), own.kind, kind, cure))
    kept = ("name", "generation", "notes", "ratings", "sensor", "knob", *SET_UP)
    model = shipped.model.model_copy(update={"power_w": own.ratings.power_w})
    return shipped.model_copy(update={key: getattr(own, key) for key in kept} | {"model": model})


def document(
    base: Source,
    solution: Solution,
    runs: Sequence[Measurement],
    *,
    spread: Spread,
    note: str = "",
    anew: bool = True,
) -> Source:
    """A source document of what was learnt; ``anew`` False keeps what it was learnt from before.

    Raises `NoFit` where that is not the power of the type plate.
    """
    _check_power(base, solution)
    before = [] if anew else base.learnt_from
    hashes = list(dict.fromkeys([*before, *(run.sha256 for run in runs)]))
    data = base.model_dump(exclude={"model", "spread", "origin"}) | {
        "generation": base.generation + 1,
        "learnt_on": dt.date.today(),
        "learnt_from": hashes,
        "marked_from": _marked(base, runs),
        "marks_from": [
            *base.marks_from,
            *(melt_key(run.sha256, melt) for run in runs for melt in run.melts),
        ],
        "notes": "\n".join(part for part in (_lasting(base.notes), note) if part),
        "model": _model(base, solution),
        "spread": spread.model_dump(),
    }
    return Source.model_validate(data)


def _check_power(base: Source, solution: Solution) -> None:
    plate_w, found_w = base.ratings.power_w, _rounded(solution.params.power_w)
    low_w, high_w = power_range_w(plate_w)
    if not low_w <= found_w <= high_w:
        raise NoFit(sentences.NOT_THE_PLATE.format(found=found_w, plate=plate_w))


def _lasting(notes: str) -> str:
    """What still holds of a source's notes, once it has been learnt."""
    return "\n".join(line for line in notes.splitlines() if line != sentences.MODEL_OF_KIND)


def _marked(base: Source, runs: Sequence[Measurement]) -> list[str]:
    return list(dict.fromkeys([*base.marked_from, *(run.sha256 for run in runs if run.melts)]))


def melt_key(sha256: str, melt: Melt) -> str:
    """What a source file calls a melt that it was taught."""
    return f"{sha256} {melt.time_s:.3f} s {melt.seen} {melt.alloy}"


def knows(source: Source, sha256: str, melt: Melt) -> bool:
    """Whether the source was taught this melt of this record.

    A file that names none of a record's marks, though it was taught by them, knows them all.
    """
    named = [key for key in source.marks_from if key.startswith(sha256)]
    return sha256 in source.marked_from and (not named or melt_key(sha256, melt) in named)


def _model(base: Source, solution: Solution) -> dict[str, Any]:
    known, params = solution.known, solution.params
    values = _values(known.names, params)
    before: dict[str, Any] = base.model.model_dump()
    sd = {
        name: round(max(float(s), 1e-4), 4) for name, s in zip(known.names, known.sd, strict=True)
    }
    rows = known.correlation
    decimals = CORRELATION_DECIMALS
    lower = [[round(float(v), decimals) for v in row[: at + 1]] for at, row in enumerate(rows)]
    correlation = Correlation(names=list(known.names), lower=lower)
    return before | values | {"sd": sd, "correlation": correlation.model_dump()}


def _rounded(value: float) -> float:
    return float(f"{value:.{DIGITS}g}")


def _values(names: Sequence[str], params: PlantParams) -> dict[str, float]:
    """Rounded; shares that are one together, and would be more then, are cut instead."""
    values = {name: _rounded(getattr(params, name)) for name in names}
    if sum(values.get(name, getattr(params, name)) for name in SHARES) <= 1.0:
        return values
    cut = Context(prec=DIGITS, rounding=ROUND_DOWN).create_decimal_from_float
    return values | {name: float(cut(getattr(params, name))) for name in SHARES if name in values}


def write(source: Source, out: Path, accept: bool) -> Path:
    """Write the candidate, or the source itself where it is accepted; returns the file written."""
    path = out if accept else candidate_path(out)
    if accept:
        _keep_before(out)
    write_document(source, path)
    if accept:
        candidate_path(out).unlink(missing_ok=True)
    return path


def before_path(out: Path, generation: int) -> Path:
    """Where the file's earlier generation lies, to be copied back if the later one is no good."""
    return out.parent / EARLIER / f"{out.stem}.g{generation}.toml"


def kept_before(out: Path, generation: int) -> list[Path]:
    """Every file that was kept as this generation: a source begun anew counts from one again."""
    first = before_path(out, generation)
    return [path for path in (first, *sorted(first.parent.glob(f"{first.stem}-*.toml")))
            if path.exists()]  # fmt: skip


def _keep_before(out: Path) -> None:
    if not out.exists():
        return
    generation, data = load_source(out).generation, out.read_bytes()
    there = kept_before(out, generation)
    if any(path.read_bytes() == data for path in there):
        return
    first = before_path(out, generation)
    first.parent.mkdir(exist_ok=True)
    free = first.with_stem(f"{first.stem}-{len(there) + 1}") if there else first
    write_beside(free, data)


def waiting(out: Path) -> Source | None:
    """The candidate that waits to be accepted as this source file, if there is one."""
    at = candidate_path(out)
    return load_source(at) if at.is_file() else None


def accept(out: Path, kind: str | None = None) -> Path:
    """Take the waiting candidate as the source.

    Raises `BadInput` where none waits, or one of another kind than ``kind``.
    """
    at, found = candidate_path(out), waiting(out)
    if found is None:
        raise BadInput(Fault(sentences.NO_CANDIDATE, str(at), cure=sentences.NO_CANDIDATE_CURE))
    if kind and found.kind != kind:
        what, cure = sentences.OTHER_SOURCE_KIND, sentences.OTHER_SOURCE_KIND_CURE
        raise BadInput(Fault(what, str(at), found.kind, kind, cure))
    return write(found, out, accept=True)

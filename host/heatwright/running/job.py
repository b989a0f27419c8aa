"""What a person asks `run` for, made into a plan, its documents and a controller to run it on."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path

from heatcore.codes import SETPOINT
from heatcore.plan import Plan, PlanError
from heatcore.plan import read as read_plan
from heatsim import seeds
from heatwright import sentences
from heatwright.documents import (
    Paste,
    Source,
    load_board,
    load_parts,
    load_paste,
    load_source,
    locate,
)
from heatwright.documents.bench import bench_of
from heatwright.documents.checks import refuse_lead
from heatwright.documents.own_profile import own_profile
from heatwright.documents.parts_file import parts_text
from heatwright.errors import BadInput, Fault
from heatwright.planning import asking
from heatwright.planning.making import make_plan
from heatwright.planning.nominal import Planned
from heatwright.planning.suits import check_sensor
from heatwright.planning.wanted import load_wanted
from heatwright.records import folder
from heatwright.running.named_faults import SIMULATED, named_faults

BEADS = ("sensor", "board_sensor")


@dataclass(frozen=True)
class Asked:
    """The options of ``heatwright run``, as the person gave them."""

    on: str
    profile: str | None = None
    plan: Path | None = None
    source: str | None = None
    sensor: str = "sensor"
    paste: str = "sac305"
    board: str | None = None
    ambient_c: float = 25.0
    start_c: float | None = None
    seed: int = seeds.DEFAULT_SEED
    unknown_source: bool = False
    faults: tuple[str, ...] = ()

    @property
    def is_simulated(self) -> bool:
        return self.on.startswith(SIMULATED)


@dataclass(frozen=True)
class Job:
    """All that one run needs, and the documents to be copied into its folder."""

    asked: Asked
    paste: Paste
    source: Source | None
    data: bytes
    plan: Plan
    planned: Planned | None
    documents: dict[str, bytes] = field(default_factory=dict)

    @property
    def placing(self) -> str:
        """Where the control sensor sits, in the words of the source document."""
        if self.asked.sensor == "board_sensor":
            return "on_board"
        return self.source.sensor.placing if self.source else "not_known"


def prepare(asked: Asked) -> Job:
    """Read every document and make the plan. Raises `BadInput` or `nominal.Infeasible`."""
    _check(asked)
    paste_at = locate("paste", asked.paste)
    paste = load_paste(asked.paste)
    source = load_source(asked.source) if asked.source else None
    documents = _copies(asked, paste_at)
    if asked.plan:
        data, plan = _given_plan(asked.plan)
        if plan.law == SETPOINT:
            _check_known(asked)
        if source:
            check_sensor(source, plan, asked.sensor, asked.ambient_c, str(asked.plan))
        return Job(asked, paste, source, data, plan, None, documents)
    wanted = load_wanted(asked, start_c=asked.start_c)
    own = locate("profile", asked.profile) if asked.profile else own_profile(asked.paste)
    documents[folder.PROFILE] = own.read_bytes()
    planned = make_plan(source, wanted)
    if source and not asked.is_simulated and asking.asks(source):
        # nobody stands at a simulated source to say whether it melted
        data = asking.with_question(planned.plan, source.plant_params(), asked.ambient_c)
        planned = replace(planned, plan=data)
    return Job(asked, paste, source, planned.plan, read_plan(planned.plan), planned, documents)


def _check(asked: Asked) -> None:
    named_faults(asked.faults, asked.on)
    if not (asked.source or asked.plan):
        _check_known(asked)
    if asked.plan and asked.profile:
        raise BadInput(Fault(sentences.PLAN_OR_PROFILE, "--plan", cure=sentences.KEEP_ONE))


def _check_known(asked: Asked) -> None:
    """Real heat with no fitted source only where the person asks for just that."""
    if asked.is_simulated or asked.unknown_source:
        return
    raise BadInput(
        Fault(
            sentences.SOURCE_NOT_KNOWN,
            "--on " + asked.on,
            expected="--source FILE",
            cure=sentences.SOURCE_NOT_KNOWN_CURE,
        )
    )


def _copies(asked: Asked, paste_at: Path) -> dict[str, bytes]:
    documents = {folder.PASTE: paste_at.read_bytes()}
    if asked.source:
        documents[folder.SOURCE] = locate("source", asked.source).read_bytes()
    if asked.board:
        documents |= board_and_parts(asked.board, paste_at)
    return documents


def board_and_parts(name: str, paste_at: Path) -> dict[str, bytes]:
    """The board and its parts, as far as no lead in them would meet a bismuth paste."""
    at, board = locate("board", name), load_board(name)
    parts = load_parts(board, at.parent)
    refuse_lead(bench_of(load_paste(paste_at), board, parts))
    by_name = {place.part: part for place, part in zip(board.placements, parts, strict=True)}
    return {
        folder.BOARD: at.read_bytes(),
        folder.PARTS: parts_text(board, by_name).encode(),
    }


def _given_plan(path: Path) -> tuple[bytes, Plan]:
    try:
        data = path.read_bytes()
    except OSError as error:
        raise BadInput(
            Fault(sentences.PLAN_CLOSED, str(path), str(error.strerror), "a plan file")
        ) from error
    try:
        return data, read_plan(data)
    except PlanError as error:
        raise BadInput(
            Fault(sentences.PLAN_BROKEN, str(path), str(error), cure=sentences.PLAN_BROKEN_CURE)
        ) from error

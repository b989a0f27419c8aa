"""From documents to a plan that may be run: trajectory, residual rows, and who has to be there."""

from __future__ import annotations

from dataclasses import replace

from heatcore.plan import PlanError
from heatsim.params import PlantParams
from heatwright import sentences
from heatwright.documents import Source
from heatwright.documents.load import for_board
from heatwright.planning.attendance import attended, may_run_alone
from heatwright.planning.nominal import Infeasible, Planned, plan_for_source, plan_without_source
from heatwright.planning.residual import residual_limits
from heatwright.planning.wanted import Wanted


def make_plan(source: Source | None, wanted: Wanted) -> Planned:
    """The plan that `plan`, `run` and `demo` all make. Raises `nominal.Infeasible`."""
    try:
        return _made(source, wanted)
    except PlanError as error:
        raise Infeasible(sentences.PLAN_NOT_TAKEN.format(why=error)) from error


def _made(source: Source | None, wanted: Wanted) -> Planned:
    if source is None:
        planned = plan_without_source(wanted)
        return replace(planned, plan=attended(planned.plan))
    params = params_for(source, wanted)
    planned = plan_for_source(params, wanted)
    data = residual_limits(
        source,
        planned.plan,
        reads=wanted.reads,
        ambient_c=wanted.ambient_c,
        params=params,
        state=wanted.state,
    )
    return replace(planned, plan=data if may_run_alone(source) else attended(data))


def params_for(source: Source, wanted: Wanted) -> PlantParams:
    """The source's model with this board in it, where one is described."""
    return for_board(source.plant_params(), wanted.board, wanted.fitted)

"""What a board takes in heat, from its size, thickness, copper and parts.

FR-4: 1850 kg/m3 and 950 J/kgK at room temperature, which makes 2.8 kJ/m2K of 1.6 mm; copper: 8960
kg/m3, 385 J/kgK (handbooks). Parts: volume times 2 J/cm3K, the middle of plastics, ceramics and
metals (an estimate).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from heatsim.params import PlantParams, number_fields
from heatwright.documents.bench import Fitted
from heatwright.documents.board import Board

LAMINATE_J_M3K, COPPER_J_M3K, PART_J_MM3K = 1850.0 * 950.0, 8960.0 * 385.0, 2e-3
# A difference that makes no other plan.
SAME_SHARE = 0.15
# Faces washed by air: in sand or on a plate one and the edges, as in the shipped sources.
FACES = {"oven": 2.0, "jet": 40.0 / 31.5, "bath": 45.0 / 31.5, "plate": 45.0 / 31.5}
# All that grows with the board's area.
AREAS = (
    "board_film_cm2", "element_board_cm2", "liner_board_cm2", "board_open_cm2", "liner_board_w_k",
)  # fmt: skip


@dataclass(frozen=True)
class Load:
    """Heat capacities in J/K: board with its smaller parts, the largest part; face in cm2."""

    board_j_k: float
    large_part_j_k: float
    face_cm2: float

    @property
    def whole_j_k(self) -> float:
        return self.board_j_k + self.large_part_j_k


def load_of(board: Board, fitted: Sequence[Fitted]) -> Load:
    """What a board with these parts on it takes."""
    face_m2 = board.length_mm * board.width_mm * 1e-6
    laminate = LAMINATE_J_M3K * face_m2 * board.thickness_mm * 1e-3
    copper = (COPPER_J_M3K - LAMINATE_J_M3K) * face_m2 * board.copper_mm * 1e-3
    bodies = sorted(_bodies(fitted))
    rest, largest = sum(bodies[:-1]), bodies[-1] if bodies else 0.0
    return Load(laminate + copper + rest, largest, face_m2 * 1e4)


def _bodies(fitted: Sequence[Fitted]) -> list[float]:
    return [PART_J_MM3K * one.part.body_mm3 for one in fitted for _ in one.refs or ("",)]


def known_load(params: PlantParams) -> Load:
    """The load that a source's model has in it."""
    face_cm2 = params.board_film_cm2 / FACES[params.structure]
    return Load(params.board_j_k, params.large_part_j_k, face_cm2)


def for_board(params: PlantParams, board: Board | None, fitted: Sequence[Fitted]) -> PlantParams:
    """The same source with another board in it; None: with its own."""
    if board is None:
        return params
    wanted, known = load_of(board, fitted), known_load(params)
    ratio = wanted.face_cm2 / known.face_cm2
    changed = {name: ratio * getattr(params, name) for name in AREAS}
    changed["board_j_k"] = wanted.board_j_k
    if fitted:
        changed["large_part_j_k"] = wanted.large_part_j_k
    return replace(params, **_in_range(changed))


def _in_range(values: dict[str, float]) -> dict[str, Any]:
    bounds = {f.name: (f.metadata["low"], f.metadata["high"]) for f in number_fields()}
    return {k: min(max(v, bounds[k][0]), bounds[k][1]) for k, v in values.items()}


def differs(one_j_k: float, other_j_k: float) -> bool:
    """Whether two boards are so unlike that a plan for one does not fit the other."""
    return abs(one_j_k - other_j_k) > SAME_SHARE * other_j_k

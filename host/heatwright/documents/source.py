"""The source: what heats, how board and sensor sit in it, and the model learnt of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any, ClassVar, Literal

from pydantic import Field, create_model

from heatsim import params
from heatwright import sentences
from heatwright.documents.base import Clash, Document, Table, number

Kind = Literal["toaster", "convection", "drawer", "hot-plate", "sand", "hot-air"]
Structure = Literal["oven", "plate", "bath", "jet"]
Knob = Literal["levels", "degrees", "low_medium_high"]
Placing = Literal["scrap_board", "on_board", "touching", "air", "in_sand"]
# A model holds for one set-up only; headers of runs carry it.
SET_UP = ("kind", "rack", "sensor_mount", "board_place", "board_moves_with_door")

STRUCTURE_OF: dict[str, Structure] = {
    "toaster": "oven",
    "convection": "oven",
    "drawer": "oven",
    "hot-plate": "plate",
    "sand": "bath",
    "hot-air": "jet",
}


class Ratings(Table):
    """What its type plate says."""

    power_w: float = Field(ge=50.0, le=4000.0, description="power at nominal voltage, W")
    mains_v: float = Field(ge=90.0, le=260.0, description="nominal mains voltage, V")
    max_c: float = Field(ge=50.0, le=500.0, description="highest temperature it is made for, °C")
    cut_out: bool = Field(description="has a thermal cut-out of its own, in series with the heater")
    unattended: bool = Field(
        default=False, description="with that cut-out, may reflow with nobody there"
    )


class SensorPlace(Table):
    """The temperature sensor that the controller reads."""

    kind: str = Field(min_length=1, description="sensor and front end, as K, MAX31855")
    placing: Placing = Field(description="where the bead sits")


def _number_field(one: Any) -> Any:
    meta = one.metadata
    default = one.default if isinstance(one.default, int | float) else ...
    what = f"{meta['what']}, {meta['unit']}"
    return (float, Field(default, ge=meta["low"], le=meta["high"], description=what))


def _relative(one: Any) -> Any:
    what = f"relative standard deviation of {one.name}"
    return (float | None, Field(None, ge=0.0, le=3.0, description=what))


class Correlation(Table):
    """How the uncertain parameters go together."""

    names: list[str] = Field(description="parameters, in the order of the rows")
    lower: list[list[float]] = Field(
        description="lower triangle of the correlation matrix, a row a list, ones on the diagonal"
    )

    def matrix(self) -> list[list[float]]:
        """The whole symmetric matrix, a row a list."""
        size = range(len(self.lower))
        return [[self.lower[max(i, j)][min(i, j)] for j in size] for i in size]


class Residual(Table):
    """What no parameter explains, in one stage."""

    mean_k: float = Field(ge=-100.0, le=100.0, description="mean of board minus model, K")
    sd_k: float = Field(ge=0.0, le=100.0, description="standard deviation of that, K")


class Spread(Table):
    """What no parameter explains, per stage."""

    preheat: Residual | None = Field(default=None, description="while preheating")
    soak: Residual | None = Field(default=None, description="while soaking")
    ramp_up: Residual | None = Field(default=None, description="from soak to liquidus")
    reflow: Residual | None = Field(default=None, description="above liquidus")
    ramp_down: Residual | None = Field(default=None, description="while cooling")


if TYPE_CHECKING:
    Uncertainty = Table
    Model = Table
else:
    # ranges and units are written once, at the plant's own parameters
    _numbers = params.number_fields()
    Uncertainty = create_model(
        "Uncertainty", __base__=Table, **{one.name: _relative(one) for one in _numbers}
    )
    Model = create_model(
        "Model",
        __base__=Table,
        structure=(Structure, Field(description="how the heat gets across")),
        **{one.name: _number_field(one) for one in _numbers},
        sd=(Uncertainty | None, Field(None, description="relative standard deviations")),
        correlation=(Correlation | None, Field(None, description="how they go together")),
    )


class Source(Document):
    """A heat source with its fitted model, dated, and how the model was learnt."""

    kind_of_document: ClassVar[str] = "source"

    kind: Kind = Field(description="what kind of heat source")
    name: str = Field(default="", description="what you call it")
    generation: int = Field(default=0, ge=0, description="how often the model was learnt anew")
    learnt_on: dt.date | None = Field(default=None, description="day of the last learning")
    learnt_from: list[str] = Field(
        default_factory=list, description="SHA-256 of each record it was learnt from"
    )
    marked_from: list[str] = Field(
        default_factory=list, description="SHA-256 of each record whose melt marks were used"
    )
    marks_from: list[str] = Field(
        default_factory=list,
        description="each melt mark used: its record's SHA-256, when, what was seen, alloy",
    )
    rack: str = Field(min_length=1, description="which rack, and how high")
    sensor_mount: str = Field(min_length=1, description="how the sensor is fixed, and where")
    board_place: str = Field(min_length=1, description="where the board lies")
    board_moves_with_door: bool = Field(description="whether opening the door moves the board")
    knob: Knob = Field(
        default="levels", description="what a hand turns: levels 0 to 9, degrees, or three words"
    )
    notes: str = Field(default="", description="anything else worth remembering")
    ratings: Ratings = Field(description="what the type plate says")
    sensor: SensorPlace = Field(description="the temperature sensor")
    model: Model = Field(description="the fitted model")
    spread: Spread = Field(default_factory=Spread, description="what no parameter explains")

    def plant_params(self) -> params.PlantParams:
        """The model as the simulator takes it."""
        return params.PlantParams(**self.model.model_dump(exclude={"sd", "correlation"}))

    def relative_sd(self) -> dict[str, float]:
        """The relative standard deviation of each uncertain parameter, by name."""
        sd = getattr(self.model, "sd", None)
        return sd.model_dump(exclude_none=True) if sd else {}

    def correlation(self) -> Correlation | None:
        """How the uncertain parameters go together, if known."""
        found: Correlation | None = getattr(self.model, "correlation", None)
        return found

    @classmethod
    def clashes(cls, data: Mapping[str, Any]) -> Iterator[Clash]:
        yield from super().clashes(data)
        model = data.get("model")
        if not isinstance(model, Mapping):
            return
        yield from _cut_short_clashes(model, data.get("spread"))
        yield from _structure_clashes(data.get("kind"), model.get("structure"))
        yield from _share_clashes(model)
        yield from _power_clashes(data)
        yield from _correlation_clashes(model.get("correlation"), model.get("sd"))


def _cut_short_clashes(model: Mapping[str, Any], spread: Any) -> Iterator[Clash]:
    """A file cut short is still TOML: without what stands last, all would be taken for certain."""
    stages = spread if isinstance(spread, Mapping) else {}
    absent = [] if model.get("sd") else ["model.sd"]
    absent += [f"spread.{name}" for name in Spread.model_fields if not stages.get(name)]
    if absent:
        tables = ", ".join(f"[{name}]" for name in absent)
        what, cure = sentences.CUT_SHORT, sentences.CUT_SHORT_CURE
        yield Clash(("spread",), what, sentences.NOT_THERE, tables, cure)


def _structure_clashes(kind: Any, structure: Any) -> Iterator[Clash]:
    right = STRUCTURE_OF.get(kind) if isinstance(kind, str) else None
    if right and isinstance(structure, str) and structure != right:
        what = sentences.STRUCTURE_ELSE.format(kind=kind, structure=right)
        cure = sentences.STRUCTURE_CURE.format(structure=right)
        yield Clash(("model", "structure"), what, f'"{structure}"', f'"{right}"', cure)


def _share_clashes(model: Mapping[str, Any]) -> Iterator[Clash]:
    keys = ("sensor_liner_share", "sensor_board_share", "sensor_element_share")
    total = sum(number(model, key) or 0.0 for key in keys)
    # one part in a million for what a fit leaves over
    if not total <= 1.0 + 1e-6:
        what = sentences.SHARES_ABOVE_ONE.format(keys=", ".join(keys))
        yield Clash(("model", keys[0]), what, f"{total:g}", "at most 1", sentences.SHARES_CURE)


def power_range_w(rated_w: float) -> tuple[float, float]:
    """Fits find somewhat more or less than the type plate says, never a multiple."""
    return rated_w / 2, rated_w * 2


def _power_clashes(data: Mapping[str, Any]) -> Iterator[Clash]:
    rated, model = number(data, "ratings", "power_w"), number(data, "model", "power_w")
    low, high = power_range_w(rated or 0.0)
    if rated and model and not low <= model <= high:
        expected = f"{low:g} to {high:g} (half to twice ratings.power_w)"
        path = ("model", "power_w")
        yield Clash(path, sentences.POWER_FAR, f"{model:g}", expected, sentences.POWER_CURE)


def _correlation_clashes(correlation: Any, sd: Any) -> Iterator[Clash]:
    if not isinstance(correlation, Mapping):
        return
    names, lower = correlation.get("names"), correlation.get("lower")
    if not isinstance(names, list) or not isinstance(lower, list):
        return
    uncertain = sd if isinstance(sd, Mapping) else {}
    at = ("model", "correlation")
    for name in names:
        if name not in uncertain:
            what, cure = sentences.CORRELATED_UNKNOWN, sentences.CORRELATED_CURE
            yield Clash((*at, "names"), what, f'"{name}"', ", ".join(uncertain), cure)
    if not _is_lower_triangle(lower, len(names)):
        what, cure = sentences.NOT_TRIANGLE, sentences.NOT_TRIANGLE_CURE
        expected = sentences.ROWS.format(rows=len(names))
        yield Clash((*at, "lower"), what, str(lower), expected, cure)


def _is_lower_triangle(lower: list[Any], size: int) -> bool:
    def is_row(index: int, row: Any) -> bool:
        return (
            isinstance(row, list)
            and len(row) == index + 1
            and all(isinstance(v, int | float) and -1.0 <= v <= 1.0 for v in row)
            and row[index] == 1
        )

    return len(lower) == size and all(is_row(index, row) for index, row in enumerate(lower))

"""What describes one heat source, board included: plain numbers, each with its unit and its range.

Only `heatwright.documents` reads TOML; it builds its checks from the metadata here, so a range
or a unit is written once. Values are lumped: an area in `_cm2` is the area that radiates, times
emissivity and view; a `_w_k` is a film or a conduction path, watts per kelvin.
"""

from dataclasses import Field, dataclass, field, fields
from typing import Any

STRUCTURES = ("oven", "plate", "bath", "jet")

REQUIRED = object()


def _number(low: float, high: float, unit: str, what: str, default: object = REQUIRED) -> Any:
    metadata = {"low": low, "high": high, "unit": unit, "what": what}
    if default is REQUIRED:
        return field(metadata=metadata)
    return field(default=default, metadata=metadata)


@dataclass(frozen=True, kw_only=True)
class PlantParams:
    """One source with a board in it; fields with a default of nought are paths it does not have."""

    structure: str = field(metadata={"choices": STRUCTURES, "what": "how the heat gets across"})

    power_w: float = _number(50, 4000, "W", "element's power at nominal mains")
    element_j_k: float = _number(5, 6000, "J/K", "heat capacity: element, stove ring, gun's coil")
    air_j_k: float = _number(1, 300, "J/K", "heat capacity: air and what is as light as air")
    liner_j_k: float = _number(5, 9000, "J/K", "heat capacity: liner and rack; plate; sand")
    shell_j_k: float = _number(5, 20000, "J/K", "heat capacity: outer shell, base, pan")
    board_j_k: float = _number(1, 400, "J/K", "heat capacity: board at 25 C, without the two parts")
    board_rise_per_k: float = _number(0, 0.004, "1/K", "rise of the board's heat capacity", 0.001)
    small_part_j_k: float = _number(0.005, 20, "J/K", "heat capacity: a small part")
    large_part_j_k: float = _number(0.02, 100, "J/K", "heat capacity: the largest part")

    element_liner_cm2: float = _number(0, 3000, "cm2", "radiation: element to liner", 0.0)
    element_board_cm2: float = _number(0, 600, "cm2", "radiation: element to board", 0.0)
    liner_board_cm2: float = _number(0, 600, "cm2", "radiation: liner to board", 0.0)
    element_open_cm2: float = _number(0, 3000, "cm2", "radiation: element to the room", 0.0)
    liner_open_cm2: float = _number(0, 3000, "cm2", "radiation: liner to the room", 0.0)
    board_open_cm2: float = _number(0, 600, "cm2", "radiation: board to the room", 0.0)
    shell_open_cm2: float = _number(0, 9000, "cm2", "radiation: shell to the room", 0.0)

    element_air_w_k: float = _number(0, 50, "W/K", "film: element to air")
    liner_air_w_k: float = _number(0, 50, "W/K", "film: liner to air")
    shell_room_w_k: float = _number(0, 50, "W/K", "film: shell to the room")
    fan_factor: float = _number(0, 20, "1", "a full fan multiplies those inside by 1 + this", 0.0)
    own_fan_share: float = _number(0, 1, "1", "share of the fan that runs whatever is said", 0.0)
    board_film_cm2: float = _number(1, 2000, "cm2", "board's area washed by air, both faces")
    small_part_film_cm2: float = _number(0, 50, "cm2", "small part's area, air and radiation")
    large_part_film_cm2: float = _number(0, 200, "cm2", "large part's area, air and radiation")
    free_w_m2k: float = _number(0, 10, "W/m2K", "board's still-air film at a difference of 1 K")
    free_exponent: float = _number(0.1, 0.4, "1", "exponent of the difference in that film", 0.25)
    fan_w_m2k: float = _number(0, 300, "W/m2K", "board's film added by a full fan or jet", 0.0)

    element_liner_w_k: float = _number(0, 50, "W/K", "conduction: element to liner", 0.0)
    liner_board_w_k: float = _number(0, 20, "W/K", "conduction: rack, plate or sand to board", 0.0)
    liner_shell_w_k: float = _number(0, 50, "W/K", "conduction: liner to shell")
    small_part_board_w_k: float = _number(0, 5, "W/K", "conduction: small part's joints")
    large_part_board_w_k: float = _number(0, 5, "W/K", "conduction: large part's joints")

    leak_w_k: float = _number(0, 30, "W/K", "air changed with the room, door shut")
    door_leak_w_k: float = _number(0, 100, "W/K", "air changed, added by the open door", 0.0)
    door_open_cm2: float = _number(0, 3000, "cm2", "radiation: liner out through the door", 0.0)
    door_view_share: float = _number(0, 1, "1", "share of liner's view of board it takes", 0.0)
    door_w_m2k: float = _number(0, 60, "W/m2K", "board's film added by the open door", 0.0)
    lift_share: float = _number(0, 1, "1", "share of all heat that leaves a board moved out", 0.0)
    flow_w_k: float = _number(0, 20, "W/K", "jet: heat carried by the gun's air at full flow", 0.0)
    distance_mm: float = _number(0, 200, "mm", "jet: nozzle to board", 0.0)
    dilution_mm: float = _number(5, 500, "mm", "jet: distance that halves its heat", 50.0)
    dwell_share: float = _number(0, 1, "1", "jet: share of the time that it is on the board", 1.0)

    sensor_s: float = _number(0.3, 60, "s", "lag of the control thermocouple's bead")
    sensor_liner_share: float = _number(0, 1, "1", "share of liner in what it feels; rest air", 0.0)
    sensor_board_share: float = _number(0, 1, "1", "share of board in what it feels", 0.0)
    sensor_element_share: float = _number(0, 0.5, "1", "share of element in what it feels", 0.0)
    board_sensor_s: float = _number(0.3, 60, "s", "lag of the bead on the board", 2.0)
    board_sensor_share: float = _number(0, 1, "1", "share of board in what that bead feels", 0.97)


def number_fields() -> tuple[Field[Any], ...]:
    """Every field that is a number, in the order of `PlantParams`."""
    return tuple(f for f in fields(PlantParams) if f.name != "structure")


def faults(params: PlantParams) -> list[str]:
    """All that is wrong with `params`, a line each; an empty list is a source that can be run."""
    found = [] if params.structure in STRUCTURES else [_not_a_structure(params.structure)]
    for one in number_fields():
        value = getattr(params, one.name)
        if not one.metadata["low"] <= value <= one.metadata["high"]:
            found.append(_out_of_range(one, value))
    if _felt(params) > 1.0:
        found.append(f"sensor_*_share: add up to {_felt(params):g}, must not exceed 1")
    return found


def _felt(params: PlantParams) -> float:
    return params.sensor_liner_share + params.sensor_board_share + params.sensor_element_share


def _not_a_structure(found: str) -> str:
    return f"structure: found {found!r}, expected one of {', '.join(STRUCTURES)}"


def _out_of_range(one: Field[Any], value: float) -> str:
    low, high, unit = (one.metadata[key] for key in ("low", "high", "unit"))
    return f"{one.name}: found {value:g}, expected {low:g} to {high:g} {unit}"

"""From what a person can measure to what the right-hand side multiplies with."""

from typing import NamedTuple

from heatsim.params import PlantParams

STEFAN_BOLTZMANN_W_M2K4 = 5.670374419e-8
M2_PER_CM2 = 1e-4
REFERENCE_C = 25.0


class Coefficients(NamedTuple):
    """Radiation as sigma * area in W/K4, areas in m2, heat capacities but the board's as 1/C."""

    power: float
    inv_element: float
    inv_air: float
    inv_liner: float
    inv_shell: float
    board_j: float
    board_slope: float
    inv_small: float
    inv_large: float
    element_liner: float
    element_board: float
    liner_board: float
    element_open: float
    liner_open: float
    board_open: float
    shell_open: float
    element_air: float
    liner_air: float
    shell_room: float
    fan_factor: float
    own_fan: float
    board_area: float
    small_area: float
    large_area: float
    free: float
    exponent: float
    fan_film: float
    element_liner_w: float
    contact: float
    liner_shell: float
    small_board: float
    large_board: float
    leak: float
    door_leak: float
    door_open: float
    door_view: float
    door_film: float
    lift: float
    flow: float
    air_share: float
    small_view: float
    large_view: float
    views: float
    bead_rate: float
    felt_element: float
    felt_air: float
    felt_liner: float
    felt_board: float
    board_bead_rate: float
    board_bead_share: float


def coefficients(p: PlantParams) -> Coefficients:
    """Coefficients of one source; do it once a run, not once a step."""
    small_view = p.small_part_film_cm2 / p.board_film_cm2
    large_view = p.large_part_film_cm2 / p.board_film_cm2
    felt = p.sensor_element_share + p.sensor_liner_share + p.sensor_board_share
    return Coefficients(
        power=p.power_w,
        inv_element=1.0 / p.element_j_k,
        inv_air=1.0 / p.air_j_k,
        inv_liner=1.0 / p.liner_j_k,
        inv_shell=1.0 / p.shell_j_k,
        board_j=p.board_j_k * (1.0 - p.board_rise_per_k * REFERENCE_C),
        board_slope=p.board_j_k * p.board_rise_per_k,
        inv_small=1.0 / p.small_part_j_k,
        inv_large=1.0 / p.large_part_j_k,
        element_liner=_radiation(p.element_liner_cm2),
        element_board=_radiation(p.element_board_cm2),
        liner_board=_radiation(p.liner_board_cm2),
        element_open=_radiation(p.element_open_cm2),
        liner_open=_radiation(p.liner_open_cm2),
        board_open=_radiation(p.board_open_cm2),
        shell_open=_radiation(p.shell_open_cm2),
        element_air=p.element_air_w_k,
        liner_air=p.liner_air_w_k,
        shell_room=p.shell_room_w_k,
        fan_factor=p.fan_factor,
        own_fan=p.own_fan_share,
        board_area=p.board_film_cm2 * M2_PER_CM2,
        small_area=p.small_part_film_cm2 * M2_PER_CM2,
        large_area=p.large_part_film_cm2 * M2_PER_CM2,
        free=p.free_w_m2k,
        exponent=p.free_exponent,
        fan_film=p.fan_w_m2k,
        element_liner_w=p.element_liner_w_k,
        contact=p.liner_board_w_k,
        liner_shell=p.liner_shell_w_k,
        small_board=p.small_part_board_w_k,
        large_board=p.large_part_board_w_k,
        leak=p.leak_w_k,
        door_leak=p.door_leak_w_k,
        door_open=_radiation(p.door_open_cm2),
        door_view=p.door_view_share,
        door_film=p.door_w_m2k,
        lift=p.lift_share,
        flow=p.flow_w_k,
        air_share=_air_share(p),
        small_view=small_view,
        large_view=large_view,
        views=1.0 + small_view + large_view,
        bead_rate=1.0 / p.sensor_s,
        felt_element=p.sensor_element_share,
        felt_air=1.0 - felt,
        felt_liner=p.sensor_liner_share,
        felt_board=p.sensor_board_share,
        board_bead_rate=1.0 / p.board_sensor_s,
        board_bead_share=p.board_sensor_share,
    )


def _radiation(area_cm2: float) -> float:
    return STEFAN_BOLTZMANN_W_M2K4 * area_cm2 * M2_PER_CM2


def _air_share(p: PlantParams) -> float:
    """How much of the air's heat reaches the board: a jet draws in room air on its way."""
    if p.structure != "jet":
        return 1.0
    return p.dwell_share / (1.0 + p.distance_mm / p.dilution_mm)

"""The right-hand side, once: floats, numpy arrays and numba all run these very lines.

Nothing here branches on a value or calls into math, so that a tuple of arrays goes through as a
tuple of floats does, and `compiled.py` can turn each function into machine code as it stands.
Nine nodes in the order of `State`, in C; the two beads carry no heat of their own.
"""

from typing import Any

from heatsim.coefficients import Coefficients

KELVIN = 273.15

# element, air, liner, shell, board, small part, large part, control bead, board bead
State = tuple[float, float, float, float, float, float, float, float, float]

# What stays fixed during a step, in the order that `settle` gives and `rates` takes. A bare tuple,
# since numba cannot cache a function that makes a named one.
Drive = tuple[float, ...]


def film_w_m2k(difference_k: float, free: float, exponent: float, forced: float) -> float:
    """Film coefficient: still-air part `free * |difference|^exponent`, and what a draught adds."""
    still: float = free * abs(difference_k) ** exponent
    return still + forced


def fourth(temperature_c: float) -> float:
    """Kelvin to the fourth power."""
    kelvin = temperature_c + KELVIN
    square = kelvin * kelvin
    return square * square


def settle(
    c: Coefficients, duty: float, door: float, fan: float, mains: float, ambient_c: float
) -> Drive:
    """Work the inputs into the coefficients; a source's power goes with its volts squared."""
    held = 1.0 - c.lift * door
    blown = c.own_fan + (1.0 - c.own_fan) * fan
    inside = 1.0 + c.fan_factor * blown
    element_board = held * c.element_board
    liner_board = held * (1.0 - c.door_view * door) * c.liner_board
    board_total = c.element_board + c.liner_board + c.board_open
    return (
        ambient_c,
        fourth(ambient_c),
        c.power * duty * mains * mains,
        element_board,
        liner_board,
        board_total,
        board_total - element_board - liner_board,
        c.liner_open + c.door_open * door,
        c.element_air * inside,
        c.liner_air * inside,
        c.contact * held,
        c.leak + c.door_leak * door + c.flow * blown,
        c.air_share * held,
        c.fan_film * blown + c.door_film * door,
    )


def rates(y: State, c: Coefficients, d: Drive) -> State:
    """dT/dt of every node, K/s; each path's watts leave one node and enter another."""
    element, air, liner, shell, board, small, large, bead, board_bead = y
    (
        ambient, ambient4, heat, element_board, liner_board, radiated, board_room, liner_room,
        element_air, liner_air, contact, leak, air_share, forced,
    ) = d  # fmt: skip
    element4 = fourth(element)
    liner4 = fourth(liner)
    small4 = fourth(small)
    large4 = fourth(large)
    board4 = fourth(board)
    load4 = board4 + c.small_view * small4 + c.large_view * large4
    glow = element_board * element4 + liner_board * liner4 + board_room * ambient4

    felt = ambient + air_share * (air - ambient)
    film = film_w_m2k(felt - board, c.free, c.exponent, forced)
    board_film = film * c.board_area
    small_film = film * c.small_area
    large_film = film * c.large_area
    taken = board_film * (air - board) + small_film * (air - small) + large_film * (air - large)

    to_liner = c.element_liner * (element4 - liner4) + c.element_liner_w * (element - liner)
    to_air = element_air * (element - air)
    liner_to_air = liner_air * (liner - air)
    to_board = contact * (liner - board)
    to_shell = c.liner_shell * (liner - shell)
    to_small = c.small_board * (board - small)
    to_large = c.large_board * (board - large)

    element_out = (
        to_liner + to_air + element_board * (c.views * element4 - load4)
        + c.element_open * (element4 - ambient4)
    )  # fmt: skip
    air_in = to_air + liner_to_air - air_share * taken - leak * (air - ambient)
    liner_out = (
        liner_to_air + to_board + to_shell + liner_board * (c.views * liner4 - load4)
        + liner_room * (liner4 - ambient4)
    )  # fmt: skip
    shell_out = c.shell_room * (shell - ambient) + c.shell_open * (fourth(shell) - ambient4)
    board_in = glow - radiated * board4 + board_film * (felt - board) + to_board
    small_in = c.small_view * (glow - radiated * small4) + small_film * (felt - small)
    large_in = c.large_view * (glow - radiated * large4) + large_film * (felt - large)
    bead_feels = (
        c.felt_element * element + c.felt_air * air + c.felt_liner * liner + c.felt_board * board
    )
    board_bead_feels = c.board_bead_share * board + (1.0 - c.board_bead_share) * felt
    return (
        c.inv_element * (heat - element_out),
        c.inv_air * air_in,
        c.inv_liner * (to_liner - liner_out),
        c.inv_shell * (to_shell - shell_out),
        (board_in - to_small - to_large) / (c.board_j + c.board_slope * board),
        c.inv_small * (small_in + to_small),
        c.inv_large * (large_in + to_large),
        c.bead_rate * (bead_feels - bead),
        c.board_bead_rate * (board_bead_feels - board_bead),
    )


def ahead(y: State, slope: State, step_s: float) -> State:
    """The state `step_s` further along `slope`."""
    a, b, c, d, e, f, g, h, i = y
    p, q, r, s, t, u, v, w, x = slope
    return (
        a + step_s * p, b + step_s * q, c + step_s * r, d + step_s * s, e + step_s * t,
        f + step_s * u, g + step_s * v, h + step_s * w, i + step_s * x,
    )  # fmt: skip


def mean_slope(k1: State, k2: State, k3: State, k4: State) -> State:
    """Runge and Kutta's weights: (k1 + 2 k2 + 2 k3 + k4) / 6, node by node."""
    a1, b1, c1, d1, e1, f1, g1, h1, i1 = k1
    a2, b2, c2, d2, e2, f2, g2, h2, i2 = k2
    a3, b3, c3, d3, e3, f3, g3, h3, i3 = k3
    a4, b4, c4, d4, e4, f4, g4, h4, i4 = k4
    sixth = 1.0 / 6.0
    return (
        sixth * (a1 + 2.0 * (a2 + a3) + a4), sixth * (b1 + 2.0 * (b2 + b3) + b4),
        sixth * (c1 + 2.0 * (c2 + c3) + c4), sixth * (d1 + 2.0 * (d2 + d3) + d4),
        sixth * (e1 + 2.0 * (e2 + e3) + e4), sixth * (f1 + 2.0 * (f2 + f3) + f4),
        sixth * (g1 + 2.0 * (g2 + g3) + g4), sixth * (h1 + 2.0 * (h2 + h3) + h4),
        sixth * (i1 + 2.0 * (i2 + i3) + i4),
    )  # fmt: skip


def advance(y: State, c: Coefficients, d: Drive, step_s: float) -> State:
    """One step of the classical fourth-order Runge-Kutta rule."""
    half = 0.5 * step_s
    k1 = rates(y, c, d)
    k2 = rates(ahead(y, k1, half), c, d)
    k3 = rates(ahead(y, k2, half), c, d)
    k4 = rates(ahead(y, k3, step_s), c, d)
    return ahead(y, mean_slope(k1, k2, k3, k4), step_s)


def follow(y: State, c: Coefficients, inputs: Any, step_s: float, out: Any) -> None:
    """Fill `out[1:]` with the states after each row of `inputs`; `out[0]` is the start.

    A row of `inputs` is duty, door, fan, mains, ambient_c.
    """
    keep(out, 0, y)
    for row in range(len(inputs)):
        duty, door, fan, mains, ambient_c = inputs[row]
        y = advance(y, c, settle(c, duty, door, fan, mains, ambient_c), step_s)
        keep(out, row + 1, y)


def keep(out: Any, row: int, y: State) -> None:
    """Write a state into a row of an array or a list of rows."""
    a, b, c, d, e, f, g, h, i = y
    line = out[row]
    line[0] = a
    line[1] = b
    line[2] = c
    line[3] = d
    line[4] = e
    line[5] = f
    line[6] = g
    line[7] = h
    line[8] = i

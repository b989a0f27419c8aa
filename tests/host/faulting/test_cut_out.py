"""A cut-out's rating: between what a plain run reaches and the last chance."""

from dataclasses import replace

from heatsim import trials
from heatwright.faulting import cut_out


def test_a_rating_lies_between_a_plain_run_and_the_last_chance():
    room = cut_out.Room("air", 231.2, 251.0)
    assert room.rating_c == 235.0
    assert replace(room, highest_c=234.0).rating_c is None


def test_the_latest_moment_counts_the_rise_after_the_heat_is_off(soak):
    passed = []
    plant = trials._rig(soak, 0).plant
    while plant.temperatures()["board"] < cut_out.LIMIT_C:
        passed.append((_copied(plant), [plant.temperatures()["board"]]))
        plant.step(2.0, 1.0)
    last_c = cut_out._latest(passed)[0]
    assert 200.0 < last_c < cut_out.LIMIT_C - 5.0


def _copied(plant):
    twin = type(plant)(plant.params)
    twin.state = plant.state
    return twin

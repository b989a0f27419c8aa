from heatcore.inputs import NONE
from heatcore.thermocouple import (
    EMF,
    HIGH_MC,
    LINE_41,
    LINE_41_276,
    LOW_MC,
    emf,
    temperature,
    undo_line,
)


def test_reference_table():
    # NIST Monograph 175 (IEC 60584-1), type K, mV
    table = (
        (-20, -0.778), (0, 0), (25, 1.000), (50, 2.023), (100, 4.096), (138, 5.653), (150, 6.138),
        (183, 7.460), (200, 8.138), (217, 8.819), (220, 8.940), (250, 10.153), (260, 10.561),
        (300, 12.209),
    )  # fmt: skip
    for celsius, mv in table:
        assert abs(emf(celsius * 1000) - round(mv * 10_000)) <= 6


def test_there_and_back():
    for t_mc in range(LOW_MC, HIGH_MC + 1, 977):
        assert abs(temperature(emf(t_mc)) - t_mc) <= 2


def test_the_ends_of_the_table():
    assert emf(LOW_MC) == EMF[0]
    assert emf(HIGH_MC) == EMF[len(EMF) - 1]
    assert temperature(EMF[0]) == LOW_MC
    assert temperature(EMF[len(EMF) - 1]) == HIGH_MC
    assert emf(LOW_MC - 1) == NONE
    assert emf(HIGH_MC + 1) == NONE
    assert temperature(EMF[0] - 1) == NONE
    assert temperature(EMF[len(EMF) - 1] + 1) == NONE


def test_the_cold_junction_adds_volts_not_degrees():
    # NIST Monograph 175: 4.096 mV with the junction at 25 degrees is 124.31
    assert abs(temperature(40_960 + emf(25_000)) - 124_310) <= 10


def straight_line_error(true_mc, cold_mc, line):
    tenth_uv = emf(true_mc) - emf(cold_mc)
    return cold_mc + round(tenth_uv * line[1] / line[0]) - true_mc


def test_how_far_off_a_straight_line_is():
    # computed from NIST Monograph 175 with the junction at 25 degrees, in K
    for celsius, by_41_276, by_41 in (
        (217, -2.57, -1.29),
        (250, -3.25, -1.75),
        (300, -3.45, -1.63),
    ):
        assert (
            abs(straight_line_error(celsius * 1000, 25_000, LINE_41_276) / 1000 - by_41_276) < 0.02
        )
        assert abs(straight_line_error(celsius * 1000, 25_000, LINE_41) / 1000 - by_41) < 0.02


def test_a_straight_line_is_undone():
    for line in (LINE_41_276, LINE_41):
        for cold_mc in (-10_000, 0, 25_000, 40_000, 70_000):
            for true_mc in range(-20_000, 500_001, 13_333):
                says_mc = true_mc + straight_line_error(true_mc, cold_mc, line)
                assert abs(undo_line(says_mc, cold_mc, line) - true_mc) <= 20


def test_what_cannot_be_undone_is_no_reading():
    assert undo_line(NONE, 25_000, LINE_41) == NONE
    assert undo_line(100_000, NONE, LINE_41) == NONE
    assert undo_line(1 << 29, 25_000, LINE_41) == NONE
    assert undo_line(LOW_MC, 70_000, LINE_41) == NONE

"""Cases summed up, and how the terminal shows them."""

from heatwright.faulting import figures, page


def test_figures_of_a_row():
    made = [_made(None, 300.0), _made(2.0, 240.0), _made(4.0, 240.0)]
    row = figures.row(made)
    assert (row.cases, row.detected, row.median_s, row.max_s) == (3, 2, 3.0, 4.0)
    assert row.highest_undetected_c == 300.0
    assert "2/3" in page.table(
        {"cases": made, "fresh_runs": 5, "false_trips": 1, "spread": 0.2, "seeds": 1,
         "tripped_fresh_runs": [{"trip": "sensor_rate"}]}
    )  # fmt: skip


def _made(off_s, board_c):
    return {
        "fault": "relay-shorted", "detected": off_s is not None, "seconds_to_off": off_s,
        "max_board_c": board_c, "seconds_to_300_c": None,
    }  # fmt: skip

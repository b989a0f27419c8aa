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


def test_welds_are_told_by_whether_the_door_was_asked_for_before():
    early = [{**_made(float(s), 240.0), "moment": "soak"} for s in range(1, 11)]
    late = [{**_made(60.0, 240.0), "moment": figures.AFTER_CUE}]
    cases = [{**case, "source": "drawer", "low_duty_from_s": 1.0} for case in early + late]
    text = page._low_duty({"cases": cases})
    assert "| drawer | at any moment | 11 | 5.0 |" in text
    assert "| drawer | before the door's cue | 10 | 4.5 | 8.5 | 9.0 |" in text
    assert "| drawer | after it | 1 | 59.0 | 59.0 | 59.0 |" in text

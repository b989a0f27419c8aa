"""Temperatures from a growing file, a controller that only reads, and fingers."""

import pytest

from heatwright import sentences
from heatwright.coaching.readings import CsvTail, Listened, Reading, Typed
from heatwright.errors import BadInput

HEAD = "time_s,board_c\n"


def grown(path, text):
    with path.open("a") as file:
        file.write(text)


def test_rows_of_an_earlier_run_are_passed_over_and_new_ones_taken(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text(HEAD + "0,25.0\n1,180.0\n")
    tail = CsvTail(path)
    assert tail.take() == Reading(None)
    grown(path, "2,26.5\n3,27.5\n")
    assert tail.take() == Reading(27.5)
    assert tail.take() == Reading(None)


def test_half_a_line_waits_for_its_other_half(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text(HEAD + "0,25.0\n")
    tail = CsvTail(path)
    grown(path, "1,24")
    assert tail.take() == Reading(None)
    grown(path, "5.5\n")
    assert tail.take() == Reading(245.5)


def test_fahrenheit_and_decimal_commas_are_read(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text("time [s];temperature [F]\n0;77,0\n")
    tail = CsvTail(path)
    grown(path, "1;212,0\n")
    assert tail.take().value_c == pytest.approx(100.0)


@pytest.mark.parametrize("cell", ["", "nan", "open", "ERR!"])
def test_a_cell_without_a_number_is_an_unplugged_sensor(tmp_path, cell):
    path = tmp_path / "log.csv"
    path.write_text(HEAD + "0,25.0\n")
    tail = CsvTail(path)
    grown(path, f"1,{cell}\n")
    assert tail.take() == Reading(None, is_unplugged=True)


def test_a_file_that_tells_no_temperature_is_refused(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text("apples,pears\n1,2\n")
    with pytest.raises(BadInput, match="temperature") as told:
        CsvTail(path)
    # no option of the coach names a column: the file's first line must
    assert {fault.cure for fault in told.value.faults} == {sentences.COACH_CSV_CURE}


def test_a_typed_number_is_handed_on_once():
    typed = Typed()
    assert typed.put("151.0")
    assert [typed.take(), typed.take()] == [Reading(151.0), Reading(None)]


class Controller:
    """A link client as far as listening needs it."""

    port = "virtual"

    def __init__(self, outputs):
        self.outputs, self.asked, self.lines = outputs, [], []

    def ask(self, *words):
        self.asked.append(words)
        return [self.outputs]

    def hear(self):
        return

    def close(self):
        return


def test_a_controller_with_outputs_is_refused_and_nothing_else_is_asked_of_it():
    controller = Controller("ssr")
    with pytest.raises(BadInput, match="only listens"):
        Listened(controller)
    assert controller.asked == [("config", "outputs")]


def test_a_controller_that_only_reads_gives_its_latest_sample():
    controller = Controller("none")
    listened = Listened(controller)
    sample = [199_500, 0, 7, 0, 25_000, *([0] * 19)]
    controller.lines = [["e", 1, 2, 3, 4, 5], ["s", 1, 250, *sample], ["s", 2, 500, *sample]]
    assert listened.take() == Reading(199.5)
    assert listened.take() == Reading(None)
    controller.lines = [["s", 3, 750, 0, 1, *sample[2:]]]
    assert listened.take() == Reading(None, is_unplugged=True)
    assert controller.asked == [("config", "outputs")]

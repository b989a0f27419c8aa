"""The cold check, told by a person who does what is asked at a virtual bench."""

import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from heatcore import inputs
from heatwright import sentences
from heatwright.commissioning.cold_check import CheckFailed, CheckLeft, cold_check
from heatwright.commissioning.person import FromFile
from heatwright.commissioning.restart import await_controller
from heatwright.errors import BadInput
from virtual_made import PINS, ServedBoard, kettle, put_firmware

SPEED = 15.0
ROOM_C = 22.0


class Helper:
    """Does what a cold check asks for, unless a fault has been built in."""

    def __init__(self, board: ServedBoard) -> None:
        self.board = board
        self.said: list[str] = []
        self.asked: list[str] = []
        self.answers: dict[str, bool] = {}
        self.water_c = 99.0
        self.acts: dict[str, Callable[[], None]] = {
            "warm_bead": self.warm_bead,
            "press_stop": lambda: self.for_a_moment("stop_pressed"),
            "press_start": lambda: self.for_a_moment("start_pressed"),
            "move_door": lambda: setattr(board.workshop, "door_open", True),
        }

    def agree(self, key: str, text: str) -> bool:
        self.asked.append(key)
        if key == "ready_for_mains":
            self.board.workshop.bead_c = None
            self.board.workshop.shut_door()
        if key == "boiling_water":
            self.board.workshop.bead_c = self.water_c
        return self.answers.get(key, True)

    def please(self, key: str, text: str) -> None:
        self.asked.append(key)
        self.acts.get(key, lambda: None)()

    def tell(self, text: str) -> None:
        self.said.append(text)

    def warm_bead(self) -> None:
        # what fingers do in a cool workshop: more than may happen by itself in idle
        self.board.workshop.bead_c = ROOM_C + 12.0

    def for_a_moment(self, name: str) -> None:
        setattr(self.board.workshop, name, True)
        threading.Timer(4 / SPEED, setattr, (self.board.workshop, name, False)).start()


def check(root: Path, change: Callable[[Helper], None] | None = None, **firmware: object) -> Helper:
    put_firmware(root, **firmware)
    pins = {**PINS, **{k: v for k, v in firmware.items() if k.endswith("_PIN")}}
    workshop = kettle(**pins)
    workshop.bead_c = ROOM_C
    workshop.ambient_c = ROOM_C
    with ServedBoard(root, workshop, SPEED) as board:
        helper = Helper(board)
        if change:
            change(helper)
        cold_check(await_controller(board.port), helper, helper.tell)
    return helper


def test_all_steps_pass_at_a_sound_bench(tmp_path: Path) -> None:
    helper = check(tmp_path)
    assert helper.said[-1] == sentences.CHECK_DONE
    assert [text for text in helper.said if "ok" in text][-1].startswith(
        "  ok  a tenth of the power"
    )
    assert helper.asked[0] == "cautions"
    # nothing asks for the mains before every step that can be done cold
    assert helper.asked[-1] == "ready_for_mains"
    heated = helper.board.workshop.heat_s
    assert 0.5 < heated < 2.5


def knob(name: str, value: object) -> Callable[[Helper], None]:
    return lambda helper: setattr(helper.board.workshop, name, value)


def undone(key: str) -> Callable[[Helper], None]:
    return lambda helper: helper.acts.update({key: lambda: None})


def answered_no(key: str) -> Callable[[Helper], None]:
    return lambda helper: helper.answers.update({key: False})


def water(reads_c: float) -> Callable[[Helper], None]:
    return lambda helper: setattr(helper, "water_c", reads_c)


FAULTS = {
    "bead open": (knob("bead_status", inputs.OPEN), "sensor", "thermocouple is open"),
    "oven still hot": (knob("bead_c", 80.0), "sensor", "5 to 40"),
    "junction warm": (knob("bead_c", 36.0), "cold junction", "within 8 K"),
    "leads reversed": (knob("leads_reversed", True), "warming by hand", "reversed"),
    "another bead": (undone("warm_bead"), "warming by hand", "bead that is wired"),
    # what type N wire gives at 99 C against 22 C, 2.166 mV, read as type K: 74.7 C (IEC 60584-1)
    "wire of another type": (water(74.7), "boiling water", "not of the type flashed"),
    "another converter": (water(108.0), "boiling water", "95 to 101"),
    "stop wire broken": (knob("stop_wire_broken", True), "stop button", "broken wire"),
    "no stop button": (undone("press_stop"), "stop button", "normally closed"),
    "door switch stuck": (undone("move_door"), "door switch", "two wires"),
    "outputs float": (answered_no("meter"), "outputs during reset", "pull-down"),
    "ssr wired wrongly": (answered_no("ssr"), "ssr", "polarity"),
    "thermostat in series": (knob("ssr_stuck", 0), "first heat", "thermostat knob"),
}


@pytest.mark.parametrize("name", FAULTS)
def test_each_fault_is_found_at_its_step(tmp_path: Path, name: str) -> None:
    change, step, advice = FAULTS[name]
    with pytest.raises(CheckFailed, match=advice) as failed:
        check(tmp_path, change)
    assert failed.value.step == step


def test_without_boiling_water_the_step_is_left_out_and_said(tmp_path: Path) -> None:
    helper = check(tmp_path, answered_no("boiling_water"))
    assert any(sentences.NOT_BOILED in text for text in helper.said)
    assert helper.said[-1] == sentences.CHECK_DONE


def test_no_safety_relay_no_switching(tmp_path: Path) -> None:
    with pytest.raises(CheckFailed, match="usually fails ON"):
        check(tmp_path, RELAY_PIN=None, DOOR_SWITCH_PIN=10)


def test_a_controller_that_only_reads_is_told_so(tmp_path: Path) -> None:
    with pytest.raises(CheckFailed, match="--outputs ssr"):
        check(tmp_path, outputs="none")


def test_without_a_yes_to_the_cautions_nothing_happens(tmp_path: Path) -> None:
    with pytest.raises(CheckLeft):
        check(tmp_path, lambda helper: helper.answers.update(cautions=False))


def test_answers_from_a_file(tmp_path: Path) -> None:
    path = tmp_path / "answers.toml"
    path.write_text("cautions = true\nmeter = false\n")
    person = FromFile(path)
    assert person.agree("cautions", "?")
    assert not person.agree("meter", "?")
    assert not person.agree("ssr", "?")
    path.write_text("caution = true\n")
    with pytest.raises(BadInput, match="caution"):
        FromFile(path)

"""What the panel says, and what its buttons do. Runs on CPython and MicroPython."""

from heatcontroller import screens
from heatcontroller.states import ARMED, COOLING, COUNTDOWN_MS, IDLE, RUNNING, SERVICE, TRIPPED
from heatcore import codes
from heatcore.command import Command
from heatcore.inputs import NONE, OPEN, Inputs


class Machine:
    """As much of a state machine as the panel looks at; verbs are noted."""

    def __init__(self, state):
        self.state = state
        self.plan_name = "bat-call logger, SAC305, weak toaster"
        self.countdown_ms = COUNTDOWN_MS
        self.command = Command()
        self.run_ms = 75000
        self.plan = self
        self.t_ms = (0, 300000)
        self.trip = 0
        self.trip_seen = 0
        self.is_hot = False
        self.trip_expected = 0
        self.proven_off = False


class Choice:
    index = 1
    count = 3
    name = "bat-call logger"
    trouble = ""


class NoChoice:
    index = 0
    count = 0
    name = ""
    trouble = "no log: full"


def test_every_row_fits_the_glass():
    for state in (IDLE, ARMED, RUNNING, COOLING, TRIPPED, SERVICE):
        for choice in (Choice, NoChoice):
            machine = Machine(state)
            machine.trip = 2
            machine.command.duty = 9800
            machine.command.y_mc = 245500
            rows = screens.rows(machine, choice)
            assert len(rows) == 4
            for row in rows:
                assert len(row) <= 16
            assert len(screens.title(state)) <= 16
            assert len(screens.label_row(screens.labels(machine, choice))) == 16


def test_every_trip_and_note_has_words_that_fit():
    machine = Machine(TRIPPED)
    for code in codes.TRIP_NAMES:
        machine.trip = code
        words = " ".join(screens.rows(machine, Choice)[:2]).strip()
        assert words == codes.TRIP_NAMES[code].replace("_", " ")
    for text in screens.NOTES.values():
        assert len(text) <= 16
    for code in codes.NOTE_NAMES:
        assert code in screens.NOTES or code in (0, codes.NOTE_FINISHED)


def test_a_trip_says_what_was_seen_and_expected():
    machine = Machine(TRIPPED)
    machine.trip = codes.OVER_TEMPERATURE
    machine.trip_seen = 305250
    machine.trip_expected = 300000
    assert screens.rows(machine, Choice)[2:] == ["seen  305.2", "limit 300.0"]


def test_a_trip_that_counts_is_not_in_thousandths():
    machine = Machine(TRIPPED)
    machine.trip = codes.WATCHDOG_RESETS
    machine.trip_seen = 3
    machine.trip_expected = 2
    assert screens.rows(machine, Choice)[2:] == ["seen  3", "limit 2"]


def test_idle_shows_the_chosen_plan():
    assert screens.rows(Machine(IDLE), Choice)[:2] == ["plan 2 of 3", "bat-call logger"]
    assert screens.rows(Machine(IDLE), NoChoice)[0] == "No plans here."


def test_armed_shows_the_name_and_then_the_countdown():
    machine = Machine(ARMED)
    rows = screens.rows(machine, Choice)
    assert rows[:2] == ["bat-call logger,", "SAC305, weak"]
    machine.countdown_ms = 3250
    assert screens.rows(machine, Choice)[2] == "HEAT IN 4 s"


def test_running_shows_stage_power_target_and_time_left():
    machine = Machine(RUNNING)
    machine.command.stage = 2
    machine.command.duty = 6400
    machine.command.y_mc = 217000
    rows = screens.rows(machine, Choice)
    assert rows == ["ramp_up     64 %", "target 217.0", "left 3:45", ""]
    machine.command.note = codes.NOTE_WAIT_MARK
    assert screens.rows(machine, Choice)[3] == "Melted? Press!"
    machine.command.door_cue = 1
    assert screens.rows(machine, Choice)[3] == "OPEN THE DOOR"


def test_big_letters_are_a_temperature_or_what_is_wrong():
    inputs = Inputs()
    inputs.sensor_status = OPEN
    assert screens.reading(inputs) == "open"
    for mc, text in ((217489, "217.4 C"), (-5500, "-5.5 C"), (0, "0.0 C")):
        inputs.sensor_mc = mc
        assert screens.reading(inputs) == text
    inputs.sensor_mc = NONE
    for status in range(1, 8):
        inputs.sensor_status = status
        assert 0 < len(screens.reading(inputs)) <= 8


def test_clear_is_offered_only_when_proven_off():
    machine = Machine(TRIPPED)
    assert screens.labels(machine, Choice) == ("wait until off", "", "")
    machine.proven_off = True
    assert screens.labels(machine, Choice) == ("", "", "Clear")


def test_labels_stand_under_their_buttons():
    assert screens.label_row(("Prev", "Next", "Arm")) == "Prev  Next   Arm"
    assert screens.label_row(("Stop", "Melted", "Undo")) == "Stop Melted Undo"
    assert screens.label_row(("", "", "")) == " " * 16
    assert screens.label_row(("wait until off", "", "")) == "wait until off  "


def test_long_words_and_texts_are_cut_to_rows():
    text = "too hot to start: 80 C, the plan wants at most 50 C; wait at least 40 s"
    assert screens.wrapped(text, 4) == [
        "too hot to",
        "start: 80 C, the",
        "plan wants at",
        "most 50 C; wait",
    ]
    assert screens.wrapped("a" * 20, 2) == ["a" * 16, "a" * 4]

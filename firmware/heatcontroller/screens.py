# What the panel says in each state, as text: a title, four rows of 16 characters, three labels.
# The buttons do what their labels say, and an empty label does nothing.

from heatcore import codes
from heatcore.inputs import NONE

from .states import ARMED, COOLING, COUNTDOWN_MS, IDLE, RUNNING, TRIPPED

COLUMNS = 16
TITLES = ("IDLE", "ARMED", "RUNNING", "COOLING", "SAFETY STOP", "SERVICE")
READINGS = ("", "open", "grounded", "supply", "range", "no chip", "frozen", "junction")
PULL_PLUG = "PULL THE PLUG"
NOTES = {
    codes.NOTE_WAIT_MARK: "Melted? Press!",
    codes.NOTE_WAIT_PRESS: "There? Press!",
    codes.NOTE_WAIT_ABOVE: "waiting for heat",
    codes.NOTE_NOT_MELTED: "not melted",
    codes.NOTE_NOT_CONFIRMED: "not confirmed",
    codes.NOTE_NO_READING: "reading lost",
    codes.NOTE_STOPPED: "stopped",
    codes.NOTE_HOST_LOST: "laptop lost",
    codes.NOTE_DOOR_OPEN: "shut the door",
    codes.NOTE_DOOR_LEFT_OPEN: "door left open",
    codes.NOTE_PULL_PLUG: PULL_PLUG,
}
OPEN_DOOR = "OPEN THE DOOR"


def title(state: int) -> str:
    return TITLES[state]


def reading(inputs) -> str:
    # Big letters: half as many fit.
    if inputs.sensor_mc == NONE:
        return READINGS[inputs.sensor_status] or "none"
    return milli(inputs.sensor_mc) + " C"


def milli(value: int) -> str:
    # All that the core counts is in thousandths: degrees, seconds, kelvins a second.
    sign, size = ("-", -value) if value < 0 else ("", value)
    return "{}{}.{}".format(sign, size // 1000, size % 1000 // 100)


def number(value: int) -> str:
    # A trip also counts things and names states: those are small, and no thousandths.
    return milli(value) if not -1000 < value < 1000 else str(value)


def clock(ms: int) -> str:
    seconds = max(ms, 0) // 1000
    return "{}:{:02}".format(seconds // 60, seconds % 60)


def wrapped(text: str, rows: int) -> list:
    # Words into rows of 16; what does not fit is left out.
    lines = [""]
    for word in text.split(" "):
        while len(word) > COLUMNS:
            lines.append(word[:COLUMNS])
            word = word[COLUMNS:]
        if lines[-1] and len(lines[-1]) + 1 + len(word) <= COLUMNS:
            lines[-1] += " " + word
        else:
            lines.append(word)
    lines = [line for line in lines if line]
    return (lines + [""] * rows)[:rows]


def rows(machine, choice) -> list:
    if machine.state == IDLE:
        return _idle(choice)
    if machine.state == ARMED:
        return _armed(machine)
    if machine.state == RUNNING:
        return _running(machine)
    if machine.state == COOLING:
        return _cooling(machine)
    if machine.state == TRIPPED:
        return _tripped(machine)
    return ["no heat here", "reset to leave", "", ""]


def labels(machine, choice) -> tuple:
    if machine.state == IDLE:
        return ("Prev", "Next", "Arm") if choice.count else ("", "", "")
    if machine.state == ARMED:
        return ("Back", "", "Start" if machine.countdown_ms == COUNTDOWN_MS else "")
    if machine.state == RUNNING and machine.command.note == codes.NOTE_WAIT_PRESS:
        return ("Stop", "", "Here")
    if machine.state == RUNNING:
        return ("Stop", "Melted", "Undo")
    if machine.state == COOLING:
        return ("", "Melted", "Undo")
    if machine.state == TRIPPED and machine.command.note == codes.NOTE_PULL_PLUG:
        return ("", "", "Quiet")
    if machine.state == TRIPPED and machine.proven_off:
        return ("", "", "Clear")
    return ("wait until off", "", "") if machine.state == TRIPPED else ("", "", "")


def label_row(three) -> str:
    # Under the three buttons: left, middle, right.
    left, middle, right = three
    side = (COLUMNS - len(middle)) // 2
    row = left + " " * (side - len(left)) + middle
    return row + " " * (COLUMNS - len(row) - len(right)) + right


def _idle(choice) -> list:
    if not choice.count:
        return ["No plans here.", "Send one from", "the laptop.", choice.trouble]
    head = "plan {} of {}".format(choice.index + 1, choice.count)
    return [head] + wrapped(choice.name, 2) + [choice.trouble]


def _armed(machine) -> list:
    if machine.countdown_ms == COUNTDOWN_MS:
        return wrapped(machine.plan_name, 2) + ["Board in, door", "shut: Start"]
    left_s = (machine.countdown_ms + 999) // 1000
    return wrapped(machine.plan_name, 2) + ["HEAT IN {} s".format(left_s), ""]


def _running(machine) -> list:
    command = machine.command
    power = "{} %".format(command.duty // 100)
    stage = codes.STAGES[command.stage]
    aim = "" if command.y_mc == NONE else "target " + milli(command.y_mc)
    left = "left " + clock(machine.plan.t_ms[-1] - machine.run_ms)
    last = OPEN_DOOR if command.door_cue else NOTES.get(command.note, "")
    return [stage + " " * (COLUMNS - len(stage) - len(power)) + power, aim, left, last]


def _cooling(machine) -> list:
    cue = OPEN_DOOR if machine.command.door_cue else ""
    return ["Heater is off.", "Hot: stay clear", NOTES.get(machine.command.note, ""), cue]


def _tripped(machine) -> list:
    # MicroPython keeps no order in a dict and has no default here: a code without name is a number.
    name = codes.TRIP_NAMES.get(machine.trip, "trip {}".format(machine.trip))
    numbers = ["seen  " + number(machine.trip_seen), "limit " + number(machine.trip_expected)]
    if machine.is_hot:
        return [PULL_PLUG, "door stays shut"] + numbers
    return wrapped(name.replace("_", " "), 2) + numbers

"""What the page shows of a run, made from its lines."""

from math import ceil

from heatcore import codes
from heatcore.command import Command
from heatcore.inputs import NONE, OPEN, Inputs
from heatwright import sentences
from heatwright.documents import load_source
from heatwright.judging.board import BEAD_TOLERANCE_K
from heatwright.page.board_now import Watcher
from heatwright.page.now import Now
from heatwright.records import lines
from heatwright.running.time_left import TimeLeft


def sample(now_ms, sensor_mc=231_000, **changed):
    inputs, command = Inputs(), Command()
    inputs.sensor_mc, inputs.sensor_status, inputs.sensor_age_ms = sensor_mc, 0, 100
    command.y_mc, command.duty, command.stage = 235_000, 4_300, 3
    for name, value in changed.items():
        setattr(inputs if name in lines.INPUT_FIELDS else command, name, value)
    return lines.sample(now_ms // 250, now_ms, inputs, command)


def shown(*samples, placing="on_board", source=None):
    told = []
    now = Now(Watcher(placing, source, 25.0), told.append, TimeLeft(480_000), 217.0)
    for one in samples:
        now.last_sent_s = 0.0
        now(one)
    return told


def test_a_bead_on_the_board_is_the_boards_own_number():
    texts = shown(sample(250))[-1]["now"]["texts"]
    assert texts["number"] == "231"
    assert texts["kind"] == sentences.PAGE_KINDS["measured"].format(band=ceil(BEAD_TOLERANCE_K))
    assert texts["target"] == "235 °C"
    assert texts["power"] == "43 %"
    assert texts["left"] == "7:59"


def test_time_above_liquidus_counts_the_boards_time():
    told = shown(*[sample(250 * n) for n in range(1, 41)])
    assert told[-1]["now"]["texts"]["above"] == "10 s"


def test_in_the_air_the_board_is_estimated_and_never_the_sensor():
    told = shown(sample(250), placing="air", source=load_source("toaster"))
    texts = told[-1]["now"]["texts"]
    assert "estimated" in texts["kind"]
    # the model's board has hardly left room temperature while the sensor reads 231
    assert texts["number"] == "25"
    # and that the sensor is so far from its prediction is said as doubt
    assert float(texts["kind"].split("±")[1].split()[0]) > 100


def test_with_no_model_the_page_says_that_the_board_is_not_known():
    texts = shown(sample(250), placing="air")[-1]["now"]["texts"]
    assert texts["kind"] == sentences.PAGE_KINDS["unknown"]


def test_a_broken_sensor_leaves_its_last_reading_and_how_old_that_is():
    lost = [sample(250 * n, sensor_mc=NONE, sensor_status=OPEN) for n in range(2, 283)]
    told = shown(sample(250), *lost)[-1]
    assert told["now"]["sound"] is False
    assert told["now"]["texts"]["number"] == "231"
    assert told["now"]["texts"]["kind"] == sentences.PAGE_KINDS["last"].format(ago="1:10")
    assert told["now"]["texts"]["sensor"] == "–"
    # where only a line is seen or heard, no old number passes for a new one
    assert "231" not in told["now"]["short"]
    spoken = [one["spoken"] for one in shown(sample(250), *lost) if "spoken" in one]
    assert "231 degrees" in spoken[0]
    assert "no sound reading" in spoken[-1]
    back = shown(sample(250), *lost, sample(71_000, 140_000))[-1]["now"]
    assert back["texts"]["number"] == "140"
    assert back["short"].startswith("140 °C")


def test_a_sensor_that_never_read_says_so():
    texts = shown(sample(250, sensor_mc=NONE, sensor_status=OPEN))[-1]["now"]["texts"]
    assert texts["number"] == "–"
    assert texts["kind"] == sentences.PAGE_KINDS["never"]


def test_the_question_and_the_door_are_put_into_words():
    asked = shown(sample(250, note=codes.NOTE_WAIT_MARK))[-1]
    assert asked["now"]["cue"] == sentences.PAGE_NOTES["wait_mark"]
    assert asked["spoken"].startswith(sentences.PAGE_NOTES["wait_mark"])
    door = shown(sample(250, door_cue=1))[-1]
    assert door["now"]["cue"] == sentences.OPEN_THE_DOOR
    opened = shown(sample(250, door_cue=1, door=1))[-1]
    assert opened["now"]["cue"] == ""


def test_a_wait_for_the_temperature_is_told_beside_the_stage_and_asks_for_nothing():
    now = shown(sample(250, note=codes.NOTE_WAIT_ABOVE, door_cue=1))[-1]["now"]
    assert now["cue"] == ""
    assert now["texts"]["stage"] == "reflow, waits for the temperature"
    assert now["texts"]["left"] == "8:00"


def test_the_first_mark_and_the_last_are_told_apart_and_can_be_taken_back():
    mark, unmark = codes.EVENT_MARK, codes.EVENT_UNMARK
    first = shown(lines.event(1, 200_000, mark, 0, 1), sample(200_250))[-1]
    assert first["now"]["marks"] == ["3:20"]
    assert [one["text"] for one in first["events"]] == [sentences.PAGE_MARKED[0]]
    both = (lines.event(1, 200_000, mark, 0, 1), lines.event(2, 230_000, mark, 0, 2))
    last = shown(*both, sample(230_250))[-1]
    assert last["now"]["marks"] == ["3:20", "3:50"]
    assert last["events"][-1]["text"] == sentences.PAGE_MARKED[1]
    back = shown(*both, lines.event(3, 231_000, unmark, 0, 1), sample(231_250))[-1]
    assert back["now"]["marks"] == ["3:20"]


def test_what_ended_the_run_is_told_though_no_sample_follows():
    told = []
    now = Now(Watcher("on_board", None, 25.0), told.append, TimeLeft(480_000), 217.0)
    now(lines.event(1, 250, codes.EVENT_STOP, 0, 0))
    assert told == []
    for _ in range(2):
        now.tell_rest()
    assert told == [{"events": [{"t": 0.25, "text": sentences.RUN_EVENTS["stop"]}]}]


def test_marks_are_taken_until_a_safety_stop():
    assert shown(sample(250))[-1]["now"]["takes_marks"] is True
    assert shown(sample(250), sample(500, trip=12))[-1]["now"]["takes_marks"] is False


def test_a_trip_is_told_with_its_name():
    told = shown(lines.event(1, 250, 12, 0, 0), sample(500))
    assert told[-1]["events"] == [
        {"t": 0.25, "text": sentences.RUN_TRIPPED.format(name="board too hot")}
    ]

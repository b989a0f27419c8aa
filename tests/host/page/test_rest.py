"""After a run: until the board may be picked up, and clearing a safety stop."""

from heatcore.command import Command
from heatcore.inputs import NONE, OK, OPEN, Inputs
from heatwright import sentences
from heatwright.documents import load_source
from heatwright.page.board_now import Watcher
from heatwright.page.last_read import LastRead
from heatwright.page.rest import Rest
from heatwright.records import lines
from heatwright.running.connect import rig
from heatwright.running.job import Asked
from heatwright.running.simulated import SimulatedTarget
from heatwright.running.target import Refused

SENSOR = 1 + lines.SAMPLE_FIELDS.index("sensor_mc")


class Controller:
    """At rest: each sample a second later and 10 K cooler; stands in this trip."""

    def __init__(self, from_c=90.0, trip="", press=NONE, refuses=None, status=0):
        self.now_s, self.sensor_c, self.trip, self.status = 0.0, from_c, trip, status
        self.press, self.refuses, self.asked = press, refuses, []

    def clock(self):
        return self.now_s

    def look(self):
        pass

    def heard(self):
        self.now_s += 1.0
        self.sensor_c = max(self.sensor_c - 10.0, 20.0)
        inputs = Inputs()
        inputs.sensor_mc, inputs.sensor_status = round(1000 * self.sensor_c), self.status
        inputs.press = self.press
        return lines.sample(1, round(1000 * self.now_s), inputs, Command())

    def ask(self, verb, *words):
        self.asked.append(verb)
        if self.refuses:
            raise Refused(verb, self.refuses, "the heater is not proven off")
        self.trip = ""


class Page:
    def __init__(self, orders=(), after=3):
        self.there, self.told, self.waiting, self.after = True, [], list(orders), after

    def orders(self):
        if len(self.told) < self.after:
            return []
        taken, self.waiting = self.waiting, []
        return taken

    def send(self, news):
        self.told.append(news["rest"])
        self.there = len(self.told) < 50


def watched(controller, page, placing="on_board", far=False, play=lambda verb, word: None):
    Rest(controller, Watcher(placing, None, 25.0), far).watch(page, play, controller.clock)
    return page.told


def test_hot_until_the_board_is_below_fifty():
    told = watched(Controller(90.0), Page())
    assert [one["number"] for one in told] == ["80", "70", "60", "50", "40"]
    assert [one["safe"] for one in told] == [False, False, False, False, True]
    assert told[0]["words"] == sentences.PAGE_REST["hot"]
    assert told[-1]["words"] == sentences.PAGE_REST["safe"]


def test_where_only_the_air_is_known_a_hand_comes_first():
    assert (
        watched(Controller(90.0), Page(), "air")[-1]["words"] == sentences.PAGE_REST["sensor_only"]
    )


def test_a_broken_sensor_is_never_safe_and_tells_what_it_read_last():
    last = LastRead()
    last.see({"now_ms": 400_000, "sensor_mc": 231_000, "sensor_status": OK})
    controller, page = Controller(30.0, status=OPEN), Page()
    Rest(controller, Watcher("on_board", None, 25.0), False, last).watch(
        page, clock=controller.clock
    )
    assert len(page.told) == 50
    assert not any(one["safe"] for one in page.told)
    assert {one["number"] for one in page.told} == {"231"}
    assert all(one["old"] for one in page.told)
    # the controller's clock began anew meanwhile
    assert page.told[-1]["kind"] == sentences.PAGE_KINDS["last"].format(ago="0:49")
    assert page.told[-1]["words"] == sentences.PAGE_REST["blind"]


def test_an_estimate_that_nothing_holds_to_the_present_is_never_safe():
    """A relay that is welded heats on, and only a reading would tell."""
    controller, page = Controller(30.0, status=OPEN), Page()
    watcher = Watcher("air", load_source("toaster"), 25.0)
    Rest(controller, watcher, False).watch(page, clock=controller.clock)
    assert "estimated" in page.told[-1]["kind"]
    assert not any(one["safe"] for one in page.told)
    assert page.told[-1]["words"] == sentences.PAGE_REST["blind"]


def test_with_no_reading_ever_there_is_no_number():
    told = watched(Controller(30.0, status=OPEN), Page())
    assert (told[0]["number"], told[0]["kind"]) == ("–", sentences.PAGE_KINDS["never"])


def test_a_stop_that_is_cleared_ends_the_watch():
    controller = Controller(60.0, "sensor_open")
    told = watched(controller, Page([("clear", None)], after=4))
    assert [one["trip"] for one in told] == ["sensor open"] * 4 + [""]
    assert controller.asked == ["clear"]


def test_with_a_button_the_person_is_sent_to_it():
    controller = Controller(60.0, "sensor_open", press=3, refuses="at_button")
    told = watched(controller, Page([("clear", None)]))
    assert told[-1]["said"] == sentences.PAGE_CLEAR_AT_BUTTON
    assert told[-1]["trip"] == "sensor open"


def test_what_the_controller_answers_is_told():
    controller = Controller(60.0, "sensor_open", refuses="not_proven_off")
    assert (
        watched(controller, Page([("clear", None)]))[-1]["said"] == "the heater is not proven off"
    )


def test_with_no_button_nothing_is_cleared_from_far():
    controller = Controller(60.0, "sensor_open")
    told = watched(controller, Page([("clear", None)]), far=True)
    assert controller.asked == []
    assert told[-1]["said"] == sentences.PAGE_NOT_FROM_FAR


def test_other_orders_are_for_the_play():
    played = []
    watched(Controller(), Page([("speed", 60.0)], after=1), play=lambda *one: played.append(one))
    assert played == [("speed", 60.0)]


def test_a_simulated_source_goes_on_cooling():
    target = SimulatedTarget(rig(Asked(on="sim:toaster", start_c=90.0)))
    read_mc = [target.heard()[SENSOR] for _ in range(400)]
    assert read_mc[-1] < read_mc[0] - 2000
    assert target.trip == ""

"""Whole runs: practice, by the clock, from a growing file; recorded and judged like any other."""

import json

import pytest
from click.testing import CliRunner

from coaching_made import PASTE
from heatsim.compiled import engine
from heatsim.plant import Plant
from heatwright import sentences
from heatwright.coaching.advisor import Advisor
from heatwright.coaching.live import coach_live
from heatwright.coaching.outfit import outfit_of
from heatwright.coaching.practice import practise
from heatwright.coaching.readings import CsvTail, Reading, Typed
from heatwright.coaching.screen import Lines
from heatwright.coaching.timed import Timed, timed_plan
from heatwright.commands.coach import command
from heatwright.documents import load_source
from heatwright.records.reader import read
from heatwright.running.execute import Left


class Bench:
    """A pan, a logger that writes a row a second, and somebody who does what is said 5 s later."""

    def __init__(self, source, path, coach):
        self.plant = Plant(load_source(source).plant_params(), engine())
        self.path, self.coach = path, coach
        self.now_s = 0.0
        self.typed = {}
        self.stops_at_s = self.unplugged_s = float("inf")
        path.parent.mkdir(exist_ok=True)
        path.write_text("time_s,board_c\n")

    def clock(self):
        return self.now_s

    def sleep(self, time_s):
        self.now_s += time_s
        hand = self.coach.hand
        told = self.coach.standing
        lifted = bool(told) and told.kind in ("lift", "too_hot", "off", "level", "done")
        setting = hand.effect(len(hand.settings) - 1, lifted)
        board_c = self.plant.step(time_s, setting.duty, setting.door)["board_sensor"]
        cell = "nan" if self.now_s > self.unplugged_s else f"{board_c:.2f}"
        if self.now_s < self.stops_at_s:
            with self.path.open("a") as file:
                file.write(f"{self.now_s:.1f},{cell}\n")

    def lines(self):
        typed = [text for at_s, text in self.typed.items() if at_s <= self.now_s]
        self.typed = {at_s: text for at_s, text in self.typed.items() if at_s > self.now_s}
        return iter(typed)


def live(tmp_path, coach=None, bead="board_sensor", by_hand=None, **bench_is):
    outfit = outfit_of("hot-plate", "sac305", None, bead)
    coach = coach or Advisor(outfit.source, PASTE)
    bench = Bench("hot-plate", tmp_path / "log.csv", coach)
    for name, value in bench_is.items():
        setattr(bench, name, value)
    readings = by_hand or CsvTail(bench.path)
    told = []
    run = coach_live(
        outfit, coach, readings, Lines(told.append), bench, tmp_path / "runs", "log.csv",
        told.append, bench.clock, bench.sleep,
    )  # fmt: skip
    return *run, told


def test_a_run_from_a_growing_file_is_coached_recorded_and_judged(tmp_path):
    coached, ending, _ = live(tmp_path, typed={320.0: ""})
    record = read(coached.report.folder)
    assert ending == "finished"
    assert coached.report.verdict.status in ("pass", "likely_pass")
    assert record.header["placing"] == "on_board"
    assert [event.code for event in record.events] == [101, 106], "a mark, and the board lifted"
    assert record.truth is None


def test_a_file_that_stops_growing_and_a_lost_sensor_are_said(tmp_path):
    stopped, _, _ = live(tmp_path / "a", stops_at_s=120.0, typed={150.0: "s"})
    lost, _, _ = live(tmp_path / "b", unplugged_s=120.0, typed={150.0: "s"})
    assert stopped.advice[-1].text == sentences.COACH_STOPPED_GROWING
    assert stopped.advice[-1].at_s < 135.0
    assert lost.advice[-1].text == sentences.COACH_UNPLUGGED
    assert lost.advice[-1].at_s < 125.0


def test_a_stop_leaves_a_whole_record(tmp_path):
    coached, ending, _ = live(tmp_path, typed={60.0: "s"})
    assert ending == "stopped"
    assert coached.report.outcome == "stopped"
    assert read(coached.report.folder).damaged_lines == 0


def test_ctrl_c_leaves_a_whole_record_too(tmp_path):
    class Interrupting(Typed):
        def take(self):
            if self.left == 0:
                raise KeyboardInterrupt
            self.left -= 1
            return Reading(25.0)

        left = 3

    coached, ending, _ = live(tmp_path, by_hand=Interrupting(), stops_at_s=0.0)
    assert ending == "interrupted"
    assert coached.report.interrupted


def test_a_rehearsal_left_by_ctrl_c_says_what_was_recorded(tmp_path):
    def left(step_s):
        raise KeyboardInterrupt

    told = []
    outfit = outfit_of("sand", "sac305", None, "board_sensor")
    with pytest.raises(Left):
        practise(outfit, tmp_path, 1, Lines(told.append), told.append, speed=1.0, sleep=left)
    (place,) = tmp_path.iterdir()
    assert told[-1] == sentences.LEFT.format(folder=place)
    assert read(place).damaged_lines == 0


def test_by_the_clock_alone_the_verdict_is_unknown(tmp_path):
    source = load_source("hot-plate")
    plan = timed_plan(source, PASTE)
    coached, ending, _ = live(tmp_path, Timed(source, PASTE, plan), by_hand=Typed())
    assert ending == "finished"
    assert [one.kind for one in coached.advice] == [one.kind for one in plan.advice]
    assert coached.report.verdict.status == "unknown"


def test_practice_prints_the_keys_that_are_fixed(tmp_path):
    asked = ["--source", "hot-plate", "--paste", "sac305", "--practice", "--seed", "2", "--json"]
    done = CliRunner().invoke(command, [*asked, "--out", str(tmp_path)])
    document = json.loads(done.stdout)
    keys = {"outcome", "verdict", "peak_board_c", "true_peak_board_c", "time_above_liquidus_s"}
    assert done.exit_code == 0
    assert keys | {"advice"} <= document.keys()
    assert document["advice"][0].keys() == {"at_s", "kind", "text"}
    assert abs(document["true_peak_board_c"] - document["peak_board_c"]) < 15.0
    assert done.stderr.startswith(sentences.COACH_CAUTIONS["hot-plate"][0])


def test_the_same_seed_gives_the_same_practice(tmp_path):
    asked = ["--source", "hot-air", "--practice", "--seed", "4", "--json", "--out", str(tmp_path)]
    first, second = (json.loads(CliRunner().invoke(command, asked).stdout) for _ in range(2))
    assert first["advice"] == second["advice"]
    assert first["trace_sha256"] == second["trace_sha256"]


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ("sand", ("non-stick", "damp sand spits", "outdoors", "never for food", "birds", "30 s")),
        ("hot-plate", ("never for food", "30 s", "tens of degrees colder")),
        ("hot-air", ("plastic parts", "300 to 350", "Stop at 90 s", "10 to 30 mm")),
    ],
)
def test_cautions_and_limits_of_each_source_come_first(source, words, tmp_path):
    asked = ["--source", source, "--practice", "--seed", "0", "--out", str(tmp_path)]
    told = CliRunner().invoke(command, asked).stderr
    before = told.split("0:00")[0]
    assert [word for word in words if word not in before] == []


def test_leaded_paste_is_warned_of(tmp_path):
    asked = ["--source", "sand", "--paste", "sn63pb37", "--practice", "--out", str(tmp_path)]
    assert sentences.COACH_CAUTION_LEAD in CliRunner().invoke(command, asked).stderr


def test_a_rehearsal_says_how_the_next_run_gets_better(tmp_path):
    asked = ["--source", "hot-plate", "--practice", "--seed", "2", "--out", str(tmp_path)]
    done = CliRunner().invoke(command, asked)
    assert f"heatwright measure {tmp_path}" in done.stderr
    assert "--kind hot-plate" in done.stderr


def test_by_eye_a_mark_makes_a_verdict_and_without_one_it_is_unknown(tmp_path):
    asked = ["--source", "hot-plate", "--sensor", "none", "--practice", "--seed", "2", "--json"]
    document = json.loads(CliRunner().invoke(command, [*asked, "--out", str(tmp_path)]).stdout)
    assert document["board_from"] == "estimated"
    low_c, high_c = document["peak_board_low_c"], document["peak_board_high_c"]
    assert low_c - 3.0 <= document["true_peak_board_c"] <= high_c + 3.0


def test_a_board_that_is_described_is_reckoned_with():
    small = outfit_of("sand", "sac305", None, "board_sensor")
    own = outfit_of("sand", "sac305", "profiles/workshop/board-bat-logger.toml", "board_sensor")
    assert own.source.plant_params().board_j_k != small.source.plant_params().board_j_k
    assert own.source.plant_params().power_w == small.source.plant_params().power_w


def test_a_mark_that_was_a_mistake_is_taken_back_and_stands_in_the_record(tmp_path):
    source = load_source("hot-plate")
    keys = {50.0: "u", 60.0: "", 64.0: "u", 90.0: "s"}
    coached, _, told = live(
        tmp_path, Timed(source, PASTE, timed_plan(source, PASTE)), by_hand=Typed(), typed=keys
    )
    assert [event.code for event in read(coached.report.folder).events] == [101, 102, 105]
    answers = (sentences.COACH_NO_MARK, sentences.COACH_MARKED, sentences.COACH_UNMARKED)
    assert [line.partition("  ")[2] for line in told if line.endswith(answers)] == list(answers)
    # the mark is none: nobody knows what the board had
    assert coached.report.verdict.status == "unknown"
    assert coached.report.verdict.board_from is None


def test_a_run_by_the_clock_that_ends_after_a_mark_speaks_of_no_reading(tmp_path):
    source = load_source("hot-plate")
    plan = timed_plan(source, PASTE)
    coached, _, _ = live(
        tmp_path, Timed(source, PASTE, plan), "sensor", Typed(), typed={280.0: "", 286.0: "s"}
    )
    assert coached.report.verdict.board_from == "estimated"
    assert "estimated to have been at" in coached.report.verdict.sentence
    assert "reading" not in coached.report.verdict.sentence


@pytest.mark.parametrize("sensor", ["typed", "none", "log.csv", "/dev/ttyACM0"])
def test_what_is_real_has_no_other_speed_than_the_clock(sensor, tmp_path):
    asked = ["--source", "sand", "--sensor", sensor, "--speed", "20", "--out", str(tmp_path)]
    (fault,) = CliRunner().invoke(command, asked).exception.faults
    assert (fault.what, fault.found) == (sentences.REAL_SPEED, "20")
    assert list(tmp_path.iterdir()) == []


def test_a_slip_of_a_finger_is_said_and_not_taken(tmp_path):
    typed = Typed()
    coached, _, told = live(
        tmp_path, by_hand=typed, typed={5.0: "1500", 6.0: "2x", 7.0: "nan", 9.0: "31", 30.0: "s"}
    )
    slips = [line for line in told if sentences.COACH_NOT_TYPED in line]
    assert len(slips) == 3
    readings = read(coached.report.folder).sensor_c
    assert readings[readings == readings].tolist() == [31.0]


def test_a_simulated_source_of_another_kind_is_refused(tmp_path):
    asked = ["--source", "hot-air", "--sensor", "sim:sand", "--speed", "1e6"]
    done = CliRunner().invoke(command, [*asked, "--out", str(tmp_path)])
    (fault,) = done.exception.faults
    assert (fault.found, fault.expected) == ("sand", "hot-air")
    assert list(tmp_path.iterdir()) == []


def test_an_oven_is_not_for_the_coach(tmp_path):
    done = CliRunner().invoke(command, ["--source", "toaster", "--practice"])
    assert done.exception is not None
    assert "a hand drives" in str(done.exception)


@pytest.mark.parametrize("source", ["sand", "hot-plate"])
def test_a_bead_that_the_room_cools_leaves_the_truth_within_its_band(source, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for seed in (11, 12, 13):
        asked = ["--source", source, "--practice", "--seed", str(seed), "--json"]
        told = json.loads(CliRunner().invoke(command, asked).stdout)
        assert told["peak_board_c"] < told["true_peak_board_c"]
        band = (told["peak_board_low_c"], told["peak_board_high_c"])
        assert band[0] <= told["true_peak_board_c"] <= band[1]

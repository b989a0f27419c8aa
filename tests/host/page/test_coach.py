"""The coach's process: what it tells before, while and after; what the page hands it on."""

import multiprocessing
import re
import threading
import time

import pytest
from page_made import OURS, visitor

from heatcore.codes import EVENT_MARK
from heatwright.page.coach_work import PRACTICE, Asked, coach
from heatwright.records.reader import read

ASKED = {"source": "sand", "paste": "sac305", "way": "typed"}


class Process:
    """The coach in a thread, its news in order; signals are the main thread's alone."""

    def __init__(self, folder, asked, speed=1e6):
        self.pipe, theirs = multiprocessing.Pipe()
        words = (theirs, asked, folder, speed)
        self.thread = threading.Thread(target=coach, args=words, daemon=True)
        self.thread.start()
        self.news = []

    def until(self, is_it, within_s=60.0):
        ends_s = time.monotonic() + within_s
        while time.monotonic() < ends_s:
            if self.pipe.poll(0.1):
                self.news.append(self.pipe.recv())
                if is_it(self.news[-1]):
                    return self.news[-1]
        raise AssertionError(self.news[-3:])

    def send(self, verb, word=None):
        self.pipe.send((verb, word))


def has_phase(name):
    return lambda news: news.get("phase") == name


def test_a_rehearsal_tells_cautions_first_and_its_verdict_last(tmp_path):
    process = Process(tmp_path, Asked("sand", "sac305", None, "board_sensor", PRACTICE))
    ready = process.until(has_phase("ready"))
    assert process.news == [ready]
    assert any("non-stick" in line for line in ready["preview"]["cautions"])
    assert ready["preview"]["beforehand"]
    process.send("start")
    over = process.until(has_phase("over"))["over"]
    assert over["verdict"] in ("pass", "likely_pass", "warn", "fail")
    assert (tmp_path / over["run"] / "record.txt").is_file()
    said = [one["text"] for news in process.news for one in news.get("events", ())]
    assert "Burner off now." in said
    shown = [news["coach"] for news in process.news if "coach" in news]
    # every new sentence is sent at once, and what holds is the last one said
    assert shown[-1]["said"] == len(said)
    rows = [row for news in process.news for row in news.get("points", ())]
    assert max(board for _, board, _ in rows if board is not None) > 200.0
    # the estimate and what the bead reads are two lines, and the verdict says which it goes by
    read = max(bead for _, _, bead in rows if bead is not None)
    assert over["by_bead"]
    peak = re.search(r"peaked at (\d+) °C", over["sentence"])
    assert abs(int(peak.group(1)) - read) <= 1.0
    assert shown[-1]["bead"].endswith(" °C")


def test_stop_ends_a_rehearsal_and_keeps_what_was_recorded(tmp_path):
    process = Process(tmp_path, Asked("sand", "sac305", None, "board_sensor", PRACTICE), 20.0)
    process.until(has_phase("ready"))
    process.send("start")
    process.until(lambda news: "coach" in news)
    process.send("stop")
    process.until(has_phase("failed"))
    assert len(list(tmp_path.glob("*/record.txt"))) == 1


def test_typed_readings_reach_the_coach_and_a_mark_the_record(tmp_path):
    process = Process(tmp_path, Asked("hot-plate", "sac305", None, "board_sensor", "typed"))
    process.until(has_phase("ready"))
    process.send("start")
    process.until(lambda news: news.get("coach", {}).get("asks"))
    process.send("typed", "24,5")
    shown = process.until(lambda news: "24" in news.get("coach", {}).get("board", ""))
    assert shown["coach"]["asks"] == ""
    process.send("mark")
    process.until(lambda news: any("marked" in one["text"] for one in news.get("events", ())))
    process.send("stop")
    over = process.until(has_phase("over"))["over"]
    assert "by hand" in over["ending"]
    record = read(tmp_path / over["run"] / "record.txt")
    assert EVENT_MARK in [event.code for event in record.events]
    assert 24.5 in record.sensor_c


def test_a_source_that_no_hand_drives_is_told(tmp_path):
    process = Process(tmp_path, Asked("toaster", "sac305", None, "board_sensor", "typed"))
    failed = process.until(has_phase("failed"))
    assert failed["faults"][0]["found"] == "toaster"


def test_only_what_a_hand_drives_is_offered(tmp_path):
    text = visitor(tmp_path).get("/coach").text
    for name, there in (("sand", True), ("hot-air", True), ("toaster", False)):
        assert (f'<option value="{name}"' in text) == there


def test_a_file_or_port_must_be_named(tmp_path):
    browser = visitor(tmp_path)
    answer = browser.post("/coach/prepare", data=ASKED | {"way": "other"}, headers=OURS)
    assert answer.status_code == 422
    assert browser.app.state.desk.phase == "choose"


@pytest.mark.parametrize("text", ["warm", "", "1e3", "12345", "nan", "-300", "inf"])
def test_what_is_no_reading_is_not_taken(tmp_path, text):
    browser = visitor(tmp_path)
    assert browser.post("/coach/typed", data={"reading": text}, headers=OURS).status_code == 422

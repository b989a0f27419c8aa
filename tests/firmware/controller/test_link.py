"""The link: frames, run-once, bounded buffers, every verb. Runs on CPython and MicroPython."""

from workbench import ENOSPC, PLAN_ID, Bench, document

from heatcontroller.frames import OUT_BYTES
from heatcontroller.link import NUMBER_MAX, Link
from heatcontroller.states import ARMED, COOLING, IDLE, RUNNING, TRIPPED
from heatcore import codes, line, plan

HELLO = {
    "firmware": "0.1.0",
    "core": "0.1.0",
    "protocol": 1,
    "chip": "rp2040",
    "reset": "power_on",
    "hard_timer": False,
}


class Port:
    """Bytes on their way in, bytes that came out; `room` is what the host's side still takes."""

    def __init__(self):
        self.coming = b""
        self.sent = b""
        self.room = 1 << 20

    def read(self, buffer):
        count = min(len(buffer), len(self.coming))
        buffer[:count] = self.coming[:count]
        self.coming = self.coming[count:]
        return count

    def write(self, view):
        count = min(len(view), self.room)
        self.room -= count
        self.sent += bytes(view[:count])
        return count


class Host:
    """A bench with its link, and a host that asks."""

    def __init__(self, sense=None, **changes):
        self.bench = Bench(doc=document(**changes))
        self.machine = self.bench.machine
        self.port = Port()
        self.link = Link(self.machine, self.bench.store, self.port, HELLO, sense)
        self.number = 0

    def send(self, data):
        self.port.coming += data
        while self.port.coming:
            self.link.serve(self.bench.now_ms)
        self.link.serve(self.bench.now_ms)
        sent, self.port.sent = self.port.sent, b""
        return [line.decode(one, 512) for one in sent.split(b"\n") if one]

    def ask(self, verb, *words, number=None):
        if number is None:
            self.number += 1
            number = self.number
        asked = ["q", number, verb]
        asked.extend(words)
        answers = self.send(line.encode(asked))
        assert len(answers) == 1, answers
        assert answers[0][:2] == ["a", number]
        return answers[0][2:]

    def refused(self, verb, *words):
        answer = self.ask(verb, *words)
        assert answer[0] == "no"
        assert answer[2]
        return answer[1]

    def put(self, data, piece=300):
        text = data.decode()
        answer = None
        for offset in range(0, len(text), piece):
            answer = self.ask("put", offset, len(text), text[offset : offset + piece])
            if answer[0] == "no":
                break
        return answer


# --- frames ---


def test_hello_says_the_versions():
    answer = Host().ask("hello")
    assert answer[0] == "ok"
    for key in HELLO:
        assert answer[1][key] == HELLO[key]
    assert answer[1]["state"] == "idle"
    assert answer[1]["trouble"] == ""


def test_the_longest_answers_fit_a_line():
    host = Host()
    longest = bytes(400_000)
    for run in range(10):
        host.bench.files.kept[f"log/{990_000 + run}"] = longest
    host.bench.store.trouble = "x" * 200
    for words in (["hello"], ["log"], ["config"]):
        answer = host.ask(words[0], number=NUMBER_MAX)
        said = ["a", NUMBER_MAX]
        said.extend(answer)
        assert len(line.encode(said)) <= line.LINE_MAX, words
        host.ask("hello", number=1)


def test_garbage_half_lines_and_stray_prints_are_skipped():
    host = Host()
    good = line.encode(["q", 1, "hello"])
    for noise in (
        b"\n\n\r\n",
        b"MPY: soft reboot\r\n",
        b"\x00\xff\xfe garbage\n",
        good[:-4] + b"\n",
        good[:10],
    ):
        answers = host.send(noise + b"\n" + good)
        assert [one[0] for one in answers] == ["a"], noise
    assert host.link.skipped > 0


def test_a_flipped_bit_is_not_accepted():
    host = Host()
    good = bytearray(line.encode(["q", 1, "stop"]))
    for place in range(len(good) - 1):
        bad = bytearray(good)
        bad[place] ^= 1
        if bad[place] != 10:
            assert host.send(bytes(bad)) == [], place


def test_a_line_without_end_is_dropped_and_the_next_one_heard():
    host = Host()
    assert host.send(b"x" * 100_000) == []
    assert len(host.send(b"\n" + line.encode(["q", 1, "hello"]))) == 1


def test_only_a_plan_may_come_in_a_long_line():
    host = Host()
    assert host.send(line.encode(["q", 1, "mark", "x" * 250])) == []
    assert host.send(line.encode(["q", 1, "put", 0, 500, "x" * 250]))[0][2] == "ok"


def test_frames_of_another_shape_are_skipped():
    host = Host()
    for values in ([], ["q"], ["q", 1], ["a", 1, "hello"], ["q", True, "hello"], ["q", 0, "hello"]):
        assert host.send(line.encode(values)) == []
    for values in (["q", -1, "stop"], ["q", 1.5, "stop"], ["q", "1", "stop"], ["q", 1, ["stop"]]):
        assert host.send(line.encode(values)) == []
    assert host.send(line.encode(["q", 1 << 40, "stop"])) == []


def test_the_same_number_gets_the_same_answer_and_is_done_once():
    host = Host()
    host.bench.begin()
    host.bench.follow_plan(5)
    first = host.ask("mark", number=5)
    assert host.ask("mark", number=5) == first == ["ok"]
    host.bench.tick()
    assert host.bench.inputs.mark == 1


def test_a_replayed_question_is_not_done_again():
    host = Host()
    host.ask("arm", PLAN_ID, number=3)
    host.ask("stop", number=4)
    assert host.ask("arm", PLAN_ID, number=3)[:2] == ["no", "old"]
    assert host.machine.state == IDLE
    assert host.ask("stop", number=4)[0] == "ok"


def test_hello_starts_the_numbers_anew():
    host = Host()
    host.ask("lease", number=900)
    assert host.ask("hello", number=1)[0] == "ok"
    assert host.ask("lease", number=2)[0] == "ok"


def test_an_unknown_verb_is_refused():
    host = Host()
    assert host.refused("explode") == "no_verb"
    assert host.refused("sense", 25_000) == "no_verb"


def test_ctrl_c_is_seen_anywhere():
    host = Host()
    assert not host.link.stop_seen
    host.send(b"half a li\x03ne")
    assert host.link.stop_seen


# --- a host that does not read ---


def test_a_silent_host_costs_nothing_and_is_counted():
    host = Host()
    host.port.room = 0
    for _ in range(2_400):  # ten minutes
        host.bench.tick()
        host.link.telemetry(host.bench.now_ms, host.bench.inputs, host.machine.command)
        host.link.serve(host.bench.now_ms)
    assert host.link.dropped > 2_300
    assert host.port.sent == b""
    host.port.room = 1 << 20
    answers = host.send(line.encode(["q", 1, "hello"]))
    assert answers[-1][0] == "a"
    assert len(answers) < OUT_BYTES // 50


def test_the_host_sees_what_was_dropped_by_the_sequence():
    host = Host()
    for _ in range(3):
        told = host.link.telemetry(250, host.bench.inputs, host.machine.command)
    assert [one[1] for one in host.send(b"")] == [1, 2, 3]
    assert line.decode(told)[1] == 3
    host.link.event(250, codes.EVENT_MARK, 1, 2)
    assert host.send(b"") == [["e", 4, 250, codes.EVENT_MARK, 1, 2]]


def test_the_longest_sample_fits_a_line():
    host = Host()
    for name in ("sensor_mc", "second_mc", "door", "current_ma", "press", "mark"):
        setattr(host.bench.inputs, name, -(1 << 29))
    host.link.telemetry((1 << 29) - 1, host.bench.inputs, host.machine.command)
    assert len(host.link._sender._bytes[: host.link._sender._tail]) <= line.LINE_MAX


def test_answers_go_out_although_telemetry_fills_the_buffer():
    host = Host()
    host.port.room = 0
    for _ in range(20):
        host.link.telemetry(250, host.bench.inputs, host.machine.command)
    host.port.coming = line.encode(["q", 1, "stop"])
    for _ in range(4):
        host.link.serve(host.bench.now_ms)
    host.port.room = 1 << 20
    assert ["a", 1, "ok", "idle"] in host.send(b"")


# --- what is kept ---


def test_a_plan_goes_over_in_pieces():
    host = Host()
    data = plan.write(document(id="11112222", name="another"))
    assert host.put(data) == ["ok", len(data), "11112222"]
    assert host.bench.store.plan("11112222") == data
    assert host.ask("plans") == ["ok", 2, PLAN_ID, "bat-call logger", len(data) + 8]
    assert host.ask("plans", 1) == ["ok", 2, "11112222", "another", len(data)]
    assert host.ask("plans", 2) == ["ok", 2]


def test_a_piece_may_be_sent_again_but_not_out_of_order():
    host = Host()
    data = plan.write(document(id="11112222")).decode()
    total = len(data)
    assert host.ask("put", 0, total, data[:200]) == ["ok", 200]
    assert host.refused("put", 300, total, data[300:400]) == "gap"
    assert host.ask("put", 0, total, data[:100]) == ["ok", 100]
    assert host.ask("put", 100, total, data[100:350]) == ["ok", 350]


def test_a_plan_of_another_checksum_is_refused():
    host = Host()
    data = plan.write(document(id="11112222"))
    bad = data.replace(b"6000", b"6001", 1)
    assert host.put(bad)[:2] == ["no", "bad_plan"]
    assert host.bench.store.plan("11112222") is None


def test_bad_pieces_are_refused():
    host = Host()
    for words in ([], [0], [0, 10], [0, 10, 5], ["0", 10, "x"], [0.0, 10, "x"]):
        assert host.refused("put", *words) == "bad_arguments"
    for words in (
        (0, 5000, "x"),
        (-1, 10, "x"),
        (0, 0, ""),
        (0, 10, ""),
        (0, 1, "xy"),
        (9, 9, "x"),
    ):
        assert host.refused("put", *words) == "bad_size"


def test_a_full_file_system_is_said():
    host = Host()
    host.bench.files.fails = ENOSPC
    assert host.put(plan.write(document(id="11112222")))[:2] == ["no", "not_kept"]
    assert host.refused("config", "mains_hz", 60) == "not_kept"
    assert host.refused("arm", PLAN_ID) == "no_marker"
    assert host.refused("service") == "not_kept"


def test_plans_are_removed():
    host = Host()
    assert host.refused("remove", "../config") == "bad_arguments"
    assert host.refused("remove", "00000000") == "no_plan"
    assert host.ask("remove", PLAN_ID) == ["ok"]
    assert host.bench.store.plans() == []


def test_the_configuration_is_read_and_changed():
    host = Host()
    assert "sensor_max_mc" in host.ask("config")[1]
    assert host.ask("config", "mains_hz") == ["ok", 50]
    assert host.ask("config", "mains_hz", 60) == ["ok"]
    assert host.bench.store.config().mains_hz == 60
    assert host.link.next_boot == "idle"
    assert host.refused("config", "sensor_max_mc", 900_000) == "bad_config"
    assert host.refused("config", "colour", 1) == "no_key"
    assert host.refused("config", "colour") == "no_key"
    assert host.refused("config", 5) == "no_key"


def test_the_log_is_read_back_in_pieces():
    host = Host()
    host.bench.store.begin_run()
    told = host.link.telemetry(0, host.bench.inputs, host.machine.command)
    host.bench.store.log(told)
    host.bench.store.log(told)
    host.bench.store.end_run()
    host.send(b"")
    assert host.ask("log") == ["ok", [[1, 2 * len(told)]]]
    text, offset = "", 0
    while True:
        answer = host.ask("log", 1, offset)
        assert answer[0] == "ok"
        if not answer[2]:
            break
        offset, text = answer[1], text + answer[2]
    assert text.encode() == told + told
    assert host.refused("log", 7, 0) == "no_run"
    assert host.refused("log", "x", 0) == "bad_arguments"


# --- what acts ---


def test_a_run_over_the_link():
    host = Host()
    assert host.ask("arm", PLAN_ID) == ["ok", "bat-call logger", 5000]
    assert host.ask("start", PLAN_ID) == ["ok", 5000]
    host.bench.tick(21)
    answer = host.ask("lease")
    assert answer == ["ok", "running", "none", 0, 0, 0, 250, PLAN_ID]
    assert host.ask("mark", "melted") == ["ok"]
    assert host.ask("unmark") == ["ok"]
    assert host.ask("stop") == ["ok", "cooling"]
    assert host.machine.state == COOLING


def test_arm_and_start_name_the_plan():
    host = Host()
    assert host.refused("arm") == "bad_arguments"
    assert host.refused("arm", "bat-call logger") == "bad_arguments"
    host.ask("arm", PLAN_ID)
    assert host.refused("start") == "bad_arguments"
    assert host.refused("start", "00000000") == "other_plan"
    assert host.machine.state == ARMED


def test_nothing_is_read_or_written_while_hot():
    host = Host()
    host.bench.begin()
    assert host.refused("put", 0, 10, "x") == "busy"
    assert host.refused("plans") == "busy"
    assert host.refused("remove", PLAN_ID) == "busy"
    assert host.refused("log") == "busy"
    assert host.refused("config", "mains_hz", 60) == "not_idle"
    assert host.refused("service") == "not_idle"
    assert host.machine.state == RUNNING


def test_clearing_names_the_trip():
    host = Host()
    host.bench.begin()
    host.bench.tick(4, sensor_mc=260_000)
    assert host.machine.state == TRIPPED
    host.bench.tick(sensor_mc=30_000, press=-(1 << 29))
    assert host.refused("clear") == "other_trip"
    assert host.refused("clear", "sensor_open") == "other_trip"
    assert host.ask("clear", "over_plan_ceiling") == ["ok"]
    assert host.machine.state == IDLE


def test_service_asks_for_the_next_start_and_answers_first():
    host = Host()
    host.port.room = 0
    host.port.coming = line.encode(["q", 1, "service", "hil"])
    for _ in range(3):
        host.link.serve(host.bench.now_ms)
    assert host.link.next_boot == ""
    host.port.room = 1000
    assert host.send(b"") == [["a", 1, "ok"]]
    assert host.link.next_boot == "hil"
    assert host.bench.files.read("next_boot") == b"hil"
    assert Host().refused("service", "party") == "bad_arguments"


def test_sense_exists_only_where_it_was_passed_in():
    taken = []
    host = Host(sense=taken.append)
    assert host.ask("sense", 25_000, 0) == ["ok"]
    assert taken == [[25_000, 0]]
    assert host.refused("sense", "25") == "bad_arguments"
    assert Host().refused("sense", 25_000, 0) == "no_verb"

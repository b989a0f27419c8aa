"""The serial client against a scripted controller: lost answers, noise, versions, ports."""

import errno
from collections.abc import Callable
from typing import Any

import pytest
import serial

import heatcore
from heatcore import line
from heatwright import sentences
from heatwright.running.link_client import (
    PROTOCOL,
    LinkClient,
    SerialTarget,
    Unanswered,
    VersionMismatch,
    check_versions,
)
from heatwright.running.ports import port_fault
from heatwright.running.target import Refused

Answer = Callable[[list[Any]], bytes]


class Scripted:
    """A port at whose other end a function answers each question; time goes by in reads."""

    def __init__(self, answer: Answer) -> None:
        self.answer = answer
        self.questions: list[list[Any]] = []
        self.now_s = 0.0
        self.closed = False
        self._out = b""

    @property
    def in_waiting(self) -> int:
        return len(self._out)

    def read(self, size: int = 1) -> bytes:
        self.now_s += 0.05
        taken, self._out = self._out[:size], self._out[size:]
        return taken

    def write(self, data: bytes) -> int:
        for one in data.split(b"\n"):
            question: Any = line.decode(one, line.PIECE_MAX)
            if question:
                self.questions.append(question)
                self._out += self.answer(question)
        return len(data)

    def say(self, *lines: list[Any]) -> None:
        self._out += b"".join(line.encode(one) for one in lines)

    def close(self) -> None:
        self.closed = True


def client_of(answer: Answer) -> tuple[LinkClient, Scripted]:
    stream = Scripted(answer)
    return LinkClient(stream, "here", lambda: stream.now_s), stream


def ok(question: list[Any], *words: Any) -> bytes:
    return line.encode(["a", question[1], "ok", *words])


def test_a_lost_answer_is_asked_for_again_under_the_same_number() -> None:
    seen: list[int] = []

    def answer(question: list[Any]) -> bytes:
        seen.append(question[1])
        return ok(question, "done") if len(seen) == 3 else b""

    client, _ = client_of(answer)
    assert client.ask("stop") == ["done"]
    assert len(set(seen)) == 1
    client, stream = client_of(ok)
    client.ask("stop")
    client.ask("stop")
    assert stream.questions[1][1] == stream.questions[0][1] + 1


def test_a_damaged_answer_is_none() -> None:
    tries = 0

    def answer(question: list[Any]) -> bytes:
        nonlocal tries
        tries += 1
        whole = ok(question, "done")
        return whole if tries == 2 else whole.replace(b"done", b"gone")

    client, _ = client_of(answer)
    assert client.ask("stop") == ["done"]
    assert client.skipped == 1


def test_an_answer_to_another_question_is_not_taken() -> None:
    client, _ = client_of(lambda q: line.encode(["a", q[1] - 1, "ok", "old"]) + ok(q, "new"))
    assert client.ask("lease") == ["new"]


def test_stray_prints_and_telemetry_between_do_no_harm() -> None:
    def answer(question: list[Any]) -> bytes:
        return b"Traceback (most recent call last):\r\n" + line.encode(["s", 1, 250]) + ok(question)

    client, _ = client_of(answer)
    assert client.ask("mark") == []
    assert list(client.lines) == [["s", 1, 250]]


def test_silence_is_told_with_the_cure() -> None:
    client, stream = client_of(lambda question: b"")
    with pytest.raises(Unanswered, match="heatwright flash --port here"):
        client.ask("hello")
    assert len(stream.questions) == 5
    assert Unanswered.exit_code == 4


def test_a_no_carries_its_code_and_sentence() -> None:
    client, _ = client_of(lambda q: line.encode(["a", q[1], "no", "not_idle", "it is running"]))
    with pytest.raises(Refused, match=r"refused to arm: it is running \[not_idle\]") as refused:
        client.ask("arm", "12345678")
    assert refused.value.code == "not_idle"


def test_other_versions_are_told_both_ways_with_the_cure() -> None:
    told = {"core": "0.0.9", "protocol": PROTOCOL + 1}
    with pytest.raises(VersionMismatch) as mismatch:
        check_versions(told, "here")
    text = str(mismatch.value)
    assert "0.0.9" in text
    assert heatcore.VERSION in text
    assert "heatwright flash --port here" in text
    check_versions({"core": heatcore.VERSION, "protocol": PROTOCOL}, "here")


def test_a_verb_that_acts_names_what_it_acts_on() -> None:
    client, stream = client_of(lambda q: ok(q, "tripped", "sensor_open", 0, 0, 0, 0, "12345678"))
    target = SerialTarget(client)
    target.ask("arm", "12345678")
    target.ask("start")
    target.ask("clear")
    asked = [question[2:] for question in stream.questions]
    assert asked == [
        ["arm", "12345678"],
        ["start", "12345678"],
        ["lease"],
        ["clear", "sensor_open"],
    ]


def test_a_plan_goes_in_pieces_that_fit_a_line() -> None:
    client, stream = client_of(ok)
    SerialTarget(client).put(b'{"name":"' + b'\\"' * 300 + b'"}\n01234567')
    pieces = [question[3:] for question in stream.questions]
    assert [at for at, _, _ in pieces] == [
        sum(len(p[2]) for p in pieces[:i]) for i in range(len(pieces))
    ]
    assert all(len(line.encode(question)) <= line.PIECE_MAX for question in stream.questions)


def test_closing_stops_what_is_armed_and_lets_go_of_the_port() -> None:
    client, stream = client_of(lambda q: ok(q, "running", "none", 0, 0, 0, 0, "12345678"))
    target = SerialTarget(client)
    assert next(iter_events(target, stream))[0] == "e"
    target.close()
    assert stream.questions[-1][2] == "stop"
    assert stream.closed


def iter_events(target: SerialTarget, stream: Scripted):
    lines = target.lines()
    stream.say(["e", 1, 0, 107, 0, 5000])
    return lines


@pytest.mark.parametrize(
    ("error", "what", "cure"),
    [
        (
            serial.SerialException(errno.ENOENT, "x"),
            sentences.NO_SUCH_PORT,
            "cable that carries data",
        ),
        (serial.SerialException(errno.EACCES, "x"), sentences.PORT_FORBIDDEN, "usermod -aG"),
        (serial.SerialException(errno.EBUSY, "x"), sentences.PORT_BUSY, "serial monitors"),
        (serial.SerialException("Could not exclusively lock port"), sentences.PORT_BUSY, "modem"),
        (serial.SerialException("not a tty"), sentences.NOT_A_PORT, "controller list"),
    ],
)
def test_each_way_a_port_can_fail_has_its_own_message(
    error: Exception, what: str, cure: str
) -> None:
    fault = port_fault("/dev/null", error)
    assert fault.what == what
    assert cure in fault.cure

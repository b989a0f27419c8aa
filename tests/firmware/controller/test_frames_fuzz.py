"""Frames that nobody meant: bytes, JSON, and well-formed questions with a true CRC around chance.

None acts, none raises, and none is accepted beyond what its CRC lets through.
"""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_link import Host

from heatcontroller.states import ARMED, COOLING, IDLE, RUNNING, SERVICE, TRIPPED
from heatcore import codes, line

FRAMES = 1_000_000
# What may heat, forget a trip, or leave the state that the person chose.
ACTING = ("arm", "start", "clear", "service")
VERBS = (
    *ACTING,
    *("hello", "config", "put", "plans", "remove", "log"),
    *("stop", "mark", "unmark", "lease", "sense"),
)


class Watched(Host):
    """A host whose controller notes each acting verb that was done."""

    def __init__(self, state=IDLE):
        super().__init__()
        self.acted = []
        self.prepare(state)

    def prepare(self, state):
        if state in (RUNNING, COOLING, TRIPPED):
            self.bench.begin()
        if state == TRIPPED:
            self.bench.tick(4, sensor_mc=260_000)
        if state == COOLING:
            self.bench.machine.stop(self.bench.now_ms)
        if state == ARMED:
            assert self.bench.arm() is None
        if state == SERVICE:
            self.machine.serve()
        assert self.machine.state == state
        do = self.link.verbs.do

        def watched(now_ms, verb, words):
            result = do(now_ms, verb, words)
            if verb in ACTING and type(result) is list:
                self.acted.append((verb, words))
            return result

        self.link.verbs.do = watched

    def feed(self, data):
        """Bytes in, whatever they are; returns the lines that came out."""
        self.port.sent = b""
        self.port.coming = data + b"\n"
        self.port.room = 1 << 20
        while self.port.coming:
            self.link.serve(self.bench.now_ms)
        self.link.serve(self.bench.now_ms)
        return [one for one in self.port.sent.split(b"\n") if one]


WORDS = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=12),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=4), inner),
    max_leaves=8,
)
NUMBERS = st.integers(min_value=-5, max_value=1 << 30)
QUESTIONS = st.tuples(
    st.sampled_from(["q", "a", "s", ""]),
    NUMBERS,
    st.sampled_from(VERBS) | st.text(max_size=8),
    st.lists(WORDS, max_size=4),
)


@settings(max_examples=150, deadline=None)
@given(state=st.sampled_from([IDLE, ARMED, RUNNING, COOLING, TRIPPED, SERVICE]), data=st.data())
def test_true_frames_around_chance_never_act(state, data):
    host = Watched(state)
    heated = host.bench.outputs.heated
    for kind, number, verb, words in data.draw(st.lists(QUESTIONS, max_size=12)):
        if words in (["service"], ["hil"], []) and verb == "service":
            continue  # this is the frame that a host means
        for answer in host.feed(line.encode([kind, number, verb, *words])[:-1]):
            assert line.decode(answer, line.PIECE_MAX) is not None
    host.bench.tick(4)
    assert host.acted == []
    assert state == RUNNING or host.bench.outputs.heated == heated


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=700))
def test_bytes_are_skipped(data):
    host = Watched()
    assert host.feed(data) == []
    assert host.machine.state == IDLE


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=150))
def test_any_body_with_a_true_crc_is_survived(body):
    host = Watched(TRIPPED)
    host.feed(body + b" " + line.checksum(body))
    assert host.acted == []
    assert host.machine.state == TRIPPED


def chance_frame(chance):
    """One frame of a kind: noise, a damaged question, or a true CRC around a random payload."""
    kind = chance.randrange(4)
    if kind == 0:
        return False, chance.randbytes(chance.randrange(1, 60))
    verb = chance.choice(VERBS)
    words = [chance_word(chance) for _ in range(chance.randrange(4))]
    if verb == "service" and words in ([], ["service"], ["hil"]):
        words = [0]
    frame = line.encode(["q", chance.randrange(1, 1 << 29), verb, *words])[:-1]
    if kind == 1:
        place = chance.randrange(len(frame))
        flipped = bytes([frame[place] ^ (1 << chance.randrange(8))])
        return False, frame[:place] + flipped + frame[place + 1 :]
    if kind == 2:
        body = chance.randbytes(chance.randrange(1, 60)).replace(b"\n", b" ")
        return True, body + b" " + line.checksum(body)
    return True, frame


def chance_word(chance):
    return chance.choice(
        (
            chance.randrange(-(1 << 31), 1 << 31),
            chance.random(),
            f"{chance.getrandbits(32):08x}",
            chance.choice(list(codes.TRIP_NAMES.values())[1:]),
            [],
            None,
            "".join(chance.choices('abc{}[]"\\ ', k=chance.randrange(12))),
        )
    )


@pytest.mark.campaign
def test_a_million_frames(counted):
    chance = random.Random(1)
    hosts = [Watched(state) for state in (IDLE, RUNNING, TRIPPED)]
    wrongly, answered = 0, 0
    for number in range(counted(FRAMES)):
        host = hosts[number % len(hosts)]
        is_true, data = chance_frame(chance)
        answers = len(host.feed(data))
        wrongly += answers and not is_true
        answered += answers
    assert wrongly == 0
    assert answered > counted(FRAMES) // 10  # the frames do reach the verbs
    assert [host.acted for host in hosts] == [[], [], []]
    assert [host.machine.state for host in hosts][::2] == [IDLE, TRIPPED]

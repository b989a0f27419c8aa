"""The link's other end: numbered questions over a serial port, telemetry as it comes, the lease."""

from __future__ import annotations

import random
import time
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import suppress
from typing import Any, Protocol

import serial

import heatcore
from heatcore import codes, line
from heatwright import sentences
from heatwright.errors import Fault, HeatwrightError, NoController
from heatwright.records.lines import SAMPLE_FIELDS
from heatwright.running.ports import open_port
from heatwright.running.target import Line, Refused, nothing

PROTOCOL = 1
# The controller looks at its port some fifty times a second, and may be busy with a flash write.
ANSWER_S = 0.6
TRIES = 5
# A board that has just been reset: MicroPython's start, the files' check, the USB host's greeting.
RESTART_S = 15.0
# A line of a plan's piece with all its quotes escaped stays below the link's 512 bytes.
PLAN_PIECE = 160
FIRST_NUMBER_MAX = 1 << 20
# The controller's own limit is 3 s. Renewed by its clock or ours, whichever is first.
LEASE_S = 1.0
LEASE_MS = 1000
# Lines further apart than this are no longer of one run, unless the controller says so.
JUMP_MS = 3000
FAN = 1 + SAMPLE_FIELDS.index("fan")
HEAT_STATES = ("armed", "running", "cooling")
# After a trip the record goes on for this long of the controller's time: did it really go off?
TRIPPED_MS = 60_000


class Unanswered(NoController):
    """The port is open, but nothing on it speaks this link."""


class VersionMismatch(NoController):
    """A controller answers, but with another version of the link or of the core."""


class Stream(Protocol):
    """What the client needs of a serial port."""

    def read(self, size: int = 1) -> bytes: ...

    def write(self, data: bytes) -> int | None: ...

    @property
    def in_waiting(self) -> int: ...

    def close(self) -> None: ...


class LinkClient:
    """Asks and hears. `lines` holds what the controller said by itself and nobody has taken yet."""

    def __init__(
        self, stream: Stream, port: str, clock: Callable[[], float] = time.monotonic
    ) -> None:
        """`clock` in seconds: a controller in virtual time is waited for in its own."""
        self.port = port
        self.clock = clock
        self.lines: deque[Line] = deque(maxlen=20_000)
        self.skipped = 0
        self._stream = stream
        self._rest = b""
        self._answers: dict[int, Line] = {}
        self._number = random.randrange(1, FIRST_NUMBER_MAX)

    def close(self) -> None:
        """Let go of the port."""
        self._stream.close()

    def hello(self, tries: int = TRIES) -> dict[str, Any]:
        """Versions, chip, reset cause and state. Raises `Unanswered`."""
        self._number = random.randrange(1, FIRST_NUMBER_MAX)
        answer: dict[str, Any] = self.ask("hello", tries=tries)[0]
        return answer

    def await_hello(self, within_s: float) -> dict[str, Any]:
        """The first hello of a controller that is starting. Raises `Unanswered`."""
        end_s = self.clock() + within_s
        while True:
            with suppress(Unanswered):
                return self.hello(tries=1)
            if self.clock() > end_s:
                raise self.unanswered()

    def ask(self, verb: str, *words: Any, tries: int = TRIES) -> list[Any]:
        """The words of the answer. Raises `Refused`, and `Unanswered` after `tries` of asking.

        A question that is repeated keeps its number, so that it is done once.
        """
        self._number += 1
        question = line.encode(["q", self._number, verb, *words])
        for attempt in range(tries):
            # what another program left behind on the line ends here
            self._send(b"\n" + question if attempt else question)
            answer = self._answer_to(self._number)
            if answer is not None:
                return _words_of(verb, answer)
        raise self.unanswered()

    def _send(self, data: bytes) -> None:
        try:
            self._stream.write(data)
        except (serial.SerialException, OSError) as error:
            raise self.unanswered() from error

    def _answer_to(self, number: int) -> Line | None:
        end_s = self.clock() + ANSWER_S
        while number not in self._answers and self.clock() < end_s:
            self.hear()
        answer = self._answers.get(number)
        if answer is not None:
            self._answers.clear()
        return answer

    def next_line(self) -> Line | None:
        """The oldest line that nobody has taken; None where nothing came for a moment."""
        if not self.lines:
            self.hear()
        return self.lines.popleft() if self.lines else None

    def drop_samples(self) -> None:
        """Forget the samples that came so far; events stay."""
        kept = [one for one in self.lines if one[0] != "s"]
        self.lines.clear()
        self.lines.extend(kept)

    def hear(self) -> None:
        """Take in what the port has, waiting a moment where it has nothing. Raises `Unanswered`."""
        try:
            data = self._stream.read(max(1, self._stream.in_waiting))
        except (serial.SerialException, OSError) as error:
            raise self.unanswered() from error
        *whole, self._rest = (self._rest + data).split(b"\n")
        self._rest = self._rest[-line.PIECE_MAX :]
        for one in whole:
            self._take(one.strip(b"\r"))

    def _take(self, data: bytes) -> None:
        values: Any = line.decode(data, line.PIECE_MAX)
        if not values:
            self.skipped += bool(data)
        elif values[0] == "a" and len(values) >= 3:
            self._answers[values[1]] = values
        else:
            self.lines.append(values)

    def unanswered(self) -> Unanswered:
        """The error that nobody answers here."""
        return Unanswered(
            Fault(
                sentences.NO_ANSWER,
                self.port,
                expected=sentences.NO_ANSWER_EXPECTED,
                cure=sentences.NO_ANSWER_CURE.format(port=self.port),
            )
        )


def _words_of(verb: str, answer: Line) -> list[Any]:
    if answer[2] == "ok":
        return answer[3:]
    code, text = (*answer[3:], "", "")[:2]
    raise Refused(verb, str(code), str(text))


def check_versions(told: dict[str, Any], port: str) -> None:
    """Raises `VersionMismatch` with both versions and what to do."""
    ours = {"protocol": PROTOCOL, "core": heatcore.VERSION}
    if all(told.get(name) == version for name, version in ours.items()):
        return
    raise VersionMismatch(
        Fault(
            sentences.VERSIONS_DIFFER,
            port,
            found=sentences.VERSIONS.format(
                core=told.get("core", "?"), protocol=told.get("protocol", "?")
            ),
            expected=sentences.VERSIONS.format(**ours),
            cure=sentences.VERSIONS_CURE.format(port=port),
        )
    )


class SerialTarget:
    """Follows `running.target.Target` for a controller at a port."""

    is_real = True

    def __init__(self, client: LinkClient) -> None:
        self._client = client
        self._plan_id = ""
        self._state = "idle"
        self._trip = "none"
        self._why: list[int] = []
        self._said_why = False
        self._lease_s = client.clock()
        self._lease_ms = 0
        self._tripped_ms: int | None = None

    @property
    def trip(self) -> str:
        """The name of the trip that the controller stands in; "" where it stands in none."""
        return self._trip if self._state == "tripped" else ""

    def hello(self) -> dict[str, Any]:
        return self._client.hello()

    def runs_kept(self) -> int:
        return len(self._client.ask("log")[0])

    def put(self, plan: bytes) -> None:
        text, at = plan.decode("ascii"), 0
        while at < len(text):
            piece = text[at : at + PLAN_PIECE]
            self._client.ask("put", at, len(text), piece)
            at += len(piece)

    def ask(self, verb: str, *words: str | int) -> None:
        self._client.ask(verb, *(words or self._named(verb)))
        if verb == "arm":
            self._plan_id = str(words[0])
            # samples of the time before are none of this run's
            self._client.drop_samples()

    def heard(self) -> Line | None:
        """What the controller says by itself with no run on; None where nothing came so far."""
        return self._client.next_line()

    def look(self) -> None:
        """Ask for its state anew: `trip` is then the present."""
        self._renew()

    def _named(self, verb: str) -> tuple[str, ...]:
        """A verb that acts names what it acts on: no chance frame does."""
        if verb == "start":
            return (self._plan_id,)
        if verb == "clear":
            self._renew()
            return (self._trip,)
        return ()

    def lines(self, idle: Callable[[], None] = nothing) -> Iterator[Line]:
        self._renew()
        last_ms = 0
        while not self._is_over(last_ms):
            gone_s, gone_ms = self._client.clock() - self._lease_s, last_ms - self._lease_ms
            if gone_s >= LEASE_S or gone_ms >= LEASE_MS:
                self._renew(last_ms)
            one = self._client.next_line()
            if one is None:
                idle()
            if one and self._is_of_run(one, last_ms):
                last_ms = one[2] if one[0] == "s" else last_ms
                yield one
        yield from self._rest(last_ms)
        yield from self._unsaid()

    def _is_of_run(self, one: Line, last_ms: int) -> bool:
        if one[0] != "s":
            return self._is_event(one)
        if _follows(one, last_ms):
            return self._state != "idle"
        # idle lines carry the uptime; a gap in the run's own lines is told from them here
        self._renew(last_ms)
        return self._state in ("running", "cooling", "tripped") and bool(one[2] > last_ms)

    def _rest(self, last_ms: int) -> Iterator[Line]:
        """What the controller said before it told us that the run is over."""
        for one in tuple(self._client.lines):
            if self._is_event(one) or (one[0] == "s" and _follows(one, last_ms)):
                last_ms = one[2] if one[0] == "s" else last_ms
                yield one

    def _is_event(self, one: Line) -> bool:
        is_event = bool(one[0] == "e")
        self._said_why = self._said_why or (is_event and one[3] in codes.TRIP_NAMES)
        return is_event

    def _unsaid(self) -> Iterator[Line]:
        """Why a controller stands tripped that restarted in the run: nobody heard it say so."""
        code = next((code for code, name in codes.TRIP_NAMES.items() if name == self.trip), 0)
        if code and not self._said_why:
            yield ["e", 0, self._tripped_ms or 0, code, *self._why]

    def _is_over(self, last_ms: int) -> bool:
        if self._state != "tripped":
            self._tripped_ms = None
            return self._state not in HEAT_STATES
        if self._tripped_ms is None:
            self._tripped_ms = last_ms
        return last_ms - self._tripped_ms >= TRIPPED_MS

    def _renew(self, last_ms: int = 0) -> None:
        self._lease_s = self._client.clock()
        self._lease_ms = last_ms
        self._state, self._trip, *self._why = self._client.ask("lease")[:4]

    def close(self) -> None:
        with suppress(HeatwrightError):
            if self._state in ("armed", "running"):
                self._client.ask("stop")
        self._client.close()


def _follows(sample: Line, last_ms: int) -> bool:
    """The next of the run's own samples. Armed lines stand at nought too; in them no fan runs."""
    if sample[2] == last_ms == 0:
        return bool(sample[FAN] == 1)
    return bool(0 < sample[2] - last_ms <= JUMP_MS)


def connect(port: str) -> SerialTarget:
    """The controller at this port. Raises `NoController` where none answers or versions differ."""
    client = LinkClient(open_port(port), port)
    try:
        check_versions(client.await_hello(within_s=3.0), port)
    except BaseException:
        client.close()
        raise
    return SerialTarget(client)

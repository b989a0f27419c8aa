"""Runs a record's readings through the core again: the same commands must come out, bit for bit.

The core is told what it was told then, tick by tick. Once heat has ended, by the core itself or by
somebody else (a stop, the controller's own rules), the core is asked no more, and what must hold
is that nothing heated.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from heatcontroller.states import BY_PLAN
from heatcore import codes, line
from heatcore.command import FIELDS as COMMAND_FIELDS
from heatcore.command import Command
from heatcore.inputs import FIELDS as INPUT_FIELDS
from heatcore.inputs import NONE, Inputs
from heatcore.limits import TICK_MS
from heatcore.loop import ControlLoop
from heatcore.plan import Plan, PlanError
from heatcore.plan import read as read_plan
from heatwright import sentences
from heatwright.errors import BadInput, Fault
from heatwright.records import lines
from heatwright.records.reader import LAST_TRIP, Ints, Record

# The trips from here on are the controller's own: the core did not speak them.
FIRST_OF_CONTROLLER = codes.POWER_LOST
# What a controller may command once heat has ended.
SILENT_FIELDS = ("duty", "relay")


class Event(NamedTuple):
    """One event in the core's integers, as an "e" line has it."""

    now_ms: int
    code: int
    seen: int
    expected: int


@dataclass(frozen=True)
class Answers:
    """What the core answered: one row of `COMMAND_FIELDS` a tick, until heat ended.

    ``ended`` says that it was the core that ended it, in the last of these ticks: the record
    carries the controller's own silence for that tick and for all after it.
    """

    rows: Ints
    events: tuple[Event, ...]
    ended: bool

    @property
    def ticks(self) -> int:
        return len(self.rows)

    @property
    def spoken(self) -> int:
        """The ticks of which the record carries the core's command as it was."""
        return self.ticks - self.ended

    def column(self, name: str) -> Ints:
        found: Ints = self.rows[:, COMMAND_FIELDS.index(name)]
        return found


@dataclass(frozen=True)
class Difference:
    """Where a replay and its record part: when, which field, both values."""

    time_s: float
    field: str
    recorded: str
    replayed: str


@dataclass(frozen=True)
class Replay:
    """What a replay came to; ``silent_ticks`` are those after heat had ended.

    ``missing_ticks`` are ticks that the record lacks: what the core was told then is not known.
    """

    ticks: int
    silent_ticks: int
    missing_ticks: int
    difference: Difference | None
    recorded_sha256: str
    replayed_sha256: str

    @property
    def is_same(self) -> bool:
        return self.difference is None


def plan_of(data: bytes, where: str) -> Plan:
    """The plan in these bytes. Raises `BadInput`."""
    try:
        return read_plan(data)
    except PlanError as error:
        raise BadInput(Fault(sentences.REPLAY_BAD_PLAN, where, str(error))) from error


def answers(record: Record, plan: Plan) -> Answers:
    """What the core commands, told the record's readings with this plan.

    Raises:
        BadInput: the record does not hold every tick, so that the core can't be told the same.
    """
    _refuse_gaps(record)
    loop, inputs = ControlLoop(plan), Inputs()
    last = _last_tick(record)
    told = np.column_stack([record.raw[name] for name in ("now_ms", *INPUT_FIELDS)])
    rows: list[list[int]] = []
    events: list[Event] = []
    progress, ended = _Progress(), False
    for now_ms, *values in told[:last].tolist():
        for name, value in zip(INPUT_FIELDS, values, strict=True):
            setattr(inputs, name, value)
        command = loop.tick(now_ms, inputs)
        rows.append([getattr(command, name) for name in COMMAND_FIELDS])
        events += progress.told(now_ms, command, loop)
        ended = bool(loop.ended or command.trip)
        if ended:
            break
    table = np.array(rows, dtype=np.int64).reshape(-1, len(COMMAND_FIELDS))
    return Answers(table, tuple(events), ended)


def replay(record: Record, plan: Plan) -> Replay:
    """Replay a record on its own plan and hold every command and event against it."""
    found = answers(record, plan)
    return Replay(
        found.spoken,
        len(record.time_s) - found.spoken,
        _missing(record),
        _first_difference(record, found),
        record.trace_sha256,
        _trace(record, found),
    )


def _missing(record: Record) -> int:
    """Ticks between nought and the last sample that no sample stands for; a late one is there."""
    steps = np.diff(record.raw["now_ms"], prepend=-TICK_MS)
    return int((np.round(steps / TICK_MS).clip(min=1) - 1).sum())


def _refuse_gaps(record: Record) -> None:
    """A log of one sample a second, or an imported one, can't be told to the core again."""
    steps = np.diff(record.raw["now_ms"])
    usual_ms = float(np.median(steps)) if steps.size else float(TICK_MS)
    if not usual_ms < 2 * TICK_MS:
        raise BadInput(
            Fault(
                sentences.REPLAY_NOT_EACH_TICK,
                str(record.path),
                f"a sample every {usual_ms / 1000:g} s",
                f"one every {TICK_MS / 1000:g} s",
                sentences.REPLAY_NOT_EACH_TICK_CURE,
            )
        )


def _last_tick(record: Record) -> int:
    """How many samples the core can have had a part in: until somebody else ended heat."""
    table = record.raw_events
    own = (table["code"] >= FIRST_OF_CONTROLLER) & (table["code"] <= LAST_TRIP)
    asked = (table["code"] == codes.EVENT_STOP) & (table["seen"] != BY_PLAN)
    ends = table["seq"][own | asked]
    if not ends.size:
        return len(record.time_s)
    return int((record.raw["seq"] < ends[0]).sum())


class _Progress:
    """The events that the state machine makes of what the core answers."""

    def __init__(self) -> None:
        self._stage = NONE
        self._note = 0

    def told(self, now_ms: int, command: Command, loop: ControlLoop) -> Iterator[Event]:
        if command.stage != self._stage:
            yield Event(now_ms, codes.EVENT_STAGE, command.stage, self._stage)
        if command.note != self._note and command.note == codes.NOTE_NOT_MELTED:
            yield Event(now_ms, codes.EVENT_NOT_MELTED, 0, 0)
        if command.note != self._note and command.note == codes.NOTE_HOST_LOST:
            yield Event(now_ms, codes.EVENT_STOP, BY_PLAN, 0)
        if command.trip:
            yield Event(now_ms, command.trip, loop.trip_seen, loop.trip_expected)
        self._stage, self._note = command.stage, command.note


def _is_of_core(event: Event) -> bool:
    """Whether the core made this event, not a person, the door or the controller."""
    return (
        0 < event.code < FIRST_OF_CONTROLLER
        or event.code == codes.EVENT_STAGE
        or (event.code == codes.EVENT_NOT_MELTED and (event.seen, event.expected) == (0, 0))
        or (event.code == codes.EVENT_STOP and event.seen == BY_PLAN)
    )


def _events(record: Record) -> list[Event]:
    table = record.raw_events
    return [Event(*row) for row in np.column_stack([table[n] for n in Event._fields]).tolist()]


def _first_difference(record: Record, found: Answers) -> Difference | None:
    # of two at the same time the event says more
    both = (_event_difference(record, found), _command_difference(record, found))
    return min((one for one in both if one), key=lambda one: one.time_s, default=None)


def _command_difference(record: Record, found: Answers) -> Difference | None:
    recorded = np.column_stack([record.raw[name] for name in COMMAND_FIELDS])
    expected = recorded.copy()
    expected[: found.spoken] = found.rows[: found.spoken]
    for name in SILENT_FIELDS:
        expected[found.spoken :, COMMAND_FIELDS.index(name)] = 0
    if found.ended:
        expected[found.spoken, COMMAND_FIELDS.index("trip")] = found.column("trip")[-1]
    at = np.argwhere(expected != recorded)
    if not at.size:
        return None
    row, field = at[0].tolist()
    name, values = COMMAND_FIELDS[field], (recorded[row, field], expected[row, field])
    return Difference(float(record.time_s[row]), name, *(_said(name, int(v)) for v in values))


def _event_difference(record: Record, found: Answers) -> Difference | None:
    recorded = [event for event in _events(record) if _is_of_core(event)]
    count = max(len(recorded), len(found.events))
    for number in range(count):
        then = recorded[number] if number < len(recorded) else None
        now = found.events[number] if number < len(found.events) else None
        if then != now:
            at_ms = min(event.now_ms for event in (then, now) if event)
            return Difference(at_ms / 1000, "event", _event_said(then), _event_said(now))
    return None


def _event_said(event: Event | None) -> str:
    if event is None:
        return "none"
    name = codes.TRIP_NAMES.get(event.code) or codes.EVENT_NAMES.get(event.code, str(event.code))
    return f"{name} {event.seen} {event.expected} at {event.now_ms / 1000:g} s"


def _said(name: str, value: int) -> str:
    """A command's value; codes by their names."""
    if name == "stage" and 0 <= value < len(codes.STAGES):
        return codes.STAGES[value]
    names = {"trip": codes.TRIP_NAMES, "note": codes.NOTE_NAMES}.get(name, {})
    return names.get(value, "none" if value == NONE else str(value))


def _trace(record: Record, found: Answers) -> str:
    """The hash of the record's trace with the replayed commands and events put in."""
    told = ("seq", "now_ms", *INPUT_FIELDS)
    recorded = np.column_stack([record.raw[name] for name in (*told, *COMMAND_FIELDS)])
    recorded[: found.spoken, len(told) :] = found.rows[: found.spoken]
    anew = iter(found.events)
    events = [next(anew, e) if _is_of_core(e) else e for e in _events(record)]
    rows = [(row[0], [lines.SAMPLE, *row]) for row in recorded.tolist()]
    seqs = record.raw_events["seq"].tolist()
    rows += [(seq, [lines.EVENT, seq, *e]) for seq, e in zip(seqs, events, strict=True)]
    trace = lines.Trace()
    for _, values in sorted(rows, key=lambda row: row[0]):
        trace.add(line.encode(values))
    return trace.hexdigest()

"""What is tried on a controller in its HIL boot. Each case ends in idle, as it began."""

from __future__ import annotations

from collections.abc import Callable

from heatcore import inputs
from heatcore.plan import read as read_plan
from heatwright import sentences
from heatwright.commissioning.hil_rig import HilRig
from heatwright.commissioning.warm_plan import warm_plan
from heatwright.running.link_client import SerialTarget
from heatwright.running.target import Refused

ROOM_MC = 25_000
# The countdown is 5 s, four ticks a second.
COUNTDOWN_TICKS = 40
# Two seconds of patience, and a margin.
TRIP_TICKS = 16
HOT_MC = 200_000

Case = Callable[[HilRig], None]


class CaseFailed(Exception):
    """What was seen, and what should have been."""


def expect(holds: bool, seen: str) -> None:
    """Raises `CaseFailed` unless it holds."""
    if not holds:
        raise CaseFailed(seen)


def case_reading_arrives(rig: HilRig) -> None:
    rig.sensor_mc = ROOM_MC + 1250
    for _ in range(3):
        rig.tick()
    seen = rig.last["sensor_mc"]
    rig.sensor_mc = ROOM_MC
    expect(seen == ROOM_MC + 1250, sentences.HIL_READING.format(told=ROOM_MC + 1250, seen=seen))


def case_unknown_plan_is_refused(rig: HilRig) -> None:
    try:
        rig.client.ask("arm", "00000000")
    except Refused as refused:
        expect(refused.code == "no_plan", refused.code)
    else:
        raise CaseFailed(sentences.HIL_ARMED_NO_PLAN)


def case_open_sensor_is_not_armed(rig: HilRig) -> None:
    rig.status = inputs.OPEN
    for _ in range(4):
        rig.tick()
    plan_id = _put(rig)
    try:
        rig.client.ask("arm", plan_id)
    except Refused as refused:
        expect(refused.code == "no_reading", refused.code)
    else:
        raise CaseFailed(sentences.HIL_ARMED_BLIND)
    finally:
        rig.status = inputs.OK
        rig.reach("idle", 4)


def case_runs_and_stops(rig: HilRig) -> None:
    _start(rig)
    rig.tick()
    expect(rig.last["duty"] > 0, sentences.HIL_NO_DUTY)
    rig.client.ask("stop")
    rig.tick()
    rig.tick()
    duty, relay = rig.last["duty"], rig.last["relay"]
    expect(duty == 0 and relay == 0, sentences.HIL_STILL_ON.format(duty=duty, relay=relay))
    is_idle = rig.reach("idle", TRIP_TICKS)
    expect(is_idle, sentences.HIL_AFTER_STOP.format(state=rig.state()))


def case_open_sensor_trips(rig: HilRig) -> None:
    _start(rig)
    rig.status = inputs.OPEN
    _expect_trip(rig, "sensor_open")


def case_overheating_trips(rig: HilRig) -> None:
    _start(rig)
    rig.sensor_mc = HOT_MC
    expect(
        rig.reach("tripped", TRIP_TICKS), sentences.HIL_AT.format(value=HOT_MC, state=rig.state())
    )
    _clear(rig)


def _put(rig: HilRig) -> str:
    data = warm_plan(ROOM_MC / 1000)
    SerialTarget(rig.client).put(data)
    return read_plan(data).id


def _start(rig: HilRig) -> None:
    rig.tick()
    plan_id = _put(rig)
    rig.tick()
    rig.client.ask("arm", plan_id)
    rig.client.ask("start", plan_id)
    expect(
        rig.reach("running", COUNTDOWN_TICKS),
        sentences.HIL_AFTER_COUNTDOWN.format(state=rig.state()),
    )


def _expect_trip(rig: HilRig, name: str) -> None:
    expect(rig.reach("tripped", TRIP_TICKS), sentences.HIL_NO_TRIP.format(state=rig.state()))
    seen = rig.trip()
    _clear(rig)
    expect(seen == name, sentences.HIL_OTHER_TRIP.format(seen=seen, name=name))


def _clear(rig: HilRig) -> None:
    """Cold again, and a press at the controller: back to idle."""
    rig.status, rig.sensor_mc = inputs.OK, ROOM_MC
    for _ in range(4):
        rig.tick()
    rig.presses += 1
    expect(rig.reach("idle", 4), sentences.HIL_NOT_CLEARED.format(state=rig.state()))


_CASES: dict[str, Case] = {
    "reading": case_reading_arrives,
    "unknown_plan": case_unknown_plan_is_refused,
    "open_not_armed": case_open_sensor_is_not_armed,
    "starts_and_stops": case_runs_and_stops,
    "open_trips": case_open_sensor_trips,
    "hot_trips": case_overheating_trips,
}
# By what each shows, in words.
CASES = {sentences.HIL_CASES[key]: case for key, case in _CASES.items()}

"""What is tried on a controller in its HIL boot. Each case ends in idle, as it began."""

from __future__ import annotations

from collections.abc import Callable

from heatcore import inputs
from heatcore.plan import read as read_plan
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
    expect(seen == ROOM_MC + 1250, f"told {ROOM_MC + 1250} mC, reported {seen}")


def case_unknown_plan_is_refused(rig: HilRig) -> None:
    try:
        rig.client.ask("arm", "00000000")
    except Refused as refused:
        expect(refused.code == "no_plan", refused.code)
    else:
        raise CaseFailed("armed a plan that it does not have")


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
        raise CaseFailed("armed without a reading")
    finally:
        rig.status = inputs.OK
        rig.reach("idle", 4)


def case_runs_and_stops(rig: HilRig) -> None:
    _start(rig)
    rig.tick()
    expect(rig.last["duty"] > 0, "running without a duty")
    rig.client.ask("stop")
    rig.tick()
    rig.tick()
    expect(rig.last["duty"] == 0 and rig.last["relay"] == 0, f"after stop: duty {rig.last['duty']}")
    expect(rig.reach("idle", TRIP_TICKS), f"after stop: {rig.state()}")


def case_open_sensor_trips(rig: HilRig) -> None:
    _start(rig)
    rig.status = inputs.OPEN
    _expect_trip(rig, "sensor_open")


def case_overheating_trips(rig: HilRig) -> None:
    _start(rig)
    rig.sensor_mc = HOT_MC
    expect(rig.reach("tripped", TRIP_TICKS), f"at {HOT_MC} mC: {rig.state()}")
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
    expect(rig.reach("running", COUNTDOWN_TICKS), f"after the countdown: {rig.state()}")


def _expect_trip(rig: HilRig, name: str) -> None:
    expect(rig.reach("tripped", TRIP_TICKS), f"no trip: {rig.state()}")
    seen = rig.trip()
    _clear(rig)
    expect(seen == name, f"tripped for {seen}, expected {name}")


def _clear(rig: HilRig) -> None:
    """Cold again, and a press at the controller: back to idle."""
    rig.status, rig.sensor_mc = inputs.OK, ROOM_MC
    for _ in range(4):
        rig.tick()
    rig.presses += 1
    expect(rig.reach("idle", 4), f"not cleared: {rig.state()}")


CASES: dict[str, Case] = {
    "the injected reading arrives": case_reading_arrives,
    "a plan that it does not have is refused": case_unknown_plan_is_refused,
    "an open sensor can't be armed": case_open_sensor_is_not_armed,
    "a run starts after its countdown and stops": case_runs_and_stops,
    "an open sensor trips": case_open_sensor_trips,
    "overheating trips": case_overheating_trips,
}

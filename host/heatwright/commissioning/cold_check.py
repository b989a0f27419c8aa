"""Commissioning, step by step: the mains stays off until all that can be known cold is known."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from heatcore.codes import TRIP_NAMES
from heatcore.plan import read as read_plan
from heatwright import sentences
from heatwright.commissioning.mpremote import Mpremote
from heatwright.commissioning.person import Person
from heatwright.commissioning.readings import Sample, samples, sensor_c, value, watch
from heatwright.commissioning.restart import await_controller, restarted
from heatwright.commissioning.warm_plan import HEAT_S, warm_plan
from heatwright.errors import EXIT_STOPPED, EXIT_VERDICT, HeatwrightError
from heatwright.records.lines import SAMPLE_FIELDS
from heatwright.running.link_client import LinkClient, SerialTarget
from heatwright.running.target import Refused

Tell = Callable[[str], None]

# A workshop in which somebody works.
ROOM_C = (5.0, 40.0)
# Bead and converter in one room: the converter's own tolerance and the bead's, and some draught.
JUNCTION_APART_K = 8.0
# What fingers do to a bead within seconds; a sound reading moves less by itself.
BY_HAND_K = 2.0
HAND_S = 40.0
# Water boils at 100 C by the sea and at 95 C on a hill of 1500 m; the converter is good to 1 K and
# more. Wire of another type reads 10 K beside it and further.
BOILING_C = (95.0, 101.0)
BOIL_S = 120.0
STEADY_S = 3.0
ACT_S = 40.0
TOGGLE_MS = 1500
# What a tenth of the power does within two minutes, with two steps of the converter between.
WARMS_K = 1.0
AFTER_S = 150.0


class CheckFailed(HeatwrightError):
    """A step failed: what was seen, and what to do about it."""

    exit_code = EXIT_VERDICT

    def __init__(self, step: str, seen: str, advice: str) -> None:
        self.step = step
        super().__init__(sentences.STEP_FAILED.format(step=step, seen=seen, advice=advice))


class CheckLeft(HeatwrightError):
    """The person did not want to go on."""

    exit_code = EXIT_STOPPED


@dataclass
class Bench:
    """One controller, one person, and what has been found so far."""

    client: LinkClient
    person: Person
    tell: Tell
    start: Sample = field(default_factory=dict)

    @property
    def port(self) -> str:
        return self.client.port

    def passed(self, text: str, **values: object) -> None:
        self.tell(sentences.STEP_PASSED.format(text=text.format(**values)))


def cold_check(client: LinkClient, person: Person, tell: Tell) -> None:
    """All steps in their order. Raises `CheckFailed` at the first that fails, `CheckLeft`."""
    bench = Bench(client, person, tell)
    try:
        if not person.agree("cautions", sentences.COLD_CAUTIONS):
            raise CheckLeft(sentences.CHECK_LEFT)
        for step in STEPS:
            step(bench)
        tell(sentences.CHECK_DONE)
    finally:
        bench.client.close()


def check_idle(bench: Bench) -> None:
    """The controller is at rest, and may heat at all."""
    told = bench.client.hello()
    if told["state"] != "idle":
        raise CheckFailed("state", told["state"], sentences.NOT_IDLE_ADVICE)
    if bench.client.ask("config", "outputs")[0] == "none":
        raise CheckFailed("outputs", "none", sentences.NO_OUTPUTS_ADVICE.format(port=bench.port))


def check_sensor(bench: Bench) -> None:
    """A sound reading of a room, and a cold junction that agrees with it."""
    bench.start = samples(bench.client, 2.0)[-1]
    status, found_c = bench.start["sensor_status"], sensor_c(bench.start)
    if found_c is None:
        name = TRIP_NAMES[status]
        raise CheckFailed("sensor", name, sentences.SENSOR_ADVICE.get(name, sentences.SENSOR_ELSE))
    if not ROOM_C[0] <= found_c <= ROOM_C[1]:
        raise CheckFailed("sensor", f"{found_c:.1f} °C", sentences.NOT_A_ROOM_ADVICE)
    _check_junction(bench.start, found_c)
    bench.passed(sentences.SENSOR_OK, found_c=found_c)


def _check_junction(sample: Sample, found_c: float) -> None:
    junction_mc = value(sample, "cold_junction_mc")
    if junction_mc is None:
        return
    junction_c = junction_mc / 1000
    if abs(junction_c - found_c) > JUNCTION_APART_K:
        seen = sentences.JUNCTION_SEEN.format(junction_c=junction_c, found_c=found_c)
        raise CheckFailed("cold junction", seen, sentences.JUNCTION_ADVICE)


def check_bead(bench: Bench) -> None:
    """By hand and in boiling water, in the boot that never heats: in any other one a bead that
    gets warmer by itself is a welded output.
    """
    _enter_service(bench)
    try:
        _check_by_hand(bench)
        _check_boiling(bench)
    finally:
        _leave_service(bench)


def _check_by_hand(bench: Bench) -> None:
    """Fingers warm the bead: the reading must rise, not fall."""
    before_c = sensor_c(bench.start) or 0.0
    bench.person.please("warm_bead", sentences.WARM_BEAD)
    now_c = [before_c]

    def moved(sample: Sample) -> bool:
        now_c[0] = sensor_c(sample) or now_c[0]
        return abs(now_c[0] - before_c) >= BY_HAND_K

    if not watch(bench.client, HAND_S, moved):
        seen = sentences.HAND_SEEN.format(change_k=now_c[0] - before_c)
        raise CheckFailed("warming by hand", seen, sentences.HAND_ADVICE)
    if now_c[0] < before_c:
        seen = sentences.HAND_SEEN.format(change_k=now_c[0] - before_c)
        raise CheckFailed("warming by hand", seen, sentences.REVERSED_ADVICE)
    bench.passed(sentences.HAND_OK, change_k=now_c[0] - before_c)


def _check_boiling(bench: Bench) -> None:
    """Boiling water: the one temperature that every kitchen has; left out where there is none."""
    if not bench.person.agree("boiling_water", sentences.BOILING):
        bench.passed(sentences.NOT_BOILED)
        return

    def boils(sample: Sample) -> bool:
        return (sensor_c(sample) or 0.0) >= BOILING_C[0]

    watch(bench.client, BOIL_S, boils)
    found_c = sensor_c(samples(bench.client, STEADY_S)[-1])
    if found_c is None or not BOILING_C[0] <= found_c <= BOILING_C[1]:
        seen = sentences.NOT_SEEN if found_c is None else f"{found_c:.1f} °C"
        raise CheckFailed("boiling water", seen, sentences.BOILING_ADVICE)
    bench.passed(sentences.BOILING_OK, found_c=found_c)


def check_stop(bench: Bench) -> None:
    """The stop button opens its circuit and closes it again."""
    if bench.start["stop"]:
        raise CheckFailed("stop button", sentences.STOP_STUCK, sentences.STOP_STUCK_ADVICE)
    bench.person.please("press_stop", sentences.PRESS_STOP)
    if not watch(bench.client, ACT_S, lambda sample: bool(sample["stop"])):
        raise CheckFailed("stop button", sentences.NOT_SEEN, sentences.STOP_ADVICE)
    if not watch(bench.client, ACT_S, lambda sample: not sample["stop"]):
        raise CheckFailed("stop button", sentences.STOP_STUCK, sentences.STOP_STUCK_ADVICE)
    bench.passed(sentences.STOP_OK)


def check_start_button(bench: Bench) -> None:
    """The start button counts, where one is wired."""
    _check_change(bench, "press", "press_start", "start button")


def check_door(bench: Bench) -> None:
    """The door switch follows the door, where one is wired."""
    _check_change(bench, "door", "move_door", "door switch")


def _check_change(bench: Bench, name: str, key: str, step: str) -> None:
    before = value(bench.start, name)
    if before is None:
        bench.passed(sentences.NOT_FITTED, what=step)
        return
    bench.person.please(key, sentences.PLEASE[key])
    if not watch(bench.client, ACT_S, lambda sample: sample[name] != before):
        raise CheckFailed(step, sentences.NOT_SEEN, sentences.CONTACT_ADVICE)
    bench.passed(sentences.SEEN, what=step)


def check_reset(bench: Bench) -> None:
    """A meter on both outputs while the controller restarts twice, the mains off."""
    bench.person.please("watch_meter", sentences.WATCH_METER)
    _enter_service(bench)
    _leave_service(bench)
    if not bench.person.agree("meter", sentences.METER_LOW):
        raise CheckFailed("outputs during reset", sentences.NOT_LOW, sentences.METER_ADVICE)
    bench.passed(sentences.METER_OK)


def _enter_service(bench: Bench) -> None:
    bench.client.ask("service", "service")
    bench.client = restarted(bench.client, "service")


def _leave_service(bench: Bench) -> None:
    bench.client.close()
    Mpremote(bench.port).reset()
    bench.client = await_controller(bench.port, "idle")


def check_outputs(bench: Bench) -> None:
    """Safety relay and SSR, one at a time and never both, from the service boot."""
    _enter_service(bench)
    bench.client.close()
    try:
        for name in ("relay", "ssr"):
            _toggle(bench, name)
    finally:
        _leave_service(bench)


def _toggle(bench: Bench, name: str) -> None:
    bench.person.please(f"watch_{name}", sentences.WATCH_OUTPUT[name])
    refused = Mpremote(bench.port).evaluate(TRY_OUTPUT.format(name=name, hold_ms=TOGGLE_MS))[-1]
    if refused:
        raise CheckFailed(name, refused, sentences.NO_RELAY_ADVICE)
    if not bench.person.agree(name, sentences.OUTPUT_SEEN[name]):
        raise CheckFailed(name, sentences.NOT_SEEN, sentences.OUTPUT_ADVICE[name])
    bench.passed(sentences.OUTPUT_OK, what=name)


TRY_OUTPUT = """
import json, sys
if '/' not in sys.path:
    sys.path.append('/')
from heatcontroller import wiring
print(json.dumps(wiring.try_output("{name}", {hold_ms})))
"""


def check_heat(bench: Bench) -> None:
    """The first heat: a tenth of the power under all interlocks must warm this very sensor."""
    if not bench.person.agree("ready_for_mains", sentences.READY_FOR_MAINS):
        raise CheckLeft(sentences.CHECK_LEFT)
    before_c = sensor_c(samples(bench.client, 1.0)[-1])
    if before_c is None:
        raise CheckFailed("first heat", sentences.NOT_SEEN, sentences.SENSOR_ELSE)
    highest_c = _first_heat(bench, before_c)
    if highest_c - before_c < WARMS_K:
        seen = sentences.HAND_SEEN.format(change_k=highest_c - before_c)
        raise CheckFailed("first heat", seen, sentences.NO_HEAT_ADVICE)
    bench.passed(sentences.HEAT_OK, change_k=highest_c - before_c)


def _first_heat(bench: Bench, before_c: float) -> float:
    """The highest reading of the run and of the minutes after it, as far as it matters."""
    highest_c = [before_c]

    def see(sample: Sample) -> bool:
        highest_c[0] = max(highest_c[0], sensor_c(sample) or highest_c[0])
        return highest_c[0] - before_c >= WARMS_K

    target = SerialTarget(bench.client)
    _begin(target, warm_plan(before_c))
    bench.tell(sentences.HEATING.format(seconds=HEAT_S))
    for line in target.lines():
        if line[0] == "s":
            see(dict(zip(SAMPLE_FIELDS, line[1:], strict=False)))
    if target.trip:
        raise CheckFailed("first heat", target.trip, sentences.TRIPPED_ADVICE)
    if highest_c[0] - before_c < WARMS_K:
        watch(bench.client, AFTER_S, see)
    return highest_c[0]


def _begin(target: SerialTarget, plan: bytes) -> None:
    try:
        target.put(plan)
        target.ask("arm", read_plan(plan).id)
        target.ask("start")
    except Refused as refused:
        raise CheckFailed("first heat", refused.text, sentences.REFUSED_ADVICE) from refused


STEPS = (
    check_idle,
    check_reset,
    check_sensor,
    check_bead,
    check_stop,
    check_start_button,
    check_door,
    check_outputs,
    check_heat,
)

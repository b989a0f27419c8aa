# The controller's own log of a run: one sample a second, with the events since the last.

from heatcore import line

from .states import IDLE, ON_THE_CLOCK, RUNNING, TRIPPED

# More events than this between two samples is a storm, and not worth the memory.
EVENTS_MAX = 16
AT_AN_END = (IDLE, TRIPPED)


class Recorder:
    def __init__(self, store, head: dict) -> None:
        self._store = store
        self._head = head
        self._events = []
        self._second = -1

    def event(self, told: bytes) -> None:
        if len(self._events) < EVENTS_MAX:
            self._events.append(told)

    def tick(self, machine, was: int, told: bytes) -> None:
        # Straight after the tick: a flash erase stalls the chip, and the next tick is far.
        state = machine.state
        if state == RUNNING and was != RUNNING:
            self._begin(machine)
        if state in AT_AN_END:
            if was in ON_THE_CLOCK:
                self._write(told)
                self._store.end_run()
            self._events.clear()
        elif state in ON_THE_CLOCK and machine.run_ms // 1000 != self._second:
            self._second = machine.run_ms // 1000
            self._write(told)

    def _write(self, told: bytes) -> None:
        self._store.log(b"".join(self._events) + told)
        self._events.clear()

    def _begin(self, machine) -> None:
        self._second = -1
        self._store.begin_run()
        told = [("plan_id", machine.plan_id), ("plan", machine.plan_name)]
        told += [(key, self._head[key]) for key in ("firmware", "core", "chip")]
        # One write: five would hold up the run's second tick.
        self._store.log(b"".join([line.encode(["h", 1, {key: value}]) for key, value in told]))

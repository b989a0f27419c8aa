# What a host may ask. Each verb gives a list (done, with these answers) or (code, text): refused.
# A verb that acts names what it acts on, so that no chance frame hits it: arm and start the plan's
# id, clear the trip's name.

from heatcore import codes

from .states import ARMED, COUNTDOWN_MS, IDLE, RUNNING, SERVICE, STATES, TRIPPED
from .store import good_id

# Of a longer story; hello is one line.
TROUBLE_MAX = 30
BAD = ("bad_arguments", "see the link's table of verbs")
STARTED = (ARMED, RUNNING)
# Those of kept_verbs.py.
KEPT = ("plans", "put", "remove", "log")
BUSY = ("busy", "not while a plan is armed or running")


class Verbs:
    def __init__(self, machine, store, hello: dict, sense) -> None:
        self._machine = machine
        self.store = store
        self._hello = hello
        self._sense = sense
        # Of a plan on its way in.
        self.have = 0
        self.next_boot = ""
        self._table = {
            "hello": self._say_hello,
            "config": self._config,
            "arm": self._arm,
            "start": self._start,
            "stop": self._stop,
            "mark": self._mark,
            "unmark": self._unmark,
            "clear": self._clear,
            "lease": self._lease,
            "service": self._service,
        }
        if sense is not None:
            self._table["sense"] = self._take_sense

    def do(self, now_ms: int, verb: str, words: list) -> list | tuple:
        act = self._table.get(verb)
        if act is None and verb not in KEPT:
            return ("no_verb", "no such verb")
        try:
            return self._keep(verb, words) if act is None else act(now_ms, words)
        except MemoryError:
            return ("no_memory", "not enough memory for this: restart the controller")

    def _keep(self, verb: str, words: list) -> list | tuple:
        if self._machine.state in STARTED:
            return BUSY
        from . import kept_verbs

        return kept_verbs.TABLE[verb](self, words)

    def _say_hello(self, now_ms: int, words: list) -> list | tuple:
        answer = self._hello.copy()
        answer["state"] = STATES[self._machine.state]
        answer["trouble"] = self._trouble()[:TROUBLE_MAX]
        return [answer]

    def _trouble(self) -> str:
        faults = self._machine.config.faults
        return faults[0] if faults else self.store.trouble

    # --- the configuration ---

    def _config(self, now_ms: int, words: list) -> list | tuple:
        config = self._machine.config
        if not words:
            return [list(config.keys)]
        if not _all(words, str, 1) or config.value(words[0]) is None:
            return ("no_key", "no such key")
        if len(words) == 1:
            return [config.value(words[0])]
        return self._set_config(config, words)

    def _set_config(self, config, words: list) -> list | tuple:
        if self._machine.state not in (IDLE, SERVICE):
            return ("not_idle", "the configuration changes in idle only")
        if len(words) != 2:
            return BAD
        new = config.changed(words[0], words[1])
        if new.faults:
            return ("bad_config", new.faults[0])
        if not self.store.keep_config(new):
            return ("not_kept", "the file system took no configuration")
        self.next_boot = "idle"
        return []

    # --- what acts ---

    def _arm(self, now_ms: int, words: list) -> list | tuple:
        if len(words) != 1 or not good_id(words[0]):
            return BAD
        refused = self._machine.arm(now_ms, words[0])
        return refused or [self._machine.plan_name, COUNTDOWN_MS]

    def _start(self, now_ms: int, words: list) -> list | tuple:
        if len(words) != 1 or not good_id(words[0]):
            return BAD
        if self._machine.state in STARTED and words[0] != self._machine.plan_id:
            return ("other_plan", "another plan is armed or running")
        return self._machine.start(now_ms) or [COUNTDOWN_MS]

    def _stop(self, now_ms: int, words: list) -> list | tuple:
        self._machine.stop(now_ms)
        return [STATES[self._machine.state]]

    def _mark(self, now_ms: int, words: list) -> list | tuple:
        if words not in ([], ["melted"], ["not_melted"]):
            return BAD
        return self._machine.mark(now_ms, words != ["not_melted"]) or []

    def _unmark(self, now_ms: int, words: list) -> list | tuple:
        return self._machine.unmark(now_ms) or []

    def _clear(self, now_ms: int, words: list) -> list | tuple:
        if words != [codes.TRIP_NAMES.get(self._machine.trip)]:
            return ("other_trip", "name the trip that is to be cleared")
        return self._machine.clear(now_ms) or []

    def _lease(self, now_ms: int, words: list) -> list | tuple:
        machine = self._machine
        machine.lease(now_ms)
        trip = codes.TRIP_NAMES.get(machine.trip, "unknown")
        seen, expected = machine.trip_seen, machine.trip_expected
        times = [machine.countdown_ms, machine.run_ms]
        return [STATES[machine.state], trip, seen, expected] + times + [machine.plan_id]

    def _service(self, now_ms: int, words: list) -> list | tuple:
        if words not in ([], ["service"], ["hil"]):
            return BAD
        if self._machine.state not in (IDLE, TRIPPED, SERVICE):
            return ("not_idle", "the controller is " + STATES[self._machine.state])
        self.next_boot = words[0] if words else "service"
        if not self.store.ask_next_boot(self.next_boot):
            self.next_boot = ""
            return ("not_kept", "the file system took no note for the next start")
        return []

    def _take_sense(self, now_ms: int, words: list) -> list | tuple:
        if not words or not _all(words, int, len(words)):
            return BAD
        self._sense(words)
        return []


def _all(words: list, kind: type, count: int) -> bool:
    return all([type(word) is kind for word in words[:count]])

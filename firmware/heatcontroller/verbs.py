# What a host may ask. Each verb gives a list (done, with these answers) or (code, text): refused.
# A verb that acts names what it acts on, so that no chance frame hits it: arm and start the plan's
# id, clear the trip's name.

from heatcore import codes
from heatcore.plan import BYTES_MAX

from . import on_demand
from .states import ARMED, COUNTDOWN_MS, IDLE, RUNNING, SERVICE, STATES, TRIPPED
from .store import good_id

# With quotes escaped, and its frame, this stays within one line.
LOG_PIECE = 100
# Of a longer story; hello is one line.
TROUBLE_MAX = 30
BAD = ("bad_arguments", "see the link's table of verbs")
NOT_KEPT = ("not_kept", "the file system took no plan")
STARTED = (ARMED, RUNNING)
BUSY = ("busy", "not while a plan is armed or running")


class Verbs:
    def __init__(self, machine, store, hello: dict, sense) -> None:
        self._machine = machine
        self._store = store
        self._hello = hello
        self._sense = sense
        # Of a plan on its way in.
        self._have = 0
        self.next_boot = ""
        self._table = {
            "hello": self._say_hello,
            "config": self._config,
            "plans": self._plans,
            "put": self._put,
            "remove": self._remove,
            "arm": self._arm,
            "start": self._start,
            "stop": self._stop,
            "mark": self._mark,
            "unmark": self._unmark,
            "clear": self._clear,
            "lease": self._lease,
            "log": self._log,
            "service": self._service,
        }
        if sense is not None:
            self._table["sense"] = self._take_sense

    def do(self, now_ms: int, verb: str, words: list) -> list | tuple:
        act = self._table.get(verb)
        if act is None:
            return ("no_verb", "no such verb")
        try:
            return act(now_ms, words)
        except MemoryError:
            return ("no_memory", "not enough memory for this: restart the controller")

    def _say_hello(self, now_ms: int, words: list) -> list | tuple:
        answer = self._hello.copy()
        answer["state"] = STATES[self._machine.state]
        answer["trouble"] = self._trouble()[:TROUBLE_MAX]
        return [answer]

    def _trouble(self) -> str:
        faults = self._machine.config.faults
        return faults[0] if faults else self._store.trouble

    # --- what is kept here ---

    def _is_hot(self) -> bool:
        return self._machine.state in (ARMED, RUNNING)

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
        if not self._store.keep_config(new):
            return ("not_kept", "the file system took no configuration")
        self.next_boot = "idle"
        return []

    def _plans(self, now_ms: int, words: list) -> list | tuple:
        if self._is_hot():
            return BUSY
        index = words[0] if words else 0
        ids = self._store.plans()
        if type(index) is not int or index < 0:
            return BAD
        if index >= len(ids):
            return [len(ids)]
        data = self._store.plan(ids[index]) or b""
        return [len(ids), ids[index], _name(data), len(data)]

    def _put(self, now_ms: int, words: list) -> list | tuple:
        if self._is_hot():
            return BUSY
        if len(words) != 3 or not _all(words, int, 2) or type(words[2]) is not str:
            return BAD
        offset, total, piece = words[0], words[1], words[2].encode()
        if not 0 <= offset < total <= BYTES_MAX or not 0 < len(piece) <= total - offset:
            return ("bad_size", "a plan has at most {} bytes".format(BYTES_MAX))
        if offset not in (0, self._have):
            return ("gap", "send the piece at {}".format(self._have))
        if not self._store.take_piece(offset, piece):
            return NOT_KEPT
        self._have = offset + len(piece)
        return [self._have] if self._have < total else self._keep_plan(total)

    def _keep_plan(self, total: int) -> list | tuple:
        self._have = 0
        found, trouble = on_demand.read_plan(self._store.incoming())
        if found is None:
            return ("bad_plan", trouble[:120])
        if not self._store.keep_incoming(found.id):
            return NOT_KEPT
        return [total, found.id]

    def _remove(self, now_ms: int, words: list) -> list | tuple:
        if self._is_hot():
            return BUSY
        if len(words) != 1 or not good_id(words[0]):
            return BAD
        if not self._store.remove_plan(words[0]):
            return ("no_plan", "no such plan is kept here")
        return []

    def _log(self, now_ms: int, words: list) -> list | tuple:
        if self._is_hot():
            return BUSY
        if not words:
            return [self._store.runs()]
        if len(words) != 2 or not _all(words, int, 2) or words[0] < 1 or words[1] < 0:
            return BAD
        piece = self._store.read_run(words[0], words[1], LOG_PIECE)
        if piece is None:
            return ("no_run", "no such run is kept here")
        return [words[1] + len(piece), _printable(piece)]

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
        if not self._store.ask_next_boot(self.next_boot):
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


def _name(data: bytes) -> str:
    found, _ = on_demand.read_plan(data)
    return "damaged" if found is None else found.name


def _printable(piece: bytes) -> str:
    # A worn flash may hold anything; a log holds plain text.
    return "".join([chr(byte) if 10 <= byte < 127 else "?" for byte in piece])

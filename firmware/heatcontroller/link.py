# The link to the host: numbered frames with a CRC, each done once.
#
#   port     .read(buffer) -> count; .write(view) -> count taken; neither ever waits
#   hello    dict: firmware, core, protocol, chip, reset, hard_timer
#   sense    only in the HIL boot: sense(values) takes the injected readings
#
# FRAMES ["q",n,verb,...] -> ["a",n,"ok",...] | ["a",n,"no",code,text]. n rises, except that hello
# may start anywhere. The same n again brings the same answer again, and nothing is done twice.
#   hello                       ok {firmware,core,protocol,chip,reset,hard_timer,state,trouble}
#   config                      ok [key,...];   config KEY: ok value;   config KEY VALUE: ok
#   plans [INDEX]               ok count [id name bytes]
#   put OFFSET TOTAL PIECE      ok next_offset [id]   (text of the plan's file; line <= 512 bytes)
#   remove ID   arm ID   start ID   stop   unmark   mark ["melted"|"not_melted"]        ok
#   lease                       ok state trip seen expected countdown_ms run_ms plan_id
#   clear TRIP                  ok     (the name of the trip that is cleared)
#   log                         ok [[run,bytes],...];   log RUN OFFSET: ok next_offset text
#   service ["service"|"hil"]   ok, then a reset into that boot
#   sense VALUES                HIL boot only

from heatcore import line
from heatcore.command import FIELDS as COMMAND_FIELDS
from heatcore.inputs import FIELDS as INPUT_FIELDS

from .frames import Receiver, Sender
from .verbs import Verbs

OLD = ("old", "a later question was answered already")
NUMBER_MAX = (1 << 29) - 1


class Link:
    def __init__(self, machine, store, port, hello: dict, sense=None) -> None:
        self.verbs = Verbs(machine, store, hello, sense)
        self._receiver = Receiver(port)
        self._sender = Sender(port)
        self._seq = 0
        self._number = 0
        self._kept = b""  # the answer to self._number, for those who ask again
        self._answer = b""
        self._owed = False
        self.skipped = 0
        self.dropped = 0
        self._sample: list = [0] * (3 + len(INPUT_FIELDS) + len(COMMAND_FIELDS))
        self._event: list = ["e", 0, 0, 0, 0, 0]

    @property
    def stop_seen(self) -> bool:
        return self._receiver.stop_seen

    @property
    def next_boot(self) -> str:
        # Asked for, and the answer is out.
        return "" if self._owed or self._sender.is_busy() else self.verbs.next_boot

    def serve(self, now_ms: int) -> None:
        data = self._receiver.next_line()
        if data is not None:
            self._take(now_ms, data)
        self._owed = self._owed and not self._sender.queue(self._answer)
        self._sender.drain()

    def _take(self, now_ms: int, data: bytes) -> None:
        frame: list = line.decode(data, line.PIECE_MAX) or []
        if not _is_question(frame, len(data)):
            self.skipped += 1
            return
        number, verb = frame[1], frame[2]
        if verb == "hello":
            self._number = 0
        if number > self._number:
            self._number = number
            self._kept = _answer(number, self.verbs.do(now_ms, verb, frame[3:]))
        self._answer = self._kept if number == self._number else _answer(number, OLD)
        self._owed = True

    # --- what the controller says by itself: only where there is room ---

    def telemetry(self, now_ms: int, inputs, command) -> bytes:
        # Returns the line, since the log keeps the same one.
        values = self._sample
        values[0], values[1], values[2] = "s", self._next(), now_ms
        at = 3
        for name in INPUT_FIELDS:
            values[at] = getattr(inputs, name)
            at += 1
        for name in COMMAND_FIELDS:
            values[at] = getattr(command, name)
            at += 1
        return self._tell(values)

    def event(self, now_ms: int, code: int, seen: int, expected: int) -> bytes:
        values = self._event
        values[1], values[2], values[3] = self._next(), now_ms, code
        values[4], values[5] = seen, expected
        return self._tell(values)

    def _next(self) -> int:
        # A number for each line, told or dropped: the host sees what it missed.
        self._seq += 1
        return self._seq

    def _tell(self, values: list) -> bytes:
        told = line.encode(values)
        # Room is left for an answer: a host that reads slowly is still answered.
        if not self._sender.has_room(2 * line.LINE_MAX) or not self._sender.queue(told):
            self.dropped += 1
        return told


def _answer(number: int, result: list | tuple) -> bytes:
    head = ["a", number, "ok" if type(result) is list else "no"]
    return line.encode(head + list(result))


def _is_question(frame: list, size: int) -> bool:
    if len(frame) < 3 or frame[0] != "q":
        return False
    if type(frame[1]) is not int or type(frame[2]) is not str:
        return False
    return 1 <= frame[1] <= NUMBER_MAX and (size <= line.LINE_MAX or frame[2] == "put")

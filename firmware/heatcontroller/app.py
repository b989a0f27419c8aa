# The main loop: joins clock, drivers, state machine, link, log and panel. All of these are passed
# in, so that the same loop runs on a laptop.

import gc

from heatcore.inputs import Inputs
from heatcore.limits import TICK_MS

from .states import ARMED, BY_CTRL_C, COOLING, RUNNING, SERVICE

# Ticks between collections: some 5 kB of garbage, of the link's making.
COLLECT_TICKS = 4
# Heat is off at once. The rules get this many ticks to say why, before "the cut-off" has to do.
CUTOFF_SPEAKS_TICKS = 12


class App:
    #   board   clock.read() sleep_ms() hardware cutoff slot_ms may_watch start_watchdog() reset()
    #   panel   None, or serve(now_ms, inputs)

    def __init__(self, board, machine, link, recorder, panel) -> None:
        self.board = board
        self.machine = machine
        self.link = link
        self.recorder = recorder
        self.panel = panel
        self.inputs = Inputs()
        self.worst_late_ms = 0
        self._watchdog = None
        self._ticks = 0
        self._fed_ticks = 0
        self._fed_seq = 0
        self._was = machine.state
        self._was_live = False
        self._open_ticks = 0
        self._next_ms = board.clock.read()
        machine.say = self._say

    def run(self) -> None:
        # Ends by an exception or a reset; in service by Ctrl-C, which gives flashing the prompt.
        try:
            while True:
                self.turn()
        except KeyboardInterrupt:
            if self.machine.state != SERVICE:
                self.stop_and_reset()
        finally:
            self.board.hardware.outputs.off()

    def turn(self) -> None:
        board = self.board
        now_ms = board.clock.read()
        board.hardware.serve(now_ms)
        if not board.has_hard_timer:
            board.guard.check()
        if now_ms >= self._next_ms:
            self._tick(now_ms)
        self._serve_host(now_ms)
        if self.panel is not None:
            self.panel.serve(now_ms, self.inputs)
        left_ms = min(self._next_ms, now_ms + board.slot_ms) - board.clock.read()
        if left_ms > 0:
            board.sleep_ms(left_ms)

    def _tick(self, now_ms: int) -> None:
        self._schedule(now_ms)
        self._read(now_ms)
        self._judge_cutoff(now_ms)
        self.machine.step(now_ms, self.inputs)
        self._ticks += 1
        self._follow_state(now_ms)
        self._feed()
        self._tell(now_ms)
        if self._ticks % COLLECT_TICKS == 0:
            gc.collect()

    def _schedule(self, now_ms: int) -> None:
        self.worst_late_ms = max(self.worst_late_ms, now_ms - self._next_ms)
        self._next_ms += TICK_MS
        if now_ms >= self._next_ms:
            # Missed ticks are not made up: the core is told the time, and copes.
            self._next_ms = now_ms + TICK_MS

    def _read(self, now_ms: int) -> None:
        self.board.hardware.read(now_ms, self.inputs)

    def _judge_cutoff(self, now_ms: int) -> None:
        cutoff = self.board.cutoff
        cutoff.renew(now_ms, self.inputs.sensor_mc, self.inputs.sensor_seq)
        if self.machine.state != RUNNING or cutoff.allows(now_ms):
            self._open_ticks = 0
            return
        self._open_ticks += 1
        if self._open_ticks > CUTOFF_SPEAKS_TICKS:
            self.machine.cutoff_opened()

    def _follow_state(self, now_ms: int) -> None:
        state = self.machine.state
        if state == ARMED and self._watchdog is None and self.board.may_watch:
            self._watchdog = self.board.start_watchdog()
        if not self.machine.is_live:
            self.board.cutoff.drop()
        elif not self._was_live:
            self.board.cutoff.arm(now_ms, self.inputs.sensor_seq)
        self._was_live = self.machine.is_live

    def _feed(self) -> None:
        # Both the ticks and the cut-off's calls must have gone on.
        seq = self.board.guard.seq
        if self._ticks != self._fed_ticks and seq != self._fed_seq:
            self._fed_ticks = self._ticks
            self._fed_seq = seq
            if self._watchdog is not None:
                self._watchdog.feed()

    def _tell(self, now_ms: int) -> None:
        machine = self.machine
        try:
            told = self.link.telemetry(machine.line_ms(now_ms), self.inputs, machine.command)
            self.recorder.tick(machine, self._was, told)
        except MemoryError:
            self.link.dropped += 1
        self._was = machine.state

    def _say(self, run_ms: int, code: int, seen: int, expected: int) -> None:
        try:
            self.recorder.event(self.link.event(run_ms, code, seen, expected))
        except MemoryError:
            self.link.dropped += 1

    def _serve_host(self, now_ms: int) -> None:
        self.link.serve(now_ms)
        if self.link.stop_seen:
            self.stop_and_reset()
        elif self.link.next_boot:
            self.restart()

    def stop_and_reset(self) -> None:
        # Ctrl-C: somebody is there and wants it off. Off first, then a clean start in idle.
        self.board.hardware.outputs.off()
        self.machine.stop(self.board.clock.read(), BY_CTRL_C)
        if self.machine.state == COOLING:
            self.machine.store.close_marker()
        self.machine.store.ask_next_boot("idle")
        self.restart()

    def restart(self) -> None:
        self.board.hardware.outputs.off()
        self.machine.store.end_run()
        self.board.reset()

"""A coached run as a record like any other: what was read, where the hand was, what was seen."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from heatcore import codes
from heatcore.command import Command
from heatcore.inputs import DEAD_BUS, NONE, OK, Inputs
from heatwright.coaching.coach import Coach
from heatwright.coaching.knob import Setting
from heatwright.coaching.outfit import Outfit
from heatwright.coaching.timed import Timed
from heatwright.judging.board import NO_SENSOR
from heatwright.records import folder, units
from heatwright.records.writer import RecordWriter
from heatwright.running.execute import Tell, set_up

TRUTH = ("board", "small_part", "large_part", "air")


class Recorder:
    """Writes a run's folder as it goes; it is whole at any moment."""

    def __init__(
        self, outfit: Outfit, coach: Coach, out: Path, on: str, seed: int | None, tell: Tell
    ) -> None:
        now = datetime.now()
        self.place = folder.make(out, f"coached {outfit.source.kind}", now)
        hashes = {
            f"{name.partition('.')[0]}_sha256": folder.put(self.place, name, data)
            for name, data in outfit.documents.items()
        }
        header = {
            "name": f"coached {outfit.source.kind}",
            "on": on,
            **hashes,
            "seed": seed,
            "placing": NO_SENSOR if isinstance(coach, Timed) else outfit.placing,
            **set_up(outfit.source),
            "started": now.astimezone().isoformat(timespec="seconds"),
        }
        self._writer = RecordWriter(self.place / folder.RECORD, header, tell)
        self._hand = coach.hand
        self._inputs, self._command = Inputs(), Command()
        self._inputs.door = 0
        self._seq, self._now_ms = 0, 0

    def close(self) -> None:
        self._writer.close()

    def sample(
        self, now_s: float, reading_c: float | None, hand: Setting, is_lifted: bool, stage: int
    ) -> None:
        """One moment; ``reading_c`` is None where nothing was read."""
        self._seq, self._now_ms = self._seq + 1, units.ms_from_s(now_s)
        inputs, command = self._inputs, self._command
        inputs.sensor_mc = units.mc_from_c(reading_c)
        inputs.sensor_status = DEAD_BUS if reading_c is None else OK
        inputs.sensor_seq, inputs.sensor_age_ms = self._seq, 0
        if inputs.door != int(is_lifted):
            inputs.door = int(is_lifted)
            self._event(codes.EVENT_DOOR, int(is_lifted))
        duty = self._hand.duty(hand, is_lifted)
        command.duty, command.stage = units.duty_from_fraction(duty), stage
        self._writer.sample(self._seq, self._now_ms, inputs, command)

    def truth(self, truth: dict[str, float]) -> None:
        """What a simulated source knows of the moment that was just written."""
        self._writer.truth(self._seq, self._now_ms, *(units.mc_from_c(truth[n]) for n in TRUTH))

    def mark(self) -> None:
        """The person saw the solder melt."""
        self._inputs.mark += 1
        self._event(codes.EVENT_MARK, self._inputs.sensor_mc)

    def unmark(self) -> None:
        """The last mark was a mistake."""
        self._event(codes.EVENT_UNMARK, self._inputs.sensor_mc)

    def stop(self) -> None:
        """The person ended the run."""
        self._event(codes.EVENT_STOP, NONE)

    def _event(self, code: int, seen: int) -> None:
        self._writer.event(self._seq, self._now_ms, code, seen, NONE)

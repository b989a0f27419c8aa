"""A run on the firmware itself, under MicroPython, comes out of the core on this machine again."""

from __future__ import annotations

from pathlib import Path

import virtual_made
from heatwright.records import folder, reader
from heatwright.records.writer import RecordWriter
from heatwright.replaying.replay import plan_of, replay
from heatwright.running import session


class Nobody:
    """Follows `session.Orders`: nobody is at the keyboard."""

    def waiting(self) -> list[str]:
        return []


def test_a_run_on_a_virtual_controller_is_replayed_bit_for_bit(tmp_path: Path) -> None:
    data = virtual_made.track_plan(60.0, 5)
    with virtual_made.lockstep(tmp_path / "chip") as controller:
        target = virtual_made.target(controller)
        session.arm(target, data, plan_of(data, "plan").id)
        with RecordWriter(tmp_path / folder.RECORD, {"name": "kettle"}) as writer:
            session.record(target, writer, lambda line: None, Nobody(), print)
    record = reader.read(tmp_path)
    assert record.raw["now_ms"][0] == 0
    found = replay(record, plan_of(data, "plan"))
    assert found.difference is None
    assert found.ticks > 200
    assert found.replayed_sha256 == found.recorded_sha256

"""A controller that falls silent in the middle of a run: what to do comes first."""

from itertools import islice

import pytest

from heatwright.errors import EXIT_NO_CONTROLLER, Fault, NoController
from heatwright.records.reader import read
from heatwright.running.simulated import SimulatedTarget
from host.running.mine import run_in

SPOKEN = 900


@pytest.fixture
def falls_silent(monkeypatch):
    whole = SimulatedTarget.lines

    def lines(self, *idle):
        yield from islice(whole(self, *idle), SPOKEN)
        raise NoController(Fault("nobody answers"))

    monkeypatch.setattr(SimulatedTarget, "lines", lines)


@pytest.mark.usefixtures("falls_silent")
def test_the_plug_is_named_first_and_the_record_is_kept(tmp_path):
    result = run_in(tmp_path, "--on", "sim:toaster")
    assert isinstance(result.exception, NoController)
    assert result.exception.exit_code == EXIT_NO_CONTROLLER
    told = str(result.exception)
    assert "HEAT MAY BE ON" in told
    assert "Pull the oven's plug now" in told
    (place,) = (tmp_path / "runs").iterdir()
    assert str(place.relative_to(tmp_path)) in told
    assert read(place).time_s.size > SPOKEN // 3

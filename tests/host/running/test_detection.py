"""What is said before real heat of how soon a fault of the heater should be noticed."""

from types import SimpleNamespace

import pytest

from heatwright.running import detection as room
from heatwright.running.detection import DEAD, WELDED, detection


def job(**changes):
    """As much of a job as is asked."""
    asked = SimpleNamespace(sensor="board_sensor", ambient_c=21.0)
    found = {"source": "hot-plate", "plan": SimpleNamespace(deviation=[1]), "data": b"plan"}
    return SimpleNamespace(asked=asked, **{**found, **changes})


@pytest.fixture
def found(monkeypatch):
    """Per what the heater conducts: (seconds, duty), or None."""
    times = {WELDED: (31.0, 0.55), DEAD: (24.0, 0.55)}

    def noticed_after(source, plan, conducts, *, reads, ambient_c):
        assert (source, plan, reads, ambient_c) == ("hot-plate", b"plan", "board_sensor", 21.0)
        return times[conducts]

    monkeypatch.setattr(room, "noticed_after", noticed_after)
    return times


def test_a_weld_and_a_dead_heater_each_have_their_time(found):
    weld, dead = detection(job())
    assert "31 s" in weld
    assert "55%" in weld
    assert "24 s" in dead


def test_what_the_plan_does_not_show_is_said_too(found):
    found[WELDED] = found[DEAD] = None
    weld, dead = detection(job())
    assert "current sensor" in weld
    assert "31" not in weld
    assert "120 s" in dead


@pytest.mark.parametrize("unknown", [{"source": None}, {"plan": SimpleNamespace(deviation=[])}])
def test_without_a_model_the_loose_limits_are_told(unknown):
    rise, dead = detection(job(**unknown))
    assert "30 K" in rise
    assert "120 s" in dead

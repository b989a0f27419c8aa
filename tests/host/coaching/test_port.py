"""Our controller as a thermometer: the real firmware with nothing to drive, behind a real port."""

import time

import pytest

from heatwright.coaching.readings import Reading, listen
from heatwright.errors import BadInput
from heatwright.running.target import Refused
from virtual_made import ServedBoard, put_firmware

WITHIN_S = 20.0


def taken(listened, wanted):
    """The first reading that is `wanted`."""
    end_s = time.monotonic() + WITHIN_S
    while time.monotonic() < end_s:
        reading = listened.take()
        if wanted(reading):
            return reading
        time.sleep(0.05)
    raise AssertionError("nothing of the kind came")


def test_a_controller_that_only_reads_is_heard_and_never_heats(tmp_path):
    with ServedBoard(put_firmware(tmp_path, "none")) as served:
        served.workshop.bead_c = 183.0
        listened = listen(served.port)
        assert taken(listened, lambda r: r.value_c is not None).value_c == pytest.approx(183, abs=1)
        served.workshop.bead_status = 1
        assert taken(listened, lambda r: r.is_unplugged) == Reading(None, is_unplugged=True)
        with pytest.raises(Refused, match="read only"):
            listened._client.ask("arm", "00000000")
        assert served.workshop.heat_s == 0.0
        listened.close()


def test_a_controller_with_a_heater_is_refused(tmp_path):
    with (
        ServedBoard(put_firmware(tmp_path, "ssr")) as served,
        pytest.raises(BadInput, match="only listens"),
    ):
        listen(served.port)


def test_a_pulled_cable_is_a_lost_sensor_and_a_plugged_one_is_heard_again(tmp_path):
    root = put_firmware(tmp_path / "chip", "none")
    port = tmp_path / "tty"
    with ServedBoard(root) as served:
        port.symlink_to(served.port)
        listened = listen(str(port))
        assert taken(listened, lambda r: r.value_c is not None)
    assert taken(listened, lambda r: r.is_unplugged)
    port.unlink()
    assert listened.take().is_unplugged
    with ServedBoard(root) as served:
        port.symlink_to(served.port)
        assert taken(listened, lambda r: r.value_c is not None).value_c == pytest.approx(25, abs=2)
        listened.close()

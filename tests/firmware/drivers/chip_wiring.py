"""One output for a moment, for the cold check. Under MicroPython, whose clock here is virtual."""

import bench
import machine

from heatcontroller import wiring


def tried(name, hold_ms):
    bench.clear()
    bench.logs = True
    said = wiring.try_output(name, hold_ms)
    return said, [(us // 1000, pin, level) for us, pin, level in bench.log]


def test_one_output_for_the_time_asked():
    for name, pin in (("ssr", wiring.SSR_PIN), ("relay", wiring.RELAY_PIN)):
        said, log = tried(name, 1500)
        assert said == ""
        assert [(which, level) for _, which, level in log] == [(pin, 1), (pin, 0)]
        assert 1500 <= log[1][0] - log[0][0] <= 1501


def test_never_too_long_and_never_another_pin():
    for name, hold_ms in (("ssr", 2001), ("ssr", 0), ("relay", -1), ("fan", 100)):
        said, log = tried(name, hold_ms)
        assert "expected ssr or relay" in said
        assert log == []


def test_nothing_without_a_safety_relay():
    kept = wiring.RELAY_PIN
    wiring.RELAY_PIN = None
    try:
        said, log = tried("ssr", 100)
    finally:
        wiring.RELAY_PIN = kept
    assert "no safety relay" in said
    assert log == []


def test_ctrl_c_drops_the_output():
    bench.clear()

    def interrupted():
        raise KeyboardInterrupt

    bench.sync = interrupted
    caught = False
    try:
        wiring.try_output("relay", 100)
    except KeyboardInterrupt:
        caught = True
    assert caught
    assert machine.Pin(wiring.RELAY_PIN)() == 0

"""The main loop over the real drivers and a simulated chip: what is passed in is fake, no more."""

import sys
from pathlib import Path

import bench as chip
import machine
import pytest
from chips import Word, drive
from test_link import Port
from workbench import ENOSPC, PLAN_ID, Files, document

from heatcontroller import startup, wiring
from heatcontroller.config import Config
from heatcontroller.proof import PROOF_MS
from heatcontroller.states import ARMED, COOLING, COUNTDOWN_MS, IDLE, RUNNING, SERVICE, TRIPPED
from heatcontroller.store import Store
from heatcore import codes, line, plan

HIL = Path(__file__).resolve().parents[3] / "firmware" / "device" / "hil"


class Time:
    """The chip's `time`, on the simulated clock."""

    @staticmethod
    def ticks_ms():
        chip.advance(chip.CALL_US)
        return chip.now_us // 1000

    @staticmethod
    def ticks_diff(later, earlier):
        return later - earlier

    @staticmethod
    def sleep_ms(ms):
        chip.sleep(ms * 1000)


class Converter(Word):
    """A MAX31855: 14 bits of 0.25 C, junction at 22 C."""

    def __init__(self, degrees):
        super().__init__(b"")
        self.warm_to(degrees)

    def warm_to(self, degrees):
        word = (int(degrees * 4) & 0x3FFF) << 18 | 22 << 8
        self.word = word.to_bytes(4, "big")

    def break_wire(self):
        self.word = (1 << 16 | 1).to_bytes(4, "big")


class Rig:
    def __init__(self, kind="run", files=None, outputs="ssr"):
        self.files = files or Files()
        self.store = Store(self.files)
        self.store.keep_config(Config({"outputs": outputs}))
        self.store.keep_plan(PLAN_ID, plan.write(document()))
        self.converter = Converter(22)
        chip.spi_devices[wiring.SENSOR_CS_PIN] = self.converter
        self.port = Port()
        self.number = 0
        self.start(kind)

    def start(self, kind="run"):
        drive(wiring.STOP_PIN, 0)
        self.app = startup.build(wiring, Time, kind, self.store, self.port)
        self.machine = self.app.machine
        return self

    def go(self, seconds):
        end_us = chip.now_us + seconds * 1_000_000
        while chip.now_us < end_us:
            self.app.turn()
        return self.machine.state

    def warm(self, degrees):
        """The sensor climbs by 2 K/s, as an oven lets it."""
        now = self.app.inputs.sensor_mc / 1000
        while now < degrees:
            now += 0.5
            self.converter.warm_to(now)
            self.go(0.25)
        return self

    def ask(self, verb, *words):
        self.number += 1
        self.port.coming += line.encode(["q", self.number, verb, *words])
        self.go(0.1)
        answers = [line.decode(one, 512) for one in self.port.sent.split(b"\n")]
        return next(one[2:] for one in answers if one and one[:2] == ["a", self.number])

    def begin(self):
        self.go(1)
        assert self.ask("arm", PLAN_ID)[0] == "ok"
        assert self.ask("start", PLAN_ID)[0] == "ok"
        self.go((PROOF_MS + COUNTDOWN_MS) / 1000 + 1)
        assert self.machine.state == RUNNING
        return self

    def lines(self, kind):
        decoded = [line.decode(one) for one in self.port.sent.split(b"\n") if one]
        return [one for one in decoded if one and one[0] == kind]

    @property
    def heat_us(self):
        return chip.on_us[wiring.SSR_PIN]

    @property
    def is_off(self):
        return not chip.get_level(wiring.SSR_PIN) and not chip.get_level(wiring.RELAY_PIN)


@pytest.fixture(autouse=True)
def _fresh_chip():
    chip.clear()
    yield
    chip.clear()
    sys.path[:] = [folder for folder in sys.path if folder != str(HIL)]
    sys.modules.pop("injected", None)


def test_idle_tells_four_times_a_second_and_heats_nothing():
    rig = Rig()
    rig.go(5)
    samples = rig.lines("s")
    assert len(samples) in (20, 21)
    assert abs(samples[-1][3] - 22_000) <= 10
    assert rig.heat_us == 0
    assert chip.watchdog_us == 0


def test_a_run_heats_as_the_plan_says_and_is_logged():
    rig = Rig().begin()
    before_us = rig.heat_us
    rig.warm(30)
    rig.go(4)
    assert rig.machine.state == RUNNING
    share = (rig.heat_us - before_us) / 8e6
    assert abs(share - rig.machine.command.duty / 10_000) < 0.2
    assert chip.get_level(wiring.RELAY_PIN)
    assert rig.store.runs()[0][1] > 300
    kept = rig.store.read_run(1, 0, 1 << 20).splitlines(keepends=True)
    heads = [line.decode(one)[2] for one in kept[:5]]
    assert {"plan_id": PLAN_ID} in heads
    seconds = [line.decode(one)[2] for one in kept if line.decode(one)[0] == "s"]
    assert seconds == list(range(0, seconds[-1] + 1, 1000))


def test_the_watchdog_starts_at_arming_and_is_fed():
    rig = Rig()
    rig.go(1)
    rig.ask("arm", PLAN_ID)
    rig.go(0.5)
    assert rig.machine.state == ARMED
    assert chip.watchdog_us == startup.WATCHDOG_MS * 1000
    rig.go(20)  # a starved one would have raised Reset


def test_a_main_loop_that_hangs_is_reset_with_the_marker_left():
    rig = Rig().begin()
    with pytest.raises(chip.Reset):
        chip.sleep(3_000_000)
    assert rig.store.marker().startswith(PLAN_ID)


def test_turns_that_stop_serving_the_outputs_starve_the_watchdog():
    rig = Rig().begin()
    rig.app._fed_seq = rig.app.board.guard.seq
    fed_before = chip._fed_us
    rig.app._ticks += 1
    rig.app._feed()
    assert chip._fed_us == fed_before


def test_the_cutoff_drops_both_outputs_within_its_lease():
    rig = Rig().begin()
    rig.app.machine.step = lambda now_ms, inputs: rig.machine.command
    rig.app.board.cutoff.renew = lambda *_: None
    rig.go(1.3)
    assert rig.is_off
    assert rig.machine.state == RUNNING


def test_a_broken_sensor_drops_heat_at_once_and_trips_by_its_own_name():
    rig = Rig().begin()
    rig.converter.break_wire()
    rig.go(1.5)
    assert rig.is_off
    rig.go(2.5)
    assert rig.machine.state == TRIPPED
    assert codes.TRIP_NAMES[rig.machine.trip] == "sensor_open"
    assert any(one[3] == rig.machine.trip for one in rig.lines("e"))


def test_stop_button_and_stop_frame_and_ctrl_c_turn_it_off():
    rig = Rig().begin()
    drive(wiring.STOP_PIN, 1)
    rig.go(0.5)
    assert rig.machine.state == COOLING or rig.machine.state == IDLE
    assert rig.is_off
    chip.clear()
    rig = Rig().begin()
    assert rig.ask("stop")[0] == "ok"
    rig.go(0.1)
    assert rig.is_off


def test_ctrl_c_turns_off_and_resets_into_idle():
    for by_byte in (True, False):
        chip.clear()
        rig = Rig().begin()
        rig.warm(70)
        if by_byte:
            rig.port.coming = b"\x03"
            with pytest.raises(chip.Reset):
                rig.go(1)
        else:
            rig.app.turn = interrupt
            with pytest.raises(chip.Reset):
                rig.app.run()
        assert rig.is_off
        assert rig.files.read("next_boot") == b"idle"
        assert rig.start("idle").machine.state == IDLE


def interrupt():
    raise KeyboardInterrupt


def test_an_unforeseen_error_turns_off_and_leaves_the_marker():
    rig = Rig().begin()
    rig.app.link.serve = lambda now_ms: 1 // 0
    with pytest.raises(ZeroDivisionError):
        rig.app.run()
    assert rig.is_off
    assert rig.store.marker().startswith(PLAN_ID)
    chip.clear()
    assert rig.start().machine.state == TRIPPED


def test_no_memory_for_telemetry_costs_a_line_and_not_the_run():
    rig = Rig().begin()
    rig.app.link.telemetry = no_memory
    rig.app.link.event = no_memory
    dropped = rig.app.link.dropped
    rig.go(2)
    assert rig.machine.state == RUNNING
    assert rig.app.link.dropped > dropped


def no_memory(*_):
    raise MemoryError


def test_a_full_file_system_during_a_run_costs_the_log_and_not_the_run():
    rig = Rig().begin()
    rig.files.fails = ENOSPC
    before_us = rig.heat_us
    rig.warm(30)
    assert rig.machine.state == RUNNING
    assert rig.heat_us > before_us
    assert rig.ask("hello")[1]["trouble"].startswith("no log")


def test_a_host_that_reads_nothing_delays_no_tick():
    rig = Rig()
    rig.port.room = 0
    rig.go(60)
    assert rig.app.worst_late_ms <= 20
    assert rig.app.link.dropped > 200


def test_outputs_none_reads_and_refuses():
    rig = Rig(outputs="none")
    rig.go(2)
    assert rig.ask("arm", PLAN_ID)[1] == "no_outputs"
    assert len(rig.lines("s")) > 4


def test_service_has_no_watchdog_and_no_heater_pin():
    rig = Rig("service")
    rig.go(2)
    assert rig.machine.state == SERVICE
    assert rig.ask("arm", PLAN_ID)[1] == "not_idle"
    assert chip.watchdog_us == 0
    assert not chip.drives >> wiring.SSR_PIN & 1
    assert not chip.drives >> wiring.RELAY_PIN & 1
    rig.app.turn = interrupt
    rig.app.run()  # gives the prompt, resets nothing
    assert rig.files.read("next_boot") == b"idle"


def test_three_watchdog_resets_in_a_row_are_tripped_on_this_chip():
    rig = Rig()
    for _ in range(3):
        assert rig.machine.state == IDLE
        chip.clear()
        chip.cause = machine.WDT_RESET
        chip.spi_devices[wiring.SENSOR_CS_PIN] = rig.converter
        rig.start()
    assert rig.machine.state == TRIPPED
    assert rig.machine.trip == codes.WATCHDOG_RESETS


def test_power_on_forgets_the_heat_and_a_reset_does_not():
    rig = Rig()
    rig.store.open_marker(PLAN_ID)
    rig.store.close_marker()
    chip.cause = machine.HARD_RESET
    assert rig.start().store.was_heated()
    chip.cause = machine.PWRON_RESET
    assert not rig.start().store.was_heated()


# --- hardware in the loop ---


def hil():
    sys.path.append(str(HIL))  # as boot.py does, in this boot alone
    return Rig("hil")


def test_injected_readings_run_a_plan_with_no_heater_pin():
    rig = hil()
    degrees = 22_000
    for _ in range(8):
        assert rig.ask("sense", degrees, 0, 22_000) == ["ok"]
    assert rig.ask("arm", PLAN_ID)[0] == "ok"
    assert rig.ask("start", PLAN_ID)[0] == "ok"
    for _ in range(80):
        rig.ask("sense", degrees, 0, 22_000)
    assert rig.machine.state == RUNNING
    assert rig.machine.command.duty > 0
    assert rig.app.inputs.sensor_mc == degrees
    assert not chip.drives >> wiring.SSR_PIN & 1
    assert chip.watchdog_us == 0


def test_injected_readings_end_when_the_real_sensor_is_warm():
    rig = hil()
    rig.go(1)
    rig.converter.warm_to(61)
    with pytest.raises(chip.Reset):
        rig.go(1)


def test_injected_readings_that_stop_coming_are_stale():
    rig = hil()
    rig.ask("sense", 22_000, 0, 22_000)
    rig.go(3)
    assert rig.app.inputs.sensor_age_ms >= 2_000


def test_a_normal_boot_cannot_inject():
    rig = Rig()
    assert rig.ask("sense", 22_000)[1] == "no_verb"
    with pytest.raises(ImportError):
        __import__("injected")

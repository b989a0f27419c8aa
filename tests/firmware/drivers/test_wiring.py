"""Pins and what is built from them. Runs on CPython and MicroPython."""

import sys

import bench
import machine
from chips import Word, drive, max31856_chip, max31865_chip

from heatcontroller import wiring
from heatcontroller.config import Config
from heatcontroller.drivers import pin_rules
from heatcore.command import Command
from heatcore.cutoff import Cutoff
from heatcore.inputs import NONE, OK, Inputs

KEPT = {name: getattr(wiring, name) for name in dir(wiring) if name.isupper()}


def wired(**pins):
    """The wiring as flashed, with these pins changed; the chip forgets everything."""
    bench.clear()
    for name, value in KEPT.items():
        setattr(wiring, name, value)
    for name, value in pins.items():
        setattr(wiring, name, value)
    drive(wiring.STOP_PIN, 0)


def config(**values):
    """A configuration with outputs; everything else as it comes."""
    chosen = {"outputs": "ssr"}
    chosen.update(values)
    return Config(chosen)


# Pins that decide how a chip boots: data sheets, "strapping pins".
STRAPPING = {
    "esp32": (0, 2, 5, 12, 15),
    "esp32s2": (0, 45, 46),
    "esp32s3": (0, 3, 45, 46),
    "esp32c3": (2, 8, 9),
}


def test_boot_strapping_pins_are_refused_per_chip():
    for chip, pins in STRAPPING.items():
        for pin in pins:
            assert pin_rules.fault(chip, pin, pin_rules.OUTPUT) == pin_rules.STRAPPING
            assert pin_rules.fault(chip, pin, pin_rules.INPUT) == pin_rules.STRAPPING


def test_other_pins_that_will_not_do():
    assert pin_rules.fault("esp32", 6, pin_rules.OUTPUT) == pin_rules.FLASH
    assert pin_rules.fault("esp32", 34, pin_rules.OUTPUT) == pin_rules.INPUT_ONLY
    assert pin_rules.fault("esp32", 34, pin_rules.INPUT) == ""
    assert pin_rules.fault("esp32", 1, pin_rules.INPUT) == pin_rules.CONSOLE
    assert pin_rules.fault("rp2", 23, pin_rules.OUTPUT) == pin_rules.ON_BOARD
    assert pin_rules.fault("rp2", 15, pin_rules.OUTPUT) == ""
    assert pin_rules.fault("rp2", 30, pin_rules.OUTPUT) == "does not exist"
    assert "not known" in pin_rules.fault("z80", 1, pin_rules.OUTPUT)


def test_a_current_sensor_needs_an_analogue_pin():
    assert pin_rules.fault("rp2", 26, pin_rules.ANALOGUE) == ""
    assert pin_rules.fault("rp2", 22, pin_rules.ANALOGUE) == pin_rules.NOT_ANALOGUE
    assert pin_rules.fault("esp32", 25, pin_rules.ANALOGUE) == pin_rules.NOT_ANALOGUE


def refusal(**values):
    try:
        wiring.build(config(**values), Cutoff())
    except wiring.WiringError as error:
        return str(error)
    return ""


def test_what_the_configuration_needs_must_be_wired():
    wired(SSR_PIN=None, SECOND_CS_PIN=None, CURRENT_ZERO=65535)
    wiring.STOP_PIN = None
    message = refusal(second="max31855")
    for name in ("STOP_PIN", "SSR_PIN", "SECOND_CS_PIN"):
        assert name + " = None: this configuration needs it" in message
    assert "CURRENT_ZERO and CURRENT_FULL_MA: up to 60000 each" in message
    wired(SSR_PIN=None, SECOND_CS_PIN=None)
    assert refusal(outputs="none") == ""


def test_a_second_converter_that_is_not_used_stays_off_the_bus():
    wired()
    wiring.build(config(), Cutoff())
    assert bench.get_level(wiring.SECOND_CS_PIN) == 1


def test_the_chip_says_which_of_its_family_it_is():
    wired()
    assert wiring.chip() == "rp2"
    assert wiring.variant("Raspberry Pi Pico with RP2040") == "rp2"
    wired(CHIP="esp32")
    assert wiring.variant("Generic ESP32 module with ESP32") == "esp32"
    assert wiring.variant("Generic ESP32S3 module with ESP32S3") == "esp32s3"


def test_the_rules_leave_no_trace_in_memory():
    wired()
    wiring.pin_faults()
    assert "heatcontroller.drivers.pin_rules" not in sys.modules


def test_the_pins_as_shipped_are_sound():
    wired()
    assert wiring.pin_faults() == []


def test_all_bad_pins_are_named_at_once():
    wired(CHIP="esp32", SSR_PIN=12, RELAY_PIN=34, FAN_PIN=4, BUZZER_PIN=4)
    message = refusal()
    assert "SSR_PIN = 12: pin 12 of the esp32 decides how the chip boots" in message
    assert "RELAY_PIN = 34: pin 34 of the esp32 can only be an input" in message
    assert "BUZZER_PIN = 4: pin 4 of the esp32 is already FAN_PIN" in message
    # A wiring that is refused has made no heater pin an output.
    assert 12 not in bench.driven


def test_two_heater_outputs_off_is_the_first_act():
    wired()
    for pin in (wiring.SSR_PIN, wiring.RELAY_PIN):
        machine.Pin(pin, machine.Pin.OUT, value=1)
    wiring.outputs_off()
    for pin in (wiring.SSR_PIN, wiring.RELAY_PIN):
        assert pin in bench.driven
        assert bench.get_level(pin) == 0


def test_each_sensor_can_be_built_and_read():
    wired()
    for kind, device in (
        ("max31855", Word(b"\x06\x4c\x19\x00")),
        ("max6675", Word(b"\x0c\x80")),
        ("max31856", max31856_chip()),
        ("max31865", max31865_chip()),
    ):
        wired()
        bench.spi_devices[wiring.SENSOR_CS_PIN] = device
        hardware = wiring.build(config(sensor=kind), Cutoff())
        inputs = Inputs()
        hardware.read(0, inputs)
        if kind == "max31856":
            device.finish(bead=b"\x06\x40\x00", junction=b"\x19\x00", faults=b"\x00")
        if kind == "max31865":
            device.finish(ratio=b"\x58\xa4", faults=b"\x00")
        hardware.read(250, inputs)
        assert inputs.sensor_status == OK
        assert 99000 < inputs.sensor_mc < 102000


def test_what_is_not_fitted_is_missing():
    wired(START_PIN=None)
    hardware = wiring.build(config(), Cutoff())
    inputs = Inputs()
    hardware.serve(0)
    hardware.read(0, inputs)
    assert inputs.door == inputs.current_ma == inputs.second_mc == inputs.press == NONE
    assert hardware.display is None
    assert hardware.second_sensor is None


def test_what_is_fitted_is_seen():
    wired(DOOR_SWITCH_PIN=9, CURRENT_PIN=26, PANEL_BUTTON_PINS=(6, 7, 8), FAN_PIN=2, DOOR_PIN=3)
    bench.spi_devices[wiring.SENSOR_CS_PIN] = Word(b"\x06\x4c\x19\x00")
    bench.spi_devices[wiring.SECOND_CS_PIN] = Word(b"\x01\x90\x19\x00")
    bench.adc[26] = 65535
    hardware = wiring.build(config(second="max31855"), Cutoff())
    inputs = Inputs()
    for now_ms in range(0, 100, 5):
        hardware.serve(now_ms)
    hardware.read(100, inputs)
    assert inputs.door == 1
    assert inputs.current_ma == wiring.CURRENT_FULL_MA
    assert (inputs.stop, inputs.press) == (0, 0)
    assert abs(inputs.second_mc - 25000) < 200
    assert len(hardware.panel_buttons) == 3


def heated(hardware, cutoff):
    """Runs two seconds of full heat; the heater pins that ever rose."""
    command = Command()
    command.relay, command.duty = 1, 9800
    cutoff.arm(0, 0)
    bench.logs = True
    for now_ms in range(2000):
        if now_ms % 250 == 0:
            cutoff.renew(now_ms, 25000, now_ms + 1)
            hardware.outputs.apply(now_ms, command)
        hardware.serve(now_ms)
    heater = (wiring.SSR_PIN, wiring.RELAY_PIN)
    return sorted({pin for _, pin, level in bench.log if level and pin in heater})


def test_heater_pins_follow_only_where_outputs_are_configured():
    for values, heat, expected in (
        ({"outputs": "ssr"}, True, [14, 15]),
        ({"outputs": "slow"}, True, [14, 15]),
        ({"outputs": "none"}, True, []),
        ({"outputs": "ssr"}, False, []),
    ):
        # Two slow windows must begin for one to be on.
        wired(WINDOW_MS=500)
        cutoff = Cutoff()
        hardware = wiring.build(config(**values), cutoff, heat)
        assert heated(hardware, cutoff) == expected


def test_a_boot_without_heat_makes_no_heater_pin_an_output():
    wired()
    wiring.build(config(), Cutoff(), False)
    assert wiring.SSR_PIN not in bench.driven
    assert wiring.RELAY_PIN not in bench.driven


def test_a_reset_leaves_heater_pins_to_their_pull_downs():
    # A boot that never heats makes no heater pin an output, not even on its way out.
    wired()
    seen = ""
    try:
        wiring.reset()
    except bench.Reset:
        seen = "reset"
    assert seen == "reset"
    assert bench.driven == []


def test_reset_causes_have_names():
    bench.clear()
    assert wiring.reset_cause() == "pwron"
    bench.cause = machine.WDT_RESET
    assert wiring.reset_cause() == "wdt"
    bench.cause = 77
    assert wiring.reset_cause() == "unknown"

# Which pin does what, and everything built from it. Importing this file touches no pin and loads
# no driver, so that boot.py can call outputs_off() as its first act.

import sys
import time

import machine

# --- pins: begin (`heatwright flash` rewrites the lines from here to "pins: end"; None: not fitted)
CHIP = "rp2"  # "rp2" or "esp32"
SSR_PIN = 15  # solid-state relay in the heater's supply; active high, pull-down <= 8.2 kohm
RELAY_PIN = 14  # safety relay in series with it; active high, pull-down <= 8.2 kohm
FAN_PIN = None
DOOR_PIN = None  # a lamp that says "open the door", or the servo that opens it
DOOR_IS_SERVO = False
BUZZER_PIN = 13
STOP_PIN = 12  # normally closed to ground: a broken wire reads as pressed
START_PIN = 11  # normally open to ground; a press also says that somebody is there
DOOR_SWITCH_PIN = None  # closed to ground while the door is shut
CURRENT_PIN = None  # heater current, an analogue input
CURRENT_ZERO = 0  # its reading (0..65535) without current: 0 for a rectified sensor
CURRENT_FULL_MA = 20000  # heater current in mA RMS when it reads 65535; at most 60000
SPI_ID = 0
SPI_SCK_PIN = 18
SPI_MOSI_PIN = 19
SPI_MISO_PIN = 16
SENSOR_CS_PIN = 17
SECOND_CS_PIN = 20
RTD_WIRES = 2  # of a PT100: 2, 3 or 4
I2C_ID = 0
I2C_SDA_PIN = None  # None: no panel
I2C_SCL_PIN = None
PANEL_BUTTON_PINS = None  # (left, middle, right), normally open to ground
SLOTS_PER_CYCLE = 1  # bursts of whole mains cycles; 2: of half cycles
WINDOW_MS = 2000  # for outputs = "slow": contacts last for 100,000 closings and more
# --- pins: end


class WiringError(Exception):
    pass


def outputs_off() -> None:
    # First act of boot.py, last word of every `finally`.
    for pin in (SSR_PIN, RELAY_PIN):
        if pin is not None:
            machine.Pin(pin, machine.Pin.OUT, value=0)


def chip() -> str:
    return variant(getattr(sys.implementation, "_machine", ""))


def variant(machine_name: str) -> str:
    # "rp2", or which of its family an ESP32 is: "... module with ESP32S3" is esp32s3.
    for name in ("esp32s2", "esp32s3", "esp32c3", "esp32c6"):
        if CHIP == "esp32" and name in machine_name.lower():
            return name
    return CHIP


def pin_faults() -> list:
    from heatcontroller import drivers
    from heatcontroller.drivers import pin_rules

    outputs = _pins(
        "SSR RELAY FAN DOOR BUZZER SPI_SCK SPI_MOSI SENSOR_CS SECOND_CS I2C_SDA I2C_SCL"
    )
    inputs = _pins("STOP START DOOR_SWITCH SPI_MISO")
    inputs += [("PANEL_BUTTON_PINS", pin) for pin in PANEL_BUTTON_PINS or ()]
    found = pin_rules.faults(chip(), outputs, inputs, _pins("CURRENT"))
    # Needed once: 3 kB that the run can use.
    delattr(drivers, "pin_rules")
    del sys.modules[pin_rules.__name__]
    return found


def _pins(names: str) -> list:
    return [(name + "_PIN", globals()[name + "_PIN"]) for name in names.split()]


def build(config, cutoff, heat: bool = True):
    # `cutoff` is heatcore's: both heater outputs are low unless it allows them. heat=False (service
    # and HIL boots) leaves both pins alone: nothing that is built then can reach them.
    from heatcontroller.drivers import hardware

    faults = pin_faults() + hardware.missing(config, heat)
    if faults:
        raise WiringError("; ".join(faults))
    return hardware.build(config, cutoff, heat)


def try_output(name: str, hold_ms: int) -> str:
    # For the cold check: closes one output, never both, for 2 s at most. "" when done, else why
    # not.
    if RELAY_PIN is None:
        return "no safety relay is fitted: nothing may be switched without one"
    pins = {"ssr": SSR_PIN, "relay": RELAY_PIN}
    if name not in pins or not 0 < hold_ms <= 2000:
        return "expected ssr or relay, and at most 2000 ms"
    outputs_off()
    try:
        machine.Pin(pins[name], machine.Pin.OUT, value=1)
        time.sleep_ms(hold_ms)
    finally:
        outputs_off()
    return ""


# --- the rest of the chip, for the app: it imports no `machine` itself ---


def start_guard(check, period_ms: int) -> bool:
    # Whether this port calls check() from an interrupt that needs no main loop. One that has no
    # such timer says so by not taking the words.
    try:
        machine.Timer(-1, mode=machine.Timer.PERIODIC, period=period_ms, callback=check, hard=True)
    except (AttributeError, OSError, TypeError, ValueError):
        return False
    return True


def start_watchdog(timeout_ms: int):
    return machine.WDT(timeout=timeout_ms)


def reset() -> None:
    # A reset makes every pin an input, and the pull-downs hold both heater outputs off.
    machine.reset()


def reset_cause() -> str:
    cause = machine.reset_cause()
    for name in ("PWRON_RESET", "WDT_RESET", "HARD_RESET", "SOFT_RESET"):
        if cause == getattr(machine, name, None):
            return name[:-6].lower()
    return "unknown"

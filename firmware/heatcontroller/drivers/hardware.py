# The drivers, built from the pins in wiring.py and the configuration. Loaded at the start alone:
# nothing that stays may refer to this file.

from machine import ADC, I2C, PWM, SPI, Pin

from heatcontroller import wiring as pins

from .bus import BAUDRATE, Bus, Chip
from .buzzer import Buzzer
from .contact import Button, Contact
from .door import SERVO_HZ, Lamp, Servo
from .firing import Firing
from .fitted import Hardware, nothing
from .outputs import Outputs
from .power import NoPower, Power

I2C_HZ = 400000


def missing(config, heat: bool) -> list:
    # What this configuration needs and the pins do not say.
    needs = [("STOP_PIN", pins.STOP_PIN), ("SENSOR_CS_PIN", pins.SENSOR_CS_PIN)]
    if config.second != "none":
        needs.append(("SECOND_CS_PIN", pins.SECOND_CS_PIN))
    if heat and config.outputs != "none":
        needs.append(("SSR_PIN", pins.SSR_PIN))
    found = [name + " = None: this configuration needs it" for name, pin in needs if pin is None]
    if not (0 <= pins.CURRENT_ZERO <= 60000 and 0 < pins.CURRENT_FULL_MA <= 60000):
        found.append("CURRENT_ZERO and CURRENT_FULL_MA: up to 60000 each")
    return found


def build(config, cutoff, heat: bool) -> Hardware:
    # Both converters let go of the bus before anything is said on it.
    for pin in (pins.SENSOR_CS_PIN, pins.SECOND_CS_PIN):
        _output(pin, 1)
    bus = Bus(_spi())
    sensor = _sensor(config.sensor, bus, pins.SENSOR_CS_PIN, config)
    buzzer = Buzzer(_output(pins.BUZZER_PIN))
    power = _power(config, cutoff) if heat and config.outputs != "none" else NoPower()
    outputs = Outputs(power, Lamp(_output(pins.FAN_PIN)), _door(), buzzer)
    # Normally closed, or closed while the door is shut: a broken wire counts as on.
    hardware = Hardware(sensor, outputs, buzzer, Contact(_input(pins.STOP_PIN), 1, 1))
    if config.second != "none":
        hardware.second_sensor = _sensor(config.second, bus, pins.SECOND_CS_PIN, config)
    _fit_people(hardware)
    if pins.CURRENT_PIN is not None:
        hardware.current = _current()
    return hardware


def _fit_people(hardware: Hardware) -> None:
    # What hands and eyes use.
    if pins.DOOR_SWITCH_PIN is not None:
        hardware.door_switch = Contact(_input(pins.DOOR_SWITCH_PIN), 1, 1)
    if pins.START_PIN is not None:
        hardware.start_button = Button(_input(pins.START_PIN))
    hardware.panel_buttons = [Button(_input(pin)) for pin in pins.PANEL_BUTTON_PINS or ()]
    hardware.display = _display()


def _output(pin: int | None, level: int = 0):
    return nothing if pin is None else Pin(pin, Pin.OUT, value=level)


def _input(pin: int) -> Pin:
    return Pin(pin, Pin.IN, Pin.PULL_UP)


def _spi() -> SPI:
    return SPI(
        pins.SPI_ID,
        baudrate=BAUDRATE,
        sck=Pin(pins.SPI_SCK_PIN),
        mosi=Pin(pins.SPI_MOSI_PIN),
        miso=Pin(pins.SPI_MISO_PIN),
    )


def _sensor(kind: str, bus: Bus, select: int, config):
    # Only the converter that is fitted is loaded: each costs some 2 kB of heap.
    pin = _output(select, 1)
    if kind == "max31855":
        from . import max31855

        return max31855.Max31855(Chip(bus, pin, max31855.SPI_PHASE))
    if kind == "max6675":
        from . import max6675

        return max6675.Max6675(Chip(bus, pin, max6675.SPI_PHASE))
    if kind == "max31856":
        from . import max31856

        return max31856.Max31856(Chip(bus, pin, max31856.SPI_PHASE), config.mains_hz)
    from . import max31865

    chip = Chip(bus, pin, max31865.SPI_PHASE)
    return max31865.Max31865(chip, config.mains_hz, pins.RTD_WIRES)


def _power(config, cutoff) -> Power:
    if config.outputs == "slow":
        firing = Firing(1, pins.WINDOW_MS)
    else:
        firing = Firing(config.mains_hz * pins.SLOTS_PER_CYCLE, 1000)
    has_two = pins.RELAY_PIN is not None
    return Power(_output(pins.SSR_PIN), _output(pins.RELAY_PIN), firing, cutoff, has_two)


def _door():
    if pins.DOOR_PIN is None or not pins.DOOR_IS_SERVO:
        return Lamp(_output(pins.DOOR_PIN))
    return Servo(PWM(Pin(pins.DOOR_PIN), freq=SERVO_HZ))


def _current():
    from .current import CurrentSensor

    return CurrentSensor(ADC(Pin(pins.CURRENT_PIN)), pins.CURRENT_ZERO, pins.CURRENT_FULL_MA)


def _display():
    if pins.I2C_SDA_PIN is None or pins.I2C_SCL_PIN is None:
        return None
    from .ssd1306 import Ssd1306

    return Ssd1306(
        I2C(pins.I2C_ID, scl=Pin(pins.I2C_SCL_PIN), sda=Pin(pins.I2C_SDA_PIN), freq=I2C_HZ)
    )

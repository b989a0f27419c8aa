"""A tick's work on the drivers allocates nothing. Only MicroPython can lock its heap: see
test_on_micropython.py, which runs this file there; on CPython the same code just runs."""

from heap import heap_lock, heap_unlock

from heatcontroller.drivers import linear, max6675, max31855, max31856, max31865
from heatcontroller.drivers.bus import Bus, Chip
from heatcontroller.drivers.buzzer import Buzzer
from heatcontroller.drivers.contact import Button, Contact
from heatcontroller.drivers.current import CurrentSensor
from heatcontroller.drivers.door import Lamp
from heatcontroller.drivers.firing import Firing
from heatcontroller.drivers.outputs import Outputs
from heatcontroller.drivers.power import Power
from heatcore.command import Command
from heatcore.cutoff import Cutoff
from heatcore.inputs import OK, Inputs

TICK_MS = 250


class QuietPin:
    """A pin, or an analogue input, that allocates nothing."""

    def __init__(self):
        self.level = 0

    def __call__(self, level=-1):
        if level >= 0:
            self.level = level
        return self.level

    def read_u16(self):
        return 32768


class QuietSpi:
    """Answers each transfer with the same bytes for its first register, copied one by one."""

    def __init__(self, answer):
        self.answer = answer
        self.result = MAX31856_RESULT

    def init(self, baudrate=0, polarity=0, phase=0):
        pass

    def readinto(self, buffer):
        for place in range(len(buffer)):
            buffer[place] = self.answer[place]

    def write_readinto(self, sent, buffer):
        answer = self.answer if sent[0] == 0 else self.result
        for place in range(len(buffer)):
            buffer[place] = answer[place]

    def write(self, sent):
        pass


MAX31856_SETUP = b"\x00\x11\x03"
MAX31856_RESULT = b"\x00\x19\x00\x0d\x90\x00\x00"
MAX31865_ANSWER = bytes(
    (
        0,
        0x81,
        0x7C,
        0x3A,
        max31865.CODE_MAX >> 7,
        max31865.CODE_MAX << 1 & 0xFF,
        max31865.CODE_MIN >> 7,
        max31865.CODE_MIN << 1 & 0xFF,
        0,
    )
)


def readings_under_lock(make, answer):
    sensor = make(Chip(Bus(QuietSpi(answer)), QuietPin(), 0))
    inputs = Inputs()
    sensor.poll(0)
    heap_lock()
    try:
        for tick in range(1, 9):
            sensor.poll(tick * TICK_MS)
            sensor.fill(tick * TICK_MS, inputs)
            sensor.fill_second(tick * TICK_MS, inputs)
    finally:
        heap_unlock()
    return inputs


def test_reading_allocates_nothing():
    for make, answer in (
        (max31855.Max31855, b"\x0d\x90\x19\x00"),
        (max6675.Max6675, b"\x1b\x20"),
        (lambda chip: max31856.Max31856(chip, 50), MAX31856_SETUP),
        (lambda chip: max31865.Max31865(chip, 50, 2), MAX31865_ANSWER),
    ):
        inputs = readings_under_lock(make, answer)
        assert inputs.sensor_status == OK
        assert inputs.sensor_seq >= 8


def test_a_dead_bus_and_a_fault_allocate_nothing():
    for answer in (b"\xff\xff\xff\xff", b"\x00\x00\x00\x00", b"\x06\x4d\x19\x01"):
        assert readings_under_lock(max31855.Max31855, answer).sensor_status != OK


def test_frozen_allocates_nothing():
    sensor = max31855.Max31855(Chip(Bus(QuietSpi(b"\x0d\x90\x19\x00")), QuietPin(), 0))
    sensor.poll(0)
    heap_lock()
    try:
        sensor.poll(linear.FROZEN_MS)
    finally:
        heap_unlock()
    assert sensor.status != OK


def test_outputs_and_contacts_allocate_nothing():
    cutoff = Cutoff()
    buzzer = Buzzer(QuietPin())
    ssr = QuietPin()
    power = Power(ssr, QuietPin(), Firing(60, 1000), cutoff)
    outputs = Outputs(power, Lamp(QuietPin()), Lamp(QuietPin()), buzzer)
    stop = Contact(QuietPin(), 1, 1)
    start = Button(QuietPin())
    current = CurrentSensor(QuietPin(), 0, 20000)
    command = Command()
    command.relay, command.duty = 1, 5000
    cutoff.arm(0, 0)
    fired = 0
    heap_lock()
    try:
        for now_ms in range(0, 3000, 5):
            if now_ms % TICK_MS == 0:
                cutoff.renew(now_ms, 25000, now_ms + 1)
                outputs.apply(now_ms, command)
                current.take_ma()
                stop.take()
            outputs.serve(now_ms)
            stop.serve(now_ms)
            start.serve(now_ms)
            current.serve(now_ms, outputs.is_on_slot)
            fired += ssr.level
        command.trip = 1
        outputs.apply(3000, command)
        outputs.off()
    finally:
        heap_unlock()
    assert fired > 200

"""The panel with the real state machine, under MicroPython, which alone has `framebuf`.

Run by test_on_micropython.py. Run by itself it prints the pictures of a run, one a line: a name and
the 1024 bytes of the glass in hex.
"""

import binascii

import bench
import framebuf
import machine
from workbench import Bench, document

from heatcontroller.drivers.ssd1306 import ADDRESS, PAGES, WIDTH, Ssd1306
from heatcontroller.panel import PERIOD_MS, Panel, plan_name
from heatcontroller.states import ARMED, COOLING, IDLE, RUNNING, TRIPPED
from heatcore import codes, plan

LEFT, MIDDLE, RIGHT = 0, 1, 2
LOOP_MS = 5


class Glass:
    """What hangs on the I2C bus: keeps commands and the memory behind the glass."""

    def __init__(self):
        self.commands = []
        self.memory = bytearray(WIDTH * PAGES)
        self.bytes_sent = 0

    def exchange(self, sent, count):
        self.bytes_sent += len(sent)
        if sent[0] == 0x80:
            self.commands.append(sent[1])
        else:
            page = self.commands[-3] & 0x0F
            self.memory[page * WIDTH : page * WIDTH + len(sent) - 1] = sent[1:]
        return b""


class Button:
    def __init__(self):
        self.presses = 0


class Scene:
    """A controller on the bench with a panel: time moves in turns of the main loop."""

    def __init__(self, **changes):
        bench.clear()
        self.glass = Glass()
        bench.i2c_devices[ADDRESS] = self.glass
        self.controller = Bench(doc=document(**changes))
        self.buttons = [Button(), Button(), Button()]
        self.display = Ssd1306(machine.I2C(0))
        self.panel = Panel(
            self.display, self.buttons, self.controller.machine, self.controller.store
        )
        self.most_bytes = 0

    @property
    def state(self):
        return self.controller.machine.state

    def look(self, ms=2 * PERIOD_MS):
        """Turns of the main loop without a tick: the glass catches up."""
        for _ in range(ms // LOOP_MS):
            self.controller.now_ms += LOOP_MS
            before = self.glass.bytes_sent
            self.panel.serve(self.controller.now_ms, self.controller.inputs)
            self.most_bytes = max(self.most_bytes, self.glass.bytes_sent - before)
        return self

    def press(self, index):
        self.buttons[index].presses += 1
        return self.look()

    def shows(self, row, text):
        """Whether this row of the glass is exactly this text, bright on dark or in a bar."""
        wanted = bytearray(WIDTH)
        canvas = framebuf.FrameBuffer(wanted, WIDTH, 8, framebuf.MONO_VLSB)
        is_bar = row in (0, 7)
        canvas.fill(int(is_bar))
        canvas.text(text, 0, 0, int(not is_bar))
        return self.glass.memory[row * WIDTH : (row + 1) * WIDTH] == wanted


def cooled(scene):
    scene.controller.cool(300)
    return scene.look()


def test_a_whole_run_with_no_laptop():
    scene = Scene().look()
    assert scene.shows(0, "IDLE")
    assert scene.shows(3, "plan 1 of 1")
    assert scene.shows(4, "bat-call logger")
    assert scene.shows(7, "Prev  Next   Arm")
    scene.press(RIGHT)
    assert scene.state == ARMED
    assert scene.shows(0, "ARMED")
    scene.press(RIGHT)
    scene.controller.tick(8)
    scene.look()
    assert scene.shows(5, "HEAT IN 3 s")
    scene.controller.tick(20)
    assert scene.state == RUNNING
    scene.controller.follow_plan(30)
    scene.look()
    assert scene.shows(0, "RUNNING")
    scene.press(MIDDLE)
    assert scene.controller.codes()[-1] == codes.EVENT_MARK
    scene.press(RIGHT)
    assert scene.controller.codes()[-1] == codes.EVENT_UNMARK
    scene.press(LEFT)
    assert scene.state == COOLING
    assert scene.shows(3, "Heater is off.")
    assert cooled(scene).state == IDLE
    assert scene.shows(0, "IDLE")


def test_a_refusal_says_why_and_goes_away():
    scene = Scene()
    scene.controller.tick(sensor_mc=80000)
    scene.look().press(RIGHT)
    assert scene.state == IDLE
    assert scene.shows(3, "too hot to")
    assert scene.shows(4, "start: 80 C, the")
    scene.look(4000)
    assert scene.shows(3, "until it has")
    scene.look(4000)
    assert scene.shows(3, "plan 1 of 1")


def test_a_trip_is_shown_and_cleared_once_proven_off():
    scene = Scene()
    scene.controller.begin()
    scene.controller.tick(sensor_mc=260000)
    scene.controller.tick(8)
    scene.look()
    assert scene.state == TRIPPED
    assert scene.shows(0, "SAFETY STOP")
    assert scene.shows(7, "wait until off  ")
    scene.press(RIGHT)
    assert scene.state == TRIPPED
    cooled(scene).controller.cool(200)
    scene.look()
    assert scene.shows(7, "           Clear")
    scene.press(RIGHT)
    assert scene.state == IDLE


def test_arming_can_be_taken_back():
    scene = Scene().look().press(RIGHT)
    assert scene.state == ARMED
    scene.press(LEFT)
    assert scene.state == IDLE


def test_next_and_previous_go_round_the_kept_plans():
    scene = Scene()
    for number, name in ((1, "hot plate strip"), (2, "sand pan")):
        doc = document(name=name, id=f"0000000{number}")
        scene.controller.store.keep_plan(doc["id"], plan.write(doc))
    names = []
    scene.look()
    for _ in range(4):
        kept = ("hot plate strip", "sand pan", "bat-call logger")
        names.extend([name for name in kept if scene.shows(4, name)])
        scene.press(MIDDLE)
    assert names[3] == names[0]
    assert len(set(names)) == 3
    scene.press(LEFT)
    assert scene.shows(4, names[0])


def test_a_plan_that_is_not_one_has_no_name():
    assert plan_name(None) == plan_name(b"") == plan_name(b"garbage") == "unreadable plan"
    assert plan_name(plan.write(document())) == "bat-call logger"


def test_one_turn_sends_at_most_one_page():
    scene = Scene().look()
    for index in (RIGHT, RIGHT):
        scene.press(index)
    # Three commands of 2 bytes, a control byte and 128 columns: 3.2 ms at 400 kHz.
    assert 0 < scene.most_bytes <= 3 * 2 + 1 + WIDTH


def test_what_did_not_change_is_not_sent():
    scene = Scene().look()
    before = scene.glass.bytes_sent
    scene.look(5000)
    assert scene.glass.bytes_sent == before


def test_big_letters_are_the_small_ones_doubled():
    scene = Scene().look()
    small = bytearray(8)
    canvas = framebuf.FrameBuffer(small, 8, 8, framebuf.MONO_VLSB)
    canvas.text("2", 0, 0, 1)
    big = framebuf.FrameBuffer(scene.glass.memory, WIDTH, 64, framebuf.MONO_VLSB)
    for x in range(16):
        for y in range(16):
            assert big.pixel(x, 8 + y) == canvas.pixel(x // 2, y // 2)


def test_the_display_is_switched_on_as_its_data_sheet_says():
    scene = Scene()
    sent = scene.glass.commands
    assert sent[0] == 0xAE  # off while it is set up
    assert sent[-1] == 0xAF
    pairs = [(sent[at], sent[at + 1]) for at in range(len(sent) - 1)]
    for pair in ((0xA8, 63), (0x8D, 0x14), (0x20, 0x02), (0xDA, 0x12)):
        assert pair in pairs


def test_a_panel_that_is_pulled_off_stops_nothing():
    scene = Scene().look()
    bench.i2c_devices.clear()
    scene.press(RIGHT)
    assert scene.state == ARMED
    assert not scene.display.alive
    assert not Ssd1306(machine.I2C(0)).alive


def pictures():
    scene = Scene().look()
    yield "idle", scene
    scene.press(RIGHT)
    yield "armed", scene
    scene.press(RIGHT)
    scene.controller.tick(8)
    yield "countdown", scene.look()
    scene.controller.tick(20)
    scene.controller.follow_plan(40)
    yield "running", scene.look()
    scene.controller.follow_plan(25)
    yield "door", scene.look()
    scene.press(LEFT)
    yield "cooling", scene
    scene = Scene()
    scene.controller.tick(sensor_mc=80000)
    yield "refused", scene.look().press(RIGHT)
    scene = Scene()
    scene.controller.begin()
    scene.controller.tick(8, sensor_mc=260000)
    yield "tripped", scene.look()


def main():
    for name, scene in pictures():
        print(name, binascii.hexlify(scene.glass.memory).decode())


if __name__ == "__main__":
    main()

# What is fitted, as the main loop uses it. It calls serve() as often as it can (a mains cycle is 16
# to 20 ms), and read() once a tick.

from heatcore.inputs import NONE

from .contact import Button, Contact
from .current import CurrentSensor
from .sensor import Sensor
from .ssd1306 import Ssd1306


def nothing(level: int) -> None:
    # Stands for an output that is not fitted.
    pass


class Hardware:
    def __init__(self, sensor, outputs, buzzer, stop) -> None:
        self.sensor = sensor
        self.outputs = outputs
        self.buzzer = buzzer
        self.stop = stop
        # None: not fitted.
        self.second_sensor: Sensor | None = None
        self.door_switch: Contact | None = None
        self.start_button: Button | None = None
        self.panel_buttons = []
        self.current: CurrentSensor | None = None
        self.display: Ssd1306 | None = None

    def serve(self, now_ms: int) -> None:
        if self.current is not None:
            self.current.serve(now_ms, self.outputs.is_on_slot)
        self.outputs.serve(now_ms)
        self.stop.serve(now_ms)
        if self.start_button is not None:
            self.start_button.serve(now_ms)
        if self.door_switch is not None:
            self.door_switch.serve(now_ms)
        for button in self.panel_buttons:
            button.serve(now_ms)

    def read(self, now_ms: int, inputs) -> None:
        # Fills what the wires know; mark and host_age_ms belong to the state machine.
        self.sensor.poll(now_ms)
        self.sensor.fill(now_ms, inputs)
        if self.second_sensor is not None:
            self.second_sensor.poll(now_ms)
            self.second_sensor.fill_second(now_ms, inputs)
        inputs.stop = self.stop.take()
        inputs.press = NONE if self.start_button is None else self.start_button.presses
        if self.door_switch is not None:
            inputs.door = self.door_switch.on
        if self.current is not None:
            inputs.current_ma = self.current.take_ma()

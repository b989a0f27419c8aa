# What the state machine commands once a tick, and the main loop serves as often as it can.

from . import buzzer


class Outputs:
    def __init__(self, power, fan, door, sounder) -> None:
        self._power = power
        self._fan = fan
        self._door = door
        self._sounder = sounder
        self._door_cue = 0

    def apply(self, now_ms: int, command) -> None:
        if command.trip:
            self._power.off()
        else:
            self._power.want(command.relay, command.duty)
        self._fan.show(command.fan)
        self._door.show(command.door_cue)
        if command.door_cue and not self._door_cue:
            self._sounder.play(now_ms, buzzer.DOOR)
        self._door_cue = command.door_cue

    def off(self) -> None:
        # The heater alone: fan and open door only cool.
        self._power.off()

    def serve(self, now_ms: int) -> None:
        self._power.serve(now_ms)
        self._sounder.serve(now_ms)

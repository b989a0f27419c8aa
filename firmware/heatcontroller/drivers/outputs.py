# What the state machine commands once a tick, and the main loop serves as often as it can.

from heatcore.codes import NOTE_FINISHED, NOTE_PULL_PLUG, NOTE_WAIT_MARK, NOTE_WAIT_PRESS

from . import buzzer

# Made once: a tuple that is built in a tick would allocate.
WAITS = (NOTE_WAIT_MARK, NOTE_WAIT_PRESS)


class Outputs:
    def __init__(self, power, fan, door, sounder) -> None:
        self._power = power
        self.has_two = power.has_two
        self._fan = fan
        self._door = door
        self._sounder = sounder
        self._heard_relay = 0
        self._heard_door = 0
        self._heard_trip = 0
        self._heard_note = 0

    def apply(self, now_ms: int, command) -> None:
        if command.trip:
            self._power.off()
        else:
            self._power.want(command.relay, command.duty)
        self._fan.show(command.fan)
        self._door.show(command.door_cue)
        self._sound(now_ms, command)

    def off(self) -> None:
        # The heater alone: fan and open door only cool.
        self._power.off()

    def close_ssr(self) -> None:
        self._power.close_ssr()

    @property
    def is_on_slot(self) -> bool:
        return self._power.is_firing == 1

    def serve(self, now_ms: int) -> None:
        self._power.serve(now_ms)
        self._sounder.serve(now_ms)

    def _sound(self, now_ms: int, command) -> None:
        # What begins with this tick is heard once; of several, the most urgent.
        note = command.note
        if (note == NOTE_PULL_PLUG and not self._sounder.playing) or (
            command.trip and not self._heard_trip
        ):
            self._sounder.play(now_ms, buzzer.TRIP)
        elif command.door_cue and not self._heard_door:
            self._sounder.play(now_ms, buzzer.DOOR)
        elif note != self._heard_note and note in WAITS:
            self._sounder.play(now_ms, buzzer.WAIT)
        elif note != self._heard_note and note == NOTE_FINISHED:
            self._sounder.play(now_ms, buzzer.DONE)
        elif command.relay and not self._heard_relay:
            self._sounder.play(now_ms, buzzer.HEAT)
        self._heard_trip = command.trip
        self._heard_door = command.door_cue
        self._heard_note = note
        self._heard_relay = command.relay

# What asks for the open door, or opens it: a lamp on a pin, or a hobby servo.

# A servo takes a pulse of 1 to 2 ms every 20 ms (50 Hz): in 1/65536 of the period.
SERVO_HZ = 50
SHUT_U16 = 3277
OPEN_U16 = 6553


class Lamp:
    def __init__(self, pin) -> None:
        self._pin = pin
        pin(0)

    def show(self, on: int) -> None:
        self._pin(1 if on else 0)


class Servo:
    # PWM is allowed here: this pin heats nothing, and a door left open is the safe side.

    def __init__(self, pwm) -> None:
        self._pwm = pwm
        self._on = -1
        self.show(0)

    def show(self, on: int) -> None:
        if on != self._on:
            self._on = on
            self._pwm.duty_u16(OPEN_U16 if on else SHUT_U16)

"""What befalls a chip and its link and nothing else: the faults of `heatsim.faults.ON_CHIP`."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from heatcore import line
from heatsim.virtual import frames
from heatsim.virtual.lockstep import LockstepController

Mishap = Callable[[LockstepController, Random], None]

US = 1e-6
STEP_S = 0.25
# Without a watchdog nothing would end it: watched for so long.
FOR_GOOD_S = 60.0
GARBAGE_LINES = 8
GARBAGE_BYTES = 60


def hang(controller: LockstepController, rng: Random) -> None:
    """The program stands still, pins as they are, until the watchdog bites: fed just before."""
    frame = controller.server.last
    assert frame is not None
    left_s = frame.watchdog_us * US or FOR_GOOD_S
    while left_s > 0:
        controller.workshop.hold(frame, min(STEP_S, left_s))
        left_s -= STEP_S
    if frame.watchdog_us:
        controller.restart(frames.WATCHDOG)


def corrupt(controller: LockstepController, rng: Random) -> None:
    """Bytes by chance, and questions with a bit flipped on their way."""
    for number in range(GARBAGE_LINES):
        controller.send(bytes(rng.choices(range(4, 256), k=GARBAGE_BYTES)) + b"\n")
        asked = bytearray(line.encode(["q", number, "stop"]))
        asked[rng.randrange(len(asked) - 1)] ^= 1 << rng.randrange(3, 7)
        controller.send(bytes(asked))


def cut_power(controller: LockstepController, rng: Random) -> None:
    """The supply goes and comes back."""
    controller.cut_power()


MISHAPS: dict[str, Mishap] = {
    "controller-hung": hang,
    "frame-corrupt": corrupt,
    "power-loss": cut_power,
}

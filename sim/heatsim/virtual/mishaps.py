"""What befalls a chip and its link and nothing else: the faults of `heatsim.faults.ON_CHIP`."""

from __future__ import annotations

from collections.abc import Callable
from random import Random
from typing import Protocol

from heatcore import line

GARBAGE_LINES = 8
GARBAGE_BYTES = 60


class Struck(Protocol):
    """A virtual controller, in lockstep or at its port."""

    def starve(self) -> None:
        """The program stands still, pins as they are, until the watchdog bites."""
        ...

    def cut_power(self) -> None:
        """The supply goes and comes back."""
        ...

    def send(self, data: bytes) -> None:
        """Put bytes on the link to the controller."""
        ...

    def say(self, data: bytes) -> None:
        """Put bytes on the link to the host, as if the controller had said them."""
        ...


Mishap = Callable[[Struck, Random], None]


def hang(struck: Struck, rng: Random) -> None:
    """The program stands still."""
    struck.starve()


def corrupt(struck: Struck, rng: Random) -> None:
    """Bytes by chance both ways, and questions with a bit flipped on their way."""
    for number in range(GARBAGE_LINES):
        struck.send(_garbage(rng))
        struck.say(_garbage(rng))
        asked = bytearray(line.encode(["q", number, "stop"]))
        asked[rng.randrange(len(asked) - 1)] ^= 1 << rng.randrange(3, 7)
        struck.send(bytes(asked))


def _garbage(rng: Random) -> bytes:
    # below 4 stand the keys that end a program; they are another story
    return bytes(rng.choices(range(4, 256), k=GARBAGE_BYTES)) + b"\n"


def cut_power(struck: Struck, rng: Random) -> None:
    """The supply goes and comes back."""
    struck.cut_power()


MISHAPS: dict[str, Mishap] = {
    "controller-hung": hang,
    "frame-corrupt": corrupt,
    "power-loss": cut_power,
}


def strike(struck: Struck, name: str, seed: int = 1) -> None:
    """Let it happen now. Raises KeyError for a name that is none of the chip's."""
    MISHAPS[name](struck, Random(f"{name} {seed}"))
